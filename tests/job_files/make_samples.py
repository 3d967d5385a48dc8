"""Write the kept sample files: `python -m tests.job_files.make_samples`. A file that exists is never written again.

One sample of every released schema is kept here for good and must open in every later version. Schema 0 was never
released: its sample keeps the road of migration open. The jobs and pictures in them are invented.
"""

from __future__ import annotations

import contextlib
import json
import sqlite3
from pathlib import Path

from colourcore.job import edits
from colourcore.job.codec import to_text
from colourcore.job.migrations import EARLIER_TABLES
from colourcore.job.opening import new_job
from colourcore.job.schema import APPLICATION_ID
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
    """Three acts, the last one undone."""
    with new_job(path, at="2026-05-09T12:00:00+02:00", job=chest(), photos=PHOTOS) as file:
        file.do(edits.set_hours_in_order(file.job, [0, 1, 3, 0, 6]), at="2026-05-09T12:05:00+02:00")
        file.do(edits.target_from_numbers(file.job, (38.5, 6.0, 14.0)), at="2026-05-09T12:06:00+02:00")
        file.do(edits.set_aside(file.job, [7], "knot"), at="2026-05-09T12:07:00+02:00")
        file.undo(at="2026-05-09T12:08:00+02:00")


def main() -> None:
    for name, make in (("schema_0", schema_0), ("schema_1_0", schema_1_0)):
        path = HERE / f"{name}.duskgrain"
        if not path.exists():
            make(path)
            print(f"wrote {path.name}, {path.stat().st_size} bytes")


if __name__ == "__main__":
    main()
