"""What gets in the way of a job file: a full disk, a folder that may only be read, a file removed or replaced, another
window. Each must come to one sentence, with nothing lost."""

from __future__ import annotations

import contextlib
import os
import shutil
import sqlite3
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from unittest import mock

from colourcore.errors import InputError
from colourcore.job import edits
from colourcore.job.checkup import check_job
from colourcore.job.model import Job
from colourcore.job.opening import new_job, open_job
from colourcore.job.store import ChangedElsewhereError, JobFile
from tests.colourcore.job.invented import chest, photo_file

__all__ = ["Obstacle", "every_obstacle", "files_no_larger_than", "full_disks", "two_programs"]

AT = "2026-05-09T12:00:00+02:00"
NOBODY = 65534


@dataclass(slots=True)
class Obstacle:
    """One kind of obstacle: how often it was met, how often it came to a sentence, and what went wrong."""

    name: str
    met: int = 0
    sentences: int = 0
    lost: int = 0
    example: str = ""
    faults: list[str] = field(default_factory=list)

    def expect_sentence(self, act: Callable[[], object]) -> None:
        """Do what must be refused in a sentence."""
        self.met += 1
        try:
            act()
        except InputError as error:
            self.sentences += 1
            self.example = self.example or str(error)
        except Exception as error:  # noqa: BLE001 - whatever else escapes is what is counted here
            self.faults.append(f"{type(error).__name__}: {error}")
        else:
            self.faults.append("nothing was said")

    def expect(self, holds: bool, what: str) -> None:
        """Count a loss where something that was kept is not there."""
        if not holds:
            self.lost += 1
            self.faults.append(what)


@contextlib.contextmanager
def files_no_larger_than(size: int) -> Iterator[None]:
    """A disk that has no room beyond a file of this size."""
    import resource

    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, hard))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))


def _job_in(folder: Path, name: str = "job.duskgrain") -> JobFile:
    return new_job(folder / name, at=AT, job=chest(), photos=[b"front", b"back"])


def full_disks(folder: Path, sizes: int = 40) -> Obstacle:
    """Fill the disk at many sizes of file: in the middle of a photo, of the journal, of a page."""
    found = Obstacle(name="disk full")
    content = bytes(400_000)
    for number in range(sizes):
        file = _job_in(folder, f"full {number}.duskgrain")
        file.do(edits.set_board(file.job, [2], "C"), at=AT)
        before = file.job
        room = 512 + number * (file.path.stat().st_size + len(content)) // sizes
        with files_no_larger_than(room):
            found.expect_sentence(
                lambda file=file: file.do(  # type: ignore[misc]  # bound at once, called at once
                    edits.add_photos(file.job, [photo_file("large.jpg", content)]), at=AT, photos=[content]
                )
            )
        found.expect(file.job == before, "the job changed")
        file.do(edits.name_job(file.job, "went on"), at=AT)
        file.close()
        with open_job(file.path) as again:
            expected = edits.name_job(before, "went on").job
            found.expect(again.job == expected and check_job(again.path).is_sound, "the file is not what it was")
        file.path.unlink()
    return found


def full_by_pages(folder: Path) -> Obstacle:
    """SQLite itself finds no room for another page."""
    found = Obstacle(name="disk full, by pages")
    path = folder / "pages.duskgrain"
    _job_in(folder, path.name).close()
    pages = path.stat().st_size // 4096
    original = sqlite3.connect

    def with_few_pages(*args: Any, **named: Any) -> sqlite3.Connection:
        connection: sqlite3.Connection = original(*args, **named)
        connection.execute(f"PRAGMA max_page_count = {pages + 10}")
        return connection

    content = bytes(400_000)
    with mock.patch("sqlite3.connect", with_few_pages):
        file = open_job(path)
    with file:
        added = edits.add_photos(file.job, [photo_file("large.jpg", content)])
        found.expect_sentence(lambda: file.do(added, at=AT, photos=[content]))
        file.do(edits.name_job(file.job, "went on"), at=AT)
    with open_job(path) as again:
        found.expect(again.job == edits.name_job(chest(), "went on").job, "the job is not what it was")
    return found


def full_disk_for_a_new_job(folder: Path) -> Obstacle:
    """A new job that finds no room leaves nothing behind."""
    found = Obstacle(name="disk full, new job")
    before = sorted(folder.iterdir())
    with files_no_larger_than(20_000):
        found.expect_sentence(lambda: _job_in(folder, "no room.duskgrain"))
    found.expect(sorted(folder.iterdir()) == before, "something was left behind")
    return found


