"""The tables of a job file, its version, and whether a file at hand is one. `docs/job_file.md` explains each column."""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass
from typing import Final

from colourcore.errors import InputError
from colourcore.job.database import DamagedError

__all__ = ["APPLICATION_ID", "NEEDS", "TABLES", "VERSION", "Standing", "build", "examine", "spoken_version"]

APPLICATION_ID: Final = 0x44534B47
"""SQLite's application id of a job file: the letters DSKG."""

VERSION: Final = 1001
"""`user_version` of a job file: 1000·major + minor."""

NEEDS: Final = "duskgrain 0.1 or later"
"""What a job file of this version says that it takes to open it."""

TABLES: Final = {
    "about": "CREATE TABLE about (key TEXT PRIMARY KEY, value TEXT NOT NULL)",
    "photos": "CREATE TABLE photos (sha256 TEXT PRIMARY KEY, size INTEGER NOT NULL, bytes BLOB NOT NULL)",
    "states": (
        "CREATE TABLE states (id INTEGER PRIMARY KEY, parent INTEGER, at TEXT NOT NULL, act TEXT NOT NULL, "
        "sha256 TEXT NOT NULL, job TEXT NOT NULL)"
    ),
    "place": (
        "CREATE TABLE place (only INTEGER PRIMARY KEY, current INTEGER NOT NULL, tip INTEGER NOT NULL, "
        "turn INTEGER NOT NULL, at TEXT NOT NULL)"
    ),
    "measured": (
        "CREATE TABLE measured (sha256 TEXT NOT NULL, outline TEXT NOT NULL, method TEXT NOT NULL, "
        "checksum TEXT NOT NULL, value TEXT NOT NULL, PRIMARY KEY (sha256, outline, method))"
    ),
}
"""The statements that make the tables. A minor version adds tables or JSON keys and leaves these as they are."""

_MOST_OBJECTS: Final = 10_000  # tables, indexes, triggers and views that a schema may hold


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """What kind of job file this is.

    Attributes
    ----------
    version
        Its `user_version`.
    missing
        Our tables that it lacks, or that are not as they should be.
    meddling
        Triggers, views and indexes that somebody else put upon our tables; none is ever carried out.
    others
        Tables and other things beside ours, left alone.
    """

    version: int
    missing: tuple[str, ...] = ()
    meddling: tuple[str, ...] = ()
    others: tuple[str, ...] = ()

    @property
    def is_plain(self) -> bool:
        """Whether our tables are all there and nobody has hung anything on them."""
        return not self.missing and not self.meddling


def spoken_version(version: int) -> str:
    """Return a `user_version` as it is spoken of.

    >>> spoken_version(1003)
    '1.3'
    """
    return f"{version // 1000}.{version % 1000}"


def build(connection: sqlite3.Connection, identity: str) -> None:
    """Make the tables of a job file; `identity` is the job's own name for life. Call it inside a transaction."""
    connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
    connection.execute(f"PRAGMA user_version = {VERSION}")
    for statement in TABLES.values():
        connection.execute(statement)
    connection.executemany("INSERT INTO about VALUES (?, ?)", [("job", identity), ("needs", NEEDS)])


def examine(connection: sqlite3.Connection, file: str) -> Standing:
    """Return what kind of job file a connection leads to, without reading anything but its schema.

    Raises InputError for an SQLite database of another kind and for a newer major version, naming what it needs.
    """
    application: int = connection.execute("PRAGMA application_id").fetchone()[0]
    version: int = connection.execute("PRAGMA user_version").fetchone()[0]
    rows = connection.execute(
        f"SELECT type, name, tbl_name, sql FROM sqlite_master LIMIT {_MOST_OBJECTS + 1}"
    ).fetchall()
    if len(rows) > _MOST_OBJECTS:
        raise DamagedError(f"expected a job file, got a database of more than {_MOST_OBJECTS} tables", file=file)
    ours = {str(name) for kind, name, _, sql in rows if kind == "table" and _is_ours(name, sql)}
    if application != APPLICATION_ID and ours != set(TABLES):
        raise InputError("expected a duskgrain job file, got a database of another kind", file=file)
    if version // 1000 > VERSION // 1000:
        raise InputError(
            f"expected a job file of version {VERSION // 1000} or earlier, got version {spoken_version(version)}: "
            f"it takes {_needs(connection)} to open it",
            file=file,
        )
    meddling = [f"{kind} {name}" for kind, name, table, sql in rows if kind != "table" and _meddles(name, table, sql)]
    others = [f"{kind} {name}" for kind, name, table, _ in rows if name not in TABLES and table not in TABLES]
    return Standing(
        version=version,
        missing=tuple(name for name in TABLES if name not in ours),
        meddling=tuple(_short(what) for what in meddling),
        others=tuple(_short(what) for what in others if not what.partition(" ")[2].startswith("sqlite_")),
    )


def _is_ours(name: object, sql: object) -> bool:
    return isinstance(name, str) and isinstance(sql, str) and " ".join(sql.split()) == TABLES.get(name)


def _meddles(name: object, table: object, sql: object) -> bool:
    """Tell what hangs on our tables, or bears their names; SQLite's own indexes have no statement."""
    by_sqlite = sql is None and str(name).startswith("sqlite_autoindex_")
    return (table in TABLES or name in TABLES) and not by_sqlite


def _needs(connection: sqlite3.Connection) -> str:
    """Return what a newer file says that it takes; every version keeps the table `about` for this."""
    try:
        row = connection.execute("SELECT value FROM about WHERE key = 'needs'").fetchone()
    except sqlite3.Error:
        row = None
    said = row[0] if row and isinstance(row[0], str) else ""
    plain = "".join(character for character in said if character.isprintable())[:60].strip()
    return plain or "a later version of duskgrain"


def _short(what: str) -> str:
    plain = "".join(character if character.isprintable() else "?" for character in what)
    return plain if len(plain) <= 60 else f"{plain[:59]}…"
