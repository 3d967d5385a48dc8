"""From an empty bench to a report on the disk, once with the mouse and once by keys alone."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from app.views import window as window_module
from app.views.controls import TextButton
from app.views.window import Window
from colourcore.job.model import Role
from colourcore.job.sheet import read_sheet
from tests.app.hand import (
    CARD,
    NO_SIZE_HINTS,
    darkening,
    drop,
    make_photo,
    open_window,
    outline,
    photos_of,
    press,
    sample_box,
    type_text,
    wait_read,
)

pytestmark = pytest.mark.qt_log_ignore(NO_SIZE_HINTS)

HOURS = (0, 2, 6, 12, 24)


def answers(name: str, path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Let a chooser of files, which belongs to the system, answer with this path."""

    def chosen(*_asked: object) -> Path:
        return path

    monkeypatch.setattr(window_module, name, chosen)


def click(widget: QWidget) -> None:
    QTest.mouseClick(widget, Qt.MouseButton.LeftButton)


def word(inside: QWidget, text: str) -> TextButton:
    return next(button for button in inside.findChildren(TextButton) if button.text() == text)


def export(window: Window, qtbot: QtBot, ask: Callable[[], None], path: Path) -> None:
    ask()
    qtbot.waitUntil(lambda: path.exists() and not window.tasks.busy("report-export"), timeout=60_000)


def reached(window: Window) -> bool:
    results = window.session.state.results
    return results is not None and any(group.answer.hours is not None for group in results.groups)


def test_two_photos_become_hours_a_report_and_a_sheet_with_the_mouse(
    qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    window = open_window(qtbot, tmp_path)
    photos = photos_of(window)
    drop(
        qtbot,
        window,
        make_photo(tmp_path / "boards.png", darkening()),
        make_photo(tmp_path / "settle.png", [(150, 124, 97)], seed=2),
    )
    outline(photos.canvas, CARD)
    for number in range(len(HOURS)):
        press(photos.canvas, Qt.Key.Key_Escape)
        outline(photos.canvas, sample_box(number))
    press(photos.canvas, Qt.Key.Key_Escape)
    click(photos.ledger.hours)
    type_text(", ".join(str(hours) for hours in HOURS))
    click(photos.ledger.board)
    type_text("A")
    photos.show_photo("settle.png")
    wait_read(qtbot, window)
    outline(photos.canvas, CARD)
    press(photos.canvas, Qt.Key.Key_Escape)
    outline(photos.canvas, sample_box(0))
    click(word(photos.ledger.role, "target"))
    wait_read(qtbot, window)
    assert [patch.hours for patch in window.document.job.patches if patch.role is Role.SAMPLE] == list(HOURS)
    assert reached(window)
    click(window.frame.line.places["hours"])
    assert window.frame.current.key == "hours"
    assert "due" in window.frame.sentence.said() or "h" in window.frame.line.places["hours"].accessibleName()
    answers("choose_report", tmp_path / "report.pdf", monkeypatch)
    click(window.frame.line.job)
    export(window, qtbot, lambda: click(window.job_panel.commands["export_report"]), tmp_path / "report.pdf")
    assert (tmp_path / "report.pdf").read_bytes().startswith(b"%PDF")
    (tmp_path / "out").mkdir()
    answers("choose_sheet_name", tmp_path / "out" / "chest.csv", monkeypatch)
    click(window.frame.line.job)
    click(window.job_panel.commands["save_sheet"])
    qtbot.waitUntil(lambda: (tmp_path / "out" / "chest.csv").exists() and not window.tasks.busy("sheet"))
    again = read_sheet(tmp_path / "out" / "chest.csv").job
    assert [(patch.role, patch.outline, patch.hours) for patch in again.patches] == [
        (patch.role, patch.outline, patch.hours) for patch in window.document.job.patches
    ]


def test_photos_become_hours_and_a_report_by_keys_alone(
    qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    window = open_window(qtbot, tmp_path)
    photos = photos_of(window)
    photo = make_photo(tmp_path / "boards.png", [*darkening(), (150, 124, 97)])

    def chosen(*_asked: object) -> list[Path]:
        return [photo]

    monkeypatch.setattr(window_module, "choose_photos", chosen)
    QTest.keyClick(window, Qt.Key.Key_P, Qt.KeyboardModifier.ControlModifier)
    qtbot.waitUntil(lambda: len(window.document.job.photos) == 1)
    wait_read(qtbot, window)
    photos.canvas.setFocus()
    for box in (CARD, *(sample_box(number) for number in range(6))):
        press(photos.canvas, Qt.Key.Key_O)
        walk_to(window, photos.canvas, (box[0] + box[2]) // 2, (box[1] + box[3]) // 2)
    press(photos.canvas, Qt.Key.Key_Return)
    assert QApplication.focusWidget() is photos.ledger.hours
    word(photos.ledger.role, "target").setFocus()
    press(photos, Qt.Key.Key_Return)
    QTest.keyClick(window, Qt.Key.Key_F6)
    photos.canvas.setFocus()
    press(photos.canvas, Qt.Key.Key_Escape, Qt.Key.Key_Return)
    type_text(" ".join(str(hours) for hours in HOURS))
    press(photos, Qt.Key.Key_Return)
    wait_read(qtbot, window)
    for _ in range(40):
        QTest.keyClick(window, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
        QTest.keyClick(window, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.ShiftModifier)
    wait_read(qtbot, window)
    assert reached(window)
    answers("choose_report", tmp_path / "report.html", monkeypatch)

    def by_keys() -> None:
        QTest.keyClick(window, Qt.Key.Key_E, Qt.KeyboardModifier.ControlModifier)

    export(window, qtbot, by_keys, tmp_path / "report.html")
    assert "</html>" in (tmp_path / "report.html").read_text("utf-8")


def walk_to(window: Window, canvas: QWidget, x: int, y: int) -> None:
    """Move the newest outline by arrow keys until its middle stands there."""
    made = window.document.job.patches[-1].outline
    assert made is not None
    shift, plain = Qt.KeyboardModifier.ShiftModifier, Qt.KeyboardModifier.NoModifier
    for way, keys in (
        (x - (made.x + made.width / 2), (Qt.Key.Key_Left, Qt.Key.Key_Right)),
        (y - (made.y + made.height / 2), (Qt.Key.Key_Up, Qt.Key.Key_Down)),
    ):
        tens, ones = divmod(abs(round(way)), 10)
        for _ in range(tens):
            QTest.keyClick(canvas, keys[way > 0], shift)
        for _ in range(ones):
            QTest.keyClick(canvas, keys[way > 0], plain)
