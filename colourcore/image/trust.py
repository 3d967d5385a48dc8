"""How far a photograph's colours can be trusted, beyond what its own pixels show.

The figures come from simulated cameras, lamps and wood (``python -m tests.simulation.readings`` prints them again) and
from photographs of charts. They are stated as covariances of L*, a*, b* and belong to all patches of a photo together.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = ["METAMERIC_SHARE", "STRAY_SD", "UNKNOWN_CONTRAST_SD", "contrast_covariance", "metameric_covariance"]

Array = NDArray[np.float64]

METAMERIC_SHARE: Final = (0.027, 0.088, 0.060)
"""What one card leaves of L*, a*, b* on wood, for each unit of its chroma: standard deviations over 30 pairs of
measured cameras and CIE lamps. A camera does not see as the eye does, and no card can tell."""

UNKNOWN_CONTRAST_SD: Final = 0.25
"""Standard deviation of the contrast (slope of lightness differences, 1 is true) of phones' and cameras' pictures whose
tone curve is not known; photographs of charts showed 0.69 to 1.49."""

STRAY_SD: Final = 0.06
"""The same for linear files with one card, where stray light alone is left; they showed 0.86 to 0.96."""

_BEYOND_SD: Final = 0.10


def metameric_covariance(lab: ArrayLike) -> Array:
    """Return the covariance of L*, a*, b*, shape (3, 3), of what three channels cannot tell apart."""
    values = np.asarray(lab, dtype=np.float64)
    chroma = float(np.hypot(values[1], values[2]))
    return np.diag(np.square(chroma * np.asarray(METAMERIC_SHARE, dtype=np.float64)))


def contrast_covariance(lab: ArrayLike, reference_lightness: tuple[float, float], contrast_sd: float) -> Array:
    """Return the covariance of L*, a*, b*, shape (3, 3), of a tone curve that is not known.

    Parameters
    ----------
    lab
        The colour that was read.
    reference_lightness
        Least and greatest stated L* of the references: between two of them the curve is known.
    contrast_sd
        Standard deviation of the contrast; lightness moves away from the reference, and a*, b* away from grey, by the
        same share.

    >>> contrast_covariance([59.5, 0.0, 0.0], (49.5, 49.5), 0.25).tolist()[0][0]
    6.25
    """
    lightness, a, b = (float(value) for value in np.asarray(lab, dtype=np.float64))
    low, high = reference_lightness
    away = lightness - min(max(lightness, low), high)
    move = contrast_sd * np.array([away, a, b]) if low == high else np.array([_BEYOND_SD * away, 0.0, 0.0])
    return np.outer(move, move)
