"""Whole files: named once they are whole. A job is never written over; an output replaces the old one."""

from __future__ import annotations

import contextlib
import errno
import os
import sqlite3
import tempfile
from pathlib import Path

from colourcore.errors import InputError
from colourcore.job.database import connect

__all__ = ["copy_whole", "free_name", "part_beside", "put_in_place", "sync_folder", "write_whole"]


def copy_whole(source: sqlite3.Connection, target: Path) -> None:
    """Copy a database page by page, with all that this program does not know, into a new file.

    FileExistsError where the target exists. The copy appears whole or not at all.
    """
    part = part_beside(target)
    part.unlink(missing_ok=True)
    try:
        connection = connect(part, write=True, tables=(), create=True)
        try:
            source.backup(connection)
        finally:
            connection.close()
        put_in_place(part, target)
    finally:
        part.unlink(missing_ok=True)


def part_beside(target: Path, what: str = "unfinished") -> Path:
    """Return the name that a file has until it is whole."""
    return target.with_name(f".{os.getpid()}-{what}.part")


def put_in_place(part: Path, target: Path) -> None:
    """Give a finished file its name. FileExistsError where the name is taken: nothing is ever written over."""
    if os.name == "nt":
        part.rename(target)  # refuses a name that is taken
        return
    try:
        os.link(part, target)
    except FileExistsError:
        raise
    except OSError:  # a file system without links, as on memory sticks
        if target.exists():
            raise FileExistsError(errno.EEXIST, "the name is taken", str(target)) from None
        part.rename(target)
    part.unlink(missing_ok=True)
    sync_folder(target.parent)


def sync_folder(folder: Path) -> None:
    """Have a folder's names written to the disk, where the system knows such a thing."""
    if os.name != "posix":
        return
    with contextlib.suppress(OSError):  # not every file system can
        descriptor = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(descriptor)
        finally:
            os.close(descriptor)


def free_name(path: Path) -> Path:
    """Return the path, or the first of its kind with a number behind it that is not taken."""
    free, number = path, 1
    while free.exists():
        number += 1
        free = path.with_name(f"{path.stem} {number}{path.suffix}")
    return free


def write_whole(path: Path, content: bytes) -> None:
    """Write a file so that it appears whole or not at all. Raises InputError where it cannot be written."""
    try:
        handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.", suffix=".part")
    except OSError as error:
        raise InputError(f"expected a folder to write in, got {error.strerror or error}", file=str(path)) from error
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        Path(temporary).chmod(0o666 & ~_umask())
        Path(temporary).replace(path)
    except OSError as error:
        Path(temporary).unlink(missing_ok=True)
        raise InputError(f"expected to write the file, got {error.strerror or error}", file=str(path)) from error


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask
