"""The place *Run*: every caution, at its moment, in every window."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from app.background import Tasks
from app.views.frame import Frame
from app.views.run import RunPlace
from app.views.theme import measure_for
from app.views.window import Window
from colourcore.run.cautions import CAUTIONS, Moment, cautions_at
from tests.app.hand import NO_SIZE_HINTS, open_window, press
from tests.app.hours_stage import chest, state

pytestmark = pytest.mark.qt_log_ignore(NO_SIZE_HINTS)


def open_run(qtbot: QtBot, tasks: Tasks, size: tuple[int, int] = (1440, 900)) -> tuple[Frame, RunPlace]:
    place = RunPlace(tasks)
    frame = Frame([place])
    qtbot.addWidget(frame)
    frame.resize(*size)
    frame.show()
    frame.set_state(state(chest(), measure=measure_for(frame.size())))
    qtbot.waitUntil(place.isVisible)
    return frame, place


@pytest.fixture
def window(qtbot: QtBot, tmp_path: Path) -> Window:
    return open_window(qtbot, tmp_path)


def test_every_caution_stands_whole_at_its_moment(window: Window, qtbot: QtBot) -> None:
    _, place = open_run(qtbot, window.tasks)
    said = {moment: [n.words.said() for n in block.notices] for moment, block in place.blocks.items()}
    for moment in Moment:
        wanted = [f"{one.lead} {one.sentence}" for one in cautions_at(moment)]
        assert [text.replace("\u00a0", " ") for text in said[moment]] == wanted
    assert sum(map(len, said.values())) == len(CAUTIONS)
    assert place.answer() == f"{len(CAUTIONS)} cautions"


def test_the_hours_to_act_by_stand_at_looking_and_at_the_end(window: Window, qtbot: QtBot) -> None:
    _, place = open_run(qtbot, window.tasks)
    looking, ending = (place.blocks[m].under.said().replace("\u00a0", " ") for m in (Moment.LOOKING, Moment.ENDING))
    piece = chest().groups[0].answer.piece
    assert piece is not None
    assert "board A, heartwood: from " in looking
    assert "board A, heartwood: due " in ending


@pytest.mark.parametrize("size", [(1440, 900), (1100, 700), (720, 450)])
def test_no_word_of_a_caution_is_cut_off_and_all_are_reached_by_keys(
    window: Window, qtbot: QtBot, size: tuple[int, int]
) -> None:
    frame, place = open_run(qtbot, window.tasks, size)
    qtbot.wait(20)
    for block in place.blocks.values():
        for notice in block.notices:
            assert notice.words.height() >= notice.words.heightForWidth(notice.words.width()) - 1
            assert notice.mapTo(frame, notice.rect().topRight()).x() <= frame.width()
    place.page.setFocus()
    bar = place.page.verticalScrollBar()
    for _ in range(40):
        press(place.page, Qt.Key.Key_PageDown)
    assert bar.value() == bar.maximum() > 0
    assert place.next_step.visibleRegion().boundingRect().height() >= 40


def test_no_caution_can_be_ticked_and_the_next_step_is_the_report(window: Window, qtbot: QtBot) -> None:
    _, place = open_run(qtbot, window.tasks)
    with qtbot.waitSignal(place.go_asked) as asked:
        QTest.mouseClick(place.next_step, Qt.MouseButton.LeftButton)
    assert asked.args == ["report"]
    assert place.stops() == (place.page, place.next_step)
