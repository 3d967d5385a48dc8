"""What a photo's light means as colour under D65, once its references have been read.

A balance undoes the camera's tone curve where that is known, takes stray light off, divides the uneven light out, and
applies gains in linear light and in a cone-like space (Bradford), so that the card lands on its stated colour.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from colourcore.colour.spaces import BRADFORD, lab_jacobian, lab_to_xyz, xyz_to_lab
from colourcore.errors import InputError
from colourcore.image.develop import Photo, screen_codes
from colourcore.image.encoding import Light
from colourcore.image.light import LightField
from colourcore.image.pixels import PatchStatistics
from colourcore.image.tone import Tone
from colourcore.image.trust import STRAY_SD, UNKNOWN_CONTRAST_SD, contrast_covariance, metameric_covariance

__all__ = [
    "GREY_CARD_LAB",
    "Balance",
    "balance_from_card",
    "balanced_codes",
    "balanced_preview",
    "check_card",
    "check_stated_lab",
    "loses_channel",
]

Array = NDArray[np.float64]

GREY_CARD_LAB: Final = (49.5, 0.0, 0.0)
"""What a grey card is taken to be unless its own values are stated: reflectance 0.18 is L* 49.496 (ISO/CIE 11664-4)."""

CLIPPED_CARD: Final = 0.02  # share of pixels
BLACK_CARD: Final = 0.05  # share of pixels without any light
_BLACK_LIGHT: Final = 0.002  # of full light, luminance: code 6 of an 8-bit sRGB file
DEAD_CHANNEL: Final = 0.05  # share of pixels without light in a channel
_LOWEST_CARD: Final = 5.0  # L*


def _zeros() -> Array:
    return np.zeros((3, 3))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Balance:
    """What turns the channel light of one photo into colour under D65.

    Attributes
    ----------
    method
        How the balance was found, in words for the user.
    residual_delta_e
        Mean CIEDE2000 that the photo leaves on references that were held back; None with one card, where it is zero
        by construction.
    matrix
        Shape (3, 3): channel light, its tone curve undone, to balanced XYZ under D65, Y of white 1.
    gain_covariance
        Shape (3, 3): covariance of the logarithms of the three cone-like gains. It is shared by all patches of the
        photo.
    light_offset
        How far the light's colour lies from what the camera took for white: distance of the card from its stated
        colour in a*, b*, at its stated lightness.
    exposure_gain
        The factor on luminance that brings the card to its stated lightness; 1 is a perfect exposure.
    card_lab
        L*, a*, b* of the card before balance, as the file claims them: photos of one series are compared by it.
    colour_lost
        True where the card itself holds no light in a channel, so that only lightness can be balanced.
    tone
        The tone curve to undo, or None where the file's own meaning stands.
    curve_known
        True where the file is known to be in proportion to light, or its curve was undone.
    light
        How the light falls off over the photo, or None where it is taken as even.
    reference_place
        Shape (2,): where the references lie, in pixels of the upright photo.
    residual_covariance
        Shape (3, 3): covariance of L*, a*, b* that references held back show, shared by all patches of the photo.
    reference_lightness
        Least and greatest stated L* of the references: what the balance rests on.
    metameric
        True where the references are neutral, so that what the camera sees unlike the eye is not corrected.
    absolute
        False where the lightness of the only reference is not known: colours compare within the series and mean
        nothing outside it.
    suspect_linear
        True where the greys rise as in a file whose codes are proportional to light, although nothing says so.
    """

    method: str
    residual_delta_e: float | None
    matrix: Array
    gain_covariance: Array
    light_offset: float
    exposure_gain: float
    card_lab: tuple[float, float, float] = (math.nan, math.nan, math.nan)
    colour_lost: bool = False
    tone: Tone | None = None
    curve_known: bool = False
    light: LightField | None = None
    reference_place: Array = field(default_factory=lambda: np.zeros(2))
    residual_covariance: Array = field(default_factory=_zeros)
    reference_lightness: tuple[float, float] = (49.5, 49.5)
    metameric: bool = True
    absolute: bool = True
    suspect_linear: bool = False

    def xyz(self, light: ArrayLike) -> Array:
        """Return balanced XYZ under D65, shape (..., 3), of channel light of that shape, under even light."""
        claimed = np.asarray(light, dtype=np.float64)
        return (claimed if self.tone is None else self.tone.apply(claimed)) @ self.matrix.T

    def patch_xyz(self, patch: PatchStatistics) -> Array:
        """Return balanced XYZ, shape (3,), of a patch's mean light: every pixel through the curve, then the light."""
        if self.tone is None:
            mean = patch.mean
        else:
            bent = self.tone.apply(patch.levels.T).T
            mean = np.sum(bent * patch.shares, axis=1)
        return np.asarray(self.matrix @ mean / self.light_on(patch), dtype=np.float64)

    def light_on(self, patch: PatchStatistics) -> float:
        """Return the light on a patch relative to that on the references; 1 where it is taken as even."""
        if self.light is None:
            return 1.0
        fall = self.light.log_light(patch.tile_centres) - self.light.log_light(self.reference_place)
        luminance = patch.tile_weights * np.maximum(self.xyz(patch.tile_means)[:, 1], 1e-6)
        return float(luminance.sum() / (luminance @ np.exp(-fall)))

    def slope(self, light: ArrayLike) -> Array:
        """Return how balanced XYZ answers to small changes of channel light at one colour: shape (3, 3)."""
        bent = np.ones(3) if self.tone is None else self.tone.slope(light)
        return np.asarray(self.matrix * bent, dtype=np.float64)

    def shared_covariance(self, xyz: ArrayLike) -> Array:
        """Return the covariance of L*, a*, b*, shape (3, 3), that all patches of the photo have in common.

        The card's own error, what held-back references show, an unknown tone curve away from the references, and what
        three channels cannot tell apart under another lamp.
        """
        values = np.asarray(xyz, dtype=np.float64)
        to_lab = lab_jacobian(values)
        through_gains = to_lab @ (np.linalg.inv(BRADFORD) * (BRADFORD @ values))
        lab = xyz_to_lab(values)
        floor = metameric_covariance(lab) if self.metameric else np.zeros((3, 3))
        return np.asarray(
            through_gains @ self.gain_covariance @ through_gains.T
            + self.residual_covariance
            + contrast_covariance(lab, self.reference_lightness, STRAY_SD if self.curve_known else UNKNOWN_CONTRAST_SD)
            + floor,
            dtype=np.float64,
        )


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


