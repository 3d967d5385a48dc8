"""`duskgrain plan` and its contract (docs/plan.md): what comes out, what is refused, and in which words."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from colourcore.cli import main
from colourcore.run.cautions import CAUTIONS
from colourcore.run.options import OPTIONS, SWITCHES

DOCS = Path(__file__).parents[2] / "docs" / "plan.md"
TENT = ["--tent", "1.2x1.0x0.9", "--strength", "28", "--warmth", "18"]
TUB = ["--test-tub", "60 l", "--test-charge", "6 ml", "--test-warmth", "18"]
ROOM = ["--room", "5x4x2.5", "--air-changes", "3"]
HOURS = ["--look", "7.95", "--due", "9.02", "--latest", "9.7"]
CLOCK = ["--zone-name", "Europe/Berlin", "--start", "2126-05-03T21:30"]
WHOLE = [*TENT, *TUB, *ROOM, *HOURS, *CLOCK]


def planned(capsys: pytest.CaptureFixture[str], *arguments: str) -> dict:  # type: ignore[type-arg] - JSON
    assert main(["plan", *arguments, "--json"]) == 0
    return json.loads(capsys.readouterr().out)


def keys_told(row: str) -> list[str]:
    """The keys that the document names in the first braces of a row."""
    line = next(line for line in DOCS.read_text(encoding="utf-8").splitlines() if line.startswith(f"| {row} |"))
    found = re.search(r"\{([^{}]*)\}", line)
    assert found
    return re.findall(r'"(\w+)"', found[1])


def test_the_document_names_every_key_and_every_option(capsys: pytest.CaptureFixture[str]) -> None:
    plan = planned(capsys, *WHOLE)
    text = DOCS.read_text(encoding="utf-8")
    rows = re.findall(r"^\| ([a-z_.]+) \|", text, re.MULTILINE)
    assert {row for row in rows if "." not in row} - {"option", "key"} == set(plan)
    for row in ("tent", "charge", "test", "room", "spill", "airing", "hours", "looks", "schedule"):
        assert set(keys_told(row)) == set(plan[row]), row
    assert set(keys_told("schedule.steps")) == set(plan["schedule"]["steps"][0])
    assert set(keys_told("cautions")) == set(plan["cautions"][0])
    told = set(re.findall(r"`--([a-z-]+)", text))
    assert {one.name for one in OPTIONS} | {name for name, _ in SWITCHES} <= told


def test_the_clock_times_are_those_of_the_hours(capsys: pytest.CaptureFixture[str]) -> None:
    steps = {step["kind"]: step["at"] for step in planned(capsys, *WHOLE)["schedule"]["steps"]}
    assert steps["pour"] == "2126-05-03T21:30+02:00"
    assert steps["look"] == "2126-05-04T05:25+02:00"
    assert steps["due"] == "2126-05-04T06:30+02:00"
    assert steps["latest"] == "2126-05-04T07:10+02:00"
    assert steps["aired"] == "2126-05-04T10:10+02:00"


def test_every_caution_stands_at_a_step_and_none_is_left_out(capsys: pytest.CaptureFixture[str]) -> None:
    plan = planned(capsys, *WHOLE)
    at_steps = {key for step in plan["schedule"]["steps"] for key in step["cautions"]}
    assert at_steps == {one.key for one in CAUTIONS} == {one["key"] for one in plan["cautions"]}
    dress = next(step for step in plan["schedule"]["steps"] if step["kind"] == "dress")
    assert "protection" in dress["cautions"]


def test_the_text_for_people_holds_every_caution_and_never_calls_anything_safe(
    capsys: pytest.CaptureFixture[str],
) -> None:
    for arguments in (WHOLE, [*TENT, *HOURS, "--no-clock"]):
        assert main(["plan", *arguments]) == 0
        text = capsys.readouterr().out
        assert all(one.sentence in text for one in CAUTIONS)
        assert not re.search(r"\bsafe(ly|r|st)?\b", text, re.IGNORECASE)


def test_no_caution_is_lost_where_the_room_is_not_known(capsys: pytest.CaptureFixture[str]) -> None:
    plan = planned(capsys, *TENT, *HOURS, *CLOCK)
    assert plan["airing"] is None
    assert {key for step in plan["schedule"]["steps"] for key in step["cautions"]} == {one.key for one in CAUTIONS}
    due = next(step for step in plan["schedule"]["steps"] if step["kind"] == "due")
    assert {"opening", "airing", "waste"} <= set(due["cautions"])
    assert "from outside the room" in due["text"]


def test_the_same_wish_gives_the_same_bytes(capsys: pytest.CaptureFixture[str]) -> None:
    assert planned(capsys, *WHOLE) == planned(capsys, *WHOLE)


def test_what_the_tool_proposes_stays_at_a_quarter_and_matches_the_test(capsys: pytest.CaptureFixture[str]) -> None:
    plan = planned(capsys, *WHOLE)
    assert plan["charge"]["verdict"] == "quarter"
    assert plan["charge"]["share_if_all_evaporates"][1] <= 0.0375
    assert plan["test"]["matched"] is True
    assert plan["charge"]["grams_per_m3"][1] == pytest.approx(plan["test"]["grams_per_m3"][1], rel=0.02)


@pytest.mark.parametrize(
    ("litres", "verdict"), [("0.11", "quarter"), ("0.13", "warning"), ("0.25", "strong_warning"), ("0.47", "no_plan")]
)
def test_a_stated_charge_is_shown_for_what_it_is(capsys: pytest.CaptureFixture[str], litres: str, verdict: str) -> None:
    plan = planned(capsys, *WHOLE, "--charge", litres)
    assert plan["charge"]["verdict"] == verdict
    assert (plan["outcome"] == "no_plan") == (verdict == "no_plan")
    if verdict == "strong_warning":
        pour = next(step for step in plan["schedule"]["steps"] if step["kind"] == "pour")
        assert pour["text"].startswith("Half of what can burn")


def test_without_a_plan_it_is_said_what_it_would_take(capsys: pytest.CaptureFixture[str]) -> None:
    plan = planned(capsys, *WHOLE, "--charge", "0.47")
    assert plan["schedule"] is None
    assert plan["ways_out"]["tent_m3"] == pytest.approx(4.4, abs=0.1)
    assert "new samples" in plan["ways_out"]["sentences"][1]
    assert main(["plan", *WHOLE, "--charge", "0.47"]) == 0
    assert "new samples" in capsys.readouterr().out


def test_what_was_poured_before_counts(capsys: pytest.CaptureFixture[str]) -> None:
    plan = planned(capsys, *TENT, *ROOM, *HOURS, *CLOCK, "--poured", "0.06")
    assert [pour["in_already"] for pour in plan["charge"]["pours"]] == [True, False]
    assert plan["charge"]["litres"] == pytest.approx(0.113, abs=0.002)
    full = planned(capsys, *TENT, *ROOM, *HOURS, *CLOCK, "--poured", "0.2")
    assert full["outcome"] == "cannot_say"
    assert "air it first" in full["reason"]


def test_other_warmth_changes_no_hour_but_the_first_look(capsys: pytest.CaptureFixture[str]) -> None:
    like, warmer = planned(capsys, *WHOLE), planned(capsys, *WHOLE, "--warmth", "28")
    assert warmer["hours"]["due"] == like["hours"]["due"]
    assert warmer["hours"]["look"] == pytest.approx(like["hours"]["look"] / 3.0)
    assert [one["what"] for one in warmer["mismatch"]] == ["warmth"]
    assert any("no measurement" in note for note in warmer["notes"])


def test_a_renewal_that_would_have_the_tent_opened_by_hand_is_left_out(capsys: pytest.CaptureFixture[str]) -> None:
    small = [*WHOLE, "--charge", "0.02", "--renew", "4"]
    plan = planned(capsys, *small, "--room", "400")
    assert plan["hours"]["renewals"] == [4.0]
    assert plan["spill"]["opening"] == "by hand"
    shut = planned(capsys, *small, "--room", "20")
    assert shut["hours"]["renewals"] == []
    assert [pour["at_hours"] for pour in shut["charge"]["pours"]] == [0.0]
    assert any("left out" in note for note in shut["notes"])


def test_a_schedule_that_cannot_be_met_is_told_with_the_nearest(capsys: pytest.CaptureFixture[str]) -> None:
    plan = planned(capsys, *WHOLE, "--quiet", "22:00-07:00")
    assert plan["schedule"]["met"] is False
    assert "in the quiet hours" in plan["schedule"]["sentence"]


def test_hours_of_a_sheet_are_planned_for_the_part_that_is_named(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    rows = ["role,board,zone,hours,L,a,b", "target,,,,48,6,15"]
    for zone, shift in (("heartwood", 0.0), ("sapwood", 3.0)):
        rows += [
            f"sample,A,{zone},{h},{seen + shift},6,16"
            for h, seen in ((0, 70), (2, 62), (5, 54), (9, 48.5), (16, 44), (24, 42))
        ]
    table = tmp_path / "chest.csv"
    table.write_text("\n".join(rows), encoding="utf-8")
    wish = [str(table), *TENT, *ROOM, *CLOCK]
    heart = planned(capsys, *wish, "--zone", "heartwood")
    assert 0 < heart["looks"]["odds_at_first"] < 0.1
    assert 0 < heart["hours"]["look"] < heart["hours"]["due"] <= heart["hours"]["latest"]
    both = planned(capsys, *wish)
    assert both["looks"]["odds_again"] is None
    assert both["hours"]["due"] > heart["hours"]["due"]
    apart = planned(capsys, *wish, "--staggered", "--room", "400")
    assert {part["name"] for part in apart["hours"]["parts"]} == {"board A, heartwood", "board A, sapwood"}
    assert "part_in" in [step["kind"] for step in apart["schedule"]["steps"]]
    shut = planned(capsys, *wish, "--staggered")
    assert shut["hours"]["parts"] == []
    assert any("never planned here" in note for note in shut["notes"])
    assert main(["plan", *wish, "--board", "C"]) == 1
    assert "board C" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("arguments", "code", "words"),
    [
        (["--strength", "45"], 2, "at most 40 %"),
        (["--tent", "0"], 2, "more than 0"),
        (["--room", "0x4x2"], 2, "more than 0"),
        (["--air-changes", "0"], 2, "more than 0"),
        (["--wood", "2"], 1, "tent larger than the piece"),
        (["--warmth", "60"], 1, "from 0 to 45 °C"),
        (["--limit", "50"], 1, "at most 25 ppm"),
        (["--mixing", "11"], 1, "mixing factor from 1 to 10"),
        (["--start", "2126-03-31T02:30"], 1, "the clocks jump over it"),
        (["--start-by", "14:00"], 1, "got both"),
        (["--start", "yesterday"], 2, "expected a time such as"),
        (["--quiet", "22"], 2, "quiet hours such as"),
        (["--zone-name", "Middle/Earth"], 1, "time zone such as"),
        (["--look", "12"], 1, "not after 9.02"),
        (["--test-charge", "0"], 2, "more than 0"),
        (["--renew", "20"], 0, ""),
        (["--calendar", "run.txt"], 1, "ending in .pdf, .html, .ics"),
    ],
)
def test_what_cannot_be_is_told_in_a_sentence(
    capsys: pytest.CaptureFixture[str], arguments: list[str], code: int, words: str
) -> None:
    try:
        ended = main(["plan", *WHOLE, *arguments])
    except SystemExit as stopped:
        ended = stopped.code
    said = capsys.readouterr()
    assert ended == code
    assert words in said.err
    assert "Traceback" not in said.err
    assert not said.out or code == 0


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["--tent", "1", "--look", "3", "--due", "4"], "Say the strength"),
        (["--strength", "28", "--look", "3", "--due", "4"], "Say the tent"),
        (["--tent", "1", "--strength", "28"], "read the samples first"),
    ],
)
def test_what_is_missing_is_asked_for(capsys: pytest.CaptureFixture[str], arguments: list[str], words: str) -> None:
    plan = planned(capsys, *arguments)
    assert plan["outcome"] == "cannot_say"
    assert words in plan["reason"]


def test_us_units_are_told_beside_the_metric_ones(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["plan", *WHOLE, "--us"]) == 0
    assert "Pour 3.65 US fl oz (0.108 litres)" in capsys.readouterr().out
