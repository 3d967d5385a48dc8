"""A hand at the window: an own bench in a folder of the test, photos with wood on them, and mouse and keys."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from pathlib import Path

import numpy as np
from PIL import Image
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.views.painted import install
from app.views.photo_canvas import PhotoCanvas
from app.views.photos import PhotosPlace
from app.views.theme import load_fonts
from app.views.window import Window

CARD = (60, 60, 220, 220)
"""Where the grey card lies in every photo: left, top, right, bottom in pixels."""

NOON = datetime(2025, 3, 1, 12, 41)

NO_SIZE_HINTS = "This plugin does not support propagateSizeHints"
"""What Qt without a screen says of every window that has a least size."""

_PATIENCE_MS = 20_000
_LANES = ("reading", "opening", "taking-photos", "keeping", "photos-picture")


def sample_box(number: int) -> tuple[int, int, int, int]:
    """Where a sample lies: five in a row, from the left."""
    column, row = number % 5, number // 5
    left, top = 60 + column * 220, 280 + row * 240
    return left, top, left + 160, top + 180


def make_photo(path: Path, wood: Sequence[tuple[int, int, int]], *, seed: int = 1) -> Path:
    """Write a photo of 1200 × 800 pixels: a grey card and samples of these sRGB colours, with grain."""
    random = np.random.default_rng(seed)
    pixels = np.full((800, 1200, 3), 150.0)
    for (left, top, right, bottom), colour in (
        (CARD, (118, 118, 118)),
        *((sample_box(i), c) for i, c in enumerate(wood)),
    ):
        pixels[top - 10 : bottom + 10, left - 10 : right + 10] = colour
    pixels += random.normal(0, 4, pixels.shape[:2])[..., None]
    pixels *= (0.95, 0.9, 0.8)  # a warm lamp, a little dim
    Image.fromarray(np.clip(pixels, 0, 255).astype(np.uint8)).save(path)
    return path


def darkening(count: int = 5) -> list[tuple[int, int, int]]:
    """Return wood colours from raw to dark."""
    steps = np.linspace(0, 1, count)
    return [(round(205 - 105 * s), round(170 - 85 * s), round(130 - 62 * s)) for s in steps]


def open_window(qtbot: QtBot, folder: Path, *, size: tuple[int, int] = (1440, 900)) -> Window:
    """Open a window whose settings and jobs lie in the test's folder, at noon of a day in March."""
    application = QApplication.instance()
    assert isinstance(application, QApplication)
    application.setStyle("Fusion")
    load_fonts()
    install()
    window = Window(folder / "own", folder / "jobs", lambda: NOON)
    qtbot.addWidget(window)
    window.resize(*size)
    window.show()
    window.activateWindow()
    qtbot.waitUntil(window.isActiveWindow)
    return window


def wait_read(qtbot: QtBot, window: Window) -> None:
    """Wait until the newest job is read, shown and kept."""

    def done() -> bool:
        state = window.session.state
        busy = any(window.tasks.busy(lane) for lane in _LANES)
        return state.results is not None and state.current and not busy

    qtbot.waitUntil(done, timeout=_PATIENCE_MS)


def photos_of(window: Window) -> PhotosPlace:
    place = window.frame.place("photos")
    assert isinstance(place, PhotosPlace)
    return place


def drop(qtbot: QtBot, window: Window, *paths: Path) -> None:
    """Drop files on the window."""
    window.open_paths(paths)
    wait_read(qtbot, window)


def at(canvas: PhotoCanvas, x: float, y: float) -> QPoint:
    """Return where a point of the photo stands on the canvas."""
    left, top = canvas.view.to_view(x, y)
    return QPoint(round(left), round(top))


def drag(canvas: PhotoCanvas, start: QPoint, end: QPoint) -> None:
    """Press, move and let go, as a hand does."""
    QTest.mousePress(canvas, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier, start)
    for share in (0.1, 0.5, 0.9, 1.0):
        QTest.mouseMove(
            canvas, start + QPoint(round((end.x() - start.x()) * share), round((end.y() - start.y()) * share))
        )
        QApplication.processEvents()
    QTest.mouseRelease(canvas, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier, end)


def outline(canvas: PhotoCanvas, box: tuple[int, int, int, int]) -> None:
    """Draw an outline with the mouse around a box of the photo."""
    drag(canvas, at(canvas, box[0], box[1]), at(canvas, box[2], box[3]))


def press(widget: object, *keys: Qt.Key, modifier: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
    """Press keys one after the other in the widget that has the focus, or in this one."""
    for key in keys:
        QTest.keyClick(QApplication.focusWidget() or widget, key, modifier)  # type: ignore[call-overload]  # a widget


def type_text(text: str) -> None:
    """Type a text into the widget that has the focus."""
    widget = QApplication.focusWidget()
    assert widget is not None
    QTest.keyClicks(widget, text)