def removed_and_replaced(folder: Path) -> Obstacle:
    """A file is removed, replaced by another job, by an older copy of itself, or its folder taken away."""
    found = Obstacle(name="removed or replaced")
    other = _job_in(folder, "other.duskgrain")
    other.close()

    def removed(path: Path) -> None:
        path.unlink()

    def replaced(path: Path) -> None:
        shutil.copyfile(folder / "other.duskgrain", folder / "copy")
        os.replace(folder / "copy", path)

    def replaced_by_an_older_one(path: Path) -> None:
        os.replace(folder / "older", path)

    for number, harm in enumerate((removed, replaced, replaced_by_an_older_one)):
        file = _job_in(folder, f"gone {number}.duskgrain")
        shutil.copyfile(file.path, folder / "older")
        file.do(edits.set_board(file.job, [2], "C"), at=AT)
        harm(file.path)
        found.met += 1
        told = file.do(edits.name_job(file.job, "went on"), at=AT)
        found.sentences += told.endswith(f"was kept as gone {number} (kept).duskgrain.")
        found.example = told
        expected = file.job
        file.close()
        with open_job(folder / f"gone {number} (kept).duskgrain") as again:
            found.expect(again.job == expected and len(again.history.steps) == 3, f"{harm.__name__}: acts were lost")
    return found


def folder_taken_away(folder: Path) -> Obstacle:
    """A stick is pulled: the edit is refused, and what was kept is there when it comes back."""
    found = Obstacle(name="folder taken away")
    stick = folder / "stick"
    stick.mkdir()
    file = _job_in(stick)
    file.do(edits.set_board(file.job, [2], "C"), at=AT)
    stick.rename(folder / "pocket")
    found.expect_sentence(lambda: file.do(edits.name_job(file.job, "lid"), at=AT))
    (folder / "pocket").rename(stick)
    file.do(edits.name_job(file.job, "lid"), at=AT)
    expected = file.job
    file.close()
    with open_job(stick / "job.duskgrain") as again:
        found.expect(again.job == expected, "acts were lost")
    return found


def read_only_folder(folder: Path) -> Obstacle:
    """An unprivileged user opens a job in a folder, and a file, that may only be read."""
    found = Obstacle(name="read-only folder and file")
    place = folder / "locked"
    place.mkdir()
    _job_in(place).close()
    _job_in(place, "file.duskgrain").close()
    (place / "file.duskgrain").chmod(0o444)
    (place / "job.duskgrain").chmod(0o666)
    place.chmod(0o555)
    try:
        for said in _as_nobody(lambda: _try_locked(place)):
            found.met += 1
            found.sentences += said.startswith("sentence ")
            found.example = found.example or said.removeprefix("sentence ")
            if not said.startswith("sentence "):
                found.faults.append(said)
    finally:
        place.chmod(0o755)
    with open_job(place / "job.duskgrain") as again:
        found.expect(again.job == chest(), "the job changed")
    return found


def _try_locked(place: Path) -> Iterator[str]:
    acts: list[Callable[[], object]] = [lambda: _job_in(place, "new.duskgrain")]
    for name in ("job.duskgrain", "file.duskgrain"):
        file = open_job(place / name)
        if file.job != chest() or file.load("front.jpg") != b"front" or not file.read_only:
            yield "the job cannot be read, or does not say that it is only read"
        acts.append(lambda file=file: file.do(edits.name_job(file.job, "x"), at=AT))  # type: ignore[misc]  # bound at once
        acts.append(lambda file=file: file.move_to(place / "moved.duskgrain"))  # type: ignore[misc]  # bound at once
        acts.append(lambda file=file: file.copy_to(place / "copy.duskgrain"))  # type: ignore[misc]  # bound at once
    for act in acts:
        try:
            act()
        except InputError as error:
            yield f"sentence {error}"
        except Exception as error:  # noqa: BLE001 - whatever else escapes is what is counted here
            yield f"{type(error).__name__}: {error}"
        else:
            yield "nothing was said"


