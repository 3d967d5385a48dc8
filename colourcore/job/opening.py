"""The way into a job file: opened, made new, brought up from an earlier version, or read as far as it can be."""

from __future__ import annotations

import contextlib
import hashlib
import os
import sqlite3
import tempfile
import uuid
from collections.abc import Callable, Iterable
from pathlib import Path

from colourcore.errors import InputError
from colourcore.job import states
from colourcore.job.claim import Claim, ClaimedError
from colourcore.job.database import CutOffError, DamagedError, connect, said_plainly, settle, transaction
from colourcore.job.files import copy_whole, free_name, part_beside, put_in_place, sync_folder
from colourcore.job.hold import Hold
from colourcore.job.migrations import EARLIER_TABLES, migrated_copy
from colourcore.job.model import Job
from colourcore.job.salvage import missing_photos, salvage, told_in_short
from colourcore.job.schema import TABLES, Standing, build, examine, spoken_version
from colourcore.job.states import Place
from colourcore.job.store import JobFile

__all__ = ["START", "new_job", "open_job", "reach", "require_file"]

START = "start"
"""The name of the first state of every job."""

_ONLY_READ = "expected a file that may be changed, got one opened for reading only"
_CLEAN_COPY = "expected a sound file, got a damaged one: it is shown as far as it can be read; go on in a clean copy"


def new_job(
    path: Path, *, at: str, job: Job | None = None, photos: Iterable[bytes] = (), claims: Path | None = None
) -> JobFile:
    """Make a new job file and open it. It appears whole or not at all.

    Parameters
    ----------
    path
        Its name, which must be free.
    at
        The time, ISO 8601.
    job, photos
        What it starts with: a job, and the bytes of each photo in it.
    claims
        As in `open_job`.

    Raises InputError where it cannot be made, ValueError where a photo's bytes are missing.
    """
    first = job or Job()
    part = part_beside(path)
    with said_plainly(path.name):
        part.unlink(missing_ok=True)
        try:
            with contextlib.closing(connect(part, write=True, tables=TABLES, create=True)) as connection:
                _fill(connection, first, at, photos)
            put_in_place(part, path)
        except FileExistsError:
            raise InputError("expected a name that is free, got a file that exists", file=path.name) from None
        finally:
            with contextlib.suppress(OSError):
                part.unlink(missing_ok=True)
    return open_job(path, claims=claims)


def _fill(connection: sqlite3.Connection, job: Job, at: str, photos: Iterable[bytes]) -> None:
    with transaction(connection):
        build(connection, uuid.uuid4().hex)
        for content in photos:
            states.add_photo(connection, hashlib.sha256(content).hexdigest(), content)
        missing = {photo.sha256 for photo in job.photos} - states.photos_held(connection)
        if missing:
            names = (photo.name for photo in job.photos if photo.sha256 in missing)
            raise ValueError(f"no bytes for {', '.join(names)}")
        first = states.add_state(connection, parent=None, at=at, act=START, job=job)
        states.write_place(connection, Place(current=first, tip=first, turn=1, at=at))


def open_job(path: Path, *, read_only: bool = False, claims: Path | None = None) -> JobFile:
    """Open a job file at its last state, without touching the bytes of its photos.

    Parameters
    ----------
    read_only
        Leave the file exactly as it is, even where it is of an earlier version.
    claims
        A folder of the user's own in which windows note the jobs they have open. Where another window has this one,
        it opens for reading only. Without it, nothing is noted.

    A file that cannot be written opens for reading only, and so does a damaged one, as far as it can be read; the
    reason stands in `read_only`, what was lost in `losses`. An earlier version is migrated, the old file kept.
    Raises InputError for a file that is missing, of another kind, or of a newer major version, and DamagedError
    where nothing can be read.
    """
    return _open(path.absolute(), read_only=read_only, claims=claims)


def _open(
    path: Path,
    *,
    read_only: bool,
    claims: Path | None,
    notices: tuple[str, ...] = (),
    on_close: Callable[[], None] | None = None,
) -> JobFile:
    require_file(path)
    with said_plainly(path.name), contextlib.ExitStack() as undone:
        reason = _ONLY_READ if read_only else _cannot_be_changed(path)
        claim = None
        if claims and not reason:
            try:
                claim = Claim(claims, path)
                undone.callback(claim.release)
            except ClaimedError as error:
                reason = f"{error.problem}: it opens for reading only"
        connection, standing, damaged = reach(path, write=not reason)
        undone.callback(connection.close)
        if standing.version // 1000 in EARLIER_TABLES:
            undone.close()
            return _open_earlier(path, standing, read_only=bool(reason), claims=claims)
        if not reason and not damaged:
            settle(connection)
        hold = Hold(path, connection, claim, damaged=damaged)
        file = _as_far_as_it_can_be_read(hold, standing, reason, notices, on_close)
        undone.pop_all()
        return file


