"""The run as a job keeps it, turned into what the run room works with. InputError where what was typed cannot be."""

from __future__ import annotations

from datetime import datetime, time, tzinfo

from colourcore.errors import InputError
from colourcore.job.model import Job
from colourcore.job.run_model import LogRecord, PourRecord, SurroundingsRecord, TimesRecord
from colourcore.run.conditions import Conditions, Pour, Room, Strength
from colourcore.run.log import Entry
from colourcore.run.night import Wish
from colourcore.run.run_wish import RunWish
from colourcore.run.schedule import Quiet, local_time

__all__ = ["log_of", "run_wish_of"]


def run_wish_of(job: Job, *, now: datetime, zone: tzinfo) -> RunWish:
    """Return what a job says a maker wants and has; `now` and `zone` are the caller's.

    >>> from colourcore.job.run_edits import change_tent
    >>> from datetime import UTC
    >>> wish = run_wish_of(change_tent(Job(), space_m3=1.08).job, now=datetime(2026, 5, 3, tzinfo=UTC), zone=UTC)
    >>> wish.tent.space_m3, wish.room
    (1.08, None)
    """
    run = job.run
    strength = None
    if run.strength_low is not None and run.strength_high is not None:
        strength = Strength(low=run.strength_low, high=run.strength_high)
    room = None
    if run.room.space_m3 is not None and run.room.air_changes_per_hour is not None:
        room = Room(
            space_m3=run.room.space_m3,
            air_changes_per_hour=run.room.air_changes_per_hour,
            mixing=run.room.mixing,
            limit_ppm=run.room.limit_ppm,
        )
    test = _surroundings(run.test)
    return RunWish(
        tent=_surroundings(run.tent),
        strength=strength,
        stated_litres=run.stated_litres,
        renewals=run.renewals_hours,
        test=test if test is not None and test.pours else None,
        room=room,
        staggered=run.staggered,
        check_piece=run.check_piece,
        when=_wish(run.times, now.astimezone(zone), zone),
    )


def _surroundings(record: SurroundingsRecord) -> Conditions | None:
    if record.space_m3 is None:
        return None
    return Conditions(
        space_m3=record.space_m3,
        temperature_c=record.temperature_c,
        pours=tuple(_pour(pour) for pour in record.pours),
        dish_area_m2=record.dish_area_m2,
        wood_m3=record.wood_m3,
        wood_area_m2=record.wood_area_m2,
        sealed=record.sealed,
        openings_hours=record.openings_hours,
    )


def _pour(record: PourRecord) -> Pour:
    strength = Strength(low=record.strength_low, high=record.strength_high)
    return Pour(volume_litres=record.litres, strength=strength, at_hours=record.at_hours)


def _wish(times: TimesRecord, now: datetime, zone: tzinfo) -> Wish:
    quiet = None
    if (times.quiet_begins and times.quiet_ends) or times.days_off:
        quiet = Quiet(
            begins=_clock(times.quiet_begins or "00:00"),
            ends=_clock(times.quiet_ends or "00:00"),
            days_off=frozenset(times.days_off),
        )
    start = _moment(times.start, zone) if times.start else None
    by = _moment(times.start_by, zone) if times.start_by else None
    return Wish(now=now, start=start, start_by=by, quiet=quiet)


def _clock(text: str) -> time:
    try:
        return time.fromisoformat(text)
    except ValueError:
        raise InputError(f"expected a clock time such as 22:00, got {text}") from None


def _moment(text: str, zone: tzinfo) -> datetime:
    try:
        moment = datetime.fromisoformat(text)
    except ValueError:
        raise InputError(f"expected a moment such as 2026-05-03T21:30+02:00, got {text}") from None
    return local_time(moment, zone)


def log_of(job: Job, zone: tzinfo) -> tuple[Entry, ...]:
    """Return the log of a job's run, as it was noted; `run.log.checked_log` says what is wrong with it."""
    return tuple(_entry(record, zone) for record in job.run.log)


def _entry(record: LogRecord, zone: tzinfo) -> Entry:
    return Entry(
        kind=record.kind,
        at=_moment(record.at, zone),
        pour=None if record.pour is None else _pour(record.pour),
        temperature_c=record.temperature_c,
        ppm=record.ppm,
        note=record.note,
    )
