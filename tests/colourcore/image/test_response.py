"""A camera's own curve, from one card at several shutter times."""

from __future__ import annotations

import json
from dataclasses import replace

import numpy as np
import pytest

from colourcore.colour.spaces import srgb_decode, srgb_encode
from colourcore.errors import InputError
from colourcore.image.develop import open_photo
from colourcore.image.patches import measure_patch
from colourcore.image.response import (
    CameraResponse,
    CardExposure,
    response_from_exposures,
    response_from_text,
    response_to_text,
)
from tests.colourcore.image import pictures
from tests.colourcore.image.pictures import CARD, bench, deep

TIMES = (1 / 400, 1 / 200, 1 / 100, 1 / 50, 1 / 25, 1 / 15)


def camera(light: np.ndarray) -> np.ndarray:
    code = srgb_encode(np.clip(light, 0, 1))
    return 0.4 * code + 0.6 * code**2 * (3 - 2 * code)


def exposure(seconds: float | None, *, light: float | None = None) -> CardExposure:
    level = 12.0 * (seconds or 0.02) if light is None else light
    picture = deep(bench())
    picture[:] = round(65535 * float(camera(np.array(level))))
    photo = open_photo(pictures.png(picture), "card.png")
    return CardExposure(card=measure_patch(photo, CARD), seconds=seconds, photo=f"{seconds}.jpg")


def response() -> CameraResponse:
    return response_from_exposures([exposure(seconds) for seconds in TIMES], "phone, plain mode")


def test_the_curve_is_recovered_over_the_range_of_the_exposures() -> None:
    tone = response().tone()
    light = np.geomspace(0.04, 0.7, 30)
    seen = srgb_decode(camera(light))
    back = tone.apply(np.stack([seen] * 3, axis=-1))[:, 1]
    ratio = back / light
    assert ratio / np.median(ratio) == pytest.approx(np.ones(30), abs=0.02)


def test_the_order_of_the_photos_does_not_matter_and_clipped_ones_are_left_out() -> None:
    photos = [exposure(seconds) for seconds in TIMES]
    mixed = response_from_exposures([*photos[::-1], exposure(1.0)], "phone")
    assert mixed.photos == len(TIMES)
    assert mixed.log_light == pytest.approx(response().log_light)


def test_a_saved_curve_comes_back_the_same() -> None:
    text = response_to_text(response())
    back = response_from_text(text, "phone.json")
    assert back.camera == "phone, plain mode"
    assert back.log_seen == pytest.approx(response().log_seen, abs=1e-6)
    assert response_to_text(back) == text


def test_unsteady_light_shows_in_the_residual() -> None:
    flicker = [exposure(s, light=12 * s * (1 + 0.15 * (-1) ** k)) for k, s in enumerate(TIMES)]
    assert response_from_exposures(flicker, "phone").residual > 3 * response().residual


@pytest.mark.parametrize(
    ("photos", "said"),
    [
        ([exposure(0.01), exposure(None), exposure(0.04)], r"None\.jpg: expected a shutter time"),
        ([exposure(0.01), exposure(0.04)], "expected 3 or more photos of the card"),
        ([exposure(0.01), exposure(0.012), exposure(0.015)], "differ 4 times or more"),
        ([exposure(0.01), exposure(0.02, light=0.1), exposure(0.04, light=0.05)], "lighter with every longer"),
        ([exposure(0.01), exposure(1.0), exposure(2.0)], "neither black nor clipped, got 1 of 3"),
        ([exposure(0.01), exposure(0.01), exposure(0.04)], "3 or more different shutter times, got 2"),
    ],
)
def test_photos_that_show_no_curve_are_refused(photos: list[CardExposure], said: str) -> None:
    with pytest.raises(InputError, match=rf"(?i){said}"):
        response_from_exposures(photos, "phone")


def test_a_file_that_is_no_curve_is_refused() -> None:
    good = json.loads(response_to_text(response()))
    for broken in (
        "",
        "[]",
        "{}",
        json.dumps({**good, "format": "something else"}),
        json.dumps({**good, "log_seen": [[1, 2], [3, 4]]}),
        json.dumps({**good, "log_light": [[3, 2, 1]] * 3}),
    ):
        with pytest.raises(InputError, match=r"^curve\.json: expected"):
            response_from_text(broken, "curve.json")
    with pytest.raises(InputError, match="got version 9"):
        response_from_text(json.dumps({**good, "version": 9}), "curve.json")


def test_stray_light_is_taken_off_behind_the_curve() -> None:
    tone = replace(response()).tone((0.01, 0.01, 0.01))
    plain = response().tone()
    assert plain.apply(np.full(3, 0.3)) - tone.apply(np.full(3, 0.3)) == pytest.approx([0.01] * 3)
