"""The job file: every act is on the disk before it counts as done, and nothing that was done is ever lost.

A job file is one SQLite database; `docs/job_file.md` describes it. An open one is a `JobFile`: it holds the job that
stands and the line of acts around it, and writes each further act as one transaction.
"""

from __future__ import annotations

import contextlib
import hashlib
import sqlite3
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from typing import TypeVar

from colourcore.errors import InputError
from colourcore.image.pixels import Outline
from colourcore.job import states
from colourcore.job.database import connect, said_plainly, transaction
from colourcore.job.edits import Edit
from colourcore.job.history import History
from colourcore.job.hold import Hold
from colourcore.job.measured import read_measured, write_measured
from colourcore.job.model import Job
from colourcore.job.schema import TABLES
from colourcore.job.states import Place

__all__ = ["ChangedElsewhereError", "JobFile"]

Value = TypeVar("Value")


class ChangedElsewhereError(InputError):
    """Another window or machine changed the job since this one looked; its acts were taken in."""


class JobFile:
    """An open job file. `opening.open_job` and `opening.new_job` make it; `close` it, or use it in a `with`.

    All of it belongs to the thread that opened it, except what `load` gives, `recall` and `remember`.

    Attributes
    ----------
    read_only
        Why nothing can be changed, in one sentence; empty where it can.
    losses
        What could not be read, a sentence each; empty for a sound file.
    notices
        What the user should be told once about the opening (a migration, somebody's additions), a sentence each.
    """

    def __init__(
        self,
        hold: Hold,
        *,
        place: Place,
        history: History[int],
        job: Job,
        read_only: str = "",
        losses: tuple[str, ...] = (),
        notices: tuple[str, ...] = (),
        on_close: Callable[[], None] | None = None,
    ) -> None:
        self.read_only = read_only
        self.losses = losses
        self.notices = notices
        self._hold = hold
        self._place = place
        self._history = history
        self._job = job
        self._on_close = on_close

    # what stands

    @property
    def path(self) -> Path:
        """Where the file is now."""
        return self._hold.path

    @property
    def job(self) -> Job:
        """The job as it stands."""
        return self._job

    @property
    def history(self) -> History[int]:
        """What was done, and where in it the user stands; each state is the number of its row."""
        return self._history

    @property
    def kept_at(self) -> str:
        """When the file was last changed, as the caller of that act said (ISO 8601); empty where nobody did."""
        return self._place.at

    # acts

    def do(self, edit: Edit, *, at: str, photos: Iterable[bytes] = ()) -> str:
        """Write an act to the disk: when this returns it is kept.

        Parameters
        ----------
        edit
            The act, made from `job`. One that changes nothing is not written.
        at
            The time, ISO 8601.
        photos
            The bytes of the photos that the act brings in.

        Returns a sentence that the user must be told about the file itself, empty as a rule. Raises InputError where
        the act could not be kept (then nothing has changed), ChangedElsewhereError where somebody else's act came
        first (then that stands, and this one has to be done again), ValueError where a photo's bytes are missing.
        """
        contents = {hashlib.sha256(content).hexdigest(): content for content in photos}
        notice = self._ready()
        if edit.job == self._job:
            return notice
        with said_plainly(self.path.name):
            self._require_bytes(edit.job, contents)
            with self._turn(at) as place:
                for sha256, content in contents.items():
                    states.add_photo(self._hold.connection, sha256, content)
                number = states.add_state(
                    self._hold.connection, parent=place.current, at=at, act=edit.name, job=edit.job
                )
                place = replace(place, current=number, tip=number)
                states.write_place(self._hold.connection, place)
        self._place, self._job = place, edit.job
        self._history = self._history.do(edit.name, number, at)
        return notice or self._hold.find_again()

    def undo(self, *, at: str) -> str:
        """Take the last act back; nothing happens at the start. Returns and raises as `do`."""
        return self.go_to(max(self._history.position - 1, 0), at=at)

    def redo(self, *, at: str) -> str:
        """Bring back the act that was last undone; nothing happens where none was. Returns and raises as `do`."""
        return self.go_to(min(self._history.position + 1, len(self._history.steps) - 1), at=at)

    def go_to(self, position: int, *, at: str) -> str:
        """Stand at any step of the history, by its index. Returns and raises as `do`."""
        history = self._history.go_to(position)
        notice = self._ready()
        if history.position == self._history.position:
            return notice
        with said_plainly(self.path.name):
            job = states.read_job(self._hold.connection, history.state)
            with self._turn(at) as place:
                place = replace(place, current=history.state)
                states.write_place(self._hold.connection, place)
        self._place, self._job, self._history = place, job, history
        return notice or self._hold.find_again()

    # photos and readings

    @property
    def load(self) -> Callable[[str], bytes]:
        """A function that gives the bytes of the present job's photos by name, checked; any thread may call it.

        It raises InputError where the bytes are lost or damaged, KeyError for a photo that the job did not hold.
        """
        path, damaged = self.path, self._hold.damaged
        digests = {photo.name: photo.sha256 for photo in self._job.photos}

        def load(photo: str) -> bytes:
            sha256 = digests[photo]
            with said_plainly(photo), contextlib.closing(_reader(path, damaged=damaged)) as connection:
                return states.photo_bytes(connection, sha256, path.stat().st_size)

        return load

    def recall(self, method: str, kind: type[Value]) -> dict[tuple[str, Outline | None], Value]:
        """Return what `remember` kept for this method and the photos of the job; from any thread."""
        photos = [photo.sha256 for photo in self._job.photos]
        path, damaged = self.path, self._hold.damaged
        with said_plainly(path.name), contextlib.closing(_reader(path, damaged=damaged)) as connection:
            return read_measured(connection, _of_kind(method, kind), kind, photos)

    def remember(self, method: str, kind: type[Value], values: Mapping[tuple[str, Outline | None], Value]) -> None:
        """Keep what was measured of photos and outlines by one version of a method; from any thread.

        A photo's key begins with its SHA-256; what else its figures depend on stands behind it.

        Nothing is kept in a file that may only be read: it can be measured again.
        """
        if self.read_only or not values:
            return
        with (
            said_plainly(self.path.name),
            contextlib.closing(connect(self.path, write=True, tables=TABLES)) as connection,
            transaction(connection),
        ):
            write_measured(connection, _of_kind(method, kind), values)

    # the file

    def reload(self) -> bool:
        """Take in what another window or machine has changed in the file; tell whether there was anything."""
        with said_plainly(self.path.name):
            place = states.read_place(self._hold.connection)
            if place.turn == self._place.turn:
                return False
            history = states.read_line(self._hold.connection, place)
            job = states.read_job(self._hold.connection, place.current)
        self._place, self._history, self._job = place, history, job
        return True

    def copy_to(self, target: Path) -> None:
        """Write a whole copy of the file. InputError where the target exists or cannot be written."""
        self._hold.copy_to(target)

    def move_to(self, target: Path) -> str:
        """Rename the file, or move it to another folder or drive. InputError where that fails; then it is as it was.

        Returns a sentence that the user must be told about the file, as `do`.
        """
        notice = self._ready()
        left = self._hold.move_to(target)
        return notice or left

    def close(self) -> None:
        """Close the file. What was done is kept already."""
        self._hold.release()
        if self._on_close:
            self._on_close()
            self._on_close = None

    def __enter__(self) -> JobFile:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    # within

    def _ready(self) -> str:
        if self.read_only:
            raise InputError(self.read_only, file=self.path.name)
        return self._hold.find_again()

    @contextlib.contextmanager
    def _turn(self, at: str) -> Iterator[Place]:
        """Open a transaction, once nobody else has changed the file; the place it yields counts one change more."""
        connection = self._hold.connection
        with transaction(connection):
            place = states.read_place(connection)
            if place.turn == self._place.turn:
                yield replace(place, turn=place.turn + 1, at=at)
                return
        self.reload()
        name = self._history.steps[self._history.position].name
        raise ChangedElsewhereError(
            f"expected the job as this window left it, got an act done elsewhere (“{name}”), which was taken in: "
            "do yours again",
            file=self.path.name,
        )

    def _require_bytes(self, job: Job, contents: Mapping[str, bytes]) -> None:
        known = {photo.sha256 for photo in self._job.photos} | set(contents)
        new = {photo.sha256: photo.name for photo in job.photos if photo.sha256 not in known}
        missing = set(new) - states.photos_held(self._hold.connection) if new else set()
        if missing:
            raise ValueError(f"no bytes for {', '.join(sorted(new[sha256] for sha256 in missing))}")


def _reader(path: Path, *, damaged: bool) -> sqlite3.Connection:
    return connect(path, write=False, tables=TABLES, damaged=damaged)


def _of_kind(method: str, kind: type) -> str:
    return f"{kind.__name__} {method}"
