"""A look in the run: a reading of the drawn piece, or of a check piece, sharpens the hours that are left.

The same hypotheses as for the board are weighed again, each with every pace that the run may have; given both, a look
is one more Gaussian reading. A piece keeps its own offset from the board's average from look to look.

A look is of age zero, and the samples were read after they had settled: a sample photographed at once and again at the
fixed delay tells that shift. Without one the look carries an untold offset, as it does from another set-up.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from colourcore.curve.condition import Look, RunState, condition
from colourcore.curve.forecast import hour_of_odds
from colourcore.curve.normal import normal_odds
from colourcore.curve.piece import Acting
from colourcore.curve.settle import UNTOLD_SETTLING, UNTOLD_SETUP, Shift
from colourcore.curve.study import Study
from colourcore.errors import InputError

__all__ = ["AfterLooks", "Look", "after_looks"]

Array = NDArray[np.float64]

_DISAGREE = 3.0


@dataclass(frozen=True, slots=True, kw_only=True)
class AfterLooks:
    """The piece's odds after the looks; hours are clock hours of exposure since the run began.

    Attributes
    ----------
    now_hours
        Hours of the last look.
    p_past_now
        Odds that the piece is past the target already.
    hours, low, high, look_from, due
        As of `PieceHours`, but none before `now_hours`; None where the odds do not get there within the horizon.
    p_reach
        Odds of being past the target at the horizon.
    axis_hours, p_past
        Odds over hours.
    pace, pace_low, pace_high
        The run's pace against the test's: median and 90 % interval.
    lightness, lightness_error
        L* of the piece now, as the settled samples read, and its SD.
    surprise
        By how many SD the last look differs from what was forecast before it.
    notes
        What a maker must know beside the numbers.
    """

    now_hours: float
    p_past_now: float
    hours: float | None
    low: float | None
    high: float | None
    look_from: float | None
    due: float | None
    p_reach: float
    axis_hours: tuple[float, ...]
    p_past: tuple[float, ...]
    pace: float
    pace_low: float
    pace_high: float
    lightness: float
    lightness_error: float
    surprise: float
    notes: tuple[str, ...] = ()


def after_looks(
    view: Study, looks: Sequence[Look], acting: Acting | None = None, settling: Shift = UNTOLD_SETTLING
) -> AfterLooks:
    """Return the odds of the piece after looks at it or at check pieces.

    Parameters
    ----------
    view
        The board and its target.
    looks
        At least one, in any order.
    acting
        What the maker has set.
    settling
        The shift of `settle.age_shift`; without pairs the stated untold offset.

    Raises
    ------
    InputError
        Without a look or without a target.
    """
    if not looks:
        raise InputError("expected at least one look, got none")
    if view.target is None:
        raise InputError("expected a target to compare the look with, got none")
    acting = Acting() if acting is None else acting
    ordered = sorted(looks, key=lambda look: (look.hours, look.lightness, look.variance, look.piece))
    return _read(view, ordered, condition(view, ordered, acting.pace_spread, settling), acting, settling)


def _read(view: Study, looks: list[Look], state: RunState, acting: Acting, settling: Shift) -> AfterLooks:
    hours, now = view.hours, looks[-1].hours
    target = view.target
    assert target is not None  # checked by the only caller
    past = (state.weight[:, :, None] * normal_odds(-state.mean / np.sqrt(state.variance))).sum(axis=0)
    clock = [np.interp(hours * pace, hours, odds) for pace, odds in zip(state.pace, past, strict=True)]
    odds = np.maximum.accumulate(np.sum(clock, axis=0))

    def at(chance: float) -> float | None:
        found = hour_of_odds(hours, odds, chance)
        return None if found is None else max(now, found)

    by_pace = state.weight.sum(axis=0)
    shares = np.cumsum(by_pace) - by_pace / 2
    level, error = _level_now(hours, now, state)
    tail = (1.0 - view.confidence) / 2.0
    return AfterLooks(
        now_hours=now,
        p_past_now=float(np.interp(now, hours, odds)),
        hours=at(0.5),
        low=at(tail),
        high=at(1.0 - tail),
        look_from=at(acting.past_odds),
        due=at(acting.due_odds),
        p_reach=float(odds[-1]),
        axis_hours=tuple(hours.tolist()),
        p_past=tuple(odds.tolist()),
        pace=float(np.interp(0.5, shares, state.pace)),
        pace_low=float(np.interp(0.05, shares, state.pace)),
        pace_high=float(np.interp(0.95, shares, state.pace)),
        lightness=target.L + level,
        lightness_error=error,
        surprise=state.surprise,
        notes=_notes(looks, settling, state.surprise),
    )


def _notes(looks: list[Look], settling: Shift, surprise: float) -> tuple[str, ...]:
    notes = []
    if not settling.told:
        notes.append(
            "The look is fresh from the vapour and the samples had settled. How far this wood settles was not told, so "
            f"an offset of about {settling.standard_error:.1f} L* either way is allowed for, and the hours stay wide: "
            "photograph one sample at once and again at the fixed delay."
        )
    if any(look.target_lightness is None and not look.setup.told for look in looks):
        notes.append(
            "A look without the target in its photo may read off by another light: about "
            f"{UNTOLD_SETUP.standard_error:.1f} L* either way is allowed for. "
            "Lay the target, or a raw and a dark sample, beside it."
        )
    if all(look.piece for look in looks):
        notes.append(
            "Only check pieces were read. They tell the run's pace and not the piece's own shade: "
            "a look at the piece itself narrows the hours far more."
        )
    if abs(surprise) > _DISAGREE:
        side = "lighter" if surprise > 0 else "darker"
        notes.append(
            f"The last look is {side} than the forecast by {abs(surprise):.1f} times what the odds allow for: "
            "check the photograph, the hours and the charge before going by either."
        )
    return tuple(notes)


def _level_now(hours: Array, now: float, state: RunState) -> tuple[float, float]:
    """Return the piece minus the target now, and its SD."""
    chance, level, variance = [], [], []
    for index, pace in enumerate(state.pace):
        after = int(np.clip(np.searchsorted(hours, now * pace), 1, hours.size - 1))
        part = min(1.0, (now * pace - hours[after - 1]) / (hours[after] - hours[after - 1]))
        chance.append(state.weight[:, index])
        level.append((1 - part) * state.mean[:, index, after - 1] + part * state.mean[:, index, after])
        variance.append(state.variance[:, index, after])
    weight, mean = np.array(chance), np.array(level)
    centre = float((weight * mean).sum())
    return centre, math.sqrt(float((weight * (np.array(variance) + (mean - centre) ** 2)).sum()))
