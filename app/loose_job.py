"""A job that lies in no file yet: the invented example, a sheet that was opened, or the empty bench."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from colourcore.errors import InputError
from colourcore.job.edits import Edit
from colourcore.job.history import History, Step
from colourcore.job.model import Job
from colourcore.job.sheet import read_sheet

__all__ = ["Loader", "LooseJob", "Opened", "TakenPhoto", "bytes_of", "hash_photo", "open_sheet"]


@dataclass(frozen=True, slots=True, kw_only=True)
class TakenPhoto:
    """A photo file that was found and hashed: where it lies, and the SHA-256 of its bytes."""

    path: Path
    sha256: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Opened:
    """A sheet as it came from disk: its job, its file, and where the bytes of its photos lie, by SHA-256."""

    job: Job
    file: Path
    sources: Mapping[str, Path]


@dataclass(frozen=True, slots=True, kw_only=True)
class Loader:
    """Gives photos' bytes by name, as they were when the job was handed out. Any thread may call it."""

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


class LooseJob:
    """A job in memory, with the acts done to it; it has the face of a job file.

    Parameters
    ----------
    job, sources
        What it starts with, and where the bytes of photos lie, by SHA-256.
    file
        The sheet that it came from.
    begun
        How and when it came to lie here: the name of its first step and the time (ISO 8601).
    """

    read_only = ""

    def __init__(
        self, job: Job, sources: Mapping[str, Path], *, begun: tuple[str, str], file: Path | None = None
    ) -> None:
        self.path = file
        self.sources = dict(sources)
        self._history: History[Job] = History.begin(job, *begun)

    @property
    def job(self) -> Job:
        """The job as it stands."""
        return self._history.state

    @property
    def history(self) -> History[Job]:
        """What was done."""
        return self._history

    @property
    def load(self) -> Callable[[str], bytes]:
        """What gives the photos' bytes in the background."""
        sums = {photo.name: photo.sha256 for photo in self.job.photos}
        paths = {name: self.sources[sha256] for name, sha256 in sums.items() if sha256 in self.sources}
        return Loader(paths=paths, sums=sums)

    def do(self, edit: Edit, *, at: str) -> str:
        """Do an act; one that changes nothing leaves no step."""
        if edit.job != self.job:
            self._history = self._history.do(edit.name, edit.job, at)
        return ""

    def go_to(self, position: int, *, at: str) -> str:  # noqa: ARG002 - a job file notes the time, memory need not
        """Stand at any step of the history."""
        self._history = self._history.go_to(position)
        return ""

    def close(self) -> None:
        """Nothing is open."""


def bytes_of(steps: Iterable[Step[Job]], sources: Mapping[str, Path], held: Iterable[str] = ()) -> Iterator[bytes]:
    """Give the bytes of every photo of these steps, but those whose SHA-256 is held already.

    Raises InputError where one cannot be read any more.
    """
    given = set(held)
    for step in steps:
        for photo in step.state.photos:
            if photo.sha256 not in given:
                given.add(photo.sha256)
                paths = {photo.name: sources[photo.sha256]} if photo.sha256 in sources else {}
                yield Loader(paths=paths, sums={photo.name: photo.sha256})(photo.name)
