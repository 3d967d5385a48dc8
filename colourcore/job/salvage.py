"""What can still be read of a damaged job file, and what was lost, by name."""

from __future__ import annotations

import contextlib
import sqlite3
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from colourcore.errors import InputError
from colourcore.job.database import DamagedError
from colourcore.job.history import History, Step
from colourcore.job.model import Job
from colourcore.job.states import (
    MOST_STATES,
    Place,
    job_of,
    photo_row,
    read_acts,
    read_job,
    read_place,
    read_text,
    read_texts,
)

__all__ = ["Salvage", "missing_photos", "salvage", "told_in_short"]

_BLANK_STATES: Final = 200  # numbers tried behind the last state that could be found
_NAMED: Final = 5

Acts = dict[int, tuple[int | None, str, str]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Salvage:
    """What could be read.

    Attributes
    ----------
    job
        The state that stands: the one the user left, or the nearest before it that can be read.
    history
        The acts that lead to it and on from it, as far as they can be read; each state by its number.
    place
        Where the user stood in it.
    acts
        Parent, time and name of every state by its number, those that cannot be read included (without name).
    states
        The numbers of all states that can be read, rising.
    losses
        One sentence, without file name or stop, for each kind of thing that was lost.
    """

    job: Job
    history: History[int]
    place: Place
    acts: Acts
    states: tuple[int, ...]
    losses: tuple[str, ...]


def salvage(connection: sqlite3.Connection, file: str, *, thorough: bool = False) -> Salvage:
    """Return what can be read of a damaged job. DamagedError where no state at all can be read.

    Every state is held against its checksum; with `thorough` each is read to the end as well, which takes longer.
    """
    losses: list[str] = []
    place = _place(connection)
    acts = _acts(connection)
    if place is not None and 0 < place.tip - max(acts, default=0) < _BLANK_STATES:
        _fill(acts, place.tip + 1)
    readable = _readable(connection, acts, thorough=thorough)
    history, job, stands = _nearest(connection, acts, readable, place, file)
    if place is None:
        losses.append("the place in the line of acts was lost: the last state that can be read is shown")
    lost = sorted(set(acts) - set(readable))
    if lost:
        names = [f"“{acts[number][2]}”" if acts[number][2] else f"the act of state {number}" for number in lost]
        losses.append(f"{_count(len(lost), 'act')} could not be read: {told_in_short(names)}")
    if history.state != stands.current and lost:
        losses.append(f"the state that was left cannot be read: the one after “{acts[history.state][2]}” is shown")
    losses += missing_photos(connection, job)
    return Salvage(job=job, history=history, place=stands, acts=acts, states=tuple(readable), losses=tuple(losses))


def _nearest(
    connection: sqlite3.Connection, acts: Acts, readable: list[int], place: Place | None, file: str
) -> tuple[History[int], Job, Place]:
    """Return the line, job and place of the state nearest to where the user stood; what says no job is not readable."""
    while readable:
        stands = place or Place(current=readable[-1], tip=readable[-1], turn=0, at="")
        history = _line(acts, readable, stands)
        try:
            return history, read_job(connection, history.state), stands
        except (sqlite3.Error, DamagedError):
            readable.remove(history.state)
    raise DamagedError("expected at least one state of the job that can be read, got none", file=file)


def missing_photos(connection: sqlite3.Connection, job: Job) -> list[str]:
    """Return a sentence about photos of the job whose bytes are not in the file; nothing where all are there."""
    lost = [photo.name for photo in job.photos if not _holds(connection, photo.sha256)]
    return [f"{_count(len(lost), 'photo')} cannot be found: {told_in_short(lost)}"] if lost else []


def told_in_short(names: Iterable[str]) -> str:
    """Return a list of names, the first few of many.

    >>> told_in_short(["a", "b", "c", "d", "e", "f", "g"])
    'a, b, c, d, e and 2 more'
    """
    listed = list(names)
    more = len(listed) - _NAMED
    return ", ".join(listed[:_NAMED]) + (f" and {more} more" if more > 0 else "")


def _count(number: int, what: str) -> str:
    return f"{number} {what}" if number == 1 else f"{number} {what}s"


def _holds(connection: sqlite3.Connection, sha256: str) -> bool:
    try:
        photo_row(connection, sha256)
    except (sqlite3.Error, DamagedError):
        return False
    return True


def _place(connection: sqlite3.Connection) -> Place | None:
    try:
        return read_place(connection)
    except (sqlite3.Error, DamagedError):
        return None


def _acts(connection: sqlite3.Connection) -> Acts:
    """Return the acts, asked for one by one where they cannot be read at one go; unreadable ones without name."""
    try:
        return read_acts(connection)
    except (sqlite3.Error, DamagedError):
        pass
    found: Acts = {}
    number, blanks = 0, 0
    while blanks < _BLANK_STATES and number < MOST_STATES:
        number += 1
        row = _act(connection, number)
        blanks = blanks + 1 if row is None else 0
        if row is not None:
            _fill(found, number)
            found[number] = row
    return found


def _fill(acts: Acts, end: int) -> None:
    """Note the states between the last one found and `end` as acts without a name, each after the one before it."""
    for blank in range(max(acts, default=0) + 1, end):
        acts[blank] = (blank - 1 or None, "", "")


def _act(connection: sqlite3.Connection, number: int) -> tuple[int | None, str, str] | None:
    try:
        row = connection.execute("SELECT parent, at, act FROM states WHERE id = ?", (number,)).fetchone()
    except (sqlite3.Error, UnicodeDecodeError):
        return None
    if row is None or not isinstance(row[0], int | None) or not all(isinstance(text, str) for text in row[1:]):
        return None
    parent, at, act = row
    return (parent if parent is None or 0 < parent < number else None, at, act)


def _readable(connection: sqlite3.Connection, acts: Acts, *, thorough: bool) -> list[int]:
    """Return the states that can be read: all in one sweep, from where that breaks off on one by one."""
    good: list[int] = []
    last = 0
    with contextlib.suppress(sqlite3.Error, UnicodeDecodeError):
        for number, text in read_texts(connection):
            if number not in acts or number <= last:
                break
            last = number
            if isinstance(text, str) and (not thorough or _says_a_job(text, number)):
                good.append(number)
    for number in sorted(rest for rest in acts if rest > last):
        with contextlib.suppress(sqlite3.Error, InputError, UnicodeDecodeError):
            text = read_text(connection, number)
            if not thorough or _says_a_job(text, number):
                good.append(number)
    return good


def _says_a_job(text: str, number: int) -> bool:
    try:
        job_of(text, number)
    except DamagedError:
        return False
    return True


def _line(acts: Acts, readable: list[int], place: Place) -> History[int]:
    """Return the line of acts through the place, over states that can be read; where it breaks, by their numbers."""
    good = set(readable)
    line: list[int] = []
    number: int | None = place.tip if place.tip in acts else readable[-1]
    while number is not None:
        if number in good:
            line.append(number)
        parent = acts[number][0]
        number = parent if parent in acts else None
    line = line[::-1] or [readable[-1]]
    before = [index for index, state in enumerate(line) if state <= place.current]
    steps = tuple(Step(name=acts[state][2], state=state, at=acts[state][1]) for state in line)
    return History(steps=steps, position=before[-1] if before else 0)
