"""The job on the bench and how it is kept: nothing that was done gets lost between memory and file."""

from __future__ import annotations

from pathlib import Path

import pytest

from app.document import Document, Filing, file_away, kept_words, take_into, write_sheet
from app.loose_job import hash_photo, open_sheet
from colourcore.errors import InputError
from colourcore.image.pixels import Outline
from colourcore.job import edits
from colourcore.job.model import Job
from colourcore.job.opening import open_job
from colourcore.job.sheet import read_sheet
from tests.app.hand import NOON, darkening, make_photo

BOX = Outline(x=10, y=10, width=100, height=100)


def new_document(folder: Path) -> tuple[Document, list[Filing]]:
    document = Document(folder / "jobs", lambda: NOON)
    asked: list[Filing] = []
    document.filing_asked.connect(asked.append)
    return document, asked


def with_photo(folder: Path) -> tuple[Document, list[Filing]]:
    document, asked = new_document(folder)
    document.add_loose([hash_photo(make_photo(folder / "board.png", darkening()))])
    return document, asked


def test_the_first_act_asks_for_a_dated_file_in_the_jobs_folder(tmp_path: Path) -> None:
    document, asked = with_photo(tmp_path)
    assert [filing.path for filing in asked] == [tmp_path / "jobs" / "2025-03-01 job.duskgrain"]
    assert kept_words(document) == "being kept"


def test_what_is_done_while_the_file_is_being_made_is_in_it(tmp_path: Path) -> None:
    document, asked = with_photo(tmp_path)
    file_away(asked[0])
    document.apply(lambda job: edits.add_outline(job, "board.png", BOX))
    document.add_loose([hash_photo(make_photo(tmp_path / "second.png", darkening(), seed=2))])
    document.go_to(2)
    standing = document.job
    document.filed(asked[0])
    assert document.job == standing
    assert kept_words(document) == "all kept 12:41"
    document.finish()
    with open_job(asked[0].path) as file:
        assert file.job == standing
        assert [step.name for step in file.history.steps[1:]] == [
            "adding board.png",
            "outline of a sample",
            "adding second.png",
        ]
        assert file.redo(at="later") == ""
        assert len(file.load("second.png")) > 1000


def test_closing_keeps_what_no_file_holds_yet(tmp_path: Path) -> None:
    document, asked = with_photo(tmp_path)
    document.finish()
    with open_job(asked[0].path) as file:
        assert [photo.name for photo in file.job.photos] == ["board.png"]


def test_a_job_opened_again_undoes_what_was_done_before(tmp_path: Path) -> None:
    document, asked = with_photo(tmp_path)
    document.apply(lambda job: edits.add_outline(job, "board.png", BOX))
    document.finish()
    again, _ = new_document(tmp_path)
    again.open_file(asked[0].path)
    assert len(again.job.patches) == 1
    again.go_to(again.history.position - 1)
    assert again.job.patches == ()
    again.finish()


def test_a_folder_that_takes_no_file_is_said_and_the_next_act_tries_again(tmp_path: Path) -> None:
    (tmp_path / "jobs").write_text("a file where the folder should be")
    document, asked = with_photo(tmp_path)
    with pytest.raises(InputError, match="folder to keep jobs in"):
        file_away(asked[0])
    document.filed(asked[0], made=False)
    (tmp_path / "jobs").unlink()
    document.apply(lambda job: edits.name_job(job, "Chest"))
    assert len(asked) == 2
    document.finish()
    assert asked[1].path.exists()


def test_the_invented_example_becomes_no_file_whatever_is_done_to_it(tmp_path: Path) -> None:
    document, asked = new_document(tmp_path)
    document.apply(edits.Edit(name="an example", job=Job(invented=True)))
    document.apply(lambda job: edits.name_job(job, "Chest"))
    document.finish()
    assert asked == []
    assert not (tmp_path / "jobs").exists()


def test_photos_taken_into_a_file_in_the_background_do_not_lose_an_act_done_meanwhile(tmp_path: Path) -> None:
    document, asked = with_photo(tmp_path)
    file_away(asked[0])
    document.filed(asked[0])
    second = hash_photo(make_photo(tmp_path / "second.png", darkening(), seed=2))
    assert take_into(asked[0].path, [second, second], "2025-03-01T12:42") == 1
    said: list[str] = []
    document.told.connect(said.append)
    document.apply(lambda job: edits.name_job(job, "Chest"))
    assert [photo.name for photo in document.job.photos] == ["board.png", "second.png"]
    assert document.job.name == "Chest"
    assert take_into(asked[0].path, [second], "2025-03-01T12:43") == 0
    document.finish()


def test_a_sheet_is_left_alone_and_becomes_a_file_with_the_first_act(tmp_path: Path) -> None:
    document, _ = with_photo(tmp_path)
    document.apply(lambda job: edits.add_outline(job, "board.png", BOX, edits.Role.CARD))
    sheet = tmp_path / "out" / "chest.csv"
    sheet.parent.mkdir()
    write_sheet(document.job, document.loader(), sheet)
    document.finish()
    before = sheet.read_bytes()
    opened, again = new_document(tmp_path)
    opened.show(open_sheet(sheet))
    assert kept_words(opened) == "from chest.csv"
    assert again == []
    opened.apply(lambda job: edits.name_job(job, "Lid"))
    assert again[0].path.name == "2025-03-01 chest.duskgrain"
    opened.finish()
    assert sheet.read_bytes() == before


def test_a_written_sheet_reads_back_and_never_overwrites_another_photo(tmp_path: Path) -> None:
    document, _ = with_photo(tmp_path)
    document.apply(lambda job: edits.add_outline(job, "board.png", BOX, edits.Role.CARD))
    folder = tmp_path / "out"
    folder.mkdir()
    write_sheet(document.job, document.loader(), folder / "chest.csv")
    assert read_sheet(folder / "chest.csv").job.patches[0].outline == BOX
    (folder / "board.png").write_bytes(b"another")
    with pytest.raises(InputError, match=r"another board\.png"):
        write_sheet(document.job, document.loader(), folder / "chest.csv")
    document.finish()


def test_bytes_that_changed_under_the_job_are_not_taken_for_those_that_were_taken_in(tmp_path: Path) -> None:
    document, _ = new_document(tmp_path)
    path = make_photo(tmp_path / "board.png", darkening())
    document.apply(edits.Edit(name="an example", job=Job(invented=True)))
    document.add_loose([hash_photo(path)])
    make_photo(path, darkening(), seed=9)
    with pytest.raises(InputError, match="other bytes"):
        document.loader()("board.png")
