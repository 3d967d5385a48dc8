"""From what the readings leave possible to the lightness at any hour, and the odds of being past a target."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from colourcore.curve.fit import Posterior, Target, shared_covariance
from colourcore.curve.grid import discrepancy
from colourcore.curve.normal import normal_odds, normal_quantile
from colourcore.curve.shapes import shape_table

__all__ = ["Forecast", "forecast", "hour_axis", "hour_of_odds", "odds_past", "quantiles", "target_variance"]

Array = NDArray[np.float64]

_LEVELS = np.linspace(-3.2, 3.2, 9)
_QUANTILE_STEP = 5
_AXIS_POINTS = 97


@dataclass(frozen=True, slots=True, kw_only=True)
class Forecast:
    """The average curve of the board at T hours, under each of H hypotheses.

    Attributes
    ----------
    hours
        Rising, from 0, (T,).
    mean, variance
        L* and its variance given the hypothesis, (H, T). With a target in a photo of samples, L* stands as that photo
        shows it, so that what the photo shares cancels between the two.
    scatter
        SD between pieces under each hypothesis, (H,).
    """

    hours: Array
    mean: Array
    variance: Array
    scatter: Array


def hour_axis(posterior: Posterior, end_hours: float, points: int = _AXIS_POINTS) -> Array:
    """Return hours from 0 to the end, evenly spaced on log(1 + hours/scale)."""
    scale = posterior.scale / 2.0
    hours = scale * np.expm1(np.linspace(0.0, np.log1p(end_hours / scale), points))
    hours[-1] = end_hours
    return hours


def forecast(posterior: Posterior, hours: Array, target: Target | None = None) -> Forecast:
    """Return the average curve at these hours (Gaussian process regression with a linear mean; Rasmussen, Williams,
    Gaussian Processes for Machine Learning, 2006, section 2.7).
    """
    chosen, priors = posterior.selection, posterior.priors
    with np.errstate(divide="ignore"):
        log_time = np.log(hours)[None, :] - chosen.log_half_hours[:, None]
    shares = shape_table().at(chosen.shape[:, None], log_time)
    near = discrepancy(hours, posterior.evidence.hours, posterior.scale, priors)
    own = np.full(hours.size, priors.discrepancy**2)
    if target is not None:
        together = shared_covariance([target], posterior.samples, 0)
        if together.any():
            near, own = near + together, own + target.shared[0][0]
    mean, variance = np.empty_like(shares), np.empty_like(shares)
    excess = posterior.evidence.lightness - chosen.raw[:, None] + chosen.depth[:, None] * chosen.shares
    order = np.argsort(chosen.noise, kind="stable")
    bounds = np.searchsorted(chosen.noise[order], np.arange(len(chosen.weights) + 1))
    for weights, low, high in zip(chosen.weights, bounds[:-1], bounds[1:], strict=True):
        rows = order[low:high]
        pull = near @ weights
        drift = excess[rows] @ pull.T
        one = 1.0 - pull.sum(axis=1)
        share = shares[rows] - chosen.shares[rows] @ pull.T
        mean[rows] = chosen.raw[rows, None] - chosen.depth[rows, None] * shares[rows] + drift
        spread = own - (pull * near).sum(axis=1) + chosen.raw_variance[rows, None] * one**2
        spread = spread - 2.0 * (chosen.cross[rows, None] * one) * share
        variance[rows] = np.maximum(spread + chosen.depth_variance[rows, None] * share**2, 1e-8)
    return Forecast(hours=hours, mean=mean, variance=variance, scatter=chosen.scatter)


def target_variance(target: Target, posterior: Posterior) -> float:
    """Return the variance of the target's L* that does not cancel against the readings."""
    cancels = shared_covariance([target], posterior.samples, 0).any()
    return target.covariance[0][0] + (0.0 if cancels else target.shared[0][0])


def odds_past(curve: Forecast, lightness: float, variance: float, *, of_piece: bool = False) -> Array:
    """Return the odds, never falling with time, of being darker than a lightness known to within a variance, (T,).

    Of the board's average curve, or of a single piece that scatters about it.
    """
    spread = curve.variance + variance
    if of_piece:
        spread = spread + (curve.scatter**2)[:, None]
    odds = normal_odds((lightness - curve.mean) / np.sqrt(spread)).mean(axis=0)
    return np.asarray(np.maximum.accumulate(odds))


def hour_of_odds(hours: Array, odds: Array, wanted: float) -> float | None:
    """Return the hour at which never-falling odds reach a value; 0 if from the start, None if never.

    Between two hours it is linear in the normal score of the odds and in the square root of the hours.

    >>> hour_of_odds(np.array([0.0, 1.0, 4.0]), np.array([0.1, 0.3, 0.5]), 0.5)
    4.0
    """
    if odds[0] >= wanted:
        return 0.0
    if odds[-1] < wanted:
        return None
    after = int(np.searchsorted(odds, wanted))
    scores = normal_quantile([odds[after - 1], odds[after], wanted])
    part = (scores[2] - scores[0]) / (scores[1] - scores[0]) if scores[1] > scores[0] else 1.0
    roots = np.sqrt(hours[after - 1 : after + 1])
    return float((roots[0] + np.clip(part, 0.0, 1.0) * (roots[1] - roots[0])) ** 2)


def quantiles(curve: Forecast, chances: Sequence[float]) -> Array:
    """Return the lightness that the board's curve lies below with each probability, never rising with time, (Q, T)."""
    mean, variance = curve.mean[::_QUANTILE_STEP], curve.variance[::_QUANTILE_STEP]
    centre = mean.mean(axis=0)
    spread = np.sqrt(variance.mean(axis=0) + mean.var(axis=0))
    levels = centre + _LEVELS[:, None] * spread
    odds = normal_odds((levels[:, None, :] - mean[None]) / np.sqrt(variance)[None]).mean(axis=1)
    scores = np.maximum.accumulate(normal_quantile(odds), axis=0)
    wanted = normal_quantile(list(chances))
    found = np.array([np.interp(wanted, scores[:, t], levels[:, t]) for t in range(curve.hours.size)]).T
    return np.asarray(np.minimum.accumulate(found, axis=1))
