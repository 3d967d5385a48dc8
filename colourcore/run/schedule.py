"""Clock times of a run: set-up, pouring, looks, due and latest, parts in and out, airing. Nights are respected.

Hours run in absolute time, so a night in which the clocks are put forward or back shifts nothing. Every moment is an
aware `datetime` in the maker's own zone, which the caller brings; nothing here reads a clock.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta, tzinfo
from enum import StrEnum
from typing import Final

from colourcore.errors import InputError

__all__ = [
    "AIRING_DAYS",
    "DRESS_MINUTES",
    "NOT_BEFORE",
    "SET_UP_MINUTES",
    "Part",
    "Quiet",
    "RunHours",
    "Step",
    "StepKind",
    "absolute",
    "day_and_clock",
    "five_minutes_down",
    "local_time",
    "steps_from",
]

SET_UP_MINUTES: Final = 45
"""Minutes before pouring at which setting up begins."""

DRESS_MINUTES: Final = 15
"""Minutes before pouring at which to dress."""

AIRING_DAYS: Final = 2
"""Days in moving air before a finish goes on: common practice, no source."""

_GRID: Final = timedelta(minutes=5)


_WEEKDAYS: Final = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


class StepKind(StrEnum):
    """What is done at a clock time."""

    SET_UP = "set_up"
    DRESS = "dress"
    POUR = "pour"
    RENEW = "renew"
    PART_IN = "part_in"
    LOOK = "look"
    PART_OUT = "part_out"
    DUE = "due"
    LATEST = "latest"
    AIRED = "aired"
    FINISH = "finish"


NOT_BEFORE: Final = frozenset({StepKind.AIRED, StepKind.FINISH})
"""Steps that may wait: their time is a least one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Quiet:
    """Hours of the day in which no step may fall, past midnight where `begins` is later than `ends`; days off too.

    `days_off` are weekdays, 0 for Monday to 6 for Sunday. The end itself is no longer quiet.

    >>> night = Quiet(begins=time(22), ends=time(7))
    >>> [night.covers(datetime(2026, 5, 3, hour)) for hour in (21, 22, 6, 7)]
    [False, True, True, False]
    """

    begins: time
    ends: time
    days_off: frozenset[int] = frozenset()

    def __post_init__(self) -> None:
        if not all(0 <= day <= 6 for day in self.days_off) or len(self.days_off) == 7:
            raise InputError("expected days off from 0 (Monday) to 6 (Sunday), and at least one working day")

    def covers(self, moment: datetime) -> bool:
        """Tell whether a local moment is quiet."""
        clock = moment.time()
        if moment.weekday() in self.days_off:
            return True
        if self.begins <= self.ends:
            return self.begins <= clock < self.ends
        return clock >= self.begins or clock < self.ends

    def after(self, moment: datetime) -> datetime:
        """Return the first moment from this one on that is not quiet, on the grid of five minutes."""
        for _ in range(14 * 24 * 12):
            if not self.covers(moment):
                return moment
            moment = _later(moment, _GRID)
        raise InputError("expected quiet hours that leave some of the day, got the whole of it")


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """A part of the piece: when it goes in and when it is due out, in hours since pouring."""

    name: str
    in_hours: float
    out_hours: float


