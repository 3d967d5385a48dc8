"""The user's own shelf, kept across jobs: shades, cameras and finishes.

One small database in the user's data folder, written as the job file is. What is taken off the shelf, or put there
anew under the same name, stays in the file marked as gone.
"""

from __future__ import annotations

import contextlib
import sqlite3
from dataclasses import dataclass
from pathlib import Path
from typing import Final, TypeVar

from colourcore.errors import InputError
from colourcore.job.codec import TextError, from_text, to_text
from colourcore.job.database import DamagedError, connect, said_plainly, settle, transaction
from colourcore.job.files import free_name
from colourcore.job.model import Lab, Unknown

__all__ = ["CameraCurve", "FinishShift", "Shade", "Shelf", "open_shelf"]

_APPLICATION_ID: Final = 0x44534B53  # DSKS
_VERSION: Final = 1000
_TABLES: Final = {
    "things": (
        "CREATE TABLE things (id INTEGER PRIMARY KEY, kind TEXT NOT NULL, name TEXT NOT NULL, at TEXT NOT NULL, "
        "gone TEXT NOT NULL, value TEXT NOT NULL)"
    ),
}
_MOST: Final = 10_000  # things read at once


@dataclass(frozen=True, slots=True, kw_only=True)
class Shade:
    """A shade to aim for again: L*, a*, b* under D65/2°, and the finish that it holds with (empty for bare wood)."""

    name: str
    lab: Lab
    finish: str = ""
    note: str = ""
    unknown: Unknown = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class CameraCurve:
    """A camera's own tone curve: the text of the file that holds it, as it came."""

    name: str
    text: str
    note: str = ""
    unknown: Unknown = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class FinishShift:
    """What a finish did to bare wood in an earlier job: the shift in L*, a*, b*, its covariance, and from how many
    pairs of readings it was learned."""

    name: str
    shift: tuple[float, float, float]
    covariance: tuple[tuple[float, float, float], tuple[float, float, float], tuple[float, float, float]]
    pairs: int
    note: str = ""
    unknown: Unknown = ()


Thing = TypeVar("Thing", Shade, CameraCurve, FinishShift)

_KINDS: Final = {Shade: "shade", CameraCurve: "camera", FinishShift: "finish"}


def open_shelf(path: Path) -> Shelf:
    """Open the shelf, or begin one where there is none yet.

    A damaged shelf, or a file of another kind in its place, is kept under another name, told in `Shelf.notice`, and
    an empty one begun. Raises InputError where the folder cannot be written, and for a shelf of a newer version.
    """
    try:
        return _open(path, notice="")
    except DamagedError:
        aside = free_name(path.with_name(f"{path.stem} (damaged){path.suffix}"))
        with said_plainly(path.name):
            path.rename(aside)
        return _open(path, notice=f"the shelf could not be read: it was kept as {aside.name} and a new one begun")


def _open(path: Path, *, notice: str) -> Shelf:
    with said_plainly(path.name), contextlib.ExitStack() as undone:
        path.parent.mkdir(parents=True, exist_ok=True)
        new = not path.exists() or path.stat().st_size == 0
        connection = connect(path, write=True, tables=_TABLES, create=new)
        undone.callback(connection.close)
        if new:
            _build(connection)
        _require_shelf(connection, path.name)
        settle(connection)
        undone.pop_all()
        return Shelf(path, connection, notice=notice)


def _build(connection: sqlite3.Connection) -> None:
    with transaction(connection):
        connection.execute(f"PRAGMA application_id = {_APPLICATION_ID}")
        connection.execute(f"PRAGMA user_version = {_VERSION}")
        for statement in _TABLES.values():
            connection.execute(statement)


def _require_shelf(connection: sqlite3.Connection, file: str) -> None:
    version: int = connection.execute("PRAGMA user_version").fetchone()[0]
    rows = connection.execute(f"SELECT type, name, tbl_name, sql FROM sqlite_master LIMIT {_MOST}").fetchall()
    found = {
        str(name): " ".join(str(sql).split()) for kind, name, _, sql in rows if kind == "table" and name in _TABLES
    }
    meddling = [name for kind, name, table, sql in rows if kind != "table" and table in _TABLES and sql is not None]
    if version // 1000 > _VERSION // 1000:
        raise InputError("expected a shelf of this version or earlier, got one of a later version", file=file)
    if found != _TABLES or meddling:
        raise DamagedError("expected a shelf, got a database of another kind", file=file)


class Shelf:
    """An open shelf. All of it belongs to the thread that opened it; `close` it, or use it in a `with`.

    Attributes
    ----------
    path
        Where it lies.
    notice
        What the user should be told once about the opening; empty as a rule.
    """

    def __init__(self, path: Path, connection: sqlite3.Connection, *, notice: str) -> None:
        self.path = path
        self.notice = notice
        self._connection = connection

    def things(self, kind: type[Thing]) -> tuple[Thing, ...]:
        """Return all shades, cameras or finishes, by name; those that cannot be read are passed over."""
        found: list[Thing] = []
        with said_plainly(self.path.name):
            rows = self._connection.execute(
                f"SELECT value FROM things WHERE kind = ? AND gone = '' ORDER BY id LIMIT {_MOST}", (_KINDS[kind],)
            ).fetchall()
        for (text,) in rows:
            with contextlib.suppress(TextError):
                found.append(from_text(kind, text if isinstance(text, str) else ""))
        return tuple(sorted(found, key=lambda thing: thing.name.casefold()))

    def put(self, thing: Shade | CameraCurve | FinishShift, *, at: str) -> None:
        """Put something on the shelf; one of the same kind and name gives way. InputError without a name."""
        if not thing.name.strip():
            raise InputError(f"expected a name for this {_KINDS[type(thing)]}, got none")
        with said_plainly(self.path.name), transaction(self._connection):
            self._take_off(thing, at)
            self._connection.execute(
                "INSERT INTO things (kind, name, at, gone, value) VALUES (?, ?, ?, '', ?)",
                (_KINDS[type(thing)], thing.name, at, to_text(thing)),
            )

    def take_off(self, thing: Shade | CameraCurve | FinishShift, *, at: str) -> None:
        """Take something off the shelf; nothing happens where it is not there."""
        with said_plainly(self.path.name), transaction(self._connection):
            self._take_off(thing, at)

    def close(self) -> None:
        """Close the shelf. What was put there is kept already."""
        self._connection.close()

    def __enter__(self) -> Shelf:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def _take_off(self, thing: Shade | CameraCurve | FinishShift, at: str) -> None:
        self._connection.execute(
            "UPDATE things SET gone = ? WHERE kind = ? AND name = ? AND gone = ''",
            (at or "gone", _KINDS[type(thing)], thing.name),
        )
