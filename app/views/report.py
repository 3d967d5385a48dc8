"""The place *Report*: the very pages of the PDF, what they leave out, and the ways they leave the program."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from functools import partial
from pathlib import Path

from PySide6.QtCore import QTimer
from PySide6.QtGui import QImage, QShowEvent
from PySide6.QtPrintSupport import QPrinter
from PySide6.QtWidgets import QGridLayout, QVBoxLayout, QWidget

from app.background import Answered, Failed, Outcome, Tasks, Ticket
from app.dialogs.files import choose_report
from app.dialogs.printing import PRINT_DPI, choose_printer, print_pages
from app.models.report_words import Hold, Told, hold_of, hold_words, left_out, told_by
from app.views.controls import Button
from app.views.layout import BenchAndLedger
from app.views.parts import LedgerHead, Notice, Separator, Stroke, Words, plain
from app.views.place import Place, WindowState
from app.views.report_bench import ReportBench
from app.views.report_pages import PageSize, page_images, page_sizes, raster_pages
from app.views.scrolling import scrolled
from app.views.theme import SMALL_TEXT
from app.wording import count, tr
from colourcore.job.files import write_whole
from colourcore.job.model import Job
from colourcore.pipeline import Measured
from colourcore.report.export import ENDINGS, report_bytes

__all__ = ["ReportPlace"]

Load = Callable[[str], bytes]

_PAGES, _EXPORT, _PRINT = "report-pages", "report-export", "report-print"
_SETTLE_MS = 250  # a window that is being drawn wider is drawn once


@dataclass(frozen=True, slots=True, kw_only=True)
class _Pages:
    """A report as it lies on the bench: its bytes, the sizes of its pages, their pixels, and what it told."""

    pdf: bytes
    sizes: tuple[PageSize, ...]
    images: tuple[QImage, ...]
    width: int
    told: Told


class ReportPlace(Place):
    """The report.

    `loader` and `measured` give the photos' bytes and what was measured of them; `clock` dates the pages;
    `ask_file` and `ask_printer` are the system's choosers, or what stands in for them.
    """

    key = "report"

    def __init__(
        self,
        tasks: Tasks,
        loader: Callable[[], Load],
        measured: Callable[[], Measured],
        clock: Callable[[], datetime],
        parent: QWidget | None = None,
        *,
        ask_file: Callable[[QWidget, Path], Path | None] = choose_report,
        ask_printer: Callable[[QWidget, str], QPrinter | None] = choose_printer,
    ) -> None:
        super().__init__(tasks, parent)
        self._loader, self._measured, self._clock = loader, measured, clock
        self._ask_file, self._ask_printer = ask_file, ask_printer
        self._pages: _Pages | None = None
        self._exported: tuple[str, Told] | None = None
        self.bench = ReportBench()
        self.next_step = Button(tr("Print"), filled=True)
        self.anew = Button(tr("Write it anew"), small=True)
        self.stale = Notice(stroke=Stroke.CARE)
        self.told = Notice(stroke=Stroke.NOTE)
        self.trouble = Notice(stroke=Stroke.REFUSED)
        self.formats = {ending: Button(_kinds()[ending], small=True) for ending in ENDINGS}
        self.out_head, self.out = LedgerHead(tr("Left out of the hours")), Words()
        self._settle = QTimer(self)
        self._settle.setSingleShot(True)
        self._settle.setInterval(_SETTLE_MS)
        self._lay_out()
        self._connect()

    def _lay_out(self) -> None:
        self.body = BenchAndLedger(scrolled(self.bench), self.next_step)
        column = self.body.column
        self.stale.add_cure(self.anew)
        for notice in (self.stale, self.trouble, self.told):
            column.addWidget(notice)
        column.addWidget(LedgerHead(tr("Export")))
        grid = QGridLayout()
        grid.setSpacing(8)
        for number, (ending, button) in enumerate(self.formats.items()):
            button.setToolTip(_purposes()[ending])
            grid.addWidget(button, number // 2, number % 2)
        column.addLayout(grid)
        column.addWidget(Words(tr("PDF and web page for people, CSV and JSON for programs."), SMALL_TEXT, second=True))
        column.addWidget(Separator())
        column.addWidget(self.out_head)
        column.addWidget(self.out)
        column.addStretch(1)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.addWidget(self.body)

    def _connect(self) -> None:
        self.next_step.clicked.connect(self._print)
        self.anew.clicked.connect(self._write)
        self.bench.width_changed.connect(self._settle.start)
        self._settle.timeout.connect(self._sharpen)
        for ending, button in self.formats.items():
            button.clicked.connect(partial(self._export, ending))

    def title(self) -> str:
        return tr("Report")

    # state in

    def set_state(self, state: WindowState) -> None:
        super().set_state(state)
        self.body.set_measure(state.measure)
        said = [trouble.sentence for trouble in state.troubles if trouble.key == self.key]
        self.trouble.say(" ".join(said))
        if self._pages is not None and state.job.photos != self._pages.told.job.photos:
            names = {photo.sha256 for photo in state.job.photos}
            if not names & {photo.sha256 for photo in self._pages.told.job.photos}:
                self._pages, self._exported = None, None  # another job lies on the bench
        self._show()
        if self.isVisible():
            self._write_first()

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        if self._hold() is not Hold.HOLDS and self.state.current:
            self._write()
        self._write_first()
        self._settle.start()

    def _show(self) -> None:
        ready = self._pages is not None
        for button in (self.next_step, *self.formats.values()):
            button.setEnabled(ready)
        if not ready:
            waiting = tr("The pages are being written.") if self._worth() else tr("There is nothing to report yet.")
            self.bench.show_pages((), ())
            self.bench.say(waiting, self.state.measure.margin)
        hold = self._hold()
        self.stale.say(hold_words(hold))
        self.anew.setEnabled(self.state.current)
        self._say_exported()
        lines = left_out(self.state.job, self.state.results)
        self.out_head.say(tr("Left out of the hours"), str(len(lines)) if lines else "")
        self.out.say(tr("nothing") if not lines else ";  ".join(lines) + ".")
        self.words_changed.emit()

    def _worth(self) -> bool:
        return self.state.results is not None and bool(self.state.job.photos)

    def _hold(self) -> Hold:
        if self._pages is None:
            return Hold.HOLDS
        results = self.state.results if self.state.current else None
        return hold_of(self._pages.told, self.state.job, results)

    # pages

    def _write_first(self) -> None:
        if self._pages is None and self._worth() and self.state.current and not self.tasks.busy(_PAGES):
            self._write()

    def _write(self) -> None:
        state = self.state
        if state.results is None:
            return
        dots = self._device_width()
        work = partial(_pages_of, state.job, self._loader(), self._measured(), self._clock(), dots)
        self.tasks.start(_PAGES, work, self._wrote)

    def _device_width(self) -> int:
        return round(self.bench.page_width() * self.devicePixelRatioF())

    def _wrote(self, outcome: Outcome) -> None:
        if isinstance(outcome, Answered):
            self._take(outcome.value)
            self._show()
            self._settle.start()
        elif isinstance(outcome, Failed):
            self.trouble.say(f"**{tr('Not written.')}** {outcome.problem}")

    def _take(self, pages: _Pages) -> None:
        self._pages = pages
        self.bench.show_pages(pages.sizes, pages.images)

    def _sharpen(self) -> None:
        """Rasterise the same pages anew where they lie at another width now."""
        pages, width = self._pages, self._device_width()
        if pages is None or pages.width == width or not self.isVisible() or self.tasks.busy(_PAGES):
            return
        self.tasks.start(_PAGES, partial(_rastered, pages.pdf, pages.told, width), self._wrote)

    # out of the program

    def _name(self, ending: str) -> Path:
        name = (self.state.job.name or tr("report")).replace(" ", "_").lower()
        return (self.state.folder or Path.home()) / f"{name}{ending}"

    def _export(self, ending: str) -> None:
        path = self._ask_file(self, self._name(ending))
        if path is None:
            return
        job, written, pages = self.state.job, self._clock(), self._pages
        if path.suffix.lower() == ".pdf" and pages is not None and pages.told.job == job:
            work = partial(_write_bytes, path, pages.pdf, pages.told)
        else:
            work = partial(_write_anew, path, job, self._loader(), self._measured(), written)
        self.told.say(tr("{name} is being written.", name=path.name))
        self.tasks.start(_EXPORT, work, partial(self._out_there, path.name))

    def _out_there(self, name: str, outcome: Outcome) -> None:
        if isinstance(outcome, Failed):
            self.told.say("")
            self.trouble.say(f"**{tr('Not written.')}** {outcome.problem}")
        elif isinstance(outcome, Answered):
            self._exported = (name, outcome.value)
            self._say_exported()
            self.words_changed.emit()

    def _say_exported(self) -> None:
        if self._exported is not None:
            name, told = self._exported
            hold = hold_of(told, self.state.job, self.state.results if self.state.current else None)
            said = tr("**{name}** written {time}.", name=name, time=f"{told.written:%H:%M}")
            self.told.say(f"{said} {plain(hold_words(hold))}", Stroke.NOTE if hold is Hold.HOLDS else Stroke.CARE)

    def _print(self) -> None:
        pages = self._pages
        printer = self._ask_printer(self, tr("the report")) if pages is not None else None
        if printer is not None and pages is not None:
            pdf = pages.pdf
            self.told.say(tr("The pages are on their way to the printer."))
            self.tasks.start(_PRINT, lambda t: raster_pages(pdf, PRINT_DPI, t.check), partial(self._printed, printer))

    def _printed(self, printer: QPrinter, outcome: Outcome) -> None:
        if not isinstance(outcome, Answered):
            return
        number = print_pages(printer, page_images(outcome.value))
        if number:
            self.told.say(tr("**Printed:** {pages}.", pages=count(number, "page", "pages").lower()))
        else:
            self.told.say("")
            self.trouble.say(tr("**Not printed.** The printer did not take the pages; export them as PDF."))

    # words

    def answer(self) -> str:
        if self._pages is None:
            return tr("not written yet")
        hold = self._hold()
        if hold is Hold.HOLDS:
            return tr("nothing out of date")
        return tr("hours changed since") if hold is Hold.HOURS_CHANGED else tr("job changed since")

    def sentence(self) -> str:
        if self._pages is None:
            return (
                tr("The report is **not written yet**.") if self._worth() else tr("There is **nothing to report** yet.")
            )
        number = count(len(self._pages.sizes), "page", "pages")
        if self._hold() is Hold.HOURS_CHANGED:
            return tr("{pages}, and **the hours changed** after they were written.", pages=number)
        return tr("{pages}: **one for over the bench**, the others prove it.", pages=number)

    def second_line(self) -> str:
        if self._pages is None:
            return tr("It is written by itself as soon as the photos are read.")
        time = f"{self._pages.told.written:%H:%M}"
        return tr("Written {time}. These are the very pages of the PDF.", time=time)

    def stops(self) -> tuple[QWidget, ...]:
        return (self.bench, self.formats[".pdf"], self.next_step)


def _kinds() -> dict[str, str]:
    return {".pdf": tr("PDF"), ".html": tr("Web page"), ".csv": tr("CSV"), ".json": tr("JSON")}


def _purposes() -> dict[str, str]:
    return {
        ".pdf": tr("The pages you see, to print or send"),
        ".html": tr("The same in one file for a browser"),
        ".csv": tr("The hours as a table"),
        ".json": tr("Readings and hours for programs"),
    }


def _pages_of(job: Job, load: Load, measured: Measured, written: datetime, dots: int, ticket: Ticket) -> _Pages:
    pdf, results = report_bytes(job, load, ".pdf", written=written, measured=measured, progress=ticket.progress)
    return _rastered(pdf, told_by(job, results, written), dots, ticket)


def _rastered(pdf: bytes, told: Told, dots: int, ticket: Ticket) -> _Pages:
    sizes = page_sizes(pdf)
    inches = sizes[0].width / 72.0
    pages = raster_pages(pdf, dots / inches, ticket.check)
    return _Pages(pdf=pdf, sizes=sizes, images=page_images(pages), width=dots, told=told)


def _write_bytes(path: Path, content: bytes, told: Told, _ticket: Ticket) -> Told:
    write_whole(path, content)
    return told


def _write_anew(path: Path, job: Job, load: Load, measured: Measured, written: datetime, ticket: Ticket) -> Told:
    ending = path.suffix.lower()
    content, results = report_bytes(job, load, ending, written=written, measured=measured, progress=ticket.progress)
    write_whole(path, content)
    return told_by(job, results, written)
