"""The Qt binding gives back each None that it takes: PySide6 6.12.0 does not on Python 3.11, and ends the process."""

from __future__ import annotations

import sys

import pytest
from PySide6.QtCore import QObject
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

CALLS = 5000
OTHERS_MAY_DROP = 100  # references to None that the interpreter itself lets go meanwhile


def test_calls_that_return_nothing_use_up_no_none(qtbot: QtBot) -> None:
    widget, thing = QWidget(), QObject()
    qtbot.addWidget(widget)
    before = sys.getrefcount(None)
    for _ in range(CALLS):
        thing.setObjectName("oak")
        widget.update()
    assert sys.getrefcount(None) > before - OTHERS_MAY_DROP


@pytest.mark.skipif(sys.version_info >= (3, 12), reason="from Python 3.12 on None is not counted")
def test_the_count_would_show_a_lost_none() -> None:
    before = sys.getrefcount(None)
    held = [None] * CALLS
    rose = sys.getrefcount(None) - before
    held.clear()
    assert rose > CALLS - OTHERS_MAY_DROP
