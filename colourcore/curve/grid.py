"""All hypotheses about a darkening curve, weighed on a grid; arrays in, arrays out.

A hypothesis is a shape, a half time, a scatter between pieces, and which reading, if any, is a bad one. Given these,
raw lightness and depth of change are Gaussian, so that the evidence is a formula (Bayesian linear regression; e.g.
Bishop, Pattern Recognition and Machine Learning, 2006, section 3.5). The priors are stated and their influence is
measured in docs/hours.md.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from colourcore.curve.normal import normal_odds
from colourcore.curve.shapes import KINDS, ShapeTable, shape_table

__all__ = ["PRIORS", "Evidence", "Priors", "Selection", "discrepancy", "select", "time_scale"]

Array = NDArray[np.float64]
Indices = NDArray[np.intp]


@dataclass(frozen=True, slots=True, kw_only=True)
class Priors:
    """What is believed before any reading, all weak; (centre, spread) of normal laws in L* or in log hours.

    `scatter` is of the log of the scatter between pieces. `discrepancy` is the SD in L*, and `discrepancy_length` the
    length on the axis log(1 + hours/scale), by which a true curve may stray from every shape. `bad_odds` and
    `bad_spread` describe a reading gone wrong: how often, and by how many L* (SD). `shape_odds` weigh the rows of the
    shape table otherwise than the table does.
    """

    raw: tuple[float, float] = (70.0, 15.0)
    depth: tuple[float, float] = (25.0, 12.0)
    log_half_hours: tuple[float, float] = (math.log(8.0), 1.3)
    log_scatter: tuple[float, float] = (math.log(0.7), 0.7)
    discrepancy: float = 0.5
    discrepancy_length: float = 0.6
    bad_odds: float = 0.03
    bad_spread: float = 4.0
    shape_odds: tuple[float, ...] | None = None


PRIORS = Priors()

_SCATTERS = np.geomspace(0.1, 3.0, 9)
_COARSE_HALVES = np.linspace(math.log(0.1), math.log(400.0), 40)
_FINE_HALVES = 32
_TAIL = 1e-4
_NEGLIGIBLE = 1e-3
_KEPT = 400


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
class Selection:
    """Hypotheses of equal weight, drawn fairly from the grid; shapes as in `fit.Posterior`."""

    shape: Indices
    log_half_hours: Array
    scatter: Array
    raw: Array
    depth: Array
    raw_variance: Array
    depth_variance: Array
    cross: Array
    shares: Array
    noise: Indices
    weights: Array
    bad_odds: Array
    kind_odds: tuple[float, ...]

    def thinned(self, every: int) -> Selection:
        """Return the same with every so-manyth hypothesis; the odds of readings and kinds stay as they are."""
        return replace(
            self,
            shape=self.shape[::every],
            log_half_hours=self.log_half_hours[::every],
            scatter=self.scatter[::every],
            raw=self.raw[::every],
            depth=self.depth[::every],
            raw_variance=self.raw_variance[::every],
            depth_variance=self.depth_variance[::every],
            cross=self.cross[::every],
            shares=self.shares[::every],
            noise=self.noise[::every],
        )


def time_scale(hours: Array) -> float:
    """Return the hours around which the axis log(1 + hours/scale) bends: a quarter of the typical exposure.

    >>> round(time_scale(np.array([0.0, 2.0, 8.0])), 12)
    1.0
    """
    exposed = hours[hours > 0]
    return float(np.exp(np.log(exposed).mean())) / 4.0 if exposed.size else 2.0


def discrepancy(one: Array, two: Array, scale: float, priors: Priors = PRIORS) -> Array:
    """Return the prior covariance, in L* squared, of how the true curve strays from every shape; (one, two).

    >>> discrepancy(np.array([0.0]), np.array([0.0]), 1.0).tolist()
    [[0.25]]
    """
    gap = np.log1p(one / scale)[:, None] - np.log1p(two / scale)[None, :]
    return np.asarray(priors.discrepancy**2 * np.exp(-0.5 * (gap / priors.discrepancy_length) ** 2))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Whitened:
    """The readings turned so that their covariance is diagonal for every scatter at once.

    `turn` (n, n) maps readings to independent ones of variance scatter² + `known`; `precision` (J, n) is one over that.
    """

    turn: Array
    precision: Array
    log_volume: Array

    def of(self, scatters: Indices) -> _Whitened:
        """Return the same for some of the scatters."""
        return _Whitened(turn=self.turn, precision=self.precision[scatters], log_volume=self.log_volume[scatters])


def _whiten(evidence: Evidence, scale: float, priors: Priors) -> _Whitened:
    known = evidence.reading_covariance + discrepancy(evidence.hours, evidence.hours, scale, priors)
    inverse_root = np.linalg.inv(np.linalg.cholesky(evidence.piece_covariance))
    values, vectors = np.linalg.eigh(inverse_root @ known @ inverse_root.T)
    precision = 1.0 / (_SCATTERS[:, None] ** 2 + np.maximum(values, 0.0))
    return _Whitened(turn=vectors.T @ inverse_root, precision=precision, log_volume=0.5 * np.log(precision).sum(axis=1))


@dataclass(frozen=True, slots=True)
class _Sums:
    """Weighted sums of ones (1), shares (g) and readings (y), each (J, K) or broadcasting to it."""

    one_one: Array
    one_y: Array
    y_y: Array
    one_g: Array
    g_y: Array
    g_g: Array
    log_volume: Array


def _clean_sums(white: _Whitened, shares: Array, excess: Array) -> tuple[_Sums, Array]:
    turned = shares @ white.turn.T
    ones, y = white.turn.sum(axis=1), white.turn @ excess
    precision = white.precision
    sums = _Sums(
        (precision @ ones**2)[:, None],
        (precision @ (ones * y))[:, None],
        (precision @ y**2)[:, None],
        precision @ (turned * ones).T,
        precision @ (turned * y).T,
        precision @ (turned**2).T,
        white.log_volume[:, None],
    )
    return sums, turned


def _bad_sums(white: _Whitened, clean: _Sums, turned: Array, excess: Array, bad: int, priors: Priors) -> _Sums:
    """Return the sums with one reading's variance widened: a correction of rank one."""
    column = white.turn[:, bad]
    pulled = white.precision * column
    own = (pulled @ column)[:, None]
    share = 1.0 / (priors.bad_spread**-2 + own)
    one = (pulled @ white.turn.sum(axis=1))[:, None]
    y = (pulled @ (white.turn @ excess))[:, None]
    g = pulled @ turned.T
    shared_g = share * g
    return _Sums(
        clean.one_one - share * one**2,
        clean.one_y - share * one * y,
        clean.y_y - share * y**2,
        clean.one_g - shared_g * one,
        clean.g_y - shared_g * y,
        clean.g_g - shared_g * g,
        clean.log_volume - 0.5 * np.log1p(priors.bad_spread**2 * own),
    )


