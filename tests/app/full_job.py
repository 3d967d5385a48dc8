"""A job on the bench of a real window: a card, samples with hours, and a shade to aim for, all read from one photo."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TypeVar

from PySide6.QtGui import QAccessible
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from app.views.place import Place
from app.views.window import Window
from colourcore.image.pixels import Outline
from colourcore.job import edits
from colourcore.job.edits import Edit
from colourcore.job.model import Job, Role
from tests.app.hand import CARD, darkening, drop, make_photo, open_window, sample_box, wait_read

PHOTO = "boards.png"
HOURS = (0.0, 2.0, 4.0, 8.0, 16.0)
WISHED = (150, 122, 95)
"""sRGB of the shade to aim for: between the third and the fourth sample."""

_PATIENCE_MS = 30_000
SomePlace = TypeVar("SomePlace", bound=Place)


def box_of(corners: tuple[int, int, int, int]) -> Outline:
    left, top, right, bottom = corners
    return Outline(x=left, y=top, width=right - left, height=bottom - top)


def outlined(job: Job, *, target: bool = True, hours: Sequence[float] | None = HOURS) -> Job:
    """Outline the card, five samples and the shade in the job's only photo."""
    job = edits.add_outline(job, PHOTO, box_of(CARD), Role.CARD).job
    for number in range(5):
        said = {"board": "A", "zone": "heartwood"} if hours is not None else {}
        own = {"hours": hours[number]} if hours is not None else {}
        job = edits.add_outline(job, PHOTO, box_of(sample_box(number)), Role.SAMPLE, **own, **said).job
    if target:
        job = edits.add_outline(job, PHOTO, box_of(sample_box(5)), Role.TARGET, label="settle arm").job
    return job


def open_job(
    qtbot: QtBot,
    folder: Path,
    *,
    target: bool = True,
    hours: Sequence[float] | None = HOURS,
    size: tuple[int, int] = (1440, 900),
) -> Window:
    """Open a window on such a job, read and kept."""
    window = open_window(qtbot, folder, size=size)
    drop(qtbot, window, make_photo(folder / PHOTO, [*darkening(), WISHED]))
    window.session.edit(lambda job: Edit(name="outlines", job=outlined(job, target=target, hours=hours)))
    wait_read(qtbot, window)
    return window


def go(qtbot: QtBot, window: Window, key: str, kind: type[SomePlace]) -> SomePlace:
    """Go to a place and wait until it is drawn."""
    window.frame.go(key)
    place = window.frame.place(key)
    assert isinstance(place, kind)
    qtbot.waitUntil(place.isVisible)
    rest(qtbot, window)
    return place


def rest(qtbot: QtBot, window: Window) -> None:
    """Wait until nothing is under way any more and the newest job is read."""
    wait_read(qtbot, window)
    qtbot.waitUntil(lambda: not window.tasks.any_busy(), timeout=_PATIENCE_MS)
    wait_read(qtbot, window)


def children(widget: QWidget) -> list[tuple[str, str]]:
    """Return name and value of every painted thing, as a screen reader hears them."""
    parent = QAccessible.queryAccessibleInterface(widget)
    found = []
    for number in range(parent.childCount()):
        child = parent.child(number)
        assert child.isValid()
        found.append((child.text(QAccessible.Text.Name), child.text(QAccessible.Text.Value)))
    return found
