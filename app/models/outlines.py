"""How an outline moves under the hand: moved, resized and turned, always inside its photo. Pure, in photo pixels.

An outline is handled as its four corners, clockwise from the top left as it was drawn; corner 0 lies between edges
3 and 0, edge i runs from corner i to corner i + 1.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum

from colourcore.image.patches import Outline

__all__ = [
    "SMALLEST_SIDE",
    "Corners",
    "Grasp",
    "Hold",
    "clamped",
    "corners_of",
    "dragged",
    "holds",
    "middle_of",
    "moved",
    "outline_of",
    "rectangle",
    "turned_by",
]

Corners = tuple[tuple[float, float], tuple[float, float], tuple[float, float], tuple[float, float]]

SMALLEST_SIDE = 8.0
"""The least side of an outline, in photo pixels: what the measurement accepts."""

_UPRIGHT_WITHIN = math.radians(0.2)


class Grasp(Enum):
    """What of an outline is held."""

    INSIDE = "inside"
    CORNER = "corner"
    EDGE = "edge"
    TURN = "turn"


@dataclass(frozen=True, slots=True, kw_only=True)
class Hold:
    """An outline held at a point: `number` is the corner's or the edge's."""

    grasp: Grasp
    number: int
    corners: Corners
    at: tuple[float, float]


def corners_of(outline: Outline) -> Corners:
    """Return an outline's four corners.

    >>> corners_of(Outline(x=1, y=2, width=10, height=20))
    ((1.0, 2.0), (11.0, 2.0), (11.0, 22.0), (1.0, 22.0))
    """
    if outline.corners is not None:
        one, two, three, four = outline.corners
        return (one, two, three, four)
    left, top = float(outline.x), float(outline.y)
    right, bottom = left + outline.width, top + outline.height
    return ((left, top), (right, top), (right, bottom), (left, bottom))


def outline_of(corners: Corners) -> Outline:
    """Return the outline with these corners: a plain rectangle of whole pixels where it stands upright.

    >>> outline_of(((1.2, 2.0), (11.0, 2.0), (11.0, 22.0), (1.2, 22.0)))
    Outline(x=1, y=2, width=10, height=20, corners=None)
    """
    if _is_upright(corners):
        x, y = (round(min(point[axis] for point in corners)) for axis in (0, 1))
        right, bottom = (round(max(point[axis] for point in corners)) for axis in (0, 1))
        return Outline(x=x, y=y, width=right - x, height=bottom - y)
    one, two, three, four = ((round(x, 1), round(y, 1)) for x, y in corners)
    kept = (one, two, three, four)
    left, top = (min(point[axis] for point in kept) for axis in (0, 1))
    width, height = (round(max(point[axis] for point in kept) - low, 1) for axis, low in ((0, left), (1, top)))
    return Outline(x=left, y=top, width=width, height=height, corners=kept)


def _is_upright(corners: Corners) -> bool:
    for one, two in zip(corners, corners[1:] + corners[:1], strict=True):
        across, along = sorted((abs(two[0] - one[0]), abs(two[1] - one[1])))
        if math.atan2(across, along) > _UPRIGHT_WITHIN:
            return False
    return corners[0][0] < corners[2][0] and corners[0][1] < corners[2][1]


def clamped(point: tuple[float, float], size: tuple[int, int]) -> tuple[float, float]:
    """Return the point of a photo that is nearest to a point.

    >>> clamped((-5, 900), (1200, 800))
    (0.0, 800.0)
    """
    return min(max(point[0], 0.0), float(size[0])), min(max(point[1], 0.0), float(size[1]))


def rectangle(one: tuple[float, float], two: tuple[float, float]) -> Corners:
    """Return the upright rectangle between two points, whichever way they lie."""
    left, right = sorted((one[0], two[0]))
    top, bottom = sorted((one[1], two[1]))
    return ((left, top), (right, top), (right, bottom), (left, bottom))


def middle_of(corners: Corners) -> tuple[float, float]:
    """Return the middle of an outline."""
    return sum(x for x, _ in corners) / 4, sum(y for _, y in corners) / 4


def moved(corners: Corners, dx: float, dy: float, size: tuple[int, int]) -> Corners:
    """Return the outline moved, stopped by the edges of a photo of that width and height."""
    for axis, limit in ((0, size[0]), (1, size[1])):
        low, high = (edge(point[axis] for point in corners) for edge in (min, max))
        wanted = dx if axis == 0 else dy
        held = min(max(wanted, -low), limit - high) if high - low <= limit else 0.0
        dx, dy = (held, dy) if axis == 0 else (dx, held)
    return _each(corners, lambda x, y: (x + dx, y + dy))


def turned_by(corners: Corners, angle: float, size: tuple[int, int]) -> Corners:
    """Return the outline turned about its middle, clockwise in radians; unturned where it would leave the photo."""
    cx, cy = middle_of(corners)
    sine, cosine = math.sin(angle), math.cos(angle)
    made = _each(
        corners, lambda x, y: (cx + (x - cx) * cosine - (y - cy) * sine, cy + (x - cx) * sine + (y - cy) * cosine)
    )
    return made if _inside(made, size) else corners


def dragged(hold: Hold, to: tuple[float, float], size: tuple[int, int]) -> Corners:
    """Return the held outline with its hold taken to a point, as far as the photo and the least size allow."""
    to = clamped(to, size)
    if hold.grasp is Grasp.INSIDE:
        return moved(hold.corners, to[0] - hold.at[0], to[1] - hold.at[1], size)
    if hold.grasp is Grasp.TURN:
        cx, cy = middle_of(hold.corners)
        before, after = math.atan2(hold.at[1] - cy, hold.at[0] - cx), math.atan2(to[1] - cy, to[0] - cx)
        return turned_by(hold.corners, after - before, size)
    return _resized(hold, to, size)


def _resized(hold: Hold, to: tuple[float, float], size: tuple[int, int]) -> Corners:
    corners, number = hold.corners, hold.number
    fixed = corners[(number + 2) % 4] if hold.grasp is Grasp.CORNER else corners[(number + 3) % 4]
    along = _unit(corners[0], corners[1])
    across = _unit(corners[0], corners[3])
    spans = _in_axes(corners[number], fixed, along, across)
    there = (corners[number][0] + to[0] - hold.at[0], corners[number][1] + to[1] - hold.at[1])
    wanted = _in_axes(there, fixed, along, across)
    factors = [1.0, 1.0]
    for axis in (0, 1):
        moves = hold.grasp is Grasp.CORNER or axis == (1 if number % 2 == 0 else 0)
        if moves and abs(spans[axis]) > 1e-6:
            least = SMALLEST_SIDE / abs(spans[axis])
            factors[axis] = max(wanted[axis] / spans[axis], least)

    def scaled(x: float, y: float) -> tuple[float, float]:
        u, v = _in_axes((x, y), fixed, along, across)
        u, v = u * factors[0], v * factors[1]
        return fixed[0] + u * along[0] + v * across[0], fixed[1] + u * along[1] + v * across[1]

    made = _each(corners, scaled)
    return made if _inside(made, size) else corners


def _in_axes(
    point: tuple[float, float], origin: tuple[float, float], along: tuple[float, float], across: tuple[float, float]
) -> tuple[float, float]:
    x, y = point[0] - origin[0], point[1] - origin[1]
    whole = along[0] * across[1] - along[1] * across[0]
    if abs(whole) < 1e-9:
        return x, y
    return (x * across[1] - y * across[0]) / whole, (along[0] * y - along[1] * x) / whole


def _unit(one: tuple[float, float], two: tuple[float, float]) -> tuple[float, float]:
    length = math.hypot(two[0] - one[0], two[1] - one[1]) or 1.0
    return (two[0] - one[0]) / length, (two[1] - one[1]) / length


def _each(corners: Corners, change: Callable[[float, float], tuple[float, float]]) -> Corners:
    one, two, three, four = (change(x, y) for x, y in corners)
    return (one, two, three, four)


def _inside(corners: Corners, size: tuple[int, int]) -> bool:
    slack = 1e-6
    return all(-slack <= x <= size[0] + slack and -slack <= y <= size[1] + slack for x, y in corners)


def holds(corners: Corners, point: tuple[float, float]) -> bool:
    """Tell whether a point lies inside the outline."""
    sides = []
    for (x1, y1), (x2, y2) in zip(corners, corners[1:] + corners[:1], strict=True):
        sides.append((x2 - x1) * (point[1] - y1) - (y2 - y1) * (point[0] - x1))
    return all(side >= 0 for side in sides) or all(side <= 0 for side in sides)