@dataclass(frozen=True, slots=True, kw_only=True)
class RunHours:
    """What a run takes, in hours of exposure since pouring.

    Attributes
    ----------
    look
        When to look first.
    due
        When the piece is due out, and is looked at again.
    latest
        When it comes out whatever is thought of it; None where nobody knows.
    renewals
        When fresh liquid goes in.
    parts
        Parts that go in later or come out earlier than the rest.
    airing
        Least hours of airing, from the opening on; None where the room is not known.
    """

    look: float
    due: float
    latest: float | None = None
    renewals: tuple[float, ...] = ()
    parts: tuple[Part, ...] = ()
    airing: float | None = None

    def __post_init__(self) -> None:
        if not 0 < self.look <= self.due:
            raise InputError(f"expected a look after more than 0 hours and not after {self.due:g}, got {self.look:g}")
        if self.latest is not None and self.latest < self.due:
            raise InputError(f"expected a latest hour not before {self.due:g}, got {self.latest:g}")
        if any(not 0 < hours < self.due for hours in self.renewals):
            raise InputError(f"expected renewals between 0 and {self.due:g} hours")
        if any(not 0 <= part.in_hours < part.out_hours for part in self.parts):
            raise InputError("expected every part to go in before it comes out")


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One step at its clock time; `hours` since pouring, negative before it; `part` names a part, empty for all."""

    kind: StepKind
    at: datetime
    hours: float
    part: str = ""


def absolute(moment: datetime) -> datetime:
    """Return an aware moment under UTC. Between moments of one zone Python counts by the wall clock: count by these."""
    return moment.astimezone(UTC)


def _later(moment: datetime, by: timedelta) -> datetime:
    """Return the local moment so much later in absolute time."""
    return (absolute(moment) + by).astimezone(moment.tzinfo)


def day_and_clock(moment: datetime, joint: str = " at ") -> str:
    """Return a weekday and a clock time, the same in every language setting.

    >>> day_and_clock(datetime(2026, 5, 3, 21, 30))
    'Sunday at 21:30'
    """
    return f"{_WEEKDAYS[moment.weekday()]}{joint}{moment.hour:02d}:{moment.minute:02d}"


def five_minutes_down(hours: float) -> timedelta:
    """Return hours as a span of time, rounded down to five minutes: too late is for good.

    >>> five_minutes_down(7.99)
    datetime.timedelta(seconds=28500)
    """
    return int(hours * 12 + 1e-6) * _GRID


def local_time(wall: datetime, zone: tzinfo) -> datetime:
    """Return a wall clock's time as an aware moment of a zone; of an hour that comes twice, the first.

    Raises InputError for a time that the clocks jump over in spring, with the one that comes instead. A time that
    carries a zone of its own is brought into this one.
    """
    if wall.tzinfo is not None:
        return wall.astimezone(zone)
    moment = wall.replace(tzinfo=zone, fold=0)
    back = absolute(moment).astimezone(zone)
    if back.replace(tzinfo=None) != wall:
        raise InputError(
            f"expected a time that there is, got {wall:%H:%M} on {wall:%Y-%m-%d}: the clocks jump over it; "
            f"{back:%H:%M} comes instead"
        )
    return moment


def steps_from(start: datetime, hours: RunHours, quiet: Quiet | None = None) -> tuple[Step, ...]:
    """Return every step of a run that is poured at `start`, in order of time.

    Steps that may wait (the end of airing, the finish) move on to the end of quiet hours; all others stand where the
    hours put them. Raises InputError for a start without a zone.
    """
    if start.tzinfo is None:
        raise InputError("expected a start with its time zone")

    def step(kind: StepKind, after: timedelta, part: str = "") -> Step:
        return Step(kind=kind, at=_later(start, after), hours=after / timedelta(hours=1), part=part)

    steps = [
        step(StepKind.SET_UP, -timedelta(minutes=SET_UP_MINUTES)),
        step(StepKind.DRESS, -timedelta(minutes=DRESS_MINUTES)),
        step(StepKind.POUR, timedelta()),
        *(step(StepKind.RENEW, five_minutes_down(renewal)) for renewal in hours.renewals),
        *(step(StepKind.PART_IN, five_minutes_down(part.in_hours), part.name) for part in hours.parts if part.in_hours),
        step(StepKind.LOOK, five_minutes_down(hours.look)),
        *(
            step(StepKind.PART_OUT, five_minutes_down(part.out_hours), part.name)
            for part in hours.parts
            if part.out_hours < hours.due
        ),
        step(StepKind.DUE, five_minutes_down(hours.due)),
    ]
    if hours.latest is not None:
        steps.append(step(StepKind.LATEST, five_minutes_down(hours.latest)))
    order = list(StepKind)
    steps.sort(key=lambda one: (one.hours, order.index(one.kind)))
    return (*steps, *_afterwards(start, steps[-1], hours, quiet))


def _afterwards(start: datetime, end: Step, hours: RunHours, quiet: Quiet | None) -> list[Step]:
    """Return the steps that may wait. Airing counts from due: where the piece stays longer, all that much later."""
    if hours.airing is None:
        return []
    due = five_minutes_down(hours.due)
    least = max(due + _up(hours.airing), five_minutes_down(end.hours))
    aired = _waiting(_later(start, least), quiet)
    finish = _waiting(_later(aired, timedelta(days=AIRING_DAYS)), quiet)
    return [
        Step(kind=kind, at=at, hours=(absolute(at) - absolute(start)) / timedelta(hours=1))
        for kind, at in ((StepKind.AIRED, aired), (StepKind.FINISH, finish))
    ]


def _up(hours: float) -> timedelta:
    return -(-int(hours * 60 + 0.999999) // 5) * _GRID


def _waiting(moment: datetime, quiet: Quiet | None) -> datetime:
    return moment if quiet is None else quiet.after(moment)
