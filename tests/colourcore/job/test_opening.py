"""The way into a job file: what opens, what is refused with which sentence, and what is left as it was."""

from __future__ import annotations

import contextlib
import hashlib
import json
import shutil
import sqlite3
from pathlib import Path
from typing import Any

import pytest

from colourcore.errors import InputError
from colourcore.image.pixels import Outline
from colourcore.job import edits
from colourcore.job.model import Job
from colourcore.job.opening import new_job, open_job
from colourcore.job.schema import TABLES, VERSION
from tests.colourcore.job.invented import chest, photo_file

KEPT = Path(__file__).parents[2] / "job_files"
NOON = "2026-05-09T12:00:00+02:00"


@pytest.fixture
def path(tmp_path: Path) -> Path:
    made = tmp_path / "chest.duskgrain"
    with new_job(made, at=NOON, job=chest(), photos=[b"front", b"back"]) as file:
        file.do(edits.name_job(file.job, "second"), at=NOON)
        file.do(edits.name_job(file.job, "third"), at=NOON)
    return made


def sql(path: Path, statement: str, *values: object) -> list[tuple[Any, ...]]:
    """What somebody with the sqlite3 shell would do."""
    with contextlib.closing(sqlite3.connect(path, isolation_level=None)) as connection:
        return connection.execute(statement, values).fetchall()


def tables_of(path: Path) -> set[str]:
    return {name for (name,) in sql(path, "SELECT name FROM sqlite_master WHERE type = 'table'")}


def taken(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()


# new


def test_a_new_job_appears_whole_or_not_at_all(tmp_path: Path) -> None:
    with pytest.raises(ValueError, match=r"no bytes for front\.jpg, back\.jpg"):
        new_job(tmp_path / "new.duskgrain", at=NOON, job=chest())
    assert list(tmp_path.iterdir()) == []


def test_a_new_job_is_never_written_over_a_file(path: Path) -> None:
    before = taken(path)
    with pytest.raises(InputError, match=r"chest\.duskgrain: expected a name that is free, got a file that exists"):
        new_job(path, at=NOON)
    assert taken(path) == before


def test_a_new_job_in_a_folder_that_is_not_there_is_refused(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"new\.duskgrain: expected a file in a folder that may be written to"):
        new_job(tmp_path / "lost" / "new.duskgrain", at=NOON)


def test_a_file_name_may_hold_anything_that_a_maker_types(tmp_path: Path) -> None:
    odd = tmp_path / "chest #3 50% ?mode=ro&x ä'\";.duskgrain"
    with new_job(odd, at=NOON) as file:
        file.do(edits.name_job(file.job, "odd"), at=NOON)
    with open_job(odd) as again:
        assert again.job.name == "odd"


# what is no job


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        (None, "expected a job file, got no such file"),
        (b"", "expected a job file, got an empty file"),
        (b"\xff\xd8\xff\xe0 a photo, not a job", "expected an SQLite database, got other bytes"),
        (b"SQLite format 3\0" + bytes(84), "expected"),
    ],
)
def test_what_is_no_job_is_refused_in_a_sentence(tmp_path: Path, content: bytes | None, sentence: str) -> None:
    path = tmp_path / "x.duskgrain"
    if content is not None:
        path.write_bytes(content)
    with pytest.raises(InputError, match=rf"x\.duskgrain: {sentence}"):
        open_job(path)


def test_a_folder_is_no_job(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="got a folder"):
        open_job(tmp_path)


def test_another_program_s_database_is_refused_and_left_as_it_was(tmp_path: Path) -> None:
    path = tmp_path / "accounts.db"
    sql(path, "PRAGMA journal_mode = WAL")
    sql(path, "CREATE TABLE states (id INTEGER PRIMARY KEY)")
    before = taken(path)
    with pytest.raises(
        InputError, match=r"accounts\.db: expected a duskgrain job file, got a database of another kind"
    ):
        open_job(path)
    assert taken(path) == before


# versions


def test_a_newer_major_version_is_refused_with_the_version_it_needs(path: Path) -> None:
    sql(path, "PRAGMA user_version = 2003")
    sql(path, "UPDATE about SET value = 'duskgrain 3.1 or later' WHERE key = 'needs'")
    with pytest.raises(InputError) as refused:
        open_job(path)
    assert str(refused.value) == (
        "chest.duskgrain: expected a job file of version 1 or earlier, got version 2.3: "
        "it takes duskgrain 3.1 or later to open it."
    )


