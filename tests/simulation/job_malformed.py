"""Files that are no job, or no longer one, or made by somebody who means harm: each must come to a sentence or open.

Every file is handled in a child process: opened, read, checked, unpacked, copied, edited where that is allowed. A
traceback, an act that hangs, a statement of a stranger that was carried out, and memory beyond a gigabyte are counted.
"""

from __future__ import annotations

import contextlib
import hashlib
import itertools
import json
import os
import random
import resource
import select
import shutil
import signal
import sqlite3
import time
import traceback
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from colourcore.errors import InputError
from colourcore.job import edits
from colourcore.job.archive import unpack
from colourcore.job.checkup import check_job
from colourcore.job.opening import new_job, open_job
from colourcore.job.rescue import clean_copy
from colourcore.job.schema import APPLICATION_ID
from tests.colourcore.job.invented import chest, digest

__all__ = ["Malformed", "handle_malformed"]

AT = "2026-05-09T12:00:00+02:00"
LONGEST_S = 10.0
MOST_MEMORY_MB = 1000
FILES_PER_CHILD = 25
_BAIT = "somebody else's statement was carried out"
_SNEAK = "INSERT INTO bait VALUES (1)"

Chance = random.Random
Maker = Callable[[Path, Path, Chance], None]
"""Writes a malformed file: from a sound job, at a path, by chance."""


@dataclass(slots=True)
class Malformed:
    """What handling the files came to."""

    files: int = 0
    kinds: Counter[str] = field(default_factory=Counter)
    opened: int = 0
    refused: int = 0
    tracebacks: int = 0
    hangs: int = 0
    executed: int = 0
    longest_s: float = 0.0
    most_memory_mb: float = 0.0
    faults: list[str] = field(default_factory=list)


def handle_malformed(folder: Path, files: int, seed: int = 1) -> Malformed:
    """Make so many malformed files of every kind in turn and handle each; count what went wrong."""
    chance, counted = random.Random(seed), Malformed()
    sound = _sound_job(folder / "sound.duskgrain")
    makers = list(_MAKERS.items())
    while counted.files < files:
        batch: list[tuple[str, Path]] = []
        for number in range(min(FILES_PER_CHILD, files - counted.files)):
            kind, make = makers[(counted.files + number) % len(makers)]
            path = folder / f"{counted.files + number} {kind}.duskgrain"
            make(sound, path, random.Random(chance.randrange(2**63)))
            counted.kinds[kind] += 1
            batch.append((kind, path))
        _in_a_child(batch, folder, counted)
        counted.files += len(batch)
        for _, path in batch:
            path.unlink(missing_ok=True)
    return counted


def _sound_job(path: Path) -> Path:
    with new_job(path, at=AT, job=chest(), photos=[b"front", b"back", b"plain ground" * 3000]) as file:
        for number in range(30):
            file.do(edits.set_label(file.job, 2, f"label {number}"), at=AT)
        file.undo(at=AT)
    return path


# handling


def _in_a_child(batch: list[tuple[str, Path]], folder: Path, counted: Malformed) -> None:
    left = list(batch)
    while left:
        reading, writing = os.pipe()
        child = os.fork()
        if child == 0:
            os.close(reading)
            _handle_all(left, folder, writing)
        os.close(writing)
        done = _listen(child, reading, left, counted)
        os.close(reading)
        left = left[done:]


def _listen(child: int, reading: int, batch: list[tuple[str, Path]], counted: Malformed) -> int:
    """Read one line for each act and each file; return how many files are done.

    A child that says nothing for too long is killed.
    """
    done, said = 0, b""
    began = time.monotonic()
    while True:
        ready, _, _ = select.select([reading], [], [], max(0.0, began + LONGEST_S - time.monotonic()))
        part = os.read(reading, 65_536) if ready else b""
        said += part
        while b"\n" in said:
            line, said = said.split(b"\n", 1)
            began = time.monotonic()
            if line:
                _count(json.loads(line), batch[done][0], counted)
                done += 1
        if not part:
            break
    if not ready:
        os.kill(child, signal.SIGKILL)
        counted.hangs += 1
        counted.faults.append(f"{batch[done][0]}: longer than {LONGEST_S:g} s")
        done += 1
    _, status, usage = os.wait4(child, 0)
    counted.most_memory_mb = max(counted.most_memory_mb, usage.ru_maxrss / 1024)
    if ready and done < len(batch):
        counted.tracebacks += 1
        counted.faults.append(f"{batch[done][0]}: the program ended ({os.waitstatus_to_exitcode(status)})")
        done += 1
    return done


