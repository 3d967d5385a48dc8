"""The sheet for the wall: every step of a run with its clock time and a box to tick; cautions never have one."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from typing import Final

from colourcore.errors import InputError
from colourcore.pipeline.plan import Plan
from colourcore.report.blocks import Block, Edge, Figure, Heading, Notice, Paragraph, Report, Style
from colourcore.report.drawing import INK, QUIET, Drawing, Mark, Pen, Words, box
from colourcore.report.lettering import Run, Weight, bold_times, plain, text_width, wrap
from colourcore.report.phrases import unbroken
from colourcore.report.run_words import (
    StepWords,
    charge_sentences,
    plan_second_line,
    plan_sentence,
    step_words,
)
from colourcore.report.sentences import INVENTED
from colourcore.run.charge import Verdict
from colourcore.run.schedule import Step, day_and_clock

__all__ = ["run_sheet"]

_BOX: Final = 11.0
_CLOCK: Final = 78.0
_SIZE: Final = 10.0
_LEADING: Final = 13.6


def run_sheet(
    plan: Plan, title: str, *, written: datetime, program: str = "duskgrain", us: bool = False, invented: bool = False
) -> Report:
    """Return the sheet as a report for `pdf` and `webpage`.

    Parameters
    ----------
    plan
        With clock times; InputError without, because a sheet without times is no sheet to work by.
    title
        The job's name.
    written
        When, by the caller's clock.
    program
        Name and version of what wrote it.
    us
        Whether amounts are told in US units.
    invented
        Whether the job is an invented example.
    """
    if plan.schedule is None:
        raise InputError("expected a plan with clock times for a sheet, got hours only")
    return Report(
        title=title or "Untitled job",
        program=program,
        written=written,
        invented=INVENTED if invented else "",
        pinned=(),
        evidence=tuple(_blocks(plan, us=us)),
    )


def _blocks(plan: Plan, *, us: bool) -> Iterable[Block]:
    assert plan.schedule is not None  # run_sheet has looked
    yield Paragraph(runs=bold_times(plan_sentence(plan)), style=Style.LONG_HEADLINE)
    yield Paragraph(runs=plain(plan_second_line(plan)), style=Style.SECOND)
    if plan.schedule.sentence:
        yield Notice(lead="Not as wished.", text=plan.schedule.sentence, edge=Edge.NOTE)
    if plan.charge is not None:
        grave = plan.charge.verdict in (Verdict.WARNING, Verdict.STRONG_WARNING)
        said = " ".join(charge_sentences(plan.charge, stated=plan.stated, us=us))
        yield Notice(lead="The charge.", text=said, edge=Edge.CARE if grave else Edge.NOTE)
    yield Notice(lead="The tent.", text=plan.spill.sentence, edge=Edge.CARE)
    for one in plan.apart:
        yield Notice(lead="Not as the test.", text=one.sentence, edge=Edge.CARE)
    for note in (*plan.notes, *(() if plan.looks is None else plan.looks.notes)):
        yield Notice(lead="", text=note)
    yield Heading(text="Step by step", level=2)
    told: set[str] = set()
    for step in plan.schedule.steps:
        words = step_words(plan, step, us=us)
        yield _step_figure(step, words)
        for caution in words.cautions:
            if caution.key not in told:
                yield Notice(lead=caution.lead, text=caution.sentence, edge=Edge.CARE)
        told |= {caution.key for caution in words.cautions}


def _step_figure(step: Step, words: StepWords) -> Figure:
    def draw(width: float, _height: float) -> Drawing:
        return _step_drawing(step, words, width)

    return Figure(draw=draw, height=400.0, least=30.0)


def _step_drawing(step: Step, words: StepWords, width: float) -> Drawing:
    """Return a step: a box to tick, its day and time, what is done, and room before it."""
    left, top = _BOX + 9.0 + _CLOCK, 5.0
    runs = (Run(text=f"{words.lead} ", weight=Weight.BOLD), Run(text=unbroken(words.text)))
    lines = wrap(runs, _SIZE, width - left)
    day, clock = day_and_clock(step.at, " ").split(" ")
    marks: list[Mark] = [
        box(0.6, top + 1.6, _BOX, _BOX, pen=Pen(width=1.1, ink=INK)),
        Words(x=_BOX + 9.0, y=top + 10.6, text=clock, size=13.0, weight=Weight.BOLD),
        Words(x=_BOX + 9.0 + text_width(clock, 13.0, Weight.BOLD) + 5.0, y=top + 10.6, text=day[:3], ink=QUIET),
    ]
    for number, line in enumerate(lines):
        x, y = left, top + 10.6 + number * _LEADING
        for run in line:
            marks.append(Words(x=x, y=y, text=run.text, size=_SIZE, weight=run.weight))
            x += text_width(run.text, _SIZE, run.weight)
    height = top + max(len(lines) * _LEADING, _BOX + 4.0) + 3.0
    said = f"A box to tick. {day_and_clock(step.at)}. {words.lead} {words.text}"
    return Drawing(width=width, height=height, description=said, marks=tuple(marks))
