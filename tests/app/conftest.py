"""No widget outlives the test that made it, and no test reads or writes the settings of whoever runs it."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QCoreApplication, QEvent, QStandardPaths
from PySide6.QtWidgets import QApplication, QWidget


@pytest.fixture(autouse=True)
def settings_of_nobody(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Settings and remembered folders go to a folder of the test's own."""
    QStandardPaths.setTestModeEnabled(True)
    for name in ("XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_STATE_HOME"):
        monkeypatch.setenv(name, str(tmp_path / "nobody"))


def _windows() -> list[QWidget]:
    return QApplication.topLevelWidgets() if isinstance(QApplication.instance(), QApplication) else []


@pytest.fixture(autouse=True)
def no_widget_stays_behind() -> Iterator[None]:
    """A window, dialog or parentless widget that the test made is gone when it ends."""
    before = set(_windows())
    yield
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    if set(_windows()) - before:
        gc.collect()  # a widget in a ring of references is no leak
        QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    left = sorted(f"{type(widget).__name__} {widget.objectName()}".strip() for widget in set(_windows()) - before)
    if left:
        pytest.fail(f"widgets left behind: {', '.join(left)}")
