"""The sheet for the wall while the samples are tested: which goes in when, all out together, and the cautions."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import Final

from colourcore.curve.ladder import Ladder, Rung
from colourcore.report.blocks import Block, Edge, Figure, Notice, NoticeColumns, Paragraph, Report, Style
from colourcore.report.drawing import FAINT, INK, LINE, ODDS, QUIET, Anchor, Drawing, Mark, Pen, Stroke, Words, box
from colourcore.report.lettering import Run, Weight, plain
from colourcore.report.pages import Paper
from colourcore.report.phrases import format_hours
from colourcore.run.cautions import CAUTIONS, Caution, Moment

__all__ = ["EVERY_OPENING", "clock_time", "ladder_cautions", "ladder_report", "ladder_sheet", "out_at", "put_in_at"]

EVERY_OPENING: Final = (
    "a sample that goes in later means a tub opened by hand: dressed as for pouring, doors open, and only where all of "
    "its ammonia loose in the room stays under 250 ppm. Where it would not, give each sample a jar of its own."
)
"""What a ladder asks of whoever opens the tub; follows the words "Every opening counts:"."""

_DAYS: Final = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_COUNTS: Final = dict(enumerate(("Two", "Three", "Four", "Five", "Six", "Seven", "Eight", "Nine", "Ten"), 2))
_MOMENTS: Final = (Moment.ALWAYS, Moment.BEFORE_TEST, Moment.POURING, Moment.ENDING, Moment.AIRING)
_TALLEST_ROW, _LOWEST_ROW, _ROWS = 25.0, 15.0, 176.0  # of one row, and of all of them where they are many
_BAR, _WORDS_LEFT, _BOX = 9.0, 214.0, 11.0
_LABEL_ROOM = 46.0


def ladder_cautions() -> tuple[Caution, ...]:
    """Return the cautions that belong to a test of samples, from before the first goes in until its air is out.

    >>> [caution.key for caution in ladder_cautions()][:2], len(ladder_cautions()) < len(CAUTIONS)
    (['first', 'limits'], True)
    """
    return tuple(caution for caution in CAUTIONS if caution.moment in _MOMENTS)


def clock_time(moment: datetime) -> str:
    """Return a day of the week and a clock time, the same in every language setting.

    >>> clock_time(datetime(2025, 3, 6, 21, 30))
    'Thu 21:30'
    """
    return f"{_DAYS[moment.weekday()]} {moment:%H:%M}"


def put_in_at(rung: Rung, start: datetime) -> datetime:
    """Return when a sample goes in; `start` is when the first does."""
    return start + timedelta(minutes=round(60 * rung.in_after_hours))


def out_at(ladder: Ladder, start: datetime) -> datetime:
    """Return when all come out together."""
    return start + timedelta(minutes=round(60 * max((rung.out_after_hours for rung in ladder.rungs), default=0.0)))


def ladder_report(ladder: Ladder, start: datetime, *, written: datetime, program: str) -> Report:
    """Return the sheet as blocks.

    Parameters
    ----------
    ladder
        The series of hours, raw wood among them.
    start
        When the first sample goes in, by the clock on the wall.
    written
        When the sheet is made, by the caller's clock.
    program
        Name and version of what made it.
    """
    out = out_at(ladder, start)
    exposed = [rung for rung in ladder.rungs if rung.hours > 0]
    raw = len(ladder.rungs) - len(exposed)
    headline = (
        Run(text=f"{_COUNTS.get(len(exposed), str(len(exposed)))} samples go in one after another from "),
        Run(text=clock_time(start), weight=Weight.BOLD),
        Run(text=", and all come out at "),
        Run(text=clock_time(out), weight=Weight.BOLD),
        Run(text="."),
    )
    second = (
        "Cut them from one board, side by side, and pencil the hours on the back of each. "
        + ("Keep one raw, away from the vapour. " if raw else "")
        + "Photograph one at once and all when settled, a grey card beside them."
    )
    blocks: Sequence[Block] = (
        Paragraph(runs=headline, style=Style.HEADLINE),
        Paragraph(runs=plain(second), style=Style.SECOND),
        Notice(lead="Every opening counts:", text=EVERY_OPENING, edge=Edge.CARE),
        _figure(ladder, start),
        NoticeColumns(
            notices=tuple(Notice(lead=one.lead, text=one.sentence, edge=Edge.CARE) for one in ladder_cautions())
        ),
    )
    return Report(title="Ladder of samples", program=program, written=written, pinned=tuple(blocks), evidence=())


def ladder_sheet(ladder: Ladder, start: datetime, *, written: datetime, program: str, paper: Paper = Paper.A4) -> bytes:
    """Return the sheet as a PDF file; see `ladder_report`. The same input gives the same bytes."""
    from colourcore.report.pdf import pdf_bytes  # the window says clock times long before a sheet is written

    return pdf_bytes(ladder_report(ladder, start, written=written, program=program), paper)


def _figure(ladder: Ladder, start: datetime) -> Figure:
    height = _row_height(ladder) * (len(ladder.rungs) + 1) + 6.0

    def draw(width: float, _height: float) -> Drawing:
        return _drawing(ladder, start, width)

    caption = "Each bar is a sample’s time in the vapour. Tick a box when it is done; cautions have no box."
    return Figure(draw=draw, height=height, least=height, caption=plain(caption))


def _row_height(ladder: Ladder) -> float:
    return min(_TALLEST_ROW, max(_LOWEST_ROW, _ROWS / (len(ladder.rungs) + 1)))


def _drawing(ladder: Ladder, start: datetime, width: float) -> Drawing:
    """Rows from the longest to raw wood, by the clock: a box to tick, hours, in, out, and a bar along the time."""
    rungs = sorted(ladder.rungs, key=lambda rung: -rung.hours)
    longest, row = max(rungs[0].hours, 1e-9), _row_height(ladder)
    left, right = _WORDS_LEFT, width - 4.0
    marks: list[Mark] = [
        Words(x=x, y=14.0, text=text, size=8.5, ink=QUIET)
        for x, text in ((20.0, "hours"), (74.0, "goes in"), (144.0, "comes out"))
    ]
    marks += _clock_marks(start, longest, left, right, (row, row * (len(rungs) + 1)))
    for number, rung in enumerate(rungs, 1):
        top = number * row
        baseline = top + 0.5 * row + 4.0
        marks.append(Stroke(points=((0.0, top), (width, top)), pen=Pen(width=0.6, ink=LINE)))
        marks.append(Words(x=20.0, y=baseline, text=format_hours(rung.hours), size=12.0, weight=Weight.BOLD))
        if rung.hours == 0:
            marks.append(Words(x=74.0, y=baseline, text="stays raw, never goes in", size=10.5))
            continue
        marks.append(box(0.0, top + (row - _BOX) / 2, _BOX, _BOX, pen=Pen(width=0.9)))
        marks.append(Words(x=74.0, y=baseline, text=clock_time(put_in_at(rung, start)), size=11.0))
        marks.append(Words(x=144.0, y=baseline, text=clock_time(out_at(ladder, start)), size=11.0, ink=QUIET))
        x = left + (right - left) * rung.in_after_hours / longest
        marks.append(box(x, top + (row - _BAR) / 2, right - x, _BAR, fill=ODDS))
    total = row * (len(rungs) + 1)
    marks.append(Stroke(points=((0.0, total), (width, total)), pen=Pen(width=0.6, ink=LINE)))
    said = "; ".join(f"{format_hours(r.hours)} in at {clock_time(put_in_at(r, start))}" for r in rungs if r.hours > 0)
    return Drawing(width=width, height=total + 6.0, description=f"Ladder: {said}", marks=tuple(marks))


def _clock_marks(start: datetime, longest: float, left: float, right: float, reach: tuple[float, float]) -> list[Mark]:
    """Faint uprights at round clock times from `reach`'s top to its bottom, named at their head."""
    top, bottom = reach
    step = next(s for s in (1, 2, 3, 6, 12, 24, 48, 96, 240) if (right - left) * s / longest >= _LABEL_ROOM or s == 240)
    midnight = start.replace(hour=0, minute=0, second=0, microsecond=0)
    marks: list[Mark] = []
    offset = (start - midnight).total_seconds() / 3600
    number = int(offset // step) + 1
    while number * step - offset <= longest:
        at = left + (right - left) * (number * step - offset) / longest
        moment = midnight + timedelta(hours=number * step)
        marks.append(Stroke(points=((at, top - 4.0), (at, bottom)), pen=Pen(width=0.6, ink=FAINT)))
        if at + 20.0 <= right:
            name = clock_time(moment) if moment.hour == 0 or step >= 12 else f"{moment:%H:%M}"
            marks.append(Words(x=at, y=14.0, text=name, size=8.5, ink=INK, anchor=Anchor.MIDDLE))
        number += 1
    return marks
