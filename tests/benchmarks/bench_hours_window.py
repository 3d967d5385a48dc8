"""A frame of dragging along the hours, nine samples in view: how long from the hand's movement to the painted window.

Run with ``python -m tests.benchmarks.bench_hours_window``. It paints without a screen, at 100 and at 200 percent, and
prints median and worst; nothing is asserted, because the machine is part of the figure.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import time

FRAMES, WARM = 400, 40
AIMS = {"1": 10.0, "2": 16.0}
WIDTH, HEIGHT = 1440, 900


def drag() -> None:
    """Drag the grip from one end to the other and back, and print what a frame took."""
    from PySide6.QtCore import QPoint, Qt
    from PySide6.QtTest import QTest
    from PySide6.QtWidgets import QApplication

    from app.background import Tasks
    from app.views.frame import Frame
    from app.views.hours import HoursPlace
    from app.views.hours_rule import HoursRule
    from app.views.painted import install
    from app.views.theme import LIGHT, load_fonts, palette
    from tests.app.hours_stage import state

    application = QApplication([])
    load_fonts()
    install()
    tasks = Tasks()
    place = HoursPlace(tasks)
    frame = Frame([place])
    frame.setPalette(palette(LIGHT))
    frame.setAutoFillBackground(True)
    frame.resize(WIDTH, HEIGHT)
    frame.show()
    frame.set_state(state())
    application.processEvents()
    rule = place.findChild(HoursRule)
    assert rule is not None
    QTest.mousePress(rule, Qt.MouseButton.LeftButton, pos=rule.grip_centre())
    times: list[float] = []
    work: list[float] = []
    span = rule.width() - 120
    for number in range(FRAMES + WARM):
        there = abs((7 * number) % (2 * span) - span)
        start, worked = time.perf_counter(), time.process_time()
        QTest.mouseMove(rule, QPoint(60 + there, rule.height() // 2))
        application.processEvents()
        times.append(1000 * (time.perf_counter() - start))
        work.append(1000 * (time.process_time() - worked))
    QTest.mouseRelease(rule, Qt.MouseButton.LeftButton, pos=rule.grip_centre())
    moved, used = times[WARM:], work[WARM:]
    scale = os.environ["QT_SCALE_FACTOR"]
    print(
        f"{WIDTH} × {HEIGHT} at {100 * int(scale)} %: median {statistics.median(moved):.1f} ms, "
        f"nine in ten under {statistics.quantiles(moved, n=10)[-1]:.1f} ms, worst {max(moved):.1f} ms "
        f"(aim {AIMS[scale]:g} ms); processor {statistics.median(used):.1f} ms"
    )
    frame.close()
    tasks.close()


def main() -> None:
    """Run each scale in a process of its own: Qt takes it from the environment, once."""
    for scale in AIMS:
        environment = os.environ | {"QT_QPA_PLATFORM": "offscreen", "QT_SCALE_FACTOR": scale}
        subprocess.run(
            [sys.executable, "-m", "tests.benchmarks.bench_hours_window", "drag"], env=environment, check=True
        )


if __name__ == "__main__":
    if sys.argv[1:] == ["drag"]:
        drag()
    else:
        main()
