"""The sheet for the wall: steps have boxes to tick, cautions never do, and nothing is left out."""

from __future__ import annotations

import io
from datetime import datetime
from zoneinfo import ZoneInfo

import pypdf
import pytest

from colourcore.errors import InputError
from colourcore.pipeline.plan import Plan, plan_run
from colourcore.report.blocks import Figure, Notice
from colourcore.report.drawing import Area
from colourcore.report.run_export import plan_file
from colourcore.report.run_sheet import run_sheet
from colourcore.run.cautions import CAUTIONS
from colourcore.run.conditions import Conditions, Pour, Room, Strength
from colourcore.run.night import Wish
from colourcore.run.run_wish import GivenHours, RunWish

NOW = datetime(2026, 5, 3, 12, tzinfo=ZoneInfo("Europe/Berlin"))
STRONG = Strength(low=0.28, high=0.28)


def planned(litres: float | None = None, *, clock: bool = True) -> Plan:
    return plan_run(
        RunWish(
            tent=Conditions(space_m3=1.08, temperature_c=18),
            test=Conditions(space_m3=0.06, temperature_c=18, pours=(Pour(volume_litres=0.006, strength=STRONG),)),
            stated_litres=litres,
            room=Room(space_m3=50, air_changes_per_hour=3),
            hours=GivenHours(look=7.95, due=9.02),
            when=Wish(now=NOW, start=NOW.replace(hour=21, minute=30)) if clock else None,
        )
    )


def boxes(figure: Figure) -> int:
    """Empty squares in a drawing."""
    return sum(isinstance(mark, Area) and mark.fill is None for mark in figure.draw(499.0, 400.0).marks)


def test_every_step_has_one_box_and_no_caution_has_any() -> None:
    plan = planned()
    assert plan.schedule is not None
    blocks = run_sheet(plan, "Music chest", written=NOW).evidence
    steps = [block for block in blocks if isinstance(block, Figure)]
    assert [boxes(step) for step in steps] == [1] * len(plan.schedule.steps)
    notices = [block for block in blocks if isinstance(block, Notice)]
    told = [block.text for block in notices]
    assert all(told.count(caution.sentence) == 1 for caution in CAUTIONS)


def test_a_caution_stands_under_its_step() -> None:
    blocks = run_sheet(planned(), "Music chest", written=NOW).evidence
    places = {block.text: number for number, block in enumerate(blocks) if isinstance(block, Notice)}
    steps = [number for number, block in enumerate(blocks) if isinstance(block, Figure)]
    looking = next(caution.sentence for caution in CAUTIONS if caution.key == "looking")
    assert steps[3] < places[looking] < steps[4]


def test_the_printed_sheet_holds_every_step_and_caution() -> None:
    pages = pypdf.PdfReader(io.BytesIO(plan_file(planned(), ".pdf", "Music chest", written=NOW))).pages
    text = " ".join(" ".join(page.extract_text() for page in pages).replace("\u00a0", " ").split())
    for word in ("21:30", "05:25", "06:30", "Pour 0.108 litres", "Look through the film", "10:10"):
        assert word in text, word
    for caution in CAUTIONS:
        assert caution.sentence[:60] in text, caution.key


def test_a_grave_charge_is_told_on_the_sheet_and_at_the_pour() -> None:
    blocks = run_sheet(planned(0.25), "Music chest", written=NOW).evidence
    pour = next(b for b in blocks if isinstance(b, Figure) and "Pour 0.25" in b.draw(499.0, 400.0).description)
    assert "Half of what can burn or more" in pour.draw(499.0, 400.0).description


@pytest.mark.parametrize("ending", [".pdf", ".html", ".ics"])
def test_the_same_plan_gives_the_same_file(ending: str) -> None:
    once, again = (plan_file(planned(), ending, "Music chest", written=NOW) for _ in range(2))
    assert once == again


def test_there_is_no_sheet_without_clock_times_and_no_other_form() -> None:
    with pytest.raises(InputError, match="clock times for a sheet"):
        plan_file(planned(clock=False), ".pdf", "", written=NOW)
    with pytest.raises(InputError, match="ending in"):
        plan_file(planned(), ".txt", "", written=NOW)
