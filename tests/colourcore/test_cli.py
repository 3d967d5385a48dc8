"""The command line as a person and as a program would use it."""

from __future__ import annotations

import csv
import io
import json
import subprocess
import sys
from fractions import Fraction
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

from colourcore.cli import COMMANDS, main
from colourcore.colour.spaces import WHITE_D50, WHITE_D65, XYZ_TO_SRGB, chromatic_adaptation, srgb_encode, xyz_to_lab
from colourcore.errors import InputError
from colourcore.image.chart import published_reference
from colourcore.job.files import write_whole
from colourcore.job.sheet import COLUMNS
from colourcore.report.tables import READING_KEYS
from tests.colourcore.flat_photos import flat_photo, patch_box, write_job
from tests.colourcore.test_pipeline import SAMPLES

TARGET = (48.0, 5.0, 14.7)


@pytest.fixture
def sheet(tmp_path: Path) -> Path:
    return write_job(tmp_path, SAMPLES, target=TARGET)


def said(capsys: pytest.CaptureFixture[str], *argv: str | Path) -> str:
    assert main([str(word) for word in argv]) == 0
    out, err = capsys.readouterr()
    assert err == ""
    return out


def refused(capsys: pytest.CaptureFixture[str], *argv: str | Path) -> str:
    assert main([str(word) for word in argv]) == 1
    out, err = capsys.readouterr()
    assert out == ""
    assert err.startswith("duskgrain: ")
    assert err.count("\n") == 1
    return err


def never_nan(text: str) -> dict[str, Any]:
    def fail(word: str) -> None:
        raise AssertionError(f"{word} in the JSON")

    return dict(json.loads(text, parse_constant=fail))


def test_read_prints_the_contract(sheet: Path, capsys: pytest.CaptureFixture[str]) -> None:
    found = never_nan(said(capsys, "read", sheet, "--json"))
    assert list(found) == ["photos", "readings"]
    assert found["photos"][0]["photo"] == "bench.png"
    assert found["photos"][0]["balance"]["residual_delta_e"] is None
    assert [tuple(reading) for reading in found["readings"]] == [READING_KEYS] * 8
    assert [reading["line"] for reading in found["readings"]] == list(range(2, 10))
    assert found["readings"][0]["role"] == "card"
    assert found["readings"][0]["L"] == pytest.approx(49.5, abs=1e-6)


def test_readings_written_as_csv_give_the_same_hours(sheet: Path, capsys: pytest.CaptureFixture[str]) -> None:
    table = sheet.parent / "readings.csv"
    table.write_text(said(capsys, "read", sheet, "--csv"), encoding="utf-8")
    assert next(csv.reader(io.StringIO(table.read_text()))) == list(READING_KEYS)
    assert said(capsys, "hours", table, "--json") == said(capsys, "hours", sheet, "--json")


def test_hours_prints_the_contract(sheet: Path, capsys: pytest.CaptureFixture[str]) -> None:
    found = never_nan(said(capsys, "hours", sheet, "--json"))
    (group,) = found["groups"]
    keys = "board zone n target outcome hours low high look_from p_reach extrapolated delta_e curve shape notes"
    assert list(group)[:15] == keys.split()
    assert group["outcome"] == "reached"
    assert group["low"] < group["hours"] < group["high"]
    assert group["look_from"] < group["hours"]
    curve = group["curve"]
    assert len(curve["hours"]) >= 20
    assert curve["hours"][0] == 0
    assert curve["hours"][-1] >= 24
    assert (np.diff(curve["hours"]) > 0).all()
    for band in ("L", "low", "high"):
        assert (np.diff(curve[band]) <= 0).all(), "the band never lightens"
    assert (np.diff(curve["p_past"]) >= 0).all()


