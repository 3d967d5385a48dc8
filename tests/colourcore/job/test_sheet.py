"""What a sheet may say, and what is answered when it says something else."""

from __future__ import annotations

import dataclasses
import itertools
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from colourcore.errors import InputError
from colourcore.image.pixels import Outline
from colourcore.job.model import GREY_CARD_LAB, Job, Patch, Role
from colourcore.job.sheet import COLUMNS, is_sheet, read_sheet, read_table, sheet_text

HEADER = ",".join(COLUMNS)
CARD = "bench.jpg,card,10,10,50,50,,,,,,,"
SAMPLE = "bench.jpg,sample,100,10,50,50,4,A,heartwood,,,,"


def written(folder: Path, *rows: str, header: str = HEADER) -> Path:
    (folder / "bench.jpg").write_bytes(b"any bytes: the sheet does not look inside")
    path = folder / "chest.csv"
    path.write_text("\n".join([header, *rows]) + "\n", encoding="utf-8")
    return path


def complaint(folder: Path, *rows: str, header: str = HEADER) -> str:
    with pytest.raises(InputError) as caught:
        read_sheet(written(folder, *rows, header=header))
    return str(caught.value)


def test_a_sheet_becomes_a_job(tmp_path: Path) -> None:
    sheet = read_sheet(written(tmp_path, CARD, SAMPLE))
    card, sample = sheet.job.patches
    assert card.role is Role.CARD
    assert card.lab == GREY_CARD_LAB
    assert sample.hours == 4
    assert (sample.board, sample.zone) == ("A", "heartwood")
    assert sample.outline == Outline(x=100, y=10, width=50, height=50)
    assert sample.line == 3
    assert sheet.load("bench.jpg").startswith(b"any bytes")


def test_a_byte_order_mark_and_windows_line_ends_do_no_harm(tmp_path: Path) -> None:
    path = written(tmp_path, CARD, SAMPLE)
    path.write_bytes(b"\xef\xbb\xbf" + path.read_bytes().replace(b"\n", b"\r\n"))
    assert len(read_sheet(path).job.patches) == 2


def test_unknown_columns_are_kept(tmp_path: Path) -> None:
    path = written(tmp_path, CARD + ",oak tray", SAMPLE + ",left", header=HEADER + ",where it lay")
    job = read_sheet(path).job
    assert job.patches[0].extra == (("where it lay", "oak tray"),)
    assert "where it lay" in sheet_text(job).splitlines()[0]


def test_values_stated_under_d50_are_converted_on_entry(tmp_path: Path) -> None:
    path = written(tmp_path, "bench.jpg,card,1,1,9,9,,,,,60,0,0,D50", header=HEADER + ",light")
    lightness, a, b = read_sheet(path).job.patches[0].lab or (None, None, None)
    # a neutral stays neutral: the white of D50 is carried to the white of D65
    assert lightness == pytest.approx(60, abs=1e-3)
    assert a == pytest.approx(0, abs=1e-3)
    assert b == pytest.approx(0, abs=1e-3)


def test_a_target_may_be_numbers_alone(tmp_path: Path) -> None:
    job = read_sheet(written(tmp_path, CARD, SAMPLE, ",target,,,,,,A,,settle,48,,")).job
    assert job.patches[2].lab == (48.0, None, None)


@pytest.mark.parametrize(
    ("row", "expected"),
    [
        ("bench.jpg,sample,100,10,50,50,-2,A,,,,,", "expected hours of 0 or more, got -2"),
        ("bench.jpg,sample,100,10,50,50,,A,,,,,", "expected the hours of this sample"),
        ("bench.jpg,sample,100,10,50,50,nan,A,,,,,", "expected a number for hours, got 'nan'"),
        ("bench.jpg,sample,100,10,50,50,4 h,A,,,,,", "expected a number for hours, got '4 h'"),
        ("bench.jpg,sample,100,10,,50,4,A,,,,,", "expected a number for width"),
        ("bench.jpg,sample,100,10,0,50,4,A,,,,,", "expected width of 1 or more, got 0"),
        ("bench.jpg,sample,,,,,4,A,,,,,", "expected x, y, width and height of this sample"),
        ("bench.jpg,swatch,100,10,50,50,4,A,,,,,", "expected a role out of card, sample"),
        ("bench.jpg,card,100,10,50,50,,,,,101,0,0", "expected L from 0 to 100, got 101"),
        ("bench.jpg,card,100,10,50,50,,,,,inf,0,0", "expected a number for L, got 'inf'"),
        ("bench.jpg,card,100,10,50,50,,,,,50,0,", "expected both a and b"),
        ("other.jpg,card,100,10,50,50,,,,,,,", "expected the photo other.jpg beside the sheet, got no such file"),
        ("../bench.jpg,card,100,10,50,50,,,,,,,", "expected a photo inside the sheet's folder, got ../bench.jpg"),
        ("/etc/hosts,card,100,10,50,50,,,,,,,", "expected a photo inside the sheet's folder"),
        ("C:\\wood.jpg,card,100,10,50,50,,,,,,,", "expected a photo inside the sheet's folder"),
        (",sample,100,10,50,50,4,A,,,,,", "expected the photo of this sample, got an empty cell"),
        (",target,,,,,,A,,,,,", "expected a target with a photo and an outline"),
        ("bench.jpg,sample,100,10,50,50,4,A,,,,,,,,extra", "expected at most 13 cells"),
        (SAMPLE, "expected each sample once, got the same photo and outline as line 3"),
    ],
)
def test_a_bad_row_is_told_with_file_and_line(tmp_path: Path, row: str, expected: str) -> None:
    sentence = complaint(tmp_path, CARD, SAMPLE, row)
    assert sentence.startswith("chest.csv, line 4: ")
    assert expected in sentence
    assert sentence.endswith(".")
    assert sentence.count("\n") == 0