def _count(told: dict[str, Any], kind: str, counted: Malformed) -> None:
    counted.longest_s = max(counted.longest_s, told["seconds"])
    counted.opened += told["opened"]
    counted.refused += not told["opened"]
    counted.executed += told["executed"]
    if told["traceback"]:
        counted.tracebacks += 1
        counted.faults.append(f"{kind}: {told['traceback']}")


def _handle_all(batch: list[tuple[str, Path]], folder: Path, writing: int) -> None:
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    for _, path in batch:
        trouble: list[str] = []
        seconds = [time.monotonic()]

        def after_an_act(seconds: list[float] = seconds) -> None:
            seconds.append(time.monotonic())
            os.write(writing, b"\n")

        opened = _handle(path, folder, trouble, after_an_act)
        told = {
            "seconds": max(after - before for before, after in itertools.pairwise(seconds)),
            "opened": opened,
            "executed": _was_carried_out(path),
            "traceback": "; ".join(trouble),
        }
        os.write(writing, json.dumps(told).encode("ascii") + b"\n")
    os._exit(0)


def _handle(path: Path, folder: Path, trouble: list[str], after_an_act: Callable[[], None]) -> bool:
    """Do with a file whatever can be done; return whether it opened. What is no sentence is noted as trouble."""
    out, copy = folder / "out", folder / "copy.duskgrain"
    opened = []

    def look() -> None:
        with open_job(path, read_only=True) as file:
            opened.append(True)
            load = file.load
            for photo in file.job.photos:
                with contextlib.suppress(InputError):
                    load(photo.name)
            file.recall("1", dict)  # type: ignore[arg-type]  # nothing of the kind is kept

    def edit() -> None:
        with open_job(path) as file:
            file.do(edits.name_job(file.job, "edited"), at=AT)
            for _ in range(3):
                file.undo(at=AT)

    for act in (look, lambda: check_job(path), lambda: unpack(path, out), lambda: clean_copy(path, copy), edit):
        try:
            act()
        except InputError as error:
            if len(str(error)) > 1000 or "\n" in str(error):
                trouble.append(f"no sentence: {str(error)[:100]!r}")
        except BaseException:  # noqa: BLE001 - whatever else escapes is what is counted here
            trouble.append(" | ".join(traceback.format_exc().splitlines()[-6:]))
        after_an_act()
    shutil.rmtree(out, ignore_errors=True)
    copy.unlink(missing_ok=True)
    return bool(opened)


def _was_carried_out(path: Path) -> bool:
    if b"CREATE TABLE bait" not in path.read_bytes():
        return False
    with contextlib.closing(sqlite3.connect(path)) as connection, contextlib.suppress(sqlite3.Error):
        return bool(connection.execute("SELECT count(*) FROM bait").fetchone()[0])
    return False


# making


def _truncated(sound: Path, path: Path, chance: Chance) -> None:
    content = sound.read_bytes()
    path.write_bytes(content[: chance.randrange(len(content))])


def _bits_flipped(sound: Path, path: Path, chance: Chance) -> None:
    content = bytearray(sound.read_bytes())
    first = chance.random() < 0.4  # most of what SQLite goes by stands at the start of pages
    for _ in range(chance.choice([1, 3, 20, 200])):
        place = chance.randrange(len(content))
        content[place - place % 4096 + chance.randrange(100) if first else place] ^= 1 << chance.randrange(8)
    path.write_bytes(content)


def _pages_shuffled(sound: Path, path: Path, chance: Chance) -> None:
    content = sound.read_bytes()
    pages = [content[at : at + 4096] for at in range(0, len(content), 4096)]
    for _ in range(chance.randrange(1, 8)):
        one, other = chance.randrange(1, len(pages)), chance.randrange(1, len(pages))
        pages[one] = chance.choice([pages[other], bytes(4096), chance.randbytes(4096)])
    path.write_bytes(b"".join(pages))


def _random_bytes(_: Path, path: Path, chance: Chance) -> None:
    start = chance.choice([b"", b"SQLite format 3\0", b"\xff\xd8\xff\xe0"])
    path.write_bytes(start + chance.randbytes(chance.randrange(20_000)))


def _foreign_database(_: Path, path: Path, chance: Chance) -> None:
    ours = chance.random() < 0.5
    with _shell(path) as connection:
        if chance.random() < 0.3:
            connection.execute("PRAGMA encoding = 'UTF-16'")
        connection.execute("CREATE TABLE contacts (name TEXT, photo BLOB)")
        connection.execute("INSERT INTO contacts VALUES ('nobody', zeroblob(5000))")
        if ours:
            connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
            connection.execute(f"PRAGMA user_version = {chance.choice([0, 1, 999, 1000, 1999, 2000, 2**31 - 1, -1])}")


