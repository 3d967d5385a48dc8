"""Is this photo fit to measure?"""

from __future__ import annotations

import numpy as np
import pytest

from colourcore.image.balance import GREY_CARD_LAB, balance_from_card
from colourcore.image.checks import Check, Level, check_balance, check_patch, is_refused
from colourcore.image.develop import open_photo
from colourcore.image.patches import measure_patch
from tests.colourcore.image import pictures
from tests.colourcore.image.pictures import CARD, WOOD, bench


def checks_of(picture: np.ndarray) -> dict[str, Check]:
    photo = open_photo(pictures.png(picture), "bench.png")
    balance = balance_from_card(measure_patch(photo, CARD), GREY_CARD_LAB)
    return {check.code: check for check in (*check_patch(measure_patch(photo, WOOD), balance), *check_balance(balance))}


def with_bad_pixels(share: float, code: int) -> np.ndarray:
    """The bench with a share of the wood's pixels at one code."""
    picture = bench()
    wood = picture[5:115, 105:195].reshape(-1, 3)
    wood[: round(share * len(wood))] = code
    picture[5:115, 105:195] = wood.reshape(110, 90, 3)
    return picture


def test_a_good_photo_has_nothing_said_against_it() -> None:
    assert checks_of(bench(noise=3)) == {}


@pytest.mark.parametrize(("code", "name"), [(255, "clipped"), (0, "too_dark")])
def test_a_few_lost_pixels_are_warned_about_and_many_are_refused(code: int, name: str) -> None:
    assert name not in checks_of(with_bad_pixels(0.002, code))
    assert checks_of(with_bad_pixels(0.02, code))[name].level is Level.WARN
    refusal = checks_of(with_bad_pixels(0.2, code))[name]
    assert refusal.level is Level.REFUSE
    assert "20.0 %" in refusal.message
    assert "Photograph again" in refusal.message


def test_a_warning_about_clipping_says_what_it_does_to_lightness() -> None:
    """2 % of full light instead of the wood's own 18 % lifts Y by 0.016, which is L* + 1.9 (ISO/CIE 11664-4)."""
    assert "too low by 1.9" in checks_of(with_bad_pixels(0.02, 255))["clipped"].message


def test_wood_too_dark_to_resolve_is_refused() -> None:
    dim = bench(card=20, wood=(6, 4, 3))
    assert checks_of(dim)["too_dark"].level is Level.REFUSE
    assert checks_of(dim)["dark_exposure"].level is Level.WARN


def test_lost_colour_is_named_by_its_channel_and_keeps_the_number() -> None:
    check = checks_of(bench(wood=(150, 90, 0)))["colour_lost"]
    assert check.level is Level.WARN
    assert "100 % of the pixels hold no blue light" in check.message


def test_a_black_and_white_photo_and_a_card_without_blue_say_so() -> None:
    assert "card holds no light" in checks_of(bench(card=(150, 118, 0)))["colour_lost"].message
    photo = open_photo(pictures.png(bench()[..., 0]), "grey.png")
    balance = balance_from_card(measure_patch(photo, CARD), GREY_CARD_LAB)
    (check,) = check_patch(measure_patch(photo, WOOD), balance)
    assert "black and white" in check.message


def test_light_far_from_white_is_warned_about_and_not_refused() -> None:
    check = checks_of(bench(card=(170, 118, 60)))["light_colour"]
    assert check.level is Level.WARN
    assert "light_colour" not in checks_of(bench(card=(122, 118, 112)))


def test_only_a_refusal_withholds_the_number() -> None:
    note, refusal = (Check(code="x", level=level, message="") for level in (Level.NOTE, Level.REFUSE))
    assert not is_refused([note, note])
    assert is_refused([note, refusal])
    assert refusal.at_line(7).line == 7


def test_glare_on_the_wood_is_told_with_what_it_does() -> None:
    picture = bench(noise=3)
    picture[20:40, 120:150] = 240
    check = checks_of(picture)["odd_part"]
    assert check.level is Level.WARN
    assert "lighter than the rest" in check.message
    assert "moves L* by +" in check.message


def test_a_knot_is_told() -> None:
    picture = bench(noise=3)
    picture[60:90, 150:180] = (60, 40, 30)
    assert "darker than the rest" in checks_of(picture)["odd_part"].message


def test_a_pencil_line_across_the_grain_is_told() -> None:
    draw = np.random.default_rng(0)
    picture = bench().astype(float)
    picture[:, 100:] += np.repeat(draw.normal(0, 8, (120, 1, 1)), 100, axis=1) + draw.normal(0, 2, (120, 100, 1))
    assert "line" not in checks_of(np.clip(picture, 0, 255).astype(np.uint8))
    picture[:, 150:153] = 60
    check = checks_of(np.clip(picture, 0, 255).astype(np.uint8))["line"]
    assert "across the grain" in check.message
