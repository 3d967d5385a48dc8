"""From pixels and a card to a reading."""

from __future__ import annotations

import colour
import numpy as np
import pytest

from colourcore.colour.reading import Reading
from colourcore.colour.spaces import srgb_decode
from colourcore.image.balance import GREY_CARD_LAB, balance_from_card
from colourcore.image.develop import open_photo
from colourcore.image.patches import lightness_hill, measure_patch, odd_part, read_patch
from tests.colourcore.image import pictures
from tests.colourcore.image.pictures import CARD, WOOD, bench, deep

# sRGB 118, the nearest code to 18 % grey, has this L* (IEC 61966-2-1 and ISO/CIE 11664-4)
CARD_AS_CODED = (float(colour.XYZ_to_Lab(np.array([0.95047, 1, 1.08883]) * srgb_decode(118 / 255))[0]), 0.0, 0.0)


def read(picture: np.ndarray, card: tuple[float, float, float] = GREY_CARD_LAB) -> Reading:
    photo = open_photo(pictures.png(picture), "bench.png")
    return read_patch(measure_patch(photo, WOOD), balance_from_card(measure_patch(photo, CARD), card))


def test_a_well_balanced_photo_reads_as_colour_science_says() -> None:
    """colour-science 0.4.7: sRGB to XYZ to Lab under D65."""
    xyz = colour.sRGB_to_XYZ(np.array(pictures.WOOD_CODES) / 255)
    published = colour.XYZ_to_Lab(xyz, np.array([0.3127, 0.3290]))
    assert read(deep(bench()), CARD_AS_CODED).lab == pytest.approx(tuple(published), abs=0.02)


def test_exposure_falls_out() -> None:
    """Half the light on card and wood alike changes nothing."""
    light = srgb_decode(deep(bench()) / 65535)
    dim = np.round(65535 * np.asarray(colour.cctf_encoding(light / 2, function="sRGB"))).astype(np.uint16)
    assert read(dim).lab == pytest.approx(read(deep(bench())).lab, abs=0.01)


def test_the_colour_of_the_light_falls_out_as_bradford_has_it() -> None:
    """Light whose cone-like responses are 1.3, 1, 0.7 times those of D65 (colour-science's own Bradford matrix)."""
    cones = colour.adaptation.CHROMATIC_ADAPTATION_TRANSFORMS["Bradford"]
    to_xyz = colour.RGB_COLOURSPACES["sRGB"].matrix_RGB_to_XYZ
    tint = np.linalg.inv(to_xyz) @ np.linalg.inv(cones) @ np.diag([1.3, 1, 0.7]) @ cones @ to_xyz
    light = srgb_decode(deep(bench()) / 65535) @ tint.T
    warm = np.round(65535 * np.asarray(colour.cctf_encoding(light, function="sRGB"))).astype(np.uint16)
    assert read(warm).lab == pytest.approx(read(deep(bench())).lab, abs=0.02)


def test_the_card_lands_on_its_stated_colour() -> None:
    photo = open_photo(pictures.png(bench(card=(140, 118, 90))), "warm.png")
    card = measure_patch(photo, CARD)
    for stated in ((49.5, 0.0, 0.0), (62.0, -1.0, 2.5), (100.0, 0.0, 0.0)):
        assert read_patch(card, balance_from_card(card, stated)).lab == pytest.approx(stated, abs=1e-9)


def test_a_reading_says_how_many_pixels_it_rests_on_and_how_far_they_spread() -> None:
    reading = read(bench(noise=6))
    assert reading.pixels == 90 * 110
    light = srgb_decode(bench(noise=6)[5:115, 105:195] / 255)
    spread = np.std(colour.XYZ_to_Lab(light @ colour.RGB_COLOURSPACES["sRGB"].matrix_RGB_to_XYZ.T)[..., 0])
    assert reading.spread == pytest.approx(spread, rel=0.05)


def test_the_independent_part_of_the_error_comes_from_the_patch_and_the_shared_part_from_the_card() -> None:
    flat_card, flat_wood = bench(noise=6), bench(noise=6)
    flat_card[:, :100], flat_wood[:, 100:] = 118, pictures.WOOD_CODES
    assert read(flat_card).covariance[0][0] > 1e-5
    assert read(flat_card).shared[0][0] < read(flat_wood).shared[0][0]
    assert read(flat_wood).covariance[0][0] == pytest.approx(0, abs=1e-12)


def test_stated_errors_match_what_repeated_photos_do() -> None:
    readings = []
    for seed in range(150):
        picture = bench(noise=12, seed=seed)
        picture[:, :100] = 118  # the card's own error is shared by all patches and not looked at here
        readings.append(read(picture))
    scatter = np.std([r.lab for r in readings], axis=0)
    stated = np.mean([r.standard_errors for r in readings], axis=0)
    assert np.all((stated / scatter > 0.8) & (stated / scatter < 1.6))


def test_a_spot_of_glare_is_told_by_its_share_and_by_what_it_does() -> None:
    picture = bench(noise=3)
    clean = read(picture).lab[0]
    picture[20:40, 120:150] = 245
    photo = open_photo(pictures.png(picture), "glare.png")
    wood, balance = measure_patch(photo, WOOD), balance_from_card(measure_patch(photo, CARD), GREY_CARD_LAB)
    share, move = odd_part(wood, balance)
    assert share == pytest.approx(20 * 30 / (90 * 110), abs=0.06)
    assert move == pytest.approx(read_patch(wood, balance).lab[0] - clean, abs=0.3)
    assert move > 1.5


def test_the_hill_of_lightness_is_a_distribution_around_the_reading() -> None:
    photo = open_photo(pictures.png(bench(noise=6)), "bench.png")
    wood, balance = measure_patch(photo, WOOD), balance_from_card(measure_patch(photo, CARD), GREY_CARD_LAB)
    hill = lightness_hill(wood, balance)
    step = hill.lightness[1] - hill.lightness[0]
    assert hill.density.sum() * step == pytest.approx(1, abs=0.01)
    assert (hill.lightness * hill.density).sum() * step == pytest.approx(read_patch(wood, balance).lab[0], abs=0.4)


def test_blue_that_is_gone_leaves_lightness_only() -> None:
    assert read(bench(wood=(150, 90, 0))).colour_lost
    assert not read(bench(wood=(150, 90, 12))).colour_lost
