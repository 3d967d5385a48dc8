"""Job files of earlier versions, brought up to this one: always in a copy, the old file kept.

Each step is a function that changes the tables of one major version into those of the next, in one transaction.
Version 0 was never released; its one sample in the tests keeps this road open from the start.
"""

from __future__ import annotations

import json
import sqlite3
import uuid
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any, Final

from colourcore.job.codec import to_text
from colourcore.job.database import DamagedError, connect, long_values, transaction
from colourcore.job.files import copy_whole
from colourcore.job.schema import TABLES, VERSION, build, spoken_version
from colourcore.job.states import Place, add_state, job_of, write_place

__all__ = ["EARLIER_TABLES", "migrated_copy"]

EARLIER_TABLES: Final[Mapping[int, Mapping[str, str]]] = {
    0: {
        "pictures": "CREATE TABLE pictures (sha256 TEXT PRIMARY KEY, bytes BLOB NOT NULL)",
        "versions": "CREATE TABLE versions (number INTEGER PRIMARY KEY, act TEXT NOT NULL, job TEXT NOT NULL)",
    }
}
"""The tables of earlier major versions, as they must stand in a file before a step reads them."""


def migrated_copy(source: sqlite3.Connection, version: int, target: Path) -> None:
    """Write a new file at `target` that holds what an older job file holds, in this version's tables.

    Everything that the older version did not know is carried along. InputError where the target exists or the older
    file is not as its version has it.
    """
    copy_whole(source, target)
    try:
        for major in range(version // 1000, VERSION // 1000):
            earlier = EARLIER_TABLES[major]
            connection = connect(target, write=True, tables={*TABLES, *earlier}, create=True)
            try:
                _require(connection, earlier, version)
                with transaction(connection):
                    _STEPS[major](connection)
            finally:
                connection.close()
    except BaseException:
        target.unlink(missing_ok=True)
        raise


def _require(connection: sqlite3.Connection, tables: Mapping[str, str], version: int) -> None:
    rows = connection.execute("SELECT type, name, tbl_name, sql FROM sqlite_master")
    found = {}
    for kind, name, table, sql in rows:
        if kind == "table" and name in tables:
            found[name] = " ".join(str(sql).split())
        elif table in {*tables, *TABLES} and sql is not None:
            raise DamagedError(f"expected plain tables of version {spoken_version(version)}, got a {kind} upon them")
    if found != dict(tables):
        raise DamagedError(f"expected the tables of version {spoken_version(version)}, got others")


def _from_0_to_1(connection: sqlite3.Connection) -> None:
    """Split `wood` ("A/heartwood") into board and zone, give each state its parent, and note how much was decided."""
    build(connection, uuid.uuid4().hex)
    with long_values(connection):
        connection.execute("INSERT INTO photos (sha256, size, bytes) SELECT sha256, length(bytes), bytes FROM pictures")
    last: int | None = None
    for number, act, text in connection.execute("SELECT number, act, job FROM versions ORDER BY number").fetchall():
        last = add_state(connection, parent=last, at="", act=act, job=job_of(_job_text_of_version_0(text), number))
    if last is None:
        raise DamagedError("expected at least one state of the job, got none")
    write_place(connection, Place(current=last, tip=last, turn=1, at=""))
    connection.execute("DROP TABLE pictures")
    connection.execute("DROP TABLE versions")


def _job_text_of_version_0(text: str) -> str:
    try:
        job: Any = json.loads(text)
        for patch in job["patches"]:
            board, _, zone = patch.pop("wood", "").partition("/")
            patch.update(board=board, zone=zone)
    except (ValueError, RecursionError, TypeError, AttributeError, KeyError):
        raise DamagedError("expected a job in each state, got text that says none") from None
    return to_text(job)


_STEPS: Final[Mapping[int, Callable[[sqlite3.Connection], None]]] = {0: _from_0_to_1}