def test_a_newer_version_that_does_not_say_what_it_needs_is_refused_all_the_same(path: Path) -> None:
    sql(path, "PRAGMA user_version = 9000")
    sql(path, "DROP TABLE about")
    with pytest.raises(InputError, match="it takes a later version of duskgrain to open it"):
        open_job(path)


def test_a_newer_minor_version_opens_and_loses_nothing_of_what_is_unknown(path: Path) -> None:
    sql(path, f"PRAGMA user_version = {VERSION + 7}")
    sql(path, "CREATE TABLE looks (hours REAL, L REAL)")
    sql(path, "INSERT INTO looks VALUES (6.5, 48.2)")
    ((number, parent, at, act, text),) = sql(path, "SELECT id, parent, at, act, job FROM states WHERE id = 3")
    job = json.loads(text)
    job["tent"] = {"volume_m3": 1.08}
    job["patches"][3]["weight_g"] = 212.5
    text = json.dumps(job)
    said = "\n".join([str(number), str(parent), at, act, text])
    sql(path, "UPDATE states SET job = ?, sha256 = ? WHERE id = 3", text, hashlib.sha256(said.encode()).hexdigest())
    with open_job(path) as file:
        assert file.losses == ()
        file.do(edits.set_hours(file.job, {4: 8.0}), at=NOON)
    ((after,),) = sql(path, "SELECT job FROM states WHERE id = 4")
    assert json.loads(after)["tent"] == {"volume_m3": 1.08}
    assert (json.loads(after)["patches"][3]["weight_g"], json.loads(after)["patches"][3]["hours"]) == (212.5, 8.0)
    assert sql(path, "SELECT * FROM looks") == [(6.5, 48.2)]
    assert sql(path, "PRAGMA user_version") == [(VERSION + 7,)]


def test_the_kept_sample_of_version_1_0_opens_where_it_was_left(tmp_path: Path) -> None:
    path = Path(shutil.copy(KEPT / "schema_1_0.duskgrain", tmp_path))
    with open_job(path) as file:
        assert (file.losses, file.notices, file.read_only) == ((), (), "")
        assert [step.name for step in file.history.steps] == [
            "start",
            "hours of 5 samples",
            "move of sample 3 h",
            "camera's curve of photo 2",
            "finish of 2 samples",
            "drawn time of 3 samples",
            "target in numbers",
            "confidence of the interval",
            "setting aside sample 6 h",
        ]
        assert (file.history.redo_name, file.kept_at) == ("setting aside sample 6 h", "2026-05-09T12:30:00+02:00")
        assert [patch.hours for patch in file.job.patches] == [None, 1.0, 0.0, 3.0, None, 0.0, 6.0, None, None]
        assert file.job.patches[-1].lab == (38.5, 6.0, 14.0)
        assert file.job.patch(8).set_aside == edits.ANOTHER_TARGET
        assert file.job.patch(4).outline == Outline(
            x=300, y=50, width=80, height=66, corners=((300, 56), (374, 50), (380, 110), (306, 116))
        )
        assert (file.job.patch(6).finish, file.job.patch(2).drawn) == ("oil", "2026-05-09T07:30")
        assert (file.job.patch(7).camera, file.job.cameras[0].text) == ("phone.json", "an invented curve")
        assert (file.job.choices.confidence, file.job.choices.past_odds) == (0.8, 0.1)
        assert [file.load(name) for name in ("front.jpg", "back.jpg")] == [b"front", b"back"]
        file.go_to(0, at=NOON)
        assert file.job == chest()


def test_the_kept_sample_of_version_0_is_migrated_in_a_copy_and_the_old_file_kept(tmp_path: Path) -> None:
    path = Path(shutil.copy(KEPT / "schema_0.duskgrain", tmp_path))
    before = taken(path)
    with open_job(path) as file:
        assert file.notices == (
            "it was of the earlier version 0.0; the old file was kept as schema_0 (version 0.0).duskgrain",
        )
        assert file.job == edits.name_job(chest(), "board of 3 samples").job
        assert [step.name for step in file.history.steps] == ["start", "name of the job", "board of 3 samples"]
        assert file.load("back.jpg") == b"back"
        file.undo(at=NOON)
    assert taken(tmp_path / "schema_0 (version 0.0).duskgrain") == before
    assert sql(path, "SELECT said FROM notes") == [("the left door sticks",)]
    assert tables_of(path) == {*TABLES, "notes"}
    assert sql(path, "PRAGMA user_version") == [(VERSION,)]
    with open_job(path) as again:
        assert (again.notices, again.history.redo_name) == ((), "board of 3 samples")


