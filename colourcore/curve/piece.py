"""The hours of the next piece in the run: the board's odds, widened by how pieces scatter and how a run's pace varies.

Everything that tells the maker when to act speaks of the piece.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from colourcore.curve.forecast import hour_of_odds, odds_past
from colourcore.curve.normal import normal_nodes
from colourcore.curve.outcome import Outcome
from colourcore.curve.study import Study, target_spread
from colourcore.errors import InputError

__all__ = [
    "INTERVALS",
    "Acting",
    "HourStep",
    "PieceHours",
    "SlowHour",
    "paced",
    "paces",
    "piece_answer",
    "piece_odds",
    "slow_hour",
]

Array = NDArray[np.float64]

INTERVALS = (0.5, 0.8, 0.9, 0.95)
_PACE_POINTS = 11


@dataclass(frozen=True, slots=True, kw_only=True)
class Acting:
    """What the maker has set about acting.

    Attributes
    ----------
    past_odds
        Odds of being past the target from which one should look.
    due_odds
        Odds of being past the target at which the piece is due out; one third where too dark counts double.
    pace_spread
        How far a run's pace strays from the test's, as the SD of its logarithm.
    slow_pace
        Darkening, in L* per hour, under which it counts as slowed.
    """

    past_odds: float = 0.1
    due_odds: float = 1.0 / 3.0
    pace_spread: float = 0.12
    slow_pace: float = 0.25

    def __post_init__(self) -> None:
        for word, chance in (("odds of being past", self.past_odds), ("odds at which it is due", self.due_odds)):
            if not 0 < chance < 1:
                raise InputError(f"expected {word} between 0 and 1, got {chance:g}")
        if not 0 <= self.pace_spread <= 1:
            raise InputError(f"expected a spread of the pace from 0 to 1, got {self.pace_spread:g}")
        if not (math.isfinite(self.slow_pace) and self.slow_pace > 0):
            raise InputError(f"expected a slow pace above 0 L* per hour, got {self.slow_pace:g}")


@dataclass(frozen=True, slots=True, kw_only=True)
class HourStep:
    """What one hour more and one hour less do at `hours`: the change in L*, and CIEDE2000 where colour is known."""

    hours: float
    more_lightness: float
    less_lightness: float
    more_delta_e: float | None
    less_delta_e: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class SlowHour:
    """When darkening has slowed for good to under `pace` L* an hour, with a 90 % interval; None beyond the horizon."""

    pace: float
    hours: float | None
    low: float | None
    high: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceHours:
    """The answer for the next piece in the run.

    Attributes
    ----------
    outcome
        As of the board, by the piece's own odds at the horizon.
    hours, low, high
        Where the odds of being past the target are one half, and the interval at the confidence; None where the
        outcome is not "reached", `high` also where that tail never arrives.
    look_from, due
        Where the odds of being past reach the odds set for them: wherever they do, whatever the outcome.
    p_reach
        Odds of being past at the horizon; None where nothing can be said.
    intervals
        (probability, low, high) for 50, 80, 90 and 95 %, ends None where they never arrive; empty unless reached.
    p_past
        Odds of being past at each of the hours of the board's curve; empty without a target.
    step
        What an hour more or less does when it is due (else at `hours`); None without either.
    slowed
        When darkening has slowed.
    scatter
        Scatter between pieces, SD in L*.
    pace_spread
        As set.
    """

    outcome: Outcome
    scatter: float
    pace_spread: float
    slowed: SlowHour | None = None
    hours: float | None = None
    low: float | None = None
    high: float | None = None
    look_from: float | None = None
    due: float | None = None
    p_reach: float | None = None
    intervals: tuple[tuple[float, float | None, float | None], ...] = ()
    p_past: tuple[float, ...] = ()
    step: HourStep | None = None


def paces(spread: float) -> tuple[Array, Array]:
    """Return paces and their odds for a log-normal law around 1 (Gauss-Hermite quadrature).

    >>> pace, odds = paces(0.12)
    >>> round(float(odds @ np.log(pace) ** 2), 6), round(float(odds.sum()), 12)
    (0.0144, 1.0)
    """
    if spread == 0:
        return np.ones(1), np.ones(1)
    places, weights = normal_nodes(_PACE_POINTS)
    return np.exp(spread * places), weights


def paced(hours: Array, odds: Array, spread: float) -> Array:
    """Return odds over hours of the test as odds over the clock hours of a run whose pace is uncertain.

    A pace of 1.1 does in one hour what the test did in 1.1. Beyond the last hour the odds are taken to stand still.
    """
    pace, weight = paces(spread)
    there = np.array([np.interp(hours * p, hours, odds) for p in pace])
    return np.asarray(np.maximum.accumulate(weight @ there))


def piece_odds(view: Study, spread: float) -> Array | None:
    """Return the odds of a piece of this board being past the target at each hour of the study; None without one."""
    if view.target is None:
        return None
    still = odds_past(view.curve, view.target.L, target_spread(view), of_piece=True)
    return paced(view.hours, still, spread)


def piece_answer(view: Study, outcome: Outcome, acting: Acting, points: int, odds: Array | None) -> PieceHours:
    """Return the piece's answer.

    Parameters
    ----------
    view
        The board against its target.
    outcome
        The board's outcome; what cannot be said of the board cannot be said of the piece.
    acting
        What the maker has set.
    points
        How many of the study's hours the board's curve shows.
    odds
        As of `piece_odds`.
    """
    scatter = view.posterior.scatter
    slowed = slow_hour(view, acting.slow_pace)
    if outcome is Outcome.CANNOT_SAY or odds is None:
        shown = () if odds is None else tuple(odds[:points].tolist())
        return PieceHours(
            outcome=Outcome.CANNOT_SAY,
            scatter=scatter,
            pace_spread=acting.pace_spread,
            slowed=slowed,
            p_past=shown,
        )
    p_reach = float(odds[-1])
    reached = p_reach >= 0.5

    def at(chance: float) -> float | None:
        return hour_of_odds(view.hours, odds, chance)

    def interval(inside: float) -> tuple[float, float | None, float | None]:
        return inside, at((1.0 - inside) / 2.0), at((1.0 + inside) / 2.0)

    own = interval(view.confidence) if reached else (view.confidence, None, None)
    hours, due = (at(0.5) if reached else None), at(acting.due_odds)
    acted = due if due is not None else hours
    return PieceHours(
        outcome=Outcome.REACHED if reached else Outcome.NOT_REACHED,
        hours=hours,
        low=own[1],
        high=own[2],
        look_from=at(acting.past_odds),
        due=due,
        p_reach=p_reach,
        intervals=tuple(interval(inside) for inside in INTERVALS) if reached else (),
        p_past=tuple(odds[:points].tolist()),
        step=None if acted is None else _step(view, acted),
        slowed=slowed,
        scatter=scatter,
        pace_spread=acting.pace_spread,
    )


def _step(view: Study, hours: float) -> HourStep:
    def change(other: float) -> tuple[float, float | None]:
        return view.lightness_at(other) - view.lightness_at(hours), view.path.delta_e_2000_between(hours, other)

    more, less = change(min(view.horizon, hours + 1.0)), change(max(0.0, hours - 1.0))
    return HourStep(
        hours=hours, more_lightness=more[0], less_lightness=less[0], more_delta_e=more[1], less_delta_e=less[1]
    )


def slow_hour(view: Study, pace: float) -> SlowHour:
    """Return when the average curve has slowed for good to under a pace in L* per hour.

    The interval is over the hypotheses, each by its own mean curve.
    """
    falls = -np.diff(view.curve.mean, axis=1) / np.diff(view.hours)
    fast = falls >= pace
    last = np.where(fast.any(axis=1), falls.shape[1] - np.argmax(fast[:, ::-1], axis=1), 0)
    ends = np.sort(np.append(view.hours[:-1], np.inf)[last])
    low, best, high = (float(ends[int(chance * (ends.size - 1))]) for chance in (0.05, 0.5, 0.95))
    return SlowHour(
        pace=pace,
        hours=best if math.isfinite(best) else None,
        low=low if math.isfinite(low) else None,
        high=high if math.isfinite(high) else None,
    )
