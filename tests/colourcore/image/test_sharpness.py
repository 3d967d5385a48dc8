"""Is the photo sharp enough for its outlines?"""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from colourcore.image.checks import Level
from colourcore.image.develop import open_photo
from colourcore.image.patches import Outline
from colourcore.image.sharpness import check_blur, edge_width
from tests.colourcore.image import pictures

CARD = Outline(x=210, y=160, width=280, height=230)


def card_on_bench(blur: float, *, tilt: float = 0.0, noise: float = 2.0) -> np.ndarray:
    picture = np.full((550, 700), 70, np.uint8)
    box = cv2.boxPoints(((350.0, 275.0), (300.0, 250.0), tilt))
    cv2.fillConvexPoly(picture, np.round(box * 16).astype(np.int32), (150,), lineType=cv2.LINE_AA, shift=4)
    soft = cv2.GaussianBlur(picture.astype(float), (0, 0), blur) if blur else picture.astype(float)
    soft += np.random.default_rng(0).normal(0, noise, soft.shape)
    return np.repeat(np.clip(soft, 0, 255).astype(np.uint8)[..., None], 3, axis=2)


def width(picture: np.ndarray) -> float | None:
    return edge_width(open_photo(pictures.png(picture), "card.png"), CARD)


@pytest.mark.parametrize("blur", [2.0, 5.0, 12.0])
@pytest.mark.parametrize("tilt", [0.0, 4.0])
def test_the_width_of_an_edge_is_that_of_its_blur(blur: float, tilt: float) -> None:
    """From 10 to 90 % of a step blurred by a Gaussian are 2.56 of its standard deviations."""
    assert width(card_on_bench(blur, tilt=tilt)) == pytest.approx(2.56 * blur, rel=0.2, abs=1.0)


def test_a_sharp_photo_has_narrow_edges() -> None:
    found = width(card_on_bench(0.0))
    assert found is not None
    assert found < 3


def test_without_an_edge_nothing_is_said() -> None:
    flat = np.full((550, 700, 3), 120, np.uint8)
    assert width(flat) is None
    assert check_blur(None, 200) == ()


def test_blur_is_judged_by_the_smallest_patch() -> None:
    assert check_blur(3.0, 400) == ()
    (note,) = check_blur(18.0, 400)
    assert note.level is Level.NOTE
    (warning,) = check_blur(40.0, 400)
    assert warning.level is Level.WARN
    assert "40 pixels wide" in warning.message
    assert "1.5 L*" in warning.message
