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

from colourcore.curve.forecast import Forecast, covariance_between, forecast, hour_of_odds
from colourcore.curve.normal import normal_odds
from colourcore.curve.piece import Acting
from colourcore.curve.settle import UNTOLD_SETTLING, UNTOLD_SETUP, Shift
from colourcore.curve.study import Study, target_spread
from colourcore.errors import InputError

__all__ = ["AfterLooks", "Look", "after_looks"]

Array = NDArray[np.float64]

_SPREAD_PLACES = np.linspace(-2.7, 2.7, 13)
_EVERY = 3
_DISAGREE = 3.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """A reading during the run.

    Attributes
    ----------
    hours
        Exposure up to the look, breaks not counted, above 0.
    lightness
        L* as read.
    variance
        Variance of L* that is this reading's own.
    piece
        Empty for the piece itself; else the name of the check piece.
    target_lightness, target_variance
        L* of the target read in the same photo, where it lies there: then the two are compared with each other and
        the set-up does not matter.
    setup
        How this photo's set-up reads against the samples' (see `settle.setup_shift`); not used beside a target.
    """

    hours: float
    lightness: float
    variance: float
    piece: str = ""
    target_lightness: float | None = None
    target_variance: float = 0.0
    setup: Shift = UNTOLD_SETUP

    def __post_init__(self) -> None:
        if not (math.isfinite(self.hours) and self.hours > 0):
            raise InputError(f"expected a look after more than 0 hours, got {self.hours:g}")
        for value in (self.lightness, *(() if self.target_lightness is None else (self.target_lightness,))):
            if not 0 <= value <= 100:
                raise InputError(f"expected L* from 0 to 100, got {value:g}")
        if not (0 <= self.variance < math.inf and 0 <= self.target_variance < math.inf):
            raise InputError("expected errors of the look of 0 or more")


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


@dataclass(frozen=True, slots=True)
class _State:
    """Weights of hypothesis × pace (H, P), and the piece minus the target over the board's hours, (H, P, T)."""

    weight: Array
    pace: Array
    mean: Array
    variance: Array
    surprise: float


@dataclass(slots=True)
class _Joint:
    """The piece over hours and the looks, jointly Gaussian under each hypothesis and pace; looks are taken in turn.

    `mean`, `variance` (H, P, T) of the piece minus the target; `toward` (looks, H, P, T) its covariance with each look;
    `misfit` (looks, H, P) of each look from what is expected of it; `among` (looks, looks, H, P).
    """

    mean: Array
    variance: Array
    toward: Array
    misfit: Array
    among: Array
    log_weight: Array

    def take(self, i: int) -> None:
        """Condition everything on look i (one row of a Kalman filter)."""
        spread, misfit = self.among[i, i].copy(), self.misfit[i].copy()
        gain = misfit / spread
        self.log_weight -= 0.5 * (gain * misfit + np.log(spread))
        pull = self.toward[i] / spread[:, :, None]
        self.mean += self.toward[i] * gain[:, :, None]
        self.variance -= self.toward[i] * pull
        for j in range(i + 1, len(self.misfit)):
            shared = self.among[i, j]
            self.misfit[j] -= shared * gain
            self.toward[j] -= pull * shared[:, :, None]
            for k in range(j, len(self.misfit)):
                self.among[j, k] -= shared * self.among[i, k] / spread

    def surprise(self, i: int) -> float:
        """Return how far look i lies from what the looks before it leave, in its SD."""
        weight = np.exp(self.log_weight - self.log_weight.max())
        weight /= weight.sum()
        centre = float((weight * self.misfit[i]).sum())
        variance = float((weight * (self.among[i, i] + (self.misfit[i] - centre) ** 2)).sum())
        return centre / math.sqrt(variance)


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
    return _read(view, ordered, _condition(view, ordered, acting, settling), acting, settling)


def _condition(view: Study, looks: list[Look], acting: Acting, settling: Shift) -> _State:
    pace = np.exp(max(acting.pace_spread, 1e-6) * _SPREAD_PLACES)
    joint = _joint(view, looks, pace, settling)
    surprise = 0.0
    for i in range(len(looks)):
        surprise = joint.surprise(i)
        joint.take(i)
    weight = np.exp(joint.log_weight - joint.log_weight.max())
    return _State(weight / weight.sum(), pace, joint.mean, np.maximum(joint.variance, 1e-8), surprise)


def _joint(view: Study, looks: list[Look], pace: Array, settling: Shift) -> _Joint:
    target = view.target
    assert target is not None  # checked by the only caller
    curve, own = _thin(view.curve), target_spread(view)
    scatter = curve.scatter**2
    count, rows = len(looks), scatter.size
    thin = view.posterior.thinned(_EVERY)
    places = (np.array([look.hours for look in looks])[:, None] * pace).ravel()  # (looks × paces)
    seen = forecast(thin, places, target)
    between = covariance_between(thin, np.concatenate([view.hours, places]), places, target)
    between = between.reshape(rows, -1, count, pace.size)
    with_curve, with_looks = between[:, : view.hours.size], between[:, view.hours.size :]
    with_looks = np.diagonal(with_looks.reshape(rows, count, pace.size, count, pace.size), axis1=2, axis2=4)
    read = [_comparable(look, target.L, settling) for look in looks]
    among = np.empty((count, count, rows, pace.size))
    toward = np.empty((count, rows, pace.size, view.hours.size))
    for i, one in enumerate(looks):
        beside = one.target_lightness is not None
        toward[i] = np.moveaxis(with_curve[:, :, i, :], 1, 2)
        toward[i] += ((0.0 if one.piece else 1.0) * scatter + own * beside)[:, None, None]
        for j, two in enumerate(looks):
            both = own * (beside and two.target_lightness is not None) + settling.standard_error**2
            among[i, j] = (
                with_looks[:, i, j]
                + ((one.piece == two.piece) * scatter + both + (read[i][1] if i == j else 0.0))[:, None]
            )
    level = np.array([value for value, _ in read])
    shape = (rows, pace.size, view.hours.size)
    return _Joint(
        mean=np.broadcast_to(curve.mean[:, None, :] - target.L, shape).copy(),
        variance=np.broadcast_to((curve.variance + scatter[:, None] + own)[:, None, :], shape).copy(),
        toward=toward,
        misfit=level[:, None, None] - np.moveaxis(seen.mean.reshape(rows, count, pace.size), 1, 0),
        among=among,
        log_weight=np.broadcast_to(-0.5 * _SPREAD_PLACES**2, (rows, pace.size)).copy(),
    )


def _thin(curve: Forecast) -> Forecast:
    return Forecast(
        hours=curve.hours,
        mean=curve.mean[::_EVERY],
        variance=curve.variance[::_EVERY],
        scatter=curve.scatter[::_EVERY],
    )


def _comparable(look: Look, target: float, settling: Shift) -> tuple[float, float]:
    """Return the look's L* as the samples would read, and the variance that it does not share with other looks."""
    if look.target_lightness is not None:
        level, variance = target - look.target_lightness, look.target_variance
    else:
        level, variance = look.setup.lightness, look.setup.standard_error**2
    return look.lightness + level + settling.lightness, look.variance + variance + 1e-6


def _read(view: Study, looks: list[Look], state: _State, acting: Acting, settling: Shift) -> AfterLooks:
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


def _level_now(hours: Array, now: float, state: _State) -> tuple[float, float]:
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
