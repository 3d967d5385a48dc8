"""The wood at another hour. Its law is that a reading is a mean in linear light (docs: the preview)."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PySide6.QtCore import QSize

from app.models.hours_wood import Lab, contrast_at, grain_contrast, grain_of, path_pixels, screen_pixel, tables
from app.views.preview import Preview, cover, image_of, woven
from colourcore.colour.spaces import SRGB_TO_XYZ, srgb_decode, xyz_to_lab
from tests.app.hours_stage import drawn_wood, shade


def mean_lab(codes: np.ndarray) -> np.ndarray:
    light = srgb_decode(codes.reshape(-1, 3) / 255.0).mean(axis=0)
    return xyz_to_lab(SRGB_TO_XYZ @ light)


def moved(wood: np.ndarray, lab: Lab, contrast: float = 1.0) -> np.ndarray:
    found = tables(grain_of(wood), lab, contrast)
    return np.stack([found[c][wood[..., c]] for c in range(3)], axis=-1)


@pytest.mark.parametrize("hours", [0.0, 1.0, 4.0, 9.0, 24.0])
@pytest.mark.parametrize("contrast", [0.7, 1.0, 1.4])
def test_the_mean_of_the_moved_wood_is_the_colour_of_the_hour(hours: float, contrast: float) -> None:
    lab = shade(hours)
    assert np.abs(mean_lab(moved(drawn_wood(3), lab, contrast)) - lab).max() < 0.15


@pytest.mark.parametrize("contrast", [0.5, 1.0, 2.0])
def test_the_mean_lands_in_strongly_grained_wood_too(contrast: float) -> None:
    striped = np.full((60, 60, 3), (190, 160, 130), dtype=np.uint8)
    striped[::3] = (110, 85, 60)
    assert (
        np.abs(mean_lab(moved(striped, (45.0, 5.0, 14.0), contrast)) - (45.0, 5.0, 14.0)).max() < 0.5
    )  # two codes to land on


def test_the_lightness_of_the_moved_wood_is_off_by_less_than_a_hundredth_of_what_is_seen() -> None:
    off = [abs(mean_lab(moved(drawn_wood(3), shade(h)))[0] - shade(h)[0]) for h in np.linspace(0, 24, 49)]
    assert max(off) < 0.06


def test_grain_stays_grain_where_it_was_dark_it_is_darker_still() -> None:
    wood = drawn_wood(3)
    dark = moved(wood, shade(9.0))
    order = np.corrcoef(wood[..., 1].ravel(), dark[..., 1].ravel())[0, 1]
    assert order > 0.98


def test_more_contrast_makes_the_grain_stand_out_more() -> None:
    wood, lab = drawn_wood(3), shade(9.0)
    spreads = [moved(wood, lab, k)[..., 1].std() for k in (0.7, 1.0, 1.4)]
    assert spreads == sorted(spreads)
    assert spreads[2] > 1.5 * spreads[0]


@settings(max_examples=40, deadline=None)
@given(
    codes=st.tuples(st.integers(0, 255), st.integers(0, 255), st.integers(0, 255)),
    lab=st.tuples(st.floats(0, 100), st.floats(-60, 60), st.floats(-60, 60)),
)
def test_even_a_black_or_a_white_photo_gives_tables(codes: tuple[int, int, int], lab: Lab) -> None:
    flat = np.full((8, 8, 3), codes, dtype=np.uint8)
    found = tables(grain_of(flat), lab)
    assert found.shape == (3, 256)
    assert found.dtype == np.uint8


def test_tables_never_make_a_lighter_code_darker() -> None:
    assert np.all(np.diff(tables(grain_of(drawn_wood(3)), shade(6.0)).astype(int), axis=1) >= 0)


def test_the_preview_writes_into_the_picture_it_keeps() -> None:
    preview = Preview(drawn_wood(3))
    first = preview.image((60.0, 6.0, 18.0))
    light = first.pixelColor(10, 10).lightness()
    second = preview.image((40.0, 4.0, 12.0))
    assert first is second
    assert second.pixelColor(10, 10).lightness() < light


def test_the_preview_says_the_same_as_its_tables() -> None:
    wood, lab = drawn_wood(3), shade(9.0)
    codes = Preview(wood).codes(lab)
    assert np.array_equal(codes[..., 2::-1], moved(wood, lab))


@pytest.mark.parametrize("size", [(232, 104), (906, 104), (40, 300), (2000, 60), (1, 1)])
def test_wood_covers_whatever_it_is_laid_on(size: tuple[int, int]) -> None:
    covered = cover(drawn_wood(3), QSize(*size))
    assert covered.shape == (size[1], size[0], 3)


def test_short_wood_is_matched_by_its_mirror_image_and_never_cut() -> None:
    narrow = drawn_wood(3, 60, 200)
    covered = cover(narrow, QSize(400, 100))
    seams = np.abs(np.diff(covered[:, :, 1].astype(int), axis=1)).mean(axis=0)
    inside = np.abs(np.diff(narrow[:, :, 1].astype(int), axis=1)).mean()
    assert seams.max() < 4 * inside


def test_a_swatch_without_a_photo_has_a_woven_edge_and_an_even_face() -> None:
    swatch = woven((50.0, 5.0, 14.0), QSize(68, 92), (189, 189, 189))
    assert len(np.unique(swatch[8:-8, 8:-8].reshape(-1, 3), axis=0)) == 1
    assert tuple(swatch[40, 30]) == screen_pixel((50.0, 5.0, 14.0))
    assert (swatch[0] == 189).all(axis=1).sum() in range(24, 45)


def test_pictures_keep_their_own_pixels() -> None:
    codes = drawn_wood(3).copy()
    picture = image_of(codes)
    before = picture.pixelColor(5, 5)
    codes[:] = 0
    assert picture.pixelColor(5, 5) == before


def test_a_path_of_colours_is_as_long_as_its_hours() -> None:
    labs = np.array([shade(h) for h in (0.0, 4.0, 24.0)])
    assert [tuple(p) for p in path_pixels(labs).tolist()] == [screen_pixel(tuple(lab)) for lab in labs.tolist()]


def test_grain_keeps_its_contrast_unless_the_faces_say_otherwise() -> None:
    lightness = np.array([72.0, 66.0, 60.0, 54.0, 48.0, 42.0, 36.0])
    even = 0.06 * (lightness + 16) / 3 * (1 + 0.05 * np.array([1, -1, 1, -1, 1, -1, 1]))
    assert grain_contrast(lightness, even) is None
    rising = even * (1 + 0.02 * (72 - lightness))
    law = grain_contrast(lightness, rising)
    assert law is not None
    assert contrast_at(law, 72.0, 40.0) > 1.2
    assert contrast_at(None, 72.0, 40.0) == 1.0


def test_few_faces_say_nothing_of_the_grain() -> None:
    assert grain_contrast(np.array([70.0, 60.0, 50.0]), np.array([1.0, 2.0, 3.0])) is None