def require_file(path: Path) -> None:
    """Refuse what is no file at all, or an empty one."""
    with said_plainly(path.name):
        exists, is_file = path.exists(), path.is_file()
        size = path.stat().st_size if is_file else 0
    if not exists:
        raise InputError("expected a job file, got no such file", file=path.name)
    if not is_file:
        raise InputError("expected a job file, got a folder or something else that is no file", file=path.name)
    if size == 0:
        raise DamagedError("expected a job file, got an empty file", file=path.name)


def _cannot_be_changed(path: Path) -> str:
    if not os.access(path, os.W_OK):
        return "expected a file that may be changed, got one that may only be read"
    if not os.access(path.parent, os.W_OK):
        return "expected a file in a folder that may be written to, got one in a folder that may not: it is only read"
    return ""


def reach(path: Path, *, write: bool) -> tuple[sqlite3.Connection, Standing, bool]:
    """Return a connection, what the file is, and whether it can only be read by leaving out what is missing.

    An act that was cut off in the middle is taken back first, where the file may be written to. Raises InputError
    for what is no job file of this version or an earlier one.
    """
    try:
        return (*_examined(path, write=write, damaged=False), False)
    except CutOffError:
        if write or _cannot_be_changed(path):
            raise
        _take_back_what_was_cut_off(path)
        return (*_examined(path, write=write, damaged=False), False)
    except DamagedError:
        return (*_examined(path, write=False, damaged=True), True)


def _take_back_what_was_cut_off(path: Path) -> None:
    """Let SQLite set a file right from its journal, as it does at the first look that may write."""
    with said_plainly(path.name), contextlib.closing(connect(path, write=True, tables=())) as connection:
        connection.execute("PRAGMA user_version").fetchone()


def _examined(path: Path, *, write: bool, damaged: bool) -> tuple[sqlite3.Connection, Standing]:
    with said_plainly(path.name), contextlib.ExitStack() as undone:
        connection = connect(path, write=write, tables=_all_tables(), damaged=damaged)
        undone.callback(connection.close)
        standing = examine(connection, path.name)
        undone.pop_all()
        return connection, standing


def _all_tables() -> set[str]:
    return {*TABLES, *(name for tables in EARLIER_TABLES.values() for name in tables)}


def _as_far_as_it_can_be_read(
    hold: Hold, standing: Standing, reason: str, notices: tuple[str, ...], on_close: Callable[[], None] | None
) -> JobFile:
    connection = hold.connection
    if standing.meddling:
        put = told_in_short(standing.meddling)
        notices = (*notices, f"somebody else has put {put} upon its tables: none of it is carried out")
    broken = hold.damaged or bool(standing.meddling)
    try:
        if standing.missing:
            raise DamagedError(f"expected the table {standing.missing[0]}, got none like it")
        place = states.read_place(connection)
        history, job = states.read_line(connection, place), states.read_job(connection, place.current)
        cut_off = ("the end of the file is missing",) if hold.damaged else ()
        losses: tuple[str, ...] = (*cut_off, *missing_photos(connection, job))
    except (sqlite3.Error, DamagedError, UnicodeDecodeError):
        broken = True
        saved = salvage(connection, hold.path.name)
        place, history, job, losses = saved.place, saved.history, saved.job, saved.losses
        losses = losses or ("some of its tables are not as they should be",)
    if broken and not reason:
        reason = _CLEAN_COPY
    return JobFile(
        hold,
        place=place,
        history=history,
        job=job,
        read_only=reason,
        losses=losses,
        notices=notices,
        on_close=on_close,
    )


def _open_earlier(path: Path, standing: Standing, *, read_only: bool, claims: Path | None) -> JobFile:
    """Migrate into a copy and open that: beside a file that is only read in a folder for the time being."""
    version = spoken_version(standing.version)
    with contextlib.closing(connect(path, write=False, tables=_all_tables())) as source:
        if read_only:
            folder = tempfile.TemporaryDirectory(prefix="duskgrain-")
            copy = Path(folder.name) / path.name
            try:
                migrated_copy(source, standing.version, copy)
                notice = f"it is of the earlier version {version}"
                return _open(copy, read_only=True, claims=None, notices=(notice,), on_close=folder.cleanup)
            except BaseException:
                folder.cleanup()
                raise
        part = part_beside(path, "migrated")
        part.unlink(missing_ok=True)
        migrated_copy(source, standing.version, part)
        kept = _keep_old(path, version, source)
    os.replace(part, path)
    sync_folder(path.parent)
    notice = f"it was of the earlier version {version}; the old file was kept as {kept.name}"
    return _open(path, read_only=False, claims=claims, notices=(notice,))


def _keep_old(path: Path, version: str, source: sqlite3.Connection) -> Path:
    kept = free_name(path.with_name(f"{path.stem} (version {version}){path.suffix}"))
    try:
        os.link(path, kept)
    except OSError:  # a file system without links
        copy_whole(source, kept)
    return kept
