"""The ledger of *Hours*, painted: heads, ten little pieces, figures and words that follow the grip."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

from PySide6.QtCore import QPointF, QRect, QRectF, QSize, Qt
from PySide6.QtGui import (
    QAccessible,
    QColor,
    QPainter,
    QPaintEvent,
    QPalette,
    QPen,
    QPolygonF,
    QResizeEvent,
    QTextCharFormat,
    QTextLayout,
    QTextOption,
)
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.models.hours_ledger import Block, Figures, Head, Line, Paragraph, Pieces
from app.views.painted import Painted, PaintedWidget
from app.views.parts import plain
from app.views.theme import (
    BODY,
    BOLD,
    EDGE_LINE,
    LEDGER_HEAD,
    LIGHT,
    REGULAR,
    SEMIBOLD,
    SMALL_TEXT,
    Theme,
    font,
    text_width,
)
from app.wording import tr

__all__ = ["LedgerText"]

_LEADING = 1.5
_GAP, _LINE_GAP = 8.0, 12.0
_PIECE_GAP = 6.0
_STROKE_ROOM = 12.0
_ROW = 25.0
_WIDE, _WIDE_PIECES = 430.0, 250.0
_SPLIT = re.compile(r"\*\*(.+?)\*\*")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Laid:
    """A block and where it lies."""

    block: Block
    box: QRectF


class LedgerText(PaintedWidget):
    """Blocks of the ledger, one under the other; as high as they need for the width they are given."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._blocks: tuple[Block, ...] = ()
        self._theme = LIGHT
        self._laid: tuple[_Laid, ...] = ()
        self._foreseen: tuple[tuple[Block, ...], ...] = ()
        self._least: tuple[float, ...] = ()
        policy = QSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)
        self.setSizePolicy(policy)
        self.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)

    def set_blocks(self, blocks: Iterable[Block], theme: Theme) -> None:
        """Show these blocks; those that stay as they are are not painted again."""
        new = tuple(blocks)
        if new == self._blocks and theme is self._theme:
            return
        same_theme, before = theme is self._theme, self._laid
        self._blocks, self._theme = new, theme
        self._lay_out()
        if not same_theme:
            self.update()
            return
        for number, one in enumerate(self._laid):
            was = before[number] if number < len(before) else None
            if was is None or was.block != one.block or was.box != one.box:
                self.update(one.box.adjusted(-2, -2, 2, 2).toAlignedRect())
        end = self._laid[-1].box.bottom() if self._laid else 0.0
        self.update(QRect(0, int(end), self.width(), max(0, self.height() - int(end))))
        if QAccessible.isActive():
            self.tell_changed()

    def foresee(self, coming: Iterable[tuple[Block, ...]]) -> None:
        """Keep room for what may come while the grip moves, so that nothing below a longer sentence jumps."""
        self._foreseen = tuple(coming)
        self._keep_room()

    def _keep_room(self) -> None:
        """The deepest that each block in turn gets; nothing where they are not of one kind."""
        kinds = {tuple(type(block) for block in blocks) for blocks in self._foreseen}
        if len(kinds) != 1:
            self._least = ()
            return
        width = float(self.width())
        depths = [[_height(block, width) for block in blocks] for blocks in self._foreseen]
        self._least = tuple(max(column) for column in zip(*depths, strict=True))

    def _lay_out(self) -> None:
        least = self._least if len(self._least) == len(self._blocks) else (0.0,) * len(self._blocks)
        width, y = float(self.width()), 0.0
        laid: list[_Laid] = []
        for number, block in enumerate(self._blocks):
            before = self._blocks[number - 1] if number else None
            if isinstance(block, Pieces) and isinstance(before, Head) and before.large and width >= _WIDE:
                laid.append(_Laid(block=block, box=_beside_head(before, laid[-1].box)))
                continue
            y += _space(before, block)
            height = max(_height(block, width), least[number])
            laid.append(_Laid(block=block, box=QRectF(0, y, width, height)))
            y += height
        self._laid = tuple(laid)
        wanted = round(y) + 2
        if wanted != self.minimumHeight():
            self.setFixedHeight(wanted)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        if event.oldSize().width() != event.size().width():
            self._keep_room()
            self._lay_out()

    def sizeHint(self) -> QSize:
        return QSize(220, self.minimumHeight())

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setClipRegion(event.region())
        painter.fillRect(event.rect(), self.palette().color(QPalette.ColorRole.Window))
        for one in self._laid:
            if event.region().intersects(one.box.adjusted(-2, -2, 2, 2).toAlignedRect()):
                _paint(painter, one, self._theme)
        painter.end()

    def painted(self) -> tuple[Painted, ...]:
        things: list[Painted] = []
        for one in self._laid:
            things += _things(one)
        return tuple(things)


def _beside_head(head: Head, box: QRectF) -> QRectF:
    """Where ten pieces lie in a wide ledger: in the line of the hour."""
    left = max(96.0, text_width(head.title, LEDGER_HEAD, BOLD)) + 26
    return QRectF(left, box.top() + 4, _WIDE_PIECES, _piece_size(_WIDE_PIECES)[1] + 2)


def _space(before: Block | None, block: Block) -> float:
    if before is None:
        return 4.0
    if isinstance(block, Line):
        return _LINE_GAP
    if isinstance(before, Line):
        return _LINE_GAP / 2
    if isinstance(block, Paragraph) and block.noted:
        return _LINE_GAP
    return _GAP if isinstance(before, Head | Pieces) else 4.0


def _height(block: Block, width: float) -> float:
    if isinstance(block, Head):
        return 32.0 if block.large else 26.0
    if isinstance(block, Pieces):
        return _piece_size(width)[1] + 2
    if isinstance(block, Line):
        return 1.0
    if isinstance(block, Figures):
        return 20.0 + _ROW * len(block.rows)
    return _words(block.text, _text_size(block), width - _indent(block)).boundingRect().height()


def _piece_size(width: float) -> tuple[float, float]:
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


def _paint(painter: QPainter, one: _Laid, theme: Theme) -> None:
    block, box = one.block, one.box
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
    width, height = _piece_size(box.width())
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


def _things(one: _Laid) -> list[Painted]:
    block, rect = one.block, one.box.toAlignedRect()
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
            box = QRectF(one.box.left(), one.box.top() + 20 + number * _ROW, one.box.width(), _ROW)
            rows.append(Painted(name=title, value=value, rect=box.toAlignedRect(), role=role))
        return rows
    return []