def test_the_piece_has_keys_of_its_own(sheet: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (group,) = never_nan(said(capsys, "hours", sheet, "--json"))["groups"]
    piece = group["piece"]
    assert {"outcome", "p_reach", "hours", "low", "high", "look_from", "due", "p_past"} <= set(piece)
    assert len(piece["p_past"]) == len(group["curve"]["hours"])
    assert piece["look_from"] < group["look_from"], "pieces scatter more than the board's average curve"
    assert piece["look_from"] < piece["due"] < piece["hours"]
    assert piece["high"] - piece["low"] > group["high"] - group["low"]
    assert group["next_sample"]["hours"] > 0


def test_three_samples_ask_for_the_fourth(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    sheet = write_job(tmp_path, {h: SAMPLES[h] for h in (0, 6, 24)}, target=TARGET)
    (group,) = never_nan(said(capsys, "hours", sheet, "--json"))["groups"]
    assert group["outcome"] == "cannot_say"
    assert group["piece"]["outcome"] == "cannot_say"
    assert 0 < group["next_sample"]["hours"] < 24


def test_the_choices_move_what_they_name(sheet: Path, capsys: pytest.CaptureFixture[str]) -> None:
    def piece(*options: str) -> dict[str, Any]:
        return dict(never_nan(said(capsys, "hours", sheet, "--json", *options))["groups"][0]["piece"])

    usual = piece()
    assert piece("--due-odds", "0.2")["due"] < usual["due"]
    assert piece("--past-odds", "0.05")["look_from"] < usual["look_from"]
    wide = piece("--pace-spread", "0.3")
    assert wide["high"] - wide["low"] > usual["high"] - usual["low"]


FINISHED = "role,board,zone,hours,L,a,b,L_se,a_se,b_se,finish\n"


def finished_rows(pairs: int) -> str:
    bare = [f"sample,A,,{hours},{lab[0]},{lab[1]},{lab[2]},.3,.2,.2," for hours, lab in SAMPLES.items()]
    oiled = [
        f"sample,A,,{hours},{lab[0] - 6},{lab[1] + 2},{lab[2] + 5},.3,.2,.2,oil"
        for hours, lab in list(SAMPLES.items())[2 : 2 + pairs]
    ]
    return FINISHED + "\n".join([*bare, *oiled, "target,,,,42,7.0,19.7,.3,.2,.2,oil"]) + "\n"


def test_a_finished_target_is_carried_back_through_the_pairs(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "readings.csv"
    path.write_text(finished_rows(3))
    (group,) = never_nan(said(capsys, "hours", path, "--json"))["groups"]
    assert group["outcome"] == "reached"
    assert group["n"] == 6, "finished samples teach the finish and are not on the curve"
    assert group["target"]["L"] == pytest.approx(48, abs=0.3)
    assert group["finish"]["pairs"] == 3
    assert group["finish"]["target"]["L"] == 42
    bare = tmp_path / "bare.csv"
    bare.write_text(finished_rows(0).replace("target,,,,42,7.0,19.7,.3,.2,.2,oil", "target,,,,48,5,14.7,.3,.2,.2,"))
    (sure,) = never_nan(said(capsys, "hours", bare, "--json"))["groups"]
    assert group["high"] - group["low"] > sure["high"] - sure["low"], "the finish's own uncertainty is in the hours"


def test_a_finished_target_without_pairs_cannot_say(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "readings.csv"
    path.write_text(finished_rows(0))
    (group,) = never_nan(said(capsys, "hours", path, "--json"))["groups"]
    assert group["outcome"] == "cannot_say"
    assert "finished" in group["notes"][0]
    assert group["target"] is None


def test_a_shuffled_sheet_gives_the_same_bytes(sheet: Path, capsys: pytest.CaptureFixture[str]) -> None:
    before = said(capsys, "hours", sheet, "--json")
    header, *rows = sheet.read_text().splitlines()
    sheet.write_text("\n".join([header, *rows[::-1]]) + "\n")
    assert said(capsys, "hours", sheet, "--json") == before


def test_a_lightness_alone_has_no_colour_difference(sheet: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (group,) = never_nan(said(capsys, "hours", sheet, "--json", "--target-L", "50"))["groups"]
    assert group["target"] == {"L": 50.0, "a": None, "b": None}
    assert group["delta_e"] is None
    assert group["outcome"] == "reached"


def test_too_few_hours_cannot_say_and_are_no_fault(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    sheet = write_job(tmp_path, {h: SAMPLES[h] for h in (0, 6, 24)}, target=TARGET)
    (group,) = never_nan(said(capsys, "hours", sheet, "--json"))["groups"]
    assert group["outcome"] == "cannot_say"
    assert [group[key] for key in ("hours", "low", "high", "look_from", "p_reach")] == [None] * 5
    assert group["notes"]


def test_no_target_cannot_say(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (group,) = never_nan(said(capsys, "hours", write_job(tmp_path, SAMPLES), "--json"))["groups"]
    assert group["outcome"] == "cannot_say"
    assert group["target"] is None


def test_the_plain_words_carry_the_answer(sheet: Path, capsys: pytest.CaptureFixture[str]) -> None:
    words = said(capsys, "hours", sheet)
    assert "Heartwood of board A is due at 8 h" in words
    assert "Look from 7 h" in words
    assert "The samples say" in words
    assert "board" in said(capsys, "read", sheet).lower()


@pytest.mark.parametrize("damage", ["truncated", "text", "empty", "missing"])
def test_a_photo_that_is_none_is_told_in_one_sentence(
    sheet: Path, capsys: pytest.CaptureFixture[str], damage: str
) -> None:
    photo = sheet.parent / "bench.png"
    whole = photo.read_bytes()
    photo.write_bytes({"truncated": whole[: len(whole) // 2], "text": b"no picture", "empty": b""}.get(damage, b""))
    if damage == "missing":
        photo.unlink()
    assert "bench.png" in refused(capsys, "read", sheet)


@pytest.mark.parametrize(("L", "word"), [(1.0, "black"), (99.9, "clipped")])
def test_a_black_or_clipped_card_is_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], L: float, word: str
) -> None:
    light = 0.004 if L < 50 else 8.0
    sheet = write_job(tmp_path, SAMPLES, light=(light, light, light))
    assert word in refused(capsys, "read", sheet)


def test_a_clipped_sample_yields_no_number_and_is_no_fault(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    sheet = write_job(tmp_path, {**SAMPLES, 30: (110.0, 0.0, 0.0)}, target=TARGET)
    found = never_nan(said(capsys, "read", sheet, "--json"))
    clipped = next(reading for reading in found["readings"] if reading["hours"] == 30)
    assert not clipped["accepted"]
    assert clipped["L"] is None
    assert any(
        check["code"] == "clipped" and check["line"] == clipped["line"] for check in found["photos"][0]["checks"]
    )
    (group,) = never_nan(said(capsys, "hours", sheet, "--json"))["groups"]
    assert group["n"] == 6


@pytest.mark.parametrize(
    "argv",
    [
        ["hours", "x.csv", "--confidence", "1"],
        ["hours", "x.csv", "--confidence", "nan"],
        ["hours", "x.csv", "--past-odds", "0"],
        ["hours", "x.csv", "--due-odds", "1.2"],
        ["hours", "x.csv", "--pace-spread", "-0.1"],
        ["hours", "x.csv", "--tolerance", "0"],
        ["hours", "x.csv", "--target-L", "101"],
        ["hours", "x.csv", "--target-lab", "50,1"],
        ["hours", "x.csv", "--target-L", "50", "--target-lab", "50,1,1"],
        ["read"],
        ["read", "x.csv", "--json", "--csv"],
        ["report", "x.csv"],
        ["report", "x.csv", "-o", "report.docx"],
        ["pack", "x.csv", "-o", "x.zip"],
        ["nonsense"],
    ],
)
def test_wrong_usage_ends_with_2(argv: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as caught:
        main(argv)
    assert caught.value.code == 2
    assert capsys.readouterr().out == ""


@pytest.mark.parametrize("ending", [".pdf", ".html", ".csv", ".json"])
def test_a_report_is_written_whole(sheet: Path, capsys: pytest.CaptureFixture[str], ending: str) -> None:
    path = sheet.parent / f"report{ending}"
    said(capsys, "report", sheet, "-o", path)
    assert path.stat().st_size > 200
    assert not list(sheet.parent.glob(".report*")), "nothing half-written stays behind"
    if ending == ".json":
        found = never_nan(path.read_text("utf-8"))
        assert list(found) == ["job", "photos", "readings", "confidence", "groups", "together", "notes"]
    if ending == ".csv":
        (row,) = csv.DictReader(io.StringIO(path.read_text("utf-8")))
        assert row["outcome"] == "reached"


def test_a_report_that_fails_leaves_the_old_one(sheet: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = sheet.parent / "report.json"
    path.write_text("the old one")
    (sheet.parent / "bench.png").write_bytes(b"no picture")
    refused(capsys, "report", sheet, "-o", path)
    assert path.read_text() == "the old one"


def test_a_file_is_written_whole_or_the_folder_is_named(tmp_path: Path) -> None:
    write_whole(tmp_path / "x.txt", b"whole")
    assert (tmp_path / "x.txt").read_bytes() == b"whole"
    with pytest.raises(InputError, match="expected a folder to write in"):
        write_whole(tmp_path / "gone" / "x.txt", b"whole")


def test_a_job_file_takes_the_place_of_its_sheet(sheet: Path, capsys: pytest.CaptureFixture[str]) -> None:
    job = sheet.parent / "chest.duskgrain"
    assert "1 photos and 8 outlines" in said(capsys, "pack", sheet, "-o", job)
    assert "all whole" in said(capsys, "check", job)
    assert said(capsys, "hours", job, "--json") == said(capsys, "hours", sheet, "--json")
    report = sheet.parent / "report.json"
    said(capsys, "report", job, "-o", report)
    folder = sheet.parent / "out"
    said(capsys, "unpack", job, "-o", folder)
    assert (folder / "bench.png").read_bytes() == (sheet.parent / "bench.png").read_bytes()
    assert said(capsys, "hours", folder / "chest.csv", "--json") == said(capsys, "hours", sheet, "--json")


def test_a_damaged_job_is_told_and_nothing_is_written_over(sheet: Path, capsys: pytest.CaptureFixture[str]) -> None:
    job = sheet.parent / "chest.duskgrain"
    said(capsys, "pack", sheet, "-o", job)
    assert "chest.duskgrain" in refused(capsys, "pack", sheet, "-o", job)
    whole = job.read_bytes()
    job.write_bytes(whole[: len(whole) // 3])
    assert "chest.duskgrain" in refused(capsys, "check", job)


def exposures(folder: Path, count: int = 5, *, timed: bool = True) -> Path:
    rows = [",".join(COLUMNS)]
    for number in range(count):
        seconds = Fraction(2**number, 480)
        light = float(seconds * 120)
        photo = flat_photo([], light=(light, light, light), contrast=1.3, seconds=seconds if timed else None)
        (folder / f"card-{number}.png").write_bytes(photo)
        rows.append(f"card-{number}.png,card,{patch_box(0)},,,,,,,")
    path = folder / "card.csv"
    path.write_text("\n".join(rows) + "\n")
    return path


def test_a_cameras_own_curve_is_found_and_used(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    curve = tmp_path / "box.json"
    assert "box camera" in said(capsys, "camera", exposures(tmp_path), "-o", curve)
    (tmp_path / "bench.png").write_bytes(flat_photo(list(SAMPLES.values()), contrast=1.3))
    rows = [",".join(COLUMNS), f"bench.png,card,{patch_box(0)},,,,,,,"]
    rows += [f"bench.png,sample,{patch_box(n)},{h},A,,,,," for n, h in enumerate(SAMPLES, 1)]
    sheet = tmp_path / "bench.csv"
    sheet.write_text("\n".join(rows) + "\n")

    def worst(*options: str) -> float:
        found = never_nan(said(capsys, "read", sheet, "--json", *options))["readings"]
        read = [row["L"] for row in found if row["role"] == "sample"]
        return float(np.abs(np.subtract(read, [lab[0] for lab in SAMPLES.values()])).max())

    assert worst() > 3, "one grey card cannot see the curve"
    assert worst("--camera", str(curve)) < 1
    named = [",".join((*COLUMNS, "camera")), *(f"{row},box.json" for row in rows[1:])]
    sheet.write_text("\n".join(named) + "\n")
    assert worst() < 1, "the sheet names the curve"


def test_photos_without_shutter_times_tell_no_curve(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    sentence = refused(capsys, "camera", exposures(tmp_path, timed=False), "-o", tmp_path / "box.json")
    assert "shutter" in sentence or "exposure" in sentence
    assert not (tmp_path / "box.json").exists()


def test_codes_declared_linear_are_taken_so(sheet: Path, capsys: pytest.CaptureFixture[str]) -> None:
    usual = never_nan(said(capsys, "read", sheet, "--json"))["readings"][1]["L"]
    linear = never_nan(said(capsys, "read", sheet, "--json", "--linear"))["readings"][1]["L"]
    assert linear < usual - 3, "a light sample is nearer to the card in codes than in light"


def test_a_relative_reading_withholds_its_colour_and_gives_the_same_hours(
    sheet: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    sheet.write_text(sheet.read_text().replace(",card,", ",neutral,"))
    found = never_nan(said(capsys, "read", sheet, "--json"))["readings"][1]
    assert [found[name] for name in "Lab"] == [None] * 3
    assert found["absolute"] is False
    assert found["L_relative"] > 0
    table = sheet.parent / "readings.csv"
    table.write_text(said(capsys, "read", sheet, "--csv"), encoding="utf-8")
    assert said(capsys, "hours", table, "--json") == said(capsys, "hours", sheet, "--json")


def test_unlike_ages_are_named(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "bench.png").write_bytes(flat_photo(list(SAMPLES.values()), taken="2026:03:06 09:30:00"))
    rows = [",".join((*COLUMNS, "drawn")), f"bench.png,card,{patch_box(0)},,,,,,,,"]
    for number, hours in enumerate(SAMPLES, 1):
        drawn = "2026-03-06 08:30" if number < 3 else "2026-03-04 09:30"
        rows.append(f"bench.png,sample,{patch_box(number)},{hours},A,,,,,,{drawn}")
    sheet = tmp_path / "bench.csv"
    sheet.write_text("\n".join(rows) + "\n")
    found = never_nan(said(capsys, "read", sheet, "--json"))["readings"]
    assert [row["age_hours"] for row in found[1:4]] == [1, 1, 48]
    (group,) = never_nan(said(capsys, "hours", sheet, "--json", "--target-L", "48"))["groups"]
    assert any("1 to 48 hours after they were drawn" in note for note in group["notes"])


def test_a_damaged_job_goes_on_in_a_clean_copy(sheet: Path, capsys: pytest.CaptureFixture[str]) -> None:
    job, copy = sheet.parent / "chest.duskgrain", sheet.parent / "again.duskgrain"
    said(capsys, "pack", sheet, "-o", job)
    content = bytearray(job.read_bytes())
    spot = content.find((sheet.parent / "bench.png").read_bytes()[2000:2040])
    assert spot > 0
    content[spot : spot + 40] = bytes(40)
    job.write_bytes(content)
    assert "bench.png" in refused(capsys, "check", job) or "photo" in refused(capsys, "check", job)
    assert "again.duskgrain" in said(capsys, "check", job, "--clean-copy", copy)
    assert copy.exists()


def test_a_chart_may_bring_its_own_reference_values(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    under_d50 = chromatic_adaptation(WHITE_D65, WHITE_D50)
    labs = xyz_to_lab(published_reference().xyz @ under_d50.T, WHITE_D50)
    codes = 255 * srgb_encode(np.clip(published_reference().xyz @ XYZ_TO_SRGB.T, 0, 1)).reshape(4, 6, 3)
    picture = np.kron(codes, np.ones((80, 80, 1))) + np.random.default_rng(1).normal(0, 0.5, (320, 480, 3))
    Image.fromarray(np.clip(picture + 0.5, 0, 255).astype(np.uint8)).save(tmp_path / "chart.png")
    corners = "40 40 440 40 440 280 40 280"
    rows = [",".join((*COLUMNS, "corners")), f"chart.png,chart,40,40,400,240,,,,,,,,{corners}"]
    sheet = tmp_path / "chart.csv"
    sheet.write_text("\n".join([*rows, "chart.png,target,260,260,40,40,,,,,,,,"]) + "\n")
    own = tmp_path / "mine.csv"
    own.write_text("L,a,b\n" + "\n".join(f"{lab[0] - 2},{lab[1]},{lab[2]}" for lab in labs) + "\n")

    def lightness(*options: str) -> float:
        return float(never_nan(said(capsys, "read", sheet, "--json", *options))["readings"][-1]["L"])

    assert lightness("--chart", str(own)) == pytest.approx(lightness() - 2, abs=0.5)
    own.write_text("L,a,b\n1,2,3\n")
    assert "24 rows" in refused(capsys, "read", sheet, "--chart", own)


READINGS = "role,board,zone,hours,L,a,b\n"


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("role,board,zone,hours,L,a\n", "got no b"),
        (READINGS, "expected at least one row"),
        (READINGS + "sample,A,,x,60,5,5\n", "line 2: expected a number for hours"),
        (READINGS + "sample,A,,,60,5,5\n", "line 2: expected the hours of this sample"),
        (READINGS + "sample,A,,4,160,5,5\n", "line 2: expected L from 0 to 100"),
        (READINGS + "sample,A,,4,nan,5,5\n", "line 2: expected a number for L"),
        (READINGS + "plank,A,,4,60,5,5\n", "line 2: expected a role"),
        (READINGS.replace("b\n", "b,L_se\n") + "sample,A,,4,60,5,5,-1\n", "line 2: expected L_se"),
        (READINGS.replace("b\n", "b,accepted\n") + "sample,A,,4,60,5,5,perhaps\n", "line 2: expected accepted"),
    ],
)
def test_bad_readings_are_told_with_file_and_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], text: str, expected: str
) -> None:
    path = tmp_path / "readings.csv"
    path.write_text(text)
    sentence = refused(capsys, "hours", path)
    assert "readings.csv" in sentence
    assert expected in sentence


def test_a_row_not_accepted_needs_no_numbers(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "readings.csv"
    rows = [f"sample,A,,{hours},{lab[0]},,,true" for hours, lab in SAMPLES.items()]
    path.write_text(READINGS.replace("b\n", "b,accepted\n") + "\n".join([*rows, "sample,A,,9,,,,false"]) + "\n")
    (group,) = never_nan(said(capsys, "hours", path, "--json", "--target-L", "48"))["groups"]
    assert group["n"] == 6
    assert group["outcome"] == "reached"


def test_every_command_is_known_and_documented() -> None:
    help_text = subprocess.run(
        [sys.executable, "-c", "from colourcore.cli import main; main(['--help'])"],
        capture_output=True,
        text=True,
        check=False,
    ).stdout
    page = (Path(__file__).parents[2] / "docs" / "command_line.md").read_text("utf-8")
    for command in COMMANDS:
        assert command in help_text
        assert f"duskgrain {command}" in page
    for key in READING_KEYS:
        assert key in page
