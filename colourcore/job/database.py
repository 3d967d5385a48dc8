"""SQLite files that may come from anybody: opened without trust, changed in whole transactions, failing in sentences.

Nothing that a stranger may have put into a file is carried out: no extension, no trigger, no view, no function in a
schema. Makers keep files on network, synchronised and removable drives, so changes go through a rollback journal with
full synchronisation and never through a write-ahead log, which such drives do not carry.
"""

from __future__ import annotations

import contextlib
import sqlite3
import sys
import urllib.parse
from collections.abc import Collection, Iterator
from pathlib import Path
from typing import Final

from colourcore.errors import InputError

__all__ = [
    "LARGEST_PHOTO",
    "LARGEST_TEXT",
    "CutOffError",
    "DamagedError",
    "connect",
    "long_values",
    "said_plainly",
    "settle",
    "transaction",
]

LARGEST_PHOTO: Final = 512 * 2**20
"""Bytes of the largest photo that a job file takes."""

LARGEST_TEXT: Final = 2 * 2**20
"""Bytes of the longest text (a state of the job) that a job file takes."""

_PATIENCE_S: Final = 5.0  # waited for another program that writes to the same file
_STEPS: Final = 100_000  # of SQLite's machine between two looks at how far it has gone
_MOST_LOOKS: Final = 3_000  # looks in the life of a connection: some seconds of work, or some million edits

_READING: Final = frozenset({sqlite3.SQLITE_SELECT, sqlite3.SQLITE_TRANSACTION})
_CHANGING: Final = frozenset({sqlite3.SQLITE_INSERT, sqlite3.SQLITE_UPDATE, sqlite3.SQLITE_DELETE})
_BUILDING: Final = frozenset({sqlite3.SQLITE_CREATE_TABLE, sqlite3.SQLITE_CREATE_INDEX, sqlite3.SQLITE_DROP_TABLE})
_PRAGMAS: Final = frozenset(
    {"application_id", "user_version", "integrity_check", "page_count", "max_page_count", "journal_mode"}
)
_FUNCTIONS: Final = frozenset({"coalesce", "length", "max"})
_SCHEMA: Final = frozenset({"sqlite_master", "sqlite_schema"})


class CutOffError(InputError):
    """The last act upon a file was cut off in the middle, and a file that is only read cannot be set right."""


class DamagedError(InputError):
    """What a file holds cannot be read as it was written; other parts of it perhaps can."""


def connect(
    path: Path, *, write: bool, tables: Collection[str], create: bool = False, damaged: bool = False
) -> sqlite3.Connection:
    """Return a connection to an SQLite file that reads (and with `write` changes) the named tables and nothing else.

    With `create` it makes the file and builds tables; with `damaged` it reads on where pages are missing. The
    connection commits each statement by itself outside of `transaction`. sqlite3.Error where the file cannot be
    opened; call it inside `said_plainly`.
    """
    mode = "rwc" if create else "rw" if write else "ro"
    connection = sqlite3.connect(
        f"{_address(path)}?mode={mode}", uri=True, isolation_level=None, timeout=_PATIENCE_S, cached_statements=32
    )
    try:
        _harden(connection, damaged=damaged)
        if write:
            connection.execute("PRAGMA synchronous = EXTRA")
            connection.execute("PRAGMA fullfsync = ON")
        else:
            connection.execute("PRAGMA query_only = ON")
        _allow(connection, write=write, tables=frozenset(tables), build=create)
    except BaseException:
        connection.close()
        raise
    return connection


def settle(connection: sqlite3.Connection) -> None:
    """Have a file that is ours keep a rollback journal, should somebody have left it with a write-ahead log."""
    connection.execute("PRAGMA journal_mode = DELETE")


def _address(path: Path) -> str:
    """Return a path as SQLite's URI; a network share keeps its two slashes behind an empty host."""
    posix = path.absolute().as_posix()
    return "file://" + urllib.parse.quote(posix if posix.startswith("/") else f"/{posix}")


def _harden(connection: sqlite3.Connection, *, damaged: bool) -> None:
    if sys.version_info >= (3, 12):  # before it, the list of what is allowed does the same
        connection.setconfig(sqlite3.SQLITE_DBCONFIG_DEFENSIVE, not damaged)
        connection.setconfig(sqlite3.SQLITE_DBCONFIG_ENABLE_TRIGGER, False)
        connection.setconfig(sqlite3.SQLITE_DBCONFIG_ENABLE_VIEW, False)
    connection.setlimit(sqlite3.SQLITE_LIMIT_LENGTH, LARGEST_TEXT)
    connection.setlimit(sqlite3.SQLITE_LIMIT_ATTACHED, 0)
    connection.setlimit(sqlite3.SQLITE_LIMIT_SQL_LENGTH, 100_000)
    if damaged:  # SQLite refuses a file shorter than it should be unless its schema may be repaired
        connection.execute("PRAGMA writable_schema = ON")
    for pragma in ("trusted_schema = OFF", "cell_size_check = ON", "mmap_size = 0", "temp_store = MEMORY"):
        connection.execute(f"PRAGMA {pragma}")
    looks = iter(range(_MOST_LOOKS))
    connection.set_progress_handler(lambda: next(looks, None) is None, _STEPS)


