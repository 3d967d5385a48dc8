"""The calendar of a run, read back by an independent parser (icalendar) and held to RFC 5545."""

from __future__ import annotations

from datetime import UTC, datetime, time, timedelta
from zoneinfo import ZoneInfo

import icalendar
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from colourcore.errors import InputError
from colourcore.pipeline.plan import Plan, plan_run
from colourcore.report.calendar import calendar_bytes
from colourcore.run.conditions import Conditions, Room, Strength
from colourcore.run.night import Wish
from colourcore.run.run_wish import GivenHours, RunWish
from colourcore.run.schedule import Quiet, StepKind

BERLIN = ZoneInfo("Europe/Berlin")
NOW = datetime(2026, 3, 28, 12, tzinfo=BERLIN)


def planned(start: datetime | None = datetime(2026, 3, 28, 21, 30, tzinfo=BERLIN), *, clock: bool = True) -> Plan:
    when = Wish(now=NOW, start=start, quiet=Quiet(begins=time(23), ends=time(4)))
    return plan_run(
        RunWish(
            tent=Conditions(space_m3=1.08),
            strength=Strength.said("28"),
            room=Room(space_m3=50, air_changes_per_hour=3),
            hours=GivenHours(look=7.95, due=9.02, latest=9.7),
            when=when if clock else None,
        )
    )


def events(content: bytes) -> list[icalendar.Event]:
    return list(icalendar.Calendar.from_ical(content).walk("VEVENT"))


def test_every_step_is_an_event_at_its_moment_through_the_change_to_summer_time() -> None:
    # European summer time begins on 29 March 2026 at 01:00 UTC
    plan = planned()
    assert plan.schedule is not None
    read = events(calendar_bytes(plan, "Music chest", NOW))
    assert [event.decoded("DTSTART") for event in read] == [step.at.astimezone(UTC) for step in plan.schedule.steps]
    due = next(event for event in read if event["SUMMARY"] == "Music chest: Due")
    assert due.decoded("DTSTART").astimezone(BERLIN) == datetime(2026, 3, 29, 7, 30, tzinfo=BERLIN)


def test_look_and_due_ring_before_and_when_they_come() -> None:
    for event in events(calendar_bytes(planned(), "", NOW)):
        rings = sorted(alarm.decoded("TRIGGER") for alarm in event.walk("VALARM"))
        assert timedelta() in rings
        if "Due" in event["SUMMARY"] or "Look" in event["SUMMARY"]:
            assert rings == [timedelta(minutes=-15), timedelta()]


def test_the_cautions_travel_with_their_steps() -> None:
    read = events(calendar_bytes(planned(), "Music chest", NOW))
    look = next(event for event in read if "Look" in event["SUMMARY"])
    assert "camera, lamp, phone and screen stay outside the tent" in look["DESCRIPTION"]
    dress = next(event for event in read if "Dress" in event["SUMMARY"])
    assert "to 250 ppm at most" in dress["DESCRIPTION"]


@settings(max_examples=30, deadline=None)
@given(st.text(max_size=200))
def test_any_name_of_a_job_comes_back_whole(title: str) -> None:
    title = "".join(letter for letter in title if letter.isprintable())
    content = calendar_bytes(planned(), title, NOW)
    # RFC 5545 section 3.1: lines of at most 75 octets, ended by CRLF
    lines = content.split(b"\r\n")
    assert all(len(line) <= 75 for line in lines)
    assert b"\n" not in content.replace(b"\r\n", b"")
    assert events(content)[0]["SUMMARY"] == f"{title or 'Untitled job'}: Set up"


def test_ids_stay_with_a_step_and_no_two_are_alike() -> None:
    once, again = (events(calendar_bytes(planned(), "Music chest", NOW + timedelta(days=d))) for d in (0, 1))
    assert [event["UID"] for event in once] == [event["UID"] for event in again]
    assert len({event["UID"] for event in once}) == len(once)


def test_the_same_plan_gives_the_same_bytes() -> None:
    assert calendar_bytes(planned(), "Music chest", NOW) == calendar_bytes(planned(), "Music chest", NOW)


def test_hours_without_clock_times_make_no_calendar() -> None:
    plan = planned(clock=False)
    assert {StepKind.POUR}.isdisjoint(() if plan.schedule is None else {step.kind for step in plan.schedule.steps})
    with pytest.raises(InputError, match="clock times for a calendar"):
        calendar_bytes(plan, "", NOW)
