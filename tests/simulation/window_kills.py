"""The window is killed at random moments while it is driven; what it said was kept must be there when it comes back.

A child process without a screen opens the window on the job that lay there last, does act after act as a hand would
(outlines, names, hours, undo and redo, with the reading going on behind), and tells its parent of each act once the
window shows it as kept. The parent kills it with SIGKILL, opens the job file as the next start would, and compares.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import random
import signal
import sqlite3
import struct
import subprocess
import sys
import time
from dataclasses import dataclass, field
from pathlib import Path

from colourcore.errors import InputError
from colourcore.job.codec import to_text
from colourcore.job.model import Job
from colourcore.job.opening import open_job

__all__ = ["WindowKills", "kill_the_window"]

_RECORD = struct.Struct("<q32s")  # how many changes the file counts, and the digest of the job that the window showed
_LONGEST_MS = 1500


@dataclass(slots=True)
class WindowKills:
    """What the kills came to: acts `shown` as kept, how many of these were `lost`, windows that did not come back
    (`unopened`), and kills `between` an act being kept and its being told.
    """

    kills: int = 0
    shown: int = 0
    lost: int = 0
    unopened: int = 0
    between: int = 0
    complaints: list[str] = field(default_factory=list)


def kill_the_window(folder: Path, kills: int, seed: int = 1) -> WindowKills:
    """Kill a driven window so many times and count what was lost."""
    chance, counted = random.Random(seed), WindowKills()
    _drive(folder, chance.randrange(2**31), kill_after_s=None)  # the first time it makes the job, and ends by itself
    for _ in range(kills):
        told = _drive(folder, chance.randrange(2**31), kill_after_s=chance.uniform(0, _LONGEST_MS / 1000))
        counted.kills += 1
        counted.shown += max(len(told) - 1, 0)
        _look(folder, told, counted)
    return counted


def _drive(folder: Path, seed: int, *, kill_after_s: float | None) -> list[bytes]:
    """Return what the window told: first the job that it came back with, then the job after each act."""
    environment = os.environ | {"QT_QPA_PLATFORM": "offscreen"}
    command = [sys.executable, "-m", __spec__.name, str(folder), str(seed)]
    if kill_after_s is None:
        command.append("begin")
    child = subprocess.Popen(command, stdout=subprocess.PIPE, env=environment)
    assert child.stdout is not None
    told = [child.stdout.read(_RECORD.size)]  # the window has come back, and the hand begins
    if kill_after_s is not None:
        time.sleep(kill_after_s)
        child.send_signal(signal.SIGKILL)
    while record := child.stdout.read(_RECORD.size):
        told.append(record)
    child.stdout.close()
    child.wait()
    return [record for record in told if len(record) == _RECORD.size]


def _look(folder: Path, told: list[bytes], counted: WindowKills) -> None:
    if not told:
        counted.unopened += 1
        counted.complaints.append("the window did not come back")
        return
    (path,) = (folder / "jobs").glob("*.duskgrain")
    turn, stood = _RECORD.unpack(told[-1])
    try:
        with open_job(path, read_only=True) as file:
            now, lost = _digest(file.job), bool(file.losses)
            at = _turn(path)
    except InputError as error:
        counted.unopened += 1
        counted.complaints.append(str(error))
        return
    if at < turn or (at == turn and now != stood) or lost:
        counted.lost += 1
        counted.complaints.append(f"the window showed {turn} changes as kept, {at} were found")
    counted.between += at > turn


def _turn(path: Path) -> int:
    """Return how many changes the file counts, as the sqlite3 shell would find it."""
    with contextlib.closing(sqlite3.connect(path)) as connection:
        turn: int = connection.execute("SELECT turn FROM place").fetchone()[0]
        return turn


def _digest(job: Job) -> bytes:
    return hashlib.sha256(to_text(job).encode("utf-8")).digest()


def _child(folder: Path, seed: int, *, begin: bool) -> None:
    """Drive the window until killed. Runs in the child alone."""
    from PySide6.QtWidgets import QApplication

    from app.views.theme import load_fonts
    from app.views.window import Window
    from tests.app.hand import darkening, make_photo
    from tests.app.screenshots import NOON, rest, wait

    application = QApplication([])
    application.setStyle("Fusion")
    load_fonts()
    window = Window(folder / "own", folder / "jobs", lambda: NOON)
    window.show()
    if begin:
        window.open_paths([make_photo(folder / "boards.png", darkening())])
        wait(lambda: window.document.job_file is not None and not window.tasks.busy("keeping"))
        rest(window)
        window.close()
        return
    window.begin_work([])
    wait(lambda: window.document.job_file is not None)
    assert window.document.job_file is not None
    path, chance = window.document.job_file.path, random.Random(seed)
    while True:
        sys.stdout.buffer.write(_RECORD.pack(_turn(path), _digest(window.document.job)))
        sys.stdout.buffer.flush()
        _act(window, chance)
        end = time.monotonic() + chance.uniform(0, 0.08)
        while time.monotonic() < end:
            application.processEvents()


def _act(window: object, chance: random.Random) -> None:
    """Do one act as a hand would: an outline drawn, one moved, a name, hours typed, undo, redo."""
    from PySide6.QtCore import Qt
    from PySide6.QtTest import QTest

    from app.views.photos import PhotosPlace
    from app.views.window import Window
    from colourcore.job import edits
    from colourcore.job.model import Role

    assert isinstance(window, Window)
    control = Qt.KeyboardModifier.ControlModifier
    photos = window.frame.place("photos")
    assert isinstance(photos, PhotosPlace)
    kind = chance.random()
    samples = [patch.identity for patch in window.document.job.patches if patch.role is Role.SAMPLE]
    if kind < 0.2:
        QTest.keyClick(window, Qt.Key.Key_Z, control)
    elif kind < 0.3:
        QTest.keyClick(window, Qt.Key.Key_Y, control)
    elif kind < 0.5 and photos.canvas.has_photo and len(window.document.job.patches) < 12:
        QTest.keyClick(photos.canvas, Qt.Key.Key_O)
    elif kind < 0.8 and window.session.state.chosen:
        arrow = chance.choice([Qt.Key.Key_Left, Qt.Key.Key_Right, Qt.Key.Key_Up, Qt.Key.Key_Down])
        QTest.keyClick(photos.canvas, arrow, Qt.KeyboardModifier.ShiftModifier)
    elif kind < 0.9 and samples:
        hours = {chance.choice(samples): round(chance.uniform(0, 24), 2)}
        window.session.edit(lambda job: edits.set_hours(job, hours))
    else:
        name = f"Chest {chance.randrange(10**6)}"
        window.session.edit(lambda job: edits.name_job(job, name))


if __name__ == "__main__":
    _child(Path(sys.argv[1]), int(sys.argv[2]), begin=sys.argv[3:] == ["begin"])