def test_a_photo_without_a_card_is_told_at_its_first_sample(tmp_path: Path) -> None:
    assert complaint(tmp_path, SAMPLE) == (
        "chest.csv, line 2: expected a card row for bench.jpg, got board A, heartwood without one."
    )


def test_a_link_that_leaves_the_folder_is_refused(tmp_path: Path) -> None:
    outside = tmp_path / "outside.jpg"
    outside.write_bytes(b"bytes")
    folder = tmp_path / "job"
    folder.mkdir()
    (folder / "link.jpg").symlink_to(outside)
    assert "inside the sheet's folder" in complaint(folder, CARD.replace("bench.jpg", "link.jpg"))


@pytest.mark.parametrize(
    ("content", "expected"),
    [
        (b"", "expected a header row, got an empty file"),
        (b"\xff\xfe\x00bytes", "expected CSV text in UTF-8"),
        (HEADER.encode() + b"\n", "expected at least one row"),
        (b"photo,role,x,y,width,height,hours,board,zone,label,L,a\nx", "got no b"),
        (b"photo,photo\nx,y\n", "expected each column once, got photo twice"),
    ],
)
def test_a_file_that_is_no_sheet_is_told_so(tmp_path: Path, content: bytes, expected: str) -> None:
    path = tmp_path / "chest.csv"
    path.write_bytes(content)
    with pytest.raises(InputError, match=expected):
        read_sheet(path)


def test_a_missing_sheet_is_told_so(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"gone\.csv: expected a CSV file, got No such file"):
        read_sheet(tmp_path / "gone.csv")


def test_a_header_tells_sheet_from_readings() -> None:
    assert is_sheet(COLUMNS)
    assert not is_sheet(["role", "board", "zone", "hours", "L", "a", "b", "photo"])


texts = st.text(st.characters(blacklist_categories=("Cs", "Cc")), max_size=12).map(str.strip)
numbers = st.floats(0, 5000).map(lambda value: round(value, 3))


@st.composite
def sheets(draw: st.DrawFn) -> Job:
    counter = itertools.count(2)
    card = Patch(
        identity=1, photo="bench.jpg", role=Role.CARD, outline=Outline(x=0, y=0, width=9, height=9), lab=GREY_CARD_LAB
    )
    samples = [
        Patch(
            identity=number,
            photo="bench.jpg",
            role=Role.SAMPLE,
            outline=Outline(x=float(number), y=draw(numbers), width=draw(numbers) + 1, height=draw(numbers) + 1),
            hours=draw(numbers),
            board=draw(texts),
            zone=draw(texts),
            label=draw(texts),
            set_aside=draw(texts),
            piece=draw(texts),
            finish=draw(texts),
        )
        for number in itertools.islice(counter, draw(st.integers(0, 5)))
    ]
    return Job(patches=(card, *samples))


@given(sheets())
def test_what_a_sheet_says_comes_back_from_its_own_text(tmp_path_factory: pytest.TempPathFactory, job: Job) -> None:
    folder = tmp_path_factory.mktemp("sheet")
    path = written(folder)
    path.write_text(sheet_text(job), encoding="utf-8", newline="")
    back = read_sheet(path).job
    assert [dataclasses.replace(patch, line=None) for patch in back.patches] == list(job.patches)
    assert read_table(path)[0][:13] == list(COLUMNS)
