"""Paints one row of *Samples*: wood, hours, numbers with their errors, the hill of its face, and the remark."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRect, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QImage, QPainter, QPen, QPolygonF

from app.models.hours_scene import Stroke
from app.models.sample_columns import Columns, LightnessAxis
from app.models.sample_rows import SampleRow, hours_words, remark_of
from app.views.theme import BODY, REGULAR, SECOND_LINE, SEMIBOLD, SMALL_TEXT, Bench, Theme, font
from app.wording import tr
from colourcore.image.patches import Hill
from colourcore.report.phrases import format_error, format_value

__all__ = ["RowPaint", "paint_heading", "paint_row", "paint_target", "row_value", "where_words"]

_ERROR_AT = 40.0
_LEAST_FOOT, _FOOT = 7.0, 4.0
_TARGET_GAP = 4
_LEFT = Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RowPaint:
    """A row and how it is to look; `typed` are hours being typed for it, `current` False while it is read anew."""

    row: SampleRow
    place: QRect
    columns: Columns
    axis: LightnessAxis
    theme: Theme
    wood: QImage | None
    hill: Hill | None
    typed: str
    chosen: bool
    current: bool


def where_words(row: SampleRow) -> str:
    """Return board and zone as the table writes them."""
    return ", ".join(part for part in (row.patch.board, row.patch.zone) if part) or "–"


def row_value(row: SampleRow) -> str:
    """Return all that a row says, for screen readers and tips."""
    reading, said = row.reading, []
    if reading is not None:
        parts = list(zip(("L*", "a*", "b*"), reading.lab, reading.standard_errors, strict=True))
        shown = parts[:1] if reading.colour_lost else parts
        said.append(", ".join(f"{name} {format_value(value)} {format_error(error)}" for name, value, error in shown))
        said.append(
            tr("L* over its face ± {spread}, {n:,} pixels", spread=format_value(reading.spread), n=reading.pixels)
        )
    elif not row.refused:
        said.append(tr("not read yet"))
    said += [text for text in (remark_of(row)[0], row.patch.label) if text]
    return "; ".join(said)


def paint_heading(painter: QPainter, columns: Columns, theme: Theme, title: str, place: QRect) -> None:
    """Paint the heading of samples that lie together."""
    painter.setFont(font(BODY, SEMIBOLD))
    painter.setPen(theme.ink)
    box = QRectF(columns.hours, place.top() + 6, columns.right - columns.hours, place.height() - 6)
    painter.drawText(box, _LEFT, title)


def paint_row(painter: QPainter, look: RowPaint) -> None:
    """Paint a row."""
    place, theme, columns = look.place, look.theme, look.columns
    if look.chosen:
        painter.fillRect(QRectF(columns.bench, place.top(), place.width(), place.height()), theme.well)
        painter.fillRect(QRectF(columns.bench, place.top(), 4, place.height()), theme.ink)
    _paint_wood(painter, look)
    _paint_hill(painter, look)
    _paint_numbers(painter, look)
    _paint_remark(painter, look)
    line = QRectF(columns.bench, place.bottom(), place.width() - columns.bench, 1)
    painter.fillRect(line, theme.grid)


def _paint_wood(painter: QPainter, look: RowPaint) -> None:
    columns, place = look.columns, look.place
    box = QRectF(columns.wood, place.top() + 2, columns.bench - 2 * columns.wood + 4, place.height() - 4)
    if look.wood is not None:
        painter.drawImage(box, look.wood)
    else:
        pen = QPen(Bench.SECOND_INK.colour, 1.5)
        pen.setDashPattern([4.0, 3.0])
        painter.setPen(pen)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawRect(box.adjusted(1, 1, -1, -1))
    if look.row.patch.set_aside:
        painter.setPen(QPen(Bench.INK.colour, 2.4))
        painter.drawLine(box.bottomLeft(), box.topRight())
    if look.chosen:
        painter.fillRect(QRectF(box.left() - 10, place.top() + 2, 4, place.height() - 4), Bench.INK.colour)
        painter.fillRect(QRectF(box.right() + 6, place.top() + 2, 4, place.height() - 4), Bench.INK.colour)


def _text(painter: QPainter, box: QRectF, text: str, ink: QColor, size: int, weight: QFont.Weight = REGULAR) -> None:
    painter.setFont(font(size, weight))
    painter.setPen(ink)
    cut = QFontMetricsF(painter.font()).elidedText(text, Qt.TextElideMode.ElideRight, box.width())
    painter.drawText(box, _LEFT, cut)


def _paint_numbers(painter: QPainter, look: RowPaint) -> None:
    row, place, columns, theme = look.row, look.place, look.columns, look.theme
    aside = bool(row.patch.set_aside) or not look.current
    ink = theme.second_ink if aside else theme.ink

    def box(left: float, right: float) -> QRectF:
        return QRectF(left, place.top(), right - left, place.height())

    if look.typed:
        _text(painter, box(columns.hours, columns.where - 6), look.typed, theme.ink, BODY, SEMIBOLD)
        width = QFontMetricsF(font(BODY, SEMIBOLD)).horizontalAdvance(look.typed)
        painter.fillRect(QRectF(columns.hours, place.bottom() - 8, width, 2), theme.ink)
    else:
        told = hours_words(row.patch.hours) if row.patch.hours is not None else "?"
        _text(painter, box(columns.hours, columns.where - 6), told, ink, BODY, SEMIBOLD)
    _text(painter, box(columns.where, columns.L - 8), where_words(row), ink, BODY)
    reading = row.reading
    if reading is None:
        return
    ends = (columns.a or columns.hill_left, columns.b or columns.hill_left, columns.hill_left)
    lefts = (columns.L, columns.a, columns.b)
    for number, (left, right) in enumerate(zip(lefts, ends, strict=True)):
        if left is None or (number and reading.colour_lost):
            continue
        weight = SEMIBOLD if number == 0 else REGULAR
        _text(painter, box(left, right), format_value(reading.lab[number]), ink, BODY, weight)
        error = format_error(reading.standard_errors[number])
        _text(painter, box(left + _ERROR_AT, right), error, theme.second_ink, SMALL_TEXT)


def _paint_hill(painter: QPainter, look: RowPaint) -> None:
    row, reading = look.row, look.row.reading
    if reading is None:
        return
    foot = look.place.bottom() - 3.0
    height = look.place.height() - 7.0
    if look.hill is not None:
        _paint_slope(painter, look, look.hill, foot, height)
    middle = look.axis.x(reading.lab[0])
    step = abs(look.axis.x(1.0) - look.axis.x(0.0))
    half = max(_LEAST_FOOT / 2, reading.standard_errors[0] * step)
    painter.fillRect(QRectF(middle - half, foot - _FOOT, 2 * half, _FOOT), look.theme.ink)
    if row.patch.set_aside:
        painter.setPen(QPen(look.theme.ink, 2.4))
        painter.drawLine(QPointF(middle - 14, foot), QPointF(middle + 14, foot - height + 3))


def _paint_slope(painter: QPainter, look: RowPaint, hill: Hill, foot: float, height: float) -> None:
    scale = height / float(hill.density.max())
    points = [
        QPointF(look.axis.x(float(lightness)), foot - scale * float(density))
        for lightness, density in zip(hill.lightness, hill.density, strict=True)
    ]
    outline = QPolygonF(points)
    filled = QPolygonF([*points, QPointF(points[-1].x(), foot), QPointF(points[0].x(), foot)])
    aside = bool(look.row.patch.set_aside)
    painter.save()
    painter.setClipRect(
        QRectF(look.axis.left - 12, look.place.top(), look.axis.right - look.axis.left + 24, height + 8)
    )
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(Qt.BrushStyle.NoBrush if aside else look.theme.band)
    painter.drawPolygon(filled)
    pen = QPen(look.theme.ink, 1.7 if look.row.stroke is Stroke.SOLID else SECOND_LINE)
    if look.row.stroke is not Stroke.SOLID:
        pen.setDashPattern([3.2, 2.6] if look.row.stroke is Stroke.DASHED else [4.0, 2.2, 1.0, 2.2])
    pen.setCapStyle(Qt.PenCapStyle.FlatCap)
    painter.setPen(pen)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawPolyline(outline)
    painter.restore()


def paint_target(painter: QPainter, x: float, top: float, bottom: float, theme: Theme) -> None:
    """Paint the two parallel lines of a target."""
    for offset in (-_TARGET_GAP / 2, _TARGET_GAP / 2):
        painter.fillRect(QRectF(round(x + offset), top, 1.5, bottom - top), theme.ink)


def _paint_remark(painter: QPainter, look: RowPaint) -> None:
    text, heavy = remark_of(look.row)
    box = QRectF(look.columns.remark, look.place.top(), look.columns.right - look.columns.remark, look.place.height())
    ink = look.theme.ink if heavy or look.chosen else look.theme.second_ink
    _text(painter, box, text, ink, SMALL_TEXT, SEMIBOLD if heavy else REGULAR)
