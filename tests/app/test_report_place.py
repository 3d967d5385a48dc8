"""The place *Report*: the PDF's own pages, exported as they are shown, stale when the hours change."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
from PySide6.QtCore import Qt
from PySide6.QtPrintSupport import QPrinter
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from app.models.report_words import Hold, hold_of, left_out, told_by
from app.views.frame import Frame
from app.views.report import ReportPlace
from app.views.report_pages import page_sizes, raster_pages
from app.views.window import Window
from colourcore.job import edits
from colourcore.job.model import Role
from tests.app.full_job import children, open_job, rest
from tests.app.hand import NO_SIZE_HINTS, NOON, open_window, press, wait_read

pytestmark = pytest.mark.qt_log_ignore(NO_SIZE_HINTS)

PATIENCE_MS = 40_000


class Desk:
    """A report on the bench, with choosers that answer at once."""

    def __init__(self, qtbot: QtBot, window: Window, folder: Path) -> None:
        self.qtbot, self.window, self.folder = qtbot, window, folder
        self.printer = QPrinter(QPrinter.PrinterMode.HighResolution)
        self.printer.setOutputFormat(QPrinter.OutputFormat.PdfFormat)
        self.printer.setOutputFileName(str(folder / "printed.pdf"))
        self.place = ReportPlace(
            window.tasks,
            window.document.loader,
            lambda: window.session.measured,
            lambda: NOON,
            ask_file=self.file,
            ask_printer=lambda _parent, _title: self.printer,
        )
        self.frame = Frame([self.place])
        qtbot.addWidget(self.frame)
        self.frame.resize(1440, 900)
        window.session.state_changed.connect(self.frame.set_state)
        self.frame.show()
        self.frame.set_state(window.session.state)

    def file(self, _parent: QWidget, suggested: Path) -> Path:
        return self.folder / suggested.name

    def wait_written(self) -> None:
        self.qtbot.waitUntil(lambda: len(self.place.bench.painted()) > 1, timeout=PATIENCE_MS)
        rest(self.qtbot, self.window)

    def export(self, ending: str) -> Path:
        QTest.mouseClick(self.place.formats[ending], Qt.MouseButton.LeftButton)
        self.qtbot.waitUntil(lambda: "written 12:41" in self.place.told.words.said(), timeout=PATIENCE_MS)
        return self.folder / f"report{ending}"


@pytest.fixture
def desk(qtbot: QtBot, tmp_path: Path) -> Desk:
    desk = Desk(qtbot, open_job(qtbot, tmp_path), tmp_path)
    desk.wait_written()
    return desk


def test_the_pages_on_the_bench_are_those_of_the_exported_pdf(desk: Desk) -> None:
    pages = children(desk.place.bench)
    file = desk.export(".pdf")
    sizes = page_sizes(file.read_bytes())
    assert [name for name, _ in pages] == [f"page {n} of {len(sizes)}" for n in range(1, len(sizes) + 1)]
    pdf = file.read_bytes()
    # a page is first stretched, then rasterised anew for the very width it lies at
    desk.qtbot.waitUntil(lambda: _difference(desk, pdf) < 0.5, timeout=PATIENCE_MS)


def _difference(desk: Desk, pdf: bytes) -> float:
    """Mean difference, of 255, between the first page as it is seen and as the PDF's bytes have it."""
    place = desk.place.bench.painted()[0].rect
    shown = desk.place.bench.grab(place).toImage()
    shown = shown.convertToFormat(shown.Format.Format_RGB888)
    seen = np.array(shown.constBits()).reshape(shown.height(), shown.bytesPerLine())[:, : 3 * shown.width()]
    seen = seen.reshape(shown.height(), shown.width(), 3).astype(int)
    truth = raster_pages(pdf, 72.0 * place.width() / page_sizes(pdf)[0].width, lambda: None)[0].astype(int)
    height, width = min(len(seen), len(truth)), min(seen.shape[1], truth.shape[1])
    return float(np.abs(seen[:height, :width] - truth[:height, :width]).mean())


