"""The user's own shelf, and the names of job files."""

from __future__ import annotations

import contextlib
import sqlite3
from datetime import date
from pathlib import Path

import pytest

from colourcore.errors import InputError
from colourcore.job.places import dated_path, named_path
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
        "2026-05-09 job.duskgrain",
        "2026-05-09 job 2.duskgrain",
    )


@pytest.mark.parametrize(
    "name", ["Chest: left/right?", "con", "..", "x" * 5000, "a\0b", "\ud800", "COM1.old", "tab\there"]
)
def test_a_job_s_file_stays_in_its_folder_whatever_it_is_called(tmp_path: Path, name: str) -> None:
    for path in (dated_path(tmp_path, date(2026, 5, 9), name), named_path(tmp_path / "job.duskgrain", name)):
        path.touch()
        assert [path.parent, path.suffix] == [tmp_path, ".duskgrain"]
        assert path.name.partition(".")[0].casefold() not in ("con", "com1")


def test_a_renamed_job_gets_a_name_that_every_system_takes(tmp_path: Path) -> None:
    path = tmp_path / "2026-05-09 job.duskgrain"
    assert named_path(path, 'Chest "left/right"?').name == "Chest left right.duskgrain"
    assert named_path(path, "2026-05-09 job") == path
    (tmp_path / "Lid.duskgrain").touch()
    assert named_path(path, "Lid").name == "Lid 2.duskgrain"
