"""The normal law, vectorised with numpy alone: loading a statistics library would cost more than a whole answer."""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = ["normal_nodes", "normal_odds", "normal_quantile"]

Array = NDArray[np.float64]

_REACH = 8.5
_CELLS = 1 << 16
_PER_UNIT = _CELLS / (2.0 * _REACH)


@lru_cache(maxsize=1)
def _table() -> Array:
    """Return the law at the middle of each cell; 0 and 1 at the ends."""
    middles = (np.arange(_CELLS // 2) + 0.5) / _PER_UNIT - _REACH
    lower = np.array([0.5 * math.erfc(-middle / math.sqrt(2.0)) for middle in middles.tolist()])
    values = np.concatenate([[0.0], lower, 1.0 - lower[::-1], [1.0]])
    values.setflags(write=False)
    return values


def normal_odds(score: ArrayLike) -> Array:
    """Return the probability that a standard normal variable lies below each score, exact to 6e-5.

    Read from a fine table without interpolation, which is several times faster than any formula; the relative error
    in the tails stays under 0.2 %, and beyond ±8.5 the answer is 0 or 1.

    >>> normal_odds([-1.959964, 0.0, 1.644854]).round(3).tolist()
    [0.025, 0.5, 0.95]
    """
    cell = np.multiply(score, _PER_UNIT, dtype=np.float64)
    cell += _CELLS / 2 + 1.0
    return np.asarray(_table().take(cell.astype(np.int64), mode="clip"), dtype=np.float64)


@lru_cache(maxsize=1)
def _scores() -> tuple[Array, Array]:
    """Return the logs of lower tails and the scores they belong to."""
    places = np.linspace(-_REACH, 0.0, 2001)
    tails = [0.5 * math.erfc(-place / math.sqrt(2.0)) for place in places.tolist()]
    return np.log(tails), places


def normal_quantile(probability: ArrayLike) -> Array:
    """Return the score below which a standard normal variable lies with each probability.

    Linear in the log of the tail between 2,001 places, exact to 1e-5; probabilities beyond their reach give ±8.5.

    >>> normal_quantile([0.025, 0.5, 0.95]).round(4).tolist()
    [-1.96, 0.0, 1.6449]
    """
    log_tails, places = _scores()
    chances = np.asarray(probability, dtype=np.float64)
    # above one half 1 − p loses its digits, so both halves are read from the lower tail
    upper = chances > 0.5
    log_tail = np.log(np.maximum(np.where(upper, 1.0 - chances, chances), 1e-300))
    score = np.interp(log_tail, log_tails, places)
    return np.asarray(np.where(upper, -score, score), dtype=np.float64)


@lru_cache(maxsize=4)
def normal_nodes(points: int) -> tuple[Array, Array]:
    """Return places and weights that average a smooth function over the standard normal law (Gauss-Hermite).

    >>> places, weights = normal_nodes(7)
    >>> round(float(weights @ places**4), 12)
    3.0
    """
    places, weights = np.polynomial.hermite_e.hermegauss(points)
    weights = weights / weights.sum()
    for array in (places, weights):
        array.setflags(write=False)
    return places, weights