def _solve(sums: _Sums, priors: Priors) -> tuple[Array, Array, Array, Array, Array]:
    """Return raw − its centre, depth, their variances and their covariance."""
    p_raw, p_depth = sums.one_one + priors.raw[1] ** -2, sums.g_g + priors.depth[1] ** -2
    pull_raw, pull_depth = sums.one_y, priors.depth[0] * priors.depth[1] ** -2 - sums.g_y
    scale = 1.0 / (p_raw * p_depth - sums.one_g**2)
    raw = (p_depth * pull_raw + sums.one_g * pull_depth) * scale
    depth = (sums.one_g * pull_raw + p_raw * pull_depth) * scale
    return raw, depth, p_depth * scale, p_raw * scale, sums.one_g * scale


def _log_evidence(sums: _Sums, priors: Priors) -> Array:
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


def _shares(table: ShapeTable, shapes: Indices, halves: Array, hours: Array) -> Array:
    """Return shares of the change, (halves × shapes, n), the shape running fastest."""
    with np.errstate(divide="ignore"):
        log_hours = np.log(hours)
    at = table.at(shapes[None, :, None], (log_hours[None, :] - halves[:, None])[:, None, :])
    return at.reshape(-1, hours.size)


@dataclass(frozen=True, slots=True)
class _Block:
    """A part of the grid: rows of shapes with their prior, and which scatters; the half times are shared."""

    shapes: Indices
    prior: Array
    scatters: Indices

    def log_prior(self, halves: Array, priors: Priors) -> Array:
        """Return the log of the prior, (J, halves × shapes), summing to one but for the grid of the half times."""
        half = -0.5 * ((halves - priors.log_half_hours[0]) / priors.log_half_hours[1]) ** 2
        both = half[:, None] + np.log(self.prior)[None, :]
        scatter = -0.5 * ((np.log(_SCATTERS[self.scatters]) - priors.log_scatter[0]) / priors.log_scatter[1]) ** 2
        scatter -= np.log(np.exp(scatter).sum())
        return np.asarray(scatter[:, None] + both.ravel()[None, :])


