"""The place *Samples*, driven as a hand would drive it."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtPrintSupport import QPrinter
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.models.sample_rows import Fit, age_hours, sample_sections
from app.models.sample_words import echo, parse_drawn, typed_hours
from app.views.frame import Frame
from app.views.samples import SamplesPlace
from app.views.theme import DARK, LIGHT, Bench, Theme
from app.views.window import Window
from colourcore.errors import InputError
from colourcore.job import edits
from colourcore.job.model import Role
from colourcore.run.cautions import CAUTIONS, Moment
from tests.app.full_job import HOURS, children, go, open_job, rest
from tests.app.hand import NO_SIZE_HINTS, NOON, open_window, press, type_text
from tests.app.hours_stage import chest, state

pytestmark = pytest.mark.qt_log_ignore(NO_SIZE_HINTS)

SHIFT, CONTROL = Qt.KeyboardModifier.ShiftModifier, Qt.KeyboardModifier.ControlModifier


@pytest.fixture
def window(qtbot: QtBot, tmp_path: Path) -> Window:
    return open_job(qtbot, tmp_path)


@pytest.fixture
def place(window: Window, qtbot: QtBot) -> SamplesPlace:
    return go(qtbot, window, "samples", SamplesPlace)


def samples(window: Window) -> list[int]:
    return [patch.identity for patch in window.document.job.patches if patch.role is Role.SAMPLE]


def click_row(place: SamplesPlace, number: int, modifier: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
    rect = place.table.painted()[number].rect
    QTest.mouseClick(place.table, Qt.MouseButton.LeftButton, modifier, QPoint(600, rect.center().y()))


def test_every_sample_is_a_row_with_its_numbers_and_their_errors(place: SamplesPlace) -> None:
    rows = children(place.table)[:5]
    assert [name for name, _ in rows] == [f"{hours:g}\u00a0h, board A, heartwood" for hours in HOURS]
    assert all("L* " in value and "±" in value for _, value in rows)


def test_the_wood_of_a_row_lies_in_line_with_it_and_darkens_downwards(place: SamplesPlace) -> None:
    image = place.table.grab().toImage()
    lightness = [image.pixelColor(160, thing.rect.center().y()).lightness() for thing in place.table.painted()[:5]]
    assert lightness == sorted(lightness, reverse=True)
    assert lightness[0] > lightness[4] + 40


def test_hours_typed_as_a_run_go_to_the_samples_in_reading_order(qtbot: QtBot, tmp_path: Path) -> None:
    window = open_job(qtbot, tmp_path, hours=None)
    place = go(qtbot, window, "samples", SamplesPlace)
    assert "Five have no hours yet" in place.sentence()
    place.entry.field.setFocus()
    place.entry.field.selectAll()
    type_text("0, 2 4")
    assert place.entry.echo.said() == "3 hours for 5 samples of photo 1: 2 to come"
    type_text(" 8; 16")
    assert place.entry.echo.said() == "5 hours for 5 samples of photo 1"
    press(place, Qt.Key.Key_Return)
    patches = [patch for patch in window.document.job.patches if patch.role is Role.SAMPLE]
    assert [patch.hours for patch in patches] == list(HOURS)
    assert window.document.history.undo_name == "hours of 5 samples"


def test_too_few_hours_are_said_at_the_field_and_nothing_is_changed(place: SamplesPlace, window: Window) -> None:
    before = window.document.job
    place.entry.field.setFocus()
    place.entry.field.selectAll()
    type_text("0, 2")
    press(place, Qt.Key.Key_Return)
    assert place.entry.trouble.isVisible()
    assert "3 to come" in place.entry.trouble.words.said()
    assert window.document.job == before


def test_hours_being_typed_stand_in_their_rows_before_they_are_meant(place: SamplesPlace, window: Window) -> None:
    place.entry.field.setFocus()
    place.entry.field.selectAll()
    plain = place.table.grab().toImage()
    type_text("1, 3")
    assert place.table.grab().toImage() != plain
    assert [patch.hours for patch in window.document.job.patches if patch.role is Role.SAMPLE] == list(HOURS)


def test_board_and_zone_are_given_to_many_at_once(place: SamplesPlace, window: Window, qtbot: QtBot) -> None:
    click_row(place, 1)
    click_row(place, 3, SHIFT)
    assert window.session.state.chosen == tuple(samples(window)[1:4])
    place.acts.zone.setFocus()
    place.acts.zone.selectAll()
    type_text("sapwood")
    press(place, Qt.Key.Key_Tab)
    zones = [patch.zone for patch in window.document.job.patches if patch.role is Role.SAMPLE]
    assert zones == ["heartwood", "sapwood", "sapwood", "sapwood", "heartwood"]
    assert window.document.history.undo_name == "zone of 3 samples"
    rest(qtbot, window)
    assert any(name.startswith("Sapwood of board A") for name, _ in children(place.table))


def test_control_adds_a_row_and_takes_it_away_again(place: SamplesPlace, window: Window) -> None:
    click_row(place, 0)
    click_row(place, 2, CONTROL)
    assert set(window.session.state.chosen) == {samples(window)[0], samples(window)[2]}
    click_row(place, 0, CONTROL)
    assert window.session.state.chosen == (samples(window)[2],)


def test_keys_walk_choose_and_extend(place: SamplesPlace, window: Window) -> None:
    place.table.setFocus()
    press(place, Qt.Key.Key_Home, Qt.Key.Key_Down)
    assert window.session.state.chosen == (samples(window)[1],)
    press(place, Qt.Key.Key_Down, modifier=SHIFT)
    assert window.session.state.chosen == tuple(samples(window)[1:3])
    press(place, Qt.Key.Key_A, modifier=CONTROL)
    assert len(window.session.state.chosen) == 5
    press(place, Qt.Key.Key_Escape)
    assert window.session.state.chosen == ()
    press(place, Qt.Key.Key_Return)
    assert QApplication.focusWidget() is place.entry.field


def test_the_ring_of_the_keys_goes_round_the_row_that_they_stand_at(place: SamplesPlace, window: Window) -> None:
    place.table.setFocus()
    press(place, Qt.Key.Key_Home, Qt.Key.Key_Down, Qt.Key.Key_Down)
    ring, row = window.frame.ring.geometry(), place.table.painted()[2].rect
    middle = place.table.mapTo(window.frame, row.center())
    assert window.frame.ring.isVisible()
    assert ring.contains(middle)
    assert ring.height() <= row.height() + 8


def test_a_sample_is_set_aside_with_a_reason_and_taken_back(place: SamplesPlace, window: Window, qtbot: QtBot) -> None:
    click_row(place, 2)
    plain = place.table.grab().toImage()
    QTest.mouseClick(place.acts.aside, Qt.MouseButton.LeftButton)
    assert "reason first" in place.acts.trouble.words.said()
    assert window.document.job.patch(samples(window)[2]).set_aside == ""
    type_text("pencil line")
    press(place, Qt.Key.Key_Return)
    rest(qtbot, window)
    assert window.document.job.patch(samples(window)[2]).set_aside == "pencil line"
    assert "set aside: pencil line" in children(place.table)[2][1]
    assert "One is set aside" in place.sentence()
    assert place.answer() == "5, 1 set aside"
    struck = place.table.grab().toImage()
    assert struck != plain
    assert place.acts.aside.text() == "Take back"
    QTest.mouseClick(place.acts.aside, Qt.MouseButton.LeftButton)
    assert window.document.job.patch(samples(window)[2]).set_aside == ""


def test_a_finish_is_said_of_chosen_samples_and_bare_means_none(place: SamplesPlace, window: Window) -> None:
    click_row(place, 4)
    for typed, kept in (("oil, twice", "oil, twice"), ("bare", "")):
        place.acts.finish.setFocus()
        place.acts.finish.selectAll()
        type_text(typed)
        press(place, Qt.Key.Key_Return)
        assert window.document.job.patch(samples(window)[4]).finish == kept


def test_a_time_out_of_the_vapour_is_kept_as_a_date_and_a_bad_one_is_said(place: SamplesPlace, window: Window) -> None:
    click_row(place, 4)
    place.acts.drawn.setFocus()
    type_text("2025-02-28 8:30")
    press(place, Qt.Key.Key_Return)
    assert window.document.job.patch(samples(window)[4]).drawn == "2025-02-28T08:30"
    place.acts.drawn.selectAll()
    type_text("yesterday")
    press(place, Qt.Key.Key_Return)
    assert "expected a day and time" in place.acts.trouble.words.said().lower()
    assert window.document.job.patch(samples(window)[4]).drawn == "2025-02-28T08:30"


def test_age_is_counted_from_the_vapour_to_the_photo() -> None:
    assert age_hours("2025-03-01T08:00", datetime(2025, 3, 2, 10, 30)) == 26.5
    assert age_hours("", datetime(2025, 3, 2)) is None
    assert age_hours("soon", datetime(2025, 3, 2)) is None
    taken = {"a.jpg": datetime(2025, 3, 2, 7, 0)}
    assert parse_drawn("6:45", taken, "a.jpg") == "2025-03-02T06:45"
    with pytest.raises(InputError):
        parse_drawn("6:45", {}, "a.jpg")


def test_hills_lie_on_one_axis_and_show_where_each_face_is_lightest(
    place: SamplesPlace, window: Window, qtbot: QtBot
) -> None:
    rest(qtbot, window)
    axis = place.table.axis
    rows = [
        row.reading
        for section in sample_sections(window.document.job, window.session.state.results)
        for row in section.rows
    ]
    places = [axis.x(reading.lab[0]) for reading in rows if reading is not None]
    assert places == sorted(places)  # light at the left
    assert all(axis.left <= x <= axis.right for x in places)
    image = place.table.grab().toImage()
    for x, thing in zip(places, place.table.painted()[:5], strict=True):
        band = [image.pixelColor(round(x), y) for y in range(thing.rect.top() + 14, thing.rect.bottom() - 9)]
        assert any(colour == LIGHT.band for colour in band)


def test_the_targets_two_lines_cross_the_hills(place: SamplesPlace, window: Window) -> None:
    results = window.session.state.results
    assert results is not None
    assert results.groups[0].target is not None
    x = round(place.table.axis.x(round(results.groups[0].target.L, 1)))
    image = place.table.grab().toImage()
    top = place.table.painted()[0].rect.top() + 1
    dark = [dx for dx in range(-6, 7) if image.pixelColor(x + dx, top).lightness() < 90]
    assert min(dark) <= -1 <= 1 <= max(dark)
    assert 0 not in dark or image.pixelColor(x, top).lightness() > 60


def test_a_sample_that_contradicts_the_others_opens_the_place(qtbot: QtBot, tmp_path: Path) -> None:
    window = open_job(qtbot, tmp_path, hours=(0.0, 16.0, 4.0, 8.0, 2.0))
    place = go(qtbot, window, "samples", SamplesPlace)
    rows = [row for s in sample_sections(window.document.job, window.session.state.results) for row in s.rows]
    suspects = [row for row in rows if row.fit in (Fit.SUSPECT, Fit.OFF)]
    assert suspects
    said = " ".join(value for _, value in children(place.table))
    assert "the curve" in said


def test_a_typed_run_may_mix_decimals_and_clock_hours() -> None:
    assert typed_hours("0; 1,2.5 4 h 30 6:15, 8h") == ([0.0, 1.0, 2.5, 4.5, 6.25, 8.0], "")
    assert typed_hours("1, two") == ([1.0], "two")
    assert echo("1", [], chosen=False) == ("no samples yet", False)


def test_without_samples_the_ladder_stands_there_with_clock_times(qtbot: QtBot, tmp_path: Path) -> None:
    window = open_window(qtbot, tmp_path)
    place = go_empty(qtbot, window)
    assert "Five offcuts go in from" in place.sentence()
    named = children(place.ladder.rungs)
    assert [name for name, _ in named] == ["32\u00a0h", "16\u00a0h", "8\u00a0h", "4\u00a0h", "2\u00a0h", "0\u00a0h"]
    assert named[0][1] == "in Sat 13:00, out Sun 21:00"
    assert named[-1][1] == "stays raw, never goes in"


def go_empty(qtbot: QtBot, window: Window) -> SamplesPlace:
    window.frame.go("samples")
    place = window.frame.place("samples")
    assert isinstance(place, SamplesPlace)
    qtbot.waitUntil(place.isVisible)
    return place


def test_the_ladder_follows_the_guess_and_the_start(qtbot: QtBot, tmp_path: Path) -> None:
    window = open_window(qtbot, tmp_path)
    place = go_empty(qtbot, window)
    for field, typed in ((place.ladder.guess, "4"), (place.ladder.samples, "5"), (place.ladder.begins, "thu 21:30")):
        field.setFocus()
        field.selectAll()
        type_text(typed)
        press(place, Qt.Key.Key_Return)
    assert children(place.ladder.rungs)[0] == ("16\u00a0h", "in Thu 21:30, out Fri 13:30")
    assert "Thu\u00a021:30" in place.sentence()
    place.ladder.samples.setFocus()
    place.ladder.samples.selectAll()
    type_text("two")
    press(place, Qt.Key.Key_Return)
    assert place.ladder.trouble.isVisible()
    assert len(place.ladder.ladder().rungs) == 5


def test_the_cautions_of_the_first_sample_stand_with_the_ladder(qtbot: QtBot, tmp_path: Path) -> None:
    window = open_window(qtbot, tmp_path)
    place = go_empty(qtbot, window)
    said = " ".join(notice.words.said() for notice in place.ladder.notices)
    needed = (Moment.ALWAYS, Moment.BEFORE_TEST, Moment.POURING, Moment.ENDING, Moment.AIRING)
    missing = [one.key for one in CAUTIONS if one.moment in needed and one.lead not in said]
    assert not missing


def test_the_sheet_for_the_wall_is_kept_as_a_page_and_printed(qtbot: QtBot, tmp_path: Path) -> None:
    window = open_window(qtbot, tmp_path)
    printer = QPrinter(QPrinter.PrinterMode.HighResolution)
    printer.setOutputFormat(QPrinter.OutputFormat.PdfFormat)
    printer.setOutputFileName(str(tmp_path / "printed.pdf"))
    kept = tmp_path / "ladder.pdf"
    place = SamplesPlace(
        window.tasks, lambda: NOON, ask_printer=lambda _parent, _title: printer, ask_file=lambda _parent, _path: kept
    )
    frame = Frame([place])
    qtbot.addWidget(frame)
    frame.resize(1440, 900)
    frame.show()
    frame.set_state(window.session.state)
    QTest.mouseClick(place.ladder.keep, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: "ladder.pdf" in place.told.words.said())
    document = pypdfium2.PdfDocument(kept.read_bytes())
    text = document[0].get_textpage().get_text_range()
    document.close()
    assert "Sat 13:00" in text
    assert "Dressed for pouring" in text
    QTest.mouseClick(place.ladder.print, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: "Sent" in place.told.words.said(), timeout=20_000)
    assert (tmp_path / "printed.pdf").stat().st_size > 10_000


def test_the_ladder_is_one_word_away_where_there_are_samples(place: SamplesPlace) -> None:
    tabs = place.header()
    assert tabs is not None
    place.show_ladder()
    assert "go in from" in place.sentence()
    place.show_ladder(wanted=False)
    assert "samples of one board" in place.sentence()


@pytest.mark.parametrize("size", [(1440, 900), (1100, 700), (720, 450)])
def test_rows_and_what_is_said_of_them_are_in_sight_in_every_window(
    qtbot: QtBot, tmp_path: Path, size: tuple[int, int]
) -> None:
    window = open_job(qtbot, tmp_path, size=size)
    place = go(qtbot, window, "samples", SamplesPlace)
    click_row(place, 0)
    assert place.entry.field.isVisible()
    for widget in (place.acts.board, place.acts.zone):
        seen = widget.visibleRegion().boundingRect()
        assert seen.height() >= 28
    assert place.table.visibleRegion().boundingRect().height() > 60
    columns = place.table.columns
    assert columns.hill_right - columns.hill_left >= 60
    assert columns.right <= place.table.width()


@pytest.mark.parametrize("theme", [LIGHT, DARK])
def test_the_bench_is_one_grey_and_nothing_but_wood_has_a_hue(
    place: SamplesPlace, window: Window, theme: Theme, qtbot: QtBot
) -> None:
    window.session.show(theme=theme)
    qtbot.wait(1)
    image = place.table.grab().toImage()
    bench = image.pixelColor(6, 6)
    assert bench == Bench.BENCH.colour
    left = round(place.table.columns.bench) + 8
    pixels = np.array(image.convertToFormat(image.Format.Format_RGB32).constBits()).reshape(image.height(), -1, 4)
    page = pixels[:, left:, :3].astype(int)
    assert int(np.abs(page.max(axis=2) - page.min(axis=2)).max()) <= 2


def test_a_job_without_results_still_shows_its_rows(qtbot: QtBot, tmp_path: Path) -> None:
    window = open_window(qtbot, tmp_path)
    place = SamplesPlace(window.tasks, lambda: NOON)
    frame = Frame([place])
    qtbot.addWidget(frame)
    assert place.answer() == "none yet"
    place.set_state(state(chest()))
    assert place.answer() == "none yet"  # readings without a job's samples are nobody's


def test_an_age_and_a_label_stand_in_the_row(place: SamplesPlace, window: Window, qtbot: QtBot) -> None:
    first = samples(window)[0]
    window.session.edit(lambda job: edits.set_label(job, first, "knot at the left"))
    rest(qtbot, window)
    assert "knot at the left" in children(place.table)[0][1]
