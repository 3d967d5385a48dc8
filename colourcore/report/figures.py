"""The darkening curve, drawn: band, samples, target, the hours with their interval, and the odds as area."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from colourcore.report.answer_marks import (
    LightnessAxis,
    answer_marks,
    answer_words,
    target_marks,
    target_words,
    targets_of,
)
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
from colourcore.report.placing import Placing
from colourcore.report.sentences import capital, group_sentence, target_sentence
from colourcore.report.series import HourAxis, Series, shared_axis
from colourcore.report.strokes import (
    curve_pen,
    hour_scale,
    line_sample,
    odds_area,
    sample_mark,
)

__all__ = ["compact_curve_drawing", "curve_drawing", "curve_height"]

_STRIP = 24.0
_STRIP_GAP = 8.0
_SCALE = 18.0
_CURVE_HEIGHT = 200.0


@dataclass(frozen=True, slots=True, kw_only=True)
class _Room:
    """How much stands around the curves: points to the left and right, and whether odds and names are drawn."""

    left: float
    right: float
    whole: bool


_WHOLE = _Room(left=64.0, right=76.0, whole=True)
_COMPACT = _Room(left=24.0, right=4.0, whole=False)


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
    marks: list[Mark] = [*_frame(axis, scale), *_title(series, room, width)]
    marks += _beyond(axis, scale.top, scale.bottom, max(one.last_hours for one in series))
    for one in series:
        marks += _band(one, axis, scale)
    targets = targets_of(series)
    for target in targets:
        marks += target_marks(target, axis, scale)
    for one in series:
        marks += _curve(one, axis, scale)
    for number, one in enumerate(series):
        marks += answer_marks(one, axis, scale, number)
    placing = _placing(series, axis, scale)
    marks += [target_words(target, axis, scale, placing) for target in targets]
    if room.whole:
        marks += _names(series, axis, scale, width)
        for number, one in enumerate(series):
            marks += answer_words(one, axis, scale, number, placing)
    for number, one in enumerate(strips):
        marks += _odds_strip(one, axis, bottom + _STRIP_GAP + number * (_STRIP + _STRIP_GAP), width)
    if strips:
        marks.append(Words(x=0.0, y=bottom + _STRIP_GAP + 9.0, text="Odds", weight=Weight.SEMIBOLD))
        marks.append(Words(x=0.0, y=bottom + _STRIP_GAP + 19.0, text="of being past", ink=QUIET))
    marks += hour_scale(axis, height - _SCALE + 2.0, [view.hours for one in series for view in one.samples])
    if room.whole:
        marks.append(Words(x=0.0, y=height - 4.0, text="Hours", weight=Weight.SEMIBOLD))
    return Drawing(width=width, height=height, description=_description(series), marks=tuple(marks))


def _title(series: Sequence[Series], room: _Room, width: float) -> Iterable[Mark]:
    if room.whole:
        yield Words(x=0.0, y=14.0, text="Lightness", weight=Weight.SEMIBOLD)
        yield Words(x=0.0, y=24.0, text="L*", ink=QUIET)
        return
    board = series[0].group.board
    name = f"Board {board}" if board else capital(series[0].short_name)
    text = f"{shortened(name, width - 80.0, 8.0, Weight.SEMIBOLD)}, lightness L*"
    yield Words(x=0.0, y=8.0, text=text, weight=Weight.SEMIBOLD)


def _description(series: Sequence[Series]) -> str:
    said = [f"Lightness L* against hours. {target_sentence(series[0].group.target).capitalize()} is the target."]
    if series[0].group.target is None:
        said = ["Lightness L* against hours, without a target."]
    return " ".join([*said, *(group_sentence(one.group) for one in series)])


def _lightness_scale(series: Sequence[Series], top: float, bottom: float) -> LightnessAxis:
    values = [view.lab[0] for one in series for view in one.samples]
    for one in series:
        values += [*one.group.answer.curve.low, *one.group.answer.curve.high]
        if one.group.target is not None:
            values.append(one.group.target.L)
    low, high = min(values, default=0.0), max(values, default=100.0)
    margin = max(2.0, 0.05 * (high - low))
    return LightnessAxis(low=max(0.0, low - margin), high=min(100.0, high + margin), top=top, bottom=bottom)


def _frame(axis: HourAxis, scale: LightnessAxis) -> Iterable[Mark]:
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


def _band(one: Series, axis: HourAxis, scale: LightnessAxis) -> Iterable[Mark]:
    upper = [(axis.at(h), scale.at(v)) for h, v in _shown(one, axis, one.group.answer.curve.high)]
    lower = [(axis.at(h), scale.at(v)) for h, v in _shown(one, axis, one.group.answer.curve.low)]
    if len(upper) > 1:
        yield Area(points=(*upper, *reversed(lower)), fill=BAND, pen=Pen(width=0.5, ink=LINE))


def _curve(one: Series, axis: HourAxis, scale: LightnessAxis) -> Iterable[Mark]:
    points = tuple((axis.at(h), scale.at(v)) for h, v in _shown(one, axis, one.group.answer.curve.L))
    if len(points) > 1:
        yield Stroke(points=points, pen=curve_pen(one.style))
    for view in one.samples:
        yield from sample_mark(axis.at(view.hours), scale.at(view.lab[0]), one.style, set_aside=view.set_aside)


def _placing(series: Sequence[Series], axis: HourAxis, scale: LightnessAxis) -> Placing:
    """Return where words have room: clear of the curves, the samples, the target's lines and the crow's feet."""
    placing = Placing(left=axis.left + 3.0, right=axis.right - 3.0, top=scale.top, bottom=scale.bottom)
    for one in series:
        placing.avoid([(axis.at(h), scale.at(v)) for h, v in _shown(one, axis, one.group.answer.curve.L)])
        placing.obstacles += [(axis.at(view.hours), scale.at(view.lab[0])) for view in one.samples]
        for number, mark in enumerate(answer_marks(one, axis, scale, series.index(one))):
            if isinstance(mark, Stroke) and number:
                placing.avoid(mark.points)
    return placing


def _names(series: Sequence[Series], axis: HourAxis, scale: LightnessAxis, width: float) -> Iterable[Mark]:
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
    piece = one.group.answer.piece
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