def test_the_place_says_how_many_pages_and_which_to_pin(desk: Desk) -> None:
    assert "one for over the bench" in desk.place.sentence()
    assert "12:41" in desk.place.second_line()
    assert desk.place.answer() == "nothing out of date"
    assert not desk.place.stale.isVisible()


@pytest.mark.parametrize("ending", [".html", ".csv", ".json"])
def test_every_form_is_exported_whole(desk: Desk, ending: str) -> None:
    text = desk.export(ending).read_text("utf-8")
    if ending == ".json":
        assert json.loads(text)["groups"][0]["board"] == "A"
    else:
        assert "heartwood" in text


def test_changed_hours_mark_the_pages_stale_and_they_are_written_anew(desk: Desk) -> None:
    desk.export(".pdf")
    samples = [patch for patch in desk.window.document.job.patches if patch.role is Role.SAMPLE]
    hours = {patch.identity: 2 * (patch.hours or 0.0) for patch in samples}
    desk.window.session.edit(lambda job: edits.set_hours(job, hours))
    wait_read(desk.qtbot, desk.window)
    assert desk.place.stale.words.said() == "The hours changed after this was written."
    assert desk.place.answer() == "hours changed since"
    assert "hours changed" in desk.place.told.words.said()  # the exported file too
    QTest.mouseClick(desk.place.anew, Qt.MouseButton.LeftButton)
    desk.qtbot.waitUntil(lambda: desk.place.answer() == "nothing out of date", timeout=PATIENCE_MS)
    assert not desk.place.stale.isVisible()
    assert "hours changed" in desk.place.told.words.said()


def test_a_change_that_leaves_the_hours_alone_says_so(desk: Desk) -> None:
    desk.window.session.edit(lambda job: edits.name_job(job, "Music chest"))
    wait_read(desk.qtbot, desk.window)
    assert "the hours did not" in desk.place.stale.words.said()


def test_undoing_the_change_makes_the_pages_hold_again(desk: Desk) -> None:
    results = desk.window.session.state.results
    job = desk.window.document.job
    assert results is not None
    told = told_by(job, results, NOON)
    assert hold_of(told, job, results) is Hold.HOLDS
    assert hold_of(told, edits.name_job(job, "Other").job, results) is Hold.JOB_CHANGED


def test_what_is_left_out_is_said_with_its_reason(desk: Desk) -> None:
    assert desk.place.out.said() == "nothing"
    samples = [patch.identity for patch in desk.window.document.job.patches if patch.role is Role.SAMPLE]
    desk.window.session.edit(lambda job: edits.set_aside(job, samples[2:3], "pencil line"))
    wait_read(desk.qtbot, desk.window)
    assert desk.place.out.said() == "4 h A, heartwood: set aside, pencil line."
    job = edits.set_hours(desk.window.document.job, {samples[4]: None}).job
    assert "1 samples without hours" in left_out(job, None)


def test_the_pages_are_printed_as_they_are(desk: Desk) -> None:
    pages = len(desk.place.bench.painted())
    QTest.mouseClick(desk.place.next_step, Qt.MouseButton.LeftButton)
    desk.qtbot.waitUntil(lambda: "Printed" in desk.place.told.words.said(), timeout=PATIENCE_MS)
    document = pypdfium2.PdfDocument((desk.folder / "printed.pdf").read_bytes())
    assert len(document) == pages
    document.close()


def test_keys_turn_the_pages(desk: Desk) -> None:
    desk.place.bench.setFocus()
    press(desk.place.bench, Qt.Key.Key_End)
    seen = desk.place.bench.visibleRegion().boundingRect()
    assert seen.bottom() >= desk.place.bench.painted()[-1].rect.bottom() - 2
    press(desk.place.bench, Qt.Key.Key_Home)
    assert desk.place.bench.visibleRegion().boundingRect().top() <= 1


def test_without_photos_there_is_nothing_to_report(qtbot: QtBot, tmp_path: Path) -> None:
    window = open_window(qtbot, tmp_path)
    window.frame.go("report")
    place = window.frame.place("report")
    assert isinstance(place, ReportPlace)
    assert "nothing to report" in place.sentence()
    assert not place.next_step.isEnabled()
    assert place.answer() == "not written yet"