def check_card(card: PatchStatistics, stated_lightness: float = GREY_CARD_LAB[0]) -> None:
    """Raise InputError when a card is clipped, or blacker than its stated L* leaves room for."""
    if card.clipped_share > CLIPPED_CARD:
        raise InputError(
            f"expected a card without clipped pixels, got one with {100 * card.clipped_share:.0f} % at the top of the "
            "scale; photograph it again with less exposure"
        )
    luminance = float(card.to_xyz[1] @ card.mean)
    least = _BLACK_LIGHT * min(1.0, stated_lightness / GREY_CARD_LAB[0])
    if card.crushed_share > BLACK_CARD or luminance < least:
        raise InputError(
            f"expected a card with light on it, got a black one ({100 * luminance:.2f} % of full light); photograph it "
            "again with more exposure, or outline the card itself"
        )


def loses_channel(card: PatchStatistics) -> bool:
    """Return whether a card holds too little light in a channel to balance colour by it."""
    cones = BRADFORD @ card.to_xyz @ card.mean
    return card.colourless or bool(np.any(card.dead_share > DEAD_CHANNEL)) or bool(np.any(cones <= 0))


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
    check_card(card, float(lab[0]))
    seen, stated = card.to_xyz @ card.mean, lab_to_xyz(lab)
    exposure_gain = float(stated[1] / seen[1])
    cones_seen = BRADFORD @ seen
    colour_lost = loses_channel(card)
    if colour_lost:
        matrix, relative = exposure_gain * card.to_xyz, card.to_xyz[[1, 1, 1]] / seen[1]
    else:
        gains = (BRADFORD @ stated) / cones_seen
        matrix = np.asarray(np.linalg.solve(BRADFORD, gains[:, None] * (BRADFORD @ card.to_xyz)), dtype=np.float64)
        relative = (BRADFORD @ card.to_xyz) / cones_seen[:, None]
    shift = xyz_to_lab(seen * exposure_gain) - lab
    before = xyz_to_lab(seen)
    return Balance(
        method="one grey card",
        residual_delta_e=None,
        matrix=matrix,
        gain_covariance=np.asarray(relative @ card.mean_covariance @ relative.T, dtype=np.float64),
        light_offset=math.hypot(shift[1], shift[2]),
        exposure_gain=exposure_gain,
        card_lab=(float(before[0]), float(before[1]), float(before[2])),
        colour_lost=colour_lost,
        curve_known=card.linear,
        reference_place=card.tile_centres.mean(axis=0),
        reference_lightness=(float(lab[0]), float(lab[0])),
    )


def balanced_codes(light: Light, balance: Balance) -> NDArray[np.uint8]:
    """Return sRGB codes, shape (height, width, 3), of channel light of that shape, balanced but for uneven light."""
    scene = light if balance.tone is None else np.asarray(balance.tone.apply(light), dtype=np.float32)
    return screen_codes(scene, balance.matrix)


def balanced_preview(photo: Photo, balance: Balance, longest_side: int) -> NDArray[np.uint8]:
    """Return the balanced photo for a screen: sRGB codes of shape (height, width, 3), upright."""
    return balanced_codes(photo.reduced_light(longest_side), balance)
