"""From a neutral card to white and exposure: what a photo's light means as colour under D65.

The gains act in linear light and in a cone-like space (Bradford), so that the card lands on its stated colour.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from colourcore.colour.spaces import BRADFORD, lab_to_xyz, xyz_to_lab
from colourcore.errors import InputError
from colourcore.image.develop import Photo, screen_codes
from colourcore.image.pixels import PatchStatistics

__all__ = ["GREY_CARD_LAB", "Balance", "balance_from_card", "balanced_preview", "check_stated_lab"]

Array = NDArray[np.float64]

GREY_CARD_LAB: Final = (49.5, 0.0, 0.0)
"""What a grey card is taken to be unless its own values are stated: reflectance 0.18 is L* 49.496 (ISO/CIE 11664-4)."""

CLIPPED_CARD: Final = 0.02  # share of pixels
BLACK_CARD: Final = 0.05  # share of pixels without any light
_BLACK_LIGHT: Final = 0.002  # of full light, luminance: code 6 of an 8-bit sRGB file
DEAD_CHANNEL: Final = 0.05  # share of pixels without light in a channel
_LOWEST_CARD: Final = 5.0  # L*


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Balance:
    """What turns the channel light of one photo into colour under D65.

    Attributes
    ----------
    method
        How the balance was found, in words for the user.
    residual_delta_e
        Mean CIEDE2000 that the photo leaves on its own references; None with one card, where it is zero by
        construction.
    matrix
        Shape (3, 3): channel light to balanced XYZ under D65, Y of white 1.
    gain_covariance
        Shape (3, 3): covariance of the logarithms of the three cone-like gains. It is shared by all patches of the
        photo.
    light_offset
        How far the light's colour lies from what the camera took for white: distance of the card from its stated
        colour in a*, b*, at its stated lightness.
    exposure_gain
        The factor on luminance that brings the card to its stated lightness; 1 is a perfect exposure.
    colour_lost
        True where the card itself holds no light in a channel, so that only lightness can be balanced.
    """

    method: str
    residual_delta_e: float | None
    matrix: Array
    gain_covariance: Array
    light_offset: float
    exposure_gain: float
    colour_lost: bool = False

    def xyz(self, light: ArrayLike) -> Array:
        """Return balanced XYZ under D65, shape (..., 3), of channel light of that shape."""
        return np.asarray(np.asarray(light, dtype=np.float64) @ self.matrix.T, dtype=np.float64)

    def shared_covariance(self, light: ArrayLike) -> Array:
        """Return the part of the covariance of XYZ, shape (3, 3), that all patches of the photo have in common."""
        to_xyz = np.linalg.inv(BRADFORD) * (BRADFORD @ self.xyz(light))
        return np.asarray(to_xyz @ self.gain_covariance @ to_xyz.T, dtype=np.float64)


def check_stated_lab(stated_lab: ArrayLike) -> Array:
    """Return the stated colour of a reference as an array of shape (3,).

    Raises
    ------
    InputError
        When it is not three finite numbers or L* lies outside 5 to 100: nothing can be balanced on a black card.
    """
    lab = np.asarray(stated_lab, dtype=np.float64)
    if lab.shape != (3,) or not np.all(np.isfinite(lab)):
        raise InputError(f"expected L, a, b of the card as three numbers, got {stated_lab!r}")
    if not _LOWEST_CARD <= lab[0] <= 100:
        raise InputError(f"expected a card with L from {_LOWEST_CARD:g} to 100, got {lab[0]:g}")
    return lab


def _check_card(card: PatchStatistics) -> None:
    if card.clipped_share > CLIPPED_CARD:
        raise InputError(
            f"expected a card without clipped pixels, got one with {100 * card.clipped_share:.0f} % at the top of the "
            "scale; photograph it again with less exposure"
        )
    luminance = float(card.to_xyz[1] @ card.mean)
    if card.crushed_share > BLACK_CARD or luminance < _BLACK_LIGHT:
        raise InputError(
            f"expected a card with light on it, got a black one ({100 * luminance:.2f} % of full light); photograph it "
            "again with more exposure, or outline the card itself"
        )


def balance_from_card(card: PatchStatistics, stated_lab: ArrayLike) -> Balance:
    """Return the balance that brings one card to its stated colour.

    Parameters
    ----------
    card
        The card's pixels.
    stated_lab
        Its L*, a*, b* under D65 for the 2° observer, shape (3,).

    Raises
    ------
    InputError
        For a card that is black or clipped, or stated values that cannot be; without file and line.
    """
    lab = check_stated_lab(stated_lab)
    _check_card(card)
    seen, stated = card.to_xyz @ card.mean, lab_to_xyz(lab)
    exposure_gain = float(stated[1] / seen[1])
    cones_seen = BRADFORD @ seen
    colour_lost = card.colourless or bool(np.any(card.dead_share > DEAD_CHANNEL)) or bool(np.any(cones_seen <= 0))
    if colour_lost:
        matrix, relative = exposure_gain * card.to_xyz, card.to_xyz[[1, 1, 1]] / seen[1]
    else:
        gains = (BRADFORD @ stated) / cones_seen
        matrix = np.asarray(np.linalg.solve(BRADFORD, gains[:, None] * (BRADFORD @ card.to_xyz)), dtype=np.float64)
        relative = (BRADFORD @ card.to_xyz) / cones_seen[:, None]
    shift = xyz_to_lab(seen * exposure_gain) - lab
    return Balance(
        method="one grey card",
        residual_delta_e=None,
        matrix=matrix,
        gain_covariance=np.asarray(relative @ card.mean_covariance @ relative.T, dtype=np.float64),
        light_offset=math.hypot(shift[1], shift[2]),
        exposure_gain=exposure_gain,
        colour_lost=colour_lost,
    )


def balanced_preview(photo: Photo, balance: Balance, longest_side: int) -> NDArray[np.uint8]:
    """Return the balanced photo for a screen: sRGB codes of shape (height, width, 3), upright."""
    return screen_codes(photo.reduced_light(longest_side), balance.matrix)
