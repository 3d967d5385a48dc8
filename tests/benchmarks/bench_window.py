"""How soon the window is usable, how smooth it stays under the hand, and what it holds in memory.

Run with ``python -m tests.benchmarks.bench_window``; it takes a few minutes and prints each figure beside its aim.
Nothing is asserted, because the machine is part of the figure. The window is opened without a screen; frames are
timed in process time, from the hand's move to the painted picture.
"""

from __future__ import annotations

import os

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

import io
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
from PIL import Image
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from app.models.photo_view import PhotoView
from app.views.painted import install
from app.views.photos import PhotosPlace
from app.views.theme import load_fonts
from app.views.window import Window
from colourcore.image.pixels import Outline
from colourcore.job import edits
from colourcore.job.model import Role
from tests.app.screenshots import NOON, rest, wait

PHOTOS, LARGE, HUGE = 12, (6000, 4000), (8660, 5774)
FRAMES, DRAGS = 120, 1000

_START = """
import sys, time
begun = time.perf_counter()
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
window.begin_work([Path(path) for path in sys.argv[2:]])
application.processEvents()
shown = time.perf_counter() - begun
while len(sys.argv) > 2 and (not window.session.state.current or window.session.state.results is None):
    application.processEvents()
    time.sleep(0.002)
print(shown, time.perf_counter() - begun)
window.close()
"""


