"""What one window works with: the document, its readings under way, and the state that the places are told."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Iterable, Sequence
from datetime import datetime
from functools import partial
from pathlib import Path

from PySide6.QtCore import QObject, QTimer, Signal

from app.background import Answered, Failed, Outcome, Progress, Tasks, Ticket
from app.document import JOB_ENDING, Document, Filing, file_away, kept_words, take_into
from app.loose_job import Opened, TakenPhoto, hash_photo, open_sheet
from app.pictures import Pictures
from app.reading import Worked, draw_missing, remember_measured, work
from app.views.place import Trouble, WindowState
from app.wording import tr
from colourcore.errors import InputError
from colourcore.image.pixels import Outline
from colourcore.job.edits import Edit
from colourcore.job.model import Job
from colourcore.job.store import JobFile
from colourcore.pipeline import Measured

__all__ = ["PHOTO_ENDINGS", "Session"]

PHOTO_ENDINGS = (".jpg", ".jpeg", ".png", ".tif", ".tiff", ".heic", ".heif")
"""Endings of files that may be photos."""

_READING, _PICTURES, _REMEMBERING = "reading", "pictures", "remembering"
_OPENING, _TAKING, _KEEPING = "opening", "taking-photos", "keeping"
_REST_MS = 3000  # after a reading, before it is written to the job file


@dataclasses.dataclass(frozen=True, slots=True, kw_only=True)
class _Taken:
    photos: tuple[TakenPhoto, ...]
    problems: tuple[str, ...]
    new: int | None


class Session(QObject):
    """Joins document, background and state. `state_changed` brings the newest state; `arrived` the photos taken in."""

    state_changed = Signal(object)
    arrived = Signal(int)

    def __init__(
        self, document: Document, tasks: Tasks, clock: Callable[[], datetime], parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self.document, self.tasks, self._clock = document, tasks, clock
        self.pictures = Pictures()
        self.measured = Measured()
        self._worked: Worked | None = None
        self._recalled: JobFile | None = None
        self._remembered: set[tuple[str, Outline | None]] = set()
        self._rest = QTimer(self)
        self._rest.setSingleShot(True)
        self._rest.setInterval(_REST_MS)
        self._rest.timeout.connect(self._remember)
        self._own_troubles: tuple[Trouble, ...] = ()
        self.state = WindowState()
        document.changed.connect(self._job_changed)
        document.replaced.connect(self._job_replaced)
        document.filing_asked.connect(self._file_away)
        document.told.connect(lambda sentence: self.say(Trouble(sentence=sentence, key="photos")))
        tasks.progressed.connect(self._progressed)

    # what the window asks for

    def edit(self, asked: Edit | Callable[[Job], Edit], key: str = "") -> None:
        """Do an edit; what the user got wrong becomes a trouble of the place that asked."""
        self._clear(key)
        try:
            self.document.apply(asked)
        except InputError as error:
            self.say(Trouble(sentence=str(error), key=key))

    def undo(self) -> None:
        """Take the last act back."""
        self.go_to(max(self.document.history.position - 1, 0))

    def redo(self) -> None:
        """Bring the act back that was undone last."""
        history = self.document.history
        self.go_to(min(history.position + 1, len(history.steps) - 1))

    def go_to(self, position: int) -> None:
        """Go to any line of what was done; a file that cannot be written becomes a trouble."""
        try:
            self.document.go_to(position)
        except InputError as error:
            self.say(Trouble(sentence=str(error), key="photos"))

    def choose(self, identities: Iterable[int]) -> None:
        """Make these patches the chosen ones."""
        known = {patch.identity for patch in self.document.job.patches}
        chosen = tuple(identity for identity in dict.fromkeys(identities) if identity in known)
        if chosen != self.state.chosen:
            self._tell(chosen=chosen)

    def say(self, trouble: Trouble) -> None:
        """Show a problem where it arose."""
        self._own_troubles = (*self._own_troubles, trouble)
        self._tell()

    def settle(self, key: str) -> None:
        """Take away the problems of a place that were said and seen."""
        self._clear(key)
        self._tell()

    def open(self, path: Path, *, invented: bool = False) -> None:
        """Open a job file at once, or a sheet in the background; `invented` marks the sheet as an example."""
        if path.suffix.lower() == JOB_ENDING:
            self._open_file(path)
        else:
            self.tasks.start(_OPENING, partial(_open, path, invented), partial(self._opened, path))

    def _open_file(self, path: Path) -> None:
        try:
            self.document.open_file(path)
        except InputError as error:
            self.say(Trouble(sentence=str(error.at(file=path.name)), key="photos"))

    def take_paths(self, paths: Sequence[Path]) -> None:
        """Take what was dropped or chosen: a job or sheet is opened, photos and folders of photos are taken in."""
        jobs = [path for path in paths if path.suffix.lower() in (".csv", JOB_ENDING)]
        if jobs:
            self.open(jobs[0])
        elif paths:
            self._clear("photos")
            file = self.document.job_file
            into = file.path if file is not None and not file.read_only else None
            at = self._clock().isoformat(timespec="seconds")
            self.tasks.start(_TAKING, partial(_take, tuple(paths), into, at), self._took)

    def show(self, **changes: object) -> None:
        """Change how things are shown: theme, measure, units."""
        self._tell(**changes)

    # what comes back

    def _opened(self, path: Path, outcome: Outcome) -> None:
        match outcome:
            case Answered(value=Opened() as opened):
                self.document.show(opened)
            case Failed(problem=problem):
                self.say(Trouble(sentence=str(problem.at(file=path.name)), key="photos"))

    def _took(self, outcome: Outcome) -> None:
        if not isinstance(outcome, Answered):
            return
        taken: _Taken = outcome.value
        self._own_troubles += tuple(Trouble(sentence=problem, key="photos") for problem in taken.problems)
        count = taken.new
        try:
            if count is None:
                count = self.document.add_loose(taken.photos) if taken.photos else 0
            else:
                self.document.take_in()
        except InputError as error:
            self._own_troubles += (Trouble(sentence=str(error), key="photos"),)
        if taken.photos and not count:
            sentence = tr("These photos are in the job already: their bytes are the same.")
            self._own_troubles += (Trouble(sentence=sentence, key="photos"),)
        self._tell()
        if count:
            self.arrived.emit(count)

    def _file_away(self, filing: Filing) -> None:
        self.tasks.start(_KEEPING, lambda _ticket: file_away(filing), partial(self._filed, filing))

    def _filed(self, filing: Filing, outcome: Outcome) -> None:
        try:
            if isinstance(outcome, Failed):
                raise outcome.problem
            if isinstance(outcome, Answered):
                self.document.filed(filing)
        except InputError as error:
            self.document.filed(filing, made=False)
            self.say(Trouble(sentence=tr("**Not kept.** {problem}", problem=error), key="photos"))

    def _job_replaced(self) -> None:
        self._worked, self._own_troubles = None, ()
        self.measured, self._remembered = Measured(), set()
        self._rest.stop()
        self.pictures.forget(photo.sha256 for photo in self.document.job.photos)
        self.state = dataclasses.replace(self.state, results=None, chosen=(), cutouts={})

    def _job_changed(self) -> None:
        document = self.document
        known = {patch.identity for patch in document.job.patches}
        chosen = tuple(identity for identity in self.state.chosen if identity in known)
        self._tell(chosen=chosen)
        file = document.job_file
        fresh = file if file is not self._recalled else None
        self._recalled = file
        reading = partial(work, document.job, document.loader(), self.measured, self.pictures, fresh)
        self.tasks.start(_READING, reading, self._read)

    def _read(self, outcome: Outcome) -> None:
        if isinstance(outcome, Answered):
            self._worked = outcome.value
            self._rest.start()
            self._draw_next()
        elif isinstance(outcome, Failed):
            self._own_troubles += (Trouble(sentence=str(outcome.problem), key="photos"),)
        self._tell(reading=None)

    def _remember(self) -> None:
        file, worked = self.document.job_file, self._worked
        if file is None or worked is None:
            return
        job, measured, known = worked.job, self.measured, self._remembered
        self.tasks.start(_REMEMBERING, lambda _ticket: remember_measured(file, job, measured, known), _forget_outcome)

    def _draw_next(self) -> None:
        if self._worked is not None:
            drawing = partial(draw_missing, self._worked, self.document.loader(), self.pictures)
            self.tasks.start(_PICTURES, drawing, self._drew)

    def _drew(self, outcome: Outcome) -> None:
        if isinstance(outcome, Answered) and outcome.value is not None:
            self._worked = outcome.value
            self._tell()
            self._draw_next()

    def _progressed(self, progress: Progress) -> None:
        if progress.lane == _READING:
            self._tell(reading=progress if progress.done < progress.total else None)

    # what the places are told

    def _clear(self, key: str) -> None:
        self._own_troubles = tuple(trouble for trouble in self._own_troubles if trouble.key != key)

    def _tell(self, **changes: object) -> None:
        worked, document = self._worked, self.document
        path = document.path
        self.state = dataclasses.replace(
            self.state,
            job=document.job,
            results=worked.results if worked else None,
            current=worked is not None and worked.job == document.job,
            troubles=(*self._own_troubles, *(worked.troubles if worked else ())),
            cutouts=worked.cutouts if worked else {},
            folder=path.parent if path else None,
            file=path,
            kept=kept_words(document),
            **changes,  # type: ignore[arg-type]  # names and types are those of WindowState, by the callers above
        )
        self.state_changed.emit(self.state)


def _forget_outcome(_outcome: Outcome) -> None:
    """What was not remembered is measured again: nothing to say."""


def _open(path: Path, invented: bool, _ticket: Ticket) -> Opened:
    opened = open_sheet(path)
    if not invented:
        return opened
    return dataclasses.replace(opened, job=dataclasses.replace(opened.job, invented=True))


def _take(paths: tuple[Path, ...], into: Path | None, at: str, ticket: Ticket) -> _Taken:
    photos: list[TakenPhoto] = []
    problems: list[str] = []
    files = [file for path in paths for file in _files(path)]
    if not files:
        problems.append(tr("Expected photos (JPEG, PNG, TIFF or HEIC) or a job, got none."))
    for number, file in enumerate(files):
        ticket.progress(number, len(files), file.name)
        try:
            if file.suffix.lower() not in PHOTO_ENDINGS:
                got = file.suffix or tr("a name without ending")
                raise InputError(f"expected a photo (JPEG, PNG, TIFF or HEIC), got {got}", file=file.name)
            photos.append(hash_photo(file))
        except InputError as error:
            problems.append(str(error))
    new = None if into is None else take_into(into, photos, at) if photos else 0
    return _Taken(photos=tuple(photos), problems=tuple(problems), new=new)


def _files(path: Path) -> list[Path]:
    if not path.is_dir():
        return [path]
    return sorted(file for file in path.iterdir() if file.suffix.lower() in PHOTO_ENDINGS)
