"""Munsell notation: how it is written, and what it comes to under D65."""

from __future__ import annotations

import math

import pytest

from colourcore.colour.munsell import munsell_to_lab, written_munsell
from colourcore.errors import InputError


@pytest.mark.parametrize(
    ("typed", "written"),
    [("10YR 4/3", "10YR 4/3"), (" 7,5 yr 4 / 3 ", "7.5YR 4/3"), ("n5", "N5"), ("N 5/0", "N5"), ("5Y 6/0", "N6")],
)
def test_a_notation_may_be_typed_in_any_spacing(typed: str, written: str) -> None:
    assert written_munsell(typed) == written


@pytest.mark.parametrize("typed", ["", "oak", "10YR 4", "11YR 4/3", "10YR 4/40", "N 11", "4/3"])
def test_what_is_no_notation_or_lies_outside_the_renotation_is_refused(typed: str) -> None:
    with pytest.raises(InputError):
        munsell_to_lab(typed)


def test_greys_stay_grey_when_the_light_changes() -> None:
    for value in range(1, 10):
        _, a, b = munsell_to_lab(f"N {value}/")
        assert math.hypot(a, b) < 0.01


def test_redder_hues_are_redder_and_higher_chroma_is_farther_from_grey() -> None:
    _, red_a, _ = munsell_to_lab("5R 5/4")
    _, yellow_a, yellow_b = munsell_to_lab("5Y 5/4")
    assert red_a > yellow_a
    assert yellow_b > 15
    _, a, b = munsell_to_lab("5Y 5/2")
    assert math.hypot(a, b) < math.hypot(yellow_a, yellow_b)
