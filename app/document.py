"""THE job that lies on the bench: one value, what was done to it, and the file it is kept in. The only mutable job.

Every change comes in as an edit; undo swaps whole values. A job in a file keeps each act as it is done. One that lies
in no file yet becomes a file with its first act (the invented example never does): the file is written in the
background and then takes the place of what is in memory, with every act done meanwhile. Nothing here reads pixels.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from PySide6.QtCore import QObject, Signal

from app.loose_job import LooseJob, Opened, TakenPhoto, bytes_of
from app.wording import tr
from colourcore.errors import InputError
from colourcore.job import edits
from colourcore.job.edits import Edit
from colourcore.job.files import write_whole
from colourcore.job.history import History, Step
from colourcore.job.model import Job, PhotoFile
from colourcore.job.opening import new_job, open_job
from colourcore.job.places import dated_path
from colourcore.job.sheet import sheet_text
from colourcore.job.store import ChangedElsewhereError, JobFile

__all__ = ["JOB_ENDING", "Document", "Filing", "file_away", "kept_words", "take_into", "write_sheet"]

JOB_ENDING = ".duskgrain"

Change = Edit | Callable[[Job], Edit]


@dataclass(frozen=True, slots=True, kw_only=True)
class Filing:
    """A job file that is to be made in the background: where, and the loose job that goes into it as it stood then."""

    path: Path
    loose: LooseJob
    steps: tuple[Step[Job], ...]
    sources: Mapping[str, Path]


def file_away(filing: Filing) -> Filing:
    """Make the job file, with the bytes of its photos; for the background. InputError where it cannot be made."""
    try:
        filing.path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        where = str(filing.path.parent)
        raise InputError(f"expected a folder to keep jobs in, got {error.strerror or error}", file=where) from error
    start = filing.steps[0]
    photos = bytes_of(filing.steps, filing.sources)
    new_job(filing.path, at=start.at, job=start.state, photos=photos).close()
    return filing


def take_into(path: Path, taken: Iterable[TakenPhoto], at: str) -> int:
    """Take photos into a job file and return how many were new; for the background.

    Raises InputError where the file or a photo cannot be read or written.
    """
    found = list(taken)
    with open_job(path) as file:
        while True:
            before = {photo.sha256 for photo in file.job.photos}
            edit = _adding(file.job, found)
            new = {photo.sha256 for photo in edit.job.photos} - before
            step = Step(name=edit.name, state=edit.job)
            contents = bytes_of([step], {photo.sha256: photo.path for photo in found}, held=before)
            try:
                file.do(edit, at=at, photos=contents)
            except ChangedElsewhereError:
                continue
            return len(new)


def _adding(job: Job, taken: Iterable[TakenPhoto]) -> Edit:
    return edits.add_photos(job, [PhotoFile(name=photo.path.name, sha256=photo.sha256) for photo in taken])


class Document(QObject):
    """The job of one window.

    `changed` follows every change of job, history or file; `replaced` comes before it where another job lies there
    now; `filing_asked` carries a `Filing` to be made in the background; `told` a sentence about the file.
    """

    changed = Signal()
    replaced = Signal()
    filing_asked = Signal(object)
    told = Signal(str)

    def __init__(
        self, folder: Path, clock: Callable[[], datetime], *, claims: Path | None = None, parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self._folder, self._clock, self._claims = folder, clock, claims
        self._kept: LooseJob | JobFile = LooseJob(Job(), {}, begun=(tr("a new job"), self._now()))
        self._filing: Filing | None = None

    # what stands

    @property
    def job(self) -> Job:
        """The job as it stands."""
        return self._kept.job

    @property
    def history(self) -> History[Any]:
        """What was done, and where in it the user stands; what its states are is the keeper's affair."""
        return self._kept.history

    @property
    def path(self) -> Path | None:
        """The job's file, or the sheet that it came from; None where it lies nowhere yet."""
        return self._kept.path

    @property
    def job_file(self) -> JobFile | None:
        """The job file, None where the job lies in none yet."""
        return self._kept if isinstance(self._kept, JobFile) else None

    def loader(self) -> Callable[[str], bytes]:
        """Return what gives the photos' bytes, in any thread."""
        return self._kept.load

    @property
    def being_filed(self) -> bool:
        """Whether a job file is being made for it."""
        return self._filing is not None

    def _now(self) -> str:
        return self._clock().isoformat(timespec="seconds")

    # another job

    def show(self, opened: Opened | None) -> None:
        """Put the job of a sheet on the bench, or an empty one."""
        if opened is None:
            self._put(LooseJob(Job(), {}, begun=(tr("a new job"), self._now())))
            return
        begun = (tr("opening {name}", name=opened.file.name), self._now())
        self._put(LooseJob(opened.job, opened.sources, begun=begun, file=opened.file))

    def open_file(self, path: Path) -> None:
        """Put a job file on the bench, at its last state; InputError where it cannot be opened."""
        file = open_job(path, claims=self._claims)
        self._put(file)
        for sentence in (*file.notices, *file.losses, *([file.read_only] if file.read_only else [])):
            self.told.emit(f"{sentence[:1].upper()}{sentence[1:].rstrip('.')}.")

    def _put(self, kept: LooseJob | JobFile) -> None:
        self.finish()
        self._kept, self._filing = kept, None
        self.replaced.emit()
        self.changed.emit()

    # acts

    def apply(self, asked: Change) -> None:
        """Do an edit, made of the job as it stands; InputError where the user got something wrong or nothing is kept.

        Where another window came first, its act is taken in and the edit is made anew of what then stands.
        """
        edit = self._made(asked)
        if edit.job == self.job:
            return
        try:
            self._tell(self._kept.do(edit, at=self._now()))
        except ChangedElsewhereError as error:
            if isinstance(asked, Edit):
                raise
            self.told.emit(str(error))
            self._tell(self._kept.do(self._made(asked), at=self._now()))
        self._after()

    def _made(self, asked: Change) -> Edit:
        return asked if isinstance(asked, Edit) else asked(self.job)

    def _tell(self, sentence: str) -> None:
        if sentence:
            self.told.emit(sentence)

    def _after(self) -> None:
        self.changed.emit()
        loose = self._kept
        if isinstance(loose, LooseJob) and not loose.job.invented and self._filing is None and loose.history.position:
            self._filing = self._new_filing(loose)
            self.filing_asked.emit(self._filing)
            self.changed.emit()

    def _new_filing(self, loose: LooseJob) -> Filing:
        named = loose.path.stem.replace("_", " ") if loose.path else loose.job.name or tr("job")
        path = dated_path(self._folder, self._clock().date(), named)
        return Filing(path=path, loose=loose, steps=loose.history.steps, sources=dict(loose.sources))

    def add_loose(self, taken: Iterable[TakenPhoto]) -> int:
        """Take photos into a job that lies in no file yet and return how many were new."""
        assert isinstance(self._kept, LooseJob)
        found, before = list(taken), len(self.job.photos)
        for photo in found:
            self._kept.sources.setdefault(photo.sha256, photo.path)
        self.apply(lambda job: _adding(job, found))
        return len(self.job.photos) - before

    def go_to(self, position: int) -> None:
        """Go to any line of what was done."""
        self._tell(self._kept.go_to(position, at=self._now()))
        self.changed.emit()

    def take_in(self) -> None:
        """Take in what another window, or the background, has done to the file."""
        if isinstance(self._kept, JobFile) and self._kept.reload():
            self.changed.emit()

    # the file

    def filed(self, filing: Filing, *, made: bool = True) -> None:
        """Let the job file that was made take the loose job's place, with what was done since."""
        if made:
            self._replay(filing)
        elif self._filing is filing:
            self._filing = None
            self.changed.emit()

    def _replay(self, filing: Filing) -> None:
        file = open_job(filing.path, claims=self._claims)
        history = filing.loose.history
        held = {photo.sha256 for step in filing.steps for photo in step.state.photos}
        for step in history.steps[1:]:
            new = bytes_of([step], filing.loose.sources, held=held)
            file.do(Edit(name=step.name, job=step.state), at=step.at, photos=new)
            held |= {photo.sha256 for photo in step.state.photos}
        file.go_to(history.position, at=self._now())
        if self._kept is filing.loose:
            self._kept, self._filing = file, None
            self.changed.emit()
        else:
            file.close()

    def finish(self) -> None:
        """Keep what is not yet kept, and close the file. InputError where it cannot be kept."""
        if self._filing is not None:
            filing = self._filing
            if not filing.path.exists():
                file_away(filing)
            self._replay(filing)
        self._kept.close()

    def move_to(self, path: Path) -> None:
        """Rename the job's file, or move it. InputError where that fails or there is none."""
        if not isinstance(self._kept, JobFile):
            raise InputError(tr("expected a job that lies in a file, got one that does not yet"))
        self._tell(self._kept.move_to(path))
        self.changed.emit()


def kept_words(document: Document) -> str:
    """Return what is said under the job's name about its being kept."""
    file = document.job_file
    if file is not None:
        if file.read_only:
            return tr("only read")
        return tr("all kept {time}", time=f"{datetime.fromisoformat(file.kept_at):%H:%M}") if file.kept_at else ""
    if document.job.invented:
        return tr("invented example")
    if document.history.position or document.being_filed:
        return tr("being kept")
    return tr("from {name}", name=document.path.name) if document.path else ""


def write_sheet(job: Job, load: Callable[[str], bytes], path: Path) -> None:
    """Write a job as a sheet, and beside it those of its photos that do not lie there already; for the background.

    Raises InputError where a photo cannot be read or written, or another of its name lies there.
    """
    for photo in job.photos:
        beside = path.parent / photo.name
        if not beside.exists():
            write_whole(beside, load(photo.name))
        elif hashlib.sha256(beside.read_bytes()).hexdigest() != photo.sha256:
            raise InputError(f"expected a folder without another {photo.name}, got one; choose another folder")
    write_whole(path, sheet_text(job).encode("utf-8"))
