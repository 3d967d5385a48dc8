"""From job to results: what is read, what is fitted, which target counts."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import cv2
import numpy as np
import pytest

from colourcore.colour.reading import Reading
from colourcore.colour.spaces import srgb_decode, srgb_encode
from colourcore.curve.hours import Outcome
from colourcore.errors import Cancelled, InputError
from colourcore.image.develop import Photo
from colourcore.job.model import Choices, Role
from colourcore.job.sheet import COLUMNS, read_sheet
from colourcore.pipeline import Measured, PatchReading, answer, compute, read_job
from tests.colourcore.flat_photos import flat_photo, patch_box, write_job

# an invented board, darkening as 38 + 30·exp(−t/8), with a* and b* along
SAMPLES = {h: (38 + 30 * np.exp(-h / 8), 4 + 3 * np.exp(-h / 8), 12 + 8 * np.exp(-h / 8)) for h in (0, 1, 3, 6, 12, 24)}


def row(role: Role, lightness: float, hours: float | None = None, board: str = "", zone: str = "") -> PatchReading:
    return PatchReading(role=role, board=board, zone=zone, hours=hours, reading=Reading(lab=(lightness, 5.0, 15.0)))


def samples(board: str = "A", zone: str = "heartwood") -> list[PatchReading]:
    return [row(Role.SAMPLE, lab[0], hours, board, zone) for hours, lab in SAMPLES.items()]


def test_readings_come_out_as_the_colours_that_were_put_in(tmp_path: Path) -> None:
    sheet = read_sheet(write_job(tmp_path, SAMPLES, target=(48.0, 5.0, 14.5)))
    results = compute(sheet.job, sheet.load)
    read = [row.reading.lab for row in results.readings if row.role is Role.SAMPLE and row.reading]
    np.testing.assert_allclose(read, list(SAMPLES.values()), atol=0.25)


def test_a_tinted_weaker_light_is_taken_out_by_the_card(tmp_path: Path) -> None:
    sheet = read_sheet(write_job(tmp_path, SAMPLES, light=(0.8, 0.7, 0.5)))
    results = compute(sheet.job, sheet.load)
    read = [row.reading.lab for row in results.readings if row.role is Role.SAMPLE and row.reading]
    np.testing.assert_allclose(np.array(read)[:, 0], [lab[0] for lab in SAMPLES.values()], atol=0.5)


def test_the_hours_of_a_known_curve_are_found(tmp_path: Path) -> None:
    sheet = read_sheet(write_job(tmp_path, SAMPLES, target=(48.0, 5.0, 14.7)))
    (group,) = compute(sheet.job, sheet.load).groups
    assert group.n == 6
    assert group.answer.outcome is Outcome.REACHED
    truth = 8 * np.log(30 / 10)
    assert group.answer.hours == pytest.approx(truth, rel=0.08)
    assert group.answer.low < truth < group.answer.high


def test_what_was_measured_is_not_measured_again(tmp_path: Path) -> None:
    sheet = read_sheet(write_job(tmp_path, SAMPLES))
    kept, opened = Measured(), []
    first = read_job(sheet.job, sheet.load, measured=kept, opened=opened.append)

    def never(name: str) -> bytes:
        raise AssertionError(f"{name} was asked for again")

    again = read_job(sheet.job, never, measured=kept)
    assert len(opened) == 1
    assert isinstance(opened[0], Photo)
    assert [r.reading for r in first[0].readings] == [r.reading for r in again[0].readings]
    moved = replace(sheet.job.patches[1], outline=replace(sheet.job.patches[1].outline, x=71.0))
    job = replace(sheet.job, patches=(sheet.job.patches[0], moved))
    with pytest.raises(AssertionError, match="asked for again"):
        read_job(job, never, measured=kept)


def test_reading_can_be_stopped_between_photos(tmp_path: Path) -> None:
    sheet = read_sheet(write_job(tmp_path, SAMPLES))

    def stop(*_: object) -> None:
        raise Cancelled

    with pytest.raises(Cancelled):
        read_job(sheet.job, sheet.load, progress=stop)


def test_a_patch_outside_the_photo_is_told_with_photo_and_line(tmp_path: Path) -> None:
    path = write_job(tmp_path, SAMPLES)
    path.write_text(path.read_text() + "bench.png,sample,400,10,40,400,30,A,heartwood,,,,\n")
    sheet = read_sheet(path)
    with pytest.raises(InputError, match=r"bench\.png, line 9: expected a patch inside the photo"):
        read_job(sheet.job, sheet.load)


def test_a_sample_set_aside_is_read_and_not_fitted(tmp_path: Path) -> None:
    sheet = read_sheet(write_job(tmp_path, SAMPLES, target=(48.0, 5.0, 14.7)))
    patches = tuple(replace(p, set_aside="pencil line") if p.hours == 6 else p for p in sheet.job.patches)
    results = compute(replace(sheet.job, patches=patches), sheet.load)
    aside = next(r for r in results.readings if r.hours == 6)
    assert aside.reading is not None
    assert not aside.accepted
    assert results.groups[0].n == 5


TARGETS: list[tuple[str, Callable[[], list[PatchReading]], float]] = [
    ("the one for board and zone", lambda: [row(Role.TARGET, 50), row(Role.TARGET, 46, None, "A", "heartwood")], 46),
    ("the one for the board", lambda: [row(Role.TARGET, 50), row(Role.TARGET, 46, None, "A")], 46),
    ("the one for all", lambda: [row(Role.TARGET, 50), row(Role.TARGET, 46, None, "B")], 50),
    ("the mean of equals", lambda: [row(Role.TARGET, 50), row(Role.TARGET, 46)], 48),
]


@pytest.mark.parametrize(("_", "targets", "expected"), TARGETS, ids=[case[0] for case in TARGETS])
def test_the_most_specific_target_counts(_: str, targets: Callable[[], list[PatchReading]], expected: float) -> None:
    (group,) = answer([*samples(), *targets()], Choices())
    assert group.target is not None
    assert group.target.L == expected


def test_numbers_given_replace_every_target() -> None:
    (group,) = answer([*samples(), row(Role.TARGET, 50)], Choices(), target=(45.0, None, None))
    assert group.target is not None
    assert (group.target.L, group.target.a) == (45.0, None)
    assert group.answer.delta_e is None


def test_groups_stand_sorted_and_each_on_its_own() -> None:
    target = row(Role.TARGET, 48)
    rows = [*samples("B", "sapwood"), *samples("A", "sapwood"), *samples("A", "heartwood"), target]
    groups = answer(rows, Choices())
    assert [(g.board, g.zone) for g in groups] == [("A", "heartwood"), ("A", "sapwood"), ("B", "sapwood")]
    alone = answer([*samples("A", "sapwood"), target], Choices())
    assert groups[1].answer == alone[0].answer


def test_the_order_of_rows_changes_nothing() -> None:
    rows = [*samples(), row(Role.TARGET, 48.1), row(Role.TARGET, 47.3), row(Role.TARGET, 46.9)]
    assert answer(rows, Choices())[0].answer == answer(rows[::-1], Choices())[0].answer


def test_a_target_from_the_same_set_up_shares_the_samples_errors(tmp_path: Path) -> None:
    sheet = read_sheet(write_job(tmp_path, SAMPLES, target=(48.0, 5.0, 14.7)))
    (here,) = compute(sheet.job, sheet.load).groups
    (elsewhere,) = answer(compute(sheet.job, sheet.load).readings, Choices(), target=(48.0, 5.0, 14.7))
    assert here.answer.high - here.answer.low < elsewhere.answer.high - elsewhere.answer.low


def test_the_curve_goes_through_the_samples_whatever_the_camera_does(tmp_path: Path) -> None:
    sheet = read_sheet(write_job(tmp_path, SAMPLES, target=(48.0, 5.0, 14.7)))
    curve = compute(sheet.job, sheet.load).groups[0].answer.curve
    fitted = np.interp(list(SAMPLES), curve.hours, curve.L)
    np.testing.assert_allclose(fitted, [lab[0] for lab in SAMPLES.values()], atol=0.6)


def neutral_job(folder: Path, *extra: str) -> Path:
    path = write_job(folder, SAMPLES, target=(48.0, 5.0, 14.7))
    rows = [row.replace(",card,", ",neutral,") for row in path.read_text().splitlines()]
    path.write_text("\n".join([*rows, *extra]) + "\n")
    return path


def test_a_neutral_of_unknown_lightness_gives_hours_and_withholds_colour(tmp_path: Path) -> None:
    sheet = read_sheet(neutral_job(tmp_path))
    results = compute(sheet.job, sheet.load)
    assert not any(row.absolute for row in results.readings)
    assert results.groups[0].answer.hours == pytest.approx(8 * np.log(3), rel=0.1)


def test_a_target_in_numbers_cannot_be_held_against_relative_colours(tmp_path: Path) -> None:
    sheet = read_sheet(neutral_job(tmp_path))
    (group,) = answer(compute(sheet.job, sheet.load).readings, Choices(), target=(48.0, None, None))
    assert group.answer.outcome is Outcome.CANNOT_SAY
    assert "unknown lightness" in group.answer.notes[0]


def test_a_step_card_undoes_a_contrast_curve_that_one_card_cannot_see(tmp_path: Path) -> None:
    greys = [(82.0, 0.0, 0.0), (66.0, 0.0, 0.0), (30.0, 0.0, 0.0), (20.0, 0.0, 0.0)]
    labs = [*greys, *SAMPLES.values()]
    (tmp_path / "bench.png").write_bytes(flat_photo(labs, contrast=1.2))
    rows = [",".join(COLUMNS), f"bench.png,card,{patch_box(0)},,,,,,,"]
    rows += [f"bench.png,card,{patch_box(n)},,,,,{L},0,0" for n, (L, _, _) in enumerate(greys, 1)]
    rows += [f"bench.png,sample,{patch_box(n)},{h},A,,,,," for n, h in enumerate(SAMPLES, 5)]
    path = tmp_path / "chest.csv"

    def worst(lines: list[str]) -> float:
        path.write_text("\n".join(lines) + "\n")
        sheet = read_sheet(path)
        rows = [r for r in compute(sheet.job, sheet.load).readings if r.role is Role.SAMPLE]
        read = np.array([r.reading.lab for r in rows if r.reading])
        return float(np.abs(read[:, 0] - [lab[0] for lab in SAMPLES.values()]).max())

    assert worst(rows) < 0.8
    assert worst([*rows[:2], *rows[2 + len(greys) :]]) > 2


def test_a_photo_out_of_focus_is_said_with_what_it_costs(tmp_path: Path) -> None:
    path = write_job(tmp_path, SAMPLES)
    path.write_text(path.read_text().replace(",card,10,10,40,40", ",card,2,2,56,56"))
    sharp = read_sheet(path)
    codes = [check.code for check in compute(sharp.job, sharp.load).checks]
    assert "blurred" not in codes
    photo = cv2.imread(str(tmp_path / "bench.png"))
    cv2.imwrite(str(tmp_path / "bench.png"), cv2.GaussianBlur(photo, (0, 0), 6))
    blurred = read_sheet(path)
    found = [check for check in compute(blurred.job, blurred.load).checks if check.code == "blurred"]
    assert len(found) == 1
    assert "not sharp" in found[0].message


def test_light_that_falls_off_is_evened_by_plain_ground_and_said(tmp_path: Path) -> None:
    ground = (60.0, 0.0, 0.0)
    pairs = [lab for sample in SAMPLES.values() for lab in (sample, ground)]
    picture = cv2.imdecode(np.frombuffer(flat_photo(pairs), np.uint8), cv2.IMREAD_COLOR)
    fall = np.linspace(1.0, 0.8, picture.shape[1])[None, :, None]
    dimmed = srgb_encode(srgb_decode(picture / 255) * fall)
    cv2.imwrite(str(tmp_path / "bench.png"), np.round(255 * dimmed).astype(np.uint8))
    rows = [",".join(COLUMNS), f"bench.png,card,{patch_box(0)},,,,,,,"]
    rows += [f"bench.png,sample,{patch_box(2 * n + 1)},{h},A,,,,," for n, h in enumerate(SAMPLES)]
    plain = [f"bench.png,background,{patch_box(2 * n + 2)},,,,,,," for n in range(len(SAMPLES))]
    path = tmp_path / "chest.csv"

    def read(lines: list[str]) -> tuple[float, set[str]]:
        path.write_text("\n".join(lines) + "\n")
        sheet = read_sheet(path)
        results = compute(sheet.job, sheet.load)
        seen = [row.reading.lab[0] for row in results.readings if row.role is Role.SAMPLE and row.reading]
        off = float(np.abs(np.subtract(seen, [lab[0] for lab in SAMPLES.values()])).max())
        return off, {check.code for check in results.checks}

    off, codes = read([*rows, *plain])
    assert off < 0.5
    assert "light_evened" in codes
    off, codes = read(rows)
    assert off > 2
    assert "light_uneven" in codes
