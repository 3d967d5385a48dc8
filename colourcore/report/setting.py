"""From blocks to slabs: pieces of a page that are never cut, each a drawing as wide as the text.

Nothing here knows a page's height; `pdf` lets the slabs flow.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from colourcore.report.blocks import (
    Block,
    Cell,
    Column,
    Edge,
    Figure,
    Heading,
    Notice,
    NoticeColumns,
    Paragraph,
    Style,
    Table,
)
from colourcore.report.drawing import (
    FAINT,
    INK,
    LINE,
    QUIET,
    Anchor,
    Drawing,
    Mark,
    Pen,
    Stroke,
    Words,
    box,
    hatching,
    shifted,
)
from colourcore.report.lettering import Run, Weight, plain, text_width, wrap
from colourcore.report.phrases import unbroken

__all__ = ["Slab", "caption_slabs", "slabs"]

_TYPE: Final = {
    Style.HEADLINE: (20.0, 25.0, INK),
    Style.LONG_HEADLINE: (15.5, 19.5, INK),
    Style.SECOND: (11.0, 15.0, QUIET),
    Style.BODY: (9.5, 13.0, INK),
    Style.SMALL: (8.0, 10.4, QUIET),
}
"""Size, distance between lines, and ink of each style of paragraph."""

_CELL_SIZE, _CELL_LEADING, _CELL_SPACE = 8.6, 10.6, 4.0
_SWATCH = 18.0
_EDGE = 5.0
_COLUMN_GAP = 16.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Slab:
    """A piece of a page that is never cut.

    Attributes
    ----------
    drawing
        What it shows.
    after
        Space below it, in points, dropped at the end of a page.
    keep
        Whether it must not be the last of a page.
    repeat
        What is shown again when this slab comes first on a new page.
    bookmark
        Text of the bookmark that points here, or empty.
    """

    drawing: Drawing
    after: float = 0.0
    keep: bool = False
    repeat: Drawing | None = None
    bookmark: str = ""


def slabs(block: Block, width: float) -> list[Slab]:
    """Return the slabs of any block but a figure that fills and a new page."""
    match block:
        case Heading():
            return _heading(block, width)
        case Paragraph():
            size, leading, ink = _TYPE[block.style]
            drawing = _text(block.runs, width, size=size, leading=leading, ink=ink)
            return [Slab(drawing=drawing, after=9.0 if block.style is Style.SECOND else 6.0, keep=block.keep)]
        case Table():
            return _table(block, width)
        case Figure():
            drawing = block.draw(width, block.height)
            return [Slab(drawing=drawing, after=5.0, keep=bool(block.caption)), *caption_slabs(block, width)]
        case Notice():
            drawing = _notice(block, width, size=9.5, leading=13.0)
            return [Slab(drawing=drawing, after=7.0)]
        case NoticeColumns():
            return [Slab(drawing=_notice_columns(block, width), after=0.0)]
    return []


def caption_slabs(figure: Figure, width: float) -> list[Slab]:
    """Return the caption of a figure, nothing where it has none."""
    if not figure.caption:
        return []
    size, leading, ink = _TYPE[Style.SMALL]
    return [Slab(drawing=_text(figure.caption, width, size=size, leading=leading, ink=ink), after=14.0)]


def _text(runs: Sequence[Run], width: float, *, size: float, leading: float, ink: str, left: float = 0.0) -> Drawing:
    bound = [Run(text=unbroken(run.text), weight=run.weight) for run in runs]
    marks: list[Mark] = []
    lines = wrap(bound, size, width - left)
    for number, line in enumerate(lines):
        x = left
        for run in line:
            baseline = number * leading + 0.5 * leading + 0.34 * size
            marks.append(Words(x=x, y=baseline, text=run.text, size=size, weight=run.weight, ink=ink))
            x += text_width(run.text, size, run.weight)
    return Drawing(width=width, height=len(lines) * leading, description="", marks=tuple(marks))


def _heading(block: Heading, width: float) -> list[Slab]:
    size, space = (14.0, 10.0) if block.level == 1 else (10.5, 4.0)
    weight = Weight.BOLD if block.level == 1 else Weight.SEMIBOLD
    drawing = _text(plain(block.text, weight), width, size=size, leading=1.3 * size, ink=INK)
    lowered = Drawing(
        width=width, height=drawing.height + space, description="", marks=shifted(drawing.marks, 0.0, space)
    )
    return [Slab(drawing=lowered, after=4.0, keep=True, bookmark=block.text if block.level == 1 else "")]


def _edge_marks(edge: Edge, height: float) -> Iterable[Mark]:
    if edge is Edge.NOTE:
        yield box(_EDGE - 1.2, 1.0, 1.2, height - 2.0, fill=INK)
        return
    if edge is Edge.REFUSED:
        yield box(0.0, 1.0, _EDGE, height - 2.0, fill=INK)
        return
    yield from hatching(0.0, 1.0, _EDGE, height - 2.0, pen=Pen(width=0.9), step=3.2)
    yield box(0.0, 1.0, _EDGE, height - 2.0, pen=Pen(width=0.6))


def _notice(block: Notice, width: float, *, size: float, leading: float) -> Drawing:
    runs = (Run(text=f"{block.lead} ", weight=Weight.BOLD), Run(text=block.text)) if block.lead else plain(block.text)
    text = _text(runs, width, size=size, leading=leading, ink=INK, left=_EDGE + 7.0)
    marks = (*_edge_marks(block.edge, text.height), *text.marks)
    return Drawing(width=width, height=text.height, description="", marks=marks)


def _notice_columns(block: NoticeColumns, width: float) -> Drawing:
    column = (width - _COLUMN_GAP) / 2
    set_notices = [_notice(notice, column, size=8.2, leading=10.3) for notice in block.notices]
    gap = 4.2
    total = sum(notice.height + gap for notice in set_notices)
    marks: list[Mark] = []
    x, y, tallest = 0.0, 0.0, 0.0
    for notice in set_notices:
        # the left column takes what brings it nearest to half
        if x == 0.0 and y + notice.height / 2 > total / 2:
            x, y = column + _COLUMN_GAP, 0.0
        marks += shifted(notice.marks, x, y)
        y += notice.height + gap
        tallest = max(tallest, y - gap)
    return Drawing(width=width, height=tallest, description="", marks=tuple(marks))


def _table(block: Table, width: float) -> list[Slab]:
    shares = sum(column.share for column in block.columns)
    widths = [width * column.share / shares for column in block.columns]
    head = _row([Cell(text=column.heading) for column in block.columns], block.columns, widths, head=True)
    rows = [_row(row, block.columns, widths) for row in block.rows]
    return [
        Slab(drawing=head, keep=True),
        *(Slab(drawing=row, repeat=head, after=12.0 if row is rows[-1] else 0.0) for row in rows),
    ]


def _row(cells: Sequence[Cell], columns: Sequence[Column], widths: Sequence[float], *, head: bool = False) -> Drawing:
    marks: list[Mark] = []
    x, tallest = 0.0, 1
    for cell, column, wide in zip(cells, columns, widths, strict=True):
        left = _SWATCH if cell.swatch else 0.0
        runs = plain(unbroken(cell.text), cell.weight)
        lines = wrap(runs, _CELL_SIZE, max(8.0, wide - left - 6.0)) if cell.text else []
        tallest = max(tallest, len(lines))
        if cell.swatch:
            marks.append(box(x, 2.0, _SWATCH - 5.0, _CELL_LEADING, fill=cell.swatch))
        for number, line in enumerate(lines):
            y = 2.0 + number * _CELL_LEADING + 0.5 * _CELL_LEADING + 0.34 * _CELL_SIZE
            place = x + left if column.anchor is Anchor.START else x + wide - 6.0
            marks += [
                Words(
                    x=place,
                    y=y,
                    text="".join(run.text for run in line),
                    size=_CELL_SIZE,
                    weight=cell.weight,
                    ink=QUIET if head else INK,
                    anchor=column.anchor,
                )
            ]
        x += wide
    height = tallest * _CELL_LEADING + _CELL_SPACE
    marks.append(Stroke(points=((0.0, height), (x, height)), pen=Pen(width=0.7, ink=LINE if head else FAINT)))
    return Drawing(width=x, height=height, description="", marks=tuple(marks))
