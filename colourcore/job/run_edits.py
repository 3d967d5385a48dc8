"""Every way in which the run of a job can be changed: pure functions from a job to an `Edit`, as in `edits`."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from typing import Any, Final

from colourcore.errors import InputError
from colourcore.job.acts import Edit, edited
from colourcore.job.model import Job
from colourcore.job.run_model import LogRecord, LookRecord, OutcomeRecord
from colourcore.run.happening import Happening

__all__ = [
    "add_look",
    "add_to_log",
    "change_room",
    "change_run",
    "change_tent",
    "change_test",
    "change_times",
    "remove_look",
    "set_outcome",
    "take_from_log",
]

_WORDS: Final = {
    Happening.POURED: "pouring",
    Happening.WARMTH: "reading of the thermometer",
    Happening.LOOKED: "look",
    Happening.OPENED: "opening of the tent",
    Happening.BROKEN_OFF: "break of the run",
    Happening.TAKEN_OUT: "taking the piece out",
    Happening.GAS_READING: "gas reading",
}


def change_run(job: Job, act: str = "charge of the run", **said: Any) -> Edit:
    """Say something of the run as a whole: strength, charge, renewals, whether parts go in one after the other.

    >>> change_run(Job(), stated_litres=0.11).job.run.stated_litres
    0.11
    """
    return edited(act, job, run=replace(job.run, **said))


def change_tent(job: Job, **said: Any) -> Edit:
    """Say something of the run's tent.

    >>> edit = change_tent(Job(), space_m3=1.08)
    >>> edit.name, edit.job.run.tent.space_m3
    ('tent of the run', 1.08)
    """
    return change_run(job, "tent of the run", tent=replace(job.run.tent, **said))


def change_test(job: Job, **said: Any) -> Edit:
    """Say something of the samples' own test."""
    return change_run(job, "test of the samples", test=replace(job.run.test, **said))


def change_room(job: Job, **said: Any) -> Edit:
    """Say something of the room around the tent."""
    return change_run(job, "room around the tent", room=replace(job.run.room, **said))


def change_times(job: Job, **said: Any) -> Edit:
    """Say something of when the maker can be there."""
    return change_run(job, "clock times of the run", times=replace(job.run.times, **said))


def add_to_log(job: Job, record: LogRecord) -> Edit:
    """Note something that happened. InputError for a moment that is none.

    >>> add_to_log(Job(), LogRecord(kind=Happening.OPENED, at="2026-05-03T21:30+02:00")).name
    'opening of the tent'
    """
    _moment(record.at)
    return change_run(job, _WORDS[record.kind], log=(*job.run.log, record))


def take_from_log(job: Job, number: int) -> Edit:
    """Take the entry of that place, from 0, out of the log; IndexError where there is none."""
    record = job.run.log[number]
    rest = tuple(one for place, one in enumerate(job.run.log) if place != number)
    return change_run(job, f"{_WORDS[record.kind]} taken out of the log", log=rest)


def add_look(job: Job, look: LookRecord) -> Edit:
    """Note a look. InputError for a moment that is none; KeyError for a patch that the job does not hold."""
    _moment(look.at)
    for identity in (look.identity, look.target_identity):
        if identity is not None:
            job.patch(identity)
    if look.identity is None and look.lab is None:
        raise InputError("expected a look with a patch or with numbers, got neither")
    return change_run(job, "look at the piece", looks=(*job.run.looks, look))


def remove_look(job: Job, number: int) -> Edit:
    """Take the look of that place, from 0, out; IndexError where there is none."""
    looks = list(job.run.looks)
    del looks[number]
    return change_run(job, "look taken out", looks=tuple(looks))


def set_outcome(job: Job, outcome: OutcomeRecord | None) -> Edit:
    """Note how the piece came out, or take that back. InputError for a moment that is none."""
    if outcome is not None:
        _moment(outcome.at)
    return change_run(job, "outcome of the run", outcome=outcome)


def _moment(text: str) -> datetime:
    try:
        moment = datetime.fromisoformat(text)
    except ValueError:
        raise InputError(f"expected a moment such as 2026-05-03T21:30+02:00, got {text or 'nothing'}") from None
    if moment.tzinfo is None:
        raise InputError(f"expected a moment with its offset, such as 2026-05-03T21:30+02:00, got {text}")
    return moment