@lru_cache(maxsize=12)
def _block(every: int, shape_odds: tuple[float, ...] | None) -> _Block:
    """Return the grid with every so-manyth shape of each kind, and every second scatter where shapes are left out.

    With odds of its own, every shape that has any.
    """
    table = shape_table()
    scatters = np.arange(0, _SCATTERS.size, 1 if every == 1 else 2)
    if shape_odds is not None:
        odds = np.array(shape_odds) / sum(shape_odds)
        return _Block(np.flatnonzero(odds), odds[odds > 0], np.arange(_SCATTERS.size))
    rows = [np.flatnonzero(table.kind == kind)[(every - 1) // 2 :: every] for kind in range(len(KINDS))]
    prior = [table.prior[kind] / table.prior[kind].sum() / len(KINDS) for kind in rows]
    return _Block(np.concatenate(rows), np.concatenate(prior), scatters)


@dataclass(frozen=True, slots=True)
class _Weighed:
    """Log weights over (suspects, scatters, halves × shapes) of one block; suspect −1 means that none is bad."""

    block: _Block
    suspects: tuple[int, ...]
    log_weight: Array
    shares: Array


def _weigh(
    evidence: Evidence, white: _Whitened, halves: Array, block: _Block, suspects: tuple[int, ...], priors: Priors
) -> _Weighed:
    shares = _shares(shape_table(), block.shapes, halves, evidence.hours)
    excess = evidence.lightness - priors.raw[0]
    white = white.of(block.scatters)
    clean, turned = _clean_sums(white, shares, excess)
    prior = block.log_prior(halves, priors)
    none_bad = math.log(1.0 - min(0.5, evidence.hours.size * priors.bad_odds))
    log_weight = np.empty((len(suspects), *prior.shape))
    for row, bad in enumerate(suspects):
        sums = clean if bad < 0 else _bad_sums(white, clean, turned, excess, bad, priors)
        log_weight[row] = _log_evidence(sums, priors) + prior + (none_bad if bad < 0 else math.log(priors.bad_odds))
    return _Weighed(block, suspects, log_weight, shares)


def _first_pass(evidence: Evidence, white: _Whitened, priors: Priors) -> tuple[Array, tuple[int, ...]]:
    """Return the half times and the suspects that carry weight."""
    everyone = (-1, *range(evidence.hours.size))
    log_weight = _weigh(evidence, white, _COARSE_HALVES, _block(3, priors.shape_odds), everyone, priors).log_weight
    weight = np.exp(log_weight - log_weight.max())
    weight /= weight.sum()
    by_suspect = weight.sum(axis=(1, 2)).tolist()
    suspects = tuple(bad for bad, mass in zip(everyone, by_suspect, strict=True) if bad >= 0 and mass > _NEGLIGIBLE)
    by_half = weight.sum(axis=(0, 1)).reshape(_COARSE_HALVES.size, -1).sum(axis=1)
    below = np.cumsum(by_half)
    low = max(0, int(np.searchsorted(below, _TAIL)) - 1)
    high = min(_COARSE_HALVES.size - 1, int(np.searchsorted(below, 1.0 - _TAIL)) + 1)
    return np.linspace(_COARSE_HALVES[low], _COARSE_HALVES[high], _FINE_HALVES), suspects


def select(evidence: Evidence, priors: Priors = PRIORS) -> Selection:
    """Weigh all hypotheses against the readings and return a fair selection of equal weight.

    Two passes: a coarse one finds where the half time lies and which readings may be bad ones, a fine one weighs
    (with fewer shapes and scatters where a reading is taken for bad). The selection steps evenly through the summed
    weights (systematic resampling with a fixed start), so that light hypotheses keep their share: keeping the
    heaviest instead would cost coverage.
    """
    white = _whiten(evidence, time_scale(evidence.hours), priors)
    halves, suspects = _first_pass(evidence, white, priors)
    parts = [_weigh(evidence, white, halves, _block(1, priors.shape_odds), (-1,), priors)]
    if suspects:
        parts.append(_weigh(evidence, white, halves, _block(2, priors.shape_odds), suspects, priors))
    top = max(float(part.log_weight.max()) for part in parts)
    weights = [np.exp(part.log_weight - top) for part in parts]
    total = sum(float(weight.sum()) for weight in weights)
    bad_odds = np.zeros(evidence.hours.size)
    if suspects:
        bad_odds[list(suspects)] = weights[1].sum(axis=(1, 2)) / total
    below = np.cumsum(np.concatenate([weight.ravel() for weight in weights]))
    chosen = np.searchsorted(below, (np.arange(_KEPT) + 0.5) / _KEPT * below[-1])
    cut = int(np.searchsorted(chosen, weights[0].size))
    picks = [_pick(parts[0], chosen[:cut], halves)]
    if suspects:
        picks.append(_pick(parts[1], chosen[cut:] - weights[0].size, halves))
    return _selection(evidence, white, picks, bad_odds, priors)


@dataclass(frozen=True, slots=True)
class _Pick:
    shape: Indices
    log_half_hours: Array
    scatter: Indices
    suspect: Indices
    shares: Array


def _pick(part: _Weighed, chosen: Indices, halves: Array) -> _Pick:
    suspect, scatter, hypothesis = np.unravel_index(chosen, part.log_weight.shape)
    half, shape = np.divmod(hypothesis, part.block.shapes.size)
    return _Pick(
        part.block.shapes[shape],
        halves[half],
        part.block.scatters[scatter],
        np.array(part.suspects)[suspect],
        part.shares[hypothesis],
    )


def _selection(evidence: Evidence, white: _Whitened, picks: list[_Pick], bad_odds: Array, priors: Priors) -> Selection:
    shape = np.concatenate([pick.shape for pick in picks])
    scatter = np.concatenate([pick.scatter for pick in picks])
    suspect = np.concatenate([pick.suspect for pick in picks])
    shares = np.concatenate([pick.shares for pick in picks])
    combination, noise = np.unique((suspect + 1) * _SCATTERS.size + scatter, return_inverse=True)
    weights = np.array([_weights(white, c // _SCATTERS.size - 1, c % _SCATTERS.size, priors) for c in combination])
    raw, depth, raw_variance, depth_variance, cross = _regress(evidence, weights, noise, shares, priors)
    kind = shape_table().kind[shape]
    return Selection(
        shape=shape,
        log_half_hours=np.concatenate([pick.log_half_hours for pick in picks]),
        scatter=_SCATTERS[scatter],
        raw=raw,
        depth=depth,
        raw_variance=raw_variance,
        depth_variance=depth_variance,
        cross=cross,
        shares=shares,
        noise=noise,
        weights=weights,
        bad_odds=bad_odds,
        kind_odds=tuple(float(np.mean(kind == index)) for index in range(len(KINDS))),
    )


def _weights(white: _Whitened, bad: int, scatter: int, priors: Priors) -> Array:
    """Return the inverse covariance of the readings for one scatter and one suspect, (n, n)."""
    weights = (white.turn.T * white.precision[scatter]) @ white.turn
    if bad < 0:
        return np.asarray(weights)
    column = weights[:, bad]
    return np.asarray(weights - np.outer(column, column) / (priors.bad_spread**-2 + column[bad]))


def _regress(
    evidence: Evidence, weights: Array, noise: Indices, shares: Array, priors: Priors
) -> tuple[Array, Array, Array, Array, Array]:
    """Return raw, depth and their covariance of the chosen hypotheses, each (H,)."""
    excess = evidence.lightness - priors.raw[0]
    ones = np.ones_like(excess)
    w_one, w_y = (weights @ ones)[noise], (weights @ excess)[noise]
    w_g = np.matmul(weights[noise], shares[:, :, None])[:, :, 0]
    sums = _Sums(
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
