"""The page over the bench in one drawing: every board and zone a row, its wood standing at its hours, its odds beneath.

All rows share one hour axis, so that boards and zones can be held against each other.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np

from colourcore.curve.fit import Target
from colourcore.curve.hours import Outcome
from colourcore.pipeline import Group
from colourcore.report.drawing import (
    BENCH,
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
    Picture,
    Stroke,
    Words,
    box,
    hatching,
    lab_codes,
    lab_colour,
)
from colourcore.report.lettering import Weight, shortened, text_width
from colourcore.report.phrases import format_hours, odds_in_words
from colourcore.report.sentences import (
    acting_outcome,
    capital,
    difference_sentence,
    format_down,
    group_sentence,
    is_sure,
    target_sentence,
)
from colourcore.report.series import HourAxis, Pixels, SampleView, Series, shared_axis
from colourcore.report.strokes import covering, crows_foot, hour_scale, interval_bar, line_sample, odds_area

__all__ = ["LEAST_WOOD", "LEDGER_ROWS", "ledger_drawing", "ledger_height"]

LEDGER_ROWS = 6
"""The most rows that one drawing takes."""

LEAST_WOOD = 16.0
"""The least height of the samples, in points."""

_GUTTER = 146.0
_LATH = 7.0
_CHANNEL = 12.5
_ODDS = 12.0
_GAP = 6.0
_FIXED = _LATH + _CHANNEL + _ODDS + _GAP
_SCALE = 18.0
_PLANK = 22.0
_MOST_WOOD = 72.0
_WIDEST_SAMPLE = 36.0
_LATH_STEPS = 256
_BIG = 16.0


def ledger_height(rows: int, wood: float = 38.0) -> float:
    """Return the height, in points, of a drawing with samples `wood` high."""
    return rows * (wood + _FIXED) + _SCALE + _PLANK + 6.0


def ledger_drawing(series: Sequence[Series], target_wood: Pixels | None, width: float, height: float) -> Drawing:
    """Return the rows of up to `LEDGER_ROWS` boards and zones above one hour axis, the target as a plank beneath.

    Parameters
    ----------
    series
        At least one.
    target_wood
        The target as photographed; without it the plank is its colour.
    width, height
        In points. The samples take what height is left, within bounds.
    """
    axis = shared_axis(series, _GUTTER, width - 2.0)
    wood = (height - _PLANK - 6.0 - _SCALE) / len(series) - _FIXED
    wood = min(_MOST_WOOD, max(LEAST_WOOD, wood))
    marks: list[Mark] = []
    top = 0.0
    for number, one in enumerate(series):
        marks += _row(one, axis, top, wood, words=number == 0)
        top += wood + _FIXED
    hours = [view.hours for one in series for view in one.samples]
    marks += hour_scale(axis, top - _GAP / 2, hours)
    marks.append(Words(x=_GUTTER - 10.0, y=top - _GAP / 2 + 12.0, text="hours", ink=QUIET, anchor=Anchor.END))
    top += _SCALE
    marks += _plank(series, target_wood, axis, top)
    said = " ".join(group_sentence(one.group) for one in series)
    description = f"Samples at their hours with the odds of being past the target. {said}"
    return Drawing(width=width, height=top + _PLANK + 6.0, description=description, marks=tuple(marks))


def _row(one: Series, axis: HourAxis, top: float, wood: float, *, words: bool) -> Iterable[Mark]:
    yield from _gutter(one, top)
    yield box(axis.left, top, axis.right - axis.left, wood + _LATH, fill=BENCH)
    curve = one.group.answer.curve
    end = axis.at(curve.hours[-1] if curve.hours else axis.end_hours)
    yield from _wood(one.samples, axis, end, top, wood)
    yield from _lath(one, axis, top + wood)
    yield from _odds(one, axis, top + wood + _LATH + _CHANNEL, words=words)
    yield from _answer(one, axis, top + wood + _LATH)


def _gutter(one: Series, top: float) -> Iterable[Mark]:
    group = one.group
    yield from line_sample(0.0, top + 6.0, one.style, length=18.0)
    yield Words(
        x=24.0,
        y=top + 9.0,
        text=_name(group),
        weight=Weight.SEMIBOLD,
        size=9.0,
    )
    big, small = _gutter_words(group)
    yield Words(x=0.0, y=top + 25.5, text=big, weight=Weight.BOLD, size=_fitting_size(big))
    for number, line in enumerate(small):
        yield Words(x=0.0, y=top + 36.0 + 9.4 * number, text=shortened(line, _GUTTER - 8.0), ink=QUIET)


def _name(group: Group) -> str:
    """Return the group's name as it fits; a long board gives way before the zone does."""
    room = _GUTTER - 32.0
    whole = capital(group.name)
    if text_width(whole, 9.0, Weight.SEMIBOLD) <= room or not (group.board and group.zone):
        return shortened(whole, room, 9.0, Weight.SEMIBOLD)
    zone = shortened(f", {group.zone}", 0.6 * room, 9.0, Weight.SEMIBOLD)
    left = room - text_width(zone, 9.0, Weight.SEMIBOLD)
    return shortened(f"Board {group.board}", left, 9.0, Weight.SEMIBOLD) + zone