def photo_bytes(size: tuple[int, int], seed: int) -> bytes:
    """A JPEG of that many pixels: a card and nine samples with grain on grey ground."""
    random = np.random.default_rng(seed)
    tile = random.normal(0, 6, (size[1] // 4, size[0] // 4))
    ground = np.clip(150 + tile, 0, 255)
    pixels = np.repeat(ground[..., None], 3, axis=2).astype(np.uint8)
    for number, (left, top, right, bottom) in enumerate(boxes(size)):
        shade = np.array((118, 118, 118)) if number == 0 else np.array((205, 170, 130)) * (1 - 0.05 * number)
        part = pixels[top // 4 : bottom // 4, left // 4 : right // 4].astype(float) - 150 + shade
        pixels[top // 4 : bottom // 4, left // 4 : right // 4] = np.clip(part, 0, 255)
    out = io.BytesIO()
    Image.fromarray(pixels).resize(size).save(out, "JPEG", quality=92)
    return out.getvalue()


def boxes(size: tuple[int, int]) -> list[tuple[int, int, int, int]]:
    """Where the card and nine samples lie."""
    wide, high = size[0] // 5, size[1] // 2
    return [
        (c * wide + wide // 8, r * high + high // 8, (c + 1) * wide - wide // 8, (r + 1) * high - high // 8)
        for r in range(2)
        for c in range(5)
    ]


def fill(window: Window, folder: Path, count: int, size: tuple[int, int]) -> None:
    """Take photos in and outline a card and nine samples in each."""
    paths = []
    for number in range(count):
        paths.append(folder / f"photo{number:02d}.jpg")
        paths[-1].write_bytes(photo_bytes(size, number))
    window.open_paths(paths)
    wait(lambda: len(window.document.job.photos) == count)
    for path in paths:
        for number, (left, top, right, bottom) in enumerate(boxes(size)):
            outline = Outline(x=left, y=top, width=right - left, height=bottom - top)
            role: Role = Role.SAMPLE if number else Role.CARD
            said: dict[str, object] = {"hours": float(number), "board": path.stem[-2:]} if number else {}
            window.document.apply(
                lambda job, p=path.name, o=outline, r=role, s=said: edits.add_outline(job, p, o, r, **s)
            )
    rest(window)


def resident_mb() -> float:
    """Memory held by this process, in MB."""
    for line in Path("/proc/self/status").read_text().splitlines():
        if line.startswith("VmRSS"):
            return int(line.split()[1]) / 1000
    return float("nan")


def frames(window: Window, move: Callable[[int], None], count: int) -> list[float]:
    """Milliseconds of process time for each move and the picture that follows it."""
    spent = []
    for number in range(count):
        start = time.process_time()
        move(number)
        window.repaint()
        QApplication.processEvents()
        spent.append((time.process_time() - start) * 1000)
    return spent


def told(what: str, spent: list[float], aim: str) -> None:
    """Print the middle and the worst of some frames."""
    print(f"{what:<58} {statistics.median(spent):7.1f} ms, worst {max(spent):6.1f}   aim {aim}")


def drag_frames(window: Window, count: int) -> list[float]:
    """Time an outline being dragged back and forth, its hand never let go until the end."""
    photos = window.frame.place("photos")
    assert isinstance(photos, PhotosPlace)
    canvas = photos.canvas
    left, top, right, bottom = boxes(canvas.view.photo)[3]
    x, y = canvas.view.to_view((left + right) / 2, (top + bottom) / 2)
    start = QPoint(round(x), round(y))
    QTest.mousePress(canvas, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier, start)
    spent = frames(window, lambda n: QTest.mouseMove(canvas, start + QPoint(n % 40 + 5, n % 23)), count)
    QTest.mouseRelease(canvas, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier, start)
    return spent


def measure_huge(folder: Path) -> None:
    """Outlines, panning and coming nearer on one photo of 50 megapixels."""
    window = Window(folder / "own", folder / "jobs", lambda: NOON)
    window.show()
    fill(window, folder, 1, HUGE)
    photos = window.frame.place("photos")
    assert isinstance(photos, PhotosPlace)
    canvas = photos.canvas
    wait(lambda: canvas.has_photo)
    rest(window)
    told("50 MP: an outline dragged", drag_frames(window, FRAMES), "10 ms")
    middle = (canvas.width() / 2, canvas.height() / 2)
    told(
        "50 MP: coming nearer", frames(window, lambda _: canvas.set_view(canvas.view.nearer(0.2, middle)), 40), "16 ms"
    )
    view: list[PhotoView] = [canvas.view]

    def pan(number: int) -> None:
        view[0] = view[0].moved(7 if number % 60 < 30 else -7, 3)
        canvas.set_view(view[0])

    told("50 MP: moved under the hand, close by", frames(window, pan, FRAMES), "16 ms")
    window.close()


def measure_start(folder: Path) -> None:
    """From nothing to a usable window, and to a window with a job of twelve photos read."""
    job = next((folder / "jobs").glob("*.duskgrain"))
    for what, arguments, aim in (
        ("start to a usable window", [], "1.5 s"),
        ("job of 12 × 24 MP reopened", [str(job)], "1.0 s"),
    ):
        begun = [_run(folder, arguments) for _ in range(3)]
        shown, read = min(begun)
        print(f"{what:<58} {shown:7.2f} s shown, {read:5.2f} s with its readings   aim {aim}")


def _run(folder: Path, arguments: list[str]) -> tuple[float, float]:
    command = [sys.executable, "-c", _START, str(folder / "start"), *arguments]
    said = subprocess.run(command, capture_output=True, text=True, check=True).stdout.split()
    return float(said[0]), float(said[1])


def measure_job(folder: Path) -> None:
    """The memory of a job of twelve photos, and whether a thousand drags leave it alone."""
    window = Window(folder / "own", folder / "jobs", lambda: NOON)
    window.show()
    fill(window, folder, PHOTOS, LARGE)
    wait(lambda: window.document.job_file is not None)
    time.sleep(4)  # the readings are written to the job file once the hand has rested
    rest(window)
    before = resident_mb()
    drag_frames(window, DRAGS)
    rest(window)
    what = "memory with 12 × 24 MP, and after 1,000 drags"
    print(f"{what:<58} {before:7.0f} MB, {resident_mb():6.0f} MB   aim 1,000 MB, flat")
    window.close()


def main() -> None:
    """Print every figure."""
    application = QApplication.instance() or QApplication([])
    assert isinstance(application, QApplication)
    application.setStyle("Fusion")
    load_fonts()
    install()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for part in ("huge", "job"):
            (folder / part).mkdir()
        measure_huge(folder / "huge")
        measure_job(folder / "job")
        measure_start(folder / "job")


if __name__ == "__main__":
    main()
