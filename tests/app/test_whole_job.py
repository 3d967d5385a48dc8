"""A whole job, from an empty bench to a report: once by mouse, once by keys alone, with forty acts undone and redone.

Typed is only what has to be typed: the hours and the shade. The system's own file choosers are the one thing that is
not driven; what they answer stands in their place.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pypdfium2
import pytest
from PIL import Image
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QFileDialog, QWidget
from pytestqt.qtbot import QtBot

from app.views.hours_rule import HoursRule
from app.views.report import ReportPlace
from app.views.samples import SamplesPlace
from app.views.target import TargetPlace
from app.views.target_sources import Source
from app.views.window import Window
from colourcore.job.model import Role
from tests.app.hand import NO_SIZE_HINTS, darkening, drag, open_window, photos_of, press, type_text, wait_read

pytestmark = pytest.mark.qt_log_ignore(NO_SIZE_HINTS)

WIDTH, HEIGHT, SIDE, STEP = 600, 400, 80, 110
HOURS = (0.0, 2.0, 4.0, 8.0, 16.0)
SHADE = (50.0, 9.0, 18.0)
UNDOS, AT_ONCE = 40, 10
ACTS = 1 + 6 * 2  # a photo, and six outlines each made and moved
LEFT, CONTROL = Qt.MouseButton.LeftButton, Qt.KeyboardModifier.ControlModifier
SHIFT = Qt.KeyboardModifier.ShiftModifier


def middle(number: int) -> tuple[int, int]:
    """Where the card (0) and the samples lie: two rows of three around the middle of the photo."""
    return WIDTH // 2 + (number % 3 - 1) * STEP, HEIGHT // 2 + (-60 if number < 3 else 60)


@pytest.fixture
def photo(tmp_path: Path) -> Path:
    """A small photo of a grey card and five samples with grain, under a warm lamp."""
    random = np.random.default_rng(5)
    pixels = np.full((HEIGHT, WIDTH, 3), 150.0)
    for number, colour in enumerate([(118, 118, 118), *darkening(5)]):
        x, y = middle(number)
        pixels[y - 50 : y + 50, x - 52 : x + 52] = colour
    pixels = (pixels + random.normal(0, 4, pixels.shape[:2])[..., None]) * (0.95, 0.9, 0.8)
    path = tmp_path / "five boards.png"
    Image.fromarray(np.clip(pixels, 0, 255).astype(np.uint8)).save(path)
    return path


@pytest.fixture
def window(qtbot: QtBot, tmp_path: Path, photo: Path, monkeypatch: pytest.MonkeyPatch) -> Window:
    """An empty bench; the choosers of the system answer with the photo, and with where the report shall lie."""
    monkeypatch.setattr(QFileDialog, "getOpenFileNames", lambda *_args: ([str(photo)], ""))
    monkeypatch.setattr(
        QFileDialog, "getSaveFileName", lambda *_args: (str(tmp_path / "out" / "report.pdf"), "PDF (*.pdf)")
    )
    (tmp_path / "out").mkdir()
    return open_window(qtbot, tmp_path)


def samples_of(window: Window) -> SamplesPlace:
    place = window.frame.place("samples")
    assert isinstance(place, SamplesPlace)
    return place


def target_of(window: Window) -> TargetPlace:
    place = window.frame.place("target")
    assert isinstance(place, TargetPlace)
    return place


def report_of(window: Window) -> ReportPlace:
    place = window.frame.place("report")
    assert isinstance(place, ReportPlace)
    return place


def click(widget: QWidget, at: QPoint | None = None) -> None:
    """Click what a hand can reach: it must be in sight, whole and enabled."""
    point = widget.rect().center() if at is None else at
    assert widget.isVisible()
    assert widget.isEnabled()
    assert not widget.visibleRegion().isEmpty()
    assert widget.visibleRegion().contains(point)
    QTest.mouseClick(widget, LEFT, Qt.KeyboardModifier.NoModifier, point)
    QApplication.processEvents()


def control(window: Window, key: Qt.Key, *, shift: bool = False) -> None:
    QTest.keyClick(QApplication.focusWidget() or window, key, CONTROL | SHIFT if shift else CONTROL)


def tab_to(wanted: QWidget) -> None:
    """Press Tab until the keys go to this widget, as somebody without a mouse does."""
    for _ in range(60):
        if QApplication.focusWidget() is wanted:
            return
        press(wanted, Qt.Key.Key_Tab)
    raise AssertionError(f"Tab does not lead to {wanted.accessibleName()}")


def go_round_to(window: Window, wanted: QWidget) -> None:
    """Press F6 until the keys go to this part of the window."""
    for _ in range(4):
        if QApplication.focusWidget() is wanted:
            return
        QTest.keyClick(window, Qt.Key.Key_F6)
    raise AssertionError(f"F6 does not lead to {wanted.accessibleName()}")


def hold_to_what_a_job_is(window: Window, report: Path) -> None:
    """Hours came out of it, they stand in the line of places, and the report on disk tells them."""
    job, results = window.document.job, window.session.state.results
    assert [patch.role for patch in job.patches[:6]] == [Role.CARD, *[Role.SAMPLE] * 5]
    assert tuple(patch.hours for patch in job.patches[1:6]) == HOURS
    assert results is not None
    (group,) = results.groups
    piece = group.answer.piece
    assert piece is not None
    assert piece.hours is not None
    assert piece.due is not None
    assert 2 < piece.due < piece.hours < 16
    assert window.frame.line.places["hours"].toolTip().startswith("due ")
    pages = pypdfium2.PdfDocument(report)
    words = "".join(pages[number].get_textpage().get_text_bounded() for number in range(len(pages)))
    pages.close()
    assert "five boards.png" in words
    assert "ammonia" in words.lower()


def outline_by_mouse(window: Window, number: int) -> None:
    canvas = photos_of(window).canvas
    x, y = middle(number)
    corners = [canvas.view.to_view(x + sign * SIDE / 2, y + sign * SIDE / 2) for sign in (-1, 1)]
    drag(canvas, *(QPoint(round(left), round(top)) for left, top in corners))


def test_a_job_goes_from_an_empty_bench_to_a_report_by_mouse(window: Window, qtbot: QtBot, tmp_path: Path) -> None:
    photos, samples, target, report = photos_of(window), samples_of(window), target_of(window), report_of(window)
    click(photos.next_step)
    wait_read(qtbot, window)
    for number in range(6):
        outline_by_mouse(window, number)
        click(photos.canvas, QPoint(4, 4))  # bare ground: nothing is chosen any more
    wait_read(qtbot, window)
    undo_by_mouse(window, 6)
    click(photos.next_step)
    click(samples.entry.field)
    type_text("0 2 4 8 16")
    press(samples, Qt.Key.Key_Return)
    wait_read(qtbot, window)
    click(window.frame.line.places["target"])
    click(target.sources.boxes[Source.NUMBERS])
    click(target.panel.numbers)
    type_text(" ".join(f"{figure:g}" for figure in SHADE))
    press(target, Qt.Key.Key_Return)
    wait_read(qtbot, window)
    undo_by_mouse(window, 8)
    wait_read(qtbot, window)
    click(target.ledger.next_step)
    assert window.frame.current.key == "hours"
    rule = window.frame.current.findChild(HoursRule)
    assert rule is not None
    grip = rule.grip_centre()
    drag(rule, grip, grip - QPoint(90, 0))  # type: ignore[arg-type]  # the hand drags any widget alike
    assert abs(rule.grip_centre().x() - grip.x() + 90) < 12
    click(window.frame.line.places["run"])
    click(window.frame.line.places["report"])
    qtbot.waitUntil(report.formats[".pdf"].isEnabled, timeout=20_000)
    click(report.formats[".pdf"])
    qtbot.waitUntil((tmp_path / "out" / "report.pdf").exists, timeout=20_000)
    hold_to_what_a_job_is(window, tmp_path / "out" / "report.pdf")


def undo_by_mouse(window: Window, acts: int) -> None:
    """Undo by the button in the line, then go back to the newest act by the list."""
    before = window.document.job
    for _ in range(acts):
        click(window.frame.line.undo)
    assert window.document.job != before
    click(window.frame.line.list)
    steps = QApplication.focusWidget()
    assert steps is not None
    click(steps, QPoint(60, 8))
    assert window.document.job == before


def test_a_job_goes_from_an_empty_bench_to_a_report_by_keys_alone_with_forty_undos(
    window: Window, qtbot: QtBot, tmp_path: Path
) -> None:
    photos, target, report = photos_of(window), target_of(window), report_of(window)
    control(window, Qt.Key.Key_P)
    wait_read(qtbot, window)
    go_round_to(window, photos.canvas)
    for number in range(6):
        press(photos.canvas, Qt.Key.Key_O)
        x, y = middle(number)
        walk(photos.canvas, x - WIDTH // 2, y - HEIGHT // 2)  # a new outline lies in the middle of the photo
    qtbot.waitUntil(lambda: window.document.history.position == ACTS)  # arrows in a row are one act, once they rest
    for _ in range(UNDOS // AT_ONCE):
        undo_by_keys(window, AT_ONCE)
    wait_read(qtbot, window)
    press(photos.canvas, Qt.Key.Key_Escape)
    press(photos.canvas, Qt.Key.Key_Return)
    type_text("0, 2, 4, 8, 16")
    press(photos, Qt.Key.Key_Return)
    wait_read(qtbot, window)
    control(window, Qt.Key.Key_3)
    tab_to(target.sources.boxes[Source.PATCH])
    press(target, Qt.Key.Key_Down)  # one of four is chosen: arrows choose the next
    assert target.sources.boxes[Source.NUMBERS].isChecked()
    tab_to(target.panel.numbers)
    type_text(" ".join(f"{figure:g}" for figure in SHADE))
    press(target, Qt.Key.Key_Return)
    wait_read(qtbot, window)
    undo_by_keys(window, 3)  # while the keys still go to the field: what was entered is the job's
    wait_read(qtbot, window)
    control(window, Qt.Key.Key_4)
    rule = window.frame.current.findChild(HoursRule)
    assert rule is not None
    go_round_to(window, rule)
    press(rule, Qt.Key.Key_Home)
    stood = rule.grip_centre().x()
    press(rule, Qt.Key.Key_Right, Qt.Key.Key_Right)
    assert rule.grip_centre().x() > stood
    control(window, Qt.Key.Key_5)
    control(window, Qt.Key.Key_6)
    qtbot.waitUntil(report.formats[".pdf"].isEnabled, timeout=20_000)
    go_round_to(window, report.bench)
    tab_to(report.formats[".pdf"])
    press(report, Qt.Key.Key_Return)
    qtbot.waitUntil((tmp_path / "out" / "report.pdf").exists, timeout=20_000)
    hold_to_what_a_job_is(window, tmp_path / "out" / "report.pdf")


def walk(canvas: QWidget, dx: int, dy: int) -> None:
    """Move the chosen outline by arrows, ten pixels a press."""
    for distance, (there, back) in (
        (dx, (Qt.Key.Key_Right, Qt.Key.Key_Left)),
        (dy, (Qt.Key.Key_Down, Qt.Key.Key_Up)),
    ):
        for _ in range(abs(distance) // 10):
            press(canvas, there if distance > 0 else back, modifier=SHIFT)


def undo_by_keys(window: Window, acts: int) -> None:
    """Take so many acts back and bring them all back again."""
    before = window.document.job
    states = [before]
    for _ in range(acts):
        control(window, Qt.Key.Key_Z)
        states.append(window.document.job)
    assert len(set(states)) == acts + 1
    for undone in reversed(states[:-1]):
        control(window, Qt.Key.Key_Z, shift=True)
        assert window.document.job == undone
