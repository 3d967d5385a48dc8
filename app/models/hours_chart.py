"""Where the chart's curves, bars, marks and words stand: geometry only, nothing painted."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from PySide6.QtCore import QPointF, QRectF

from app.models.hours_axis import Axis
from app.models.hours_layout import HoursLayout
from app.models.hours_prospect import Prospect
from app.models.hours_scene import HoursScene, Strand
from app.models.hours_words import spoken_down
from app.wording import tr
from colourcore.curve.hours import Outcome
from colourcore.report.phrases import format_error, format_value

__all__ = ["ChartMark", "ChartPlot", "ChartWord", "chart_plot", "clear_stretches", "curve_points", "odds_points"]

_ROOM_ABOVE = 3.0
_WORDS_DEPTH = 26.0
_WORD_GAP = 9.0
_V_HALF, _V_DEPTH = 9.0, 15.0
_STEPS = (2.0, 5.0, 10.0, 20.0)
_LEAST_STEP = 26.0


@dataclass(frozen=True, slots=True, kw_only=True)
class ChartMark:
    """A strand's hours on the chart: its bar, what is written at its V, and where they stand.

    `bar` runs along the target from the interval's low to its high end (to the right edge where that is open),
    `middle_x` ticks it, `due_x` and `look_x` are None where there are none; `letter` names the board where two lie
    beside each other.
    """

    strand: Strand
    bar: QRectF
    middle_x: float | None
    due_x: float | None
    look_x: float | None
    letter: str
    outlined: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class ChartWord:
    """A word in the chart and the box it keeps clear of lines."""

    text: str
    box: QRectF


@dataclass(frozen=True, slots=True, kw_only=True)
class ChartPlot:
    """The chart's measures.

    Attributes
    ----------
    area
        Where curves are drawn; folded, without height.
    top_lightness, bottom_lightness
        Lightness at its upper and lower edge.
    grid
        Lightness of the thin lines.
    target_y
        Where the target runs, None where there is none or it lies outside.
    marks
        Bars and hours.
    words
        What is written in it.
    beyond_x
        Where nothing is measured any more; the right edge where the axis ends with the samples.
    still
        Left and right of the hours that all give the shade, None where the wood moves.
    """

    area: QRectF
    top_lightness: float
    bottom_lightness: float
    grid: tuple[float, ...]
    target_y: float | None
    marks: tuple[ChartMark, ...]
    words: tuple[ChartWord, ...]
    beyond_x: float
    still: tuple[float, float] | None

    def y(self, lightness: float) -> float:
        """Return where an L* stands."""
        share = (self.top_lightness - lightness) / (self.top_lightness - self.bottom_lightness)
        return self.area.top() + share * self.area.height()

    def v_box(self, mark: ChartMark) -> QRectF | None:
        """Return the box of the V at a mark's due hour, its point at the bottom middle."""
        if mark.due_x is None:
            return None
        return QRectF(mark.due_x - _V_HALF, mark.bar.top() - 3 - _V_DEPTH, 2 * _V_HALF, _V_DEPTH)

    def line_gaps(self, x: float) -> list[tuple[float, float]]:
        """Return the stretches that a line down at x must leave out: a V, and words."""
        boxes = [box.adjusted(-4, -3, 4, 3) for mark in self.marks if (box := self.v_box(mark))]
        boxes += [word.box.adjusted(-4, 0, 4, 0) for word in self.words]
        return sorted((box.top(), box.bottom()) for box in boxes if box.left() <= x <= box.right())


