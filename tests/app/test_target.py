"""The place *Target*, driven as a hand would drive it."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from app.models.target_numbers import lab_from_codes, lab_from_numbers
from app.models.target_scene import active_targets, finished_of
from app.models.target_words import NOTHING_LEARNED, firmness
from app.views.target import TargetPlace
from app.views.target_sources import Source
from app.views.theme import DARK, LIGHT, Bench, Theme
from app.views.window import Window
from colourcore.errors import InputError
from colourcore.job import edits
from colourcore.job.edits import ANOTHER_TARGET
from colourcore.job.model import Job, Patch, Role
from tests.app.full_job import children, go, open_job, rest
from tests.app.hand import NO_SIZE_HINTS, press, type_text

pytestmark = pytest.mark.qt_log_ignore(NO_SIZE_HINTS)

PATIENCE_MS = 60_000


@pytest.fixture
def window(qtbot: QtBot, tmp_path: Path) -> Window:
    return open_job(qtbot, tmp_path)


@pytest.fixture
def place(window: Window, qtbot: QtBot) -> TargetPlace:
    return go(qtbot, window, "target", TargetPlace)


def only_target(job: Job) -> Patch:
    (found,) = active_targets(job)
    return found


def choose(place: TargetPlace, source: Source) -> None:
    QTest.mouseClick(place.sources.boxes[source], Qt.MouseButton.LeftButton)


def type_numbers(place: TargetPlace, text: str) -> None:
    place.panel.numbers.setFocus()
    place.panel.numbers.selectAll()
    type_text(text)
    press(place, Qt.Key.Key_Return)


def test_the_sentence_names_the_shade_and_what_is_to_match_it(place: TargetPlace) -> None:
    assert "settle arm" in place.sentence()
    assert "**raw** wood" in place.sentence()
    assert place.answer().startswith("L* ")
    assert place.answer().endswith(", raw")
    assert "both alike" in place.second_line()


def test_numbers_replace_the_patch_which_stays_outlined(place: TargetPlace, window: Window, qtbot: QtBot) -> None:
    choose(place, Source.NUMBERS)
    type_numbers(place, "48, 4.5, 13.6")
    assert only_target(window.document.job).lab == (48.0, 4.5, 13.6)
    given_way = [patch for patch in window.document.job.patches if patch.set_aside == ANOTHER_TARGET]
    assert [patch.label for patch in given_way] == ["settle arm"]
    rest(qtbot, window)
    assert place.answer() == "L* 48.0, raw"
    choose(place, Source.PATCH)
    QTest.mouseClick(place.panel.patches.children()[-1], Qt.MouseButton.LeftButton)  # type: ignore[arg-type]  # its word
    assert only_target(window.document.job).label == "settle arm"


@pytest.mark.parametrize("text", ["48 4.5", "120 1 2", "brown", "48 4.5 200"])
def test_numbers_that_are_no_shade_are_said_where_they_were_typed(
    place: TargetPlace, window: Window, text: str
) -> None:
    before = window.document.job
    choose(place, Source.NUMBERS)
    type_numbers(place, text)
    assert place.panel.trouble.isVisible()
    assert window.document.job == before


def test_screen_codes_are_carried_to_lab() -> None:
    # IEC 61966-2-1: an sRGB grey of 119 has L* 50.0 under D65
    lightness, a, b = lab_from_codes("#777777")
    assert lightness == pytest.approx(50.03, abs=0.02)
    assert a == pytest.approx(0, abs=0.01)
    assert b == pytest.approx(0, abs=0.01)
    assert lab_from_codes("119 119 119") == lab_from_codes("#777777")
    assert lab_from_numbers("L* 48 a* 4,5 b* 13,6") == (48.0, 4.5, 13.6)
    for text in ("300 0 0", "#77777", "1.5 2 3"):
        with pytest.raises(InputError):
            lab_from_codes(text)


def test_munsell_notation_is_looked_up_in_the_background(place: TargetPlace, window: Window, qtbot: QtBot) -> None:
    choose(place, Source.NUMBERS)
    place.panel.notations.chosen.emit(2)
    type_numbers(place, "7.5yr 4/3")
    qtbot.waitUntil(lambda: only_target(window.document.job).photo == "", timeout=PATIENCE_MS)
    found = only_target(window.document.job)
    assert found.label == "Munsell 7.5YR 4/3"
    assert found.lab is not None
    assert found.lab[0] == pytest.approx(40.7, abs=0.3)  # value 4 has a luminance of 11.7 % (ASTM D1535, from memory)
    rest(qtbot, window)


def test_a_shade_is_kept_on_the_shelf_and_aimed_for_in_another_job(
    place: TargetPlace, window: Window, qtbot: QtBot
) -> None:
    QTest.mouseClick(place.ledger.keep, Qt.MouseButton.LeftButton)
    assert "name first" in place.ledger.trouble.words.said()
    place.ledger.name.setFocus()
    type_text("settle arm, worn")
    press(place, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: len(place.shelf.painted()) == 1, timeout=PATIENCE_MS)
    assert place.shelf.painted()[0].name == "settle arm, worn"
    window.document.show(None)  # another job
    rest_empty(qtbot, window)
    assert active_targets(window.document.job) == ()
    QTest.mouseClick(place.shelf, Qt.MouseButton.LeftButton, pos=QPoint(20, 15))
    found = only_target(window.document.job)
    assert found.label == "settle arm, worn"
    assert found.lab is not None
    choose(place, Source.SHELF)
    QTest.mouseClick(place.panel.take_off, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: not place.shelf.painted(), timeout=PATIENCE_MS)
    rest_empty(qtbot, window)


def rest_empty(qtbot: QtBot, window: Window) -> None:
    qtbot.waitUntil(lambda: window.session.state.current and not window.tasks.any_busy(), timeout=PATIENCE_MS)


def test_an_hour_of_the_curve_becomes_the_shade(place: TargetPlace, window: Window, qtbot: QtBot) -> None:
    choose(place, Source.HOUR)
    place.panel.hour.setFocus()
    type_text("6 h")
    press(place, Qt.Key.Key_Return)
    found = only_target(window.document.job)
    assert found.label == "6 h of board A, heartwood"
    assert found.lab is not None
    readings = {row.hours: row.reading for row in window.session.state.results.readings if row.role is Role.SAMPLE}  # type: ignore[union-attr]  # read above
    assert readings[8.0].lab[0] < found.lab[0] < readings[4.0].lab[0]  # type: ignore[union-attr]  # every sample was read
    rest(qtbot, window)
    place.panel.hour.selectAll()
    place.panel.hour.setFocus()
    type_text("90")
    press(place, Qt.Key.Key_Return)
    assert "up to the last sample" in place.panel.trouble.words.said()


def test_a_finished_shade_without_pairs_says_why_it_cannot_be_carried_back(
    place: TargetPlace, window: Window, qtbot: QtBot
) -> None:
    QTest.mouseClick(place.ledger.finished, Qt.MouseButton.LeftButton)
    assert only_target(window.document.job).finish == ""  # nothing changes before a finish is named
    place.ledger.finish.setFocus()
    type_text("oil")
    press(place, Qt.Key.Key_Return)
    assert only_target(window.document.job).finish == "oil"
    rest(qtbot, window)
    assert "under oil" in place.sentence()
    said = " ".join(value for _, value in children(place.bench))
    assert "no sample was read both bare and finished" in said
    QTest.mouseClick(place.ledger.raw, Qt.MouseButton.LeftButton)
    assert only_target(window.document.job).finish == ""


def test_a_raw_shade_says_that_a_finish_is_not_known(place: TargetPlace) -> None:
    things = dict(children(place.bench))
    assert things["The same, finished"] == NOTHING_LEARNED
    assert "L*" in things["Raw, to aim for in the tent"]
    found = finished_of((), Patch(identity=1, role=Role.TARGET), {}, NOTHING_LEARNED)
    assert "No samples go by this target" in found.reason


def test_whether_it_is_within_reach_is_said_with_the_hour(place: TargetPlace) -> None:
    said = dict(children(place.bench))["board A, heartwood"]
    assert said.startswith("here the cord vanishes, after ")


def test_a_shade_too_dark_is_never_reached_with_its_odds(place: TargetPlace, window: Window, qtbot: QtBot) -> None:
    window.session.edit(lambda job: edits.target_from_numbers(job, (12.0, 2.0, 4.0)))
    rest(qtbot, window)
    said = dict(children(place.bench))["board A, heartwood"]
    assert "it never vanishes" in said
    assert "lighter" in said
    assert "gets there:" in said


def test_a_worn_patch_is_taken_care_of_and_an_even_one_is_noted() -> None:
    worn, care = firmness((2.9, 1.7))
    assert care
    assert "2.9 L*" in worn
    assert "1.7" in worn
    even, care = firmness((1.8, 1.7))
    assert not care
    assert "even patch" in even
    assert firmness(None) == ("", False)


def test_a_target_may_be_for_one_zone_and_another_one_for_the_other(
    place: TargetPlace, window: Window, qtbot: QtBot
) -> None:
    last = [patch.identity for patch in window.document.job.patches if patch.role is Role.SAMPLE][-1:]
    window.session.edit(lambda job: edits.set_zone(job, last, "sapwood"))
    rest(qtbot, window)
    place.ledger.zones.chosen.emit(1)
    assert only_target(window.document.job).zone == "heartwood"
    assert window.document.history.undo_name == "parts of the target"
    rest(qtbot, window)
    QTest.mouseClick(place.ledger.add, Qt.MouseButton.LeftButton)
    assert "Another target" in place.sentence()
    choose(place, Source.NUMBERS)
    type_numbers(place, "55 5 15")
    assert {(t.zone, t.lab) for t in active_targets(window.document.job)} == {
        ("heartwood", None),
        ("sapwood", (55.0, 5.0, 15.0)),
    }


def test_the_next_step_is_the_hours(place: TargetPlace, window: Window, qtbot: QtBot) -> None:
    QTest.mouseClick(place.ledger.next_step, Qt.MouseButton.LeftButton)
    qtbot.wait(1)
    assert window.frame.current.key == "hours"


@pytest.mark.parametrize("size", [(1440, 900), (1100, 700), (720, 450)])
def test_raw_and_finished_and_the_next_step_are_in_sight_in_every_window(
    qtbot: QtBot, tmp_path: Path, size: tuple[int, int]
) -> None:
    window = open_job(qtbot, tmp_path, size=size)
    place = go(qtbot, window, "target", TargetPlace)
    shown = {thing.name: thing.rect for thing in place.bench.painted()}
    for name in ("Raw, to aim for in the tent", "The same, finished"):
        assert place.bench.rect().contains(shown[name])
    assert place.ledger.next_step.visibleRegion().boundingRect().height() >= 40
    for box in place.sources.boxes.values():
        assert box.visibleRegion().boundingRect().height() >= 28


@pytest.mark.parametrize("theme", [LIGHT, DARK])
def test_the_bench_under_the_shade_is_one_grey(place: TargetPlace, window: Window, theme: Theme, qtbot: QtBot) -> None:
    window.session.show(theme=theme)
    qtbot.wait(1)
    assert place.grab().toImage().pixelColor(4, 300) == Bench.BENCH.colour
