"""A program that edits a job is killed at random moments; what it had been told is kept must be there afterwards.

The kill is SIGKILL: the program gets no chance to tidy up, but the system keeps what was already handed to it. Power
cuts are not simulated; against them the job file asks the disk for full synchronisation at every act.
"""

from __future__ import annotations

import contextlib
import os
import random
import signal
import sqlite3
import struct
import time
from dataclasses import dataclass, field
from pathlib import Path

from colourcore.errors import InputError
from colourcore.job import edits
from colourcore.job.checkup import check_job
from colourcore.job.codec import to_text
from colourcore.job.model import Job
from colourcore.job.opening import new_job, open_job
from colourcore.job.store import JobFile
from tests.colourcore.job.invented import chest, digest, photo_file

__all__ = ["Kills", "kill_at_random"]

AT = "2026-05-09T12:00:00+02:00"
KILLS_PER_FILE = 50
_RECORD = struct.Struct("<q32s")  # the count of changes, and the digest of the job that stood after them


@dataclass(slots=True)
class Kills:
    """What the kills came to."""

    kills: int = 0
    acknowledged: int = 0
    lost: int = 0
    unopened: int = 0
    unsound: int = 0
    in_the_middle: int = 0
    complaints: list[str] = field(default_factory=list)


def kill_at_random(folder: Path, kills: int, seed: int = 1) -> Kills:
    """Kill an editing program so many times, on files of fifty kills each, and count what went wrong."""
    chance, counted = random.Random(seed), Kills()
    while counted.kills < kills:
        path = folder / f"killed {counted.kills}.duskgrain"
        new_job(path, at=AT, job=chest(), photos=[b"front", b"back"]).close()
        for _ in range(min(KILLS_PER_FILE, kills - counted.kills)):
            _kill_once(path, chance, counted)
        if not check_job(path).is_sound:
            counted.unsound += 1
        path.unlink()
    return counted


def _kill_once(path: Path, chance: random.Random, counted: Kills) -> None:
    reading, writing = os.pipe()
    seed = chance.randrange(2**32)
    child = os.fork()
    if child == 0:
        os.close(reading)
        try:
            _edit_without_end(path, writing, random.Random(seed))
        finally:
            os._exit(1)
    os.close(writing)
    told = [os.read(reading, _RECORD.size)]  # it has begun
    time.sleep(chance.uniform(0, 0.3))
    os.kill(child, signal.SIGKILL)
    if os.WIFEXITED(os.waitpid(child, 0)[1]):
        counted.unopened += 1
        counted.complaints.append("the editing program ended by itself")
    while record := os.read(reading, _RECORD.size):
        told.append(record)
    os.close(reading)
    counted.kills += 1
    if not told[0]:
        counted.unopened += 1
        counted.complaints.append("the editing program could not begin")
        return
    counted.acknowledged += len(told) - 1
    counted.in_the_middle += path.with_name(f"{path.name}-journal").exists()
    _look(path, told[-1], counted)


def _look(path: Path, last: bytes, counted: Kills) -> None:
    turn, stood = _RECORD.unpack(last)
    try:
        with open_job(path, read_only=counted.kills % 2 == 0) as file:
            now, job = _turn(file), file.job
            load = file.load
            photos = [digest(load(photo.name)) == photo.sha256 for photo in job.photos]
            whole = not file.losses and all(photos)
    except InputError as error:
        counted.unopened += 1
        counted.complaints.append(str(error))
        return
    if now < turn or (now == turn and _digest(job) != stood) or not whole:
        counted.lost += 1
        counted.complaints.append(f"told {turn} changes were kept, found {now}")


def _edit_without_end(path: Path, writing: int, chance: random.Random) -> None:
    """Do, undo and redo until killed; tell of each act once it is kept. Runs in the child alone."""
    file = open_job(path)
    os.write(writing, _RECORD.pack(_turn(file), _digest(file.job)))
    while True:
        kind = chance.random()
        if kind < 0.2:
            file.undo(at=AT)
        elif kind < 0.3:
            file.redo(at=AT)
        elif kind < 0.4:
            content = chance.randbytes(chance.randrange(1, 300_000))
            photo = photo_file(f"{chance.randrange(10**9)}.jpg", content)
            keep = file.job if len(file.job.photos) < 6 else edits.remove_photo(file.job, file.job.photos[-1].name).job
            file.do(edits.add_photos(keep, [photo]), at=AT, photos=[content])
        else:
            file.do(edits.set_label(file.job, 2, str(chance.random())), at=AT)
        os.write(writing, _RECORD.pack(_turn(file), _digest(file.job)))


def _turn(file: JobFile) -> int:
    """Return how many changes the file counts, as the sqlite3 shell would find it."""
    with contextlib.closing(sqlite3.connect(file.path)) as connection:
        turn: int = connection.execute("SELECT turn FROM place").fetchone()[0]
        return turn


def _digest(job: Job) -> bytes:
    return bytes.fromhex(digest(to_text(job).encode("utf-8")))
