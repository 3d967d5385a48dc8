"""Paints what of the wood gets to a shade: laths of fitted colour, the shade's cord along each, the rule between."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from PySide6.QtCore import QPointF, QRect, QRectF, Qt
from PySide6.QtGui import QFontMetricsF, QImage, QPainter, QPen, QPolygonF

from app.models.hours_axis import Axis, ticks
from app.models.hours_wood import path_pixels
from app.models.target_scene import Reach
from app.models.target_words import reach_words
from app.views.hours_scale import label_width, paint_labels, paint_strokes
from app.views.preview import image_of
from app.views.theme import EDGE_LINE, SEMIBOLD, SMALL_TEXT, Bench, font
from app.wording import tr

__all__ = ["ReachPaint", "paint_reach", "reach_height"]

_LATH, _RULE, _WORDS, _CORD = 22, 32, 24, 0.36
_LEFT = Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ReachPaint:
    """Where laths and rule lie: names in `left` pixels, hours along `axis`; `named` hours are the samples' own."""

    area: QRect
    left: int
    axis: Axis
    named: tuple[float, ...]
    reaches: tuple[Reach, ...]
    ratio: float


def reach_height(count: int) -> int:
    """Return how high the laths of so many boards and zones are, with their rule and words."""
    return count * (_LATH + _WORDS) + (_RULE if count else 0)


def paint_reach(painter: QPainter, look: ReachPaint) -> None:
    """Paint the first lath above the rule, its words over it, and the others beneath, their words under them."""
    y = look.area.top()
    for number, reach in enumerate(look.reaches):
        box = QRectF(look.area.left() + look.left, y + (_WORDS if number == 0 else 0), 0, _LATH)
        box.setRight(look.area.right())
        words = QRectF(box.left(), y if number == 0 else box.bottom(), box.width(), _WORDS)
        _paint_name(painter, QRectF(look.area.left(), box.top(), look.left - 8, _LATH), reach.name)
        _paint_lath(painter, look, reach, box)
        _paint_words(painter, look, reach, words, above=number == 0)
        y += _LATH + _WORDS
        if number == 0:
            _paint_rule(painter, look, QRectF(box.left(), y, box.width(), _RULE))
            y += _RULE


def _paint_name(painter: QPainter, box: QRectF, text: str) -> None:
    painter.setFont(font(SMALL_TEXT))
    painter.setPen(Bench.INK.colour)
    painter.drawText(
        box, _LEFT, QFontMetricsF(painter.font()).elidedText(text, Qt.TextElideMode.ElideRight, box.width())
    )


def _strip(labs: np.ndarray) -> QImage:
    return image_of(path_pixels(labs)[None])


def _paint_lath(painter: QPainter, look: ReachPaint, reach: Reach, box: QRectF) -> None:
    columns = max(2, round(box.width() * look.ratio))
    xs = box.left() + (np.arange(columns) + 0.5) * box.width() / columns
    hours = np.minimum([look.axis.hours_beyond(float(x)) for x in xs], reach.prospect.end)
    labs = reach.prospect.path(hours)
    painter.drawImage(box, _strip(labs))
    target = reach.group.target
    if target is None:
        return
    cord = labs.copy()
    for channel, value in enumerate((target.L, target.a, target.b)):
        if value is not None:
            cord[:, channel] = value
    depth = round(box.height() * _CORD)
    painter.drawImage(QRectF(box.left(), box.top() + (box.height() - depth) // 2, box.width(), depth), _strip(cord))


def _paint_rule(painter: QPainter, look: ReachPaint, strip: QRectF) -> None:
    painter.fillRect(strip, Bench.RULE.colour)
    ink = Bench.INK.colour
    painter.fillRect(QRectF(strip.left(), strip.top(), strip.width(), EDGE_LINE), ink)
    painter.fillRect(QRectF(strip.left(), strip.bottom() - EDGE_LINE, strip.width(), EDGE_LINE), ink)
    found = ticks(look.axis, look.named, strip.right(), label_width)
    paint_strokes(painter, found, 0.0, strip.top(), ink, down=True)
    paint_strokes(painter, found, 0.0, strip.bottom(), ink, down=False)
    paint_labels(painter, found, 0.0, strip, ink)
    _paint_name(painter, QRectF(look.area.left(), strip.top(), look.left - 8, strip.height()), tr("hours"))


def _paint_words(painter: QPainter, look: ReachPaint, reach: Reach, box: QRectF, *, above: bool) -> None:
    beyond = reach.hours is not None and look.axis.x(reach.hours) > box.right()
    text = reach_words(reach, beyond=beyond)
    shown = reach.hours is not None and not beyond
    painter.setFont(font(SMALL_TEXT, SEMIBOLD) if shown else font(SMALL_TEXT))
    metrics = QFontMetricsF(painter.font())
    width = min(metrics.horizontalAdvance(text) + 2, box.width())
    left, right = box.left(), box.right()
    if shown:
        x = look.axis.x(reach.hours or 0.0)
        _paint_foot(painter, x, box.bottom() if above else box.top(), above=above)
        fits_right, more_right = x + 14 + width <= right, right - x >= x - left
        if fits_right or more_right:
            left = x + 14
        else:
            left, right = max(left, x - 14 - width), x - 14
    painter.setPen(Bench.INK.colour)
    cut = metrics.elidedText(text, Qt.TextElideMode.ElideRight, right - left)
    painter.drawText(QRectF(left, box.top(), right - left, box.height()), _LEFT, cut)


def _paint_foot(painter: QPainter, x: float, y: float, *, above: bool) -> None:
    """The crow's foot that points at the hour, from above or from beneath the lath."""
    way = -1 if above else 1
    foot = QPolygonF([QPointF(x - 8, y + way * 16), QPointF(x, y + way * 2), QPointF(x + 8, y + way * 16)])
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(QPen(Bench.INK.colour, 2.2, Qt.PenStyle.SolidLine, Qt.PenCapStyle.FlatCap))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawPolyline(foot)
