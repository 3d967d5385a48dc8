"""Clock times: what stands when, and what is done about nights, summer time and wishes that cannot be met."""

from __future__ import annotations

from datetime import UTC, datetime, time, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from colourcore.errors import InputError
from colourcore.run.night import Wish, make_schedule
from colourcore.run.schedule import NOT_BEFORE, Part, Quiet, RunHours, StepKind, local_time, steps_from

BERLIN = ZoneInfo("Europe/Berlin")
NIGHT = Quiet(begins=time(22), ends=time(7))
CHEST = RunHours(look=7.95, due=9.02, latest=9.7, airing=3.62)


def moment(day: int, hour: int, minute: int = 0, month: int = 5) -> datetime:
    return datetime(2026, month, day, hour, minute, tzinfo=BERLIN)


def at(steps: tuple, kind: StepKind) -> str:  # type: ignore[type-arg] - tests are not typed strictly
    return next(f"{step.at:%d %H:%M}" for step in steps if step.kind is kind)


def test_hours_to_act_on_are_rounded_down_and_airing_up() -> None:
    steps = steps_from(moment(3, 21, 30), CHEST)
    assert at(steps, StepKind.SET_UP) == "03 20:45"
    assert at(steps, StepKind.DRESS) == "03 21:15"
    assert at(steps, StepKind.LOOK) == "04 05:25"
    assert at(steps, StepKind.DUE) == "04 06:30"
    assert at(steps, StepKind.LATEST) == "04 07:10"
    assert at(steps, StepKind.AIRED) == "04 10:10"
    assert at(steps, StepKind.FINISH) == "06 10:10"


@pytest.mark.parametrize(("month", "day", "due"), [(3, 28, "29 07:30"), (10, 24, "25 05:30"), (5, 3, "04 06:30")])
def test_the_clocks_may_be_changed_while_the_piece_stands_in_the_vapour(month: int, day: int, due: str) -> None:
    # European summer time begins on 29 March 2026 and ends on 25 October 2026, at 01:00 UTC
    steps = steps_from(moment(day, 21, 30, month), CHEST)
    assert at(steps, StepKind.DUE) == due
    pour, out = (next(s.at for s in steps if s.kind is kind) for kind in (StepKind.POUR, StepKind.DUE))
    assert out.astimezone(UTC) - pour.astimezone(UTC) == timedelta(hours=9)


def test_a_time_that_the_clocks_jump_over_is_told_with_the_one_that_comes() -> None:
    with pytest.raises(InputError, match="got 02:30 on 2026-03-29: the clocks jump over it; 03:30 comes instead"):
        local_time(datetime(2026, 3, 29, 2, 30), BERLIN)
    twice = local_time(datetime(2026, 10, 25, 2, 30), BERLIN)
    assert twice.utcoffset() == timedelta(hours=2)


def test_parts_go_in_and_come_out_apart() -> None:
    sapwood = Part(name="sapwood", in_hours=2.0, out_hours=9.02)
    lid = Part(name="lid", in_hours=0.0, out_hours=6.5)
    steps = steps_from(moment(3, 8), RunHours(look=6.0, due=9.02, parts=(sapwood, lid), renewals=(8.0,)))
    assert [(step.kind, step.part) for step in steps if step.hours > 0] == [
        (StepKind.PART_IN, "sapwood"),
        (StepKind.LOOK, ""),
        (StepKind.PART_OUT, "lid"),
        (StepKind.RENEW, ""),
        (StepKind.DUE, ""),
    ]


def test_start_by_two_and_nothing_at_night() -> None:
    found = make_schedule(CHEST, Wish(now=moment(3, 8), start_by=moment(3, 14), quiet=NIGHT))
    assert found.met
    assert found.start <= moment(3, 14)
    assert not any(NIGHT.covers(step.at) for step in found.steps)