def _gutter_words(group: Group) -> tuple[str, tuple[str, ...]]:
    """Return the large words of a row and up to two small lines beneath."""
    answer, piece = group.answer, group.answer.piece
    outcome = acting_outcome(answer)
    acting = answer if piece is None else piece
    chance = () if acting.p_reach is None else (f"gets there: {odds_in_words(acting.p_reach)}",)
    if outcome is Outcome.NOT_REACHED:
        colour = () if answer.delta_e is None else (f"nearest {difference_sentence(answer.delta_e)}",)
        return "stays short", (*colour, *chance)
    if outcome is Outcome.CANNOT_SAY:
        return "cannot say", ("the reason follows",)
    perhaps = "" if is_sure(answer) else "perhaps "
    if piece is not None:
        look = () if piece.look_from is None else (f"look from {format_down(piece.look_from)}",)
        match = (
            () if piece.hours is None else (f"matches at {format_hours(piece.hours)}, {_span(piece.low, piece.high)}",)
        )
        big = f"{perhaps}due {format_down(piece.due)}" if piece.due is not None else "perhaps not"
        return big, (*look, *(chance if perhaps else match))
    end = ", beyond the samples" if answer.extrapolated else ""
    colour = () if answer.delta_e is None else (f"then {difference_sentence(answer.delta_e)}",)
    span = f"{_span(answer.low, answer.high)}{end}"
    return f"{perhaps}{format_hours(answer.hours or 0.0)}", (span, *(chance if perhaps else colour))


def _fitting_size(text: str) -> float:
    return min(_BIG, _BIG * (_GUTTER - 8.0) / text_width(text, _BIG, Weight.BOLD))


def _span(low: float | None, high: float | None) -> str:
    start = format_hours(low or 0.0)
    return f"{start} or later" if high is None else f"{start} to {format_hours(high)}"


def _wood(samples: Sequence[SampleView], axis: HourAxis, end: float, top: float, height: float) -> Iterable[Mark]:
    """Yield each sample standing on the lath at its hours; samples of one hour share the width as strips.

    `end` is where the lath ends.
    """
    hours = sorted({view.hours for view in samples})
    places = [axis.at(hour) for hour in hours]
    for number, hour in enumerate(hours):
        near = [abs(places[number] - place) for place in places[max(0, number - 1) : number + 2]]
        width = max(3.0, min([_WIDEST_SAMPLE, *(gap - 2.0 for gap in near if gap > 0.0)]))
        # the raw sample begins where the axis does, and none leaves its lath
        left = max(min(places[number] - width / 2, end - width), axis.left)
        same = [view for view in samples if view.hours == hour]
        strip = width / len(same)
        for place, view in enumerate(same):
            yield from _piece(view, left + place * strip, top + 3.0, strip, height - 3.0)


def _piece(view: SampleView, x: float, y: float, width: float, height: float) -> Iterable[Mark]:
    if view.pixels is None:
        yield box(x, y, width, height, fill=lab_colour(view.lab), pen=Pen(width=0.4, ink=LINE))
    else:
        pixels = covering(view.pixels, width, height)
        yield Picture(x=x, y=y, width=width, height=height, pixels=pixels, described=f"wood after {view.hours:g} h")
    if view.set_aside:
        yield Stroke(points=((x, y + height), (x + width, y)), pen=Pen(width=1.0))


