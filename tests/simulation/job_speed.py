"""How long a large job takes to open and an act to be kept, beside bare SQLite on the same disk."""

from __future__ import annotations

import contextlib
import random
import resource
import sqlite3
import statistics
import time
from dataclasses import dataclass
from pathlib import Path

from colourcore.image.pixels import Outline
from colourcore.job import edits
from colourcore.job.codec import to_text
from colourcore.job.model import Job, Role
from colourcore.job.opening import new_job, open_job
from tests.colourcore.job.invented import photo_file

__all__ = ["Speed", "measure"]

AT = "2026-05-09T12:00:00+02:00"
PHOTOS, PHOTO_BYTES = 12, 8_000_000
SAMPLES_PER_PHOTO = 9


@dataclass(frozen=True, slots=True, kw_only=True)
class Speed:
    """What was measured; times in seconds, sizes in bytes. `read_bytes` is None where the system does not tell."""

    file_bytes: int
    state_bytes: int
    acts: int
    open_s: float
    read_bytes: int | None
    commit_s: float
    slowest_commit_s: float
    bare_s: float
    slowest_bare_s: float
    undo_s: float
    memory_mb: float


def measure(folder: Path, acts: int = 300, photo_bytes: int = PHOTO_BYTES) -> Speed:
    """Make a job of twelve photos with cards and samples, edit it, open it again, and time both."""
    path = folder / "large.duskgrain"
    chance = random.Random(5)
    contents = [chance.randbytes(photo_bytes) for _ in range(PHOTOS)]
    job = _large_job(contents)
    commits: list[float] = []
    bare_commits: list[float] = []
    undos: list[float] = []
    state = to_text(job)
    with (
        new_job(path, at=AT, job=job, photos=contents) as file,
        contextlib.closing(_bare(folder / "bare.sqlite", contents)) as bare,
    ):
        for number in range(acts):
            moved = edits.move_outlines(file.job, {2 + number % 9: Outline(x=number, y=50.25, width=80, height=60)})
            began = time.perf_counter()
            file.do(moved, at=AT)
            commits.append(time.perf_counter() - began)
            began = time.perf_counter()
            _commit_bare(bare, state, number)
            bare_commits.append(time.perf_counter() - began)
        for _ in range(20):
            began = time.perf_counter()
            file.undo(at=AT)
            undos.append(time.perf_counter() - began)
    open_s, read_bytes = _opened(path)
    return Speed(
        file_bytes=path.stat().st_size,
        state_bytes=len(state.encode("utf-8")),
        acts=acts,
        open_s=open_s,
        read_bytes=read_bytes,
        commit_s=statistics.median(commits),
        slowest_commit_s=max(commits),
        bare_s=statistics.median(bare_commits),
        slowest_bare_s=max(bare_commits),
        undo_s=statistics.median(undos),
        memory_mb=resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024,
    )


def _large_job(contents: list[bytes]) -> Job:
    job = edits.add_photos(Job(name="large"), [photo_file(f"IMG_{n}.jpg", c) for n, c in enumerate(contents)]).job
    for photo in job.photos:
        box = Outline(x=10, y=10, width=400, height=300)
        job = edits.add_outline(job, photo.name, box, Role.CARD).job
        for number in range(SAMPLES_PER_PHOTO):
            box = Outline(x=500.5 + 120 * number, y=400, width=100, height=80)
            said = {"hours": float(number), "board": "A", "zone": "heartwood"}
            job = edits.add_outline(job, photo.name, box, Role.SAMPLE, **said).job
    return job


def _opened(path: Path) -> tuple[float, int | None]:
    """Return the median time of opening to the last state, and the bytes read from the file for it."""
    times = []
    for _ in range(9):
        began = time.perf_counter()
        with open_job(path) as file:
            assert len(file.job.photos) == PHOTOS
        times.append(time.perf_counter() - began)
    before = _bytes_read()
    with open_job(path):
        after = _bytes_read()
    return statistics.median(times), None if before is None or after is None else after - before


def _bytes_read() -> int | None:
    try:
        lines = Path("/proc/self/io").read_text("ascii").splitlines()
    except OSError:
        return None
    return int(next(line for line in lines if line.startswith("rchar")).split()[1])


def _bare(path: Path, contents: list[bytes]) -> sqlite3.Connection:
    """A bare SQLite file of the same size with the same promises to the disk."""
    connection = sqlite3.connect(path, isolation_level=None)
    connection.execute("PRAGMA journal_mode = DELETE")
    connection.execute("PRAGMA synchronous = EXTRA")
    connection.execute("PRAGMA fullfsync = ON")
    connection.execute("CREATE TABLE photos (bytes BLOB)")
    connection.execute("CREATE TABLE states (id INTEGER PRIMARY KEY, job TEXT)")
    connection.execute("CREATE TABLE place (current INTEGER)")
    connection.execute("INSERT INTO place VALUES (0)")
    connection.executemany("INSERT INTO photos VALUES (?)", zip(contents, strict=True))
    return connection


def _commit_bare(connection: sqlite3.Connection, state: str, number: int) -> None:
    connection.execute("BEGIN IMMEDIATE")
    connection.execute("INSERT INTO states (job) VALUES (?)", (state,))
    connection.execute("UPDATE place SET current = ?", (number,))
    connection.execute("COMMIT")
