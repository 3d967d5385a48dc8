"""What the pixels of a patch say before balance."""

from __future__ import annotations

import numpy as np
import pytest

from colourcore.colour.spaces import srgb_decode
from colourcore.errors import InputError
from colourcore.image.develop import Photo, open_photo
from colourcore.image.patches import Outline, measure_patch
from tests.colourcore.image import pictures
from tests.colourcore.image.pictures import CARD, WOOD, bench, deep


def opened(picture: np.ndarray) -> Photo:
    return open_photo(pictures.png(picture), "bench.png")


def test_the_mean_is_taken_in_light_and_not_in_codes() -> None:
    """Half black, half white is 50 % of the light, not the light of the middle code."""
    picture = bench(card=0)
    picture[5:60, 5:95] = 250
    assert measure_patch(opened(picture), CARD).mean == pytest.approx([srgb_decode(250 / 255) / 2] * 3)


@pytest.mark.parametrize("bits", [8, 16])
def test_the_mean_counts_every_pixel(bits: int) -> None:
    picture = bench(noise=9)
    light = srgb_decode(picture[5:115, 105:195] / 255)
    statistics = measure_patch(opened(picture if bits == 8 else deep(picture)), WOOD)
    assert statistics.mean == pytest.approx(light.mean(axis=(0, 1)), abs=1e-6)
    assert statistics.pixels == 90 * 110


@pytest.mark.parametrize("bits", [8, 16])
def test_the_distribution_and_the_tiles_have_the_same_mean_as_the_pixels(bits: int) -> None:
    picture = bench(noise=9)
    statistics = measure_patch(opened(picture if bits == 8 else deep(picture)), WOOD)
    assert (statistics.levels * statistics.shares).sum(axis=1) == pytest.approx(statistics.mean, abs=1e-7)
    assert statistics.tile_weights @ statistics.tile_means == pytest.approx(statistics.mean, abs=1e-7)
    assert statistics.shares.sum(axis=1) == pytest.approx([1, 1, 1])


def test_tiles_know_where_they_lie_on_the_upright_photo() -> None:
    picture = bench()
    picture[:, 100:] = np.linspace(60, 180, 100).astype(np.uint8)[None, :, None]
    for turn in (1, 6, 8):
        file = np.rot90(picture, {1: 0, 6: 1, 8: -1}[turn])
        data = pictures.tiff(np.ascontiguousarray(file), extratags=[(274, "H", 1, turn, True)])
        statistics = measure_patch(open_photo(data, "turned.tif"), WOOD)
        slope = np.polyfit(statistics.tile_centres[:, 0], statistics.tile_means[:, 1], 1)[0]
        assert slope > 0.003
        assert statistics.tile_centres.min(axis=0) == pytest.approx([109, 10], abs=2)


def test_clipped_pixels_are_counted_and_left_out() -> None:
    picture = bench()
    picture[5:16, 105:195, 0] = 255
    statistics = measure_patch(opened(picture), WOOD)
    assert statistics.clipped_share == pytest.approx(0.1)
    assert statistics.mean == pytest.approx(srgb_decode(np.array(pictures.WOOD_CODES) / 255))
    assert measure_patch(opened(deep(picture)), WOOD).clipped_share == pytest.approx(0.1)


def test_a_wholly_clipped_patch_has_no_valid_pixel() -> None:
    statistics = measure_patch(opened(bench(wood=255)), WOOD)
    assert (statistics.pixels, statistics.clipped_share) == (0, 1.0)


def test_pixels_without_light_are_told_from_pixels_without_blue() -> None:
    picture = bench()
    picture[5:16, 105:195] = 0
    picture[16:27, 105:195, 2] = 1
    statistics = measure_patch(opened(picture), WOOD)
    assert statistics.crushed_share == pytest.approx(0.1)
    assert statistics.dead_share == pytest.approx([0.1, 0.1, 0.2])


def test_a_turned_outline_sees_only_what_lies_inside_its_corners() -> None:
    picture = bench(card=255)
    diamond = ((50, 20), (80, 50), (50, 80), (20, 50))
    y, x = np.mgrid[:120, :200]
    picture[np.abs(x - 49.5) + np.abs(y - 49.5) <= 31] = 100
    statistics = measure_patch(opened(picture), Outline(x=20, y=20, width=60, height=60, corners=diamond))
    assert statistics.clipped_share == 0
    assert statistics.mean == pytest.approx([float(srgb_decode(100 / 255))] * 3)
    assert statistics.pixels == pytest.approx(1800, rel=0.05)  # half of the square


def test_the_standard_error_is_right_for_independent_pixels() -> None:
    """Against the textbook's SD / √n; the search over block sizes may add, it must not take away."""
    ratios = []
    for seed in range(20):
        picture = bench(noise=8, seed=seed)
        light = srgb_decode(picture[5:115, 105:195, 1] / 255)
        stated = np.sqrt(measure_patch(opened(picture), WOOD).mean_covariance[1, 1])
        ratios.append(stated / (light.std() / np.sqrt(light.size)))
    assert 0.95 < np.mean(ratios) < 1.5


def test_the_standard_error_knows_that_grain_runs_through_the_whole_sample() -> None:
    """Streaks along the sample: only the streaks are independent, not the pixels along them."""
    means, errors = [], []
    for seed in range(200):
        streaks = np.random.default_rng(seed).normal(0, 10, (22, 1, 1))
        picture = bench().astype(float)
        picture[5:115, 105:195] += np.repeat(streaks, 5, axis=0)
        statistics = measure_patch(opened(np.clip(picture, 0, 255).astype(np.uint8)), WOOD)
        means.append(statistics.mean[1])
        errors.append(np.sqrt(statistics.mean_covariance[1, 1]))
    assert 0.8 < np.mean(errors) / np.std(means) < 1.3


@pytest.mark.parametrize(
    "outline",
    [
        Outline(x=-1, y=5, width=50, height=50),
        Outline(x=160, y=5, width=50, height=50),
        Outline(x=5, y=100, width=50, height=50),
        Outline(x=500, y=500, width=50, height=50),
    ],
)
def test_a_patch_partly_outside_the_photo_is_refused(outline: Outline) -> None:
    with pytest.raises(InputError, match=r"(?i)expected a patch inside the photo of 200 × 120 pixels, got one from"):
        measure_patch(opened(bench()), outline)


def test_a_patch_of_a_few_pixels_or_none_is_refused() -> None:
    for width in (0, 3, -20):
        with pytest.raises(InputError, match=r"(?i)expected a patch of at least 4 × 4 pixels"):
            measure_patch(opened(bench()), Outline(x=50, y=5, width=width, height=50))
    with pytest.raises(InputError, match="xpected four numbers"):
        measure_patch(opened(bench()), Outline(x=float("nan"), y=5, width=20, height=50))


def test_a_wholly_transparent_patch_is_refused() -> None:
    picture = np.dstack([bench(), np.zeros((120, 200), np.uint8)])
    with pytest.raises(InputError, match="transparent"):
        measure_patch(opened(picture), CARD)