def cut_off_and_locked(folder: Path) -> Obstacle:
    """A job whose last act was cut off lies, with its journal, where an unprivileged user may only read."""
    found = Obstacle(name="cut off and read-only")
    _job_in(folder, "cut.duskgrain").close()
    place = folder / "cut"
    place.mkdir()
    with contextlib.closing(sqlite3.connect(folder / "cut.duskgrain", isolation_level=None)) as connection:
        connection.execute("PRAGMA cache_size = 1")
        connection.execute("BEGIN IMMEDIATE")
        connection.execute("INSERT INTO photos VALUES ('half', 1, ?)", (bytes(3_000_000),))
        for name in ("cut.duskgrain", "cut.duskgrain-journal"):
            shutil.copy(folder / name, place)
            (place / name).chmod(0o444)
        connection.execute("ROLLBACK")
    place.chmod(0o555)

    def try_it() -> Iterator[str]:
        try:
            open_job(place / "cut.duskgrain")
        except InputError as error:
            yield str(error)

    try:
        said = _as_nobody(try_it)
    finally:
        place.chmod(0o755)
    found.met, found.sentences, found.example = 1, len(said), " ".join(said)
    found.expect("cut off in the middle" in found.example, f"got {said}")
    for name in ("cut.duskgrain", "cut.duskgrain-journal"):
        (place / name).chmod(0o644)
    with open_job(place / "cut.duskgrain") as again:
        found.expect(again.job == chest(), "the job is not what it was")
    return found


def _as_nobody(act: Callable[[], Iterator[str]]) -> list[str]:
    """Return what is said, one line each, in a child without privileges."""
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        try:
            if os.getuid() == 0:
                os.setgroups([])
                os.setgid(NOBODY)
                os.setuid(NOBODY)
            os.write(writing, "\n".join(act()).encode("utf-8"))
        except BaseException as error:  # noqa: BLE001 - the parent reads of it
            os.write(writing, f"{type(error).__name__}: {error}".encode())
        finally:
            os._exit(0)
    os.close(writing)
    said = b""
    while part := os.read(reading, 65_536):
        said += part
    os.close(reading)
    os.waitpid(child, 0)
    return said.decode("utf-8").splitlines()


def two_windows(folder: Path) -> Obstacle:
    """A second window on this machine opens for reading; one on another machine is told of the first one's acts."""
    found = Obstacle(name="two windows")
    claims = folder / "claims"
    file = new_job(folder / "shared.duskgrain", at=AT, job=chest(), photos=[b"front", b"back"], claims=claims)
    with open_job(file.path, claims=claims) as second:
        found.expect_sentence(lambda: second.do(edits.name_job(second.job, "x"), at=AT))
    with open_job(file.path) as elsewhere:
        file.do(edits.set_board(file.job, [2], "C"), at=AT)
        found.expect_sentence(lambda: elsewhere.do(edits.name_job(elsewhere.job, "x"), at=AT))
        found.expect(elsewhere.job == file.job, "the other window's act was not taken in")
    file.close()
    return found


def two_programs(folder: Path, acts: int = 60) -> Obstacle:
    """Two programs edit one job at once, each doing again what came too late; every act of both must be there."""
    found = Obstacle(name="two programs at once")
    path = folder / "both.duskgrain"
    _job_in(folder, path.name).close()
    children = [_editor(path, patch, acts) for patch in (2, 3)]
    codes = [os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) for child in children]
    found.met, found.sentences = len(codes), sum(code == 0 for code in codes)
    with open_job(path) as file:
        found.expect(file.job.patch(2).label == file.job.patch(3).label == str(acts - 1), "acts were lost")
        found.expect(len(file.history.steps) == 2 * acts + 1, f"{len(file.history.steps) - 1} acts of {2 * acts}")
    found.example = f"{2 * acts} acts of two programs, all in one line"
    return found


def _editor(path: Path, patch: int, acts: int) -> int:
    child = os.fork()
    if child:
        return child
    try:
        with open_job(path) as file:
            for number in range(acts):
                _insist(file, lambda job, number=number: edits.set_label(job, patch, str(number)))  # type: ignore[misc]  # bound at once
        os._exit(0)
    finally:
        os._exit(1)


def _insist(file: JobFile, edit: Callable[[Job], edits.Edit]) -> None:
    for _ in range(1000):
        try:
            file.do(edit(file.job), at=AT)
        except ChangedElsewhereError:
            time.sleep(0.001)
        else:
            return
    raise AssertionError("a thousand times too late")


def every_obstacle(folder: Path, *, small: bool = False) -> list[Obstacle]:
    """Meet them all; `small` meets fewer sizes of disk and lets the two programs do fewer acts."""
    return [
        full_disks(folder, 6 if small else 40),
        full_by_pages(folder),
        full_disk_for_a_new_job(folder),
        read_only_folder(folder),
        cut_off_and_locked(folder),
        removed_and_replaced(folder),
        folder_taken_away(folder),
        two_windows(folder),
        two_programs(folder, 10 if small else 60),
    ]
