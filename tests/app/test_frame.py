"""The frame: places, keys, undo and its list, themes and measures, driven as a hand would drive them."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import QMimeData, QPointF, Qt, QUrl
from PySide6.QtGui import QAccessible, QColor, QDropEvent, QPalette
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from app.views.theme import DARK, FOLDED, FULL, LIGHT, SMALL, Bench, Theme
from app.views.window import Window
from colourcore.image.pixels import Outline
from colourcore.job import edits
from tests.app.hand import (
    NO_SIZE_HINTS,
    darkening,
    drop,
    make_photo,
    open_window,
    photos_of,
    press,
    type_text,
    wait_read,
)

pytestmark = pytest.mark.qt_log_ignore(NO_SIZE_HINTS)


@pytest.fixture
def window(qtbot: QtBot, tmp_path: Path) -> Window:
    """A window with a photo and two acts done."""
    window = open_window(qtbot, tmp_path)
    drop(qtbot, window, make_photo(tmp_path / "board.png", darkening()))
    window.session.edit(lambda job: edits.name_job(job, "Chest"))
    box = Outline(x=60, y=60, width=160, height=160)
    window.session.edit(lambda job: edits.add_outline(job, "board.png", box, edits.Role.CARD))
    wait_read(qtbot, window)
    return window


def control(window: Window, key: Qt.Key, *, shift: bool = False) -> None:
    modifier = Qt.KeyboardModifier.ControlModifier
    QTest.keyClick(window, key, modifier | Qt.KeyboardModifier.ShiftModifier if shift else modifier)


def test_control_and_a_number_goes_to_a_place_and_the_line_says_so(window: Window) -> None:
    control(window, Qt.Key.Key_4)
    assert window.frame.current.key == "hours"
    assert window.frame.line.places["hours"].current
    assert window.frame.sentence.said() != ""
    control(window, Qt.Key.Key_1)
    assert window.frame.current.key == "photos"


def test_f6_goes_round_line_bench_and_ledger(window: Window) -> None:
    window.frame.line.places["photos"].setFocus()
    walked = []
    for _ in range(3):
        QTest.keyClick(window, Qt.Key.Key_F6)
        walked.append(QApplication.focusWidget())
    photos = photos_of(window)
    assert walked == [photos.canvas, photos.list, window.frame.line.places["photos"]]
    QTest.keyClick(window, Qt.Key.Key_F6, Qt.KeyboardModifier.ShiftModifier)
    assert QApplication.focusWidget() is photos.list


def test_the_undo_button_is_named_after_the_last_act_and_takes_it_back(window: Window) -> None:
    assert window.frame.line.undo.accessibleName() == "Undo outline of the card"
    QTest.mouseClick(window.frame.line.undo, Qt.MouseButton.LeftButton)
    assert window.document.job.patches == ()
    assert window.frame.line.undo.accessibleName() == "Undo name of the job"
    control(window, Qt.Key.Key_Z, shift=True)
    assert len(window.document.job.patches) == 1


def test_forty_undos_and_redos_end_where_they_began(window: Window) -> None:
    for number in range(12):
        window.session.edit(lambda job, number=number: edits.name_job(job, f"Chest {number}"))
    before = window.document.job
    for _ in range(40):
        control(window, Qt.Key.Key_Z)
    assert window.document.job.photos == ()
    for _ in range(40):
        control(window, Qt.Key.Key_Y)
    assert window.document.job == before


def test_what_was_done_drops_from_the_line_and_goes_back_to_any_line_by_keys(window: Window, qtbot: QtBot) -> None:
    window.frame.line.undo.setFocus()
    press(window, Qt.Key.Key_Down)
    steps = QApplication.focusWidget()
    assert window.done_panel.isVisible()
    interface = QAccessible.queryAccessibleInterface(steps)
    names = [interface.child(number).text(QAccessible.Text.Name) for number in range(interface.childCount())]
    assert names[0] == "12:41 outline of the card"
    assert "name of the job" in names[1]
    press(window, Qt.Key.Key_Down, Qt.Key.Key_Down, Qt.Key.Key_Return)
    assert not window.done_panel.isVisible()
    assert window.document.history.undo_name == "adding board.png"
    assert window.document.history.redo_name == "name of the job"
    assert window.document.job.name == ""
    wait_read(qtbot, window)


def test_escape_closes_the_panel_and_the_keys_go_back_to_where_it_dropped_from(window: Window) -> None:
    control(window, Qt.Key.Key_J)
    assert window.job_panel.isVisible()
    press(window, Qt.Key.Key_Escape)
    assert not window.job_panel.isVisible()
    assert QApplication.focusWidget() is window.frame.line.job


def test_the_job_is_named_in_its_panel_and_the_line_says_the_name(window: Window) -> None:
    control(window, Qt.Key.Key_J)
    QApplication.focusWidget().selectAll()  # type: ignore[union-attr]  # the field of the name has the focus
    type_text("Lid of the chest")
    press(window, Qt.Key.Key_Return)
    assert window.document.job.name == "Lid of the chest"
    assert window.frame.line.job.text() == "Lid of the chest"
    assert "all kept 12:41" in window.frame.line.job.accessibleName()


def test_a_click_beside_the_panel_closes_it(window: Window) -> None:
    control(window, Qt.Key.Key_J)
    QTest.mouseClick(photos_of(window).list, Qt.MouseButton.LeftButton)
    assert not window.job_panel.isVisible()


def test_files_dropped_on_the_window_are_taken(window: Window, qtbot: QtBot, tmp_path: Path) -> None:
    data = QMimeData()
    data.setUrls([QUrl.fromLocalFile(str(make_photo(tmp_path / "second.png", darkening(3), seed=4)))])
    drop_event = QDropEvent(
        QPointF(50, 50),
        Qt.DropAction.CopyAction,
        data,
        Qt.MouseButton.LeftButton,
        Qt.KeyboardModifier.NoModifier,
    )
    window.dropEvent(drop_event)
    wait_read(qtbot, window)
    assert [photo.name for photo in window.document.job.photos] == ["board.png", "second.png"]


@pytest.mark.parametrize(
    ("size", "measure"), [((1440, 900), FULL), ((1100, 700), SMALL), ((720, 450), FOLDED), ((1400, 600), FOLDED)]
)
def test_the_measures_follow_the_window_and_the_next_step_stays_in_sight(
    window: Window, qtbot: QtBot, size: tuple[int, int], measure: object
) -> None:
    window.resize(*size)
    qtbot.waitUntil(lambda: window.session.state.measure is measure)
    QApplication.processEvents()
    assert (window.width(), window.height()) == size
    step = photos_of(window).next_step
    corner = step.mapTo(window, step.rect().bottomRight())
    assert step.isVisible()
    assert corner.y() < size[1]
    assert corner.x() < size[0]
    assert window.frame.second.isVisible() == (not window.session.state.measure.folded)


def contrast(one: QColor, two: QColor) -> float:
    """WCAG 2.1 contrast ratio of two colours (https://www.w3.org/TR/WCAG21/#dfn-contrast-ratio)."""

    def luminance(colour: QColor) -> float:
        parts = [colour.redF(), colour.greenF(), colour.blueF()]
        linear = [part / 12.92 if part <= 0.03928 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    light, dark = sorted((luminance(one), luminance(two)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


@pytest.mark.parametrize("theme", [LIGHT, DARK])
def test_every_ink_stands_out_from_what_lies_behind_it_and_every_grey_is_neutral(theme: Theme) -> None:
    for ink, ground in (
        (theme.ink, theme.page),
        (theme.second_ink, theme.page),
        (theme.ink, theme.well),
        (theme.second_ink, theme.well),
        (theme.odds_text, theme.odds),
        (Bench.INK.colour, Bench.BENCH.colour),
        (Bench.SECOND_INK.colour, Bench.BENCH.colour),
        (Bench.INK.colour, Bench.RULE.colour),
    ):
        assert contrast(ink, ground) >= 4.5
    assert contrast(theme.line, theme.page) >= 3
    for name in ("page", "ink", "second_ink", "line", "grid", "band", "well", "odds", "odds_text"):
        colour: QColor = getattr(theme, name)
        assert colour.red() == colour.green() == colour.blue()


def test_the_theme_changes_the_page_and_leaves_the_bench_alone(window: Window, qtbot: QtBot) -> None:
    wait_read(qtbot, window)
    window.job_panel.theme_asked.emit("dark")
    assert window.palette().color(QPalette.ColorRole.Window) == DARK.page
    photos = photos_of(window)
    assert photos.canvas.palette().color(QPalette.ColorRole.Window) == Bench.BENCH.colour
    assert photos.list.palette().color(QPalette.ColorRole.Window) == DARK.page
    assert photos.checks.widget().palette().color(QPalette.ColorRole.WindowText) == Bench.INK.colour


def test_a_window_closed_and_opened_again_stands_where_it_was(window: Window, qtbot: QtBot, tmp_path: Path) -> None:
    before = window.document.job
    window.close()
    again = open_window(qtbot, tmp_path)
    again.begin_work([])
    wait_read(qtbot, again)
    assert again.document.job == before
    control(again, Qt.Key.Key_Z)
    assert again.document.job.patches == ()


def test_the_first_start_shows_the_invented_example_and_one_button_begins_ones_own(
    qtbot: QtBot, tmp_path: Path
) -> None:
    window = open_window(qtbot, tmp_path)
    window.begin_work([])
    wait_read(qtbot, window)
    start = window.frame.current
    assert start.key == "start"
    assert window.frame.line.places["hours"].current
    assert window.frame.line.job.accessibleName().endswith("invented example")
    words = " ".join(label.accessibleName() for label in start.findChildren(QWidget)).replace("\N{NO-BREAK SPACE}", " ")
    assert "250 ppm" in words
    assert "invented" in words
    start.begin.click()  # type: ignore[attr-defined]  # the first start's own button
    assert window.frame.current.key == "photos"
    assert window.document.job.photos == ()


def test_a_second_window_on_the_same_job_only_reads_it_and_says_so(
    window: Window, qtbot: QtBot, tmp_path: Path
) -> None:
    assert window.document.path is not None
    other = open_window(qtbot, tmp_path)
    other.open_path(window.document.path)
    wait_read(qtbot, other)
    assert "only read" in other.frame.line.job.accessibleName()
    other.session.edit(lambda job: edits.name_job(job, "Mine"))
    assert other.document.job.name == "Chest"
    assert any("window" in trouble.sentence for trouble in other.session.state.troubles)