def _allow(connection: sqlite3.Connection, *, write: bool, tables: frozenset[str], build: bool) -> None:
    """Let SQLite carry out only what this room asks for, and nothing on behalf of a trigger or a view."""
    readable = tables | _SCHEMA

    def judge(action: int, first: str | None, second: str | None, database: str | None, within: str | None) -> int:
        allowed = (
            within is None
            and database in (None, "main")
            and (
                action in _READING
                or (action == sqlite3.SQLITE_READ and first in readable)
                or (action == sqlite3.SQLITE_FUNCTION and second in _FUNCTIONS)
                or (action == sqlite3.SQLITE_PRAGMA and first in _PRAGMAS)
                or (write and action in _CHANGING and first in tables)
                or (build and action in _CHANGING and first in _SCHEMA)
                or (build and action in _BUILDING)
            )
        )
        return sqlite3.SQLITE_OK if allowed else sqlite3.SQLITE_DENY

    connection.set_authorizer(judge)


@contextlib.contextmanager
def long_values(connection: sqlite3.Connection) -> Iterator[None]:
    """Let values as long as a photo through, for as long as the block lasts."""
    connection.setlimit(sqlite3.SQLITE_LIMIT_LENGTH, LARGEST_PHOTO + LARGEST_TEXT)
    try:
        yield
    finally:
        connection.setlimit(sqlite3.SQLITE_LIMIT_LENGTH, LARGEST_TEXT)


@contextlib.contextmanager
def transaction(connection: sqlite3.Connection) -> Iterator[None]:
    """Carry the block out whole or not at all; it is on the disk when the block is left."""
    connection.execute("BEGIN IMMEDIATE")
    try:
        yield
        connection.execute("COMMIT")
    except BaseException:
        with contextlib.suppress(sqlite3.Error):  # SQLite has rolled back by itself where the disk failed
            connection.execute("ROLLBACK")
        raise


@contextlib.contextmanager
def said_plainly(file: str) -> Iterator[None]:
    """Turn what goes wrong with an SQLite file into one sentence: InputError, or DamagedError where it is damaged."""
    try:
        yield
    except DamagedError as error:
        raise DamagedError(error.problem, file=error.file or file) from error
    except sqlite3.Error as error:
        raise _sentence(error, file) from error
    except UnicodeDecodeError as error:
        raise DamagedError("expected text in UTF-8, got other bytes: the file is damaged", file=file) from error
    except UnicodeEncodeError as error:
        raise InputError("expected text of whole characters, got half a one (in a name, perhaps)", file=file) from error
    except OverflowError as error:
        raise DamagedError("expected numbers of a reasonable size, got one beyond it", file=file) from error
    except MemoryError as error:
        raise InputError("expected a file that fits into memory, got a larger one", file=file) from error
    except OSError as error:
        raise InputError(f"expected a file that can be reached, got {error.strerror or error}", file=file) from error


_SENTENCES: Final = {
    "SQLITE_BUSY": "expected to be alone with the file for a moment, got another program that holds it: try again",
    "SQLITE_LOCKED": "expected to be alone with the file for a moment, got another program that holds it: try again",
    "SQLITE_FULL": "expected room on the disk, got a full one: nothing was changed; free some room and do it again",
    "SQLITE_IOERR_WRITE": "expected to write to the disk, got an error from it: nothing was changed",
    "SQLITE_IOERR": "expected a disk that can be read and written, got an error from it: nothing was changed",
    "SQLITE_READONLY_DBMOVED": "expected the file where it was, got none: nothing was changed",
    "SQLITE_READONLY": "expected a file that may be changed, got one that may only be read",
    "SQLITE_CANTOPEN": "expected a file in a folder that may be written to, got one that may not (or is gone)",
    "SQLITE_PERM": "expected a file that may be opened, got one that this user may not open",
    "SQLITE_TOOBIG": "expected values of a reasonable size, got one beyond the limit",
    "SQLITE_NOMEM": "expected a file that fits into memory, got a larger one",
}

_CUT_OFF: Final = (
    "expected a file whose last act is whole, got one cut off in the middle that may not be written to: "
    "copy it together with the file of the same name ending in -journal to a folder of your own, and open it there"
)

_DAMAGE: Final = {
    "SQLITE_NOTADB": "expected an SQLite database, got other bytes",
    "SQLITE_CORRUPT": "expected pages that fit together, got a file that is damaged",
    "SQLITE_INTERRUPT": "expected a file that is read in a moment, got one that does not come to an end: it is damaged",
    "SQLITE_AUTH": "expected the plain tables of this program, got something else in their place",
}


def _sentence(error: sqlite3.Error, file: str) -> InputError:
    name = getattr(error, "sqlite_errorname", "") or ""
    if name == "SQLITE_READONLY_ROLLBACK":
        return CutOffError(_CUT_OFF, file=file)
    while name:
        if name in _SENTENCES:
            return InputError(_SENTENCES[name], file=file)
        if name in _DAMAGE:
            return DamagedError(_DAMAGE[name], file=file)
        name = name.rpartition("_")[0] if name.count("_") > 1 else ""
    if isinstance(error, sqlite3.DataError):
        return InputError(_SENTENCES["SQLITE_TOOBIG"], file=file)
    return DamagedError(f"expected a file that can be read, got: {error}", file=file)
