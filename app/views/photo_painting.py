"""How outlines are painted on a photo: a line that is seen on light and dark wood, crow's feet, grips and tags."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPen, QPolygonF

from app.views.parts import Stroke, hatch
from app.views.theme import HIT, SEMIBOLD, SMALL_TEXT, font

__all__ = [
    "Drawn",
    "LineKind",
    "Tag",
    "feet_outside",
    "foot_point",
    "grip_point",
    "paint_feet_and_grips",
    "paint_outline",
    "paint_tags",
    "tags_rect",
]

_BLACK, _WHITE = QColor("#000000"), QColor("#ffffff")
_UNDER, _OVER = 3.5, 1.6
_GRIP_LONG, _GRIP_THICK = 34.0, 13.0
_ALL_OUTSIDE_UNDER = 84.0
_LEG, _SPREAD = 19.0, math.radians(24)
_TAG_HEIGHT = 24.0


class LineKind(Enum):
    """How an outline's line tells what it is around."""

    SAMPLE = "sample"
    REFERENCE = "reference"
    TARGET = "target"
    OTHER = "other"


@dataclass(frozen=True, slots=True, kw_only=True)
class Tag:
    """A few words that stand at an outline; with a stroke it is a check."""

    text: str
    stroke: Stroke | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn:
    """An outline as it stands in the view: its corners in logical pixels, its kind, and its tags."""

    points: tuple[QPointF, ...]
    kind: LineKind
    tags: Sequence[Tag] = ()
    chosen: bool = False
    aside: bool = False


def paint_outline(painter: QPainter, drawn: Drawn) -> None:
    """Paint one outline: black under white; references dashed, targets dotted, set aside with a stroke across."""
    shape = QPolygonF(list(drawn.points))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(QPen(_BLACK, _UNDER, j=Qt.PenJoinStyle.MiterJoin))
    painter.drawPolygon(shape)
    over = QPen(_WHITE, _OVER, j=Qt.PenJoinStyle.MiterJoin)
    if drawn.kind is LineKind.REFERENCE:
        over.setDashPattern([5.0, 4.0])
    elif drawn.kind is LineKind.TARGET:
        over.setDashPattern([1.2, 2.4])
    elif drawn.kind is LineKind.OTHER:
        over.setDashPattern([5.0, 2.0, 1.2, 2.0])
    painter.setPen(over)
    painter.drawPolygon(shape)
    if drawn.aside:
        _twice(painter, drawn.points[3], drawn.points[1])


def _twice(painter: QPainter, one: QPointF, two: QPointF) -> None:
    for colour, width in ((_BLACK, _UNDER), (_WHITE, _OVER)):
        painter.setPen(QPen(colour, width, c=Qt.PenCapStyle.RoundCap))
        painter.drawLine(one, two)


def _middle(points: Sequence[QPointF]) -> QPointF:
    return QPointF(sum(p.x() for p in points) / len(points), sum(p.y() for p in points) / len(points))


def _length(one: QPointF, two: QPointF) -> float:
    return math.hypot(two.x() - one.x(), two.y() - one.y())


def feet_outside(points: Sequence[QPointF]) -> bool:
    """Tell whether an outline is so small in the view that everything to hold stands outside it."""
    return min(_length(points[0], points[1]), _length(points[0], points[3])) < _ALL_OUTSIDE_UNDER


def _outward(points: Sequence[QPointF], number: int) -> tuple[float, float]:
    before, at, after = points[number - 1], points[number], points[(number + 1) % 4]
    x = sum((at.x() - other.x()) / (_length(at, other) or 1.0) for other in (before, after))
    y = sum((at.y() - other.y()) / (_length(at, other) or 1.0) for other in (before, after))
    length = math.hypot(x, y) or 1.0
    return x / length, y / length


def foot_point(points: Sequence[QPointF], number: int, distance: float) -> QPointF:
    """Return the point that lies outward of a corner, along its crow's foot."""
    x, y = _outward(points, number)
    return QPointF(points[number].x() + x * distance, points[number].y() + y * distance)


def grip_point(points: Sequence[QPointF], number: int) -> QPointF:
    """Return the middle of an edge's grip: on the edge, or outside it on a small outline."""
    one, two = points[number], points[(number + 1) % 4]
    middle = QPointF((one.x() + two.x()) / 2, (one.y() + two.y()) / 2)
    if not feet_outside(points):
        return middle
    centre = _middle(points)
    length = _length(centre, middle) or 1.0
    away = _GRIP_THICK / 2 + 10
    return QPointF(
        middle.x() + (middle.x() - centre.x()) / length * away, middle.y() + (middle.y() - centre.y()) / length * away
    )


