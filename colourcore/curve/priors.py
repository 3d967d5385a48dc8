"""What is believed before any reading: stated here, discussed and their influence measured in docs/hours.md."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["PRIORS", "SCATTERS", "Priors", "discrepancy", "time_scale"]

Array = NDArray[np.float64]

# scatters between pieces that are weighed, in L*
SCATTERS = np.geomspace(0.1, 3.0, 9)
SCATTERS.setflags(write=False)


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
    log_scatter: tuple[float, float] = (math.log(0.6), 0.7)
    discrepancy: float = 0.5
    discrepancy_length: float = 0.6
    bad_odds: float = 0.03
    bad_spread: float = 4.0
    shape_odds: tuple[float, ...] | None = None


PRIORS = Priors()


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
