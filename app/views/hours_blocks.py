"""Paints the blocks of the ledger of *Hours*: heads, ten little pieces, figures, words."""

from __future__ import annotations

import re
from functools import lru_cache

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QAccessible, QColor, QPainter, QPen, QPolygonF, QTextCharFormat, QTextLayout, QTextOption

from app.models.hours_ledger import Block, Figures, Head, Line, Paragraph, Pieces
from app.views.painted import Painted
from app.views.parts import plain
from app.views.theme import BODY, BOLD, EDGE_LINE, LEDGER_HEAD, REGULAR, SEMIBOLD, SMALL_TEXT, Theme, font, text_width
from app.wording import tr

__all__ = ["block_height", "block_things", "paint_block", "piece_size"]

_LEADING = 1.5
_PIECE_GAP = 6.0
_STROKE_ROOM = 12.0
_ROW = 25.0
_SPLIT = re.compile(r"\*\*(.+?)\*\*")


def block_height(block: Block, width: float) -> float:
    """Return how deep a block is at a width, in logical pixels."""
    if isinstance(block, Head):
        return 32.0 if block.large else 26.0
    if isinstance(block, Pieces):
        return piece_size(width)[1] + 2
    if isinstance(block, Line):
        return 1.0
    if isinstance(block, Figures):
        return 20.0 + _ROW * len(block.rows)
    return _words(block.text, _text_size(block), width - _indent(block)).boundingRect().height()


def piece_size(width: float) -> tuple[float, float]:
    """Return width and height of one of ten pieces that share a width."""
    side = min(22.0, (width - 9 * _PIECE_GAP) / 10)
    return side, side * 1.24


def _text_size(block: Paragraph) -> int:
    return SMALL_TEXT if block.quiet else BODY


def _indent(block: Paragraph) -> float:
    return _STROKE_ROOM if block.noted else 0.0


@lru_cache(maxsize=256)
def _words(text: str, size: int, width: float) -> QTextLayout:
    """Words laid out in lines, the `**heavier**` ones set heavier; kept, because most stay while the grip moves."""
    layout = QTextLayout(plain(text), font(size))
    option = QTextOption()
    option.setWrapMode(QTextOption.WrapMode.WordWrap)
    layout.setTextOption(option)
    layout.setFormats(_heavier(text, size))
    layout.setCacheEnabled(True)
    layout.beginLayout()
    y, line = 0.0, layout.createLine()
    while line.isValid():
        line.setLineWidth(max(40.0, width))
        line.setPosition(QPointF(0, y + (_LEADING - 1.0) * size * 0.5))
        y += _LEADING * size
        line = layout.createLine()
    layout.endLayout()
    return layout


def _heavier(text: str, size: int) -> list[QTextLayout.FormatRange]:
    ranges, taken = [], 0
    for match in _SPLIT.finditer(text):
        part = QTextLayout.FormatRange()
        part.start = match.start() - taken
        part.length = len(match.group(1))
        form = QTextCharFormat()
        form.setFont(font(size, SEMIBOLD))
        part.format = form
        ranges.append(part)
        taken += 4
    return ranges


def paint_block(painter: QPainter, block: Block, box: QRectF, theme: Theme) -> None:
    """Paint a block into its box."""
    painter.setPen(theme.ink)
    if isinstance(block, Head):
        _paint_head(painter, block, box, theme)
    elif isinstance(block, Pieces):
        _paint_pieces(painter, block, box, theme)
    elif isinstance(block, Line):
        painter.fillRect(box, theme.line)
    elif isinstance(block, Figures):
        _paint_figures(painter, block, box, theme)
    else:
        _paint_words(painter, block, box, theme)


def _paint_head(painter: QPainter, block: Head, box: QRectF, theme: Theme) -> None:
    base = Qt.AlignmentFlag.AlignVCenter
    painter.setFont(font(LEDGER_HEAD, BOLD) if block.large else font(BODY, SEMIBOLD))
    painter.drawText(box, base | Qt.AlignmentFlag.AlignLeft, block.title)
    painter.setFont(font(SMALL_TEXT))
    painter.setPen(theme.second_ink)
    painter.drawText(box.adjusted(0, 2 if block.large else 0, 0, 0), base | Qt.AlignmentFlag.AlignRight, block.aside)


