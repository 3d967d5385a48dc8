"""Photos and samples that belong together."""

from __future__ import annotations

from datetime import datetime

import numpy as np
import pytest

from colourcore.colour.reading import Reading, matrix3
from colourcore.errors import InputError
from colourcore.image.balance import GREY_CARD_LAB, Balance, balance_from_card
from colourcore.image.checks import Level
from colourcore.image.develop import open_photo
from colourcore.image.grain import Face
from colourcore.image.patches import measure_patch
from colourcore.image.series import (
    age_hours,
    check_ages,
    check_cards,
    check_grain,
    check_repeats,
    direction_spread,
    with_direction,
)
from tests.colourcore.image import pictures
from tests.colourcore.image.pictures import CARD, bench


def balance(card: object) -> Balance:
    photo = open_photo(pictures.png(bench(card=card)), "card.png")
    return balance_from_card(measure_patch(photo, CARD), GREY_CARD_LAB)


def codes(checks: dict[str, tuple]) -> dict[str, list[str]]:
    return {name: [check.code for check in found] for name, found in checks.items()}


def test_photos_with_alike_cards_agree() -> None:
    found = check_cards({"1.jpg": balance(118), "2.jpg": balance(121), "3.jpg": balance(113)})
    assert codes(found) == {"1.jpg": [], "2.jpg": [], "3.jpg": []}


def test_a_darker_card_is_named_with_what_it_may_do() -> None:
    """A stop and a half darker: real photographs then read wood 5 L* wrong."""
    found = check_cards({"1.jpg": balance(118), "2.jpg": balance(119), "3.jpg": balance(68)})
    assert codes(found) == {"1.jpg": [], "2.jpg": [], "3.jpg": ["card_exposure"]}
    (check,) = found["3.jpg"]
    assert check.level is Level.WARN
    assert "21 L* darker" in check.message
    assert "about 4 L*" in check.message


def test_of_two_photos_the_better_exposed_one_is_believed() -> None:
    found = check_cards({"dark.jpg": balance(68), "good.jpg": balance(118)})
    assert codes(found) == {"dark.jpg": ["card_exposure"], "good.jpg": []}


def test_another_lamp_is_told_by_the_cards_colour() -> None:
    found = check_cards({"1.jpg": balance(118), "2.jpg": balance(118), "3.jpg": balance((128, 117, 100))})
    assert codes(found)["3.jpg"] == ["other_lamp"]


def test_cards_of_unlike_lightness_are_not_compared() -> None:
    photo = open_photo(pictures.png(bench(card=220)), "white.png")
    white = balance_from_card(measure_patch(photo, CARD), (88.0, 0.0, 0.0))
    assert codes(check_cards({"grey.jpg": balance(118), "white.jpg": white})) == {"grey.jpg": [], "white.jpg": []}


def faces(*degrees: float) -> list[Face]:
    return [Face(grain_degrees=value, grain_strength=0.6) for value in degrees]


def test_a_sample_laid_crosswise_is_named() -> None:
    found = check_grain(faces(2, 178, 5, 88))
    assert [[check.code for check in one] for one in found] == [[], [], [], ["grain_crosswise"]]
    assert "88°" in found[3][0].message or "86°" in found[3][0].message or "90°" in found[3][0].message


def test_a_sample_laid_askew_is_noted() -> None:
    found = check_grain(faces(2, 178, 5, 40))
    assert (found[3][0].code, found[3][0].level) == ("grain_askew", Level.NOTE)


def test_a_face_without_grain_among_others_is_asked_about() -> None:
    found = check_grain([*faces(2, 178, 5), Face(grain_strength=0.05)])
    assert found[3][0].code == "no_grain"
    assert check_grain([Face(), Face(), *faces(2)]) == ((), (), ())


def reading(lightness: float, error: float = 0.2) -> Reading:
    return Reading(lab=(lightness, 4.0, 12.0), covariance=matrix3(np.diag([error**2, 0.01, 0.01])))


def test_a_sample_that_reads_differently_in_two_photos_is_named() -> None:
    (check,) = check_repeats([("1.jpg", reading(52.0)), ("2.jpg", reading(49.5))])
    assert check.code == "photos_disagree"
    assert "2.5 L* lighter in 1.jpg than in 2.jpg" in check.message
    assert check_repeats([("1.jpg", reading(52.0)), ("2.jpg", reading(51.0))]) == ()
    assert check_repeats([("1.jpg", reading(52.0, 1.0)), ("2.jpg", reading(49.5, 1.0))]) == ()


def test_a_sample_turned_a_quarter_gives_the_spread_by_direction() -> None:
    spread = direction_spread(reading(52.0), reading(50.0))
    assert spread[0][0] == pytest.approx(1.0)
    wider = with_direction(reading(52.0), spread)
    assert wider.standard_errors[0] == pytest.approx(np.hypot(0.2, 1.0))
    assert wider.lab == reading(52.0).lab


def test_the_age_of_a_reading_is_counted_from_removal_to_photo() -> None:
    assert age_hours(datetime(2024, 3, 5, 20), datetime(2024, 3, 6, 8, 30)) == 12.5
    with pytest.raises(InputError, match="after the sample was drawn at 2024-03-05 20:00, got a photo of 2024-03-05"):
        age_hours(datetime(2024, 3, 5, 20), datetime(2024, 3, 5, 8))


def test_unlike_ages_within_one_curve_are_named() -> None:
    assert check_ages([24, 25, 27]) == ()
    assert check_ages([24]) == ()
    (check,) = check_ages([2, 2.5, 40])
    assert check.code == "unlike_ages"
    assert "2 to 40 hours" in check.message
