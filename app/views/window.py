"""The window: the frame, what it stands on, and the commands."""

from __future__ import annotations

import sys
import traceback
from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import datetime
from functools import partial
from pathlib import Path
from types import TracebackType

import platformdirs
from PySide6.QtCore import Qt
from PySide6.QtGui import QCloseEvent, QDragEnterEvent, QDropEvent, QGuiApplication, QResizeEvent
from PySide6.QtWidgets import QApplication, QToolTip, QVBoxLayout, QWidget

from app.actions import Actions
from app.background import Answered, Failed, Outcome, Tasks, Ticket
from app.dialogs.files import choose_folder, choose_job, choose_photos, choose_report, choose_sheet_name
from app.document import Document, write_sheet
from app.preferences import Preferences, load_preferences, save_preferences
from app.session import PHOTO_ENDINGS, Session
from app.views.first_start import FirstStart
from app.views.frame import Frame
from app.views.hours import HoursPlace
from app.views.job_panel import JobPanel
from app.views.painted import install
from app.views.panels import DonePanel
from app.views.photos import PhotosPlace
from app.views.place import PLACE_KEYS, Place, Trouble, Units, WindowState
from app.views.report import ReportPlace
from app.views.run import RunPlace
from app.views.samples import SamplesPlace
from app.views.target import TargetPlace
from app.views.target_shelf import SHELF_FILE
from app.views.theme import DARK, LIGHT, Theme, load_fonts, measure_for, palette
from app.watch import FolderWatch
from app.wording import tr
from colourcore.cli import EXAMPLE_SHEET, example_folder
from colourcore.errors import InputError
from colourcore.job import edits
from colourcore.job.files import write_whole

__all__ = ["Window", "run_window"]

PREFERENCES_FILE = "window.json"