def _lath(one: Series, axis: HourAxis, y: float) -> Iterable[Mark]:
    """Yield the fitted colour along the hours, the target's colour as a cord through its middle."""
    curve = one.group.answer.curve
    if not curve.a or not curve.L:
        return
    end = min(axis.end_hours, curve.hours[-1])
    places = np.linspace(0.0, 1.0, _LATH_STEPS) ** 2 * end
    path = np.stack([np.interp(places, curve.hours, part) for part in (curve.L, curve.a, curve.b)], axis=-1)
    pixels = lab_codes(path)[None, :, :]
    width = axis.at(end) - axis.left
    yield Picture(x=axis.left, y=y, width=width, height=_LATH, pixels=pixels, lossless=True, described="fitted colour")
    target = one.group.target
    if target is not None and target.a is not None:
        colour = lab_colour((target.L, target.a, target.b))
        yield box(axis.left, y + 0.32 * _LATH, width, 0.36 * _LATH, fill=colour)


def _odds(one: Series, axis: HourAxis, y: float, *, words: bool) -> Iterable[Mark]:
    curve, piece = one.group.answer.curve, one.group.answer.piece
    odds = curve.p_past if piece is None or not piece.p_past else piece.p_past
    if not odds:
        yield box(axis.left, y, axis.right - axis.left, _ODDS, pen=Pen(width=0.6, ink=LINE, dash=(3.0, 3.0)))
        return
    right = axis.at(curve.hours[-1])
    last = axis.at(one.last_hours)
    yield from hatching(last, y, right - last, _ODDS, pen=Pen(width=0.4, ink=LINE))
    shape = odds_area(axis, y, _ODDS, curve.hours, odds)
    if shape:
        yield Area(points=shape, fill=ODDS)
    yield box(axis.left, y, right - axis.left, _ODDS, pen=Pen(width=0.6))
    if not words:
        return
    places = [(axis.at(h), p) for h, p in zip(curve.hours, odds, strict=False) if h <= axis.end_hours]
    light, dark = [x for x, p in places if p < 0.1], [x for x, p in places if p > 0.9]
    for found, text, ink in ((light, "still short of the target", INK), (dark, "past it, for good", PAPER)):
        if found and found[-1] - found[0] > text_width(text, 8.0) + 8.0:
            middle = (found[0] + found[-1]) / 2
            yield Words(x=middle, y=y + _ODDS - 3.8, text=text, ink=ink, anchor=Anchor.MIDDLE)


def _answer(one: Series, axis: HourAxis, y: float) -> Iterable[Mark]:
    answer, piece = one.group.answer, one.group.answer.piece
    acting = answer if piece is None else piece
    point = answer.hours if piece is None else piece.due
    if acting.outcome is Outcome.REACHED and acting.hours is not None and acting.hours <= axis.end_hours:
        middle = None if piece is None else acting.hours
        yield from interval_bar(axis, y + _CHANNEL - 2.6, acting.low or 0.0, acting.high, middle)
    if point is not None and point <= axis.end_hours:
        yield from crows_foot(axis.at(point), y + _CHANNEL - 4.6, height=7.0)


def _plank(series: Sequence[Series], wood: Pixels | None, axis: HourAxis, y: float) -> Iterable[Mark]:
    targets: list[Target] = []
    for one in series:
        if one.group.target is not None and one.group.target not in targets:
            targets.append(one.group.target)
    yield Words(x=0.0, y=y + 9.0, text="Target", weight=Weight.SEMIBOLD, size=9.0)
    if not targets:
        yield Words(x=0.0, y=y + 19.0, text="none yet", ink=QUIET)
        return
    if len(targets) > 1:
        yield Words(x=0.0, y=y + 19.0, text=f"{len(targets)}, see the tables", ink=QUIET)
    share = (axis.right - axis.left) / len(targets)
    for number, target in enumerate(targets):
        x = axis.left + number * share
        yield box(x, y, share, _PLANK, fill=lab_colour((target.L, target.a, target.b)))
        if wood is not None and len(targets) == 1:
            yield Picture(
                x=x, y=y, width=share, height=_PLANK, pixels=covering(wood, share, _PLANK), described="target"
            )
    if len(targets) == 1:
        lightness, _, colour = target_sentence(targets[0]).partition(", ")
        for number, line in enumerate((lightness, colour)):
            yield Words(x=0.0, y=y + 18.5 + 9.4 * number, text=shortened(line, _GUTTER - 8.0), ink=QUIET)
