"""Weighing the hypotheses again by looks in the run: each with every pace, one Kalman row for each look."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from colourcore.curve.forecast import Forecast, covariance_between, forecast
from colourcore.curve.settle import UNTOLD_SETUP, Shift
from colourcore.curve.study import Study, target_spread
from colourcore.errors import InputError

__all__ = ["Look", "RunState", "condition"]

Array = NDArray[np.float64]

_SPREAD_PLACES = np.linspace(-2.7, 2.7, 13)
_EVERY = 3


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


@dataclass(frozen=True, slots=True)
class RunState:
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


def condition(view: Study, looks: Sequence[Look], pace_spread: float, settling: Shift) -> RunState:
    """Return what the looks, sorted by hours, leave of the run whose pace may stray so far (SD of its logarithm)."""
    pace = np.exp(max(pace_spread, 1e-6) * _SPREAD_PLACES)
    joint = _joint(view, looks, pace, settling)
    surprise = 0.0
    for i in range(len(looks)):
        surprise = joint.surprise(i)
        joint.take(i)
    weight = np.exp(joint.log_weight - joint.log_weight.max())
    return RunState(weight / weight.sum(), pace, joint.mean, np.maximum(joint.variance, 1e-8), surprise)


def _joint(view: Study, looks: Sequence[Look], pace: Array, settling: Shift) -> _Joint:
    target = view.target
    assert target is not None  # after_looks has checked
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
