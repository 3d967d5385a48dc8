"""Numbers as words: what is rounded which way, and what is never claimed."""

from __future__ import annotations

import math
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from colourcore.report.phrases import (
    Rounding,
    difference_in_words,
    format_error,
    format_hours,
    format_value,
    odds_in_words,
    of_ten_in_words,
    often_in_words,
    unbroken,
)

WORDS = {"one": 1, "two": 2, "three": 3, "four": 4, "six": 6, "seven": 7, "eight": 8, "nine": 9, "ten": 10}


def read_back(text: str) -> float:
    if text.endswith("min"):
        return int(text.split()[0]) / 60
    hours, _, minutes = text.partition(" h")
    return int(hours) + int(minutes or 0) / 60


@given(st.floats(0, 2000))
def test_an_hour_to_act_on_is_never_rounded_up(hours: float) -> None:
    written = read_back(format_hours(hours, Rounding.DOWN))
    assert written <= hours + 1e-6
    assert hours - written < 5 / 60 + 1e-6


@given(st.floats(0, 2000))
def test_a_written_time_is_within_two_and_a_half_minutes(hours: float) -> None:
    assert abs(read_back(format_hours(hours)) - hours) <= 2.5 / 60 + 1e-9


def test_an_hour_kept_as_a_binary_fraction_is_not_rounded_away() -> None:
    assert format_hours(7 + 55 / 60, Rounding.DOWN) == "7 h 55"


@pytest.mark.parametrize("hours", [math.nan, math.inf, -0.1])
def test_a_time_that_is_none_is_our_bug_and_loud(hours: float) -> None:
    with pytest.raises(ValueError, match="hours must be finite"):
        format_hours(hours)


@given(st.floats(0, 1))
def test_odds_in_words_are_within_two_and_a_half_points(chance: float) -> None:
    words = odds_in_words(chance)
    if "fewer" in words:
        assert chance < 0.01
    elif "more" in words:
        assert chance > 0.99
    else:
        part, whole = re.split(" in | of ", words)
        value = WORDS.get(part, 0) / WORDS[whole] if whole in WORDS else int(part) / int(whole)
        assert abs(value - chance) <= 0.025


def test_odds_never_claim_certainty() -> None:
    assert odds_in_words(0.0) == "fewer than 1 of 100"
    assert odds_in_words(1.0) == "more than 99 of 100"
    assert (of_ten_in_words(0.0), of_ten_in_words(1.0)) == ("fewer than one", "nearly all")


def test_three_of_ten_are_three() -> None:
    assert [of_ten_in_words(chance) for chance in (0.05, 0.31, 0.5, 0.94)] == ["one", "three", "five", "nine"]


@pytest.mark.parametrize("chance", [-0.1, 1.1, math.nan])
def test_odds_outside_nought_and_one_are_our_bug(chance: float) -> None:
    with pytest.raises(ValueError, match="between 0 and 1"):
        odds_in_words(chance)
    with pytest.raises(ValueError, match="between 0 and 1"):
        of_ten_in_words(chance)


@pytest.mark.parametrize(
    ("delta_e", "words"),
    [
        # classes used on wood: Cividini, Allegretti and others
        (0.1, "not visible"),
        (1.0, "slight"),
        (2.5, "small"),
        (4.0, "medium"),
        (9.0, "large"),
        (13.0, "another colour"),
    ],
)
def test_colour_differences_are_classed_as_on_wood(delta_e: float, words: str) -> None:
    assert difference_in_words(delta_e) == words


@pytest.mark.parametrize("delta_e", [math.nan, -1.0])
def test_a_difference_that_is_none_is_our_bug(delta_e: float) -> None:
    with pytest.raises(ValueError, match="finite"):
        difference_in_words(delta_e)


@pytest.mark.parametrize(("confidence", "words"), [(0.5, "half of the time"), (0.95, "19 times in 20")])
def test_an_interval_says_how_often_it_holds(confidence: float, words: str) -> None:
    assert often_in_words(confidence) == words


def test_a_small_error_is_not_written_as_none() -> None:
    assert format_error(0.0301, 1) == "± <0.1"
    assert format_error(0.0301, 2) == "± 0.03"


def test_nothing_has_no_sign() -> None:
    assert format_value(-0.001) == "0.0"
    assert format_value(-3.0) == "−3.0"


def test_no_line_ends_inside_a_time_or_before_a_unit() -> None:
    bound = unbroken("after 9 h 40 (L* 48.0 ± 0.6, 2.1 ΔE00), at 250 ppm")
    assert bound.split(" ") == [
        "after",
        "9\u00a0h\u00a040",
        "(L*\u00a048.0\u00a0±\u00a00.6,",
        "2.1\u00a0ΔE00),",
        "at",
        "250\u00a0ppm",
    ]
