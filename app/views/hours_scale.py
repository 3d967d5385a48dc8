"""Paints strokes and names of hours, alike on the rule and on the scale beneath the odds."""

from __future__ import annotations

from collections.abc import Iterable

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QColor, QPainter

from app.models.hours_axis import Tick
from app.views.theme import BODY, REGULAR, SEMIBOLD, SMALL_TEXT, font, text_width

__all__ = ["label_width", "paint_labels", "paint_strokes"]

_STROKE, _NAMED_STROKE = 5.0, 8.0


def label_width(text: str, named: bool) -> float:
    """Return how wide an hour's name is, in logical pixels; `named` ones are a sample's own."""
    return text_width(text, BODY if named else SMALL_TEXT, SEMIBOLD if named else REGULAR)


def paint_strokes(
    painter: QPainter, ticks: Iterable[Tick], offset: float, edge: float, ink: QColor, *, down: bool
) -> None:
    """Paint the strokes from an edge down or up; `offset` is added to where they stand."""
    for tick in ticks:
        length = _NAMED_STROKE if tick.named else _STROKE
        width = 2.0 if tick.named else 1.0
        x = round(tick.x + offset) - (1.0 if tick.named else 0.0)
        painter.fillRect(QRectF(x, edge if down else edge - length, width, length), ink)


def paint_labels(
    painter: QPainter, ticks: Iterable[Tick], offset: float, strip: QRectF, ink: QColor, *, hidden: QRectF | None = None
) -> None:
    """Paint the names in the middle of a strip, those that `hidden` would cut left out whole."""
    painter.setPen(ink)
    for tick in ticks:
        if not tick.label:
            continue
        half = label_width(tick.label, tick.named) / 2
        x = tick.x + offset
        if hidden is not None and x + half > hidden.left() and x - half < hidden.right():
            continue
        painter.setFont(font(BODY if tick.named else SMALL_TEXT, SEMIBOLD if tick.named else REGULAR))
        box = QRectF(x - 30, strip.top(), 60, strip.height())
        painter.drawText(box, Qt.AlignmentFlag.AlignCenter, tick.label)
