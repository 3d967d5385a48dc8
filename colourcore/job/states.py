"""The rows of a job file: its states, the line that they form, and its photos.

Every function takes a connection of `colourcore.job.database` and raises what SQLite raises, or DamagedError.
"""

from __future__ import annotations

import contextlib
import hashlib
import re
import sqlite3
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Final

from colourcore.errors import InputError
from colourcore.job.codec import TextError, from_text, to_text
from colourcore.job.database import LARGEST_PHOTO, LARGEST_TEXT, DamagedError, long_values
from colourcore.job.history import History, Step
from colourcore.job.model import Job

__all__ = [
    "MOST_PATCHES",
    "MOST_PHOTOS",
    "MOST_STATES",
    "Place",
    "add_photo",
    "add_state",
    "job_of",
    "photo_bytes",
    "photo_row",
    "photos_held",
    "read_acts",
    "read_job",
    "read_line",
    "read_place",
    "read_text",
    "read_texts",
    "write_place",
]

MOST_STATES: Final = 1_000_000
"""States that a job file may hold."""

MOST_PHOTOS: Final = 1_000
"""Photos that a job may hold."""

MOST_PATCHES: Final = 10_000
"""Patches that a job may hold."""

_MOST_TURNS: Final = 2**53  # changes made to a file, and numbers of states
_STATE: Final = "SELECT id, parent, at, act, sha256, job FROM states"
_LONGEST_NAME: Final = 300  # characters of an act's name
_MARGIN: Final = 4_000  # bytes that the rest of a row may take
_PIECE: Final = 2**20  # bytes of a photo read at a time
_SHA256 = re.compile(r"[0-9a-f]{64}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Where the user stands: the state now, the last state of the line that redo can reach, the count of changes
    made to the file so far, and the time of the last one (ISO 8601)."""

    current: int
    tip: int
    turn: int
    at: str


# states


def _digest(identity: int, parent: int | None, at: str, act: str, job: str) -> str:
    said = "\n".join([str(identity), "" if parent is None else str(parent), at, act, job])
    return hashlib.sha256(said.encode("utf-8")).hexdigest()


def add_state(connection: sqlite3.Connection, *, parent: int | None, at: str, act: str, job: Job) -> int:
    """Write one more state and return its number. InputError where the job has grown beyond what a state can hold."""
    if len(job.photos) > MOST_PHOTOS or len(job.patches) > MOST_PATCHES:
        got = f"{len(job.photos)} photos and {len(job.patches)} patches"
        raise InputError(f"expected a job of up to {MOST_PHOTOS} photos and {MOST_PATCHES} patches, got {got}")
    text = to_text(job)
    size = len(text.encode("utf-8")) + len(act.encode("utf-8"))
    if size > LARGEST_TEXT - _MARGIN:
        raise InputError(f"expected a job of up to {LARGEST_TEXT / 1e6:.0f} MB beside its photos, got a larger one")
    name = act if len(act) <= _LONGEST_NAME else f"{act[: _LONGEST_NAME - 1]}…"
    identity: int = connection.execute("SELECT coalesce(max(id), 0) + 1 FROM states").fetchone()[0]
    digest = _digest(identity, parent, at, name, text)
    connection.execute(
        "INSERT INTO states (id, parent, at, act, sha256, job) VALUES (?, ?, ?, ?, ?, ?)",
        (identity, parent, at, name, digest, text),
    )
    return identity


def read_job(connection: sqlite3.Connection, identity: int) -> Job:
    """Return the job of one state. DamagedError where the row is not there or not as it was written."""
    return job_of(read_text(connection, identity), identity)


def read_text(connection: sqlite3.Connection, identity: int) -> str:
    """Return the text of one state, checked against its checksum. DamagedError as `read_job`."""
    row = connection.execute(f"{_STATE} WHERE id = ?", (identity,)).fetchone()
    if row is None:
        raise DamagedError(f"expected state {identity} of the job, got no such row")
    return _checked(row)


def read_texts(connection: sqlite3.Connection) -> Iterator[tuple[int, str | DamagedError]]:
    """Return the number and the text of every state in order, or what is wrong with it, as far as rows can be read."""
    for row in connection.execute(f"{_STATE} ORDER BY id LIMIT {MOST_STATES}"):
        try:
            yield row[0], _checked(row)
        except DamagedError as error:
            yield row[0], error


def _checked(row: tuple[Any, ...]) -> str:
    identity, parent, at, act, digest, text = row
    if not all(isinstance(item, str) for item in row[2:]) or not isinstance(parent, int | None):
        raise DamagedError(f"expected text in state {identity} of the job, got other values")
    if _digest(identity, parent, at, act, text) != digest:
        raise DamagedError(f"expected state {identity} of the job as it was written, got other text: it is damaged")
    return str(text)


def job_of(text: str, identity: int) -> Job:
    """Return the job that a state's text says. DamagedError where it says none, or one that contradicts itself."""
    try:
        job = from_text(Job, text)
    except TextError as error:
        raise DamagedError(f"expected a job in state {identity}, got text that says none ({error})") from None
    photos = [photo.name for photo in job.photos]
    identities = [patch.identity for patch in job.patches]
    sound = (
        len(photos) <= MOST_PHOTOS
        and len(identities) <= MOST_PATCHES
        and len(set(photos)) == len(photos)
        and len(set(identities)) == len(identities)
        and {patch.photo for patch in job.patches} - {""} <= set(photos)
        and all(_SHA256.fullmatch(photo.sha256) for photo in job.photos)
    )
    if not sound:
        raise DamagedError(f"expected photos and patches that fit together in state {identity}, got some that do not")
    return job


# the line of acts


def read_place(connection: sqlite3.Connection) -> Place:
    """Return where the user stands. DamagedError where the row is not there or holds other values."""
    row = connection.execute("SELECT current, tip, turn, at FROM place WHERE only = 1").fetchone()
    if (
        row is None
        or not all(isinstance(n, int) and 0 <= n < _MOST_TURNS for n in row[:3])
        or not isinstance(row[3], str)
    ):
        raise DamagedError("expected the place in the line of acts, got no such row")
    current, tip, turn, at = row
    return Place(current=current, tip=tip, turn=turn, at=at)


def write_place(connection: sqlite3.Connection, place: Place) -> None:
    """Write where the user stands."""
    connection.execute("DELETE FROM place")
    connection.execute(
        "INSERT INTO place (only, current, tip, turn, at) VALUES (1, ?, ?, ?, ?)",
        (place.current, place.tip, place.turn, place.at),
    )


def read_acts(connection: sqlite3.Connection) -> dict[int, tuple[int | None, str, str]]:
    """Return each state's parent, time and act by its number, without reading the jobs.

    DamagedError where the rows are not as they were written; where a page in the middle cannot be read, all of it.
    """
    acts: dict[int, tuple[int | None, str, str]] = {}
    last = 0
    rows = connection.execute(f"SELECT id, parent, at, act FROM states ORDER BY id LIMIT {MOST_STATES}")
    for identity, parent, at, act in rows:
        plain = isinstance(parent, int | None) and isinstance(at, str) and isinstance(act, str)
        if not plain or identity <= last or (parent is not None and not 0 < parent < identity):
            raise DamagedError("expected the acts of the job one after another, got rows that do not follow")
        acts[identity] = (parent, at, act)
        last = identity
    return acts


def read_line(connection: sqlite3.Connection, place: Place) -> History[int]:
    """Return the line of acts that undo and redo walk, each state by its number. DamagedError where it is broken."""
    acts = read_acts(connection)
    steps: list[Step[int]] = []
    identity: int | None = place.tip
    while identity is not None:
        if identity not in acts:
            raise DamagedError(f"expected state {identity} in the line of acts, got no such row")
        parent, at, act = acts[identity]
        steps.append(Step(name=act, state=identity, at=at))
        identity = parent
    steps.reverse()
    numbers = [step.state for step in steps]
    if place.current not in numbers:
        raise DamagedError(f"expected state {place.current} in the line of acts, got a line without it")
    return History(steps=tuple(steps), position=numbers.index(place.current))


# photos


def add_photo(connection: sqlite3.Connection, sha256: str, content: bytes) -> None:
    """Keep a photo's bytes by their SHA-256; nothing happens where they are kept. InputError where it is too large."""
    if len(content) > LARGEST_PHOTO:
        raise InputError(f"expected a photo of up to {LARGEST_PHOTO >> 20} MB, got one of {len(content) >> 20} MB")
    with long_values(connection):
        connection.execute(
            "INSERT INTO photos (sha256, size, bytes) VALUES (?, ?, ?) ON CONFLICT (sha256) DO NOTHING",
            (sha256, len(content), content),
        )


def photos_held(connection: sqlite3.Connection) -> frozenset[str]:
    """Return the SHA-256 of every photo kept, without touching their bytes."""
    rows = connection.execute(f"SELECT sha256 FROM photos ORDER BY sha256 LIMIT {MOST_STATES}")
    return frozenset(row[0] for row in rows if isinstance(row[0], str))


def photo_row(connection: sqlite3.Connection, sha256: str) -> int:
    """Return the number of a photo's row, found without the index where that is damaged. DamagedError without one."""
    for index in ("", "NOT INDEXED"):
        with contextlib.suppress(sqlite3.DatabaseError):
            row = connection.execute(f"SELECT rowid FROM photos {index} WHERE sha256 = ?", (sha256,)).fetchone()
            if row is not None:
                return int(row[0])
    raise DamagedError("expected the photo's bytes in the job file, got none")


def photo_bytes(connection: sqlite3.Connection, sha256: str, longest: int) -> bytes:
    """Return a photo's bytes, checked against their SHA-256; `longest` is the size of the file that holds them.

    DamagedError where they are not there or not what they were.
    """
    pieces, digest = [], hashlib.sha256()
    with connection.blobopen("photos", "bytes", photo_row(connection, sha256), readonly=True) as blob:
        if len(blob) > min(longest, LARGEST_PHOTO):
            raise DamagedError("expected the photo's bytes in the job file, got more than the file holds")
        while piece := blob.read(_PIECE):
            digest.update(piece)
            pieces.append(piece)
    if digest.hexdigest() != sha256:
        raise DamagedError("expected the photo's bytes as they came, got others: they are damaged")
    return b"".join(pieces)
