"""Where the chart's curves, bars, marks and words stand: geometry only, nothing painted."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from PySide6.QtCore import QPointF, QRectF

from app.models.hours_axis import Axis
from app.models.hours_chart_words import (
    WORDS_DEPTH,
    ChartWord,
    WordRoom,
    beyond_word,
    hour_words,
    still_word,
    target_word,
)
from app.models.hours_layout import HoursLayout
from app.models.hours_prospect import Prospect
from app.models.hours_scene import HoursScene, Strand

__all__ = ["ChartMark", "ChartPlot", "chart_plot", "clear_stretches", "curve_points", "odds_points"]

_ROOM_ABOVE = 3.0
_WORD_GAP = 9.0
_CERTAIN = 0.98
_V_HALF, _V_DEPTH = 9.0, 15.0
_STEPS = (2.0, 5.0, 10.0, 20.0)
_LEAST_STEP = 29.0


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
    drops
        Where dotted lines go down to the odds: to look from, and due or together.
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
    drops: tuple[float, ...]
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
    area = QRectF(chart.left(), chart.top() + 12, chart.width(), max(0.0, chart.height() - 12 - WORDS_DEPTH))
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
    room = WordRoom(scene=scene, layout=layout, axis=axis, area=area, y=y, text_width=text_width)
    acting = hour_words(room)
    words = (*target_word(room), *acting, *beyond_word(room, beyond))
    if still is not None:
        words = (*words, *still_word(room, still[:2]))
    return ChartPlot(
        area=area,
        top_lightness=top,
        bottom_lightness=bottom,
        grid=_grid(top, bottom, area.height()),
        target_y=target_y,
        marks=marks,
        drops=() if layout.folded else tuple(word.hours_x for word in acting if word.hours_x is not None),
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
        if found is None or (found.due is None and found.hours is None):
            continue
        left = axis.x(found.low or 0.0)
        right = layout.right if found.high is None else min(axis.x(found.high), layout.right)
        if found.low is None:
            left = right = axis.x(found.due or 0.0)
        depth, lower = 6.0, 8.0 * len(marks)
        due_x = _within(None if found.due is None else axis.x(found.due), layout)
        look_x = _within(None if found.look_from is None else axis.x(found.look_from), layout)
        marks.append(
            ChartMark(
                strand=strand,
                bar=QRectF(left, y - depth / 2 + lower, max(0.0, right - left), depth),
                middle_x=_within(None if found.hours is None else axis.x(found.hours), layout),
                due_x=due_x,
                look_x=look_x,
                letter=strand.board if scene.choice.both else "",
                outlined=bool(marks),
            )
        )
    return tuple(marks)


def _within(x: float | None, layout: HoursLayout) -> float | None:
    return x if x is not None and layout.left <= x <= layout.right else None


def _hours_along(found: Prospect, axis: Axis, right: float) -> np.ndarray:
    end = min(found.end, axis.hours_beyond(right))
    start_x, end_x = axis.x(0.0), axis.x(end)
    return np.array([min(axis.hours_beyond(x), end) for x in np.linspace(start_x, end_x, 161)])


def curve_points(found: Prospect, plot: ChartPlot, axis: Axis) -> tuple[list[QPointF], list[QPointF], list[QPointF]]:
    """Return the middle, and the upper and lower edge of the band, as points from hour 0 on."""
    hours = _hours_along(found, axis, min(plot.area.right(), axis.x(axis.last_hours) + 18))
    xs = [axis.x(float(h)) for h in hours]
    roots, known = np.sqrt(hours), found.roots

    def line(part: np.ndarray) -> list[QPointF]:
        return [QPointF(x, plot.y(float(L))) for x, L in zip(xs, np.interp(roots, known, part), strict=True)]

    return line(found.lightness), line(found.above), line(found.below)


def odds_points(found: Prospect, box: QRectF, axis: Axis) -> list[QPointF]:
    """Return the odds of being past the target along the box's depth, from its left to its right edge."""
    if found.odds is None:
        return []
    certain = found.odds[-1] > _CERTAIN
    end = box.right() if certain else min(box.right(), axis.x(found.end))
    xs = np.linspace(axis.first_x, end, 200).tolist()
    roots = np.sqrt([axis.hours_beyond(x) for x in xs])
    odds = np.interp(roots, found.roots, found.odds).tolist()
    points = [QPointF(x, box.bottom() - chance * box.height()) for x, chance in zip(xs, odds, strict=True)]
    return [QPointF(box.left(), box.bottom()), *points]


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
