"""The PDF as another program reads it: every reading, every caution, title, language, bookmarks, the same bytes."""

from __future__ import annotations

import io
import re
from dataclasses import replace
from datetime import datetime

import pypdf
import pytest

from colourcore.pipeline import Group, Results
from colourcore.report.document import Paper, write_pdf
from colourcore.report.headline import headline
from colourcore.report.sentences import BOARD_NOT_PIECE, INVENTED
from colourcore.run.cautions import CAUTIONS, pinned_cautions
from tests.colourcore.report.invented_results import (
    REFUSAL,
    VERSIONS,
    WARNING,
    WRITTEN,
    cannot_say,
    group,
    job,
    not_reached,
    pictures,
    reached,
    reading,
    results,
)

GROUPS = [group("A", "heartwood", reached()), group("A", "sapwood", not_reached())]


def pdf_of(found: Results, *, name: str = "Music chest", invented: bool = True, written: datetime = WRITTEN) -> bytes:
    return write_pdf(job(name=name, invented=invented), found, pictures(), written=written, versions=VERSIONS)


def squeezed(text: str) -> str:
    return re.sub(r"\s+", "", text)


def text_of(data: bytes) -> str:
    return squeezed("".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(data)).pages))


@pytest.fixture(scope="module")
def data() -> bytes:
    return pdf_of(results(GROUPS, checks=(WARNING,)))


def test_the_first_page_holds_the_answer_and_the_cautions_for_the_bench(data: bytes) -> None:
    page = squeezed(pypdf.PdfReader(io.BytesIO(data)).pages[0].extract_text())
    assert squeezed(headline(GROUPS)) in page
    assert squeezed(BOARD_NOT_PIECE) in page
    assert squeezed(INVENTED) in page
    for caution in pinned_cautions():
        assert squeezed(f"{caution.lead} {caution.pinned}") in page


def test_every_reading_stands_in_the_tables(data: bytes) -> None:
    text = text_of(data)
    for row in results(GROUPS).readings:
        if row.reading is not None:
            assert f"{row.reading.lab[0]:.2f}±0.31" in text
    assert squeezed("set aside: pencil line") in text
    assert squeezed("refused, no number") in text


def test_every_caution_stands_in_full(data: bytes) -> None:
    text = text_of(data)
    for caution in CAUTIONS:
        assert squeezed(f"{caution.lead} {caution.sentence}") in text


def test_every_check_method_and_version_is_told(data: bytes) -> None:
    text = text_of(data)
    for said in (WARNING.message, REFUSAL.message, "duskgrain0.1.0", "numpy2.4.6", "Balanced by one grey card"):
        assert squeezed(said) in text


def test_nothing_is_declared_without_danger_and_no_number_is_missing(data: bytes) -> None:
    reader = pypdf.PdfReader(io.BytesIO(data))
    text = " ".join(page.extract_text() for page in reader.pages)
    assert not re.search(r"\bsafe(ly|r|st)?\b", text, re.IGNORECASE)
    assert not re.search(r"\bnan\b|None\b.*±|\binf\b", text, re.IGNORECASE)


def test_a_screen_reader_finds_title_language_bookmarks_and_descriptions(data: bytes) -> None:
    reader = pypdf.PdfReader(io.BytesIO(data))
    assert reader.metadata is not None
    assert reader.metadata.title == "Music chest"
    assert reader.metadata.creator == "duskgrain 0.1.0"
    assert reader.root_object["/Lang"] == "en"
    titles = [item.title for item in reader.outline if not isinstance(item, list)]
    assert titles == [
        "Music chest",
        "Hours, board by board",
        "Photos, as balanced",
        "Readings",
        "Checks",
        "Cautions",
        "Method and versions",
    ]
    assert b"/Alt" in data


def test_the_same_job_gives_the_same_bytes_and_another_date_does_not(data: bytes) -> None:
    again = pdf_of(results(GROUPS, checks=(WARNING,)))
    assert again == data
    assert pdf_of(results(GROUPS, checks=(WARNING,)), written=datetime(2026, 5, 4, 9, 0)) != data


def test_a_real_job_bears_no_mark_of_an_example() -> None:
    assert "Inventedexample" not in text_of(pdf_of(results(GROUPS), invented=False))


@pytest.mark.parametrize(
    ("groups", "sentence"),
    [
        ([], "No sample was read, so there are no hours yet."),
        ([group("", "", cannot_say(), None)], "For the samples the hours cannot be said."),
        ([group(f"{n}", "", reached()) for n in range(25)], "25 of 25 boards and zones reach the target"),
    ],
)
def test_none_few_and_many_are_reported_alike(groups: list[Group], sentence: str) -> None:
    text = text_of(pdf_of(results(groups)))
    assert squeezed(sentence) in text
    for caution in CAUTIONS:
        assert squeezed(caution.sentence) in text


def test_long_and_foreign_names_are_kept_whole_in_the_tables() -> None:
    board, zone = "the widest plank from the north slope " * 4, "quartersawn, very close to the pith " * 3
    found = results([group(board.strip(), zone.strip(), reached())])
    text = text_of(pdf_of(found, name="Σ 木 <b>&amp;\n" * 9))
    assert squeezed(f"board {board}, {zone}") in text


def test_it_opens_on_letter_paper_too() -> None:
    data = write_pdf(job(), results(GROUPS), pictures(), written=WRITTEN, versions=VERSIONS, paper=Paper.LETTER)
    box = pypdf.PdfReader(io.BytesIO(data)).pages[0].mediabox
    assert (float(box.width), float(box.height)) == (612.0, 792.0)


def test_a_lightness_without_colour_is_told_without_a_and_b() -> None:
    found = results(GROUPS)
    lost = replace(found.readings[-1], reading=replace(reading((48.02, 77.77, 88.88)), colour_lost=True))
    text = text_of(pdf_of(replace(found, readings=(*found.readings[:-1], lost))))
    assert "48.02±0.31" in text
    assert "77.77" not in text
    assert "lightnessonly" in text


def test_photos_that_are_missing_leave_flat_colour_and_no_gap() -> None:
    data = write_pdf(job(), results(GROUPS), {}, written=WRITTEN, versions=VERSIONS)
    assert squeezed("Photos, as balanced") not in text_of(data)
    assert squeezed("Readings") in text_of(data)
