"""The closed form: raw lightness and depth of change given a shape, a half time, a scatter and a suspect.

Bayesian linear regression (e.g. Bishop, Pattern Recognition and Machine Learning, 2006, section 3.5), arranged so that
all scatters and all suspects share one turn of the readings.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from colourcore.curve.normal import normal_odds
from colourcore.curve.priors import SCATTERS, Priors, discrepancy

__all__ = [
    "Evidence",
    "Sums",
    "Whitened",
    "bad_sums",
    "clean_sums",
    "log_evidence",
    "noise_weights",
    "regress",
    "whiten",
]

Array = NDArray[np.float64]
Indices = NDArray[np.intp]


@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """The readings as the grid sees them.

    Attributes
    ----------
    hours, lightness
        Exposure and L* of the readings, (n,).
    piece_covariance
        Covariance of the readings in units of the squared scatter between pieces, (n, n), positive definite.
    reading_covariance
        Covariance of the readings that is known: their own errors and what a photo shares, (n, n).
    """

    hours: Array
    lightness: Array
    piece_covariance: Array
    reading_covariance: Array


@dataclass(frozen=True, slots=True, kw_only=True)
class Whitened:
    """The readings turned so that their covariance is diagonal for every scatter at once.

    `turn` (n, n) maps readings to independent ones of variance scatter² + `known`; `precision` (J, n) is one over that.
    """

    turn: Array
    precision: Array
    log_volume: Array

    def of(self, scatters: Indices) -> Whitened:
        """Return the same for some of the scatters."""
        return Whitened(turn=self.turn, precision=self.precision[scatters], log_volume=self.log_volume[scatters])


def whiten(evidence: Evidence, scale: float, priors: Priors) -> Whitened:
    """Return the readings turned; `scale` as of `time_scale`."""
    known = evidence.reading_covariance + discrepancy(evidence.hours, evidence.hours, scale, priors)
    inverse_root = np.linalg.inv(np.linalg.cholesky(evidence.piece_covariance))
    values, vectors = np.linalg.eigh(inverse_root @ known @ inverse_root.T)
    precision = 1.0 / (SCATTERS[:, None] ** 2 + np.maximum(values, 0.0))
    return Whitened(turn=vectors.T @ inverse_root, precision=precision, log_volume=0.5 * np.log(precision).sum(axis=1))


@dataclass(frozen=True, slots=True)
class Sums:
    """Weighted sums of ones (1), shares (g) and readings (y), each (J, K) or broadcasting to it."""

    one_one: Array
    one_y: Array
    y_y: Array
    one_g: Array
    g_y: Array
    g_g: Array
    log_volume: Array


def clean_sums(white: Whitened, shares: Array, excess: Array) -> tuple[Sums, Array]:
    """Return the sums with every reading at its word, and the shares (K, n) turned; excess is over the raw prior."""
    turned = shares @ white.turn.T
    ones, y = white.turn.sum(axis=1), white.turn @ excess
    precision = white.precision
    sums = Sums(
        (precision @ ones**2)[:, None],
        (precision @ (ones * y))[:, None],
        (precision @ y**2)[:, None],
        precision @ (turned * ones).T,
        precision @ (turned * y).T,
        precision @ (turned**2).T,
        white.log_volume[:, None],
    )
    return sums, turned


def bad_sums(white: Whitened, clean: Sums, turned: Array, excess: Array, bad: int, priors: Priors) -> Sums:
    """Return the sums with one reading's variance widened: a correction of rank one."""
    column = white.turn[:, bad]
    pulled = white.precision * column
    own = (pulled @ column)[:, None]
    share = 1.0 / (priors.bad_spread**-2 + own)
    one = (pulled @ white.turn.sum(axis=1))[:, None]
    y = (pulled @ (white.turn @ excess))[:, None]
    g = pulled @ turned.T
    shared_g = share * g
    return Sums(
        clean.one_one - share * one**2,
        clean.one_y - share * one * y,
        clean.y_y - share * y**2,
        clean.one_g - shared_g * one,
        clean.g_y - shared_g * y,
        clean.g_g - shared_g * g,
        clean.log_volume - 0.5 * np.log1p(priors.bad_spread**2 * own),
    )


def _solve(sums: Sums, priors: Priors) -> tuple[Array, Array, Array, Array, Array]:
    """Return raw − its centre, depth, their variances and their covariance."""
    p_raw, p_depth = sums.one_one + priors.raw[1] ** -2, sums.g_g + priors.depth[1] ** -2
    pull_raw, pull_depth = sums.one_y, priors.depth[0] * priors.depth[1] ** -2 - sums.g_y
    scale = 1.0 / (p_raw * p_depth - sums.one_g**2)
    raw = (p_depth * pull_raw + sums.one_g * pull_depth) * scale
    depth = (sums.one_g * pull_raw + p_raw * pull_depth) * scale
    return raw, depth, p_depth * scale, p_raw * scale, sums.one_g * scale


def log_evidence(sums: Sums, priors: Priors) -> Array:
    """Return the log of the readings' density, times the odds that the wood darkens at all; up to a constant."""
    p_raw, p_depth = sums.one_one + priors.raw[1] ** -2, sums.g_g + priors.depth[1] ** -2
    pull_raw, pull_depth = sums.one_y, priors.depth[0] * priors.depth[1] ** -2 - sums.g_y
    determinant = p_raw * p_depth
    determinant -= sums.one_g**2
    depth = p_raw * pull_depth
    depth += sums.one_g * pull_raw
    quality = p_depth * pull_raw
    quality += sums.one_g * pull_depth
    quality *= pull_raw
    quality += depth * pull_depth
    quality /= determinant
    quality -= sums.y_y
    quality *= 0.5
    quality += sums.log_volume
    depth /= np.sqrt(p_raw * determinant)
    darkening = np.maximum(normal_odds(depth), 1e-300)
    darkening /= np.sqrt(determinant)
    quality += np.log(darkening)
    return np.asarray(quality)


def noise_weights(white: Whitened, bad: int, scatter: int, priors: Priors) -> Array:
    """Return the inverse covariance of the readings for one scatter and one suspect, (n, n)."""
    weights = (white.turn.T * white.precision[scatter]) @ white.turn
    if bad < 0:
        return np.asarray(weights)
    column = weights[:, bad]
    return np.asarray(weights - np.outer(column, column) / (priors.bad_spread**-2 + column[bad]))


def regress(
    evidence: Evidence, weights: Array, noise: Indices, shares: Array, priors: Priors
) -> tuple[Array, Array, Array, Array, Array]:
    """Return raw, depth and their covariance of the chosen hypotheses, each (H,)."""
    excess = evidence.lightness - priors.raw[0]
    ones = np.ones_like(excess)
    w_one, w_y = (weights @ ones)[noise], (weights @ excess)[noise]
    w_g = np.matmul(weights[noise], shares[:, :, None])[:, :, 0]
    sums = Sums(
        w_one.sum(axis=1),
        w_y.sum(axis=1),
        w_y @ excess,
        (w_one * shares).sum(axis=1),
        (w_y * shares).sum(axis=1),
        (w_g * shares).sum(axis=1),
        np.zeros(1),
    )
    raw, depth, raw_variance, depth_variance, cross = _solve(sums, priors)
    return raw + priors.raw[0], depth, raw_variance, depth_variance, cross
