"""A reading: the colour of one patch, with how sure it is. The value that all later rooms are built on."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = ["ZERO_COVARIANCE", "Matrix3", "Reading", "matrix3"]

Matrix3 = tuple[tuple[float, float, float], tuple[float, float, float], tuple[float, float, float]]

ZERO_COVARIANCE: Matrix3 = ((0.0, 0.0, 0.0), (0.0, 0.0, 0.0), (0.0, 0.0, 0.0))


def matrix3(rows: ArrayLike | Iterable[Iterable[float]]) -> Matrix3:
    """Return a 3×3 covariance as the frozen rows that a `Reading` keeps.

    It is made exactly symmetric, and its variances are made squares of their own square roots, so that a standard
    error that was written down and read back gives the same covariance to the last bit.

    >>> matrix3([[1, 2, 0], [4, 1, 0], [0, 0, 1]])
    ((1.0, 3.0, 0.0), (3.0, 1.0, 0.0), (0.0, 0.0, 1.0))
    """
    array: NDArray[np.float64] = np.asarray(rows, dtype=np.float64)
    array = (array + array.T) / 2
    np.fill_diagonal(array, np.sqrt(np.maximum(array.diagonal(), 0.0)) ** 2)
    one, two, three = array.tolist()
    return (tuple(one), tuple(two), tuple(three))


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """The colour of one patch under D65 for the 2° observer.

    Attributes
    ----------
    lab
        L*, a*, b*.
    covariance
        Covariance of L*, a*, b*: the part that is independent from patch to patch within a photo.
    shared
        Covariance of L*, a*, b*: the part that all patches of the photo have in common, so that it cancels
        between two of them.
    colour_lost
        True where a channel holds no light any more: L* stands, a* and b* say nothing.
    spread
        Standard deviation of L* over the patch's face.
    pixels
        Number of valid pixels.

    Examples
    --------
    >>> r = Reading(lab=(50.0, 4.0, 13.0), covariance=matrix3(np.diag([0.09, 0.01, 0.01])), pixels=1000)
    >>> r.standard_errors
    (0.3, 0.1, 0.1)
    """

    lab: tuple[float, float, float]
    covariance: Matrix3 = ZERO_COVARIANCE
    shared: Matrix3 = ZERO_COVARIANCE
    colour_lost: bool = False
    spread: float = 0.0
    pixels: int = 0

    @property
    def standard_errors(self) -> tuple[float, float, float]:
        """Standard errors of L*, a*, b* within the photo, from the independent part alone."""
        one, two, three = (math.sqrt(max(0.0, self.covariance[i][i])) for i in range(3))
        return one, two, three

    @property
    def total_errors(self) -> tuple[float, float, float]:
        """Standard errors of L*, a*, b* as absolute colour: both parts together."""
        one, two, three = (math.sqrt(max(0.0, self.covariance[i][i] + self.shared[i][i])) for i in range(3))
        return one, two, three
