"""From the summary of a patch's pixels and the photo's balance to a reading."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from colourcore.colour.reading import Reading, matrix3
from colourcore.colour.spaces import lab_jacobian, xyz_to_lab
from colourcore.image.balance import DEAD_CHANNEL, Balance
from colourcore.image.pixels import Outline, PatchStatistics, measure_patch

__all__ = [
    "Hill",
    "Outline",
    "PatchStatistics",
    "lightness_hill",
    "loses_colour",
    "measure_patch",
    "odd_part",
    "read_patch",
]

Array = NDArray[np.float64]

_HILL_POINTS: Final = 65
_NARROWEST_KERNEL: Final = 0.4  # L*
_FAR_OUT: Final = 4.0  # robust standard deviations of a face's tiles
_LEAST_ODD: Final = 3.0  # L*
_MAD_TO_SD: Final = 1.4826  # of a normal distribution


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Hill:
    """How the lightness of a patch is spread over its face.

    Attributes
    ----------
    lightness
        Shape (n,): rising L*.
    density
        Shape (n,): share of the pixels per L*.
    """

    lightness: Array
    density: Array


def loses_colour(statistics: PatchStatistics, balance: Balance) -> bool:
    """Return whether a channel of the patch, or of the card it is judged by, holds no light any more."""
    dead = np.max(statistics.dead_share) - statistics.crushed_share
    return statistics.colourless or balance.colour_lost or bool(dead > DEAD_CHANNEL)


def read_patch(statistics: PatchStatistics, balance: Balance) -> Reading:
    """Return the colour of a patch: its mean in linear XYZ, as an instrument's aperture would see it, as Lab.

    The independent covariance is that of the patch's own mean; the shared one comes from the balance. Whether the
    reading may be used is for `checks.check_patch` to say.
    """
    xyz = balance.patch_xyz(statistics)
    to_lab = lab_jacobian(xyz)
    own = to_lab @ balance.slope(statistics.mean) / balance.light_on(statistics)
    lightness, a, b = (float(value) for value in xyz_to_lab(xyz))
    return Reading(
        lab=(lightness, a, b),
        covariance=matrix3(own @ statistics.mean_covariance @ own.T + _light_covariance(statistics, balance, xyz)),
        shared=matrix3(balance.shared_covariance(xyz)),
        colour_lost=loses_colour(statistics, balance),
        spread=float(np.std(_sample_lightness(statistics, balance))),
        pixels=statistics.pixels,
    )


def _light_covariance(statistics: PatchStatistics, balance: Balance, xyz: Array) -> Array:
    """Return the covariance of L*, a*, b* that the error of the light field leaves: all channels move together."""
    if balance.light is None:
        return np.zeros((3, 3))
    centre = statistics.tile_weights @ statistics.tile_centres
    move = lab_jacobian(xyz) @ xyz * balance.light.relative_error(centre, balance.reference_place)
    return np.outer(move, move)


def _sample_lightness(statistics: PatchStatistics, balance: Balance) -> Array:
    return np.asarray(xyz_to_lab(balance.xyz(statistics.sample))[:, 0], dtype=np.float64)


def odd_part(statistics: PatchStatistics, balance: Balance) -> tuple[float, float]:
    """Return how much of a face is unlike the rest, and what it does: share 0 to 1, and L* with it less L* without.

    Judged by the tiles of the patch, over which pores and fine grain average out: glare and knots remain.
    """
    lightness = np.asarray(xyz_to_lab(balance.xyz(statistics.tile_means))[:, 0], dtype=np.float64)
    gap = np.abs(lightness - np.median(lightness))
    near = gap <= max(_FAR_OUT * _MAD_TO_SD * float(np.median(gap)), _LEAST_ODD)
    share = 1 - float(statistics.tile_weights[near].sum())
    if near.all() or share > 0.5:
        return 0.0, 0.0
    weights = statistics.tile_weights[near] / statistics.tile_weights[near].sum()
    with_it, without = statistics.tile_weights @ statistics.tile_means, weights @ statistics.tile_means[near]
    move = xyz_to_lab(balance.xyz(with_it))[0] - xyz_to_lab(balance.xyz(without))[0]
    return share, float(move)


def lightness_hill(statistics: PatchStatistics, balance: Balance) -> Hill:
    """Return the spread of lightness over the patch's face, smoothed for drawing."""
    lightness = _sample_lightness(statistics, balance)
    width = max(_NARROWEST_KERNEL, 0.9 * float(np.std(lightness)) * lightness.size**-0.2)  # Silverman 1986
    grid = np.linspace(lightness.min() - 3 * width, lightness.max() + 3 * width, _HILL_POINTS)
    bumps = np.exp(-0.5 * ((grid[:, None] - lightness) / width) ** 2)
    return Hill(lightness=grid, density=bumps.mean(axis=1) / (width * np.sqrt(2 * np.pi)))
