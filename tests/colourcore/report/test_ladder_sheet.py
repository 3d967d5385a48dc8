"""The sheet for the wall while the samples are tested."""

from __future__ import annotations

import io
from datetime import datetime

import pytest
from pypdf import PdfReader

from colourcore.curve.ladder import first_ladder
from colourcore.report.ladder_sheet import clock_time, ladder_cautions, ladder_sheet, out_at, put_in_at
from colourcore.report.pages import Paper
from colourcore.run.cautions import CAUTIONS, Moment

START, WRITTEN = datetime(2025, 3, 6, 21, 30), datetime(2025, 3, 1, 12, 41)


def sheet(guess: float = 8.0, count: int = 6, paper: Paper = Paper.A4) -> PdfReader:
    pdf = ladder_sheet(first_ladder(guess, count), START, written=WRITTEN, program="duskgrain 0", paper=paper)
    return PdfReader(io.BytesIO(pdf))


def test_all_samples_come_out_together_and_each_has_its_hours() -> None:
    ladder = first_ladder(8.0, 6)
    out = out_at(ladder, START)
    assert clock_time(out) == "Sat 05:30"
    for rung in ladder.rungs:
        if rung.hours:
            assert (out - put_in_at(rung, START)).total_seconds() / 3600 == pytest.approx(rung.hours)


@pytest.mark.parametrize("paper", list(Paper))
@pytest.mark.parametrize("count", [3, 6, 10])
def test_the_sheet_is_one_page_on_any_paper(paper: Paper, count: int) -> None:
    assert len(sheet(count=count, paper=paper).pages) == 1


def test_times_and_every_caution_of_the_test_stand_on_the_sheet() -> None:
    text = " ".join(sheet().pages[0].extract_text().replace("\u00a0", " ").split())
    assert "Thu 21:30" in text
    assert "Sat 05:30" in text
    assert "Every opening counts:" in text
    for caution in ladder_cautions():
        assert caution.lead in text
    assert {one.moment for one in CAUTIONS if one not in ladder_cautions()} == {Moment.LOOKING}


def test_the_same_ladder_gives_the_same_bytes() -> None:
    ladder = first_ladder(3.0, 5)
    one, two = (ladder_sheet(ladder, START, written=WRITTEN, program="duskgrain 0") for _ in range(2))
    assert one == two
