"""Pictures of every place for the documents: `python -m tests.app.screenshots [PLACE…]` writes them to docs/window/.

The window is opened without a screen on the invented example, in light and dark; each picture is written with few
colours, so that the folder stays small.
"""

from __future__ import annotations

import os
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from datetime import datetime
from pathlib import Path

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from PIL import Image
from PySide6.QtWidgets import QApplication

from app.views.painted import install
from app.views.theme import load_fonts
from app.views.window import Window

FOLDER = Path(__file__).parents[2] / "docs" / "window"
SIZES = {"": (1440, 900), "-small": (1100, 700), "-folded": (720, 450)}
COLOURS = 160
NOON = datetime(2025, 3, 1, 12, 41)


def wait(until: Callable[[], bool], seconds: float = 120.0) -> None:
    """Let the window work until something is so."""
    end = time.monotonic() + seconds
    while not until():
        if time.monotonic() > end:
            raise TimeoutError("the window did not come to rest")
        QApplication.processEvents()
        time.sleep(0.005)


def rest(window: Window) -> None:
    """Wait until everything is read and drawn."""
    quiet_since = [time.monotonic()]

    def quiet() -> bool:
        if window.tasks.any_busy() or not window.session.state.current:
            quiet_since[0] = time.monotonic()
        return time.monotonic() - quiet_since[0] > 0.4

    wait(quiet)


def save(window: Window, name: str) -> None:
    """Write what the window shows."""
    image = window.grab().toImage().convertToFormat(window.grab().toImage().Format.Format_RGB888)
    size = (image.width(), image.height())
    pixels = bytes(image.constBits())
    picture = Image.frombytes("RGB", size, pixels, "raw", "RGB", image.bytesPerLine())
    FOLDER.mkdir(parents=True, exist_ok=True)
    path = FOLDER / f"{name}.png"
    picture.quantize(COLOURS, dither=Image.Dither.NONE).save(path, optimize=True)
    print(f"{path.relative_to(FOLDER.parents[1])}  {path.stat().st_size / 1000:.0f} kB")


def main(wanted: Sequence[str]) -> None:
    """Open the example and take the pictures."""
    application = QApplication([])
    application.setStyle("Fusion")
    load_fonts()
    install()
    with tempfile.TemporaryDirectory() as folder:
        window = Window(Path(folder) / "own", Path(folder) / "jobs", lambda: NOON)
        window.show()
        window.open_example()
        wait(lambda: window.session.state.results is not None)
        rest(window)
        keys = [key for key in ("start", *window.frame.line.places) if not wanted or key in wanted]
        for theme in ("light", "dark"):
            window.job_panel.theme_asked.emit(theme)
            for key in keys:
                window.frame.go(key)
                for suffix, size in SIZES.items() if theme == "light" else [("", SIZES[""])]:
                    window.resize(*size)
                    rest(window)
                    save(window, f"{key}{suffix}" if theme == "light" else f"{key}-dark")
        window.close()


if __name__ == "__main__":
    main(sys.argv[1:])
