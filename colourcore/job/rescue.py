"""A clean copy of a damaged job file: all that can be read, in a new file; the damaged one stays as it is."""

from __future__ import annotations

import contextlib
import sqlite3
import uuid
from pathlib import Path

from colourcore.errors import InputError
from colourcore.job import states
from colourcore.job.database import DamagedError, connect, said_plainly, transaction
from colourcore.job.files import part_beside, put_in_place
from colourcore.job.opening import reach, require_file
from colourcore.job.salvage import Salvage, salvage, told_in_short
from colourcore.job.schema import TABLES, VERSION, build, spoken_version
from colourcore.job.states import Place

__all__ = ["clean_copy"]


def clean_copy(path: Path, target: Path) -> tuple[str, ...]:
    """Write all that can be read of a job file into a new one, and return what had to be left behind, in sentences.

    Acts keep their order and their names; one that cannot be read is left out of the line. Raises InputError where
    the target exists or cannot be written, and DamagedError where no state of the job can be read.
    """
    require_file(path)
    connection, standing, _ = reach(path, write=False)
    with contextlib.closing(connection):
        if standing.version // 1000 != VERSION // 1000:
            version = spoken_version(standing.version)
            raise InputError(
                f"expected a job file of this version, got version {version}: open it first", file=path.name
            )
        saved = salvage(connection, path.name, thorough=True)
        part = part_beside(target)
        with said_plainly(target.name):
            part.unlink(missing_ok=True)
            try:
                with contextlib.closing(connect(part, write=True, tables=TABLES, create=True)) as new:
                    left = _carry_over(connection, new, saved, path.stat().st_size)
                put_in_place(part, target)
            except FileExistsError:
                raise InputError("expected a name that is free, got a file that exists", file=target.name) from None
            finally:
                with contextlib.suppress(OSError):
                    part.unlink(missing_ok=True)
    others = (f"left in the old file: {told_in_short(standing.others)}",) if standing.others else ()
    return (*(loss for loss in saved.losses if not left or "cannot be found" not in loss), *left, *others)


def _carry_over(old: sqlite3.Connection, new: sqlite3.Connection, saved: Salvage, size: int) -> tuple[str, ...]:
    with transaction(new):
        build(new, uuid.uuid4().hex)
        numbers = _copy_states(old, new, saved)
        wanted = {photo.sha256: photo.name for photo in saved.job.photos}
        damaged = [wanted[sha256] for sha256 in _copy_photos(old, new, saved, size) if sha256 in wanted]
        current = numbers[saved.history.state]
        tip = numbers[saved.history.steps[-1].state]
        states.write_place(new, Place(current=current, tip=tip, turn=1, at=saved.place.at))
    return (f"photos that are lost or damaged: {told_in_short(damaged)}",) if damaged else ()


def _copy_states(old: sqlite3.Connection, new: sqlite3.Connection, saved: Salvage) -> dict[int, int]:
    """Copy each state that can be read behind the nearest one before it that can; return the new numbers by the old."""
    numbers: dict[int, int] = {}
    for number in saved.states:
        parent, at, act = saved.acts[number]
        while parent is not None and parent not in numbers:
            parent = saved.acts[parent][0] if parent in saved.acts else None
        job = states.read_job(old, number)
        numbers[number] = states.add_state(
            new, parent=None if parent is None else numbers[parent], at=at, act=act, job=job
        )
    return numbers


def _copy_photos(old: sqlite3.Connection, new: sqlite3.Connection, saved: Salvage, size: int) -> list[str]:
    """Copy every photo that is what it was; return the SHA-256 of those that are lost or damaged."""
    damaged = []
    for sha256 in _photos(old, saved):
        try:
            content = states.photo_bytes(old, sha256, size)
        except (sqlite3.Error, DamagedError):
            damaged.append(sha256)
        else:
            states.add_photo(new, sha256, content)
    return damaged


def _photos(connection: sqlite3.Connection, saved: Salvage) -> list[str]:
    wanted = {photo.sha256 for photo in saved.job.photos}
    with contextlib.suppress(sqlite3.Error):
        wanted |= states.photos_held(connection)
    return sorted(wanted)