def _paint_pieces(painter: QPainter, block: Pieces, box: QRectF, theme: Theme) -> None:
    """Filled from the right, as the odds fill up; hardly past is filled by half, across."""
    width, height = piece_size(box.width())
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    step = (box.width() - width) / 9
    full, hardly = block.ten.past - block.ten.hardly, block.ten.hardly
    for number in range(10):
        piece = QRectF(round(box.left() + number * step) + 0.75, box.top() + 0.75, width - 1.5, height - 1.5)
        from_right = 9 - number
        painter.setPen(QPen(theme.ink, EDGE_LINE))
        painter.setBrush(theme.ink if from_right < full else Qt.BrushStyle.NoBrush)
        painter.drawRect(piece)
        if full <= from_right < full + hardly:
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(theme.ink)
            painter.drawPolygon(QPolygonF([piece.bottomLeft(), piece.bottomRight(), piece.topRight()]))
    painter.setBrush(Qt.BrushStyle.NoBrush)


def _paint_figures(painter: QPainter, block: Figures, box: QRectF, theme: Theme) -> None:
    target = max(text_width(block.heads[1], SMALL_TEXT), 46.0)
    middle = box.right() - (target + 22 if block.heads[1] else 0)
    right = Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignRight
    _cell(
        painter,
        QRectF(box.left(), box.top(), middle - box.left(), 20),
        right,
        block.heads[0],
        theme.second_ink,
        SMALL_TEXT,
    )
    _cell(
        painter,
        QRectF(middle, box.top(), box.right() - middle, 20),
        right,
        block.heads[1],
        theme.second_ink,
        SMALL_TEXT,
    )
    for number, (name, mine, wanted) in enumerate(block.rows):
        y = box.top() + 20 + number * _ROW
        row = QRectF(box.left(), y, box.width(), _ROW)
        _cell(painter, row, Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft, name, theme.second_ink, BODY)
        mine_box = QRectF(box.left(), y, middle - box.left(), _ROW)
        _cell(painter, mine_box, right, mine, theme.ink, BODY, heavy=True)
        if block.heads[1]:
            _cell(painter, QRectF(middle, y, box.right() - middle, _ROW), right, wanted, theme.second_ink, BODY)


def _cell(
    painter: QPainter, box: QRectF, align: Qt.AlignmentFlag, text: str, ink: QColor, size: int, *, heavy: bool = False
) -> None:
    painter.setFont(font(size, SEMIBOLD if heavy else REGULAR))
    painter.setPen(ink)
    painter.drawText(box, align, text)


def _paint_words(painter: QPainter, block: Paragraph, box: QRectF, theme: Theme) -> None:
    indent = _indent(block)
    painter.setPen(theme.second_ink if block.quiet and not block.noted else theme.ink)
    if block.noted:
        painter.fillRect(QRectF(box.left(), box.top() + 5, 2, box.height() - 8), theme.ink)
    _words(block.text, _text_size(block), box.width() - indent).draw(painter, box.topLeft() + QPointF(indent, 0))


def block_things(block: Block, box: QRectF) -> list[Painted]:
    """Return what a block says, for screen readers."""
    rect = box.toAlignedRect()
    role = QAccessible.Role.StaticText
    if isinstance(block, Head):
        return [Painted(name=block.title, value=block.aside, rect=rect, role=role)]
    if isinstance(block, Paragraph):
        return [Painted(name=plain(block.text), rect=rect, role=role)]
    if isinstance(block, Pieces):
        value = tr("{past} past the target, {hardly} of them hardly", past=block.ten.past, hardly=block.ten.hardly)
        return [Painted(name=block.whose, value=value, rect=rect)]
    if isinstance(block, Figures):
        rows = []
        for number, (name, mine, wanted) in enumerate(block.rows):
            title = tr("{name} of {whose}", name=name, whose=block.heads[0])
            value = tr("{mine}, target {wanted}", mine=mine, wanted=wanted)
            row = QRectF(box.left(), box.top() + 20 + number * _ROW, box.width(), _ROW)
            rows.append(Painted(name=title, value=value, rect=row.toAlignedRect(), role=role))
        return rows
    return []
