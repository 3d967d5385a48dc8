"""The place *Photos*, driven as a hand would drive it."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QAccessible
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.views.window import Window
from colourcore.image.pixels import Outline
from colourcore.job.model import Role
from tests.app.hand import (
    CARD,
    NO_SIZE_HINTS,
    at,
    darkening,
    drag,
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


@pytest.fixture
def window(qtbot: QtBot, tmp_path: Path) -> Window:
    """A window with one photo of five samples dropped on it."""
    window = open_window(qtbot, tmp_path)
    drop(qtbot, window, make_photo(tmp_path / "boards.png", darkening()))
    return window


def outlined(window: Window, qtbot: QtBot, samples: int = 5) -> None:
    canvas = photos_of(window).canvas
    outline(canvas, CARD)
    for number in range(samples):
        press(canvas, Qt.Key.Key_Escape)
        outline(canvas, sample_box(number))
    wait_read(qtbot, window)


def test_an_empty_bench_asks_for_photos_with_a_grey_card(qtbot: QtBot, tmp_path: Path) -> None:
    window = open_window(qtbot, tmp_path)
    assert "grey card" in window.frame.second.said()
    assert photos_of(window).next_step.text() == "Choose photos"


def test_the_first_outline_is_the_card_and_the_next_ones_are_samples(window: Window, qtbot: QtBot) -> None:
    outlined(window, qtbot, samples=2)
    roles = [patch.role for patch in window.document.job.patches]
    assert roles == [Role.CARD, Role.SAMPLE, Role.SAMPLE]
    drawn = window.document.job.patches[1].outline
    assert drawn is not None
    left, top, right, bottom = sample_box(0)
    assert abs(drawn.x - left) <= 2
    assert abs(drawn.y - top) <= 2
    assert abs(drawn.x + drawn.width - right) <= 2
    assert abs(drawn.y + drawn.height - bottom) <= 2


def test_hours_typed_one_by_one_go_on_to_the_next_sample_without_hours(window: Window, qtbot: QtBot) -> None:
    outlined(window, qtbot, samples=3)
    photos = photos_of(window)
    window.session.choose((window.document.job.patches[1].identity,))
    press(photos.canvas, Qt.Key.Key_Return)
    for text in ("0", "2", "4 h 30"):
        type_text(text)
        press(photos, Qt.Key.Key_Return)
    hours = [patch.hours for patch in window.document.job.patches if patch.role is Role.SAMPLE]
    assert hours == [0.0, 2.0, 4.5]
    assert QApplication.focusWidget() is photos.canvas


def test_a_run_of_hours_board_and_zone_are_given_to_all_samples_of_a_photo(window: Window, qtbot: QtBot) -> None:
    outlined(window, qtbot)
    photos = photos_of(window)
    press(photos.canvas, Qt.Key.Key_Escape)
    photos.ledger.type_hours()
    type_text("0, 2 4;8 16")
    press(photos, Qt.Key.Key_Tab)
    assert QApplication.focusWidget() is photos.ledger.board
    type_text("A")
    press(photos, Qt.Key.Key_Tab)
    type_text("heartwood")
    press(photos, Qt.Key.Key_Return)
    samples = [patch for patch in window.document.job.patches if patch.role is Role.SAMPLE]
    assert [patch.hours for patch in samples] == [0, 2, 4, 8, 16]
    assert {(patch.board, patch.zone) for patch in samples} == {("A", "heartwood")}
    wait_read(qtbot, window)
    assert "Board A, heartwood" in photos.list.painted()[0].name


def test_hours_that_do_not_fit_the_samples_are_said_where_they_were_typed(window: Window, qtbot: QtBot) -> None:
    outlined(window, qtbot, samples=3)
    photos = photos_of(window)
    press(photos.canvas, Qt.Key.Key_Escape)
    photos.ledger.type_hours()
    type_text("0, 2")
    press(photos, Qt.Key.Key_Return)
    assert photos.ledger.trouble.isVisible()
    assert "3 values" in photos.ledger.trouble.words.said()
    assert all(patch.hours is None for patch in window.document.job.patches)


def test_the_reading_of_the_chosen_sample_stands_in_the_ledger_and_is_darker_with_the_hours(
    window: Window, qtbot: QtBot
) -> None:
    outlined(window, qtbot)
    photos = photos_of(window)
    lightness = []
    for patch in window.document.job.patches[1:]:
        window.session.choose((patch.identity,))
        said = photos.ledger.values.said()
        lightness.append(float(said.split()[1]))
    assert lightness == sorted(lightness, reverse=True)
    assert 65 < lightness[0] < 80
    assert 30 < lightness[-1] < 50


def test_an_outline_is_moved_by_its_inside_and_stops_at_the_edge_of_the_photo(window: Window, qtbot: QtBot) -> None:
    outlined(window, qtbot, samples=1)
    canvas = photos_of(window).canvas
    left, top, right, bottom = sample_box(0)
    drag(canvas, at(canvas, (left + right) / 2, (top + bottom) / 2), at(canvas, -400, (top + bottom) / 2))
    moved = window.document.job.patches[1].outline
    assert moved is not None
    assert (moved.x, moved.width) == (0, pytest.approx(160, abs=3))
    assert "move" in window.document.history.undo_name


def test_an_outline_is_turned_outside_its_corner_and_keeps_its_size(window: Window, qtbot: QtBot) -> None:
    outlined(window, qtbot, samples=1)
    canvas = photos_of(window).canvas
    left, top, right, _ = sample_box(0)
    drag(canvas, at(canvas, right, top) + QPoint(27, -27), at(canvas, right, top) + QPoint(60, 20))
    turned = window.document.job.patches[1].outline
    assert turned is not None
    assert turned.corners is not None
    (x0, y0), (x1, y1) = turned.corners[0], turned.corners[1]
    assert ((x1 - x0) ** 2 + (y1 - y0) ** 2) ** 0.5 == pytest.approx(right - left, abs=3)
    wait_read(qtbot, window)
    assert window.session.state.results is not None
    assert window.session.state.results.readings[1].reading is not None


def test_a_grip_moves_one_edge_alone(window: Window, qtbot: QtBot) -> None:
    outlined(window, qtbot, samples=1)
    canvas = photos_of(window).canvas
    before = window.document.job.patches[1].outline
    assert before is not None
    _, top, right, bottom = sample_box(0)
    drag(canvas, at(canvas, right, (top + bottom) / 2), at(canvas, right + 40, (top + bottom) / 2 + 15))
    after = window.document.job.patches[1].outline
    assert after is not None
    assert (after.x, after.y, after.height) == (before.x, before.y, before.height)
    assert after.width == pytest.approx(before.width + 40, abs=3)


def test_arrows_move_by_one_shift_by_ten_control_makes_larger_and_all_is_one_act(window: Window, qtbot: QtBot) -> None:
    outlined(window, qtbot, samples=1)
    canvas = photos_of(window).canvas
    before = window.document.job.patches[1].outline
    assert before is not None
    canvas.setFocus()
    press(canvas, Qt.Key.Key_Right)
    press(canvas, Qt.Key.Key_Down, modifier=Qt.KeyboardModifier.ShiftModifier)
    press(canvas, Qt.Key.Key_Right, modifier=Qt.KeyboardModifier.ControlModifier)
    steps = len(window.document.history.steps)
    qtbot.waitUntil(lambda: len(window.document.history.steps) > steps)
    assert len(window.document.history.steps) == steps + 1
    after = window.document.job.patches[1].outline
    assert after == Outline(x=before.x + 1, y=before.y + 10, width=before.width + 1, height=before.height)


def test_outlines_are_made_turned_and_removed_by_keys_alone(window: Window, qtbot: QtBot) -> None:
    canvas = photos_of(window).canvas
    canvas.setFocus()
    press(canvas, Qt.Key.Key_O, Qt.Key.Key_R)
    qtbot.waitUntil(lambda: "move" in window.document.history.undo_name)
    assert len(window.document.job.patches) == 1
    outlined = window.document.job.patches[0].outline
    assert outlined is not None
    assert outlined.corners is not None
    press(canvas, Qt.Key.Key_Delete)
    assert window.document.job.patches == ()
    press(canvas, Qt.Key.Key_Z, modifier=Qt.KeyboardModifier.ControlModifier)
    assert len(window.document.job.patches) == 1


def test_undo_right_after_an_arrow_takes_that_arrow_back(window: Window, qtbot: QtBot) -> None:
    outlined(window, qtbot, samples=1)
    canvas = photos_of(window).canvas
    before = window.document.job
    canvas.setFocus()
    press(canvas, Qt.Key.Key_Right, Qt.Key.Key_Right)
    press(canvas, Qt.Key.Key_Z, modifier=Qt.KeyboardModifier.ControlModifier)
    qtbot.wait(450)
    assert window.document.job == before
    assert "move" in window.document.history.redo_name


def test_tab_walks_the_outlines_in_reading_order_and_then_leaves_the_photo(window: Window, qtbot: QtBot) -> None:
    outlined(window, qtbot, samples=2)
    canvas = photos_of(window).canvas
    press(canvas, Qt.Key.Key_Escape)
    canvas.setFocus()
    walked = []
    for _ in range(3):
        press(canvas, Qt.Key.Key_Tab)
        walked.append(window.session.state.chosen[0])
    assert walked == [patch.identity for patch in window.document.job.patches]
    press(canvas, Qt.Key.Key_Tab)
    assert QApplication.focusWidget() is not canvas


def test_held_space_shows_the_file_as_it_came_and_letting_go_the_balanced_view(window: Window, qtbot: QtBot) -> None:
    outlined(window, qtbot, samples=1)
    canvas = photos_of(window).canvas
    canvas.setFocus()
    balanced = canvas.grab().toImage()
    QTest.keyPress(canvas, Qt.Key.Key_Space)
    assert canvas.as_it_came
    assert canvas.grab().toImage() != balanced
    QTest.keyRelease(canvas, Qt.Key.Key_Space)
    assert not canvas.as_it_came


def test_the_wheel_comes_nearer_and_nought_shows_the_whole_photo_again(window: Window) -> None:
    canvas = photos_of(window).canvas
    canvas.setFocus()
    press(canvas, Qt.Key.Key_Plus, Qt.Key.Key_Plus)
    assert canvas.view.zoom == pytest.approx(1.25**2 * min(canvas.width() / 1200, canvas.height() / 800))
    press(canvas, Qt.Key.Key_0)
    assert canvas.view.whole


def test_a_second_card_sized_photo_can_be_made_the_target(window: Window, qtbot: QtBot, tmp_path: Path) -> None:
    outlined(window, qtbot, samples=1)
    drop(qtbot, window, make_photo(tmp_path / "settle.png", [(150, 120, 90)], seed=2))
    photos = photos_of(window)
    photos.show_photo("settle.png")
    qtbot.waitUntil(lambda: photos.canvas.has_photo and photos.canvas.view.photo == (1200, 800))
    outline(photos.canvas, CARD)
    press(photos.canvas, Qt.Key.Key_Escape)
    outline(photos.canvas, sample_box(0))
    photos.ledger.role.chosen.emit(2)
    wait_read(qtbot, window)
    results = window.session.state.results
    assert results is not None
    assert [row.role for row in results.readings] == [Role.CARD, Role.SAMPLE, Role.CARD, Role.TARGET]


def test_a_black_card_is_refused_in_a_sentence_beneath_its_photo_alone(qtbot: QtBot, tmp_path: Path) -> None:
    window = open_window(qtbot, tmp_path)
    drop(
        qtbot,
        window,
        make_photo(tmp_path / "dark.png", [(0, 0, 0)]),
        make_photo(tmp_path / "good.png", [(200, 160, 120)]),
    )
    photos = photos_of(window)
    photos.show_photo("dark.png")
    outline(photos.canvas, sample_box(0))
    wait_read(qtbot, window)
    assert any("black one" in said for said in photos.checks.said())
    photos.show_photo("good.png")
    assert not any("black one" in said for said in photos.checks.said())


def test_a_file_that_is_no_photo_is_named_and_the_others_are_taken(qtbot: QtBot, tmp_path: Path) -> None:
    window = open_window(qtbot, tmp_path)
    (tmp_path / "notes.txt").write_text("nothing")
    (tmp_path / "cut.jpg").write_bytes(make_photo(tmp_path / "whole.jpg", darkening()).read_bytes()[:3000])
    drop(qtbot, window, tmp_path / "notes.txt", tmp_path / "cut.jpg", tmp_path / "whole.jpg")
    assert {photo.name for photo in window.document.job.photos} == {"cut.jpg", "whole.jpg"}
    troubles = [trouble.sentence for trouble in window.session.state.troubles]
    assert any("notes.txt" in sentence for sentence in troubles)
    assert any("cut.jpg" in sentence for sentence in troubles)


def test_the_same_photo_dropped_twice_is_taken_once_and_said(window: Window, qtbot: QtBot, tmp_path: Path) -> None:
    drop(qtbot, window, tmp_path / "boards.png")
    assert len(window.document.job.photos) == 1
    assert any("already" in trouble.sentence for trouble in window.session.state.troubles)


def test_every_outline_is_told_to_screen_readers_with_its_reading(window: Window, qtbot: QtBot) -> None:
    outlined(window, qtbot, samples=2)
    canvas = photos_of(window).canvas
    interface = QAccessible.queryAccessibleInterface(canvas)
    children = [interface.child(number) for number in range(3)]
    names = [child.text(QAccessible.Text.Name) for child in children]
    assert names == ["Grey card", "Sample without hours", "Sample without hours"]
    assert "L* 7" in children[1].text(QAccessible.Text.Value)
    assert children[1].parent().object() is canvas


def test_a_double_click_on_bare_ground_sets_an_outline_as_large_as_the_last(window: Window, qtbot: QtBot) -> None:
    outlined(window, qtbot, samples=1)
    canvas = photos_of(window).canvas
    left, top, right, bottom = sample_box(1)
    QTest.mouseDClick(
        canvas,
        Qt.MouseButton.LeftButton,
        Qt.KeyboardModifier.NoModifier,
        at(canvas, (left + right) / 2, (top + bottom) / 2),
    )
    drawn = window.document.job.patches[2].outline
    assert drawn is not None
    assert (drawn.width, drawn.height) == (pytest.approx(160, abs=3), pytest.approx(180, abs=3))
