"""The darkening curve, drawn: band, samples, target, the hours with their interval, and the odds as area."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from colourcore.curve.fit import Target
from colourcore.curve.hours import Outcome
from colourcore.report.drawing import (
    BAND,
    FAINT,
    INK,
    LINE,
    ODDS,
    PAPER,
    QUIET,
    Anchor,
    Area,
    Drawing,
    Mark,
    Pen,
    Stroke,
    Words,
    box,
    hatching,
)
from colourcore.report.lettering import Weight, shortened, text_width
from colourcore.report.phrases import Rounding, format_error, format_hours, format_value
from colourcore.report.sentences import capital, group_sentence, piece_answer, target_sentence
from colourcore.report.series import HourAxis, Series, shared_axis
from colourcore.report.strokes import (
    crows_foot,
    curve_pen,
    hour_scale,
    interval_bar,
    line_sample,
    odds_area,
    sample_mark,
)

__all__ = ["compact_curve_drawing", "curve_drawing", "curve_height"]

_STRIP = 24.0
_STRIP_GAP = 8.0
_SCALE = 18.0
_LEAST_TARGET_GAP = 2.2
_CURVE_HEIGHT = 200.0


@dataclass(frozen=True, slots=True, kw_only=True)
class _Room:
    """How much stands around the curves: points to the left and right, and whether odds and names are drawn."""

    left: float
    right: float
    whole: bool


_WHOLE = _Room(left=64.0, right=76.0, whole=True)
_COMPACT = _Room(left=24.0, right=4.0, whole=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Lightness:
    """L* up a line: `high` at `top`, `low` at `bottom`."""

    low: float
    high: float
    top: float
    bottom: float

    def at(self, lightness: float) -> float:
        share = (self.high - lightness) / (self.high - self.low)
        return self.top + (self.bottom - self.top) * min(1.0, max(0.0, share))

    def grid(self) -> Iterable[float]:
        step = 10 if self.high - self.low > 24 else 5
        first = math.ceil(self.low / step) * step
        return range(first, math.floor(self.high) + 1, step)


def curve_height(series: Sequence[Series]) -> float:
    """Return the height that a drawing of these zones likes."""
    strips = sum(bool(one.group.answer.curve.p_past) for one in series)
    return _CURVE_HEIGHT + strips * (_STRIP + _STRIP_GAP) + _SCALE


def curve_drawing(series: Sequence[Series], width: float, height: float) -> Drawing:
    """Return lightness against hours for the zones of one board, with a strip of odds for each zone that has a target.

    Parameters
    ----------
    series
        At least one.
    width, height
        In points; from about 300 × 150 on.
    """
    return _drawing(series, series, width, height, _WHOLE)


def compact_curve_drawing(series: Sequence[Series], beside: Sequence[Series], width: float, height: float) -> Drawing:
    """Return the curves alone under the board's name, for a page where odds and names stand elsewhere.

    `beside` holds every series that is drawn in such a drawing beside it: all share their hours and their lightness.
    """
    return _drawing(series, beside, width, height, _COMPACT)


def _drawing(series: Sequence[Series], beside: Sequence[Series], width: float, height: float, room: _Room) -> Drawing:
    strips = [one for one in series if one.group.answer.curve.p_past and room.whole]
    axis = shared_axis(beside, room.left, width - room.right)
    bottom = height - _SCALE - len(strips) * (_STRIP + _STRIP_GAP)
    scale = _lightness_scale(beside, 6.0 if room.whole else 14.0, bottom)
    marks: list[Mark] = [*_frame(axis, scale), *_title(series, room)]
    marks += _beyond(axis, scale.top, scale.bottom, max(one.last_hours for one in series))
    for one in series:
        marks += _band(one, axis, scale)
    for target in _targets(series):
        marks += _target_lines(target, axis, scale, series)
    for one in series:
        marks += _curve(one, axis, scale)
    for number, one in enumerate(series):
        marks += _answer(one, axis, scale, number, words=room.whole)
    if room.whole:
        marks += _names(series, axis, scale, width)
    for number, one in enumerate(strips):
        marks += _odds_strip(one, axis, bottom + _STRIP_GAP + number * (_STRIP + _STRIP_GAP), width)
    if strips:
        marks.append(Words(x=0.0, y=bottom + _STRIP_GAP + 9.0, text="Odds", weight=Weight.SEMIBOLD))
        marks.append(Words(x=0.0, y=bottom + _STRIP_GAP + 19.0, text="of being past", ink=QUIET))
    marks += hour_scale(axis, height - _SCALE + 2.0, [view.hours for one in series for view in one.samples])
    if room.whole:
        marks.append(Words(x=0.0, y=height - 4.0, text="Hours", weight=Weight.SEMIBOLD))
    return Drawing(width=width, height=height, description=_description(series), marks=tuple(marks))


def _title(series: Sequence[Series], room: _Room) -> Iterable[Mark]:
    if room.whole:
        yield Words(x=0.0, y=14.0, text="Lightness", weight=Weight.SEMIBOLD)
        yield Words(x=0.0, y=24.0, text="L*", ink=QUIET)
        return
    board = series[0].group.board
    name = f"Board {board}" if board else capital(series[0].short_name)
    yield Words(x=0.0, y=8.0, text=f"{name}, lightness L*", weight=Weight.SEMIBOLD)


def _description(series: Sequence[Series]) -> str:
    said = [f"Lightness L* against hours. {target_sentence(series[0].group.target).capitalize()} is the target."]
    if series[0].group.target is None:
        said = ["Lightness L* against hours, without a target."]
    return " ".join([*said, *(group_sentence(one.group) for one in series)])


def _lightness_scale(series: Sequence[Series], top: float, bottom: float) -> _Lightness:
    values = [view.lab[0] for one in series for view in one.samples]
    for one in series:
        values += [*one.group.answer.curve.low, *one.group.answer.curve.high]
        if one.group.target is not None:
            values.append(one.group.target.L)
    low, high = min(values, default=0.0), max(values, default=100.0)
    margin = max(2.0, 0.05 * (high - low))
    return _Lightness(low=max(0.0, low - margin), high=min(100.0, high + margin), top=top, bottom=bottom)


def _frame(axis: HourAxis, scale: _Lightness) -> Iterable[Mark]:
    for lightness in scale.grid():
        y = scale.at(lightness)
        yield Stroke(points=((axis.left, y), (axis.right, y)), pen=Pen(width=0.6, ink=FAINT))
        yield Words(x=axis.left - 10.0, y=y + 2.8, text=f"{lightness}", ink=QUIET, anchor=Anchor.END)


def _beyond(axis: HourAxis, top: float, bottom: float, last_hours: float) -> Iterable[Mark]:
    left = axis.at(last_hours)
    if axis.right - left > 2.0:
        yield from hatching(left, top, axis.right - left, bottom - top, pen=Pen(width=0.4, ink=FAINT), step=5.0)


def _shown(one: Series, axis: HourAxis, values: Sequence[float]) -> list[tuple[float, float]]:
    pairs = zip(one.group.answer.curve.hours, values, strict=False)
    return [(hours, value) for hours, value in pairs if hours <= axis.end_hours]


def _band(one: Series, axis: HourAxis, scale: _Lightness) -> Iterable[Mark]:
    upper = [(axis.at(h), scale.at(v)) for h, v in _shown(one, axis, one.group.answer.curve.high)]
    lower = [(axis.at(h), scale.at(v)) for h, v in _shown(one, axis, one.group.answer.curve.low)]
    if len(upper) > 1:
        yield Area(points=(*upper, *reversed(lower)), fill=BAND, pen=Pen(width=0.5, ink=LINE))


def _curve(one: Series, axis: HourAxis, scale: _Lightness) -> Iterable[Mark]:
    points = tuple((axis.at(h), scale.at(v)) for h, v in _shown(one, axis, one.group.answer.curve.L))
    if len(points) > 1:
        yield Stroke(points=points, pen=curve_pen(one.style))
    for view in one.samples:
        yield from sample_mark(axis.at(view.hours), scale.at(view.lab[0]), one.style, set_aside=view.set_aside)


def _targets(series: Sequence[Series]) -> list[Target]:
    found: list[Target] = []
    for one in series:
        if one.group.target is not None and one.group.target not in found:
            found.append(one.group.target)
    return found


def _target_lines(target: Target, axis: HourAxis, scale: _Lightness, series: Sequence[Series]) -> Iterable[Mark]:
    error = math.sqrt(max(0.0, target.covariance[0][0] + target.shared[0][0]))
    middle = scale.at(target.L)
    reach = max(_LEAST_TARGET_GAP / 2, abs(scale.at(target.L - error) - scale.at(target.L + error)) / 2)
    for y in (middle - reach, middle + reach):
        yield Stroke(points=((axis.left, y), (axis.right, y)), pen=Pen(width=0.8))
    text = f"target L* {format_value(target.L)}" + (f" {format_error(error)}" if error > 0 else "")
    start = _free_start(target.L, axis, series, text_width(text, 8.0, Weight.SEMIBOLD))
    yield Words(x=start, y=middle - reach - 3.0, text=text, weight=Weight.SEMIBOLD)


def _free_start(lightness: float, axis: HourAxis, series: Sequence[Series], width: float) -> float:
    """Return where the target's words start: at that end of the axis from which the curves stay farther away."""
    gaps = {axis.left + 4.0: 100.0, axis.right - width - 4.0: 100.0}
    for one in series:
        curve = one.group.answer.curve
        for hours, value in zip(curve.hours, curve.L, strict=True):
            for start in gaps:
                if start - 4.0 <= axis.at(hours) <= start + width + 4.0:
                    gaps[start] = min(gaps[start], abs(value - lightness))
    return max(gaps, key=lambda start: gaps[start])