def chart_plot(scene: HoursScene, layout: HoursLayout, axis: Axis, text_width: Callable[[str], float]) -> ChartPlot:
    """Return the chart's measures; `text_width` tells how wide a small semibold word is, in logical pixels."""
    chart = layout.chart
    area = QRectF(chart.left(), chart.top() + 12, chart.width(), max(0.0, chart.height() - 12 - _WORDS_DEPTH))
    top, bottom = _lightness_range(scene, axis.last_hours)
    target = scene.target

    def y(lightness: float) -> float:
        return area.top() + (top - lightness) / (top - bottom) * area.height()

    target_y = y(target.L) if target is not None and not layout.folded else None
    bar_y = layout.odds.top() if layout.folded else target_y
    marks = _marks(scene, layout, axis, bar_y) if bar_y is not None else ()
    lead = scene.lead.prospect if scene.lead else None
    still = lead.any_hour(target) if lead is not None and target is not None else None
    last = max((s.hours for strand in scene.rows for s in strand.samples), default=axis.last_hours)
    beyond = axis.x(last) if last < axis.last_hours * 0.999 else layout.right
    words = _hour_words(layout, marks, text_width)
    if target_y is not None:
        words = (_target_word(scene, area, axis, y, target_y, text_width), *words)
    return ChartPlot(
        area=area,
        top_lightness=top,
        bottom_lightness=bottom,
        grid=_grid(top, bottom, area.height()),
        target_y=target_y,
        marks=marks,
        words=words,
        beyond_x=beyond,
        still=(axis.x(still[0]), min(axis.x(still[1]), layout.right)) if still else None,
    )


def _lightness_range(scene: HoursScene, end_hours: float) -> tuple[float, float]:
    values = [s.lab[0] for strand in scene.strands for s in strand.samples]
    if scene.target is not None:
        values += [scene.target.L + 2, scene.target.L - 2]
    for strand in scene.strands:
        found = strand.prospect
        if found is not None:
            near = found.grid <= end_hours
            values += [float(found.above[near].max()), float(found.below[near].min())]
    if not values:
        return 80.0, 30.0
    top, bottom = max(values) + 1.0, min(values) - 1.0
    return (top, bottom) if top - bottom > 8 else (top + 4, bottom - 4)


def _grid(top: float, bottom: float, height: float) -> tuple[float, ...]:
    if height <= 0:
        return ()
    step = next((s for s in _STEPS if s / (top - bottom) * height >= _LEAST_STEP), _STEPS[-1])
    first = math.ceil(bottom / step)
    return tuple(step * i for i in range(first, math.floor(top / step) + 1))


def _marks(scene: HoursScene, layout: HoursLayout, axis: Axis, y: float) -> tuple[ChartMark, ...]:
    marks: list[ChartMark] = []
    for strand in scene.rows if scene.choice.both else scene.strands[:1]:
        found = strand.prospect
        if found is None or found.outcome is not Outcome.REACHED or found.hours is None:
            continue
        left = axis.x(found.low or 0.0)
        right = layout.right if found.high is None else min(axis.x(found.high), layout.right)
        depth, lower = 6.0, 8.0 * len(marks)
        marks.append(
            ChartMark(
                strand=strand,
                bar=QRectF(left, y - depth / 2 + lower, max(2.0, right - left), depth),
                middle_x=_within(axis.x(found.hours), layout),
                due_x=_within(None if found.due is None else axis.x(found.due), layout),
                look_x=_within(None if found.look_from is None else axis.x(found.look_from), layout),
                letter=strand.board if scene.choice.both else "",
                outlined=bool(marks),
            )
        )
    return tuple(marks)


def _within(x: float | None, layout: HoursLayout) -> float | None:
    return x if x is not None and layout.left <= x <= layout.right else None


def _hour_words(
    layout: HoursLayout, marks: tuple[ChartMark, ...], text_width: Callable[[str], float]
) -> tuple[ChartWord, ...]:
    """Look-from left of its hour, due right of its own, both pushed inside and off each other."""
    if not marks:
        return ()
    first = min(marks, key=lambda mark: (mark.look_x is None, mark.look_x or 0.0))
    found, due = first.strand.prospect, marks[0]
    if found is None:
        return ()
    y = layout.marks.top() if layout.folded else layout.chart.bottom() - _WORDS_DEPTH
    words, free = [], layout.left + 4
    if first.look_x is not None and found.look_from is not None:
        text = _odds_word(tr("look from {h}", h=spoken_down(found.look_from)), tr("odds 1 in 10"), layout)
        width = text_width(text)
        left = max(free, first.look_x - _WORD_GAP - width)
        words.append(ChartWord(text=text, box=QRectF(left, y, width, 22)))
        free = left + width + 12
    if len(marks) == 1 and due.due_x is not None and found.due is not None:
        text = _odds_word(tr("due {h}", h=spoken_down(found.due)), tr("odds 1 in 3"), layout)
        width = text_width(text)
        room = _V_HALF if layout.folded else 0.0
        left = min(max(free, due.due_x + _WORD_GAP + room), layout.right - width - 2)
        if left < free and words:
            moved = max(layout.left + 4, left - 12 - words[0].box.width())
            words[0] = ChartWord(text=words[0].text, box=QRectF(moved, y, words[0].box.width(), 22))
        words.append(ChartWord(text=text, box=QRectF(left, y, width, 22)))
    return tuple(words)


