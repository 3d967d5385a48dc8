"""The committed example job against what is true of it."""

import ast
import csv
import io
import json
import re
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image, ImageOps

from colourcore.job.sheet import read_sheet
from colourcore.pipeline import Results, compute
from tests.simulation.camera import delta_e_2000
from tests.simulation.coverage import Answered, holds
from tests.simulation.example import FIRST_SEED, SHEET_HEADER, SHEET_NAME, render_job

FOLDER = Path(__file__).resolve().parents[2] / "sample_images"
LARGEST_MEAN_DIFFERENCE = 0.2  # ΔE00, readings against the script's own balance without noise, texture, compression
THE_WORLD = ["bench", "camera", "chest", "example", "layout", "lettering", "noise", "scene", "spectra", "truth", "wood"]


@pytest.fixture(scope="module")
def truth() -> dict[str, Any]:
    return dict(json.loads((FOLDER / "truth.json").read_text("utf-8")))


@pytest.fixture(scope="module")
def results() -> Results:
    sheet = read_sheet(FOLDER / SHEET_NAME)
    return compute(sheet.job, sheet.load)


def test_the_readings_are_within_two_tenths_of_a_picture_without_noise_texture_or_compression(
    truth: dict[str, Any], results: Results
) -> None:
    true = {row["label"]: row for row in truth["readings"]}
    read = {row.label: row.reading for row in results.readings if row.label in true}
    assert set(read) == set(true)
    assert all(reading is not None for reading in read.values()), "no patch of the example is refused"
    difference = delta_e_2000(
        np.array([reading.lab for reading in read.values() if reading is not None]),
        np.array([[true[label]["balanced"][axis] for axis in "Lab"] for label in read]),
    )
    print(f"\nmean ΔE00 of {len(read)} readings {difference.mean():.3f}, largest {difference.max():.3f}; ", end="")
    print(f"metameric floor of lamp and camera {truth['metameric_floor']['mean_delta_e_2000']:.3f}")
    assert difference.mean() <= LARGEST_MEAN_DIFFERENCE


def test_the_intervals_hold_the_true_hours_and_every_outcome_is_right(truth: dict[str, Any], results: Results) -> None:
    groups = {(group["board"], group["zone"]): group for group in truth["groups"]}
    assert [(group.board, group.zone) for group in results.groups] == sorted(groups)
    for group in results.groups:
        true, answer = groups[group.board, group.zone], group.answer
        print(f"\n{group.name}: true {true['hours']}, said {answer.hours}, from {answer.low} to {answer.high}", end="")
        assert str(answer.outcome) == true["outcome"]
        if answer.low is not None:
            assert answer.low <= true["hours"] <= (np.inf if answer.high is None else answer.high)


def test_the_script_still_says_what_was_committed_as_true(truth: dict[str, Any]) -> None:
    now = render_job(FIRST_SEED, small=True).truth
    for before, after in zip(truth["groups"], now["groups"], strict=True):
        assert before["outcome"] == after["outcome"]
        assert (before["hours"] or np.inf) == pytest.approx(after["hours"] or np.inf, rel=1e-3)
    for before, after in zip(truth["readings"], now["readings"], strict=True):
        assert before["label"] == after["label"]
        assert before["spectral"] == pytest.approx(after["spectral"], abs=1e-3)
        assert before["balanced_even_light"] == pytest.approx(after["balanced_even_light"], abs=1e-3)


def test_the_committed_outlines_lie_where_the_script_lays_things_today() -> None:
    small = list(csv.DictReader(io.StringIO(render_job(FIRST_SEED, small=True).sheet)))
    full = list(csv.DictReader(io.StringIO((FOLDER / SHEET_NAME).read_text("utf-8"))))
    for before, after in zip(full, small, strict=True):
        assert before["label"] == after["label"]
        for name in ("x", "y", "width", "height"):
            assert int(before[name]) == pytest.approx(10 * int(after[name]), abs=30)


def test_the_same_seed_gives_the_same_bytes_and_another_seed_other_wood() -> None:
    first, again, other = (render_job(seed, small=True) for seed in (5, 5, 6))
    assert first == again
    assert first.truth["groups"] != other.truth["groups"]


