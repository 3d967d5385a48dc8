"""Which way the grain runs, and what is drawn across it."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from colourcore.image.develop import open_photo
from colourcore.image.grain import PLAIN_GRAIN, Face, angle_between, common_grain, read_face
from colourcore.image.patches import Outline, measure_patch
from tests.colourcore.image import pictures


def wood(degrees: float, *, side: int = 400, seed: int = 0) -> np.ndarray:
    """A face with streaks and pores along one direction, as 8-bit codes."""
    draw = np.random.default_rng(seed)
    streaks = cv2.GaussianBlur(draw.normal(size=(2 * side, 2 * side)), (0, 0), sigmaX=40, sigmaY=1.5)
    pores = cv2.GaussianBlur((draw.random((2 * side, 2 * side)) > 0.998).astype(float), (0, 0), sigmaX=12, sigmaY=0.8)
    face = 130 + 8 * streaks / streaks.std() - 15 * pores / pores.std() / 3 + draw.normal(0, 2, streaks.shape)
    turn = cv2.getRotationMatrix2D((side, side), -degrees, 1.0)  # the picture's y runs down: clockwise
    turned = cv2.warpAffine(face, turn, (2 * side, 2 * side), flags=cv2.INTER_LINEAR)
    half = side // 2
    return np.clip(turned[half : half + side, half : half + side], 0, 255).astype(np.uint8)


@pytest.mark.parametrize("degrees", [0, 20, 45, 90, 110, 160])
def test_the_direction_of_the_grain_is_found(degrees: float) -> None:
    face = read_face(wood(degrees))
    assert angle_between(face.grain_degrees, degrees) < 4
    assert face.grain_strength > 2 * PLAIN_GRAIN


def test_an_even_card_has_no_grain() -> None:
    noise = np.clip(np.random.default_rng(1).normal(118, 3, (300, 300)), 0, 255).astype(np.uint8)
    assert read_face(noise).grain_strength < PLAIN_GRAIN / 2


def test_a_slope_of_light_is_no_grain() -> None:
    noise = np.random.default_rng(1).normal(118, 3, (300, 300)) + np.linspace(0, 40, 300)[None, :]
    assert read_face(noise.astype(np.uint8)).grain_strength < PLAIN_GRAIN / 2


def test_the_grain_is_told_as_it_lies_on_the_upright_photo() -> None:
    picture = np.repeat(wood(0)[..., None], 3, axis=2)
    lying = pictures.tiff(picture, extratags=[(274, "H", 1, 6, True)])
    patch = measure_patch(open_photo(lying, "turned.tif"), Outline(x=20, y=20, width=360, height=360))
    assert angle_between(patch.face.grain_degrees, 90) < 4


def test_a_pencil_line_across_the_grain_is_told_by_what_it_takes() -> None:
    clean, marked = wood(0), wood(0)
    marked[:, 200:207] = 70
    assert read_face(clean).line_loss == 0
    taken = 1 - marked.mean() / clean.mean()
    assert read_face(marked).line_loss == pytest.approx(taken, rel=0.4)
    assert angle_between(read_face(marked).grain_degrees, 0) < 5


def test_grain_is_looked_for_inside_a_turned_outline_only() -> None:
    face = wood(0)
    inside = np.zeros(face.shape, np.uint8)
    cv2.fillConvexPoly(inside, np.array([(200, 10), (390, 200), (200, 390), (10, 200)]), (255,))
    striped = np.where(inside > 0, face, 130 + 60 * (np.arange(400) % 20 > 10)[None, :]).astype(np.uint8)
    assert angle_between(read_face(striped, inside).grain_degrees, 0) < 5
    assert angle_between(read_face(striped).grain_degrees, 0) > 30 or read_face(striped).grain_strength < PLAIN_GRAIN


def test_a_face_too_small_says_nothing() -> None:
    assert read_face(wood(0)[:10, :10]) == Face()


def test_the_way_most_grain_runs() -> None:
    along = [Face(grain_degrees=d, grain_strength=0.6) for d in (178, 2, 4, 90)]
    assert common_grain(along) in (178, 2, 4)
    assert common_grain([Face(), Face(grain_strength=0.5)]) is None
