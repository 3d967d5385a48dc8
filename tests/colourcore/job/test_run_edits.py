"""The run of a job: what is noted of it, how the acts are called, and that it comes back whole."""

from __future__ import annotations

import json
import shutil
from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from colourcore.errors import InputError
from colourcore.job import run_edits
from colourcore.job.codec import from_text, to_text
from colourcore.job.model import Job
from colourcore.job.opening import open_job
from colourcore.job.run_model import LogRecord, LookRecord, OutcomeRecord, PourRecord
from colourcore.pipeline.plan import Standing, plan_run
from colourcore.pipeline.run_of_job import log_of, run_wish_of
from colourcore.run.happening import Happening
from colourcore.run.log import checked_log, exposure_hours
from tests.colourcore.job.invented import chest

KEPT = Path(__file__).parents[2] / "job_files"
BERLIN = ZoneInfo("Europe/Berlin")
NOW = datetime(2026, 5, 9, 12, tzinfo=BERLIN)
EVENING = "2026-05-09T21:30:00+02:00"


def test_a_job_from_before_the_run_opens_with_nothing_lost(tmp_path: Path) -> None:
    path = Path(shutil.copy(KEPT / "schema_1_0.duskgrain", tmp_path))
    with open_job(path) as file:
        before = file.job
        assert file.job.run == Job().run
        file.do(run_edits.change_tent(file.job, space_m3=1.08), at="2026-05-09T13:00:00+02:00")
        assert file.job.patches == before.patches
    with open_job(path) as again:
        assert again.job.run.tent.space_m3 == 1.08
        assert again.job.cameras == before.cameras


def test_the_kept_sample_of_version_1_1_opens_and_plans_its_run(tmp_path: Path) -> None:
    path = Path(shutil.copy(KEPT / "schema_1_1.duskgrain", tmp_path))
    with open_job(path) as file:
        assert (file.losses, file.notices) == ((), ())
        job = file.job
        assert [step.name for step in file.history.steps][-3:] == ["pouring", "look at the piece", "outcome of the run"]
    assert job.run.outcome == OutcomeRecord(at="2026-05-12T10:00:00+02:00", lab=(48.2, 6.1, 14.5), note="a shade warm")
    wish = run_wish_of(job, now=NOW, zone=BERLIN)
    plan = plan_run(wish)
    assert plan.standing is Standing.CANNOT_SAY  # nobody has read its samples
    assert plan.charge is not None
    assert plan.charge.litres == pytest.approx(0.11)
    assert plan.test is not None
    log = checked_log(log_of(job, BERLIN), datetime(2026, 5, 10, 12, tzinfo=BERLIN))
    assert exposure_hours(log, datetime(2026, 5, 10, 5, 25, tzinfo=BERLIN)) == pytest.approx(7 + 55 / 60)


def test_what_a_later_version_adds_to_a_run_survives_any_edit() -> None:
    pour = PourRecord(litres=0.11, strength_low=0.28, strength_high=0.28)
    job = run_edits.add_to_log(chest(), LogRecord(kind=Happening.POURED, at=EVENING, pour=pour)).job
    plain = json.loads(to_text(job))
    places = (plain["run"], plain["run"]["tent"], plain["run"]["room"], plain["run"]["times"], plain["run"]["log"][0])
    for place in (*places, plain["run"]["log"][0]["pour"]):
        place["of a later version"] = [1, {"two": None}]
    again = run_edits.change_tent(from_text(Job, json.dumps(plain)), temperature_c=18.0).job
    plain["run"]["tent"]["temperature_c"] = 18
    assert json.loads(to_text(again)) == plain


def test_an_edit_that_changes_nothing_gives_the_very_job() -> None:
    job = chest()
    assert run_edits.change_tent(job, space_m3=None).job is job
    assert run_edits.set_outcome(job, None).job is job


def test_what_was_noted_can_be_taken_back() -> None:
    job = run_edits.add_to_log(chest(), LogRecord(kind=Happening.OPENED, at=EVENING)).job
    assert run_edits.take_from_log(job, 0).job.run.log == ()
    looked = run_edits.add_look(job, LookRecord(at=EVENING, identity=2, target_identity=8)).job
    assert run_edits.remove_look(looked, 0).job.run.looks == ()


def test_what_cannot_be_noted_is_told() -> None:
    with pytest.raises(InputError, match="moment such as"):
        run_edits.add_to_log(chest(), LogRecord(kind=Happening.OPENED, at="last night"))
    with pytest.raises(InputError, match="with its offset"):
        run_edits.add_look(chest(), LookRecord(at="2026-05-09T21:30:00", identity=2))
    with pytest.raises(InputError, match="a patch or with numbers, got neither"):
        run_edits.add_look(chest(), LookRecord(at=EVENING))
    with pytest.raises(KeyError):
        run_edits.add_look(chest(), LookRecord(at=EVENING, identity=99))


def test_what_was_typed_and_cannot_be_is_told_when_the_run_is_planned() -> None:
    for job, words in (
        (run_edits.change_tent(chest(), space_m3=1.0, temperature_c=80.0).job, "0 to 45 °C"),
        (run_edits.change_times(chest(), start="soon").job, "a moment such as"),
        (run_edits.change_times(chest(), quiet_begins="late", quiet_ends="07:00").job, "clock time such as"),
        (run_edits.change_run(chest(), strength_low=0.5, strength_high=0.6).job, "at most 40 %"),
    ):
        with pytest.raises(InputError, match=words):
            run_wish_of(job, now=NOW, zone=BERLIN)