def test_an_earlier_version_opened_for_reading_only_is_left_exactly_as_it_was(tmp_path: Path) -> None:
    path = Path(shutil.copy(KEPT / "schema_0.duskgrain", tmp_path))
    before = taken(path)
    with open_job(path, read_only=True) as file:
        assert file.job.patch(4).board == "A"
        assert file.load("front.jpg") == b"front"
        with pytest.raises(InputError, match="opened for reading only"):
            file.undo(at=NOON)
    assert taken(path) == before
    assert list(tmp_path.iterdir()) == [path]


def test_an_earlier_version_that_cannot_be_migrated_is_kept_and_nothing_is_left_beside_it(tmp_path: Path) -> None:
    path = Path(shutil.copy(KEPT / "schema_0.duskgrain", tmp_path))
    sql(path, "UPDATE versions SET job = 'no job' WHERE number = 2")
    before = taken(path)
    with pytest.raises(InputError, match="expected a job in each state"):
        open_job(path)
    assert taken(path) == before
    assert list(tmp_path.iterdir()) == [path]


# what others put in


@pytest.mark.parametrize(
    "statement",
    [
        "CREATE TRIGGER sneak AFTER INSERT ON states BEGIN DELETE FROM photos; END",
        "CREATE INDEX sneak ON states (length(job))",
        "CREATE VIEW sneak AS SELECT * FROM states",
    ],
)
def test_what_somebody_hung_upon_the_tables_is_told_and_never_carried_out(path: Path, statement: str) -> None:
    sql(path, statement)
    with open_job(path) as file:
        meddled = "VIEW" not in statement
        assert bool(file.notices) == meddled
        assert bool(file.read_only) == meddled
        assert file.job.name == "third"
        if meddled:
            with pytest.raises(InputError, match="go on in a clean copy"):
                file.do(edits.name_job(file.job, "x"), at=NOON)
    assert len(sql(path, "SELECT 1 FROM photos")) == 2


def test_a_view_in_the_place_of_a_table_is_not_looked_into(path: Path) -> None:
    sql(path, "ALTER TABLE states RENAME TO hidden")
    sql(path, "CREATE VIEW states AS SELECT id, parent, at, act, sha256, upper(job) AS job FROM hidden")
    with pytest.raises(InputError, match="expected at least one state of the job that can be read"):
        open_job(path)


def test_a_trigger_added_while_the_job_is_open_is_not_carried_out(path: Path) -> None:
    with open_job(path) as file:
        sql(path, "CREATE TRIGGER sneak AFTER INSERT ON states BEGIN DELETE FROM photos; END")
        with pytest.raises(InputError, match="expected the plain tables of this program"):
            file.do(edits.name_job(file.job, "x"), at=NOON)
    assert len(sql(path, "SELECT 1 FROM photos")) == 2


def test_tables_of_others_are_kept_through_edits(path: Path) -> None:
    sql(path, "CREATE TABLE invoices (sum REAL)")
    sql(path, "INSERT INTO invoices VALUES (12.5)")
    with open_job(path) as file:
        file.do(edits.name_job(file.job, "x"), at=NOON)
    assert sql(path, "SELECT * FROM invoices") == [(12.5,)]


def test_a_file_left_with_a_write_ahead_log_goes_back_to_a_rollback_journal(path: Path) -> None:
    sql(path, "PRAGMA journal_mode = WAL")
    with open_job(path) as file:
        file.do(edits.name_job(file.job, "x"), at=NOON)
    assert sql(path, "PRAGMA journal_mode") == [("delete",)]


# an act cut off in the middle


@pytest.fixture
def cut_off(path: Path, tmp_path: Path) -> Path:
    """The file and its journal as they lie on the disk when the power goes in the middle of a large act."""
    folder = tmp_path / "after the cut"
    folder.mkdir()
    with contextlib.closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute("PRAGMA cache_size = 1")
        connection.execute("BEGIN IMMEDIATE")
        connection.execute("INSERT INTO photos VALUES ('half', 1, ?)", (bytes(3_000_000),))
        connection.execute("UPDATE states SET job = 'half'")
        for file in (path, path.with_name(f"{path.name}-journal")):
            shutil.copy(file, folder)
        connection.execute("ROLLBACK")
    return folder / path.name


