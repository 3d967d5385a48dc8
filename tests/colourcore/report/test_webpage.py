"""The web page: one file, well formed, readable without eyes, the same text as the paper."""

from __future__ import annotations

import base64
import html
import io
import re
from html.parser import HTMLParser
from itertools import pairwise

import pytest
from fontTools.ttLib import TTFont

from colourcore.report.document import write_html
from colourcore.report.headline import headline
from colourcore.run.cautions import CAUTIONS
from tests.colourcore.report.invented_results import (
    VERSIONS,
    WARNING,
    WRITTEN,
    cannot_say,
    group,
    job,
    not_reached,
    pictures,
    reached,
    results,
)

GROUPS = [group("A", "heartwood", reached()), group("A", "sapwood", not_reached())]
VOID = {"meta", "link", "br", "img", "hr", "input"}


class Outline(HTMLParser):
    """Collects tags, checks that they close, and keeps text that is shown."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.headings: list[str] = []
        self.attributes: list[tuple[str, dict[str, str | None]]] = []
        self.text: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.attributes.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)
        if re.fullmatch("h[1-6]", tag):
            self.headings.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.attributes.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if "style" not in self.open:
            self.text.append(data)


@pytest.fixture(scope="module")
def page() -> str:
    found = results(GROUPS, checks=(WARNING,))
    return write_html(job(), found, pictures(), written=WRITTEN, versions=VERSIONS)


@pytest.fixture(scope="module")
def outline(page: str) -> Outline:
    parser = Outline()
    parser.feed(page)
    parser.close()
    assert not parser.open
    return parser


def squeezed(text: str) -> str:
    return re.sub(r"\s+", "", text)


def test_it_needs_no_other_file(page: str) -> None:
    for tag in ("src=", "href=", "url("):
        for found in re.finditer(re.escape(tag) + r"[\"']?([^\"')]{0,12})", page):
            assert found.group(1).startswith("data:"), found.group(0)
    assert "<script" not in page


def test_the_typeface_inside_has_every_letter_of_the_text_no_break_spaces_too(page: str, outline: Outline) -> None:
    data = re.search(r"font-weight: 600; src: url\(data:font/woff;base64,([^)]+)\)", page)
    assert data
    letters = TTFont(io.BytesIO(base64.b64decode(data.group(1)))).getBestCmap()
    wanted = {letter for text in outline.text for letter in text if letter >= " "}
    assert "\u00a0" in wanted
    assert {ord(letter) for letter in wanted} <= set(letters)


def test_headings_step_down_one_by_one(outline: Outline) -> None:
    assert outline.headings[0] == "h1"
    assert outline.headings.count("h1") == 1
    levels = [int(tag[1]) for tag in outline.headings]
    assert all(late - early <= 1 for early, late in pairwise(levels))


def test_drawings_and_tables_are_named_for_those_who_hear_them(outline: Outline) -> None:
    drawings = [attributes for tag, attributes in outline.attributes if tag == "svg"]
    assert drawings
    assert all(one["role"] == "img" and one["aria-label"] for one in drawings)
    tags = [tag for tag, _ in outline.attributes]
    assert tags.count("table") == tags.count("caption") > 3
    assert all(one.get("scope") == "col" for tag, one in outline.attributes if tag == "th")
    assert ("html", {"lang": "en"}) in outline.attributes


def test_it_says_what_the_paper_says(outline: Outline) -> None:
    text = squeezed(" ".join(outline.text))
    assert squeezed(headline(GROUPS)) in text
    for caution in CAUTIONS:
        assert squeezed(f"{caution.lead} {caution.sentence}") in text
    for row in results(GROUPS).readings:
        if row.reading is not None:
            assert f"{row.reading.lab[0]:.2f}±0.31" in text
    assert squeezed(WARNING.message) in text
    assert squeezed("Invented example") in text


def test_nothing_is_declared_without_danger_and_no_number_is_missing(outline: Outline) -> None:
    text = " ".join(outline.text)
    assert not re.search(r"\bsafe(ly|r|st)?\b", text, re.IGNORECASE)
    assert not re.search(r"\bnan\b", text, re.IGNORECASE)


def test_the_same_job_gives_the_same_text(page: str) -> None:
    found = results(GROUPS, checks=(WARNING,))
    assert write_html(job(), found, pictures(), written=WRITTEN, versions=VERSIONS) == page


def test_names_are_text_and_never_markup() -> None:
    name = '<script>alert("oak & ash")</script>'
    found = results([group(name, "<b>", reached()), group("", "", cannot_say(), None)])
    page = write_html(job(name=name), found, pictures(), written=WRITTEN, versions=VERSIONS)
    assert "<script" not in page
    assert html.escape(name) in page


def test_no_groups_and_no_photos_make_a_page_too() -> None:
    page = write_html(job(invented=False), results([]), {}, written=WRITTEN, versions={})
    assert "No sample was read" in page
    assert "Invented example" not in page
