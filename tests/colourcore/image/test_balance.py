"""Cards that cannot balance a photo, and what a balance says of its light."""

from __future__ import annotations

import numpy as np
import pytest

from colourcore.errors import InputError
from colourcore.image.balance import GREY_CARD_LAB, Balance, balance_from_card, balanced_preview
from colourcore.image.develop import Photo, open_photo
from colourcore.image.patches import measure_patch, read_patch
from tests.colourcore.image import pictures
from tests.colourcore.image.pictures import CARD, WOOD, bench


def opened(picture: np.ndarray) -> Photo:
    return open_photo(pictures.png(picture), "bench.png")


def balanced(picture: np.ndarray) -> Balance:
    return balance_from_card(measure_patch(opened(picture), CARD), GREY_CARD_LAB)


@pytest.mark.parametrize("code", [0, 1, 4])
def test_a_black_card_is_refused(code: int) -> None:
    with pytest.raises(InputError, match=r"(?i)expected a card with light on it, got a black one"):
        balanced(bench(card=code))


@pytest.mark.parametrize("card", [255, (255, 200, 200)])
def test_a_clipped_card_is_refused(card: object) -> None:
    with pytest.raises(InputError, match=r"(?i)expected a card without clipped pixels, got one with 100 %"):
        balanced(bench(card=card))


@pytest.mark.parametrize(
    ("stated", "said"),
    [
        ((101, 0, 0), "L from 5 to 100"),
        ((-3, 0, 0), "L from 5"),
        ((0, 0, 0), "L from 5"),
        ((50, float("nan"), 0), "three"),
    ],
)
def test_a_card_cannot_be_stated_as_what_no_card_is(stated: tuple[float, float, float], said: str) -> None:
    with pytest.raises(InputError, match=said):
        balance_from_card(measure_patch(opened(bench()), CARD), stated)


def test_one_card_leaves_no_residual_to_judge_by() -> None:
    balance = balanced(bench())
    assert (balance.method, balance.residual_delta_e) == ("one grey card", None)


def test_the_colour_of_the_light_is_told() -> None:
    assert balanced(bench()).light_offset < 0.01
    assert balanced(bench(card=(170, 118, 60))).light_offset > 30


def test_the_exposure_is_told() -> None:
    assert balanced(bench()).exposure_gain == pytest.approx(1, abs=0.01)
    assert balanced(bench(card=70)).exposure_gain == pytest.approx(0.18 / 0.0612, rel=0.01)  # sRGB 70 is 6.12 % light


def test_a_card_without_blue_still_gives_lightness() -> None:
    photo = opened(bench(card=(150, 118, 0)))
    balance = balance_from_card(measure_patch(photo, CARD), GREY_CARD_LAB)
    assert balance.colour_lost
    card, wood = (read_patch(measure_patch(photo, outline), balance) for outline in (CARD, WOOD))
    assert card.lab[0] == pytest.approx(49.5)
    assert wood.colour_lost
    assert wood.lab[0] == pytest.approx(49.5, abs=3)


def test_the_balanced_picture_shows_the_card_grey() -> None:
    photo = opened(bench(card=(140, 118, 90)))
    balance = balance_from_card(measure_patch(photo, CARD), GREY_CARD_LAB)
    shown = balanced_preview(photo, balance, 200)
    assert shown.shape == (120, 200, 3)
    assert shown[60, 50].tolist() == pytest.approx([118] * 3, abs=1)
    assert photo.preview(200)[60, 50].tolist() == [140, 118, 90]
