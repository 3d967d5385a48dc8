"""Where things stand in the rows of *Samples*: columns for any width, and the one axis of lightness."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

__all__ = ["Columns", "LightnessAxis", "columns_for", "lightness_axis"]

_BENCH = {"full": 330.0, "small": 216.0, "folded": 122.0}
_HOURS, _WHERE, _LIGHTNESS, _COLOUR = 66.0, 158.0, 104.0, 94.0
_LEAST_BESIDE = 300.0
_REMARK_SHARE, _LEAST_REMARK, _MOST_REMARK = 0.4, 118.0, 230.0
_GAP = 18.0
_TICK_ROOM = 38.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Columns:
    """Left edges of the columns in logical pixels; `a` and `b` are None where there is no room for them.

    `bench` is how wide the bench with the wood is, `wood` where the wood begins on it; `hill_left` to `hill_right`
    is the axis of lightness, `remark` to `right` the last column.
    """

    bench: float
    wood: float
    hours: float
    where: float
    L: float
    a: float | None
    b: float | None
    hill_left: float
    hill_right: float
    remark: float
    right: float


def columns_for(width: float, margin: float, measure: str) -> Columns:
    """Return the columns of a table so wide; `measure` is the name of the window's measures."""
    bench = _BENCH[measure]
    left = bench + (24.0 if measure == "full" else 14.0)
    right = max(width - margin, left + 400.0)
    where = left + _HOURS
    lightness = where + _WHERE
    beside = right - lightness - _LIGHTNESS
    coloured = beside - 2 * _COLOUR >= _LEAST_BESIDE
    hill_left = lightness + _LIGHTNESS + (2 * _COLOUR if coloured else 0.0)
    rest = right - hill_left
    remark = min(max(_REMARK_SHARE * rest, _LEAST_REMARK), _MOST_REMARK)
    return Columns(
        bench=bench,
        wood=margin,
        hours=left,
        where=where,
        L=lightness,
        a=lightness + _LIGHTNESS if coloured else None,
        b=lightness + _LIGHTNESS + _COLOUR if coloured else None,
        hill_left=hill_left,
        hill_right=right - remark - _GAP,
        remark=right - remark,
        right=right,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class LightnessAxis:
    """L* along a line, light at the left as raw wood is the first; `ticks` are the L* that are named."""

    light: float
    dark: float
    left: float
    right: float
    ticks: tuple[int, ...]

    def x(self, lightness: float) -> float:
        """Return where an L* stands.

        >>> LightnessAxis(light=80.0, dark=30.0, left=0.0, right=100.0, ticks=()).x(55.0)
        50.0
        """
        return self.left + (self.light - lightness) / (self.light - self.dark) * (self.right - self.left)


def lightness_axis(lightness: Iterable[float], left: float, right: float) -> LightnessAxis:
    """Return an axis that holds these L*, ends on multiples of five, and as many names as there is room for.

    >>> lightness_axis([41.2, 73.9], 0.0, 300.0).ticks
    (75, 70, 65, 60, 55, 50, 45, 40)
    """
    held = list(lightness) or [30.0, 80.0]
    light, dark = 5 * math.ceil(max(held) / 5), 5 * math.floor(min(held) / 5)
    light, dark = min(light, 100), max(dark, 0)
    if light - dark < 10:
        light, dark = min(light + 5, 100), max(dark - 5, 0)
    room = (right - left) / (light - dark)
    step = next((s for s in (5, 10, 20) if s * room >= _TICK_ROOM), 50)
    ticks = tuple(tick for tick in range(light, dark - 1, -5) if tick % step == 0)
    return LightnessAxis(light=float(light), dark=float(dark), left=left, right=right, ticks=ticks)
