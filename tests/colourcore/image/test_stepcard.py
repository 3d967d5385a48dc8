"""From greys of known lightness to the camera's tone curve."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from colourcore.colour.spaces import SRGB_TO_XYZ, XYZ_TO_SRGB, lab_to_xyz, srgb_decode, srgb_encode, xyz_to_lab
from colourcore.errors import InputError
from colourcore.image.stepcard import Grey, cone_gains, fit_step_card, looks_linear

Curve = Callable[[np.ndarray], np.ndarray]

SIX, THREE = (95, 80, 65, 49.5, 35, 20), (95, 49.5, 20)
WOOD = lab_to_xyz([[68, 6.5, 21], [52, 4, 14], [35, 3, 10]])
GAINS = np.array([0.8, 0.8, 0.8])  # exposure alone: a cast in RGB is no cast in Bradford's space


def contrast(light: np.ndarray) -> np.ndarray:
    """A picture style: codes drawn to an S by a smooth step."""
    code = srgb_encode(np.clip(light, 0, 1))
    return srgb_decode(0.3 * code + 0.7 * code**2 * (3 - 2 * code))


def plain(light: np.ndarray) -> np.ndarray:
    return light


def greys(curve: Curve, lightness: tuple[float, ...], stray: float = 0.0) -> list[Grey]:
    xyz = lab_to_xyz([[value, 0, 0] for value in lightness])
    seen = curve(GAINS * (xyz @ XYZ_TO_SRGB.T + stray))
    return [Grey(light=light, xyz=one) for light, one in zip(seen, xyz, strict=True)]


def wood_through(curve: Curve, lightness: tuple[float, ...], *, known: bool = False, stray: float = 0.0) -> np.ndarray:
    """L*, a*, b* of the wood, read by the greys."""
    card = greys(curve, lightness, stray)
    fit = fit_step_card(card, SRGB_TO_XYZ, known_curve=known)
    seen = curve(GAINS * (WOOD @ XYZ_TO_SRGB.T + stray))
    light = seen if fit.tone is None else fit.tone.apply(seen)
    from colourcore.colour.spaces import BRADFORD

    cones = cone_gains(card, fit.tone, SRGB_TO_XYZ) * (light @ (BRADFORD @ SRGB_TO_XYZ).T)
    return xyz_to_lab(cones @ np.linalg.inv(BRADFORD).T)


def test_a_plain_picture_needs_no_curve() -> None:
    for lightness in (SIX, THREE):
        fit = fit_step_card(greys(plain, lightness), SRGB_TO_XYZ)
        assert fit.tone is None
        assert fit.method == "the file's own curve"
        assert fit.residual_delta_e == pytest.approx(0, abs=1e-6)


@pytest.mark.parametrize(("lightness", "within"), [(SIX, 0.6), (THREE, 1.2)])
def test_greys_bring_the_lightness_of_wood_back_from_a_contrast_curve(lightness: tuple, within: float) -> None:
    assert np.abs(wood_through(contrast, lightness) - xyz_to_lab(WOOD)).max() < within
    card = greys(contrast, (49.5,))[0]
    alone = xyz_to_lab(
        contrast(GAINS * (WOOD @ XYZ_TO_SRGB.T)) @ SRGB_TO_XYZ.T * (card.xyz[1] / (SRGB_TO_XYZ[1] @ card.light))
    )
    assert np.abs(alone - xyz_to_lab(WOOD)).max() > 5  # what one card would have left


def test_two_greys_show_the_contrast() -> None:
    def power(light: np.ndarray) -> np.ndarray:
        return light**1.3

    fit = fit_step_card(greys(power, (80, 30)), SRGB_TO_XYZ)
    assert (fit.method, fit.residual_delta_e) == ("one contrast for all greys", None)
    assert np.abs(wood_through(power, (80, 30)) - xyz_to_lab(WOOD)).max() < 0.3


def test_channels_with_curves_of_their_own_get_them() -> None:
    def unlike(light: np.ndarray) -> np.ndarray:
        return np.stack([light[..., 0] ** 1.3, contrast(light[..., 1]), light[..., 2] ** 0.8], axis=-1)

    assert fit_step_card(greys(unlike, SIX), SRGB_TO_XYZ).method == "a tone curve for each channel"


def test_an_offset_is_named_only_where_the_curve_is_known() -> None:
    stray = greys(plain, SIX, stray=0.03)
    known, unknown = (fit_step_card(stray, SRGB_TO_XYZ, known_curve=known) for known in (True, False))
    assert known.method == "the known curve less stray light"
    assert known.tone is not None
    assert known.tone.offset == pytest.approx(0.03 * GAINS, rel=0.02)
    assert unknown.tone is not None
    assert unknown.tone.offset.tolist() == [0, 0, 0]
    assert fit_step_card(greys(plain, SIX), SRGB_TO_XYZ, known_curve=True).tone is None


def test_stray_light_taken_off_brings_the_differences_back() -> None:
    read = wood_through(plain, SIX, known=True, stray=0.03)
    assert np.ptp(read[:, 0]) / np.ptp(xyz_to_lab(WOOD)[:, 0]) == pytest.approx(1, abs=0.005)


def test_greys_in_the_wrong_order_are_refused() -> None:
    card = greys(plain, SIX)
    swapped = [Grey(light=card[1].light, xyz=card[0].xyz), Grey(light=card[0].light, xyz=card[1].xyz), *card[2:]]
    with pytest.raises(InputError, match="in the order of their stated L"):
        fit_step_card(swapped, SRGB_TO_XYZ)
    with pytest.raises(InputError, match="two or more greys"):
        fit_step_card(card[:1], SRGB_TO_XYZ)


def test_a_linear_file_taken_for_an_ordinary_one_is_suspected() -> None:
    assert looks_linear(greys(srgb_decode, SIX), SRGB_TO_XYZ)  # the codes themselves are light
    assert not looks_linear(greys(plain, SIX), SRGB_TO_XYZ)
    assert not looks_linear(greys(contrast, SIX), SRGB_TO_XYZ)
