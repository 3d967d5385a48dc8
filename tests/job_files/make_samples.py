"""Write the kept sample files: `python -m tests.job_files.make_samples`. A file that exists is never written again.

One sample of every released schema is kept here for good and must open in every later version. Schema 0 was never
released: its sample keeps the road of migration open. The jobs and pictures in them are invented.
"""

from __future__ import annotations

import contextlib
import json
import sqlite3
from dataclasses import replace
from pathlib import Path

from colourcore.image.pixels import Outline
from colourcore.job import edits, run_edits
from colourcore.job.codec import to_text
from colourcore.job.migrations import EARLIER_TABLES
from colourcore.job.model import CameraFile
from colourcore.job.opening import new_job
from colourcore.job.run_model import LogRecord, LookRecord, OutcomeRecord, PourRecord
from colourcore.job.schema import APPLICATION_ID
from colourcore.run.happening import Happening
from tests.colourcore.job.invented import chest, digest

HERE = Path(__file__).parent
PHOTOS = [b"front", b"back"]


def schema_0(path: Path) -> None:
    """Three states; wood as one word; a table that nobody knows."""
    states = []
    for name in ("start", "name of the job", "board of 3 samples"):
        job = json.loads(to_text(chest()))
        job["name"] = name
        for patch in job["patches"]:
            patch["wood"] = f"{patch.pop('board')}/{patch.pop('zone')}"
        states.append((len(states) + 1, name, json.dumps(job)))
    with contextlib.closing(sqlite3.connect(path)) as connection, connection:
        connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
        for statement in EARLIER_TABLES[0].values():
            connection.execute(statement)
        connection.execute("CREATE TABLE notes (said TEXT)")
        connection.execute("INSERT INTO notes VALUES ('the left door sticks')")
        connection.executemany("INSERT INTO pictures VALUES (?, ?)", [(digest(photo), photo) for photo in PHOTOS])
        connection.executemany("INSERT INTO versions VALUES (?, ?, ?)", states)


def schema_1_0(path: Path) -> None:
    """Every attribute that a patch can have, and eight acts, the last one undone."""
    curve = CameraFile(name="phone.json", text="an invented curve")
    turned = Outline(x=300, y=50, width=80, height=66, corners=((300, 56), (374, 50), (380, 110), (306, 116)))
    with new_job(path, at="2026-05-09T12:00:00+02:00", job=chest(), photos=PHOTOS) as file:
        acts = (
            lambda job: edits.set_hours_in_order(job, [0, 1, 3, 0, 6]),
            lambda job: edits.move_outlines(job, {4: turned}),
            lambda job: edits.use_camera(job, ["back.jpg"], curve),
            lambda job: edits.set_finish(job, [6, 7], "oil"),
            lambda job: edits.set_drawn(job, [2, 3, 4], "2026-05-09T07:30"),
            lambda job: edits.target_from_numbers(job, (38.5, 6.0, 14.0)),
            lambda job: edits.choose(job, confidence=0.8),
            lambda job: edits.set_aside(job, [7], "knot"),
        )
        for minute, act in enumerate(acts, 1):
            file.do(act(file.job), at=f"2026-05-09T12:{minute:02d}:00+02:00")
        file.undo(at="2026-05-09T12:30:00+02:00")


def schema_1_1(path: Path) -> None:
    """The first with a run: tent, test, room, times, a log with a break, a look, an outcome."""
    pour = PourRecord(litres=0.11, strength_low=0.27, strength_high=0.29)
    evening = "2026-05-09T21:30:00+02:00"
    with new_job(path, at="2026-05-09T12:00:00+02:00", job=chest(), photos=PHOTOS) as file:
        acts = (
            lambda job: run_edits.change_tent(job, sides_m=(1.2, 1.0, 0.9), space_m3=1.08, temperature_c=18.0),
            lambda job: run_edits.change_test(job, space_m3=0.06, pours=(replace(pour, litres=0.006),)),
            lambda job: run_edits.change_room(job, space_m3=50.0, air_changes_per_hour=3.0),
            lambda job: run_edits.change_run(job, strength_low=0.27, strength_high=0.29, stated_litres=0.11),
            lambda job: run_edits.change_times(job, zone="Europe/Berlin", start=evening, quiet_begins="23:00"),
            lambda job: run_edits.add_to_log(job, LogRecord(kind=Happening.POURED, at=evening, pour=pour)),
            lambda job: run_edits.add_look(
                job, LookRecord(at="2026-05-10T05:25:00+02:00", lab=(50.9, 6.0, 15.0), target_lab=(48.0, 6.0, 14.0))
            ),
            lambda job: run_edits.set_outcome(
                job, OutcomeRecord(at="2026-05-12T10:00:00+02:00", lab=(48.2, 6.1, 14.5), note="a shade warm")
            ),
        )
        for minute, act in enumerate(acts, 1):
            file.do(act(file.job), at=f"2026-05-09T12:{minute:02d}:00+02:00")


def main() -> None:
    for name, make in (("schema_0", schema_0), ("schema_1_0", schema_1_0), ("schema_1_1", schema_1_1)):
        path = HERE / f"{name}.duskgrain"
        if not path.exists():
            make(path)
            print(f"wrote {path.name}, {path.stat().st_size} bytes")


if __name__ == "__main__":
    main()
