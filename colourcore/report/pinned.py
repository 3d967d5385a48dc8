"""The first page: what somebody pins over the bench."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from colourcore.curve.outcome import Outcome
from colourcore.report.blocks import Block, Edge, Figure, Notice, NoticeColumns, Paragraph, Style
from colourcore.report.drawing import Drawing, shifted
from colourcore.report.figures import compact_curve_drawing
from colourcore.report.headline import headline
from colourcore.report.ledger import LEAST_WOOD, LEDGER_ROWS, ledger_drawing, ledger_height
from colourcore.report.lettering import bold_times, plain
from colourcore.report.phrases import often_in_words
from colourcore.report.sentences import (
    BOARD_NOT_PIECE,
    PIECE_NOT_BOARD,
    board_sentence,
)
from colourcore.report.series import Pixels, Series
from colourcore.run.cautions import pinned_cautions

__all__ = ["boards", "pinned_blocks"]

_CHARTS = 2
_CHART_HEIGHTS = (210.0, 150.0)
_LEAST_CHART = 80.0
_CHART_GAP = 14.0
_WOOD_BESIDE_CHARTS = 21.0
_LONG = 130


def pinned_blocks(series: Sequence[Series], target_wood: Pixels | None, invented: str) -> tuple[Block, ...]:
    """Return the first page: the sentence, the rows with their odds, the curves, the target, the cautions in short."""
    groups = [one.group for one in series]
    said: list[Block] = []
    if invented:
        lead, _, rest = invented.partition(": ")
        said.append(Notice(lead=f"{lead}:", text=rest))
    sentence = headline(groups)
    style = Style.HEADLINE if len(sentence) <= _LONG else Style.LONG_HEADLINE
    said.append(Paragraph(runs=bold_times(sentence), style=style))
    said.append(Paragraph(runs=plain(_second_line(series)), style=Style.SECOND))
    if series:
        said.append(_figure(series, target_wood))
    cautions = (Notice(lead=one.lead, text=one.pinned, edge=Edge.CARE) for one in pinned_cautions())
    return (*said, NoticeColumns(notices=tuple(cautions)))


def _second_line(series: Sequence[Series]) -> str:
    if not series:
        return "Outline samples on a photo, give each its hours, and the hours to the target follow."
    if all(one.group.answer.outcome is Outcome.CANNOT_SAY for one in series):
        read = sum(one.group.n for one in series)
        return f"Read so far: {read} sample{'' if read == 1 else 's'}. What stands against an answer follows."
    if all(one.group.answer.piece is None for one in series):
        return BOARD_NOT_PIECE
    return board_sentence(series[0].group.answer) if len(series) == 1 else PIECE_NOT_BOARD


def _figure(series: Sequence[Series], target_wood: Pixels | None) -> Figure:
    shown = series[:LEDGER_ROWS]
    charts = list(boards(shown))[:_CHARTS]

    def draw(width: float, height: float) -> Drawing:
        rows = ledger_height(len(shown), _WOOD_BESIDE_CHARTS)
        most = _CHART_HEIGHTS[len(charts) - 1]
        chart_height = min(most, 0.5 * height, height - rows - _CHART_GAP)
        if chart_height < _LEAST_CHART:
            return ledger_drawing(shown, target_wood, width, height)
        ledger = ledger_drawing(shown, target_wood, width, height - chart_height - _CHART_GAP)
        return _with_charts(ledger, charts, width, chart_height)

    likes = ledger_height(len(shown)) + _CHART_GAP + 0.85 * _CHART_HEIGHTS[len(charts) - 1]
    least = ledger_height(len(shown), LEAST_WOOD)
    return Figure(draw=draw, height=likes, least=least, caption=plain(_caption(series)), fills=True)


def _with_charts(ledger: Drawing, charts: Sequence[Sequence[Series]], width: float, height: float) -> Drawing:
    share = (width - 18.0 * (len(charts) - 1)) / len(charts)
    marks = list(ledger.marks)
    beside = [one for board in charts for one in board]
    for number, board in enumerate(charts):
        chart = compact_curve_drawing(board, beside, share, height)
        marks += shifted(chart.marks, number * (share + 18.0), ledger.height + _CHART_GAP)
    total = ledger.height + _CHART_GAP + height
    return Drawing(width=width, height=total, description=ledger.description, marks=tuple(marks))


def _caption(series: Sequence[Series]) -> str:
    answer = series[0].group.answer
    often = often_in_words(answer.confidence)
    pieces = any(one.group.answer.piece is not None for one in series)
    point = "when it is due" if pieces else "even odds"
    said = (
        "Samples stand at their hours, early hours drawn wide, on the fitted colour with the target’s laid along it. "
        f"Bar and small hours: {often}. V: {point}. Dark: odds of being past the target. "
        "Hatched: beyond the last sample. Printed colours remind; the figures count."
    )
    if len(series) > LEDGER_ROWS:
        said += f" {len(series) - LEDGER_ROWS} more boards and zones follow."
    return said


def boards(series: Sequence[Series]) -> list[list[Series]]:
    """Return the series board by board, in their order."""
    return [list(group) for _, group in groupby(series, key=lambda one: one.group.board)]
