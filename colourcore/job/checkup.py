"""Is a job file whole? SQLite's own check, the photos against their SHA-256, every state read: told in sentences."""

from __future__ import annotations

import contextlib
import hashlib
import sqlite3
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from colourcore.errors import InputError
from colourcore.job import states
from colourcore.job.database import LARGEST_PHOTO, said_plainly
from colourcore.job.opening import open_job, reach, require_file
from colourcore.job.salvage import salvage, told_in_short
from colourcore.job.schema import TABLES, Standing, spoken_version

__all__ = ["CheckUp", "check_job"]

_MOST_SAID: Final = 10  # of SQLite's own findings
_PIECE: Final = 2**20  # bytes read at a time


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckUp:
    """What was found in a job file.

    Attributes
    ----------
    version
        The file's version, "1.0".
    states, states_read
        How many states it should hold and how many can be read.
    photos, photos_whole
        How many photos it holds and how many are byte for byte what came in.
    damage
        What is wrong, a sentence each; empty for a sound file.
    notes
        What is worth knowing and nothing is wrong with, a sentence each.
    """

    version: str
    states: int = 0
    states_read: int = 0
    photos: int = 0
    photos_whole: int = 0
    damage: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()

    @property
    def is_sound(self) -> bool:
        """Whether nothing is wrong."""
        return not self.damage


def check_job(path: Path) -> CheckUp:
    """Return what was found in a job file, which stays as it is.

    Raises InputError for what is no job file, or one of a newer version.
    """
    require_file(path)
    connection, standing, damaged = reach(path, write=False)
    with contextlib.closing(connection):
        version = spoken_version(standing.version)
        if standing.missing and not damaged and standing.version < 1000:
            return _check_earlier(path, version)
        damage = ["the end of the file is missing"] if damaged else []
        damage += [f"the table {name} is missing or not as it should be" for name in standing.missing]
        damage += _by_sqlite(connection, standing)
        put = told_in_short(standing.meddling)
        damage += [f"somebody else has put {put} upon its tables: none of it is carried out"] if put else []
        found, read, lost_states = _check_states(connection, path.name)
        photos, whole, lost_photos = _check_photos(connection)
        return CheckUp(
            version=version,
            states=found,
            states_read=read,
            photos=photos,
            photos_whole=whole,
            damage=tuple(_each_once([*damage, *lost_states, *lost_photos])),
            notes=_notes(standing),
        )


def _check_earlier(path: Path, version: str) -> CheckUp:
    with open_job(path, read_only=True) as file:
        migrated = check_job(file.path)
    note = "it is of an earlier version: opening it migrates it in a copy and keeps the old file"
    return CheckUp(
        version=version,
        states=migrated.states,
        states_read=migrated.states_read,
        photos=migrated.photos,
        photos_whole=migrated.photos_whole,
        damage=migrated.damage,
        notes=(note, *migrated.notes),
    )


def _notes(standing: Standing) -> tuple[str, ...]:
    return (
        (f"beside our tables it holds {told_in_short(standing.others)}: kept as they are",) if standing.others else ()
    )


def _each_once(sentences: list[str]) -> list[str]:
    return list(dict.fromkeys(sentences))


def _by_sqlite(connection: sqlite3.Connection, standing: Standing) -> list[str]:
    """Return what SQLite's own check says; of somebody else's tables nothing is looked at, nor carried out."""
    alone = standing.is_plain and not standing.others
    tables = [""] if alone else [f"({name})" for name in TABLES if name not in standing.missing]
    said: list[str] = []
    for table in tables if not standing.meddling else []:
        try:
            said += [str(row[0]) for row in connection.execute(f"PRAGMA integrity_check{table}") if row[0] != "ok"]
        except sqlite3.Error as error:
            said.append(str(error))
    return [f"SQLite's check: {' '.join(line.split())}" for line in said[:_MOST_SAID]]


def _check_states(connection: sqlite3.Connection, file: str) -> tuple[int, int, list[str]]:
    try:
        with said_plainly(file):
            saved = salvage(connection, file, thorough=True)
    except InputError as error:
        return 0, 0, [error.problem]
    return len(saved.acts), len(saved.states), list(saved.losses)


def _check_photos(connection: sqlite3.Connection) -> tuple[int, int, list[str]]:
    """Return how many photos there are, how many are whole, and what is wrong with the others."""
    try:
        rows = connection.execute(f"SELECT rowid, sha256, size FROM photos LIMIT {states.MOST_STATES}").fetchall()
    except (sqlite3.Error, UnicodeDecodeError):
        return 0, 0, ["the list of photos cannot be read"]
    bad = [str(sha256)[:12] for row, sha256, size in rows if not _is_whole(connection, row, sha256, size)]
    sentence = f"photos whose bytes are not what they were (SHA-256 from): {told_in_short(bad)}"
    return len(rows), len(rows) - len(bad), [sentence] if bad else []


def _is_whole(connection: sqlite3.Connection, row: int, sha256: object, size: object) -> bool:
    digest = hashlib.sha256()
    try:
        with connection.blobopen("photos", "bytes", row, readonly=True) as blob:
            if len(blob) != size or len(blob) > LARGEST_PHOTO:
                return False
            while piece := blob.read(_PIECE):
                digest.update(piece)
    except (sqlite3.Error, ValueError):
        return False
    return digest.hexdigest() == sha256
