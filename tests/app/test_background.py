"""Work in the background: the newest answer wins, errors are values, and nothing is told after the end."""

from __future__ import annotations

import threading

import pytest
from pytestqt.qtbot import QtBot

from app.background import Answered, Failed, Outcome, Stopped, Tasks, Ticket
from colourcore.errors import InputError


@pytest.fixture
def tasks(qtbot: QtBot) -> Tasks:  # noqa: ARG001 - brings the event loop
    return Tasks()


def test_the_newest_answer_wins_and_the_older_is_dropped(tasks: Tasks, qtbot: QtBot) -> None:
    gate = threading.Event()
    told: list[Outcome] = []

    def slow(_ticket: Ticket) -> str:
        gate.wait(5)
        return "old"

    tasks.start("lane", slow, told.append)
    tasks.start("lane", lambda _ticket: "new", told.append)
    qtbot.waitUntil(lambda: told == [Answered(value="new")])
    gate.set()
    tasks.close()
    qtbot.wait(20)
    assert told == [Answered(value="new")]


def test_a_problem_of_the_users_world_comes_back_as_a_value(tasks: Tasks, qtbot: QtBot) -> None:
    told: list[Outcome] = []

    def work(_ticket: Ticket) -> None:
        raise InputError("expected a photo, got soup", file="soup.jpg")

    tasks.start("lane", work, told.append)
    qtbot.waitUntil(lambda: bool(told))
    assert isinstance(told[0], Failed)
    assert str(told[0].problem) == "soup.jpg: expected a photo, got soup."
    tasks.close()


def test_a_fault_of_ours_is_loud_in_the_windows_thread(tasks: Tasks, qtbot: QtBot) -> None:
    told: list[Outcome] = []

    def work(_ticket: Ticket) -> None:
        raise ZeroDivisionError("ours")

    with qtbot.captureExceptions() as caught:
        tasks.start("lane", work, told.append)
        qtbot.waitUntil(lambda: bool(caught))
    assert caught[0][0] is ZeroDivisionError
    assert told == []
    tasks.close()


def test_stopping_ends_the_work_at_its_next_step_and_says_so_at_once(tasks: Tasks, qtbot: QtBot) -> None:
    begun, ended = threading.Event(), threading.Event()
    told: list[Outcome] = []
    steps: list[int] = []

    def work(ticket: Ticket) -> None:
        begun.set()
        try:
            for number in range(10_000):
                ticket.progress(number, 10_000, "board.jpg")
                threading.Event().wait(0.001)
        finally:
            ended.set()

    tasks.progressed.connect(lambda progress: steps.append(progress.done))
    tasks.start("lane", work, told.append)
    assert begun.wait(5)
    qtbot.waitUntil(lambda: len(steps) > 2)
    tasks.cancel("lane")
    assert told == [Stopped()]
    assert ended.wait(5)
    assert not tasks.busy("lane")
    tasks.close()


def test_closing_waits_for_the_threads_and_tells_nothing_more(tasks: Tasks, qtbot: QtBot) -> None:
    told: list[Outcome] = []
    tasks.start("lane", lambda ticket: threading.Event().wait(0.05) or ticket.check(), told.append)
    tasks.close()
    qtbot.wait(20)
    assert told == []
