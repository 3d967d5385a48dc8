"""An open job file: what was done is on the disk, and stays there whatever happens to the file."""

from __future__ import annotations

import contextlib
import errno
import os
import shutil
import sqlite3
import tempfile
import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from unittest import mock

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from colourcore.errors import InputError
from colourcore.image.pixels import Outline
from colourcore.job import edits
from colourcore.job.history import History
from colourcore.job.model import Choices, Job
from colourcore.job.opening import new_job, open_job
from colourcore.job.store import ChangedElsewhereError, JobFile
from tests.colourcore.job.invented import Act, acts, chest, photo_file

NOON = "2026-05-09T12:00:00+02:00"
LATER = "2026-05-09T12:41:07+02:00"
PHOTOS = [b"front", b"back"]
EVERY_PHOTO = [*PHOTOS, *(b"%d" % number for number in range(10))]


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "music chest.duskgrain"


@pytest.fixture
def file(path: Path) -> Iterator[JobFile]:
    with new_job(path, at=NOON, job=chest(), photos=PHOTOS) as opened:
        yield opened


def sql(path: Path, statement: str, *values: object) -> list[tuple[Any, ...]]:
    """What somebody with the sqlite3 shell would do."""
    with contextlib.closing(sqlite3.connect(path, isolation_level=None)) as connection:
        return connection.execute(statement, values).fetchall()


@contextlib.contextmanager
def files_no_larger_than(size: int) -> Iterator[None]:
    """A disk that has no room beyond a file of this size."""
    resource = pytest.importorskip("resource", reason="only POSIX limits the size of files")
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, hard))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))


def test_an_act_outlives_the_window_that_did_it(path: Path, file: JobFile) -> None:
    file.do(edits.set_hours(file.job, {4: 7.5}), at=LATER)
    left = file.job
    file.close()
    with open_job(path) as again:
        assert again.job == left
        assert again.history.undo_name == "hours of sample 9 h"
        assert again.kept_at == LATER
        assert again.losses == again.notices == ()


def test_undo_and_redo_outlive_the_window_with_their_names(path: Path, file: JobFile) -> None:
    file.do(edits.name_job(file.job, "lid"), at=NOON)
    file.do(edits.set_board(file.job, [2, 3], "C"), at=NOON)
    file.undo(at=LATER)
    file.close()
    with open_job(path) as again:
        assert (again.history.undo_name, again.history.redo_name) == ("name of the job", "board of 2 samples")
        again.undo(at=LATER)
        assert again.job == chest()
        again.redo(at=LATER)
        again.redo(at=LATER)
        assert again.job.patch(2).board == "C"
        assert again.history.redo_name == ""


@settings(max_examples=15, deadline=None)  # the disk may be busy
@given(st.lists(st.sampled_from(["undo", "redo", "reopen"]) | acts(), max_size=12))
def test_the_file_and_a_history_in_memory_agree_after_any_acts(moves: list[str | Act]) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "job.duskgrain"
        file, history = new_job(path, at=NOON, job=chest(), photos=PHOTOS), History.begin(chest())
        for move in moves:
            if move == "undo":
                file.undo(at=LATER)
                history = history.undo()
            elif move == "redo":
                file.redo(at=LATER)
                history = history.redo()
            elif move == "reopen":
                file.close()
                file = open_job(path)
            else:
                assert callable(move)
                edit = move(history.state)
                file.do(edit, at=LATER, photos=EVERY_PHOTO)
                history = history.do(edit.name, edit.job) if edit.job != history.state else history
            assert file.job == history.state
            assert (file.history.undo_name, file.history.redo_name) == (history.undo_name, history.redo_name)
        file.close()


def test_an_act_that_changes_nothing_is_not_written(file: JobFile) -> None:
    file.do(edits.name_job(file.job, "music chest"), at=LATER)
    assert len(file.history.steps) == 1
    assert file.kept_at == NOON
    file.undo(at=LATER)
    file.redo(at=LATER)
    assert file.kept_at == NOON


def test_any_act_in_the_list_can_be_gone_to(path: Path, file: JobFile) -> None:
    for name in ("a", "b", "c"):
        file.do(edits.name_job(file.job, name), at=NOON)
    file.go_to(1, at=LATER)
    file.close()
    with open_job(path) as again:
        assert again.job.name == "a"
        assert again.history.redo_name == "name of the job"


def test_what_was_undone_and_then_left_behind_stays_in_the_file(path: Path, file: JobFile) -> None:
    file.do(edits.name_job(file.job, "left behind"), at=NOON)
    file.undo(at=NOON)
    file.do(edits.name_job(file.job, "went on"), at=NOON)
    file.close()
    rows = sql(path, "SELECT job FROM states")
    assert any('"left behind"' in text for (text,) in rows)


