"""How long the window takes as a whole process, beside a bare Qt start, and whether a hand ever waits for a reading.

Run with ``python -m tests.benchmarks.bench_window_process [--small]``. Wall time and processor time stand side by
side, because on a busy machine only the second is the program's own; the first counted run warms the disk and is left
out. `--small` takes photos of 2 megapixels, to see that it works.
"""

from __future__ import annotations

import os

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

import argparse
import statistics
import sys
import tempfile
import time
from pathlib import Path

from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from app.views.painted import install
from app.views.photos import PhotosPlace
from app.views.theme import load_fonts
from app.views.window import Window
from tests.app.screenshots import NOON, rest, wait
from tests.benchmarks.bench_window import LARGE, PHOTOS, boxes, fill

RUNS = 5
START_S, REOPEN_S, FRAME_MS = 1.5, 1.0, 10.0

_BARE = """
from PySide6.QtWidgets import QApplication, QWidget
application = QApplication([])
widget = QWidget()
widget.show()
application.processEvents()
"""

_OPEN = """
import os, sys, time
from pathlib import Path
from PySide6.QtWidgets import QApplication
from app.views.painted import install
from app.views.theme import load_fonts
from app.views.window import Window
application = QApplication([])
application.setStyle("Fusion")
load_fonts()
install()
window = Window(Path(sys.argv[1]) / "own", Path(sys.argv[1]) / "jobs")
window.show()
begun = time.perf_counter()
window.begin_work([Path(path) for path in sys.argv[2:]])
application.processEvents()
while sys.argv[2:] and (not window.session.state.current or window.session.state.results is None):
    application.processEvents()
    time.sleep(0.001)
application.processEvents()
print(time.perf_counter() - begun, flush=True)
os._exit(0)
"""


def timed(script: str, *arguments: str) -> tuple[float, float, float]:
    """Run a script in a process of its own; return wall and processor seconds of all of it, and what it printed."""
    reading, writing = os.pipe()
    begun = time.perf_counter()
    child = os.posix_spawn(
        sys.executable,
        [sys.executable, "-c", script, *arguments],
        os.environ,
        file_actions=[(os.POSIX_SPAWN_DUP2, writing, 1), (os.POSIX_SPAWN_CLOSE, reading)],
    )
    os.close(writing)
    _, status, used = os.wait4(child, 0)
    wall = time.perf_counter() - begun
    said = os.read(reading, 1000)
    os.close(reading)
    if status:
        raise RuntimeError(f"the measured process ended with status {status}")
    return wall, used.ru_utime + used.ru_stime, float(said or b"nan")


def middles(script: str, *arguments: str) -> tuple[float, float, float]:
    """Return the medians of several warm runs."""
    runs = [timed(script, *arguments) for _ in range(RUNS + 1)][1:]
    wall, used, inner = (statistics.median(column) for column in zip(*runs, strict=True))
    return wall, used, inner


def measure_start(folder: Path, job: Path) -> None:
    """A process from nothing to a usable window, on nothing and on the job; and Qt alone."""
    bare_wall, bare_used, _ = middles(_BARE)
    wall, used, _ = middles(_OPEN, str(folder / "start"))
    print(f"start to a usable window, whole process  {wall:6.2f} s, processor {used:5.2f} s   aim {START_S:g} s")
    print(f"  a bare Qt window                       {bare_wall:6.2f} s, processor {bare_used:5.2f} s")
    print(f"  ratio                                  {wall / bare_wall:6.1f},   processor {used / bare_used:5.1f}")
    wall, used, inner = middles(_OPEN, str(folder / "start"), str(job))
    print(
        f"job of {PHOTOS} photos reopened, its readings kept {inner:6.2f} s                      aim {REOPEN_S:g} s\n"
        f"  whole process with it                  {wall:6.2f} s, processor {used:5.2f} s"
    )


def measure_drag_while_reading(window: Window) -> None:
    """Drag an outline while all photos are being measured anew, and the same with nothing under way."""
    photos = window.frame.place("photos")
    assert isinstance(photos, PhotosPlace)
    wait(lambda: photos.canvas.has_photo)
    quiet = _drag(photos, 60, lambda: True)
    window.session.measured.facts.clear()
    window.session.measured.statistics.clear()
    window.document.changed.emit()  # as after an act: the job is read anew, and nothing of it is known
    busy = _drag(photos, 2000, lambda: window.tasks.busy("reading"))
    for what, (walls, used) in (("nothing under way", quiet), ("all photos being read", busy)):
        print(
            f"an outline dragged, {what:<24} {len(walls):>5} frames: median {statistics.median(walls):5.1f} ms, "
            f"worst {max(walls):5.1f}; processor of the window's thread {statistics.median(used):4.1f}, "
            f"worst {max(used):5.1f}   aim {FRAME_MS:g} ms"
        )


def _drag(photos: PhotosPlace, most: int, going_on: object) -> tuple[list[float], list[float]]:
    assert callable(going_on)
    canvas = photos.canvas
    left, top, right, bottom = boxes(canvas.view.photo)[3]
    x, y = canvas.view.to_view((left + right) / 2, (top + bottom) / 2)
    start = QPoint(round(x), round(y))
    QTest.mousePress(canvas, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier, start)
    walls, used = [], []
    number = 0
    while number < most and (going_on() or number < 20):
        number += 1
        wall, own = time.perf_counter(), time.thread_time()
        QTest.mouseMove(canvas, start + QPoint(number % 40 + 5, number % 23))
        QApplication.processEvents()
        walls.append((time.perf_counter() - wall) * 1000)
        used.append((time.thread_time() - own) * 1000)
    QTest.mouseMove(canvas, start)
    QTest.mouseRelease(canvas, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier, start)
    return walls[3:], used[3:]


def main() -> None:
    """Make the job, then print every figure."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.bench_window_process", description=__doc__)
    parser.add_argument("--small", action="store_true")
    size = (1800, 1200) if parser.parse_args().small else LARGE
    application = QApplication.instance() or QApplication([])
    assert isinstance(application, QApplication)
    application.setStyle("Fusion")
    load_fonts()
    install()
    load = ", ".join(f"{figure:.1f}" for figure in os.getloadavg())
    print(
        f"load {load} on {os.cpu_count()} cores; {PHOTOS} photos of {size[0] * size[1] / 1e6:.0f} megapixels",
        flush=True,
    )
    with tempfile.TemporaryDirectory(prefix="measure_") as name:
        folder = Path(name)
        window = Window(folder / "own", folder / "jobs", lambda: NOON)
        window.show()
        fill(window, folder, PHOTOS, size)
        wait(lambda: window.document.job_file is not None)
        settled = time.monotonic() + 4  # the readings go into the job file once the hand has rested
        wait(lambda: time.monotonic() > settled)
        rest(window)
        measure_drag_while_reading(window)
        rest(window)
        window.close()
        measure_start(folder, next((folder / "jobs").glob("*.duskgrain")))


if __name__ == "__main__":
    main()
