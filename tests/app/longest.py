"""A window on an invented job whose names, hours and figures are as long as makers make them."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtWidgets import QApplication

from app.views.painted import install
from app.views.theme import load_fonts
from app.views.window import Window
from colourcore.image.pixels import Outline
from colourcore.job import edits
from colourcore.job.edits import Edit
from colourcore.job.model import Job, Role
from tests.app.hand import CARD, NOON, darkening, make_photo, sample_box
from tests.app.screenshots import rest, wait

__all__ = ["OWN", "longest_window"]

PHOTO = "boards of the lidded chest, second evening, north window.png"
BOARD, ZONE = "Quartersawn plank", "heartwood at the pith"
NAME = "Lidded chest with the two drawers for Aunt Wilhelmina"
LABEL = "arm of the old settle by the stove"
ASIDE = "pencil line across the face"
OWN = (PHOTO, Path(PHOTO).stem, BOARD, ZONE, NAME, LABEL, ASIDE)
"""What the user named; it may be cut where all of it is a tooltip away."""

HOURS = (0.0, 11.0, 23.5, 47.75, 119.9)


def longest_window(folder: Path, size: tuple[int, int]) -> Window:
    """Open a window of that size on the job, read and at rest; its own folder lies in `folder`."""
    application = QApplication.instance()
    assert isinstance(application, QApplication)
    application.setStyle("Fusion")
    load_fonts()
    install()
    window = Window(folder / "own", folder / "jobs", lambda: NOON)
    window.resize(*size)
    window.show()
    window.open_paths([make_photo(folder / PHOTO, [*darkening(), (150, 122, 95)])])
    wait(lambda: bool(window.document.job.photos))
    window.session.edit(lambda job: Edit(name="all outlines of the second evening", job=_outlined(job)))
    wait(lambda: window.session.state.results is not None and window.session.state.current)
    rest(window)
    return window


def _box(corners: tuple[int, int, int, int]) -> Outline:
    left, top, right, bottom = corners
    return Outline(x=left, y=top, width=right - left, height=bottom - top)


def _outlined(job: Job) -> Job:
    job = edits.name_job(job, NAME).job
    job = edits.add_outline(job, PHOTO, _box(CARD), Role.CARD).job
    for number, hours in enumerate(HOURS):
        box = _box(sample_box(number))
        job = edits.add_outline(job, PHOTO, box, Role.SAMPLE, hours=hours, board=BOARD, zone=ZONE).job
    job = edits.add_outline(job, PHOTO, _box(sample_box(5)), Role.TARGET, label=LABEL).job
    return edits.set_aside(job, [4], ASIDE).job
