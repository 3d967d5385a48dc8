"""When to pour so that no step falls into the night; and if that cannot be, the nearest thing that can be done."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from colourcore.errors import InputError
from colourcore.run.schedule import NOT_BEFORE, Quiet, RunHours, Step, StepKind, absolute, day_and_clock, steps_from

__all__ = ["Schedule", "Wish", "make_schedule", "step_word"]

_GRID: Final = timedelta(minutes=5)
_AHEAD: Final = timedelta(days=7)  # how far a better start is looked for

_STEP_WORDS: Final = {
    StepKind.SET_UP: "setting up",
    StepKind.DRESS: "dressing",
    StepKind.POUR: "pouring",
    StepKind.RENEW: "the renewal",
    StepKind.PART_IN: "a part going in",
    StepKind.LOOK: "the look",
    StepKind.PART_OUT: "a part coming out",
    StepKind.DUE: "due",
    StepKind.LATEST: "the latest hour",
    StepKind.AIRED: "the end of airing",
    StepKind.FINISH: "the finish",
}


def step_word(kind: StepKind) -> str:
    """Return how a step is spoken of inside a sentence."""
    return _STEP_WORDS[kind]


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """When a maker can be there.

    Attributes
    ----------
    now
        The caller's clock, aware, in the maker's zone.
    start
        When to pour; None where any time from now on will do.
    start_by
        The latest moment to pour, when `start` is None; None within the next seven days.
    quiet
        When no step may fall.
    """

    now: datetime
    start: datetime | None = None
    start_by: datetime | None = None
    quiet: Quiet | None = None

    def __post_init__(self) -> None:
        for moment in (self.now, self.start, self.start_by):
            if moment is not None and moment.tzinfo is None:
                raise InputError("expected times with their time zone")


@dataclass(frozen=True, slots=True, kw_only=True)
class Schedule:
    """Clock times, or the nearest thing that can be done.

    Attributes
    ----------
    steps
        In order of time; where the wish cannot be met, those of the nearest thing.
    met
        Whether they are as wished.
    sentence
        What cannot be met and what the steps are instead; empty where all is met.
    """

    steps: tuple[Step, ...]
    met: bool
    sentence: str = ""

    @property
    def start(self) -> datetime:
        """When to pour."""
        return self.at(StepKind.POUR)

    def at(self, kind: StepKind) -> datetime:
        """Return the first moment of a kind of step; KeyError where there is none."""
        for step in self.steps:
            if step.kind is kind:
                return step.at
        raise KeyError(kind)


def _on_grid(moment: datetime) -> datetime:
    """Return the next full five minutes of the clock."""
    late = timedelta(minutes=moment.minute % 5, seconds=moment.second, microseconds=moment.microsecond)
    return moment if not late else (absolute(moment) + _GRID - late).astimezone(moment.tzinfo)


def _in_the_night(steps: tuple[Step, ...], quiet: Quiet | None) -> list[Step]:
    if quiet is None:
        return []
    return [step for step in steps if step.kind not in NOT_BEFORE and quiet.covers(step.at)]


def make_schedule(hours: RunHours, wish: Wish) -> Schedule:
    """Return the earliest schedule as wished, or the nearest thing that can be done with a sentence that says so.

    The first step is never in the past: pouring is at the earliest after setting up. With `start` the hour of pouring
    is the maker's own, and the sentence tells what falls into the night and what start would spare it.
    """
    if wish.start is not None:
        return _at_stated_start(hours, wish, wish.start)
    first = _on_grid(_ready(wish.now))
    last = (absolute(first) + _AHEAD).astimezone(first.tzinfo)
    if wish.start_by is not None and absolute(wish.start_by) < absolute(first):
        found = _first_quiet(hours, wish.quiet, first, last)
        said = f"{day_and_clock(wish.start_by)} is too soon: setting up takes until {day_and_clock(first)}."
        return _instead(hours, wish.quiet, found, first, said)
    by = last if wish.start_by is None else wish.start_by
    found = _first_quiet(hours, wish.quiet, first, by)
    if found is not None:
        return Schedule(steps=steps_from(found, hours, wish.quiet), met=True)
    said = f"No start until {day_and_clock(by)} keeps every step out of the quiet hours."
    return _instead(hours, wish.quiet, _first_quiet(hours, wish.quiet, by, last), first, said, until=by)


def _ready(now: datetime) -> datetime:
    probe = steps_from(now, RunHours(look=1.0, due=1.0))
    return (absolute(now) + (absolute(now) - absolute(probe[0].at))).astimezone(now.tzinfo)


def _nights(hours: RunHours, quiet: Quiet | None, first: datetime, last: datetime) -> list[int]:
    """Return how many steps fall into the night for each start on the grid, from `first` to `last`."""
    starts = max(0, int((absolute(last) - absolute(first)) / _GRID) + 1)
    if quiet is None:
        return [0] * starts
    offsets = [round(step.hours * 12) for step in steps_from(first, hours) if step.kind not in NOT_BEFORE]
    lowest, highest = min(offsets), max(offsets)
    covered = [quiet.covers(_slot(first, n)) for n in range(lowest, starts + highest)]
    return [sum(covered[start + offset - lowest] for offset in offsets) for start in range(starts)]


def _slot(first: datetime, number: int) -> datetime:
    return (absolute(first) + number * _GRID).astimezone(first.tzinfo)


def _first_quiet(hours: RunHours, quiet: Quiet | None, first: datetime, last: datetime) -> datetime | None:
    nights = _nights(hours, quiet, first, last)
    return _slot(first, nights.index(0)) if 0 in nights else None


def _instead(
    hours: RunHours,
    quiet: Quiet | None,
    found: datetime | None,
    first: datetime,
    said: str,
    until: datetime | None = None,
) -> Schedule:
    if found is not None:
        steps = steps_from(found, hours, quiet)
        return Schedule(steps=steps, met=False, sentence=f"{said} Pouring on {day_and_clock(found)} does.")
    last = until or (absolute(first) + timedelta(days=1)).astimezone(first.tzinfo)
    nights = _nights(hours, quiet, first, last)
    best = _slot(first, nights.index(min(nights)))
    steps = steps_from(best, hours, quiet)
    fewest = _named(_in_the_night(steps, quiet))
    nearest = f"The nearest thing: pour on {day_and_clock(best)}; {fewest} in the quiet hours."
    sentence = f"{said} None within a week spares them all. {nearest}"
    return Schedule(steps=steps, met=False, sentence=sentence)


def _named(steps: list[Step]) -> str:
    said = [f"{_STEP_WORDS[step.kind]} ({day_and_clock(step.at, ' ')})" for step in steps]
    words = said[0] if len(said) == 1 else ", ".join(said[:-1]) + f" and {said[-1]}"
    return f"{words} {'falls' if len(said) == 1 else 'fall'}"


def _at_stated_start(hours: RunHours, wish: Wish, start: datetime) -> Schedule:
    ready = _ready(wish.now)
    if absolute(start) < absolute(ready):
        earliest = _on_grid(ready)
        steps = steps_from(earliest, hours, wish.quiet)
        sentence = f"Pouring on {day_and_clock(start)} cannot be met: setting up takes until {day_and_clock(earliest)}."
        return Schedule(steps=steps, met=False, sentence=f"{sentence} These are the times from then on.")
    steps = steps_from(start, hours, wish.quiet)
    night = _in_the_night(steps, wish.quiet)
    if not night:
        return Schedule(steps=steps, met=True)
    first = _on_grid(ready)
    other = _first_quiet(hours, wish.quiet, first, (absolute(first) + _AHEAD).astimezone(first.tzinfo))
    offer = (
        "No start within a week spares all of it." if other is None else f"Pouring on {day_and_clock(other)} spares it."
    )
    return Schedule(steps=steps, met=False, sentence=f"{_named(night).capitalize()} in the quiet hours. {offer}")
