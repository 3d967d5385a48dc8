"""The log of a run: what happened when, the hours of exposure that follow, and what a photo's own clock says.

Moments are aware `datetime`s, so that summer time changes nothing between them. Nothing here reads a clock.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta, tzinfo
from typing import Final

from colourcore.curve.look import AfterLooks
from colourcore.errors import InputError
from colourcore.run.conditions import Conditions, Pour, Warmth
from colourcore.run.happening import Happening
from colourcore.run.schedule import absolute, day_and_clock, local_time

__all__ = [
    "Entry",
    "PhotoMoment",
    "StillNeeded",
    "checked_log",
    "exposure_hours",
    "hours_still_needed",
    "logged_conditions",
    "photo_moment",
    "started_at",
]

_CLOCK_SLACK: Final = timedelta(minutes=5)  # two clocks in one shop


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One thing that happened.

    Attributes
    ----------
    kind, at
        What, and when (aware).
    pour
        What was poured; its `at_hours` is not used, the clock says it. The first pour begins the run; one after a
        break begins it again.
    temperature_c
        Of a thermometer's reading.
    ppm
        Of a gas reading in the room.
    note
        The maker's own words.
    """

    kind: Happening
    at: datetime
    pour: Pour | None = None
    temperature_c: float | None = None
    ppm: float | None = None
    note: str = ""


def _spoken(moment: datetime) -> str:
    return day_and_clock(moment)


def started_at(log: Sequence[Entry]) -> datetime | None:
    """Return when the first liquid was poured, None before that."""
    return min((entry.at for entry in log if entry.kind is Happening.POURED), key=absolute, default=None)


def checked_log(log: Sequence[Entry], now: datetime) -> tuple[Entry, ...]:
    """Return the log in order of time.

    Raises InputError for moments without a zone, anything before the first pour but a thermometer's reading, anything
    after the end but gas readings, what lies ahead of the clock, and entries without what they are about.
    """
    for entry in log:
        if entry.at.tzinfo is None:
            raise InputError("expected moments with their time zone")
        if absolute(entry.at) > absolute(now) + _CLOCK_SLACK:
            raise InputError(f"expected a moment before {_spoken(now)}, got {_spoken(entry.at)}, which lies ahead")
        if _is_empty(entry):
            raise InputError(f"expected what the entry of {_spoken(entry.at)} ({entry.kind}) is about, got nothing")
    ordered = tuple(sorted(log, key=lambda entry: absolute(entry.at)))
    start = started_at(ordered)
    out = next((entry.at for entry in ordered if entry.kind is Happening.TAKEN_OUT), None)
    for entry in ordered:
        early = entry.kind not in (Happening.WARMTH, Happening.POURED)
        if early and (start is None or absolute(entry.at) < absolute(start)):
            begun = "nothing was poured" if start is None else f"the run began on {_spoken(start)}"
            raise InputError(f"expected nothing before the start, got “{entry.kind}” of {_spoken(entry.at)}: {begun}")
        over = out is not None and absolute(entry.at) > absolute(out)
        if out is not None and over and entry.kind not in (Happening.GAS_READING, Happening.WARMTH):
            raise InputError(f"expected nothing after the piece came out on {_spoken(out)}, got {_spoken(entry.at)}")
    return ordered


def _is_empty(entry: Entry) -> bool:
    needed: object = entry.kind
    match entry.kind:
        case Happening.POURED:
            needed = entry.pour
        case Happening.WARMTH:
            needed = entry.temperature_c
        case Happening.GAS_READING:
            needed = entry.ppm
    return needed is None


def exposure_hours(log: Sequence[Entry], at: datetime) -> float:
    """Return the hours in the vapour up to a moment: from each pour that begins to the break or the end after it.

    0 before the first pour. The log is one of `checked_log`. What is left of the gas after a break counts as nothing.
    """
    total, since = timedelta(), None
    for entry in log:
        then = absolute(entry.at)
        if then > absolute(at):
            break
        if entry.kind is Happening.POURED and since is None:
            since = then
        elif entry.kind in (Happening.BROKEN_OFF, Happening.TAKEN_OUT) and since is not None:
            total, since = total + (then - since), None
    if since is not None:
        total += absolute(at) - since
    return total / timedelta(hours=1)


