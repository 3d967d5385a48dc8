"""What is remembered from one start to the next, and what becomes of a file that somebody else has written."""

from __future__ import annotations

from pathlib import Path

import pytest

from app.preferences import Preferences, load_preferences, save_preferences


def test_what_was_remembered_is_there_at_the_next_start(tmp_path: Path) -> None:
    told = Preferences(theme="dark", units="us", started=True).with_recent(tmp_path / "chest.duskgrain")
    save_preferences(tmp_path / "own" / "window.json", told)
    assert load_preferences(tmp_path / "own" / "window.json") == told


def test_a_job_opened_again_comes_first_once(tmp_path: Path) -> None:
    told = Preferences()
    for name in ("a", "b", "a"):
        told = told.with_recent(tmp_path / name)
    assert told.recent == (str(tmp_path / "a"), str(tmp_path / "b"))


@pytest.mark.parametrize("content", ["", "[1, 2]", '{"theme": 7, "recent": "x", "started": "yes"}', "\x00\xff"])
def test_a_damaged_file_counts_as_nothing_remembered(tmp_path: Path, content: str) -> None:
    path = tmp_path / "window.json"
    path.write_text(content, "utf-8")
    assert load_preferences(path) == Preferences()


def test_a_disk_that_takes_nothing_is_passed_over(tmp_path: Path) -> None:
    (tmp_path / "own").write_text("a file where the folder should be")
    save_preferences(tmp_path / "own" / "window.json", Preferences(theme="dark"))
    assert load_preferences(tmp_path / "own" / "window.json") == Preferences()
