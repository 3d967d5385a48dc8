"""Whether a window can open is found out beforehand, and told in a sentence that names what to install."""

from __future__ import annotations

import os
import struct
import sys
from collections.abc import Iterator
from pathlib import Path

import PySide6
import pytest

from app.screen import EVERY_SCREEN, WAYLAND, X11, has_screen, library_loads, missing_packages, require_qt
from colourcore.errors import InputError

LINUX = pytest.mark.skipif(
    not sys.platform.startswith("linux"), reason="only Linux takes Qt's libraries from the system"
)

# In every Debian, for its own package manager and interpreter need them.
BASE_SYSTEM = {
    "ld-linux-aarch64.so.1", "ld-linux-x86-64.so.2", "libc.so.6", "libdl.so.2", "libgcc_s.so.1", "libm.so.6",
    "libpthread.so.0", "librt.so.1", "libstdc++.so.6", "libz.so.1", "libzstd.so.1",
}  # fmt: skip


def asked_for(library: Path) -> Iterator[str]:
    """The libraries that an ELF file names as needed (System V ABI, dynamic section; 64 bit, little-endian)."""
    data = library.read_bytes()
    assert data[:6] == b"\x7fELF\x02\x01"
    start, count = struct.unpack_from("<Q", data, 40)[0], struct.unpack_from("<H", data, 60)[0]
    sections = [struct.unpack_from("<IIQQQQIIQQ", data, start + 64 * number) for number in range(count)]
    for _, kind, _, _, offset, size, link, _, _, _ in sections:
        if kind == 6:  # SHT_DYNAMIC
            names = sections[link][4]
            for at in range(offset, offset + size, 16):
                tag, value = struct.unpack_from("<QQ", data, at)
                if tag == 1:  # DT_NEEDED
                    begin = names + value
                    yield data[begin : data.index(b"\0", begin)].decode()


def asked_of_the_system(*beginnings: str) -> set[str]:
    """What these files of Qt's, and those of Qt's that they draw in, want from the system."""
    qt = Path(PySide6.__file__).parent
    own = {
        path.name: path for folder in (qt, qt / "Qt" / "lib", qt.parent / "shiboken6") for path in folder.glob("*.so*")
    }
    left, seen, outside = [path for text in beginnings for path in sorted(qt.glob(text))], set(), set()
    assert left
    while left:
        path = left.pop()
        if path not in seen:
            seen.add(path)
            for name in asked_for(path):
                if name in own:
                    left.append(own[name])
                else:
                    outside.add(name)
    return outside - BASE_SYSTEM


@LINUX
def test_the_packages_named_are_those_that_qt_s_files_ask_for() -> None:
    window = asked_of_the_system("Qt[CGWPST]*.abi3.so", "Qt/plugins/platforms/libqoffscreen.so")
    x11 = asked_of_the_system("Qt/plugins/platforms/libqxcb.so", "Qt/plugins/xcbglintegrations/*.so")
    wayland = asked_of_the_system("Qt/plugins/platforms/libqwayland.so", "Qt/plugins/wayland-*-client/libqt-plugin*.so")
    assert {name for name in window if "Qt6" not in name} == set(EVERY_SCREEN)
    assert x11 - set(EVERY_SCREEN) == set(X11)
    assert wayland - set(EVERY_SCREEN) == set(WAYLAND)


def test_linux_without_a_display_has_no_screen() -> None:
    assert not has_screen({"DISPLAY": ""}, "linux")
    assert has_screen({"DISPLAY": ":0"}, "linux")
    assert has_screen({"WAYLAND_DISPLAY": "wayland-0"}, "linux")
    assert has_screen({"QT_QPA_PLATFORM": "offscreen"}, "linux")
    assert has_screen({}, "darwin")
    assert has_screen({}, "win32")


def test_only_the_packages_that_this_screen_needs_are_named() -> None:
    def nothing(_library: str) -> bool:
        return False

    x11 = missing_packages({"DISPLAY": ":0"}, nothing)
    assert {"libegl1", "libxcb-icccm4"} <= set(x11)
    assert "libwayland-cursor0" not in x11
    wayland = missing_packages({"WAYLAND_DISPLAY": "wayland-0"}, nothing)
    assert {"libegl1", "libwayland-cursor0"} <= set(wayland)
    assert "libxcb-icccm4" not in wayland
    assert missing_packages({"QT_QPA_PLATFORM": "offscreen"}, nothing) == tuple(sorted(set(EVERY_SCREEN.values())))


def test_packages_whose_libraries_load_are_not_named() -> None:
    lacking = {"libxcb-icccm.so.4", "libgthread-2.0.so.0"}
    assert missing_packages({"DISPLAY": ":0"}, lambda name: name not in lacking) == ("libglib2.0-0", "libxcb-icccm4")


def test_a_library_loads_or_does_not() -> None:
    assert not library_loads("libnobody-has-this.so.7")


def test_qt_starts_here_without_a_screen() -> None:
    try:
        require_qt(os.environ, sys.platform)
    except InputError as missing:
        pytest.fail(str(missing))


@LINUX
def test_qt_that_cannot_start_takes_only_a_child_down_and_is_told_in_a_sentence() -> None:
    with pytest.raises(InputError, match=r"^Expected Qt to start, got: .*nowhere"):
        require_qt(os.environ | {"QT_QPA_PLATFORM": "nowhere"}, "linux")


@LINUX
def test_a_display_nobody_answers_at_is_told_apart_from_missing_libraries() -> None:
    environment = {
        name: value for name, value in os.environ.items() if name not in {"QT_QPA_PLATFORM", "WAYLAND_DISPLAY"}
    }
    environment["DISPLAY"] = ":7007"
    with pytest.raises(InputError) as caught:
        require_qt(environment, "linux")
    if lacking := missing_packages(environment, library_loads):
        assert f"sudo apt-get install {' '.join(lacking)}`" in str(caught.value)
    else:
        assert str(caught.value) == "Expected a screen at DISPLAY=:7007, got no answer from it."