def logged_conditions(log: Sequence[Entry], planned: Conditions) -> Conditions:
    """Return the run's conditions as they were: pours since the last airing, warmth, openings; hours of exposure.

    A break airs the tent: what was poured before it no longer counts.
    """
    breaks = [place for place, entry in enumerate(log) if entry.kind is Happening.BROKEN_OFF]
    kept = log[breaks[-1] + 1 :] if breaks else log
    pours = tuple(
        replace(entry.pour, at_hours=exposure_hours(log, entry.at)) for entry in kept if entry.pour is not None
    )
    warmths = tuple(
        Warmth(at_hours=exposure_hours(log, entry.at), temperature_c=entry.temperature_c)
        for entry in kept
        if entry.temperature_c is not None
    )
    openings = tuple(exposure_hours(log, entry.at) for entry in kept if entry.kind is Happening.OPENED)
    return replace(planned, pours=pours or planned.pours, warmths=warmths or planned.warmths, openings_hours=openings)


@dataclass(frozen=True, slots=True, kw_only=True)
class StillNeeded:
    """Hours that are still needed after a break: with a fresh charge like the first, from the reading of the piece.

    `look` and `due` count from the new pour; None where the odds do not get there.
    """

    look: float | None
    due: float | None
    sentence: str


def hours_still_needed(after: AfterLooks, exposed_hours: float) -> StillNeeded:
    """Return what is still needed after a break, from the odds after looks and the exposure so far.

    A fresh charge is taken to go on where the last one stopped; wood that has aired may start slowly, and the sentence
    says that nobody knows.
    """
    look, due = (None if hours is None else max(0.0, hours - exposed_hours) for hours in (after.look_from, after.due))
    unsure = "With a fresh charge like the first. How wood that has aired sets in again nobody knows: look early."
    if due is None:
        return StillNeeded(look=look, due=None, sentence=f"No odds say when it is due. {unsure}")
    if due == 0:
        return StillNeeded(look=0.0, due=0.0, sentence="Nothing more is needed: by the last look it is due.")
    return StillNeeded(
        look=look, due=due, sentence=f"Still needed after the break: {_hours(due)} by the last look. {unsure}"
    )


def _hours(hours: float) -> str:
    full, minutes = divmod(5 * int(hours * 12 + 1e-6), 60)
    return f"{full} h {minutes:02d}" if full and minutes else f"{full} h" if full else f"{minutes} min"


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoMoment:
    """When a photo was taken by its own clock, with what had to be taken for granted; the note may be empty."""

    at: datetime
    note: str = ""


def photo_moment(taken: datetime, zone: tzinfo, *, start: datetime, now: datetime) -> PhotoMoment:
    """Return the moment of a photo's own clock (a wall clock without a zone, or aware).

    A wall clock in the hour that comes twice in autumn is taken for the one that lies in the run; one in the hour that
    is jumped over in spring for a camera not yet put forward. Raises InputError for a photo before the start or ahead
    of the clock: a camera set wrong, by how much at least is said.
    """
    begun, latest = absolute(start), absolute(now) + _CLOCK_SLACK
    at, note = (taken.astimezone(zone), "") if taken.tzinfo is not None else _wall_moment(taken, zone, begun, latest)
    if absolute(at) < begun - _CLOCK_SLACK:
        by = _hours((begun - absolute(at)) / timedelta(hours=1))
        raise InputError(
            f"expected a look after the start on {_spoken(start)}, got a photo of {_spoken(at)}, {by} before it: set "
            "the camera’s clock, or say the time by hand"
        )
    if absolute(at) > latest:
        by = _hours((absolute(at) - absolute(now)) / timedelta(hours=1))
        raise InputError(
            f"expected a look before {_spoken(now)}, got a photo of {_spoken(at)}, {by} ahead: set the camera’s clock, "
            "or say the time by hand"
        )
    return PhotoMoment(at=max(at, start, key=absolute), note=note)


def _wall_moment(taken: datetime, zone: tzinfo, begun: datetime, latest: datetime) -> tuple[datetime, str]:
    """Return the moment of a wall clock and what had to be taken for granted; bounds under UTC."""
    both = [taken.replace(tzinfo=zone, fold=fold) for fold in (0, 1)]
    try:
        local_time(taken, zone)
    except InputError:
        moved = absolute(both[0]).astimezone(zone)
        return moved, "The camera’s clock has not been put forward; its time was taken for winter time."
    if both[0].utcoffset() == both[1].utcoffset():
        return both[0], ""
    fits = [one for one in both if begun <= absolute(one) <= latest]
    later = "; the later one was taken" if len(fits) == 2 else ""
    return (fits[-1] if fits else both[0]), f"That hour came twice{later}."