def _answer(one: Series, axis: HourAxis, scale: _Lightness, number: int, *, words: bool) -> Iterable[Mark]:
    """Yield the crow's foot and the bar of one zone; the second stands below the target's lines, hollow."""
    answer, target = one.group.answer, one.group.target
    piece = piece_answer(answer)
    acting = answer if piece is None else piece
    point = answer.hours if piece is None else piece.due
    if target is None or point is None:
        return
    below = number % 2 == 1
    y = scale.at(target.L)
    bar_y = y + (4.6 if below else 0.0)
    if acting.outcome is Outcome.REACHED and acting.hours is not None and acting.hours <= axis.end_hours:
        middle = None if piece is None else acting.hours
        yield from interval_bar(axis, bar_y, acting.low or 0.0, acting.high, middle, solid=not below)
    if piece is not None and piece.look_from is not None:
        x = axis.at(piece.look_from)
        yield Stroke(points=((x, y), (x, scale.bottom)), pen=Pen(width=0.8, dash=(1.5, 2.0)))
    if point > axis.end_hours:
        return
    tip = y + 8.0 if below else y - 4.0
    yield from crows_foot(axis.at(point), tip, upside_down=below)
    if words:
        text = format_hours(point, Rounding.NEAREST if piece is None else Rounding.DOWN)
        yield from _time(text, axis.at(point), tip + 15.5 if below else tip - 9.5, axis.right)


