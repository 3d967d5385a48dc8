"""RGB, XYZ and CIELAB, and the step from one white to another. Pure formulas, nothing else.

All arrays have shape (..., 3). XYZ is scaled so that Y of the perfect white is 1. The observer is the 2° one of 1931.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = [
    "BRADFORD",
    "SRGB_TO_XYZ",
    "WHITE_D50",
    "WHITE_D65",
    "XYZ_TO_SRGB",
    "chromatic_adaptation",
    "lab_jacobian",
    "lab_to_xyz",
    "srgb_decode",
    "srgb_encode",
    "xyz_to_lab",
]

Array = NDArray[np.float64]


def _constant(rows: ArrayLike) -> Array:
    array = np.asarray(rows, dtype=np.float64)
    array.setflags(write=False)
    return array


WHITE_D65: Final = _constant([0.3127 / 0.3290, 1.0, (1 - 0.3127 - 0.3290) / 0.3290])
"""XYZ of D65 for the 2° observer, from the chromaticity that IEC 61966-2-1 states (0.3127, 0.3290)."""

WHITE_D50: Final = _constant([0.96422, 1.0, 0.82521])
"""XYZ of D50 for the 2° observer: ISO/CIE 11664-2 chromaticity; the white of ICC's profile connection space."""

SRGB_TO_XYZ: Final = _constant(
    [
        [0.4123907993, 0.3575843394, 0.1804807884],
        [0.2126390059, 0.7151686788, 0.0721923154],
        [0.0193308187, 0.1191947798, 0.9505321522],
    ]
)
"""Linear sRGB to XYZ under D65: the primaries and white of IEC 61966-2-1, solved without rounding on the way."""

XYZ_TO_SRGB: Final = _constant(np.linalg.inv(SRGB_TO_XYZ))
"""XYZ under D65 to linear sRGB: the inverse of `SRGB_TO_XYZ`."""

BRADFORD: Final = _constant([[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]])
"""XYZ to the sharpened cone-like space of Lam 1985, as ICC.1 (annex on chromatic adaptation) prints it."""

_EPSILON: Final = 216 / 24389  # ISO/CIE 11664-4
_KAPPA: Final = 24389 / 27  # ISO/CIE 11664-4


def srgb_decode(encoded: ArrayLike) -> Array:
    """Return linear light, 0 to 1, of sRGB values on the scale 0 to 1.

    Values below 0 or above 1 follow the curve's own ends, so that nothing is clipped silently.
    Source: IEC 61966-2-1.

    >>> round(float(srgb_decode(0.5)), 6)
    0.214041
    """
    value = np.asarray(encoded, dtype=np.float64)
    power = ((np.maximum(value, 0.04045) + 0.055) / 1.055) ** 2.4
    return np.where(value <= 0.04045, value / 12.92, power)


def srgb_encode(linear: ArrayLike) -> Array:
    """Return sRGB values on the scale 0 to 1 of linear light; the inverse of `srgb_decode`.

    Source: IEC 61966-2-1.

    >>> round(255 * float(srgb_encode(0.18)), 2)
    117.65
    """
    value = np.asarray(linear, dtype=np.float64)
    power = 1.055 * np.maximum(value, 0.0031308) ** (1 / 2.4) - 0.055
    return np.where(value <= 0.0031308, value * 12.92, power)


def xyz_to_lab(xyz: ArrayLike, white: ArrayLike = WHITE_D65) -> Array:
    """Return L*, a*, b* of tristimulus values under the given white.

    Parameters
    ----------
    xyz
        Shape (..., 3); Y of the perfect white is 1.
    white
        XYZ of the white, shape (3,).

    Source: ISO/CIE 11664-4.

    >>> [round(float(v), 3) for v in xyz_to_lab(0.18 * WHITE_D65)]
    [49.496, 0.0, 0.0]
    """
    ratio = np.asarray(xyz, dtype=np.float64) / np.asarray(white, dtype=np.float64)
    f = np.where(ratio > _EPSILON, np.cbrt(ratio), (_KAPPA * ratio + 16) / 116)
    x, y, z = f[..., 0], f[..., 1], f[..., 2]
    return np.stack([116 * y - 16, 500 * (x - y), 200 * (y - z)], axis=-1)


def lab_to_xyz(lab: ArrayLike, white: ArrayLike = WHITE_D65) -> Array:
    """Return tristimulus values of L*, a*, b*; the inverse of `xyz_to_lab`.

    Source: ISO/CIE 11664-4.

    >>> [round(float(v), 6) for v in lab_to_xyz([50, 0, 0])]
    [0.175061, 0.184187, 0.20059]
    """
    values = np.asarray(lab, dtype=np.float64)
    y = (values[..., 0] + 16) / 116
    f = np.stack([y + values[..., 1] / 500, y, y - values[..., 2] / 200], axis=-1)
    ratio = np.where(f > _EPSILON ** (1 / 3), f**3, (116 * f - 16) / _KAPPA)
    return ratio * np.asarray(white, dtype=np.float64)


def lab_jacobian(xyz: ArrayLike, white: ArrayLike = WHITE_D65) -> Array:
    """Return how L*, a*, b* answer to small changes of XYZ at one colour: shape (3, 3), rows L*, a*, b*.

    Carries a covariance of XYZ into one of Lab: J C Jᵀ. The derivative of the formula of ISO/CIE 11664-4.
    """
    scale = np.asarray(white, dtype=np.float64)
    ratio = np.asarray(xyz, dtype=np.float64) / scale
    slope = np.where(ratio > _EPSILON, np.cbrt(np.maximum(ratio, _EPSILON)) ** -2 / 3, _KAPPA / 116) / scale
    return np.array([[0.0, 116.0, 0.0], [500.0, -500.0, 0.0], [0.0, 200.0, -200.0]]) * slope


def chromatic_adaptation(source_white: ArrayLike, target_white: ArrayLike, cones: ArrayLike = BRADFORD) -> Array:
    """Return the matrix, shape (3, 3), that carries XYZ seen under one white to another.

    A gain for each cone-like response (von Kries); `cones` is the matrix from XYZ to those responses.
    Source: the linear Bradford transform of ICC.1.

    >>> d50 = chromatic_adaptation(WHITE_D65, WHITE_D50) @ WHITE_D65
    >>> [round(float(v), 5) for v in d50]
    [0.96422, 1.0, 0.82521]
    """
    matrix = np.asarray(cones, dtype=np.float64)
    gains = (matrix @ np.asarray(target_white, dtype=np.float64)) / (
        matrix @ np.asarray(source_white, dtype=np.float64)
    )
    return np.asarray(np.linalg.solve(matrix, gains[:, None] * matrix), dtype=np.float64)
