"""What a report is made of, before anybody decides how a page or a screen shows it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from enum import Enum

from colourcore.report.drawing import Anchor, Drawing
from colourcore.report.lettering import Run, Weight

__all__ = [
    "Block",
    "Cell",
    "Column",
    "Edge",
    "Figure",
    "Heading",
    "NewPage",
    "Notice",
    "NoticeColumns",
    "Paragraph",
    "Report",
    "Style",
    "Table",
]


class Style(Enum):
    """How prominent a paragraph is."""

    HEADLINE = "headline"
    LONG_HEADLINE = "headline long"
    SECOND = "second"
    BODY = "body"
    SMALL = "small"


class Edge(Enum):
    """The edge a notice has: a thin stroke for a note, hatched for take care, solid for refused."""

    NOTE = "note"
    CARE = "care"
    REFUSED = "refused"


@dataclass(frozen=True, slots=True, kw_only=True)
class Heading:
    """A heading; level 1 also becomes a bookmark."""

    text: str
    level: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Paragraph:
    """A paragraph; one that is to `keep` stays on the page of what follows."""

    runs: tuple[Run, ...]
    style: Style = Style.BODY
    keep: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """A column of a table: its heading, its share of the width, and where its text stands."""

    heading: str
    share: float
    anchor: Anchor = Anchor.START


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """A cell: text, or with a `swatch` (#rrggbb) a patch of colour before it."""

    text: str = ""
    weight: Weight = Weight.REGULAR
    swatch: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """A table. The caption is its name; every row has as many cells as there are columns."""

    caption: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Figure:
    """A drawing for a width and a height in points, with a caption.

    Attributes
    ----------
    draw
        Makes the drawing; it may come out lower than asked for, never higher.
    height
        The height it likes.
    least
        The height below which it makes no sense; on a page with room it may grow above `height`.
    fills
        Whether it takes what height the page has left.
    """

    draw: Callable[[float, float], Drawing]
    height: float
    least: float
    caption: tuple[Run, ...] = ()
    fills: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Notice:
    """Bold first words and a sentence, at an edge that says how grave it is."""

    lead: str
    text: str
    edge: Edge = Edge.NOTE


@dataclass(frozen=True, slots=True, kw_only=True)
class NoticeColumns:
    """Notices in small type, two columns of them on a page."""

    notices: tuple[Notice, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class NewPage:
    """What follows begins on a new page."""


Block = Heading | Paragraph | Table | Figure | Notice | NoticeColumns | NewPage


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Report:
    """A report, whole.

    Attributes
    ----------
    title
        The job's name.
    program
        Name and version of what wrote it.
    written
        When, by the caller's clock.
    invented
        The mark of an invented example, empty for a real job.
    pinned
        What stands on the first page, and fits on it.
    evidence
        What follows.
    """

    title: str
    program: str
    written: datetime
    invented: str = ""
    pinned: tuple[Block, ...]
    evidence: tuple[Block, ...]