def _time(text: str, x: float, y: float, right: float) -> Iterable[Mark]:
    """Yield a time on a little paper of its own, kept on the drawing where it stands at the end of the axis."""
    wide = text_width(text, 8.0, Weight.BOLD)
    left = min(x - wide / 2, right - wide)
    yield box(left - 1.5, y - 7.0, wide + 3.0, 9.0, fill=PAPER)
    yield Words(x=left, y=y, text=text, weight=Weight.BOLD)


def _names(series: Sequence[Series], axis: HourAxis, scale: _Lightness, width: float) -> Iterable[Mark]:
    """Yield each zone's name at the end of its curve, moved apart where they would touch."""
    ends = []
    for one in series:
        shown = _shown(one, axis, one.group.answer.curve.L)
        fallback = one.samples[-1].lab[0] if one.samples else scale.low
        ends.append((scale.at(shown[-1][1] if shown else fallback), one))
    floor = -math.inf
    for y, one in sorted(ends, key=lambda end: end[0]):
        placed = max(y, floor + 11.0)
        floor = placed
        yield from line_sample(axis.right + 6.0, placed, one.style, length=16.0)
        yield Words(x=axis.right + 26.0, y=placed + 2.8, text=shortened(one.short_name, width - axis.right - 26.0))


def _odds_strip(one: Series, axis: HourAxis, top: float, width: float) -> Iterable[Mark]:
    curve = one.group.answer.curve
    piece = piece_answer(one.group.answer)
    odds = curve.p_past if piece is None or not piece.p_past else piece.p_past
    right = axis.at(min(axis.end_hours, curve.hours[-1]))
    shape = odds_area(axis, top, _STRIP, curve.hours, odds)
    if shape:
        yield Area(points=shape, fill=ODDS)
    yield box(axis.left, top, right - axis.left, _STRIP, pen=Pen(width=0.6, ink=INK))
    yield from line_sample(axis.right + 6.0, top + _STRIP / 2, one.style, length=16.0)
    yield Words(
        x=axis.right + 26.0, y=top + _STRIP / 2 + 2.8, text=shortened(one.short_name, width - axis.right - 26.0)
    )
    yield from _odds_words(axis, top, curve.hours, odds)


def _odds_words(axis: HourAxis, top: float, hours: Sequence[float], odds: Sequence[float]) -> Iterable[Mark]:
    """Yield the words in the light and in the dark part, where they fit."""
    pairs = [(axis.at(h), p) for h, p in zip(hours, odds, strict=False) if h <= axis.end_hours]
    light = [x for x, p in pairs if p < 0.15]
    dark = [x for x, p in pairs if p > 0.85]
    y = top + _STRIP / 2 + 2.8
    for places, text, ink in ((light, "still short of the target", INK), (dark, "past it, for good", PAPER)):
        if places and places[-1] - places[0] > text_width(text, 8.0) + 10.0:
            yield Words(x=(places[0] + places[-1]) / 2, y=y, text=text, ink=ink, anchor=Anchor.MIDDLE)
