"""The way in, as a shell sees it: commands without Qt, the window where there is a screen, and how it ends."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path
from types import ModuleType

import pytest

import app.main
from colourcore.cli import COMMANDS, EXAMPLE_SHEET
from tests.colourcore.flat_photos import write_job
from tests.rules.sources import HOUSE

HEAVY = ("PySide6", "shiboken6", "matplotlib", "scipy.optimize", "colour")
ENTER = "import sys; from app.main import main; sys.exit(main())"
ENTER_AND_LIST = (
    "import sys; from app.main import main; code = main(); print(*sys.modules, file=sys.stderr); sys.exit(code)"
)
SAMPLES = {0.0: (66.0, 6.0, 20.0), 6.0: (56.0, 5.0, 16.0), 12.0: (50.0, 4.5, 14.0), 24.0: (44.0, 4.0, 12.0)}


def run(*words: str | Path, enter: str = ENTER, **environment: str) -> subprocess.CompletedProcess[str]:
    kept = {
        name: value
        for name, value in os.environ.items()
        if name not in {"DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM"}
    }
    command = [sys.executable, "-c", enter, *map(str, words)]
    return subprocess.run(
        command,
        env=kept | {"PYTHONPATH": str(HOUSE)} | environment,
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
    )


def call(monkeypatch: pytest.MonkeyPatch, *words: str) -> int:
    monkeypatch.setattr(sys, "argv", ["duskgrain", *words])
    return app.main.main()


@pytest.fixture
def opened(monkeypatch: pytest.MonkeyPatch) -> list[Sequence[str]]:
    """What the window was opened on, without opening it."""
    seen: list[Sequence[str]] = []

    class Window(ModuleType):
        @staticmethod
        def run_window(paths: Sequence[str]) -> int:
            seen.append(paths)
            return 0

    monkeypatch.setitem(sys.modules, "app.views.window", Window("app.views.window"))
    return seen


@pytest.fixture
def no_screen(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "platform", "linux")
    for name in ("DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM"):
        monkeypatch.delenv(name, raising=False)


@pytest.mark.parametrize("command", ["--help", "read", "hours"])
def test_a_command_does_not_pay_for_what_it_does_not_use(command: str, tmp_path: Path) -> None:
    sheet = write_job(tmp_path, SAMPLES, target=(48.0, 4.4, 13.0))
    ended = run(command, *([] if command == "--help" else [sheet, "--json"]), enter=ENTER_AND_LIST)
    assert ended.returncode == 0
    assert "duskgrain" in ended.stdout or '"hours"' in ended.stdout
    loaded = set(ended.stderr.split())
    assert loaded.isdisjoint(HEAVY)
    assert "app.main" in loaded


def test_a_word_that_is_neither_a_command_nor_a_file_is_refused() -> None:
    ended = run("exampel")
    assert ended.returncode == 1
    assert ended.stdout == ""
    assert ended.stderr.startswith("duskgrain: Expected a command (example, ")
    assert ended.stderr.endswith("got exampel.\n")


def test_wrong_usage_ends_with_two() -> None:
    ended = run("--colour", "blue")
    assert ended.returncode == 2
    assert "usage: duskgrain" in ended.stderr


def test_without_a_screen_the_window_is_refused_in_one_sentence() -> None:
    if not sys.platform.startswith("linux"):
        pytest.skip("only here can a screen be missing")
    ended = run()
    assert ended.returncode == 1
    assert ended.stderr.startswith("duskgrain: Expected a screen to open the window on, got none; ")
    assert ended.stderr.count("\n") == 1


def test_files_are_opened_in_the_window(
    opened: list[Sequence[str]], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    photos = [str(tmp_path / name) for name in ("bench.jpg", "hours 12–24.jpg")]
    for photo in photos:
        Path(photo).touch()
    assert call(monkeypatch, *photos) == 0
    assert call(monkeypatch) == 0
    assert opened == [photos, []]


def test_the_example_opens_the_window_once_its_work_is_done(
    opened: list[Sequence[str]], monkeypatch: pytest.MonkeyPatch
) -> None:
    worked: list[Sequence[str]] = []
    monkeypatch.setattr(app.main, "run_command", lambda words: bool(worked.append(words)))
    assert call(monkeypatch, "example") == 0
    assert worked == [["example"]]
    [[sheet]] = opened
    assert Path(sheet).name == EXAMPLE_SHEET


def test_an_example_that_failed_opens_no_window(opened: list[Sequence[str]], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(app.main, "run_command", lambda _words: 1)
    assert call(monkeypatch, "example") == 1
    assert opened == []


@pytest.mark.usefixtures("no_screen")
def test_without_a_screen_the_example_says_that_the_window_stays_closed(
    opened: list[Sequence[str]], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(app.main, "run_command", lambda _words: 0)
    assert call(monkeypatch, "example") == 0
    assert capsys.readouterr().err == "There is no screen here, so the window stays closed.\n"
    assert opened == []


def test_every_command_goes_to_the_command_line(monkeypatch: pytest.MonkeyPatch) -> None:
    seen: list[Sequence[str]] = []
    monkeypatch.setattr(app.main, "run_command", lambda words: len(seen.append(words) or "ab"))
    for command in COMMANDS:
        assert call(monkeypatch, command, "sheet.csv") == 2
    assert seen == [[command, "sheet.csv"] for command in COMMANDS]


def test_a_fault_of_ours_is_told_in_one_sentence_with_its_details_in_a_file(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    monkeypatch.setattr("colourcore.cli.write_whole", lambda *_: 1 / 0)
    sheet = write_job(tmp_path, SAMPLES)
    assert call(monkeypatch, "report", str(sheet), "-o", str(tmp_path / "report.csv")) == app.main.OUR_FAULT
    out, err = capsys.readouterr()
    assert out == ""
    assert err.startswith("duskgrain: colourcore.cli failed (ZeroDivisionError), which is our fault and not yours;")
    assert err.count("\n") == 1
    details = Path(err.rstrip().rsplit(" ", 1)[1])
    assert "ZeroDivisionError: division by zero" in details.read_text("utf-8")


def test_a_fault_of_ours_shows_its_traceback_to_whoever_asks(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(app.main.DEBUG_VARIABLE, "1")
    monkeypatch.setattr(app.main, "run_command", lambda _words: 1 / 0)
    with pytest.raises(ZeroDivisionError):
        call(monkeypatch, "read")


def test_an_interrupted_command_ends_quietly(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def interrupted(_words: Sequence[str]) -> int:
        raise KeyboardInterrupt

    monkeypatch.setattr(app.main, "run_command", interrupted)
    assert call(monkeypatch, "read") == 130
    assert capsys.readouterr() == ("", "")


@pytest.mark.skipif(sys.platform == "win32", reason="no signal reaches one process alone there")
def test_an_interrupt_ends_an_open_window() -> None:
    enter = (
        "import sys; from types import SimpleNamespace; import app.main; from PySide6.QtCore import QTimer; "
        "from PySide6.QtWidgets import QApplication; application = QApplication([]); "
        "QTimer.singleShot(0, lambda: print('open', flush=True)); "
        "sys.modules['app.views.window'] = SimpleNamespace(run_window=lambda paths: application.exec()); "
        "sys.argv = ['duskgrain']; sys.exit(app.main.main())"
    )
    window = subprocess.Popen(
        [sys.executable, "-c", enter],
        env=os.environ | {"PYTHONPATH": str(HOUSE)},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    )
    with window:
        assert window.stdout is not None
        assert window.stderr is not None
        assert window.stdout.readline() == b"open\n"
        window.send_signal(signal.SIGINT)
        try:
            assert window.wait(timeout=20) == -signal.SIGINT
        finally:
            window.kill()
        assert window.stderr.read() == b""


def test_a_closed_pipe_ends_quietly(tmp_path: Path) -> None:
    sheet = write_job(tmp_path, SAMPLES)
    for words in (["--help"], ["read", str(sheet), "--json"]):
        reading, writing = os.pipe()
        os.close(reading)
        command = [sys.executable, "-c", ENTER, *words]
        ended = subprocess.run(
            command, env=os.environ | {"PYTHONPATH": str(HOUSE)}, stdout=writing, stderr=subprocess.PIPE, check=False
        )
        os.close(writing)
        assert (ended.returncode, ended.stderr) == (0, b"")


def test_a_pipe_gets_utf_8_whatever_the_console_speaks() -> None:
    enter = (
        "import sys, app.main; app.main.run_command = lambda words: print('ΔE 1.4 · a* ≈ 5') or 0; "
        "sys.argv = ['duskgrain', 'hours']; sys.exit(app.main.main())"
    )
    ended = run(enter=enter, PYTHONIOENCODING="ascii")
    assert (ended.returncode, ended.stdout) == (0, "ΔE 1.4 · a* ≈ 5\n")
