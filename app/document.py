"""THE job that lies on the bench: its value, what was done to it, and where its photos lie. The only mutable job.

Every change comes in as an edit; undo swaps whole values. Nothing here reads pixels or computes hours.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from PySide6.QtCore import QObject, Signal

from app.wording import tr
from colourcore.cli import write_whole
from colourcore.errors import InputError
from colourcore.job import edits
from colourcore.job.edits import Edit
from colourcore.job.history import History
from colourcore.job.model import Job, PhotoFile
from colourcore.job.sheet import read_sheet, sheet_text

__all__ = ["Document", "Loader", "Opened", "TakenPhoto", "hash_photo", "open_sheet"]

Load = Callable[[str], bytes]


@dataclass(frozen=True, slots=True, kw_only=True)
class TakenPhoto:
    """A file that was found to be there and hashed: where it lies, its name and the SHA-256 of its bytes."""

    path: Path
    sha256: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Opened:
    """A job as it came from disk: its value, its file, and where the bytes of its photos lie, by SHA-256."""

    job: Job
    file: Path
    sources: Mapping[str, Path]


@dataclass(frozen=True, slots=True, kw_only=True)
class Loader:
    """Gives photos' bytes by name, as they were when the job was handed out. Safe to use in the background."""

    paths: Mapping[str, Path]
    sums: Mapping[str, str]

    def __call__(self, photo: str) -> bytes:
        """Return a photo's bytes; InputError where the file is gone or holds other bytes than were taken in."""
        path = self.paths.get(photo)
        if path is None:
            raise InputError("expected the photo where it was, got no such file", file=photo)
        try:
            content = path.read_bytes()
        except OSError as error:
            raise InputError(f"expected a photo that can be read, got {error.strerror or error}", file=photo) from error
        if hashlib.sha256(content).hexdigest() != self.sums[photo]:
            raise InputError("expected the photo as it was taken in, got other bytes; drop it here again", file=photo)
        return content


def hash_photo(path: Path) -> TakenPhoto:
    """Return a photo file with its hash; InputError where it cannot be read or is empty."""
    try:
        with path.open("rb") as file:
            sha256 = hashlib.file_digest(file, "sha256").hexdigest()
        size = path.stat().st_size
    except OSError as error:
        raise InputError(f"expected a photo that can be read, got {error.strerror or error}", file=path.name) from error
    if not size:
        raise InputError("expected a photo, got an empty file", file=path.name)
    return TakenPhoto(path=path, sha256=sha256)


def open_sheet(path: Path) -> Opened:
    """Return the job of a sheet; raises what `read_sheet` raises."""
    sheet = read_sheet(path)
    sources = {photo.sha256: sheet.folder / photo.name for photo in sheet.job.photos}
    return Opened(job=sheet.job, file=path, sources=sources)


class Document(QObject):
    """The job of one window. `changed` follows every change of job, history or file; `replaced` another job."""

    changed = Signal()
    replaced = Signal()

    def __init__(self, clock: Callable[[], datetime] = datetime.now, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._clock = clock
        self._history: History[Job] = History.begin(Job())
        self._sources: dict[str, Path] = {}
        self._file: Path | None = None
        self._kept: tuple[Job, datetime] | None = None

    @property
    def job(self) -> Job:
        """The job as it stands."""
        return self._history.state

    @property
    def history(self) -> History[Job]:
        """What was done."""
        return self._history

    @property
    def file(self) -> Path | None:
        """The file that the job came from or was kept in; None before the first."""
        return self._file

    @property
    def empty(self) -> bool:
        """Whether there is nothing in the job yet."""
        return self.job == Job() and len(self._history.steps) == 1

    def kept_words(self) -> str:
        """What is said under the job's name about its being kept."""
        if self.job.invented:
            return tr("invented example")
        if self._kept is None:
            return tr("not kept yet") if not self.empty else ""
        job, when = self._kept
        return (
            tr("all kept {time}", time=f"{when:%H:%M}")
            if job == self.job
            else tr("changed since {time}", time=f"{when:%H:%M}")
        )

    def loader(self) -> Loader:
        """Return what gives the photos' bytes in the background."""
        sums = {photo.name: photo.sha256 for photo in self.job.photos}
        paths = {name: self._sources[sha256] for name, sha256 in sums.items() if sha256 in self._sources}
        return Loader(paths=paths, sums=sums)

    def begin(self) -> None:
        """Put an empty job on the bench."""
        self._replace(Job(), {}, None, tr("a new job"))

    def show(self, opened: Opened) -> None:
        """Put a job that was read from disk on the bench."""
        self._replace(opened.job, opened.sources, opened.file, tr("opening {name}", name=opened.file.name))
        self._kept = (opened.job, self._clock())
        self.changed.emit()

    def _replace(self, job: Job, sources: Mapping[str, Path], file: Path | None, how: str) -> None:
        self._history = History.begin(job, how, self._now())
        self._sources, self._file, self._kept = dict(sources), file, None
        self.replaced.emit()
        self.changed.emit()

    def _now(self) -> str:
        return self._clock().isoformat(timespec="seconds")

    def apply(self, asked: Edit | Callable[[Job], Edit]) -> None:
        """Do an edit, or make one of the job as it stands and do it; InputError where the user got something wrong."""
        edit = asked if isinstance(asked, Edit) else asked(self.job)
        if edit.job == self.job:
            return
        self._history = self._history.do(edit.name, edit.job, self._now())
        self.changed.emit()

    def add_photos(self, taken: Iterable[TakenPhoto]) -> int:
        """Take photos in and return how many were new: bytes that the job holds already are passed over."""
        found = list(taken)
        before = len(self.job.photos)
        for photo in found:
            self._sources.setdefault(photo.sha256, photo.path)
        self.apply(lambda job: edits.add_photos(job, [PhotoFile(name=p.path.name, sha256=p.sha256) for p in found]))
        return len(self.job.photos) - before

    def undo(self) -> None:
        """Take the last act back."""
        self._step(self._history.undo())

    def redo(self) -> None:
        """Bring the act back that was undone last."""
        self._step(self._history.redo())

    def go_to(self, position: int) -> None:
        """Go to any line of what was done."""
        self._step(self._history.go_to(position))

    def _step(self, history: History[Job]) -> None:
        if history.position != self._history.position:
            self._history = history
            self.changed.emit()

    def save_sheet(self, path: Path) -> None:
        """Write the job as a sheet, copying photos that lie elsewhere beside it; InputError where that cannot be."""
        load = self.loader()
        for photo in self.job.photos:
            beside = path.parent / photo.name
            source = load.paths.get(photo.name)
            if source is not None and beside.exists() and beside.samefile(source):
                continue
            content = load(photo.name)
            if not beside.exists():
                write_whole(beside, content)
            elif hashlib.sha256(beside.read_bytes()).hexdigest() != photo.sha256:
                raise InputError(f"expected a folder without another {photo.name}, got one; choose another folder")
            self._sources[photo.sha256] = beside
        write_whole(path, sheet_text(self.job).encode("utf-8"))
        self._file, self._kept = path, (self.job, self._clock())
        self.changed.emit()
