"""A hold on an open job file: where it is, and what to do when it is no longer there."""

from __future__ import annotations

import contextlib
import os
import sqlite3
from pathlib import Path
from typing import Any

from colourcore.errors import InputError
from colourcore.job.claim import Claim
from colourcore.job.database import DamagedError, connect, said_plainly
from colourcore.job.files import copy_whole, free_name, put_in_place
from colourcore.job.schema import TABLES
from colourcore.job.states import read_place

__all__ = ["Hold"]


class Hold:
    """The connection to a job file and the file's place on the disk.

    Attributes
    ----------
    path
        Where the file is now.
    connection
        The connection to it; it changes when the file moves.
    damaged
        Whether it can only be read by leaving out what is missing.
    """

    __slots__ = ("_claim", "_stamp", "connection", "damaged", "path")

    def __init__(self, path: Path, connection: sqlite3.Connection, claim: Claim | None, *, damaged: bool) -> None:
        self.path = path
        self.damaged = damaged
        self.connection = connection
        self._claim = claim
        self._stamp = _stamp(path)

    def find_again(self) -> str:
        """Return nothing where the file is where it was; else keep what it held beside it, go on there, and say so.

        InputError where what it held cannot be kept beside it.
        """
        stamp = _stamp(self.path)
        if stamp == self._stamp or (stamp is not None and self._takes_up(self.path)):
            return ""
        what = "was removed" if stamp is None else "was replaced by another version"
        former, target = self.path.name, free_name(self.path.with_name(f"{self.path.stem} (kept){self.path.suffix}"))
        try:
            self.copy_to(target)
            self._switch_to(target, self._connect(target))
        except InputError as error:
            raise InputError(
                f"expected the file where it was, but it {what} while it was open, and what it held could not be kept "
                f"beside it ({error.problem}): put it back, or keep a copy elsewhere",
                file=former,
            ) from error
        return f"{former} {what} while it was open: what this window held was kept as {target.name}."

    def copy_to(self, target: Path) -> None:
        """Write a whole copy of the file. InputError where the target exists or cannot be written."""
        try:
            with said_plainly(target.name):
                copy_whole(self.connection, target)
        except FileExistsError:
            raise InputError("expected a name that is free, got a file that exists", file=target.name) from None

    def move_to(self, target: Path) -> str:
        """Rename the file, or move it to another folder or drive. InputError where that fails; then it is as it was.

        Returns a sentence where the old file could not be removed, nothing as a rule.
        """
        if target.exists():
            raise InputError("expected a name that is free, got a file that exists", file=target.name)
        claim = Claim(self._claim.folder, target) if self._claim else None
        try:
            with said_plainly(self.path.name):
                left = self._carry_to(target)
        except BaseException:
            if claim:
                claim.release()
            raise
        if self._claim:
            self._claim.release()
        self._claim = claim
        return left

    def release(self) -> None:
        """Let go of the file."""
        self.connection.close()
        if self._claim:
            self._claim.release()

    def _carry_to(self, target: Path) -> str:
        former = self.path
        self.connection.close()
        try:
            put_in_place(former, target)
        except OSError:  # to another drive, or another program holds the file
            self._switch_to(former, self._connect(former))
            self.copy_to(target)
            self._switch_to(target, self._connect(target))
            try:
                former.unlink()
            except OSError as error:
                return f"{former.name} was copied to {target.name}; the old file stays ({error.strerror or error})."
        else:
            self._switch_to(target, self._connect(target))
        return ""

    def _takes_up(self, path: Path) -> bool:
        """Go on with the file at a path where it is this job in this state: drives may renumber their files."""
        try:
            connection = self._connect(path)
        except InputError:
            return False
        with contextlib.suppress(sqlite3.Error, DamagedError):
            same = _identity(connection) == _identity(self.connection)
            if same and read_place(connection) == read_place(self.connection):
                self._switch_to(path, connection)
                return True
        connection.close()
        return False

    def _connect(self, path: Path) -> sqlite3.Connection:
        with said_plainly(path.name):
            return connect(path, write=True, tables=TABLES)

    def _switch_to(self, path: Path, connection: sqlite3.Connection) -> None:
        self.connection.close()
        self.connection, self.path, self._stamp = connection, path, _stamp(path)


def _stamp(path: Path) -> tuple[int, int] | None:
    try:
        found = os.stat(path)
    except OSError:
        return None
    return found.st_dev, found.st_ino


def _identity(connection: sqlite3.Connection) -> Any:
    return connection.execute("SELECT value FROM about WHERE key = 'job'").fetchone()
