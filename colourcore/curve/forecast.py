"""From what the readings leave possible to the lightness at any hour, and the odds of being past a target."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from colourcore.curve.fit import Posterior, Target, shared_covariance
from colourcore.curve.normal import normal_odds, normal_quantile
from colourcore.curve.priors import discrepancy
from colourcore.curve.shapes import shape_table

__all__ = [
    "Forecast",
    "covariance_between",
    "forecast",
    "hour_axis",
    "hour_of_odds",
    "odds_past",
    "quantiles",
    "target_variance",
]

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


@dataclass(frozen=True, slots=True)
class _Place:
    """Hours as the readings see them: prior covariance with the readings (T, n), and shares of the change (H, T)."""

    near: Array
    shares: Array


def _place(posterior: Posterior, hours: Array, target: Target | None) -> _Place:
    chosen = posterior.selection
    near = discrepancy(hours, posterior.evidence.hours, posterior.scale, posterior.priors)
    if target is not None:
        near = near + shared_covariance([target], posterior.samples, 0)
    with np.errstate(divide="ignore"):
        log_time = np.log(hours)[None, :] - chosen.log_half_hours[:, None]
    return _Place(near, shape_table().at(chosen.shape[:, None], log_time))


def _in_common(posterior: Posterior, target: Target | None) -> float:
    """Return the variance that a reading in the target's photo has from the photo, where samples lie in it too."""
    if target is None or not shared_covariance([target], posterior.samples, 0).any():
        return 0.0
    return target.shared[0][0]


def _by_noise(posterior: Posterior) -> Iterator[tuple[NDArray[np.intp], Array]]:
    """Yield the hypotheses that weigh the readings alike, as rows and their weights (n, n)."""
    chosen = posterior.selection
    order = np.argsort(chosen.noise, kind="stable")
    bounds = np.searchsorted(chosen.noise[order], np.arange(len(chosen.weights) + 1))
    for weights, low, high in zip(chosen.weights, bounds[:-1], bounds[1:], strict=True):
        yield order[low:high], weights


def forecast(posterior: Posterior, hours: Array, target: Target | None = None) -> Forecast:
    """Return the average curve at these hours.

    Gaussian process regression with a linear mean (Rasmussen, Williams, Gaussian Processes for Machine Learning,
    2006, section 2.7).
    """
    chosen = posterior.selection
    place = _place(posterior, hours, target)
    own = posterior.priors.discrepancy**2 + _in_common(posterior, target)
    mean, variance = np.empty_like(place.shares), np.empty_like(place.shares)
    excess = posterior.evidence.lightness - chosen.raw[:, None] + chosen.depth[:, None] * chosen.shares
    for rows, weights in _by_noise(posterior):
        pull = place.near @ weights
        one = 1.0 - pull.sum(axis=1)
        share = place.shares[rows] - chosen.shares[rows] @ pull.T
        mean[rows] = excess[rows] @ pull.T - chosen.depth[rows, None] * place.shares[rows]
        spread = own - (pull * place.near).sum(axis=1) + chosen.raw_variance[rows, None] * one**2
        variance[rows] = (
            spread + (chosen.depth_variance[rows, None] * share - chosen.cross[rows, None] * 2 * one) * share
        )
    mean += chosen.raw[:, None]
    return Forecast(hours=hours, mean=mean, variance=np.maximum(variance, 1e-8), scatter=chosen.scatter)


def covariance_between(posterior: Posterior, hours: Array, others: Array, target: Target | None = None) -> Array:
    """Return the covariance of the average curve at hours with that at other hours under each hypothesis, (H, T, S)."""
    chosen = posterior.selection
    here, there = _place(posterior, hours, target), _place(posterior, others, target)
    prior = discrepancy(hours, others, posterior.scale, posterior.priors) + _in_common(posterior, target)
    found = np.empty((chosen.shape.size, hours.size, others.size))
    for rows, weights in _by_noise(posterior):
        pull_here, pull_there = here.near @ weights, there.near @ weights
        one_here, one_there = 1.0 - pull_here.sum(axis=1), 1.0 - pull_there.sum(axis=1)
        share_here = here.shares[rows] - chosen.shares[rows] @ pull_here.T
        share_there = there.shares[rows] - chosen.shares[rows] @ pull_there.T
        raw, depth, cross = (v[rows, None] for v in (chosen.raw_variance, chosen.depth_variance, chosen.cross))
        with_one = raw * one_there - cross * share_there
        with_share = depth * share_there - cross * one_there
        found[rows] = prior - pull_here @ there.near.T
        found[rows] += one_here[:, None] * with_one[:, None, :] + share_here[:, :, None] * with_share[:, None, :]
    return found


def target_variance(target: Target, posterior: Posterior) -> float:
    """Return the variance of the target's L* that does not cancel against the readings."""
    return target.covariance[0][0] + target.shared[0][0] - _in_common(posterior, target)


def odds_past(curve: Forecast, lightness: float, variance: float, *, of_piece: bool = False) -> Array:
    """Return the odds, never falling with time, of being darker than a lightness known to within a variance, (T,).

    Of the board's average curve, or of a single piece that scatters about it.
    """
    spread = curve.variance + variance
    if of_piece:
        spread = spread + (curve.scatter**2)[:, None]
    score = lightness - curve.mean
    score /= np.sqrt(spread)
    odds = normal_odds(score).mean(axis=0)
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
    hours = np.arange(0, curve.hours.size, 2)
    mean, variance = curve.mean[::_QUANTILE_STEP, hours], curve.variance[::_QUANTILE_STEP, hours]
    centre = mean.mean(axis=0)
    spread = np.sqrt(variance.mean(axis=0) + mean.var(axis=0))
    levels = centre + _LEVELS[:, None] * spread
    odds = normal_odds((levels[:, None, :] - mean) / np.sqrt(variance)).mean(axis=1)
    scores = np.maximum.accumulate(normal_quantile(odds), axis=0)
    wanted = normal_quantile(list(chances))
    found = np.array([np.interp(wanted, scores[:, t], _LEVELS) for t in range(hours.size)])
    axis = np.arange(curve.hours.size)
    whole = [np.interp(axis, hours, centre + spread * place) for place in found.T]
    return np.asarray(np.minimum.accumulate(whole, axis=1))
