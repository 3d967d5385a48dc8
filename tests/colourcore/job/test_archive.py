"""A sheet and its photos into a job file and out again: nothing that a sheet can say is lost."""

from __future__ import annotations

import contextlib
import shutil
import sqlite3
import tempfile
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from colourcore.errors import InputError
from colourcore.image.pixels import Outline
from colourcore.job import edits
from colourcore.job.archive import pack, unpack
from colourcore.job.model import Job, Patch, Role
from colourcore.job.opening import new_job, open_job
from colourcore.job.sheet import read_sheet
from tests.colourcore.job.invented import HOURS, LABS, OUTLINES, chest, photo_file

NOON = "2026-05-09T12:00:00+02:00"
SHEET = """\
photo,role,x,y,width,height,hours,board,zone,label,L,a,b,corners,set_aside,finish,drawn,piece,weight,camera,encoding
photos/front.jpg,card,0,0,80,60,,,,,49.5,0,0,,,,,,,curves/phone.json,linear
photos/front.jpg,sample,100,0,80.5,60,0,A,heartwood,"quarter, sawn",,,,,,,,,212
photos/front.jpg,sample,200,0,80,60,2.5,A,heartwood,,,,,200 5 275 0 280 55 205 60,,oil,2026-05-09T08:00,p1,

photos/Front.jpg,card,0,0,80,60,,,,,49.5,0,0,,,,,,
photos/Front.jpg,sample,10,10,80,60,9,A,sapwood,,,,,,knot,,,p1,
,target,,,,,,,,the old lid,38.5,6,14,,,,,,
"""


@pytest.fixture
def sheet(tmp_path: Path) -> Path:
    folder = tmp_path / "bench"
    (folder / "photos").mkdir(parents=True)
    (folder / "photos" / "front.jpg").write_bytes(b"front \x00\xff")
    (folder / "photos" / "Front.jpg").write_bytes(b"other")
    (folder / "curves").mkdir()
    (folder / "curves" / "phone.json").write_text('{"codes": "é"}', encoding="utf-8")
    path = folder / "music chest.csv"
    path.write_text(SHEET, encoding="utf-8")
    return path


def without_lines(job: Job) -> Job:
    return replace(job, patches=tuple(replace(patch, line=None) for patch in job.patches))


def test_a_sheet_comes_out_of_the_job_as_it_went_in(sheet: Path, tmp_path: Path) -> None:
    pack(sheet, tmp_path / "chest.duskgrain", at=NOON)
    out = unpack(tmp_path / "chest.duskgrain", tmp_path / "out")
    again = read_sheet(out.sheet)
    before = without_lines(read_sheet(sheet).job)
    assert (out.photos, out.sheet.name) == (2, "music chest.csv")
    renamed = {"photos/Front.jpg": "photos/Front 2.jpg"}
    assert [photo.sha256 for photo in again.job.photos] == [photo.sha256 for photo in before.photos]
    expected = tuple(replace(patch, photo=renamed.get(patch.photo, patch.photo)) for patch in before.patches)
    assert without_lines(again.job).patches == expected
    assert (again.job.name, again.job.cameras) == (before.name, before.cameras)
    assert [again.load(photo.name) for photo in again.job.photos] == [b"front \x00\xff", b"other"]
    assert out.notes == ("files under another name, fit for any system: photos/Front.jpg",)


def test_the_job_packed_from_what_was_unpacked_is_the_same(sheet: Path, tmp_path: Path) -> None:
    (sheet.parent / "photos" / "Front.jpg").unlink()
    rows = [row for row in SHEET.splitlines() if "Front" not in row]
    sheet.write_text("\n".join(rows), encoding="utf-8")
    first = pack(sheet, tmp_path / "1.duskgrain", at=NOON)
    out = unpack(tmp_path / "1.duskgrain", tmp_path / "out")
    assert pack(out.sheet, tmp_path / "2.duskgrain", at=NOON) == first
    assert out.notes == ()


PATCHES = st.builds(
    lambda outline, hours, lab, words: (outline, hours, lab, words),
    OUTLINES.filter(lambda outline: outline.width >= 1),
    HOURS,
    LABS,
    st.text(st.characters(codec="utf-8", exclude_categories=["Cs", "Cc"]), max_size=8).map(str.strip),
)


