"""The promises of the job file, a small share of each; `python -m tests.simulation.job_file` measures them in full."""

from __future__ import annotations

import contextlib
import os
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest

from colourcore.job.opening import new_job
from tests.colourcore.job.invented import chest

needs_posix = pytest.mark.skipif(os.name != "posix", reason="kills, file sizes and users as POSIX has them")


@needs_posix
def test_kills_obstacles_and_malformed_files_lose_nothing_and_come_to_sentences() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "tests.simulation.job_file", "--small"],
        capture_output=True,
        text=True,
        check=False,
        cwd=Path(__file__).parents[3],
        timeout=300,
    )
    assert done.stderr == ""
    lines = {" ".join(line.split()) for line in done.stdout.splitlines()}
    assert {
        "acknowledged edits lost 0",
        "files that did not open 0",
        "tracebacks 0",
        "hangs over 10 s 0",
        "statements of others carried out 0",
    } <= lines, done.stdout
    assert "all promises kept" in done.stdout
    assert "!" not in done.stdout
    assert done.returncode == 0


def test_the_bait_that_strangers_lay_would_be_taken_by_an_unguarded_program(tmp_path: Path) -> None:
    path = tmp_path / "job.duskgrain"
    with new_job(path, at="2026-05-09T12:00:00+02:00", job=chest(), photos=[b"front", b"back"]):
        pass
    with contextlib.closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute("CREATE TABLE bait (said)")
        connection.execute("CREATE TRIGGER sneak AFTER INSERT ON states BEGIN INSERT INTO bait VALUES (1); END")
        connection.execute("INSERT INTO states VALUES (2, 1, '', '', '', '')")
        assert connection.execute("SELECT count(*) FROM bait").fetchone() == (1,)