def paint_feet_and_grips(painter: QPainter, points: Sequence[QPointF]) -> None:
    """Paint what the chosen outline is held by: a crow's foot at each corner, a grip at each edge."""
    for number in range(4):
        _paint_foot(painter, points, number)
    for number in range(4):
        one, two = points[number], points[(number + 1) % 4]
        painter.save()
        painter.translate(grip_point(points, number))
        painter.rotate(math.degrees(math.atan2(two.y() - one.y(), two.x() - one.x())))
        _paint_grip(painter)
        painter.restore()


def _paint_foot(painter: QPainter, points: Sequence[QPointF], number: int) -> None:
    x, y = _outward(points, number)
    ends = []
    for side in (-_SPREAD, _SPREAD):
        sine, cosine = math.sin(side), math.cos(side)
        leg = (x * cosine - y * sine, x * sine + y * cosine)
        ends.append(QPointF(points[number].x() + leg[0] * _LEG, points[number].y() + leg[1] * _LEG))
    for colour, width in ((_BLACK, 6.0), (_WHITE, 2.6)):
        painter.setPen(QPen(colour, width, c=Qt.PenCapStyle.RoundCap, j=Qt.PenJoinStyle.RoundJoin))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawPolyline(QPolygonF([ends[0], points[number], ends[1]]))


def _paint_grip(painter: QPainter) -> None:
    box = QRectF(-_GRIP_LONG / 2, -_GRIP_THICK / 2, _GRIP_LONG, _GRIP_THICK)
    painter.setPen(QPen(_WHITE, 1.6))
    painter.setBrush(_BLACK)
    painter.drawRoundedRect(box, 3, 3)
    painter.setPen(QPen(_WHITE, 1.2))
    for step in (-4.5, -1.5, 1.5, 4.5):
        painter.drawLine(QPointF(step, -3), QPointF(step, 3))


def _tag_width(tag: Tag) -> float:
    return QFontMetricsF(font(SMALL_TEXT, SEMIBOLD)).horizontalAdvance(tag.text) + (36 if tag.stroke else 16)


def tags_rect(drawn: Drawn, room: QRectF) -> QRectF:
    """Return where an outline's tags stand: above its top left corner, inside the view."""
    left = min(p.x() for p in drawn.points)
    top = min(p.y() for p in drawn.points)
    width = sum(_tag_width(tag) for tag in drawn.tags)
    clear = HIT if drawn.chosen else 10
    x = min(max(left, room.left() + 4), max(room.left() + 4, room.right() - width - 4))
    y = top - _TAG_HEIGHT - (clear if drawn.chosen else 4)
    if drawn.chosen and y < room.top() + 4:
        bottom = max(p.y() for p in drawn.points)
        y = min(bottom + clear, room.bottom() - _TAG_HEIGHT - 4)
    return QRectF(x, max(y, room.top() + 4), width, _TAG_HEIGHT)


def paint_tags(painter: QPainter, drawn: Drawn, room: QRectF) -> None:
    """Paint an outline's tags: white on black, black on white where it is chosen; checks with their stroke."""
    if not drawn.tags:
        return
    place = tags_rect(drawn, room)
    x = place.left()
    painter.setFont(font(SMALL_TEXT, SEMIBOLD))
    for tag in drawn.tags:
        light = drawn.chosen or tag.stroke is not None
        box = QRectF(x, place.top(), _tag_width(tag), place.height())
        painter.setPen(QPen(_BLACK if light else _WHITE, 1.4))
        painter.setBrush(_WHITE if light else _BLACK)
        painter.drawRect(box)
        text = box.adjusted(8, 0, 0, 0)
        if tag.stroke is not None:
            _paint_stroke(painter, QRectF(box.left() + 7, box.top() + 5, 14, 14), tag.stroke)
            text = box.adjusted(28, 0, 0, 0)
        painter.setPen(_BLACK if light else _WHITE)
        painter.drawText(text, Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft, tag.text)
        x += box.width()


def _paint_stroke(painter: QPainter, box: QRectF, stroke: Stroke) -> None:
    if stroke is Stroke.CARE:
        hatch(painter, box, _BLACK, _WHITE, 5.0)
    elif stroke is Stroke.REFUSED:
        painter.fillRect(box, _BLACK)
    else:
        painter.fillRect(QRectF(box.center().x() - 1, box.top(), 2, box.height()), _BLACK)
