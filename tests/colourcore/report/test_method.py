"""The method's words agree with the figures they quote."""

from __future__ import annotations

from colourcore.curve.shapes import KINDS
from colourcore.report.method import METHOD
from colourcore.report.phrases import difference_in_words

WORDS = {2: "two", 3: "three", 4: "four", 5: "five", 6: "six"}


def text(lead: str) -> str:
    return next(text for found, text in METHOD if found == lead)


def test_it_counts_the_families_of_curves_that_are_weighed() -> None:
    assert f"{WORDS[len(KINDS)].capitalize()} families" in text("Hours.")


def test_the_classes_of_difference_are_those_in_use() -> None:
    for below, words in (
        (0.19, "not visible"),
        (1.9, "2 slight"),
        (2.9, "3 small"),
        (5.9, "6 medium"),
        (11.9, "12 large"),
    ):
        assert difference_in_words(below) in words
        assert words in text("Colour differences.")
