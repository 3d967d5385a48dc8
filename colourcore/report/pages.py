"""Lets the slabs of a report flow over pages. Pure: what stands where is known before anything is painted."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from enum import Enum
from typing import Final

from colourcore.report.blocks import Block, Figure, NewPage, Report
from colourcore.report.drawing import INK, QUIET, Anchor, Drawing, Mark, Pen, Stroke, Words
from colourcore.report.lettering import Weight, shortened
from colourcore.report.phrases import format_date
from colourcore.report.setting import Slab, caption_slabs, slabs

__all__ = ["TEXT_WIDTH", "Page", "Paper", "Placed", "paginate"]

TEXT_WIDTH: Final = 499.28
"""Width of the text in points, on any paper."""

# an A4 page printed at full size on US Letter loses 25 pt at top and bottom: nothing stands there
_TOP, _BOTTOM = 42.0, 46.0
_FOOT = 20.0


class Paper(Enum):
    """Width and height of the paper in points."""

    A4 = (595.28, 841.89)
    LETTER = (612.0, 792.0)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Placed:
    """A drawing with its place on the page: the top of it, in points from the paper's top."""

    drawing: Drawing
    y: float
    bookmark: str = ""


@dataclass(slots=True)
class Page:
    """What stands on one page, from top to bottom."""

    placed: list[Placed] = field(default_factory=list)


@dataclass(slots=True)
class _Flow:
    bottom: float
    pages: list[Page]
    y: float = _TOP

    def turn(self) -> None:
        self.pages.append(Page())
        self.y = _TOP

    def put(self, drawing: Drawing, after: float = 0.0, bookmark: str = "") -> None:
        self.pages[-1].placed.append(Placed(drawing=drawing, y=self.y, bookmark=bookmark))
        self.y += drawing.height + after


def paginate(report: Report, paper: Paper) -> tuple[Page, ...]:
    """Return the pages of a report, foot lines included."""
    flow = _Flow(bottom=paper.value[1] - _BOTTOM, pages=[Page()])
    flow.put(_title_line(report), 8.0, report.title)
    _place_pinned(report.pinned, flow)
    _place(report.evidence, flow)
    for number, page in enumerate(flow.pages, 1):
        foot = _foot_line(report, number, len(flow.pages))
        page.placed.append(Placed(drawing=foot, y=paper.value[1] - _BOTTOM + _FOOT - foot.height))
    return tuple(flow.pages)


def _title_line(report: Report) -> Drawing:
    date = format_date(report.written)
    marks: tuple[Mark, ...] = (
        Words(x=0.0, y=9.0, text=shortened(report.title, 360.0, 11.0), size=11.0, weight=Weight.BOLD),
        Words(x=TEXT_WIDTH, y=9.0, text=date, size=8.5, ink=QUIET, anchor=Anchor.END),
        Stroke(points=((0.0, 15.0), (TEXT_WIDTH, 15.0)), pen=Pen(width=1.1, ink=INK)),
    )
    return Drawing(width=TEXT_WIDTH, height=16.0, description="", marks=marks)


def _foot_line(report: Report, number: int, count: int) -> Drawing:
    said = f"{shortened(report.title, 200.0)} · {report.program} · {format_date(report.written)}"
    marks: list[Mark] = [
        Words(x=0.0, y=8.0, text=said, ink=QUIET),
        Words(x=TEXT_WIDTH, y=8.0, text=f"page {number} of {count}", ink=QUIET, anchor=Anchor.END),
    ]
    if report.invented:
        place = TEXT_WIDTH - 64.0
        marks.append(Words(x=place, y=8.0, text="Invented example", weight=Weight.SEMIBOLD, anchor=Anchor.END))
    return Drawing(width=TEXT_WIDTH, height=10.0, description="", marks=tuple(marks))


def _place_pinned(blocks: Sequence[Block], flow: _Flow) -> None:
    """Place the first page; a figure that fills takes what height the others leave, or steps back."""
    laid = [slabs(block, TEXT_WIDTH) if not _fills(block) else [] for block in blocks]
    for number, block in enumerate(blocks):
        if not isinstance(block, Figure) or not block.fills:
            continue
        caption = caption_slabs(block, TEXT_WIDTH)
        taken = sum(slab.drawing.height + slab.after for group in (*laid, caption) for slab in group)
        room = flow.bottom - flow.y - taken - 6.0
        if room >= block.least:
            laid[number] = [Slab(drawing=block.draw(TEXT_WIDTH, room), after=5.0), *caption]
    for group in laid:
        _let_flow(group, flow)


def _fills(block: Block) -> bool:
    return isinstance(block, Figure) and block.fills


def _place(blocks: Sequence[Block], flow: _Flow) -> None:
    laid: list[Slab] = []
    for block in blocks:
        if isinstance(block, NewPage):
            _let_flow(laid, flow)
            laid = []
            flow.turn()
        else:
            laid += slabs(block, TEXT_WIDTH)
    _let_flow(laid, flow)


def _let_flow(laid: Sequence[Slab], flow: _Flow) -> None:
    for number, slab in enumerate(laid):
        if flow.y > _TOP and flow.y + _kept_height(laid[number:]) > flow.bottom:
            flow.turn()
            if slab.repeat is not None:
                flow.put(slab.repeat)
        flow.put(slab.drawing, slab.after, slab.bookmark)


def _kept_height(laid: Sequence[Slab]) -> float:
    """Return the height of a slab with what must stay on its page."""
    height = 0.0
    for slab in laid:
        height += slab.drawing.height
        if not slab.keep:
            break
        height += slab.after
    return height