def test_a_wish_that_cannot_be_met_gets_the_next_start_that_can() -> None:
    found = make_schedule(CHEST, Wish(now=moment(3, 12, 50), start_by=moment(3, 14), quiet=NIGHT))
    assert not found.met
    assert "No start until Sunday at 14:00" in found.sentence
    assert "Pouring on Monday at 07:45 does" in found.sentence
    assert not any(NIGHT.covers(step.at) for step in found.steps)


def test_where_no_start_will_do_the_one_with_the_fewest_steps_at_night_is_named() -> None:
    long = RunHours(look=18.0, due=30.0, latest=33.0)
    found = make_schedule(
        long, Wish(now=moment(3, 8), start_by=moment(4, 8), quiet=Quiet(begins=time(18), ends=time(9)))
    )
    assert not found.met
    assert "The nearest thing: pour on" in found.sentence
    assert "in the quiet hours" in found.sentence


def test_the_makers_own_start_stands_and_is_told_what_falls_into_the_night() -> None:
    found = make_schedule(CHEST, Wish(now=moment(3, 8), start=moment(3, 21, 30), quiet=NIGHT))
    assert found.start == moment(3, 21, 30)
    assert not found.met
    assert "The look (monday 05:25)" in found.sentence or "The look (Monday 05:25)" in found.sentence
    assert "Pouring on" in found.sentence


def test_a_start_that_is_gone_is_told_and_moved_to_the_first_that_can_be() -> None:
    found = make_schedule(CHEST, Wish(now=moment(3, 12, 2), start=moment(3, 12)))
    assert not found.met
    assert "Pouring on Sunday at 12:00 cannot be met: setting up takes until Sunday at 12:50" in found.sentence
    assert found.start == moment(3, 12, 50)


def test_working_days_are_respected_and_one_must_be_left() -> None:
    weekend = Quiet(begins=time(18), ends=time(7), days_off=frozenset({5, 6}))
    found = make_schedule(CHEST, Wish(now=moment(2, 6), quiet=weekend))  # a Saturday
    assert found.met
    assert f"{found.start:%d %H:%M}" == "04 07:45"
    with pytest.raises(InputError, match="at least one working day"):
        Quiet(begins=time(22), ends=time(7), days_off=frozenset(range(7)))


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"look": 0.0}, "a look after more than 0 hours"),
        ({"look": 9.5}, "not after 9.02"),
        ({"latest": 8.0}, "latest hour not before"),
        ({"renewals": (10.0,)}, "renewals between 0 and"),
    ],
)
def test_hours_that_cannot_be_are_told(changed: dict[str, object], words: str) -> None:
    with pytest.raises(InputError, match=words):
        RunHours(**{"look": 7.95, "due": 9.02, "latest": 9.7, **changed})  # type: ignore[arg-type] - on purpose


def test_a_start_without_a_zone_is_told() -> None:
    with pytest.raises(InputError, match="time zone"):
        steps_from(datetime(2026, 5, 3, 12), CHEST)


@settings(deadline=None)  # the machine may be busy
@given(
    st.datetimes(datetime(2026, 1, 1), datetime(2026, 12, 31)),
    st.floats(0.1, 40),
    st.floats(0, 8),
    st.integers(0, 23),
    st.integers(1, 10),
)
def test_steps_follow_one_another_and_a_met_wish_is_met(
    wall: datetime, look: float, more: float, begins: int, long: int
) -> None:
    now = wall.replace(tzinfo=UTC).astimezone(BERLIN)
    quiet = Quiet(begins=time(begins), ends=time((begins + long) % 24))
    hours = RunHours(look=look, due=look + more, latest=look + more + 1, airing=2.0)
    found = make_schedule(hours, Wish(now=now, quiet=quiet))
    for early, late in pairwise(found.steps):
        assert early.at.astimezone(UTC) <= late.at.astimezone(UTC)
    assert found.steps[0].at.astimezone(UTC) >= now.astimezone(UTC)
    if found.met:
        assert not any(quiet.covers(step.at) for step in found.steps)
    else:
        assert found.sentence.endswith(".")
        assert any(quiet.covers(step.at) for step in found.steps if step.kind not in NOT_BEFORE)
