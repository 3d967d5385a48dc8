"""Is a job file whole, and what can be saved of one that is not."""

from __future__ import annotations

import contextlib
import hashlib
import shutil
import sqlite3
from collections.abc import Callable
from pathlib import Path

import pytest

from colourcore.errors import InputError
from colourcore.job import edits
from colourcore.job.checkup import check_job
from colourcore.job.opening import new_job, open_job
from colourcore.job.rescue import clean_copy
from colourcore.job.schema import VERSION, spoken_version
from tests.colourcore.job.invented import chest, photo_file

KEPT = Path(__file__).parents[2] / "job_files"
NOON = "2026-05-09T12:00:00+02:00"
BIG = bytes(range(256)) * 400


@pytest.fixture
def path(tmp_path: Path) -> Path:
    made = tmp_path / "chest.duskgrain"
    job = edits.add_photos(chest(), [photo_file("big.jpg", BIG)]).job
    with new_job(made, at=NOON, job=job, photos=[b"front", b"back", BIG]) as file:
        for name in ("second", "third", "fourth"):
            file.do(edits.name_job(file.job, name), at=NOON)
        file.undo(at=NOON)
    return made


def sql(path: Path, statement: str, *values: object) -> None:
    with contextlib.closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute(statement, values)


def test_a_sound_job_is_found_sound_and_left_as_it_was(path: Path) -> None:
    before = hashlib.sha256(path.read_bytes()).digest()
    found = check_job(path)
    assert (found.is_sound, found.damage, found.notes) == (True, (), ())
    assert found.version == spoken_version(VERSION)
    assert (found.states, found.states_read, found.photos, found.photos_whole) == (4, 4, 3, 3)
    assert hashlib.sha256(path.read_bytes()).digest() == before


def test_the_kept_samples_are_sound(tmp_path: Path) -> None:
    for sample in KEPT.glob("schema_1_*.duskgrain"):
        assert check_job(sample).is_sound
    earlier = Path(shutil.copy(KEPT / "schema_0.duskgrain", tmp_path))
    found = check_job(earlier)
    assert (found.version, found.states, found.photos_whole, found.is_sound) == ("0.0", 3, 2, True)
    assert found.notes[0].startswith("it is of an earlier version")
    assert [file.name for file in tmp_path.iterdir()] == [earlier.name]


def test_a_flipped_bit_in_a_photo_is_found(path: Path) -> None:
    content = bytearray(path.read_bytes())
    content[content.index(BIG[:200]) + 100] ^= 4
    path.write_bytes(content)
    found = check_job(path)
    assert (found.photos, found.photos_whole) == (3, 2)
    assert found.damage == (
        f"photos whose bytes are not what they were (SHA-256 from): {hashlib.sha256(BIG).hexdigest()[:12]}",
    )


def test_an_altered_state_is_found_and_named(path: Path) -> None:
    sql(path, "UPDATE states SET act = 'board of 9 samples' WHERE id = 2")
    found = check_job(path)
    assert (found.states, found.states_read) == (4, 3)
    assert found.damage == ("1 act could not be read: “board of 9 samples”",)


def test_pages_that_do_not_fit_together_are_found(path: Path) -> None:
    content = bytearray(path.read_bytes())
    content[4096 + 3 : 4096 + 5] = b"\xff\xff"
    path.write_bytes(content)
    found = check_job(path)
    assert not found.is_sound


def test_what_somebody_added_is_told(path: Path) -> None:
    sql(path, "CREATE TABLE invoices (sum REAL)")
    assert check_job(path).notes == ("beside our tables it holds table invoices: kept as they are",)
    sql(path, "CREATE TRIGGER sneak AFTER INSERT ON states BEGIN DELETE FROM photos; END")
    assert not check_job(path).is_sound


def test_what_is_no_job_cannot_be_checked(tmp_path: Path) -> None:
    (tmp_path / "x").write_bytes(b"x" * 200)
    with pytest.raises(InputError, match="expected an SQLite database"):
        check_job(tmp_path / "x")


def lose_a_state(path: Path) -> None:
    sql(path, "UPDATE states SET job = '' WHERE id = 3")


def lose_the_place(path: Path) -> None:
    sql(path, "DELETE FROM place")


def lose_a_photo(path: Path) -> None:
    sql(path, "UPDATE photos SET bytes = ? WHERE size = 4", b"BACK")


def hang_a_trigger(path: Path) -> None:
    sql(path, "CREATE TRIGGER sneak AFTER INSERT ON states BEGIN DELETE FROM photos; END")


def cut_off(path: Path) -> None:
    content = path.read_bytes()
    path.write_bytes(content[: len(content) - 3 * 4096])


@pytest.mark.parametrize("harm", [lose_a_state, lose_the_place, lose_a_photo, hang_a_trigger, cut_off])
def test_a_clean_copy_of_a_damaged_job_is_sound_and_shows_the_same_job(
    path: Path, tmp_path: Path, harm: Callable[[Path], None]
) -> None:
    harm(path)
    before = hashlib.sha256(path.read_bytes()).digest()
    target = tmp_path / "clean.duskgrain"
    left = clean_copy(path, target)
    with open_job(path) as old, open_job(target) as new:
        assert new.job == old.job
        assert new.read_only == ""
        assert [step.name for step in new.history.steps] == [step.name for step in old.history.steps]
        new.do(edits.name_job(new.job, "went on"), at=NOON)
        assert new.load("front.jpg") == b"front"
    assert all(isinstance(sentence, str) for sentence in left)
    damage = check_job(target).damage
    assert damage == (
        ("1 photo cannot be found: back.jpg",) if harm is lose_a_photo else damage if harm is cut_off else ()
    )
    assert hashlib.sha256(path.read_bytes()).digest() == before


def test_a_clean_copy_says_what_it_leaves_behind(path: Path, tmp_path: Path) -> None:
    lose_a_photo(path)
    sql(path, "CREATE TABLE invoices (sum REAL)")
    assert clean_copy(path, tmp_path / "clean.duskgrain") == (
        "photos that are lost or damaged: back.jpg",
        "left in the old file: table invoices",
    )


def test_a_clean_copy_is_never_written_over_a_file(path: Path) -> None:
    with pytest.raises(InputError, match="expected a name that is free"):
        clean_copy(path, path)
