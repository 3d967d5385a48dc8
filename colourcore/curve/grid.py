"""All hypotheses about a darkening curve, weighed on a grid; arrays in, arrays out.

A hypothesis is a shape, a half time, a scatter between pieces, and which reading, if any, is a bad one. Given these,
raw lightness and depth of change are Gaussian, so that the evidence is a formula.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from colourcore.curve.evidence import (
    Evidence,
    Whitened,
    bad_sums,
    clean_sums,
    log_evidence,
    noise_weights,
    regress,
    whiten,
)
from colourcore.curve.priors import PRIORS, SCATTERS, Priors, time_scale
from colourcore.curve.shapes import KINDS, ShapeTable, shape_table

__all__ = ["Selection", "select"]

Array = NDArray[np.float64]
Indices = NDArray[np.intp]

_COARSE_HALVES = np.linspace(math.log(0.1), math.log(400.0), 40)
_FINE_HALVES = 32
_TAIL = 1e-4
_NEGLIGIBLE = 1e-3
_KEPT = 400


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
        scatter = -0.5 * ((np.log(SCATTERS[self.scatters]) - priors.log_scatter[0]) / priors.log_scatter[1]) ** 2
        scatter -= np.log(np.exp(scatter).sum())
        return np.asarray(scatter[:, None] + both.ravel()[None, :])


@lru_cache(maxsize=12)
def _block(every: int, shape_odds: tuple[float, ...] | None) -> _Block:
    """Return the grid with every so-manyth shape of each kind, and every second scatter where shapes are left out.

    With odds of its own, every shape that has any.
    """
    table = shape_table()
    scatters = np.arange(0, SCATTERS.size, 1 if every == 1 else 2)
    if shape_odds is not None:
        odds = np.array(shape_odds) / sum(shape_odds)
        return _Block(np.flatnonzero(odds), odds[odds > 0], np.arange(SCATTERS.size))
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
    evidence: Evidence, white: Whitened, halves: Array, block: _Block, suspects: tuple[int, ...], priors: Priors
) -> _Weighed:
    shares = _shares(shape_table(), block.shapes, halves, evidence.hours)
    excess = evidence.lightness - priors.raw[0]
    white = white.of(block.scatters)
    clean, turned = clean_sums(white, shares, excess)
    prior = block.log_prior(halves, priors)
    none_bad = math.log(1.0 - min(0.5, evidence.hours.size * priors.bad_odds))
    log_weight = np.empty((len(suspects), *prior.shape))
    for row, bad in enumerate(suspects):
        sums = clean if bad < 0 else bad_sums(white, clean, turned, excess, bad, priors)
        log_weight[row] = log_evidence(sums, priors) + prior + (none_bad if bad < 0 else math.log(priors.bad_odds))
    return _Weighed(block, suspects, log_weight, shares)


def _first_pass(evidence: Evidence, white: Whitened, priors: Priors) -> tuple[Array, tuple[int, ...]]:
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
    white = whiten(evidence, time_scale(evidence.hours), priors)
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


def _selection(evidence: Evidence, white: Whitened, picks: list[_Pick], bad_odds: Array, priors: Priors) -> Selection:
    shape = np.concatenate([pick.shape for pick in picks])
    scatter = np.concatenate([pick.scatter for pick in picks])
    suspect = np.concatenate([pick.suspect for pick in picks])
    shares = np.concatenate([pick.shares for pick in picks])
    combination, noise = np.unique((suspect + 1) * SCATTERS.size + scatter, return_inverse=True)
    weights = np.array([noise_weights(white, c // SCATTERS.size - 1, c % SCATTERS.size, priors) for c in combination])
    raw, depth, raw_variance, depth_variance, cross = regress(evidence, weights, noise, shares, priors)
    kind = shape_table().kind[shape]
    return Selection(
        shape=shape,
        log_half_hours=np.concatenate([pick.log_half_hours for pick in picks]),
        scatter=SCATTERS[scatter],
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