class Window(QWidget):
    """One window on one job. Everything that is computed comes back as a state that the frame shows."""

    def __init__(self, own_folder: Path, jobs_folder: Path, clock: Callable[[], datetime] = datetime.now) -> None:
        super().__init__()
        preferences_file, claims = own_folder / PREFERENCES_FILE, own_folder / "claims"
        self._clock, self._own_folder = clock, own_folder
        self._preferences_file = preferences_file
        self._preferences = load_preferences(preferences_file)
        self.tasks = Tasks(self)
        self.document = Document(jobs_folder, clock, claims=claims, parent=self)
        self.session = Session(self.document, self.tasks, clock, self)
        self.watch = FolderWatch(self.tasks, PHOTO_ENDINGS, self)
        self.frame = Frame(self._places())
        self.done_panel, self.job_panel = DonePanel(self.frame), JobPanel(self.frame)
        self.actions_ = Actions(self, self._handlers())
        self.setAcceptDrops(True)
        self.setMinimumSize(720, 450)
        self.resize(1440, 900)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.addWidget(self.frame)
        self._connect()
        units = Units(self._preferences.units)
        self.session.show(theme=self._theme(), measure=measure_for(self.size()), units=units)

    def _places(self) -> list[Place]:
        photos = PhotosPlace(self.tasks, self.session.pictures, self.document.loader)
        hours = HoursPlace(self.tasks, keep_spread=self._keep_spread)
        hours.set_spread(self._preferences.spread)
        samples = SamplesPlace(self.tasks, self._clock)
        target = TargetPlace(self.tasks, self._own_folder / SHELF_FILE, self._clock)
        run = RunPlace(self.tasks)
        report = ReportPlace(self.tasks, self.document.loader, lambda: self.session.measured, self._clock)
        start = FirstStart(self.tasks)
        start.ladder.clicked.connect(samples.show_ladder)
        return [photos, samples, target, hours, run, report, start]

    def _handlers(self) -> dict[str, Callable[[], object]]:
        handlers: dict[str, Callable[[], object]] = {
            "add_photos": self._choose_photos,
            "watch_folder": self._choose_watched,
            "stop_watching": partial(self.watch.watch, None),
            "begin_job": self._begin,
            "open_job": self._choose_job,
            "open_example": self.open_example,
            "save_sheet": self._save_sheet,
            "undo": self.session.undo,
            "redo": self.session.redo,
            "what_was_done": self._toggle_done,
            "job_panel": self._toggle_job,
            "next_area": self.frame.next_area,
            "previous_area": lambda: self.frame.next_area(back=True),
            "stop_reading": lambda: self.tasks.cancel("reading"),
            "export_report": self._export_report,
        }
        for key in PLACE_KEYS:
            handlers[f"go_{key}"] = partial(self.frame.go, key)
        return handlers

    def _connect(self) -> None:
        session, frame = self.session, self.frame
        session.state_changed.connect(self._show_state)
        self.watch.arrived.connect(session.take_paths)
        self.watch.told.connect(lambda sentence: session.say(Trouble(sentence=sentence, key="photos")))
        self.watch.changed.connect(lambda: session.show(watched=self.watch.folder))
        session.arrived.connect(lambda _count: frame.go("photos"))
        for key in (*PLACE_KEYS, FirstStart.key):
            place = frame.place(key)
            if place is not None:
                place.edit_asked.connect(partial(self._edit, key))
                place.choose_asked.connect(session.choose)
                place.act_asked.connect(self.actions_.run)
        frame.line.undo_asked.connect(partial(self.actions_.run, "undo"))
        frame.line.list_asked.connect(self._toggle_done)
        frame.line.job_asked.connect(self._toggle_job)
        frame.stop_asked.connect(partial(self.actions_.run, "stop_reading"))
        for panel in (self.done_panel, self.job_panel):
            frame.add_panel(panel)
        self.done_panel.went.connect(self._go_back_to)
        self.job_panel.act_asked.connect(self.actions_.run)
        self.job_panel.named.connect(lambda name: session.edit(lambda job: edits.name_job(job, name)))
        self.job_panel.recent_asked.connect(self.open_path)
        self.job_panel.units_asked.connect(self._set_units)
        self.job_panel.theme_asked.connect(self._set_theme)
        QGuiApplication.styleHints().colorSchemeChanged.connect(lambda _scheme: session.show(theme=self._theme()))

    def _edit(self, key: str, asked: object) -> None:
        self.session.edit(asked, key)  # type: ignore[arg-type]  # a signal carries any object; places keep the contract

    # what is opened

    def open_path(self, path: Path) -> None:
        """Open a job or sheet, or take photos in."""
        self.session.take_paths([path])

    def open_paths(self, paths: Sequence[Path]) -> None:
        """Open what was given on the command line or dropped."""
        self.session.take_paths(list(paths))

    def _begin(self) -> None:
        self.document.show(None)
        self.frame.go("photos")

    def begin_work(self, paths: Sequence[Path]) -> None:
        """Open what was asked for; else the last job; at the first start the invented example."""
        last = Path(self._preferences.recent[0]) if self._preferences.recent else None
        if paths:
            self.open_paths(paths)
        elif last is not None and last.exists():
            self.open_path(last)
        elif not self._preferences.started:
            self.open_example()
            self.frame.go(FirstStart.key)
            self.frame.current.stops()[0].setFocus(Qt.FocusReason.OtherFocusReason)
        self._remember(replace(self._preferences, started=True))

    def open_example(self) -> None:
        """Open the invented example job."""
        self.session.open(example_folder() / EXAMPLE_SHEET, invented=True)

    def _folder(self) -> Path:
        state = self.session.state
        if state.folder is not None:
            return state.folder
        return Path(platformdirs.user_documents_dir())

    def _choose_photos(self) -> None:
        self.session.take_paths(choose_photos(self, Path(platformdirs.user_pictures_dir()), PHOTO_ENDINGS))

    def _choose_watched(self) -> None:
        folder = choose_folder(self, Path(self._preferences.watched or platformdirs.user_pictures_dir()))
        if folder is not None:
            self._remember(replace(self._preferences, watched=str(folder)))
            self.watch.watch(folder)

    def _choose_job(self) -> None:
        path = choose_job(self, self._folder())
        if path is not None:
            self.open_path(path)

    # what is written

    def _save_sheet(self) -> None:
        name = (self.document.job.name or tr("new job")).replace(" ", "_").lower()
        path = choose_sheet_name(self, self._folder() / f"{name}.csv")
        if path is not None:
            self.save_sheet(path)

    def save_sheet(self, path: Path) -> None:
        """Write the job as a sheet, its photos beside it, in the background."""
        job, load = self.document.job, self.document.loader()
        self.tasks.start("sheet", lambda _ticket: write_sheet(job, load, path), partial(self._written, "photos"))

    def _export_report(self) -> None:
        name = (self.document.job.name or tr("report")).replace(" ", "_").lower()
        path = choose_report(self, self._folder() / f"{name}.pdf")
        if path is not None:
            self.export_report(path)

    def export_report(self, path: Path) -> None:
        """Write the report to a file in the background; its ending says which kind."""
        from colourcore.report.export import report_bytes

        job, load, written = self.document.job, self.document.loader(), self._clock()
        ending = path.suffix.lower()
        measured = self.session.measured
        work = partial(
            _write_report, path, partial(report_bytes, job, load, ending, written=written, measured=measured)
        )
        self.tasks.start("report-export", work, partial(self._written, "report"))

    def _written(self, key: str, outcome: Outcome) -> None:
        if isinstance(outcome, Failed):
            self.session.say(Trouble(sentence=str(outcome.problem), key=key))
        elif isinstance(outcome, Answered):
            self.session.settle(key)

    # how it is shown

    def _theme(self) -> Theme:
        wanted = self._preferences.theme
        if not wanted:
            dark = QGuiApplication.styleHints().colorScheme() == Qt.ColorScheme.Dark
            return DARK if dark else LIGHT
        return DARK if wanted == "dark" else LIGHT

    def _set_theme(self, theme: str) -> None:
        self._remember(replace(self._preferences, theme=theme))
        self.session.show(theme=self._theme())

    def _set_units(self, units: Units) -> None:
        self._remember(replace(self._preferences, units=units.value))
        self.session.show(units=units)

    def _keep_spread(self, word: str) -> None:
        self._remember(replace(self._preferences, spread=word))

    def _remember(self, preferences: Preferences) -> None:
        if preferences != self._preferences:
            self._preferences = preferences
            save_preferences(self._preferences_file, preferences)

    def _show_state(self, state: WindowState) -> None:
        shown = palette(state.theme)
        if self.palette().window() != shown.window():
            self.setPalette(shown)
            QToolTip.setPalette(shown)
        if self.document.job_file is not None and state.file is not None:
            self._remember(self._preferences.with_recent(state.file))
        history = self.document.history
        self.frame.set_state(state)
        self.frame.line.say_undo(history.undo_name, done=len(history.steps) > 1)
        self.done_panel.show_steps(history.steps, history.position)
        self.job_panel.show_state(state, [Path(path) for path in self._preferences.recent], self._preferences.theme)
        self.setWindowTitle(f"{state.job.name} – duskgrain" if state.job.name else "duskgrain")

    def _toggle_done(self) -> None:
        self.frame.open_panel(self.done_panel, self.frame.line.undo, right=True)

    def _toggle_job(self) -> None:
        self.frame.open_panel(self.job_panel, self.frame.line.job, right=False)

    def _go_back_to(self, position: int) -> None:
        self.done_panel.close_panel()
        self.session.go_to(position)

    # Qt's own

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        measure = measure_for(event.size())
        if measure is not self.session.state.measure:
            self.session.show(measure=measure)

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        if event.mimeData().hasUrls():
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:
        paths = [Path(url.toLocalFile()) for url in event.mimeData().urls() if url.isLocalFile()]
        if paths:
            event.acceptProposedAction()
            self.open_paths(paths)

    def closeEvent(self, event: QCloseEvent) -> None:
        self.tasks.close()
        try:
            self.document.finish()
        except InputError as error:
            print(f"duskgrain: {error}", file=sys.stderr)
        super().closeEvent(event)


def _write_report(path: Path, make: Callable[..., tuple[bytes, object]], ticket: Ticket) -> Path:
    content, _ = make(progress=ticket.progress)
    write_whole(path, content)
    return path


def _our_fault(kind: type[BaseException], fault: BaseException, trace: TracebackType | None) -> None:
    """A fault of ours is loud on standard error; the window goes on, for the job is kept."""
    traceback.print_exception(kind, fault, trace)


def run_window(paths: Sequence[str]) -> int:
    """Open the window on jobs, sheets or photos, and return the exit code when it is closed."""
    application = QApplication.instance() or QApplication(sys.argv[:1])
    assert isinstance(application, QApplication)
    application.setApplicationName("duskgrain")
    application.setStyle("Fusion")
    sys.excepthook = _our_fault
    load_fonts()
    install()
    own_folder = Path(platformdirs.user_data_dir("duskgrain", appauthor=False))
    window = Window(own_folder, Path(platformdirs.user_documents_dir()))
    window.show()
    window.begin_work([Path(path) for path in paths])
    return application.exec()