_HOSTILE_TEXT = [
    "",
    "\0",
    "'; DROP TABLE states; --",
    "../../../../etc/passwd",
    "x" * 100_000,
    "\u202e\u0000\ufeff",
    "NaN",
    "=1+1",
    "%s%n{0}{job}",
    "con",
]
_HOSTILE_JSON = [
    "",
    "null",
    "[]",
    "{",
    "1" * 5000,
    "[" * 50_000 + "]" * 50_000,
    '{"a":' * 20_000 + "1" + "}" * 20_000,
    "[" + "[]," * 650_000 + "[]]",
    '{"a":[' + "1.5," * 450_000 + "1]}",
    '{"name":' + json.dumps("x" * 1_900_000) + "}",
    '{"photos":' + json.dumps([{"name": f"{n}", "sha256": "0" * 64} for n in range(1_000)]) + "}",
    '{"patches":[{"identity":1,"hours":1e400}]}',
    '{"patches":[{"identity":1},{"identity":1}]}',
    '{"patches":[{"identity":1,"photo":"nowhere.jpg"}]}',
    '{"patches":[{"identity":1,"outline":{"x":-1e308,"y":1e308,"width":1e308,"height":-5}}]}',
    '{"patches":' * 3,
]


_COLUMNS = [
    *("states.parent", "states.at", "states.act", "states.sha256", "states.job"),
    *("photos.sha256", "photos.size", "photos.bytes"),
    *("place.current", "place.tip", "place.turn", "place.at", "about.value"),
]


def _hostile_values(sound: Path, path: Path, chance: Chance) -> None:
    """Put a value of the wrong kind into a column, as anybody with a shell can."""
    shutil.copyfile(sound, path)
    column = chance.choice(_COLUMNS)
    table, name = column.split(".")
    blob = chance.randbytes(chance.choice([0, 1, 1000]))
    value = chance.choice([None, -1, 0, 2**63 - 1, 1.5, float("inf"), blob, *_HOSTILE_TEXT])
    with _shell(path) as connection, contextlib.suppress(sqlite3.IntegrityError):
        connection.execute(f"UPDATE {table} SET {name} = ?", (value,))


def _hostile_states(sound: Path, path: Path, chance: Chance) -> None:
    """Write a last state whose checksum is right and whose text is hostile."""
    shutil.copyfile(sound, path)
    text = chance.choice([*_HOSTILE_JSON, _job_of_hostile_names(chance), _job_of_hostile_names(chance)])
    act = chance.choice(_HOSTILE_TEXT)
    with _shell(path) as connection:
        said = "\n".join(["32", "31", AT, act, text])
        checksum = hashlib.sha256(said.encode("utf-8")).hexdigest()
        connection.execute("INSERT INTO states VALUES (32, 31, ?, ?, ?, ?)", (AT, act, checksum, text))
        connection.execute("UPDATE place SET current = 32, tip = 32")


def _job_of_hostile_names(chance: Chance) -> str:
    names = chance.sample(
        ["../up.jpg", "/abs.jpg", "C:\\x.jpg", "con.jpg", "a\0b", "..", ".", "", "\\\\host\\share", "a/b"], 3
    )
    photos = [{"name": name, "sha256": digest(b"back")} for name in names]
    patches = [
        {"identity": n, "photo": name, "board": chance.choice(_HOSTILE_TEXT), "label": chance.choice(_HOSTILE_TEXT)}
        for n, name in enumerate(names)
    ]
    return json.dumps({"name": chance.choice(_HOSTILE_TEXT), "photos": photos, "patches": patches})


