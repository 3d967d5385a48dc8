"""The log of a run: what counts as hours, what a break leaves, and clocks that jump."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from colourcore.curve.look import AfterLooks
from colourcore.errors import InputError
from colourcore.run.conditions import Conditions, Pour, Strength
from colourcore.run.happening import Happening
from colourcore.run.log import (
    Entry,
    checked_log,
    exposure_hours,
    hours_still_needed,
    logged_conditions,
    photo_moment,
)

BERLIN = ZoneInfo("Europe/Berlin")
STRONG = Strength(low=0.28, high=0.28)
START = datetime(2026, 5, 3, 21, 30, tzinfo=BERLIN)
NOW = START + timedelta(hours=20)


def poured(hours: float = 0.0, litres: float = 0.11) -> Entry:
    pour = Pour(volume_litres=litres, strength=STRONG)
    return Entry(kind=Happening.POURED, at=START + timedelta(hours=hours), pour=pour)


def happened(kind: Happening, hours: float, **more: float) -> Entry:
    return Entry(kind=kind, at=START + timedelta(hours=hours), **more)  # type: ignore[arg-type] - numbers only


def test_hours_in_the_vapour_leave_out_the_break() -> None:
    log = checked_log(
        [poured(), happened(Happening.BROKEN_OFF, 4), poured(10), happened(Happening.TAKEN_OUT, 13.5)], NOW
    )
    assert [exposure_hours(log, START + timedelta(hours=h)) for h in (-1, 3, 4, 9, 12, 13.5, 19)] == [
        0, 3, 4, 4, 6, 7.5, 7.5,
    ]  # fmt: skip


def test_summer_time_does_not_lengthen_a_night_in_the_vapour() -> None:
    pour = Pour(volume_litres=0.1, strength=STRONG)
    begun = datetime(2026, 3, 28, 22, tzinfo=BERLIN)
    log = [Entry(kind=Happening.POURED, at=begun, pour=pour)]
    assert exposure_hours(log, datetime(2026, 3, 29, 7, tzinfo=BERLIN).astimezone(UTC)) == 8
    assert exposure_hours(log, datetime(2026, 3, 29, 7, tzinfo=BERLIN)) == 8


def test_a_break_airs_the_tent_and_what_was_poured_before_no_longer_counts() -> None:
    log = checked_log(
        [
            poured(),
            happened(Happening.WARMTH, 1, temperature_c=18.0),
            happened(Happening.BROKEN_OFF, 4),
            poured(10, 0.05),
            happened(Happening.WARMTH, 12, temperature_c=14.0),
            happened(Happening.OPENED, 13),
        ],
        NOW,
    )
    found = logged_conditions(log, Conditions(space_m3=1.08))
    assert [(pour.volume_litres, pour.at_hours) for pour in found.pours] == [(0.05, 4.0)]
    assert found.mean_temperature_c == 14.0
    assert found.openings_hours == (7.0,)


@pytest.mark.parametrize(
    ("log", "words"),
    [
        ([poured(2), happened(Happening.LOOKED, 1)], "nothing before the start, got “looked” of Sunday at 22:30"),
        ([happened(Happening.LOOKED, 1)], "nothing was poured"),
        ([poured(), happened(Happening.TAKEN_OUT, 2), happened(Happening.LOOKED, 3)], "nothing after the piece came"),
        ([poured(30)], "which lies ahead"),
        ([Entry(kind=Happening.POURED, at=START)], "is about, got nothing"),
        ([happened(Happening.GAS_READING, 1)], "is about, got nothing"),
        ([Entry(kind=Happening.LOOKED, at=datetime(2026, 5, 3))], "time zone"),
    ],
)
def test_a_log_that_cannot_be_is_told(log: list[Entry], words: str) -> None:
    with pytest.raises(InputError, match=words):
        checked_log(log, NOW)


def test_a_gas_reading_may_follow_the_end() -> None:
    log = [poured(), happened(Happening.TAKEN_OUT, 2), happened(Happening.GAS_READING, 6, ppm=12.0)]
    assert len(checked_log(log, NOW)) == 3


def looked(due: float | None, look_from: float | None = 4.5) -> AfterLooks:
    return AfterLooks(
        now_hours=4, p_past_now=0.01, hours=6, low=5, high=8, look_from=look_from, due=due, p_reach=1,
        axis_hours=(0, 10), p_past=(0, 1), pace=1, pace_low=0.9, pace_high=1.1, lightness=50, lightness_error=0.4,
        surprise=0,
    )  # fmt: skip


def test_after_a_break_the_hours_still_needed_are_counted_from_the_present_reading() -> None:
    found = hours_still_needed(looked(5.75), 4.0)
    assert (found.look, found.due) == (0.5, 1.75)
    assert "1 h 45" in found.sentence
    assert "fresh charge" in found.sentence
    assert "nobody knows" in found.sentence
    assert hours_still_needed(looked(3.9), 4.0).due == 0
    assert hours_still_needed(looked(None), 4.0).due is None


def test_a_look_dated_before_the_start_is_told_with_how_far() -> None:
    with pytest.raises(InputError, match=r"look after the start on Sunday at 21:30, .* 1 h before it: set the camera"):
        photo_moment(datetime(2026, 5, 3, 20, 30), BERLIN, start=START, now=NOW)


def test_a_photo_ahead_of_the_clock_is_told_with_how_far() -> None:
    with pytest.raises(InputError, match="2 h ahead: set the camera"):
        photo_moment(datetime(2026, 5, 4, 19, 30), BERLIN, start=START, now=NOW)


def test_a_photo_in_the_hour_that_comes_twice_is_taken_for_the_one_in_the_run() -> None:
    begun = datetime(2026, 10, 25, 2, 45, tzinfo=BERLIN)  # the first of the two
    later = datetime(2026, 10, 25, 9, tzinfo=BERLIN)
    found = photo_moment(datetime(2026, 10, 25, 2, 30), BERLIN, start=begun, now=later)
    assert found.at.utcoffset() == timedelta(hours=1)
    assert "twice" in found.note
    early = photo_moment(datetime(2026, 10, 25, 2, 50), BERLIN, start=begun, now=begun + timedelta(minutes=10))
    assert early.at.utcoffset() == timedelta(hours=2)


def test_a_camera_that_was_not_put_forward_is_understood() -> None:
    begun = datetime(2026, 3, 28, 22, tzinfo=BERLIN)
    found = photo_moment(datetime(2026, 3, 29, 2, 30), BERLIN, start=begun, now=begun + timedelta(hours=12))
    assert f"{found.at:%H:%M}" == "03:30"
    assert "has not been put forward" in found.note
