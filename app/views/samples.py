"""The place *Samples*: the wood and its numbers in one row, and the ladder before there are samples."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime
from functools import partial
from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtGui import QShowEvent
from PySide6.QtPrintSupport import QPrinter
from PySide6.QtWidgets import QStackedWidget, QVBoxLayout, QWidget

from app.background import Answered, Failed, Outcome, Tasks, Ticket
from app.dialogs.files import choose_sheet_pdf
from app.dialogs.printing import PRINT_DPI, choose_printer, print_pages
from app.models.ladder_words import ladder_opening, ladder_under
from app.models.sample_rows import SampleRow, SampleSection, sample_sections
from app.models.sample_words import opening, short_answer, typed_hours, under_opening
from app.pictures import balance_key
from app.views.controls import Tabs
from app.views.parts import Notice, Separator, Stroke
from app.views.place import Place, WindowState
from app.views.report_pages import page_images, raster_pages
from app.views.samples_acts import HoursEntry, SampleActs, TableHead
from app.views.samples_ladder import LadderView
from app.views.samples_table import SamplesTable
from app.views.scrolling import scrolled
from app.wording import duration, tr
from colourcore.image.balance import Balance
from colourcore.image.patches import Hill, lightness_hill
from colourcore.image.pixels import PatchStatistics
from colourcore.job import edits
from colourcore.job.edits import Edit
from colourcore.job.files import write_whole
from colourcore.job.model import Job
from colourcore.report.export import versions
from colourcore.report.ladder_sheet import ladder_sheet

__all__ = ["SamplesPlace"]

_HILLS, _SHEET = "samples-hills", "samples-sheet"
_FOLDED_ACTS = 92

Face = tuple[PatchStatistics, Balance]


class SamplesPlace(Place):
    """The samples of the job.

    `clock` tells when a ladder may begin; `ask_printer` and `ask_file` are the system's choosers, or what stands in
    for them.
    """

    key = "samples"

    def __init__(
        self,
        tasks: Tasks,
        clock: Callable[[], datetime],
        parent: QWidget | None = None,
        *,
        ask_printer: Callable[[QWidget, str], QPrinter | None] = choose_printer,
        ask_file: Callable[[QWidget, Path], Path | None] = choose_sheet_pdf,
    ) -> None:
        super().__init__(tasks, parent)
        self._clock, self._ask_printer, self._ask_file = clock, ask_printer, ask_file
        self._sections: tuple[SampleSection, ...] = ()
        self._rows: list[SampleRow] = []
        self._hills: dict[int, tuple[PatchStatistics, bytes, Hill]] = {}
        self._ladder_wanted = False
        self._owed = False
        self._tabs = Tabs([tr("Samples"), tr("Ladder")])
        self.entry, self.head = HoursEntry(), TableHead()
        self.table, self.acts = SamplesTable(), SampleActs()
        self.ladder = LadderView(clock)
        self.trouble = Notice(stroke=Stroke.REFUSED)
        self.told = Notice(stroke=Stroke.NOTE)
        self._stack = QStackedWidget()
        self._lay_out()
        self._connect()

    def _lay_out(self) -> None:
        rows = QWidget()
        column = QVBoxLayout(rows)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        self._acts = scrolled(self.acts)
        for widget in (self.entry, self.head):
            column.addWidget(widget)
        column.addWidget(scrolled(self.table), 1)
        column.addWidget(Separator())
        column.addWidget(self._acts)
        self._stack.addWidget(rows)
        self._stack.addWidget(self.ladder)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.setSpacing(0)
        whole.addWidget(self.trouble)
        whole.addWidget(self.told)
        whole.addWidget(self._stack, 1)

    def _connect(self) -> None:
        self._tabs.chosen.connect(lambda number: self.show_ladder(wanted=number == 1))
        self.table.choose_asked.connect(self.choose_asked)
        self.table.hours_asked.connect(self._type_hours)
        self.table.columns_changed.connect(self._show_columns)
        self.entry.typed.connect(self._show_typed)
        self.entry.entered.connect(self._give_hours)
        self.acts.edit_asked.connect(self.edit_asked)
        self.acts.photo_asked.connect(lambda: self.go_asked.emit("photos"))
        self.ladder.changed.connect(self.words_changed)
        self.ladder.photos_asked.connect(lambda: self.act_asked.emit("add_photos"))
        self.ladder.print_asked.connect(self._print_sheet)
        self.ladder.keep_asked.connect(self._keep_sheet)

    def title(self) -> str:
        return tr("Samples")

    # state in

    def set_state(self, state: WindowState) -> None:
        super().set_state(state)
        self._sections = sample_sections(state.job, state.results)
        self._rows = [row for section in self._sections for row in section.rows]
        said = [trouble.sentence for trouble in state.troubles if trouble.key == self.key]
        self.trouble.say(" ".join(said))
        self._owed = True
        if self.isVisible():
            self._show()

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        if self._owed:
            self._show()

    def show_ladder(self, *, wanted: bool = True) -> None:
        """Show the ladder, also where there are samples already; or the samples again."""
        self._ladder_wanted = wanted
        self._show()
        self.words_changed.emit()

    def _on_ladder(self) -> bool:
        return self._ladder_wanted or not self._rows

    def _show(self) -> None:
        self._owed = False
        state, measure = self.state, self.state.measure
        for notice in (self.trouble, self.told):
            notice.setContentsMargins(measure.margin, 0, measure.margin, 0)
        self._tabs.set_words([tr("Samples"), tr("Ladder")], 1 if self._on_ladder() else 0)
        self._tabs.setVisible(bool(self._rows))
        self._stack.setCurrentIndex(1 if self._on_ladder() else 0)
        if self._on_ladder():
            self.ladder.show_state(state)
            return
        self.table.show_rows(state, self._sections, self._targets())
        self.table.show_hills({identity: hill for identity, (_, _, hill) in self._hills.items()})
        self.acts.set_measure(measure)
        chosen = self._chosen()
        taken = {p.name: p.facts.taken for p in state.results.photos} if state.results else {}
        self.acts.show_rows(chosen, taken)
        self._acts.setVisible(bool(chosen) or measure.name == "full")
        self._acts.setFixedHeight(_FOLDED_ACTS if measure.folded else self.acts.height_wanted())
        self._show_entry()
        self._draw_hills()

    def _show_columns(self) -> None:
        self.head.show_columns(self.table.columns, self.table.axis, self.table.theme)

    def _show_entry(self) -> None:
        bench = self.table.columns.bench
        rows, chosen = self._meant()
        self.entry.show_rows(rows, chosen=chosen, measure=self.state.measure, bench=bench)
        self._show_columns()

    def _chosen(self) -> list[SampleRow]:
        return [row for row in self._rows if row.patch.identity in self.state.chosen]

    def _meant(self) -> tuple[Sequence[SampleRow], bool]:
        """The samples that typed hours are for: those chosen if several, else all of the photo at hand."""
        chosen = self._chosen()
        if len(chosen) > 1:
            return chosen, True
        at = chosen[0] if chosen else next((row for row in self._rows if row.patch.hours is None), None)
        at = at or self.table.current()
        return ([row for row in self._rows if row.patch.photo == at.patch.photo] if at else []), False

    def _targets(self) -> list[float]:
        groups = self.state.results.groups if self.state.results else ()
        found = sorted({round(group.target.L, 1) for group in groups if group.target is not None})
        return [value for n, value in enumerate(found) if n == 0 or value - found[n - 1] > 0.5]

    # the faces, in the background

    def _draw_hills(self) -> None:
        results = self.state.results
        if results is None:
            return
        faces: dict[int, Face] = {}
        for photo in results.photos:
            for row in photo.readings:
                if photo.balance is None or row.statistics is None or row.identity is None or row.reading is None:
                    continue
                kept = self._hills.get(row.identity)
                if kept is None or kept[0] is not row.statistics or kept[1] != balance_key(photo.balance):
                    faces[row.identity] = (row.statistics, photo.balance)
        if faces:
            self.tasks.start(_HILLS, partial(_hills_of, faces), self._drew_hills)

    def _drew_hills(self, outcome: Outcome) -> None:
        if isinstance(outcome, Answered):
            self._hills.update(outcome.value)
            self.table.show_hills({identity: hill for identity, (_, _, hill) in self._hills.items()})

    # hours

    def _type_hours(self) -> None:
        self.entry.field.setFocus(Qt.FocusReason.ShortcutFocusReason)
        self.entry.field.selectAll()

    def _show_typed(self, text: str) -> None:
        hours, _ = typed_hours(text)
        rows, _ = self._meant()
        pairs = zip(rows, hours, strict=False)
        self.table.show_typed({row.patch.identity: duration(h) if h else "0\u00a0h" for row, h in pairs})

    def _give_hours(self, hours: list[float]) -> None:
        rows, _ = self._meant()
        identities = tuple(row.patch.identity for row in rows)

        def change(job: Job) -> Edit:
            return edits.set_hours_in_order(job, hours, identities)

        self.table.show_typed({})
        self.table.setFocus(Qt.FocusReason.OtherFocusReason)
        self.edit_asked.emit(change)

    # the sheet for the wall

    def _sheet(self, _ticket: Ticket | None = None) -> bytes:
        name, version = next(iter(versions().items()))
        program = f"{name} {version}"
        return ladder_sheet(self.ladder.ladder(), self.ladder.start, written=self._clock(), program=program)

    def _keep_sheet(self) -> None:
        path = self._ask_file(self, (self.state.folder or Path.home()) / tr("ladder of samples.pdf"))
        if path is not None:
            pdf = self._sheet()
            self.tasks.start(_SHEET, lambda _ticket: write_whole(path, pdf), partial(self._kept, path))

    def _kept(self, path: Path, outcome: Outcome) -> None:
        if isinstance(outcome, Failed):
            self.told.say(f"**{tr('Not kept.')}** {outcome.problem}", Stroke.REFUSED)
        elif isinstance(outcome, Answered):
            self.told.say(tr("**Kept** as {name}.", name=path.name), Stroke.NOTE)

    def _print_sheet(self) -> None:
        printer = self._ask_printer(self, tr("the ladder of samples"))
        if printer is not None:
            pdf = self._sheet()
            self.tasks.start(_SHEET, lambda t: raster_pages(pdf, PRINT_DPI, t.check), partial(self._printed, printer))

    def _printed(self, printer: QPrinter, outcome: Outcome) -> None:
        if not isinstance(outcome, Answered):
            return
        count = print_pages(printer, page_images(outcome.value))
        if count:
            self.told.say(tr("**Sent** to the printer. It belongs on the wall beside the tub."), Stroke.NOTE)
        else:
            self.told.say(tr("**Not printed.** The printer did not take the page; keep it as PDF."), Stroke.REFUSED)

    # words

    def answer(self) -> str:
        return short_answer(self._rows)

    def sentence(self) -> str:
        if self._on_ladder():
            return ladder_opening(self.ladder.ladder(), self.ladder.start)
        return opening(self._rows)

    def second_line(self) -> str:
        if self._on_ladder():
            return ladder_under()
        line = under_opening(self._rows)
        return line if self.state.current else tr("The last figures; newer ones are on their way. {line}", line=line)

    def header(self) -> QWidget:
        return self._tabs

    def stops(self) -> tuple[QWidget, ...]:
        if self._on_ladder():
            return (self.ladder.guess, self.ladder.print)
        return (self.table, self.entry.field, self.acts.board)


def _hills_of(faces: dict[int, Face], ticket: Ticket) -> dict[int, tuple[PatchStatistics, bytes, Hill]]:
    found = {}
    for identity, (statistics, balance) in faces.items():
        ticket.check()
        found[identity] = (statistics, balance_key(balance), lightness_hill(statistics, balance))
    return found