def test_photos_come_back_byte_for_byte_from_any_thread(file: JobFile) -> None:
    found: list[bytes] = []
    load = file.load
    thread = threading.Thread(target=lambda: found.append(load("back.jpg")))
    thread.start()
    thread.join()
    assert found == [b"back"]
    with pytest.raises(KeyError):
        file.load("lost.jpg")


def test_a_photo_without_its_bytes_is_a_fault_of_the_caller_and_changes_nothing(path: Path, file: JobFile) -> None:
    new = photo_file("side.jpg", b"side")
    with pytest.raises(ValueError, match=r"no bytes for side\.jpg"):
        file.do(edits.add_photos(file.job, [new]), at=NOON)
    file.do(edits.add_photos(file.job, [new]), at=NOON, photos=[b"side"])
    file.close()
    with open_job(path) as again:
        assert again.load("side.jpg") == b"side"


def test_a_removed_photo_comes_back_with_undo(file: JobFile) -> None:
    file.do(edits.remove_photo(file.job, "front.jpg"), at=NOON)
    file.undo(at=NOON)
    assert file.load("front.jpg") == b"front"


def test_a_damaged_photo_is_refused_by_name(path: Path, file: JobFile) -> None:
    file.close()
    sql(path, "UPDATE photos SET bytes = ? WHERE bytes = ?", b"BACK", b"back")
    with (
        open_job(path) as again,
        pytest.raises(InputError, match=r"back\.jpg: expected the photo's bytes as they came"),
    ):
        again.load("back.jpg")


def test_readings_are_remembered_by_photo_outline_and_method(path: Path, file: JobFile) -> None:
    sha256, box = file.job.photos[0].sha256, Outline(x=1, y=2, width=3, height=4)
    kept = {
        (sha256, None): Choices(confidence=0.5),
        (sha256, box): Choices(past_odds=0.3),
        (f"{sha256} linear", box): Choices(past_odds=0.4),
    }
    file.remember("1", Choices, kept)
    file.close()
    with open_job(path) as again:
        assert again.recall("1", Choices) == kept
        assert again.recall("2", Choices) == {}
        assert again.recall("1", Job) == {}


def test_a_reading_that_was_altered_is_measured_again(path: Path, file: JobFile) -> None:
    file.remember("1", Choices, {(file.job.photos[0].sha256, None): Choices(confidence=0.5)})
    sql(path, "UPDATE measured SET value = replace(value, '0.5', '0.6')")
    assert file.recall("1", Choices) == {}


def test_two_windows_on_one_job_on_this_machine(tmp_path: Path, path: Path) -> None:
    claims = tmp_path / "claims"
    first = new_job(path, at=NOON, job=chest(), photos=PHOTOS, claims=claims)
    second = open_job(path, claims=claims)
    assert second.read_only == (
        "expected to be the only window on this job, got another that has it open: it opens for reading only"
    )
    with pytest.raises(InputError, match="got another that has it open"):
        second.do(edits.name_job(second.job, "mine"), at=NOON)
    first.do(edits.name_job(first.job, "theirs"), at=NOON)
    assert second.reload()
    assert second.job.name == "theirs"
    assert not second.reload()
    first.close()
    second.close()
    with open_job(path, claims=claims) as third:
        assert third.read_only == ""


def test_two_machines_on_one_job_lose_no_act(path: Path, file: JobFile) -> None:
    with open_job(path) as other:
        file.do(edits.set_board(file.job, [2], "C"), at=NOON)
        with pytest.raises(ChangedElsewhereError, match="got an act done elsewhere \\(“board of sample 2 h”\\)"):
            other.do(edits.name_job(other.job, "other"), at=NOON)
        assert other.job == file.job
        other.do(edits.name_job(other.job, "other"), at=NOON)
    assert file.reload()
    assert (file.job.name, file.job.patch(2).board) == ("other", "C")


def test_a_file_removed_while_open_is_kept_beside(path: Path, file: JobFile) -> None:
    file.do(edits.set_board(file.job, [2], "C"), at=NOON)
    path.unlink()
    told = file.do(edits.name_job(file.job, "lid"), at=NOON)
    assert told == (
        "music chest.duskgrain was removed while it was open: "
        "what this window held was kept as music chest (kept).duskgrain."
    )
    file.close()
    with open_job(path.with_name("music chest (kept).duskgrain")) as again:
        assert (again.job.name, again.job.patch(2).board, again.load("back.jpg")) == ("lid", "C", b"back")
        assert len(again.history.steps) == 3


def test_a_file_replaced_while_open_is_kept_beside_and_the_other_left_alone(tmp_path: Path, path: Path) -> None:
    with new_job(tmp_path / "other.duskgrain", at=NOON, job=Job(name="another")):
        pass
    file = new_job(path, at=NOON, job=chest(), photos=PHOTOS)
    os.replace(tmp_path / "other.duskgrain", path)
    told = file.undo(at=NOON)
    assert "was replaced by another version while it was open" in told
    file.do(edits.name_job(file.job, "mine"), at=NOON)
    file.close()
    with open_job(path) as other, open_job(path.with_name("music chest (kept).duskgrain")) as kept:
        assert (other.job.name, kept.job.name) == ("another", "mine")


