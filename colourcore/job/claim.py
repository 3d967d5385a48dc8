"""One window for each job on this machine: a claim that the system takes back by itself when a program dies."""

from __future__ import annotations

import contextlib
import hashlib
import os
import sqlite3
from pathlib import Path

from colourcore.errors import InputError

__all__ = ["Claim", "ClaimedError"]


class ClaimedError(InputError):
    """Another window of this machine has the job open."""


class Claim:
    """A claim on one job file, held until `release` or the end of the program.

    It is a lock on a small file in the user's own data folder, so nothing appears beside the job and a drive that
    knows no locks does not matter. Windows of other machines do not see it; the job file itself notices their edits.

    Parameters
    ----------
    folder
        Where claims are kept; it is made where it is missing. Without one that can be written, nothing is claimed.
    path
        The job file.

    Raises ClaimedError where another window holds the claim.
    """

    __slots__ = ("_connection", "folder")

    def __init__(self, folder: Path, path: Path) -> None:
        name = hashlib.sha256(os.path.normcase(path.resolve()).encode("utf-8", "surrogatepass")).hexdigest()[:32]
        self.folder = folder
        self._connection: sqlite3.Connection | None = None
        try:
            folder.mkdir(parents=True, exist_ok=True)
            connection = sqlite3.connect(folder / f"{name}.claim", timeout=0, isolation_level=None)
        except (OSError, sqlite3.Error):
            return
        try:
            connection.execute("BEGIN EXCLUSIVE")
        except sqlite3.Error as error:
            connection.close()
            if getattr(error, "sqlite_errorname", "") == "SQLITE_BUSY":
                problem = "expected to be the only window on this job, got another that has it open"
                raise ClaimedError(problem, file=path.name) from None
            return
        self._connection = connection

    def release(self) -> None:
        """Give the claim back."""
        if self._connection is not None:
            with contextlib.suppress(sqlite3.Error):
                self._connection.close()
            self._connection = None
