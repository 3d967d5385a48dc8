"""Where things stand on a page: nothing over the edge, headings with what they head, the first page one page."""

from __future__ import annotations

import pytest

from colourcore.pipeline import Group
from colourcore.report.blocks import Cell, Column, Heading, NewPage, Paragraph, Report, Table
from colourcore.report.document import build_report
from colourcore.report.drawing import Words
from colourcore.report.lettering import plain
from colourcore.report.pages import Page, Paper, paginate
from tests.colourcore.report.invented_results import (
    VERSIONS,
    WARNING,
    WRITTEN,
    cannot_say,
    group,
    job,
    not_reached,
    pictures,
    reached,
    results,
)


def report_of(*groups: Group, name: str = "Music chest") -> Report:
    found = results(groups, checks=(WARNING,))
    return build_report(job(name=name), found, pictures(), written=WRITTEN, versions=VERSIONS)


def words_of(page: Page) -> list[str]:
    return [mark.text for placed in page.placed for mark in placed.drawing.marks if isinstance(mark, Words)]


JOBS = {
    "none": [],
    "one": [group("A", "heartwood", reached())],
    "two boards": [group(board, zone, reached()) for board in "AB" for zone in ("heartwood", "sapwood")],
    "many": [group(f"board {n} " * 6, "a long zone " * 6, reached() if n % 2 else not_reached()) for n in range(13)],
    "unsaid": [group("", "", cannot_say(), None)],
}


@pytest.mark.parametrize("paper", list(Paper))
@pytest.mark.parametrize("name", JOBS)
def test_nothing_stands_over_another_thing_or_over_the_edge(name: str, paper: Paper) -> None:
    for page in paginate(report_of(*JOBS[name], name="A long name " * 30), paper):
        ends = 42.0
        for placed in page.placed:
            assert placed.y >= ends - 1e-6
            ends = placed.y + placed.drawing.height
        assert ends <= paper.value[1] - 25.0


@pytest.mark.parametrize("name", JOBS)
def test_the_cautions_for_the_bench_stand_on_the_first_page(name: str) -> None:
    first = paginate(report_of(*JOBS[name]), Paper.A4)[0]
    assert any("Type K cartridges" in text for text in words_of(first))
    assert "Airing has a least time and no finish line:" in " ".join(words_of(first))
    assert any(text.startswith("Invented example") for text in words_of(first))


def test_an_a4_page_printed_on_letter_loses_nothing() -> None:
    lost = (Paper.A4.value[1] - Paper.LETTER.value[1]) / 2
    for page in paginate(report_of(*JOBS["two boards"]), Paper.A4):
        assert all(placed.y >= lost for placed in page.placed)
        assert all(placed.y + placed.drawing.height <= Paper.A4.value[1] - lost for placed in page.placed)


def test_every_page_says_which_of_how_many_it_is_and_that_it_is_invented() -> None:
    pages = paginate(report_of(*JOBS["one"]), Paper.A4)
    for number, page in enumerate(pages, 1):
        assert f"page {number} of {len(pages)}" in words_of(page)
        assert "Invented example" in words_of(page)


def table_report(rows: int) -> Report:
    columns = (Column(heading="hours", share=1.0), Column(heading="L*", share=1.0))
    cells = tuple((Cell(text=f"row {number}"), Cell(text="48")) for number in range(rows))
    filler = tuple(Paragraph(runs=plain("oak")) for _ in range(30))
    table = Table(caption="t", columns=columns, rows=cells)
    return Report(
        title="t", program="p", written=WRITTEN, pinned=(), evidence=(NewPage(), *filler, Heading(text="Head"), table)
    )


def test_a_table_that_goes_on_repeats_its_head_and_loses_no_row() -> None:
    pages = paginate(table_report(150), Paper.A4)
    said = [text for page in pages for text in words_of(page)]
    assert [text for text in said if text.startswith("row ")] == [f"row {number}" for number in range(150)]
    with_rows = [page for page in pages if any(text.startswith("row ") for text in words_of(page))]
    assert len(with_rows) > 2
    assert all("hours" in words_of(page) for page in with_rows)


@pytest.mark.parametrize("rows", [1, 2, 40])
def test_a_heading_is_never_the_last_thing_on_a_page(rows: int) -> None:
    for filler in range(28, 44):
        report = table_report(rows)
        blocks = (NewPage(), *[Paragraph(runs=plain("oak"))] * filler, *report.evidence[-2:])
        pages = paginate(Report(title="t", program="p", written=WRITTEN, pinned=(), evidence=blocks), Paper.A4)
        page = next(page for page in pages if "Head" in words_of(page))
        assert "row 0" in words_of(page)