def _odds_word(text: str, odds: str, layout: HoursLayout) -> str:
    return text if layout.folded else f"{text}, {odds}"


def _target_word(
    scene: HoursScene,
    area: QRectF,
    axis: Axis,
    y: Callable[[float], float],
    target_y: float,
    text_width: Callable[[str], float],
) -> ChartWord:
    """The target's lightness above its lines, at the end that the curves leave free."""
    target = scene.target
    assert target is not None
    error = math.sqrt(max(0.0, target.covariance[0][0] + target.shared[0][0]))
    text = tr("target L*\u00a0{value}", value=format_value(target.L)) + (
        f"\u00a0{format_error(error)}" if error else ""
    )
    width = text_width(text)
    left, right = area.left() + 6, area.right() - 6 - width
    best = min((left, right), key=lambda x: _crowding(scene, axis, y, target_y - 12, x, width))
    return ChartWord(text=text.replace("± ", "±\u00a0"), box=QRectF(best, target_y - 25, width, 20))


def _crowding(scene: HoursScene, axis: Axis, y: Callable[[float], float], at_y: float, x: float, width: float) -> float:
    """How much the curves and samples come in the way of a word."""
    crowd = 0.0
    for strand in scene.strands:
        found = strand.prospect
        for part in np.linspace(x, x + width, 7):
            if found is not None and abs(y(found.at(axis.hours(float(part))).L) - at_y) < 18:
                crowd += 1
        crowd += sum(
            2 for s in strand.samples if x - 8 <= axis.x(s.hours) <= x + width + 8 and abs(y(s.lab[0]) - at_y) < 18
        )
    return crowd


def _hours_along(found: Prospect, axis: Axis, right: float) -> np.ndarray:
    end = min(found.end, axis.hours_beyond(right))
    start_x, end_x = axis.x(0.0), axis.x(end)
    return np.array([min(axis.hours_beyond(x), end) for x in np.linspace(start_x, end_x, 161)])


def curve_points(found: Prospect, plot: ChartPlot, axis: Axis) -> tuple[list[QPointF], list[QPointF], list[QPointF]]:
    """Return the middle, and the upper and lower edge of the band, as points from hour 0 on."""
    hours = _hours_along(found, axis, min(plot.area.right(), axis.x(axis.last_hours) + 18))
    xs = [axis.x(float(h)) for h in hours]
    roots, known = np.sqrt(hours), np.sqrt(found.grid)

    def line(part: np.ndarray) -> list[QPointF]:
        return [QPointF(x, plot.y(float(L))) for x, L in zip(xs, np.interp(roots, known, part), strict=True)]

    return line(found.lightness), line(found.above), line(found.below)


def odds_points(found: Prospect, box: QRectF, axis: Axis) -> list[QPointF]:
    """Return the odds of being past the target along the box's depth, from its left to its right edge."""
    if found.odds is None:
        return []
    points = [QPointF(box.left(), box.bottom())]
    for x in np.linspace(axis.first_x, box.right(), 200):
        odds = found.at(axis.hours_beyond(float(x))).odds or 0.0
        points.append(QPointF(float(x), box.bottom() - odds * box.height()))
    return points


def clear_stretches(top: float, bottom: float, gaps: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """Return what is left of a line from top to bottom when the gaps, sorted, are left out."""
    found, y = [], top
    for gap_top, gap_bottom in gaps:
        if gap_top > y:
            found.append((y, min(gap_top, bottom)))
        y = max(y, gap_bottom)
    if y < bottom:
        found.append((y, bottom))
    return [(a, b) for a, b in found if b - a > 0.5]