def _absurd_sizes(sound: Path, path: Path, chance: Chance) -> None:
    """Claim more than there is: pages, cells and values of enormous length, an endless line of acts."""
    content = bytearray(sound.read_bytes())
    kind = chance.randrange(5)
    if kind == 0:
        content[28:32] = chance.choice([b"\xff\xff\xff\xff", b"\x7f\xff\xff\xff", b"\0\0\0\1"])
    elif kind == 1:
        content[16:18] = chance.choice([b"\0\1", b"\2\0", b"\xff\xff", b"\x80\0"])
    elif kind == 2:
        for _ in range(30):
            page = chance.randrange(1, len(content) // 4096) * 4096
            at = page + chance.randrange(4090)
            content[at : at + 5] = b"\xff\xff\xff\xff\x7f"
    path.write_bytes(content)
    if kind == 3:
        with _shell(path) as connection:
            connection.execute("UPDATE photos SET bytes = zeroblob(60000000), size = 99999999999")
    if kind == 4:
        with _shell(path) as connection:
            connection.execute(
                "WITH RECURSIVE n(i) AS (SELECT 32 UNION ALL SELECT i + 1 FROM n LIMIT 40000) "
                "INSERT INTO states SELECT i, i - 1, '', 'act', '', '' FROM n"
            )
            connection.execute("UPDATE place SET tip = 40000")


def _names_of_sql(sound: Path, path: Path, chance: Chance) -> None:
    shutil.copyfile(sound, path)
    names = [
        '"; DROP TABLE states; --',
        "states'",
        "état",
        " ",
        "sqlite",
        "photos\n",
        "x" * 5000,
        "%s",
        "[a]",
        "select",
    ]
    with _shell(path) as connection:
        for name in chance.sample(names, 4):
            quoted = name.replace('"', '""')
            connection.execute(f'CREATE TABLE "{quoted}" ("{quoted}" TEXT)')
            connection.execute(f'INSERT INTO "{quoted}" VALUES (?)', (_BAIT,))


_MEDDLING = [
    f"CREATE TRIGGER sneak AFTER INSERT ON states BEGIN {_SNEAK}; END",
    f"CREATE TRIGGER sneak BEFORE UPDATE ON place BEGIN {_SNEAK}; END",
    f"CREATE TRIGGER sneak AFTER DELETE ON place BEGIN {_SNEAK}; DELETE FROM photos; END",
    "CREATE INDEX sneak ON states (abs(id))",
    "CREATE UNIQUE INDEX sneak ON photos (size) WHERE hex(bytes) > ''",
    "CREATE VIEW sneak AS SELECT load_extension('sneak') FROM states",
    "CREATE VIRTUAL TABLE sneak USING fts5(said)",
    "CREATE TABLE sneak (a, b AS (randomblob(1000000000)))",
    "CREATE TABLE sneak (a CHECK (length(hex(zeroblob(400000000))) > 0))",
]


def _meddled_with(sound: Path, path: Path, chance: Chance) -> None:
    """Add triggers, views, indexes and tables that compute, or put a view in the place of a table."""
    shutil.copyfile(sound, path)
    with _shell(path) as connection:
        connection.execute("CREATE TABLE bait (said)")
        for statement in chance.sample(_MEDDLING, chance.randrange(1, 3)):
            with contextlib.suppress(sqlite3.Error):
                connection.execute(statement)
        if chance.random() < 0.4:
            table = chance.choice(["states", "photos", "place", "about", "measured"])
            connection.execute(f"ALTER TABLE {table} RENAME TO hidden")
            connection.execute(f"CREATE VIEW {table} AS SELECT *, randomblob(900000000) FROM hidden")
            if chance.random() < 0.5:
                connection.execute(f"CREATE TRIGGER instead INSTEAD OF INSERT ON {table} BEGIN {_SNEAK}; END")


def _schema_rewritten(sound: Path, path: Path, chance: Chance) -> None:
    """Rewrite the statements in the schema: columns that compute, checks and defaults, nonsense."""
    shutil.copyfile(sound, path)
    changes = [
        ("job TEXT NOT NULL)", "job TEXT NOT NULL CHECK (length(randomblob(900000000))))"),
        ("act TEXT NOT NULL", "act TEXT DEFAULT (load_extension('x'))"),
        ("at TEXT NOT NULL", "at TEXT AS (hex(zeroblob(900000000)))"),
        ("TABLE states", "VIRTUAL TABLE states USING nothing"),
        ("states", "sta''tes"),
        ("INTEGER PRIMARY KEY", "TEXT PRIMARY KEY"),
        ("CREATE TABLE", "CREATE TEMP TABLE"),
        ("TEXT", "\0"),
    ]
    with _shell(path) as connection:
        connection.execute("PRAGMA writable_schema = ON")
        old, new = chance.choice(changes)
        connection.execute("UPDATE sqlite_master SET sql = replace(sql, ?, ?)", (old, new))


def _shell(path: Path) -> contextlib.closing[sqlite3.Connection]:
    return contextlib.closing(sqlite3.connect(path, isolation_level=None))


_MAKERS: dict[str, Maker] = {
    "truncated": _truncated,
    "bits flipped": _bits_flipped,
    "bits flipped again": _bits_flipped,
    "pages shuffled": _pages_shuffled,
    "random bytes": _random_bytes,
    "foreign database": _foreign_database,
    "hostile values": _hostile_values,
    "hostile states": _hostile_states,
    "absurd sizes": _absurd_sizes,
    "names of SQL": _names_of_sql,
    "meddled with": _meddled_with,
    "schema rewritten": _schema_rewritten,
}
