"""What the document says about the job file is so: every query is run on the kept sample, every list compared."""

from __future__ import annotations

import contextlib
import hashlib
import re
import shutil
import sqlite3
import subprocess
from dataclasses import fields
from pathlib import Path

import pytest

from colourcore.image.pixels import Outline
from colourcore.job import codec, database, states
from colourcore.job.model import CameraFile, Choices, Job, Patch, PhotoFile, Role
from colourcore.job.run_model import (
    LogRecord,
    LookRecord,
    OutcomeRecord,
    PourRecord,
    RoomRecord,
    RunRecord,
    SurroundingsRecord,
    TimesRecord,
)
from colourcore.job.schema import APPLICATION_ID, TABLES, VERSION, spoken_version

ROOT = Path(__file__).parents[3]
DOCUMENT = (ROOT / "docs" / "job_file.md").read_text("utf-8")
SAMPLE = ROOT / "tests" / "job_files" / "schema_1_0.duskgrain"
QUERIES = re.findall(r"```sql\n(.*?)```\n\n```text\n(.*?)```", DOCUMENT, re.DOTALL)


def test_the_document_has_queries_and_every_one_has_its_answer() -> None:
    assert len(QUERIES) == DOCUMENT.count("```sql\n") == 5


@pytest.mark.parametrize(("statements", "answer"), QUERIES)
def test_every_query_gives_the_answer_beside_it(statements: str, answer: str) -> None:
    said: list[str] = []
    with contextlib.closing(sqlite3.connect(f"{SAMPLE.as_uri()}?mode=ro", uri=True)) as connection:
        for statement in statements.split(";")[:-1]:
            rows = connection.execute(statement)
            said.extend("|".join("" if value is None else str(value) for value in row) for row in rows)
    assert "\n".join(said) + "\n" == answer


@pytest.mark.skipif(shutil.which("sqlite3") is None, reason="the sqlite3 shell is not installed")
def test_the_shell_reads_a_job_and_writes_a_photo(tmp_path: Path) -> None:
    shell = shutil.which("sqlite3") or ""
    copy = shutil.copy(SAMPLE, tmp_path / "JOB")
    for statements, answer in QUERIES:
        done = subprocess.run([shell, str(copy), statements], capture_output=True, text=True, check=True)
        assert done.stdout == answer
    command = re.findall(r"```shell\nsqlite3 JOB \"(.*?)\"\n```", DOCUMENT)
    subprocess.run([shell, str(copy), command[0]], capture_output=True, check=True, cwd=tmp_path)
    assert (tmp_path / "front.jpg").read_bytes() == b"front"


def test_the_tables_in_the_document_are_those_of_a_file() -> None:
    block = re.findall(r"```sql schema\n(.*?)```", DOCUMENT, re.DOTALL)[0]
    assert [line.rstrip(";") for line in block.splitlines()] == list(TABLES.values())
    with contextlib.closing(sqlite3.connect(SAMPLE)) as connection:
        found = connection.execute("SELECT sql FROM sqlite_master WHERE type = 'table' ORDER BY rowid").fetchall()
    assert [sql for (sql,) in found] == list(TABLES.values())


def test_every_column_of_every_table_is_explained() -> None:
    section = DOCUMENT.partition("| table | column | meaning |")[2].partition("\n\n")[0]
    table, explained = "", set()
    for row in section.strip().splitlines():
        cells = [cell.strip() for cell in row.strip("|").split("|")]
        table = cells[0] or table
        explained |= {(table, column) for column in cells[1].split(", ")}
    columns = set()
    with contextlib.closing(sqlite3.connect(SAMPLE)) as connection:
        for name in TABLES:
            columns |= {(name, row[1]) for row in connection.execute(f"PRAGMA table_info({name})")}
    assert columns <= explained


def test_the_keys_in_the_document_are_those_of_the_job() -> None:
    rows = re.findall(
        r"^\| (the job|each of `\w+`|`\w+` and `\w+`|`\w+`)[^|]*\| ((?:`\w+`(?:, )?)+) \|$", DOCUMENT, re.MULTILINE
    )
    said = {where: re.findall(r"`(\w+)`", keys) for where, keys in rows}
    kinds: dict[str, type] = {
        "the job": Job,
        "each of `photos`": PhotoFile,
        "each of `cameras`": CameraFile,
        "`choices`": Choices,
        "each of `patches`": Patch,
        "`outline`": Outline,
        "`run`": RunRecord,
        "`tent` and `test`": SurroundingsRecord,
        "each of `pours`": PourRecord,
        "`room`": RoomRecord,
        "`times`": TimesRecord,
        "each of `log`": LogRecord,
        "each of `looks`": LookRecord,
        "`outcome`": OutcomeRecord,
    }
    for where, kind in kinds.items():
        assert said[where] == sorted(field.name for field in fields(kind) if field.name != "unknown")
    assert all(f"`{role}`" in DOCUMENT for role in Role)


def test_the_checksum_of_a_state_is_made_as_the_document_says() -> None:
    with contextlib.closing(sqlite3.connect(SAMPLE)) as connection:
        rows = connection.execute("SELECT id, parent, at, act, job, sha256 FROM states").fetchall()
    for *said, checksum in rows:
        joined = "\n".join("" if value is None else str(value) for value in said)
        assert hashlib.sha256(joined.encode("utf-8")).hexdigest() == checksum


def test_the_numbers_in_the_document_are_those_of_the_program() -> None:
    limits = DOCUMENT.partition("## Limits")[2].partition("## ")[0]
    assert (
        f"| `application_id` | {APPLICATION_ID}, the letters `{APPLICATION_ID.to_bytes(4, 'big').decode()}` |"
        in DOCUMENT
    )
    assert f"now {VERSION}, version {spoken_version(VERSION)}" in DOCUMENT
    assert f"up to {database.LARGEST_PHOTO >> 20} MB" in limits
    assert f"a state of up to {database.LARGEST_TEXT >> 20} MB" in limits
    assert f"{states.MOST_PHOTOS} photos, {states.MOST_PATCHES} patches; {states.MOST_STATES} states" in limits
    with pytest.raises(codec.TextError, match="nested up to 60 deep"):
        codec.from_text(Job, '{"a":' * 100 + "1" + "}" * 100)
    assert "nested up to 60 deep" in limits