def test_a_file_put_back_as_it_was_by_a_synchronising_drive_is_gone_on_with(path: Path, file: JobFile) -> None:
    copy = path.with_name("copy")
    shutil.copyfile(path, copy)
    os.replace(copy, path)
    assert file.do(edits.name_job(file.job, "lid"), at=NOON) == ""
    file.close()
    with open_job(path) as again:
        assert again.job.name == "lid"


def test_a_folder_that_is_gone_is_told_and_the_job_can_be_kept_elsewhere(tmp_path: Path) -> None:
    folder = tmp_path / "stick"
    folder.mkdir()
    file = new_job(folder / "job.duskgrain", at=NOON, job=chest(), photos=PHOTOS)
    shutil.rmtree(folder)
    with pytest.raises(InputError, match="put it back, or keep a copy elsewhere"):
        file.do(edits.name_job(file.job, "lid"), at=NOON)
    file.copy_to(tmp_path / "elsewhere.duskgrain")
    file.close()
    with open_job(tmp_path / "elsewhere.duskgrain") as again:
        assert again.job == chest()


def test_a_full_disk_is_told_and_the_job_stays_as_it_was(path: Path, file: JobFile) -> None:
    new = photo_file("large.jpg", bytes(3_000_000))
    with (
        files_no_larger_than(1_000_000),
        pytest.raises(InputError, match=r"expected .* the disk, .*nothing was changed"),
    ):
        file.do(edits.add_photos(file.job, [new]), at=NOON, photos=[bytes(3_000_000)])
    assert file.job == chest()
    file.do(edits.name_job(file.job, "lid"), at=NOON)
    file.close()
    with open_job(path) as again:
        assert again.job.name == "lid"
        assert len(again.job.photos) == 2


def test_a_job_is_renamed_and_moved_while_open(tmp_path: Path, path: Path) -> None:
    claims = tmp_path / "claims"
    file = new_job(path, at=NOON, job=chest(), photos=PHOTOS, claims=claims)
    target = tmp_path / "kitchen.duskgrain"
    assert file.move_to(target) == ""
    file.do(edits.name_job(file.job, "kitchen"), at=NOON)
    assert file.path == target
    assert not path.exists()
    with open_job(target, claims=claims) as second:
        assert second.read_only
    file.close()
    with open_job(target, claims=claims) as again:
        assert (again.job.name, again.read_only) == ("kitchen", "")


def test_a_job_is_moved_to_another_drive_whole(tmp_path: Path, path: Path, file: JobFile) -> None:
    file.do(edits.name_job(file.job, "kitchen"), at=NOON)
    target = tmp_path / "stick" / "kitchen.duskgrain"
    target.parent.mkdir()
    across = OSError(errno.EXDEV, "another drive")
    with mock.patch("os.link", side_effect=across), mock.patch("pathlib.Path.rename", side_effect=across):
        with pytest.raises(InputError, match="another drive"):
            file.move_to(target)
        assert (file.path, file.load("back.jpg")) == (path, b"back")
    original = Path.rename

    def within_one_drive(former: Path, new: Path) -> Path:
        if former.parent != new.parent:
            raise across
        return original(former, new)

    with mock.patch("os.link", side_effect=across), mock.patch("pathlib.Path.rename", within_one_drive):
        assert file.move_to(target) == ""
    assert not path.exists()
    assert (file.path, file.job.name, file.load("back.jpg")) == (target, "kitchen", b"back")
    file.undo(at=NOON)
    assert file.job == chest()


def test_a_move_onto_another_file_is_refused_and_both_stay(tmp_path: Path, file: JobFile) -> None:
    taken = tmp_path / "taken.duskgrain"
    taken.write_bytes(b"mine")
    with pytest.raises(InputError, match=r"taken\.duskgrain: expected a name that is free"):
        file.move_to(taken)
    file.do(edits.name_job(file.job, "still here"), at=NOON)
    assert taken.read_bytes() == b"mine"


def test_a_job_too_large_for_a_state_is_refused_and_nothing_changes(file: JobFile) -> None:
    with pytest.raises(InputError, match="got a larger one"):
        file.do(edits.set_label(file.job, 2, "x" * 9_000_000), at=NOON)
    assert file.job == chest()


def test_half_a_character_is_refused_and_nothing_changes(file: JobFile) -> None:
    with pytest.raises(InputError, match="whole characters"):
        file.do(edits.set_label(file.job, 2, "\ud800"), at=NOON)
    assert file.job == chest()
