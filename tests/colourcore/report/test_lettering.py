"""Widths against the program that sets the pages, lines that fit, a part of the typeface that opens again."""

from __future__ import annotations

import io
from importlib import resources

import pytest
from fontTools.ttLib import TTFont
from fpdf import FPDF
from hypothesis import given
from hypothesis import strategies as st

from colourcore.report.lettering import (
    Run,
    Weight,
    bold_times,
    plain,
    printable,
    shortened,
    subset_font,
    text_width,
    wrap,
)


@pytest.mark.parametrize("weight", list(Weight))
def test_widths_are_those_of_the_pages_own_program(weight: Weight) -> None:
    pdf = FPDF(unit="pt")
    with resources.as_file(resources.files("colourcore.report") / "fonts") as folder:
        pdf.add_font("face", "", folder / f"SourceSans3-{weight}.ttf")
    pdf.set_font("face", size=10)
    text = "L* 48.0 ± 0.6, nine times in ten – “½” ΔE00"
    expected = pdf.get_string_width(text)
    pdf.fonts["face"].ttfont.close()
    assert text_width(text, 10.0, weight) == pytest.approx(expected, abs=0.05)


def test_figures_stand_in_columns() -> None:
    assert len({text_width(figure, 10.0) for figure in "0123456789"}) == 1


@given(st.text(alphabet="abc hij,.±-–9", max_size=120), st.floats(20, 300))
def test_no_line_is_wider_than_its_column_and_no_letter_is_lost(text: str, width: float) -> None:
    lines = wrap(plain(text), 9.0, width)
    for line in lines:
        assert sum(text_width(run.text, 9.0, run.weight) for run in line) <= width + 1e-6
    assert "".join(run.text for line in lines for run in line).replace(" ", "") == text.replace(" ", "")


def test_a_word_wider_than_its_column_is_broken_between_letters() -> None:
    lines = wrap(plain("heartwood" * 10), 9.0, 50.0)
    assert len(lines) > 5


def test_a_word_in_two_weights_is_not_torn_apart() -> None:
    lines = wrap([Run(text="after "), Run(text="9 h", weight=Weight.BOLD), Run(text=", then")], 9.0, 400.0)
    assert "".join(run.text for run in lines[0]) == "after 9 h, then"


def test_the_hour_to_act_on_is_bold_and_the_interval_is_not() -> None:
    said = "Oak is due at 9 h. Look from 7 h 55. Ash reaches it after 30 min (look from 20 min)."
    bold = [run.text for run in bold_times(said) if run.weight is Weight.BOLD]
    assert bold == ["9 h", "7 h 55", "30 min"]
    assert "".join(run.text for run in bold_times(said)) == said


def test_long_names_are_cut_with_an_ellipsis_that_fits() -> None:
    cut = shortened("a board with a long name", 40.0)
    assert cut.endswith("…")
    assert text_width(cut, 8.0) <= 40.0


def test_letters_the_typeface_lacks_show_as_squares() -> None:
    assert printable("oak 木 🪵") == "oak □ □"


def test_the_part_of_the_typeface_in_a_page_opens_again_and_keeps_no_reserved_name() -> None:
    data = subset_font(Weight.BOLD, "oak 9 h ±")
    font = TTFont(io.BytesIO(data))
    assert set(font.getBestCmap()) == {ord(letter) for letter in "oak 9h±"}
    assert not font["name"].names
    assert data == subset_font(Weight.BOLD, set("± h9 kao"))
    assert len(data) < 20_000
