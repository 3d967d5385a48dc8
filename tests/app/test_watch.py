"""A folder that photos are sent to: taken once, whole, and never what lay there before."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from app.watch import Seen, look_at
from colourcore.errors import InputError
from tests.app.hand import NO_SIZE_HINTS, darkening, drop, make_photo, open_window, wait_read

pytestmark = pytest.mark.qt_log_ignore(NO_SIZE_HINTS)

ENDINGS = (".jpg", ".png", ".heic")


def looks(folder: Path, times: int, seen: Seen | None = None) -> tuple[Seen | None, list[str]]:
    taken: list[str] = []
    for _ in range(times):
        look = look_at(folder, ENDINGS, seen)
        seen = look.seen
        taken += [path.name for path in look.whole]
    return seen, taken


def test_what_lay_there_before_the_watch_is_left_alone(tmp_path: Path) -> None:
    make_photo(tmp_path / "old.png", darkening())
    assert looks(tmp_path, 3)[1] == []


def test_a_photo_is_taken_once_and_only_when_its_size_has_settled(tmp_path: Path) -> None:
    seen, _ = looks(tmp_path, 1)
    photo = tmp_path / "board.jpg"
    photo.write_bytes(b"first half")
    seen, taken = looks(tmp_path, 1, seen)
    assert taken == []
    photo.write_bytes(b"first half and second half")
    seen, taken = looks(tmp_path, 1, seen)
    assert taken == []
    seen, taken = looks(tmp_path, 3, seen)
    assert taken == ["board.jpg"]


def test_an_empty_file_waits_for_its_bytes(tmp_path: Path) -> None:
    seen, _ = looks(tmp_path, 1)
    (tmp_path / "board.jpg").touch()
    assert looks(tmp_path, 4, seen)[1] == []


def test_other_files_are_none_of_its_business(tmp_path: Path) -> None:
    seen, _ = looks(tmp_path, 1)
    (tmp_path / "notes.txt").write_text("nothing")
    (tmp_path / "board.jpg.part").write_bytes(b"half")
    assert looks(tmp_path, 3, seen)[1] == []


def test_a_placeholder_of_a_cloud_drive_is_named_once(tmp_path: Path) -> None:
    seen = look_at(tmp_path, ENDINGS, None).seen
    (tmp_path / ".board.heic.icloud").write_bytes(b"placeholder")
    first = look_at(tmp_path, ENDINGS, seen)
    assert first.not_here == ("board.heic",)
    again = look_at(tmp_path, ENDINGS, first.seen)
    assert again.not_here == ()
    assert again.whole == ()
    (tmp_path / ".board.heic.icloud").unlink()
    (tmp_path / "board.heic").write_bytes(b"fetched")
    assert looks(tmp_path, 2, again.seen)[1] == ["board.heic"]


def test_a_folder_that_is_gone_is_said(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="folder that can be read"):
        look_at(tmp_path / "gone", ENDINGS, None)


def test_the_window_takes_what_arrives_and_the_same_bytes_never_twice(qtbot: QtBot, tmp_path: Path) -> None:
    window = open_window(qtbot, tmp_path)
    sent = tmp_path / "sent"
    sent.mkdir()
    window.watch.watch(sent)
    qtbot.waitUntil(lambda: not window.tasks.busy("watched-folder"))
    photo = make_photo(sent / "board.png", darkening())
    for _ in range(2):
        window.watch.look()
        qtbot.waitUntil(lambda: not window.tasks.busy("watched-folder"))
    wait_read(qtbot, window)
    assert [file.name for file in window.document.job.photos] == ["board.png"]
    os.rename(photo, tmp_path / "copy.png")
    drop(qtbot, window, tmp_path / "copy.png")
    assert [file.name for file in window.document.job.photos] == ["board.png"]
    window.watch.watch(sent / "gone")
    qtbot.waitUntil(lambda: window.watch.folder is None)
    assert any("folder that can be read" in trouble.sentence for trouble in window.session.state.troubles)
