"""The suite's own guards are seen to catch: Qt's warnings, errors in slots, and what a test leaves behind."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys

import pytest

from tests.rules.sources import HOUSE

PLANTED = """
import threading
import time
import warnings

import pytest
from PySide6.QtCore import QObject, QTimer, qWarning
from PySide6.QtWidgets import QLabel

kept = []


def test_well_behaved(qtbot):
    label = QLabel("oak")
    qtbot.addWidget(label)
    thread = threading.Thread(target=time.sleep, args=(0.01,))
    thread.start()
    ring = QLabel("a ring of references")
    ring.itself = ring


def test_python_warns():
    warnings.warn("the wood is damp", UserWarning, stacklevel=1)


def test_qt_warns(qapp):
    qWarning("the wood is damp")


def test_a_slot_raises(qtbot):
    def slot():
        raise ValueError("no card")

    QTimer.singleShot(0, slot)
    qtbot.wait(20)


def test_a_thread_stays(qapp):
    threading.Thread(target=time.sleep, args=(60,), name="the forgotten one", daemon=True).start()


def test_a_widget_stays(qapp):
    kept.append(QLabel("the forgotten one"))
"""


@pytest.fixture(scope="module")
def told(tmp_path_factory: pytest.TempPathFactory) -> str:
    house = tmp_path_factory.mktemp("house")
    (house / "tests" / "app").mkdir(parents=True)
    shutil.copy(HOUSE / "pyproject.toml", house)
    for file in ("tests/__init__.py", "tests/conftest.py", "tests/app/__init__.py", "tests/app/conftest.py"):
        shutil.copy(HOUSE / file, house / file)
    (house / "tests" / "app" / "test_planted.py").write_text(PLANTED, "utf-8")
    quick = ["-p", "no:cacheprovider", "-p", "no:hypothesispytest", "-o", "addopts=--import-mode=importlib"]
    command = [sys.executable, "-m", "pytest", *quick, "-rA", "--color=no", "tests"]
    environment = os.environ | {"PYTHONPATH": str(HOUSE)}
    return subprocess.run(
        command, cwd=house, env=environment, capture_output=True, text=True, encoding="utf-8", check=False
    ).stdout


@pytest.mark.parametrize(
    ("test", "ends", "because"),
    [
        ("test_python_warns", "FAILED", "UserWarning: the wood is damp"),
        ("test_qt_warns", "FAILED", "WARNING"),
        ("test_a_slot_raises", "FAILED", "no card"),
        ("test_a_thread_stays", "ERROR", "threads left running: the forgotten one"),
        ("test_a_widget_stays", "ERROR", "widgets left behind: QLabel"),
    ],
)
def test_what_must_not_happen_is_caught(test: str, ends: str, because: str, told: str) -> None:
    assert f"{ends} tests/app/test_planted.py::{test}" in told
    assert because in told


def test_a_well_behaved_test_passes(told: str) -> None:
    assert "PASSED tests/app/test_planted.py::test_well_behaved" in told
    assert "FAILED tests/app/test_planted.py::test_well_behaved" not in told
    assert "ERROR tests/app/test_planted.py::test_well_behaved" not in told
