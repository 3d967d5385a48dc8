"""Can a window open here? Asked before Qt is touched: a Qt that lacks a system library takes its whole process down."""

from __future__ import annotations

import ctypes
import subprocess
import sys
from collections.abc import Callable, Mapping

from colourcore.errors import InputError

__all__ = ["EVERY_SCREEN", "WAYLAND", "X11", "has_screen", "library_loads", "missing_packages", "require_qt"]

# Debian's package for each library that Qt's files ask for and that a bare Debian 12 lacks. Ubuntu uses the same names.
EVERY_SCREEN = {
    "libEGL.so.1": "libegl1",
    "libGL.so.1": "libgl1",
    "libX11.so.6": "libx11-6",
    "libdbus-1.so.3": "libdbus-1-3",
    "libfontconfig.so.1": "libfontconfig1",
    "libfreetype.so.6": "libfreetype6",
    "libglib-2.0.so.0": "libglib2.0-0",
    "libgthread-2.0.so.0": "libglib2.0-0",
    "libxkbcommon.so.0": "libxkbcommon0",
}
X11 = {
    "libX11-xcb.so.1": "libx11-xcb1",
    "libxcb-cursor.so.0": "libxcb-cursor0",
    "libxcb-glx.so.0": "libxcb-glx0",
    "libxcb-icccm.so.4": "libxcb-icccm4",
    "libxcb-image.so.0": "libxcb-image0",
    "libxcb-keysyms.so.1": "libxcb-keysyms1",
    "libxcb-randr.so.0": "libxcb-randr0",
    "libxcb-render-util.so.0": "libxcb-render-util0",
    "libxcb-render.so.0": "libxcb-render0",
    "libxcb-shape.so.0": "libxcb-shape0",
    "libxcb-shm.so.0": "libxcb-shm0",
    "libxcb-sync.so.1": "libxcb-sync1",
    "libxcb-util.so.1": "libxcb-util1",
    "libxcb-xfixes.so.0": "libxcb-xfixes0",
    "libxcb-xkb.so.1": "libxcb-xkb1",
    "libxcb.so.1": "libxcb1",
    "libxkbcommon-x11.so.0": "libxkbcommon-x11-0",
}
WAYLAND = {
    "libwayland-client.so.0": "libwayland-client0",
    "libwayland-cursor.so.0": "libwayland-cursor0",
    "libwayland-egl.so.1": "libwayland-egl1",
}

_START_QT = "from PySide6.QtWidgets import QApplication; QApplication([])"
_PATIENCE_SECONDS = 60.0


def has_screen(environment: Mapping[str, str], platform: str) -> bool:
    """Return whether there is a screen to open a window on; `platform` is spelled as in `sys.platform`."""
    if not platform.startswith("linux"):
        return True
    return any(environment.get(name) for name in ("DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM"))


def missing_packages(environment: Mapping[str, str], loads: Callable[[str], bool]) -> tuple[str, ...]:
    """Return the Debian packages whose libraries do not load, sorted, of those that this kind of screen needs."""
    wanted = dict(EVERY_SCREEN)
    asked = environment.get("QT_QPA_PLATFORM", "")
    if "xcb" in asked or (not asked and environment.get("DISPLAY")):
        wanted |= X11
    if "wayland" in asked or (not asked and environment.get("WAYLAND_DISPLAY")):
        wanted |= WAYLAND
    return tuple(sorted({package for library, package in wanted.items() if not loads(library)}))


def require_qt(environment: Mapping[str, str], platform: str) -> None:
    """Return where Qt starts on this machine; raise InputError with what to do about it where it does not.

    On Linux a child process tries it, because a missing library aborts the process that asks.
    """
    said = _try_in_child(environment) if platform.startswith("linux") else _try_here()
    if not said:
        return
    packages = missing_packages(environment, library_loads)
    if packages and platform.startswith("linux"):
        raise InputError(
            "expected the system libraries that Qt is built on, got a machine without some of them; "
            f"on Debian or Ubuntu `sudo apt-get install {' '.join(packages)}` brings them"
        )
    if "could not connect to display" in said:
        raise InputError(f"expected a screen at DISPLAY={environment.get('DISPLAY', '')}, got no answer from it")
    raise InputError(f"expected Qt to start, got: {said}")


def _try_in_child(environment: Mapping[str, str]) -> str:
    try:
        trial = subprocess.run(
            [sys.executable, "-c", _START_QT],
            env=dict(environment),
            stdin=subprocess.DEVNULL,
            capture_output=True,
            text=True,
            errors="replace",
            timeout=_PATIENCE_SECONDS,
            check=False,
        )
    except subprocess.TimeoutExpired:
        return f"no sign of it within {_PATIENCE_SECONDS:.0f} seconds"
    if trial.returncode == 0:
        return ""
    lines = [line.strip() for line in trial.stderr.splitlines() if line.strip()]
    if not lines:
        return f"an end with code {trial.returncode} and no words"
    return lines[-1] if lines[0].startswith("Traceback") else lines[0]


def _try_here() -> str:
    try:
        import PySide6.QtWidgets  # noqa: F401 - asked only whether it loads
    except ImportError as error:
        return str(error)
    return ""


def library_loads(library: str) -> bool:
    """Return whether a shared library of this name loads here."""
    try:
        ctypes.CDLL(library)
    except OSError:
        return False
    return True
