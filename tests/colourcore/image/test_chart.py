"""The 24-patch chart: found, measured, and refused when it is not whole."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from colourcore.colour.difference import delta_e_2000
from colourcore.colour.spaces import XYZ_TO_SRGB, srgb_encode, xyz_to_lab
from colourcore.errors import InputError
from colourcore.image.chart import chart_outlines, measure_chart, published_reference, reference_from_text
from colourcore.image.chart_finder import find_chart
from colourcore.image.correction import fit_chart
from colourcore.image.develop import Photo, open_photo
from colourcore.image.patches import Outline, measure_patch
from tests.colourcore.image import pictures

PITCH, LEFT, TOP = 80, 100, 60
CORNERS = [
    (LEFT + 40, TOP + 40),
    (LEFT + 40 + 5 * PITCH, TOP + 40),
    (LEFT + 40 + 5 * PITCH, TOP + 40 + 3 * PITCH),
    (LEFT + 40, TOP + 40 + 3 * PITCH),
]
REFERENCE = published_reference()


def chart_picture(*, noise: float = 1.5) -> np.ndarray:
    """A chart on a wooden ground, black between its patches, coded as sRGB."""
    picture = np.empty((460, 700, 3))
    picture[:] = (150, 110, 70)
    picture[TOP - 10 : TOP + 4 * PITCH + 10, LEFT - 10 : LEFT + 6 * PITCH + 10] = 28
    codes = 255 * srgb_encode(np.clip(0.85 * REFERENCE.xyz @ XYZ_TO_SRGB.T, 0, 1))
    for k, code in enumerate(codes):
        y, x = TOP + PITCH * (k // 6), LEFT + PITCH * (k % 6)
        picture[y + 7 : y + PITCH - 7, x + 7 : x + PITCH - 7] = code
    picture += np.random.default_rng(3).normal(0, noise, picture.shape)
    return np.clip(np.round(picture), 0, 255).astype(np.uint8)


def opened(picture: np.ndarray) -> Photo:
    return open_photo(pictures.png(np.ascontiguousarray(picture)), "chart.png")


def test_the_published_reference_is_the_published_one() -> None:
    """White and black of the chart, L* under D50 as published in November 2014; from memory."""
    lab = xyz_to_lab(REFERENCE.xyz)
    assert lab[18, 0] == pytest.approx(95.19, abs=0.3)
    assert lab[23, 0] == pytest.approx(20.64, abs=0.3)
    assert np.abs(lab[18:, 1:]).max() < 4


def test_an_unknown_reference_is_refused_with_the_known_names() -> None:
    with pytest.raises(InputError, match="ColorChecker24 - After November 2014"):
        published_reference("my chart")


def test_reference_values_come_from_a_file_of_the_users() -> None:
    lab = np.linspace([20, -30, -30], [95, 30, 30], 24)
    text = "patch,L,a,b\n" + "".join(f"{k},{row[0]},{row[1]},{row[2]}\n" for k, row in enumerate(lab))
    assert reference_from_text(text, "mine.csv").xyz.shape == (24, 3)
    for broken, said in (
        (text[: text.rindex("23,")], "24 rows"),
        (text.replace("\n5,", "\n5,x"), "line 7: expected numbers"),
        (text.replace("\n5,", "\n5,-"), "line 7: expected L from 0 to 100"),
        ("a,b\n1,2\n", "1"),
    ):
        with pytest.raises(InputError, match=said) as caught:
            reference_from_text(broken, "mine.csv")
        assert str(caught.value).startswith("mine.csv")


def test_a_flat_chart_reads_its_reference() -> None:
    patches = measure_chart(opened(chart_picture()), CORNERS)
    read = xyz_to_lab(np.array([patch.to_xyz @ patch.mean for patch in patches]) / 0.85)
    assert np.median(delta_e_2000(read, xyz_to_lab(REFERENCE.xyz))) < 0.3


def test_a_chart_seen_at_an_angle_is_read_all_the_same() -> None:
    seen = np.array([(120, 90), (560, 60), (600, 390), (90, 340)], dtype=np.float32)
    tilt = cv2.getPerspectiveTransform(np.array(CORNERS, dtype=np.float32), seen)
    tilted = cv2.warpPerspective(chart_picture(), tilt, (700, 460))
    straight, angled = measure_chart(opened(chart_picture()), CORNERS), measure_chart(opened(tilted), seen)
    for one, other in zip(straight, angled, strict=True):
        assert other.mean == pytest.approx(one.mean, abs=0.004)


@pytest.mark.parametrize("quarter_turns", range(4))
def test_the_chart_is_found_however_it_lies(quarter_turns: int) -> None:
    photo = opened(np.rot90(chart_picture(), quarter_turns))
    patches = measure_chart(photo, find_chart(photo))
    read = xyz_to_lab(np.array([patch.to_xyz @ patch.mean for patch in patches]) / 0.85)
    assert np.median(delta_e_2000(read, xyz_to_lab(REFERENCE.xyz))) < 0.5


def test_the_chart_is_looked_for_where_it_was_outlined() -> None:
    photo = opened(chart_picture())
    found = find_chart(photo, Outline(x=60, y=20, width=580, height=420))
    assert np.abs(found - CORNERS).max() < 10
    with pytest.raises(InputError, match="drag its four corners"):
        find_chart(photo, Outline(x=0, y=0, width=90, height=50))


def test_a_photo_without_a_chart_holds_none() -> None:
    with pytest.raises(InputError, match="xpected a whole 24-patch chart"):
        find_chart(opened(pictures.bench(noise=5)))


@pytest.mark.parametrize("covered", [(slice(0, 460), slice(0, 330)), (slice(220, 460), slice(0, 700))])
def test_a_half_covered_chart_is_refused_and_never_half_read(covered: tuple[slice, slice]) -> None:
    picture = chart_picture()
    noise = np.random.default_rng(4).normal(0, 6, (*picture[covered].shape[:2], 1))
    leaf = np.add(noise, (70, 110, 60))
    picture[covered] = np.clip(leaf, 0, 255).astype(np.uint8)
    photo = opened(picture)
    with pytest.raises(InputError, match="chart"):
        find_chart(photo)
    with pytest.raises(InputError, match="chart"):
        read_whole(photo)


def test_a_leaf_over_two_colours_is_found_out_by_the_colours() -> None:
    picture = chart_picture()
    picture[TOP : TOP + PITCH, LEFT + PITCH : LEFT + 3 * PITCH] = (30, 200, 40)
    with pytest.raises(InputError, match=r"patch [23] in row 1 is ΔE"):
        read_whole(opened(picture))


def test_a_chart_half_outside_the_frame_is_refused() -> None:
    photo = opened(chart_picture()[:, :400])
    with pytest.raises(InputError, match="inside the photo"):
        measure_chart(photo, CORNERS)
    with pytest.raises(InputError, match="chart"):
        find_chart(photo)


def test_corners_that_are_no_corners_are_refused() -> None:
    photo = opened(chart_picture())
    with pytest.raises(InputError, match="four corners"):
        measure_chart(photo, [(1, 2), (3, 4)])
    with pytest.raises(InputError, match=r"falls from white to black|even patches"):
        measure_chart(photo, CORNERS[2:] + CORNERS[:2])


def test_patches_are_read_inside_their_edges() -> None:
    for outline in chart_outlines(CORNERS):
        assert outline.width == pytest.approx(0.33 * PITCH, abs=0.1)
    assert measure_patch(opened(chart_picture()), chart_outlines(CORNERS)[0]).pixels > 400


def read_whole(photo: Photo) -> float:
    patches = measure_chart(photo, CORNERS)
    light = np.array([patch.mean for patch in patches])
    return fit_chart(light, REFERENCE.xyz, patches[0].to_xyz, kept=range(24), known_curve=False).residual_delta_e


def test_a_whole_chart_is_read_with_a_small_error() -> None:
    assert read_whole(opened(chart_picture())) < 0.8
