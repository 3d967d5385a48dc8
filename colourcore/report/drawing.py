"""A drawing as a value: what PDF and HTML both paint. Lengths are points (1/72 inch), y grows downwards."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from enum import Enum

import numpy as np
from numpy.typing import ArrayLike, NDArray

from colourcore.colour.spaces import XYZ_TO_SRGB, lab_to_xyz, srgb_encode
from colourcore.report.lettering import Weight

__all__ = [
    "BAND",
    "BENCH",
    "FAINT",
    "INK",
    "LINE",
    "ODDS",
    "PAPER",
    "QUIET",
    "RULE",
    "Anchor",
    "Area",
    "Dot",
    "Drawing",
    "Mark",
    "Pen",
    "Picture",
    "Point",
    "Stroke",
    "Words",
    "box",
    "dashes",
    "hatching",
    "lab_codes",
    "lab_colour",
    "shifted",
]

Point = tuple[float, float]

INK, QUIET, LINE, FAINT = "#141414", "#474747", "#828282", "#d2d2d2"
"""Ink, second ink, lines, and the faint grid."""

BAND, ODDS, BENCH, RULE, PAPER = "#c9c9c9", "#3a3a3a", "#bdbdbd", "#dadada", "#ffffff"
"""Fill of bands and of odds; the grey that wood lies on (L* 76.6) and the rule on it; paper."""


class Anchor(Enum):
    """Which end of the words stands at their point."""

    START = "start"
    MIDDLE = "middle"
    END = "end"


@dataclass(frozen=True, slots=True, kw_only=True)
class Pen:
    """How a line is drawn: width in points, ink as #rrggbb, dash lengths in points (none for a solid line)."""

    width: float = 0.75
    ink: str = INK
    dash: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Stroke:
    """An open line through points."""

    points: tuple[Point, ...]
    pen: Pen


@dataclass(frozen=True, slots=True, kw_only=True)
class Area:
    """A closed shape; no fill means paper shows through."""

    points: tuple[Point, ...]
    fill: str | None = None
    pen: Pen | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Dot:
    """A disc or ring."""

    x: float
    y: float
    radius: float
    fill: str | None = None
    pen: Pen | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Words:
    """A line of text; (x, y) is on its baseline."""

    x: float
    y: float
    text: str
    size: float = 8.0
    weight: Weight = Weight.REGULAR
    ink: str = INK
    anchor: Anchor = Anchor.START


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Picture:
    """Pixels stretched over a box: uint8 sRGB of shape (rows, columns, 3).

    `lossless` keeps them exactly; `described` says what they show to somebody who cannot see them.
    """

    x: float
    y: float
    width: float
    height: float
    pixels: NDArray[np.uint8]
    lossless: bool = False
    described: str = "wood"


Mark = Stroke | Area | Dot | Words | Picture


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Drawing:
    """Marks in the order they are painted, and what somebody who cannot see them is told."""

    width: float
    height: float
    description: str
    marks: tuple[Mark, ...] = field(default=())


def box(x: float, y: float, width: float, height: float, *, fill: str | None = None, pen: Pen | None = None) -> Area:
    """Return an upright rectangle."""
    return Area(points=((x, y), (x + width, y), (x + width, y + height), (x, y + height)), fill=fill, pen=pen)


def hatching(x: float, y: float, width: float, height: float, *, pen: Pen, step: float = 4.0) -> Iterable[Stroke]:
    """Yield the slanted lines that hatch a box, `step` apart along its sides.

    >>> len(list(hatching(0, 0, 8, 4, pen=Pen(), step=4)))
    2
    """
    if width <= 0 or height <= 0:
        return
    for number in range(1, math.ceil((width + height) / step)):
        reach = number * step
        low, high = max(0.0, reach - width), min(height, reach)
        yield Stroke(points=((x + reach - low, y + low), (x + reach - high, y + high)), pen=pen)


def lab_codes(lab: ArrayLike) -> NDArray[np.uint8]:
    """Return sRGB codes of shape (..., 3) of L*, a*, b* under D65; what lies outside sRGB goes to its edge.

    >>> lab_codes([49.496, 0.0, 0.0]).tolist()
    [118, 118, 118]
    """
    linear = lab_to_xyz(lab) @ XYZ_TO_SRGB.T
    return np.asarray(np.round(255 * np.clip(srgb_encode(linear), 0.0, 1.0)), dtype=np.uint8)


def lab_colour(lab: Sequence[float | None]) -> str:
    """Return #rrggbb of L*, a*, b*; a* or b* that is unknown counts as 0.

    >>> lab_colour((100.0, None, None))
    '#ffffff'
    """
    red, green, blue = lab_codes([part or 0.0 for part in lab]).tolist()
    return f"#{red:02x}{green:02x}{blue:02x}"


def shifted(marks: Iterable[Mark], right: float, down: float) -> tuple[Mark, ...]:
    """Return the marks moved by so many points.

    >>> shifted([Words(x=1.0, y=2.0, text="h")], 10.0, 20.0)[0].y
    22.0
    """
    moved: list[Mark] = []
    for mark in marks:
        if isinstance(mark, Stroke | Area):
            moved.append(replace(mark, points=tuple((x + right, y + down) for x, y in mark.points)))
        else:
            moved.append(replace(mark, x=mark.x + right, y=mark.y + down))
    return tuple(moved)


def dashes(points: Sequence[Point], pattern: Sequence[float]) -> list[tuple[Point, ...]]:
    """Cut a line into the pieces that a dash pattern leaves, for a painter that knows no such patterns.

    >>> dashes([(0.0, 0.0), (10.0, 0.0)], (4.0, 2.0))
    [((0.0, 0.0), (4.0, 0.0)), ((6.0, 0.0), (10.0, 0.0))]
    """
    pieces: list[tuple[Point, ...]] = []
    current: list[Point] = [points[0]]
    step, left = 0, pattern[0]
    for (x, y), (next_x, next_y) in itertools.pairwise(points):
        length = math.hypot(next_x - x, next_y - y)
        done = 0.0
        while length - done > left:
            done += left
            place = (x + (next_x - x) * done / length, y + (next_y - y) * done / length)
            if step % 2 == 0:
                pieces.append((*current, place))
            current = [place]
            step += 1
            left = pattern[step % len(pattern)]
        left -= length - done
        current.append((next_x, next_y))
    if step % 2 == 0 and len(current) > 1:
        pieces.append(tuple(current))
    return pieces