@settings(max_examples=40, deadline=None)  # the disk may be busy
@given(st.lists(PATCHES, min_size=1, max_size=6, unique_by=lambda said: said[0]))
def test_any_samples_cards_and_targets_come_back_from_a_sheet(rows: list[tuple[Outline, float, object, str]]) -> None:
    photo = photo_file("oak.jpg", b"oak")
    job = edits.add_photos(Job(name="x"), [photo]).job
    job = edits.add_outline(job, "oak.jpg", Outline(x=0, y=0, width=5, height=5), Role.CARD).job
    for outline, hours, lab, words in rows:
        said = {"hours": hours, "board": words, "zone": words[::-1].strip(), "label": words, "piece": words}
        job = edits.add_outline(job, "oak.jpg", outline, Role.SAMPLE, **said).job
        job = edits.target_from_numbers(job, lab, board=words, label=words).job  # type: ignore[arg-type]  # drawn as a Lab
    with tempfile.TemporaryDirectory() as folder:
        with new_job(Path(folder) / "a.duskgrain", at=NOON, job=job, photos=[b"oak"]):
            pass
        out = unpack(Path(folder) / "a.duskgrain", Path(folder) / "out")
        back = pack(out.sheet, Path(folder) / "b.duskgrain", at=NOON)
    numbered = tuple(replace(patch, identity=number) for number, patch in enumerate(job.patches, 1))
    assert back.patches == numbered


def test_a_photo_name_that_climbs_out_is_brought_back_in(tmp_path: Path) -> None:
    job = chest()
    names = {"front.jpg": "../../up.jpg", "back.jpg": "C:\\con.jpg"}
    photos = tuple(replace(photo, name=names[photo.name]) for photo in job.photos)
    patches = tuple(replace(patch, photo=names.get(patch.photo, "")) for patch in job.patches)
    path = tmp_path / "deep" / "down" / "job.duskgrain"
    path.parent.mkdir(parents=True)
    with new_job(path, at=NOON, job=replace(job, photos=photos, patches=patches), photos=[b"front", b"back"]):
        pass
    out = unpack(path, tmp_path / "deep" / "down" / "out")
    files = sorted(
        file.relative_to(out.sheet.parent).as_posix() for file in out.sheet.parent.rglob("*") if file.is_file()
    )
    assert files == ["C/_con.jpg", "music chest.csv", "up.jpg"]
    assert sorted(path.name for path in (tmp_path / "deep").rglob("*.jpg")) == ["_con.jpg", "up.jpg"]
    assert read_sheet(out.sheet).job.photos[0].sha256 == photos[0].sha256


def test_what_a_sheet_has_no_words_for_is_said(tmp_path: Path) -> None:
    job = edits.add_photos(chest(), [photo_file("bare.jpg", b"bare")]).job
    job = edits.set_hours(edits.choose(job, confidence=0.8).job, {4: None}).job
    with new_job(tmp_path / "job.duskgrain", at=NOON, job=job, photos=[b"front", b"back", b"bare"]):
        pass
    out = unpack(tmp_path / "job.duskgrain", tmp_path / "out")
    assert (tmp_path / "out" / "bare.jpg").read_bytes() == b"bare"
    assert out.notes == (
        "photos without a row, because nothing is outlined in them: bare.jpg",
        "1 sample without hours: the sheet wants them before it can be read",
        "the choices of the fit (confidence, odds and the like) have no column in a sheet",
    )


def test_a_folder_with_something_in_it_is_refused_and_stays(tmp_path: Path) -> None:
    with new_job(tmp_path / "job.duskgrain", at=NOON, job=chest(), photos=[b"front", b"back"]):
        pass
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "mine.txt").write_text("mine", encoding="utf-8")
    with pytest.raises(InputError, match="out: expected a folder that is new or empty"):
        unpack(tmp_path / "job.duskgrain", tmp_path / "out")
    assert [path.name for path in (tmp_path / "out").iterdir()] == ["mine.txt"]


def test_a_lost_photo_leaves_no_half_folder(tmp_path: Path) -> None:
    path = tmp_path / "job.duskgrain"
    with new_job(path, at=NOON, job=chest(), photos=[b"front", b"back"]):
        pass
    with contextlib.closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute("UPDATE photos SET bytes = ? WHERE bytes = ?", (b"BACK", b"back"))
    with pytest.raises(InputError, match=r"back\.jpg: expected the photo's bytes as they came"):
        unpack(path, tmp_path / "out")
    assert [file.name for file in tmp_path.iterdir()] == [path.name]


def test_a_sheet_with_a_fault_leaves_no_job(sheet: Path, tmp_path: Path) -> None:
    shutil.copy(sheet, sheet.with_name("bad.csv"))
    bad = sheet.with_name("bad.csv")
    bad.write_text(SHEET.replace("2.5,A", "-2.5,A"), encoding="utf-8")
    with pytest.raises(InputError, match=r"bad\.csv, line 4"):
        pack(bad, tmp_path / "bad.duskgrain", at=NOON)
    assert not (tmp_path / "bad.duskgrain").exists()


def test_a_packed_job_points_at_no_lines_of_a_sheet(sheet: Path, tmp_path: Path) -> None:
    pack(sheet, tmp_path / "chest.duskgrain", at=NOON)
    with open_job(tmp_path / "chest.duskgrain") as file:
        assert all(isinstance(patch, Patch) and patch.line is None for patch in file.job.patches)
        assert file.job.patches[1].extra == (("weight", "212"),)
