"""What one window works with: the document, its readings under way, and the state that the places are told."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Iterable, Sequence
from functools import partial
from pathlib import Path

from PySide6.QtCore import QObject, Signal

from app.background import Answered, Failed, Outcome, Progress, Tasks, Ticket
from app.document import Document, Opened, TakenPhoto, hash_photo, open_sheet
from app.pictures import Pictures
from app.reading import Worked, draw_missing, work_out
from app.views.place import Trouble, WindowState
from app.wording import tr
from colourcore.errors import InputError
from colourcore.job.edits import Edit
from colourcore.job.model import Job
from colourcore.pipeline import Measured

__all__ = ["PHOTO_ENDINGS", "Session"]

PHOTO_ENDINGS = (".jpg", ".jpeg", ".png", ".tif", ".tiff", ".heic", ".heif")
"""Endings of files that may be photos."""

_READING, _PICTURES, _OPENING, _TAKING = "reading", "pictures", "opening", "taking-photos"


@dataclasses.dataclass(frozen=True, slots=True, kw_only=True)
class _Taken:
    photos: tuple[TakenPhoto, ...]
    problems: tuple[str, ...]


class Session(QObject):
    """Joins document, background and state. `state_changed` brings the newest state; `arrived` the photos taken in."""

    state_changed = Signal(object)
    arrived = Signal(int)

    def __init__(self, document: Document, tasks: Tasks, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.document, self.tasks = document, tasks
        self.pictures = Pictures()
        self.measured = Measured()
        self._worked: Worked | None = None
        self._own_troubles: tuple[Trouble, ...] = ()
        self.state = WindowState()
        document.changed.connect(self._job_changed)
        document.replaced.connect(self._job_replaced)
        tasks.progressed.connect(self._progressed)

    # what the window asks for

    def edit(self, asked: Edit | Callable[[Job], Edit], key: str = "") -> None:
        """Do an edit; what the user got wrong becomes a trouble of the place that asked."""
        self._clear(key)
        try:
            self.document.apply(asked)
        except InputError as error:
            self.say(Trouble(sentence=str(error), key=key))

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
        """Open a sheet in the background; `invented` marks what it says as an example."""
        self._own_troubles = ()
        self.tasks.start(_OPENING, partial(_open, path, invented), partial(self._opened, path))

    def take_paths(self, paths: Sequence[Path]) -> None:
        """Take what was dropped or chosen: a sheet is opened, photos and folders of photos are taken in."""
        sheets = [path for path in paths if path.suffix.lower() == ".csv"]
        if sheets:
            self.open(sheets[0])
        elif paths:
            self._clear("photos")
            self.tasks.start(_TAKING, partial(_take, tuple(paths)), self._took)

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
        count = self.document.add_photos(taken.photos) if taken.photos else 0
        if taken.photos and not count:
            sentence = tr("These photos are in the job already: their bytes are the same.")
            self._own_troubles += (Trouble(sentence=sentence, key="photos"),)
        self._tell()
        if count:
            self.arrived.emit(count)

    def _job_replaced(self) -> None:
        self._worked, self._own_troubles = None, ()
        self.measured = Measured()
        self.pictures.forget(photo.sha256 for photo in self.document.job.photos)
        self.state = dataclasses.replace(self.state, results=None, chosen=(), cutouts={})

    def _job_changed(self) -> None:
        document = self.document
        known = {patch.identity for patch in document.job.patches}
        chosen = tuple(identity for identity in self.state.chosen if identity in known)
        self._tell(chosen=chosen)
        work = partial(work_out, document.job, document.loader(), self.measured, self.pictures)
        self.tasks.start(_READING, work, self._read)

    def _read(self, outcome: Outcome) -> None:
        if isinstance(outcome, Answered):
            self._worked = outcome.value
            self._draw_next()
        elif isinstance(outcome, Failed):
            self._own_troubles += (Trouble(sentence=str(outcome.problem), key="photos"),)
        self._tell(reading=None)

    def _draw_next(self) -> None:
        if self._worked is not None:
            work = partial(draw_missing, self._worked, self.document.loader(), self.pictures)
            self.tasks.start(_PICTURES, work, self._drew)

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
        file = document.file
        self.state = dataclasses.replace(
            self.state,
            job=document.job,
            results=worked.results if worked else None,
            current=worked is not None and worked.job == document.job,
            troubles=(*self._own_troubles, *(worked.troubles if worked else ())),
            cutouts=worked.cutouts if worked else {},
            folder=file.parent if file else None,
            file=file,
            kept=document.kept_words(),
            **changes,  # type: ignore[arg-type]  # names and types are those of WindowState, by the callers above
        )
        self.state_changed.emit(self.state)


def _open(path: Path, invented: bool, _ticket: Ticket) -> Opened:
    opened = open_sheet(path)
    if not invented:
        return opened
    return dataclasses.replace(opened, job=dataclasses.replace(opened.job, invented=True))


def _take(paths: tuple[Path, ...], ticket: Ticket) -> _Taken:
    photos: list[TakenPhoto] = []
    problems: list[str] = []
    files = [file for path in paths for file in _files(path)]
    if not files:
        problems.append(tr("Expected photos (JPEG, PNG, TIFF or HEIC) or a sheet (CSV), got none."))
    for number, file in enumerate(files):
        ticket.progress(number, len(files), file.name)
        try:
            if file.suffix.lower() not in PHOTO_ENDINGS:
                got = file.suffix or tr("a name without ending")
                raise InputError(f"expected a photo (JPEG, PNG, TIFF or HEIC), got {got}", file=file.name)
            photos.append(hash_photo(file))
        except InputError as error:
            problems.append(str(error))
    return _Taken(photos=tuple(photos), problems=tuple(problems))


def _files(path: Path) -> list[Path]:
    if not path.is_dir():
        return [path]
    return sorted(file for file in path.iterdir() if file.suffix.lower() in PHOTO_ENDINGS)
