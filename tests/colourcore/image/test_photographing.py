"""The page on photographing says what the code does."""

from __future__ import annotations

import re
from pathlib import Path

HOUSE = Path(__file__).parents[3]
PAGE = (HOUSE / "docs" / "photographing.md").read_text("utf-8")


def codes_in_the_room() -> set[str]:
    sources = "\n".join(path.read_text("utf-8") for path in (HOUSE / "colourcore" / "image").glob("*.py"))
    plain = set(re.findall(r'code="(\w+)"', sources))
    return plain | {"grain_crosswise", "grain_askew"}  # chosen between in one place


def test_every_check_stands_on_the_page_and_nothing_else_does() -> None:
    table = PAGE.split("## What the checks say")[1]
    rows = [line for line in table.splitlines() if line.startswith("| `")]
    on_the_page = {code for row in rows for code in re.findall(r"`(\w+)`", row.split("|")[1])}
    assert on_the_page == codes_in_the_room()


def test_every_figure_of_the_page_is_there_and_says_what_it_shows() -> None:
    figures = re.findall(r"!\[([^\]]+)\]\(([^)]+)\)", PAGE)
    assert len(figures) >= 5
    for words, path in figures:
        drawing = (HOUSE / "docs" / path).read_text("utf-8")
        assert "<title" in drawing
        assert "<desc" in drawing
        assert len(words) > 20


def test_the_limits_on_the_page_are_those_of_the_code() -> None:
    from colourcore.image import checks

    assert (checks.CLIPPED_NOTED, checks.CLIPPED_REFUSED) == (0.005, 0.05)
    assert "warned from 0.5 %, refused from 5 %" in PAGE
    assert checks.MOST_UNEVEN == 0.40
    assert "more than 40 % is refused" in PAGE