def test_the_photos_are_large_and_together_small_enough_to_carry() -> None:
    with (FOLDER / SHEET_NAME).open(encoding="utf-8", newline="") as stream:
        photos = {row["photo"] for row in csv.DictReader(stream)}
    assert {path.name for path in FOLDER.glob("*.jpg")} == photos
    assert sum((FOLDER / photo).stat().st_size for photo in photos) < 25_000_000
    for photo in photos:
        with Image.open(FOLDER / photo) as picture:
            assert picture.width * picture.height >= 12_000_000


def test_one_photo_lies_on_its_side_and_its_outlines_hold_upright() -> None:
    rows = list(csv.DictReader(io.StringIO((FOLDER / SHEET_NAME).read_text("utf-8"))))
    with Image.open(FOLDER / "settle_arm.jpg") as picture:
        assert picture.width > picture.height
        upright = ImageOps.exif_transpose(picture)
    assert upright.width < upright.height
    card = next(row for row in rows if row["photo"] == "settle_arm.jpg" and row["role"] == "card")
    left, top, width, height = (int(card[name]) for name in ("x", "y", "width", "height"))
    seen = np.asarray(upright)[top : top + height, left : left + width].reshape(-1, 3)
    assert np.ptp(seen.mean(axis=0)) < 12, "the card is grey"
    assert seen.std(axis=0).max() < 5, "and nothing else lies in its outline"


def test_the_sheet_has_the_columns_that_were_promised() -> None:
    promised = "photo,role,x,y,width,height,hours,board,zone,label,L,a,b"
    assert promised == SHEET_HEADER
    assert (FOLDER / SHEET_NAME).read_text("utf-8").splitlines()[0] == promised


def test_the_readme_beside_the_photos_tells_the_hours_that_are_true(truth: dict[str, Any]) -> None:
    text = (FOLDER / "README.md").read_text("utf-8")
    told = re.findall(r"^\| ([AB]) \| (\w+) \| (\S+) \| (\S+) \|$", text, flags=re.MULTILINE)
    assert told == [
        (
            group["board"],
            group["zone"],
            "never" if group["hours"] is None else f"{group['hours']:.2f}",
            f"{group['limit_L']:.1f}",
        )
        for group in truth["groups"]
    ]
    target, floor = truth["target"], truth["metameric_floor"]
    assert rf"L\* {target['L']:.1f}, a\* {target['a']:.1f}, b\* {target['b']:.1f}" in text
    assert f"ΔE00 {floor['mean_delta_e_2000']:.2f} on average and {floor['largest_delta_e_2000']:.2f} at most" in text


def test_both_heartwoods_reach_the_target_well_within_their_change(truth: dict[str, Any]) -> None:
    shares = [group["share_of_change"] for group in truth["groups"] if group["zone"] == "heartwood"]
    assert all(0.25 <= share <= 0.9 for share in shares)


@pytest.mark.parametrize("module", THE_WORLD)
def test_the_simulated_world_knows_nothing_of_the_program_that_reads_it(module: str) -> None:
    tree = ast.parse((Path(__file__).parent / f"{module}.py").read_text("utf-8"))
    imported = {alias.name for node in ast.walk(tree) if isinstance(node, ast.Import) for alias in node.names}
    imported |= {node.module or "" for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)}
    assert not [name for name in imported if name.split(".")[0] in {"app", "colourcore"}]
    ours = {name.removeprefix("tests.simulation.") for name in imported if name.startswith("tests.")}
    assert ours <= set(THE_WORLD), "what it imports is of the world too"


def _said(low: float | None, high: float, true_hours: float) -> Answered:
    return Answered(
        seed=1,
        group="A heartwood",
        true_hours=true_hours,
        true_outcome="reached",
        law="first",
        outcome="reached",
        hours=low,
        low=low,
        high=high,
        look_from=low,
        scatter_rendered=0.5,
        scatter_found=0.5,
    )


def test_an_open_interval_holds_hours_that_never_come_and_a_closed_one_does_not() -> None:
    assert holds(_said(8.0, np.inf, np.inf))
    assert not holds(_said(8.0, 12.0, np.inf))
    assert not holds(_said(8.0, 12.0, 7.9))
    assert holds(_said(None, np.inf, 9.0)) is None
