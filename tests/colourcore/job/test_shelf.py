"""The user's own shelf, and where jobs live."""

from __future__ import annotations

import contextlib
import sqlite3
from datetime import date
from pathlib import Path

import pytest

from colourcore.errors import InputError
from colourcore.job.places import dated_path, jobs_folder, named_path
from colourcore.job.shelf import CameraCurve, FinishShift, Shade, open_shelf

NOON = "2026-05-09T12:00:00+02:00"
LID = Shade(name="old lid", lab=(38.5, 6.0, 14.0), finish="oil", note="from the kitchen")
RAW = Shade(name="Early brown", lab=(55.0, None, None))
OIL = FinishShift(name="oil", shift=(-6.0, 1.0, 3.0), covariance=((1, 0, 0), (0, 1, 0), (0, 0, 1)), pairs=3)
CURVE = CameraCurve(name="phone, daylight", text="light,code\n0,0\n1,255\n")


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "data" / "shelf.sqlite"


def test_shades_cameras_and_finishes_are_kept_across_jobs(path: Path) -> None:
    with open_shelf(path) as shelf:
        for thing in (LID, RAW, OIL, CURVE):
            shelf.put(thing, at=NOON)
    with open_shelf(path) as shelf:
        assert shelf.notice == ""
        assert shelf.things(Shade) == (RAW, LID)
        assert shelf.things(FinishShift) == (OIL,)
        assert shelf.things(CameraCurve) == (CURVE,)


def test_a_shade_put_there_anew_replaces_the_one_of_its_name_which_stays_in_the_file(path: Path) -> None:
    with open_shelf(path) as shelf:
        shelf.put(LID, at=NOON)
        shelf.put(Shade(name="old lid", lab=(40.0, 6.0, 14.0)), at=NOON)
        assert [shade.lab for shade in shelf.things(Shade)] == [(40.0, 6.0, 14.0)]
        shelf.take_off(LID, at=NOON)
        assert shelf.things(Shade) == ()
    with contextlib.closing(sqlite3.connect(path)) as connection:
        assert connection.execute("SELECT count(*) FROM things").fetchone() == (2,)


def test_a_shade_without_a_name_is_refused(path: Path) -> None:
    with open_shelf(path) as shelf, pytest.raises(InputError, match="Expected a name for this shade"):
        shelf.put(Shade(name=" ", lab=(50.0, 0.0, 0.0)), at=NOON)


def test_recent_jobs_are_remembered_the_last_one_first_and_not_without_end(path: Path, tmp_path: Path) -> None:
    with open_shelf(path) as shelf:
        for number in range(40):
            shelf.note_job(tmp_path / f"{number}.duskgrain", f"job {number}", at=NOON)
        shelf.note_job(tmp_path / "20.duskgrain", "job 20 again", at=NOON)
        shelf.forget_job(tmp_path / "39.duskgrain")
        recent = shelf.recent_jobs()
    assert [job.name for job in recent[:3]] == ["job 20 again", "job 38", "job 37"]
    assert len(recent) == 29
    assert recent[1].path == tmp_path / "38.duskgrain"


@pytest.mark.parametrize("content", [b"no database at all" * 20, b"SQLite format 3\0" + bytes(4080)])
def test_a_damaged_shelf_is_kept_aside_and_a_new_one_begun(path: Path, content: bytes) -> None:
    path.parent.mkdir()
    path.write_bytes(content)
    with open_shelf(path) as shelf:
        assert shelf.notice == (
            "the shelf could not be read: it was kept as shelf (damaged).sqlite and a new one begun"
        )
        shelf.put(LID, at=NOON)
    assert path.with_name("shelf (damaged).sqlite").read_bytes() == content


def test_a_shelf_of_a_later_version_is_refused_and_stays(path: Path) -> None:
    with open_shelf(path) as shelf:
        shelf.put(LID, at=NOON)
    with contextlib.closing(sqlite3.connect(path)) as connection:
        connection.execute("PRAGMA user_version = 2000")
    with pytest.raises(InputError, match="later version"):
        open_shelf(path)
    assert [file.name for file in path.parent.iterdir()] == ["shelf.sqlite"]


def test_two_windows_share_the_shelf(path: Path) -> None:
    with open_shelf(path) as first, open_shelf(path) as second:
        first.put(LID, at=NOON)
        second.put(RAW, at=NOON)
        assert first.things(Shade) == second.things(Shade) == (RAW, LID)


def test_a_new_job_is_dated_and_a_second_one_of_the_day_numbered(tmp_path: Path) -> None:
    first = dated_path(tmp_path, date(2026, 5, 9))
    first.touch()
    assert (first.name, dated_path(tmp_path, date(2026, 5, 9)).name) == (
        "Job 2026-05-09.duskgrain",
        "Job 2026-05-09 2.duskgrain",
    )


def test_a_renamed_job_gets_a_name_that_every_system_takes(tmp_path: Path) -> None:
    path = tmp_path / "Job 2026-05-09.duskgrain"
    assert named_path(path, 'Chest "left/right"?').name == "Chest left right.duskgrain"
    assert named_path(path, "Job 2026-05-09") == path
    (tmp_path / "Lid.duskgrain").touch()
    assert named_path(path, "Lid").name == "Lid 2.duskgrain"


def test_new_jobs_begin_in_a_folder_that_is_there() -> None:
    assert jobs_folder().is_dir()
