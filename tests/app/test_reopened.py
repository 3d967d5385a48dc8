"""A job opened again has its readings at once: what was measured is kept with it, also for photos that bear a date."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import pytest
from PIL import Image
from pytestqt.qtbot import QtBot

from app.reading import MEASURED_METHOD
from colourcore.image.pixels import Outline, PatchStatistics
from colourcore.job import edits
from colourcore.job.codec import TextError, from_text, to_text
from colourcore.job.model import Role
from colourcore.pipeline import PhotoFacts
from tests.app.hand import CARD, NO_SIZE_HINTS, darkening, drop, make_photo, open_window, sample_box, wait_read

pytestmark = pytest.mark.qt_log_ignore(NO_SIZE_HINTS)

DATE_TAG = 0x9003  # DateTimeOriginal in the Exif directory (Exif 2.32, CIPA DC-008)
REST_MS = 3200  # readings are written to the job file once the hand has rested for three seconds


def dated(path: Path) -> Path:
    """Give a photo the date that a camera gives it."""
    image = Image.open(path)
    exif = Image.Exif()
    exif.get_ifd(0x8769)[DATE_TAG] = "2025:03:01 09:30:00"
    image.save(path.with_suffix(".jpg"), exif=exif, quality=95)
    return path.with_suffix(".jpg")


def box(corners: tuple[int, int, int, int]) -> Outline:
    return Outline(x=corners[0], y=corners[1], width=corners[2] - corners[0], height=corners[3] - corners[1])


def test_a_job_of_dated_photos_opens_again_with_its_readings_and_measures_nothing_anew(
    qtbot: QtBot, tmp_path: Path
) -> None:
    window = open_window(qtbot, tmp_path)
    photo = dated(make_photo(tmp_path / "board.png", darkening(2)))
    drop(qtbot, window, photo)
    for corners, role in ((CARD, Role.CARD), (sample_box(0), Role.SAMPLE)):
        window.session.edit(lambda job, c=corners, r=role: edits.add_outline(job, photo.name, box(c), r))  # type: ignore[misc]  # mypy infers no lambda with defaults
    wait_read(qtbot, window)
    assert window.session.state.results is not None
    before = window.session.state.results.readings
    assert all(facts.taken is not None for facts in window.session.measured.facts.values())
    qtbot.wait(REST_MS)
    qtbot.waitUntil(lambda: not window.tasks.any_busy(), timeout=20_000)
    window.close()

    again = open_window(qtbot, tmp_path)
    again.begin_work([])
    wait_read(qtbot, again)
    assert again.session.state.results is not None
    assert [row.reading for row in again.session.state.results.readings] == [row.reading for row in before]
    assert again.document.job_file is not None
    kept = again.document.job_file.recall(MEASURED_METHOD, PhotoFacts)
    assert [facts.taken for facts in kept.values()] == [datetime(2025, 3, 1, 9, 30)]
    assert len(again.document.job_file.recall(MEASURED_METHOD, PatchStatistics)) == 2


def test_a_moment_comes_back_as_it_was_kept_and_anything_else_is_refused() -> None:
    facts = PhotoFacts(width=6, height=4, bits=8, taken=datetime(2025, 3, 1, 9, 30, 5))
    assert from_text(PhotoFacts, to_text(facts)) == facts
    with pytest.raises(TextError, match="taken"):
        from_text(PhotoFacts, to_text(facts).replace("2025-03-01T09:30:05", "yesterday"))
