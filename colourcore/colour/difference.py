"""How far apart two colours are. Pure formulas; all arrays (..., 3) hold L*, a*, b*."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = ["DifferenceSplit", "delta_e_76", "delta_e_2000", "split_difference"]

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class DifferenceSplit:
    """A colour difference taken apart, first colour minus second, in the units of CIELAB.

    `lightness` is ΔL*, `chroma` ΔC*ab, `hue` ΔH*ab with the sign of the turn (ISO/CIE 11664-4).
    """

    lightness: float
    chroma: float
    hue: float


def delta_e_76(first: ArrayLike, second: ArrayLike) -> Array:
    """Return the plain distance ΔE*ab in CIELAB. Source: ISO/CIE 11664-4.

    >>> float(delta_e_76([50, 3, 4], [50, 0, 0]))
    5.0
    """
    gap = np.asarray(first, dtype=np.float64) - np.asarray(second, dtype=np.float64)
    return np.asarray(np.linalg.norm(gap, axis=-1), dtype=np.float64)


def split_difference(first: ArrayLike, second: ArrayLike) -> DifferenceSplit:
    """Return lightness, chroma and hue parts of one difference; their squares add up to ΔE*ab squared.

    >>> split_difference([50, 3, 4], [48, 0, 4])
    DifferenceSplit(lightness=2.0, chroma=1.0, hue=-2.8284271247461903)
    """
    one, two = np.asarray(first, dtype=np.float64), np.asarray(second, dtype=np.float64)
    chroma_one, chroma_two = np.hypot(one[1], one[2]), np.hypot(two[1], two[2])
    hue_squared = max(0.0, float(np.sum((one[1:] - two[1:]) ** 2) - (chroma_one - chroma_two) ** 2))
    turn = two[1] * one[2] - two[2] * one[1]
    return DifferenceSplit(
        lightness=float(one[0] - two[0]),
        chroma=float(chroma_one - chroma_two),
        hue=float(np.copysign(np.sqrt(hue_squared), turn if turn else 1.0)),
    )


def _mean_hue(hue_one: Array, hue_two: Array, both_coloured: NDArray[np.bool_]) -> Array:
    total, gap = hue_one + hue_two, np.abs(hue_one - hue_two)
    turned = np.where(total < 360, (total + 360) / 2, (total - 360) / 2)
    mean = np.where(gap <= 180, total / 2, turned)
    return np.where(both_coloured, mean, total)


def delta_e_2000(first: ArrayLike, second: ArrayLike) -> Array:
    """Return CIEDE2000 with all weights 1.

    Meant for differences under about 5 on even patches (ISO/CIE 11664-6); between raw and dark wood it says little.
    Source: ISO/CIE 11664-6, in the form of Sharma, Wu, Dalal 2005, Color Res Appl 30(1) 21-30.

    >>> round(float(delta_e_2000([50, 2.6772, -79.7751], [50, 0, -82.7485])), 4)
    2.0425
    """
    one, two = np.broadcast_arrays(np.asarray(first, dtype=np.float64), np.asarray(second, dtype=np.float64))
    mean_chroma = (np.hypot(one[..., 1], one[..., 2]) + np.hypot(two[..., 1], two[..., 2])) / 2
    stretch = 1 + 0.5 * (1 - np.sqrt(mean_chroma**7 / (mean_chroma**7 + 25.0**7)))
    a_one, a_two = one[..., 1] * stretch, two[..., 1] * stretch
    chroma_one, chroma_two = np.hypot(a_one, one[..., 2]), np.hypot(a_two, two[..., 2])
    hue_one = np.degrees(np.arctan2(one[..., 2], a_one)) % 360
    hue_two = np.degrees(np.arctan2(two[..., 2], a_two)) % 360
    both_coloured = chroma_one * chroma_two != 0

    turn = (hue_two - hue_one + 180) % 360 - 180
    turn = np.where((turn == -180) & (hue_two > hue_one), 180.0, turn)
    d_lightness = two[..., 0] - one[..., 0]
    d_chroma = chroma_two - chroma_one
    d_hue = 2 * np.sqrt(chroma_one * chroma_two) * np.sin(np.radians(np.where(both_coloured, turn, 0.0)) / 2)

    lightness, chroma = (one[..., 0] + two[..., 0]) / 2, (chroma_one + chroma_two) / 2
    hue = _mean_hue(hue_one, hue_two, both_coloured)
    t = (
        1
        - 0.17 * np.cos(np.radians(hue - 30))
        + 0.24 * np.cos(np.radians(2 * hue))
        + 0.32 * np.cos(np.radians(3 * hue + 6))
        - 0.20 * np.cos(np.radians(4 * hue - 63))
    )
    s_lightness = 1 + 0.015 * (lightness - 50) ** 2 / np.sqrt(20 + (lightness - 50) ** 2)
    s_chroma, s_hue = 1 + 0.045 * chroma, 1 + 0.015 * chroma * t
    rotation = (
        -2 * np.sqrt(chroma**7 / (chroma**7 + 25.0**7)) * np.sin(np.radians(60 * np.exp(-(((hue - 275) / 25) ** 2))))
    )
    l_part, c_part, h_part = d_lightness / s_lightness, d_chroma / s_chroma, d_hue / s_hue
    squared = l_part**2 + c_part**2 + h_part**2 + rotation * c_part * h_part
    return np.asarray(np.sqrt(squared), dtype=np.float64)