@pytest.mark.parametrize("read_only", [True, False])
def test_an_act_cut_off_in_the_middle_is_taken_back(cut_off: Path, read_only: bool) -> None:
    assert b"half" in cut_off.read_bytes()
    with open_job(cut_off, read_only=read_only) as file:
        assert (file.job.name, file.losses, file.load("back.jpg")) == ("third", (), b"back")
    assert [file.name for file in cut_off.parent.iterdir()] == [cut_off.name]


# damage


def damaged_text(path: Path, number: int) -> None:
    sql(path, "UPDATE states SET job = replace(job, '\"hours\":9', '\"hours\":8') WHERE id = ?", number)


def test_a_state_that_was_altered_is_not_believed(path: Path) -> None:
    damaged_text(path, 3)
    with open_job(path) as file:
        assert file.job.name == "second"
        assert file.losses == (
            "1 act could not be read: “name of the job”",
            "the state that was left cannot be read: the one after “name of the job” is shown",
        )
        with pytest.raises(InputError, match="expected a sound file, got a damaged one"):
            file.do(edits.name_job(file.job, "x"), at=NOON)


def test_a_state_in_the_middle_that_is_lost_stands_in_nobody_s_way(path: Path) -> None:
    damaged_text(path, 2)
    with open_job(path) as file:
        assert (file.job.name, file.losses) == ("third", ())
        with pytest.raises(InputError, match="expected state 2 of the job as it was written"):
            file.undo(at=NOON)
        file.go_to(0, at=NOON)
        assert file.job.name == "music chest"


def test_the_place_in_the_line_that_is_lost_is_told(path: Path) -> None:
    sql(path, "DELETE FROM place")
    with open_job(path) as file:
        assert file.job.name == "third"
        assert file.losses == ("the place in the line of acts was lost: the last state that can be read is shown",)


def test_acts_at_the_end_that_are_gone_are_told(path: Path) -> None:
    sql(path, "DELETE FROM states WHERE id = 3")
    with open_job(path) as file:
        assert file.job.name == "second"
        assert file.losses[0] == "1 act could not be read: the act of state 3"


def test_a_photo_that_is_gone_is_told(path: Path) -> None:
    sql(path, "DELETE FROM photos WHERE bytes = ?", b"back")
    with open_job(path) as file:
        assert file.losses == ("1 photo cannot be found: back.jpg",)
        assert file.load("front.jpg") == b"front"


def test_acts_that_follow_themselves_do_not_hang_the_reader(path: Path) -> None:
    sql(path, "UPDATE states SET parent = 3 WHERE id = 2")
    with open_job(path) as file:
        assert file.losses != ()


def test_a_file_cut_off_opens_as_far_as_it_can_be_read(tmp_path: Path) -> None:
    path = tmp_path / "cut.duskgrain"
    with new_job(path, at=NOON, job=chest(), photos=[b"front", b"back"]) as file:
        for number in range(40):
            file.do(edits.name_job(file.job, f"name {number}"), at=NOON)
        file.do(edits.add_photos(file.job, [photo_file("big.jpg", bytes(500_000))]), at=NOON, photos=[bytes(500_000)])
    whole = path.read_bytes()
    path.write_bytes(whole[: len(whole) - 560_000])
    with open_job(path) as file:
        assert file.losses != ()
        assert file.job.name.startswith("name ")
        assert file.load("front.jpg") == b"front"


def test_a_job_that_contradicts_itself_is_not_shown(path: Path) -> None:
    text = json.dumps({"photos": [{"name": "a", "sha256": "../../etc"}]})
    said = "\n".join(["3", "2", NOON, "act", text])
    digest = hashlib.sha256(said.encode()).hexdigest()
    sql(path, "UPDATE states SET job = ?, act = 'act', sha256 = ? WHERE id = 3", text, digest)
    with open_job(path) as file:
        assert file.job.name == "second"


def test_an_empty_job_is_a_job(tmp_path: Path) -> None:
    with new_job(tmp_path / "empty.duskgrain", at=NOON) as file:
        assert file.job == Job()
