"""How much room there is: the hours during which the shade lies within a tolerance of the target."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from colourcore.colour.difference import delta_e_2000
from colourcore.curve.normal import normal_odds
from colourcore.curve.piece import Acting, paces
from colourcore.curve.study import Study, target_spread
from colourcore.errors import InputError

__all__ = ["Tolerance", "Window", "window"]

Array = NDArray[np.float64]

_EVERY = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Tolerance:
    """How far off is still right: a CIEDE2000, or else so many times the board's own scatter, in L*.

    The scatter of colour within one face of wood is about 2 ΔE*ab (Buchelt, Wagenführ 2012,
    doi 10.1007/s00107-011-0545-z), a natural unit for it.
    """

    delta_e: float | None = 2.0
    scatters: float = 1.0

    def __post_init__(self) -> None:
        value = self.scatters if self.delta_e is None else self.delta_e
        if not (math.isfinite(value) and value > 0):
            raise InputError(f"expected a tolerance above 0, got {value:g}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Window:
    """The hours within a tolerance.

    Attributes
    ----------
    from_hours, to_hours
        When the board's median enters and leaves the tolerance; None where it never enters, or does not leave.
    best_hours, best_odds
        The hour with the best odds of a piece lying within, and these odds.
    p_within
        Odds of a piece lying within at each hour of the curve.
    half_width
        The tolerance in L* at the best hour; 0 where the colour alone is already outside.
    """

    from_hours: float | None
    to_hours: float | None
    best_hours: float
    best_odds: float
    p_within: tuple[float, ...]
    half_width: float


def window(view: Study, tolerance: Tolerance, acting: Acting, points: int) -> Window | None:
    """Return the hours within the tolerance; None without a target, or without colour where ΔE00 needs it."""
    target = view.target
    if target is None:
        return None
    room = _room(view, tolerance)
    if room is None:
        return None
    inside = np.abs(view.lightness[1] - target.L) <= room
    inside &= room > 0
    entered, left = _ends(view, target.L, room, inside)
    odds = _odds_within(view, target.L, room, acting.pace_spread)
    best = int(np.argmax(odds))
    return Window(
        from_hours=entered,
        to_hours=left,
        best_hours=float(view.hours[best]),
        best_odds=float(odds[best]),
        p_within=tuple(odds[:points].tolist()),
        half_width=float(room[best]),
    )


def _room(view: Study, tolerance: Tolerance) -> Array | None:
    """Return how far L* may be off at each hour once a* and b* have taken their part of the tolerance, (T,)."""
    target, path = view.target, view.path
    if target is None:
        return None
    if tolerance.delta_e is None:
        return np.full(view.hours.size, tolerance.scatters * view.posterior.scatter)
    if target.a is None or target.b is None:
        # lightness alone was asked for: the weight of L* in CIEDE2000 at the target
        return np.full(view.hours.size, tolerance.delta_e / float(delta_e_2000((target.L + 1, 0, 0), (target.L, 0, 0))))
    if path.a is None or path.b is None:
        return None
    at = np.column_stack([np.full(view.hours.size, target.L), path.a, path.b])
    colour = delta_e_2000(at, (target.L, target.a, target.b))
    per_lightness = delta_e_2000(at + np.array([1.0, 0.0, 0.0]), at)
    return np.asarray(np.sqrt(np.maximum(0.0, tolerance.delta_e**2 - colour**2)) / per_lightness)


def _ends(view: Study, target: float, room: Array, inside: NDArray[np.bool_]) -> tuple[float | None, float | None]:
    if not inside.any():
        return None, None
    gap = np.abs(view.lightness[1] - target) - room
    first, last = int(np.argmax(inside)), inside.size - 1 - int(np.argmax(inside[::-1]))

    def crossing(outer: int, inner: int) -> float:
        part = gap[outer] / (gap[outer] - gap[inner]) if gap[outer] > gap[inner] else 0.0
        return float(view.hours[outer] + part * (view.hours[inner] - view.hours[outer]))

    entered = float(view.hours[0]) if first == 0 else crossing(first - 1, first)
    return entered, None if last == inside.size - 1 else crossing(last + 1, last)


def _odds_within(view: Study, target: float, room: Array, pace_spread: float) -> Array:
    mean, scatter = view.curve.mean[::_EVERY] - target, view.curve.scatter[::_EVERY, None]
    spread = np.sqrt(view.curve.variance[::_EVERY] + scatter**2 + target_spread(view))
    still = (normal_odds((room - mean) / spread) - normal_odds((-room - mean) / spread)).mean(axis=0)
    pace, weight = paces(pace_spread)
    return np.asarray(weight @ np.array([np.interp(view.hours * p, view.hours, still) for p in pace]))
