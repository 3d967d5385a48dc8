"""What a curve is held against, drawn: the target's two lines, the hour to act, its interval, the hour to look from."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from colourcore.curve.fit import Target
from colourcore.curve.hours import Outcome
from colourcore.report.drawing import Mark, Pen, Point, Stroke
from colourcore.report.lettering import Weight
from colourcore.report.phrases import format_error, format_hours, format_value
from colourcore.report.placing import Placing
from colourcore.report.sentences import format_down
from colourcore.report.series import HourAxis, Series
from colourcore.report.strokes import crows_foot, interval_bar

__all__ = ["LightnessAxis", "answer_marks", "answer_words", "target_marks", "target_words", "targets_of"]

_LEAST_TARGET_GAP = 2.2
_BELOW = 4.6


@dataclass(frozen=True, slots=True, kw_only=True)
class LightnessAxis:
    """L* up a line: `high` at `top`, `low` at `bottom`, in points."""

    low: float
    high: float
    top: float
    bottom: float

    def at(self, lightness: float) -> float:
        """Return the place of a lightness; what lies beyond an end goes to that end.

        >>> LightnessAxis(low=40.0, high=80.0, top=0.0, bottom=100.0).at(50.0)
        75.0
        """
        share = (self.high - lightness) / (self.high - self.low)
        return self.top + (self.bottom - self.top) * min(1.0, max(0.0, share))

    def grid(self) -> Iterable[float]:
        """Return the round values between the ends.

        >>> list(LightnessAxis(low=41.0, high=62.0, top=0.0, bottom=100.0).grid())
        [45, 50, 55, 60]
        """
        step = 10 if self.high - self.low > 24 else 5
        return range(math.ceil(self.low / step) * step, math.floor(self.high) + 1, step)


def targets_of(series: Sequence[Series]) -> list[Target]:
    """Return the different targets of some groups, in their order."""
    found: list[Target] = []
    for one in series:
        if one.group.target is not None and one.group.target not in found:
            found.append(one.group.target)
    return found


def _error(target: Target) -> float:
    return math.sqrt(max(0.0, target.covariance[0][0] + target.shared[0][0]))


def _reach(target: Target, scale: LightnessAxis) -> float:
    spread = abs(scale.at(target.L - _error(target)) - scale.at(target.L + _error(target)))
    return max(_LEAST_TARGET_GAP, spread) / 2


def target_marks(target: Target, axis: HourAxis, scale: LightnessAxis) -> Iterable[Mark]:
    """Yield a target's two parallel lines, one standard error apart from its middle, never closer than can be seen."""
    for side in (-1.0, 1.0):
        y = scale.at(target.L) + side * _reach(target, scale)
        yield Stroke(points=((axis.left, y), (axis.right, y)), pen=Pen(width=0.8))


def target_words(target: Target, axis: HourAxis, scale: LightnessAxis, placing: Placing) -> Mark:
    """Return the target's words at that end of its lines where the curves leave room."""
    error = _error(target)
    text = f"target L* {format_value(target.L)}" + (f" {format_error(error)}" if error > 0 else "")
    above, below = (scale.at(target.L) + side * (_reach(target, scale) + 5.4) for side in (-1.0, 1.0))
    places = [(x, y) for y in (above + 2.4, below + 4.4) for x in (axis.left, axis.right)]
    return placing.words(text, places, Weight.SEMIBOLD)


def _points(one: Series, axis: HourAxis, scale: LightnessAxis, number: int) -> tuple[Point, Point] | None:
    """Return the tip of the crow's foot and the middle of its open end; every second zone stands below the lines."""
    piece, target = one.group.answer.piece, one.group.target
    hours = one.group.answer.hours if piece is None else piece.due
    if target is None or hours is None or hours > axis.end_hours:
        return None
    x, y = axis.at(hours), scale.at(target.L)
    return ((x, y + 8.0), (x, y + 15.0)) if number % 2 else ((x, y - 4.0), (x, y - 11.0))


def answer_marks(one: Series, axis: HourAxis, scale: LightnessAxis, number: int) -> Iterable[Mark]:
    """Yield bar, dotted line and crow's foot of one zone; `number` counts the zones of the drawing."""
    answer, target, piece = one.group.answer, one.group.target, one.group.answer.piece
    if target is None:
        return
    acting = answer if piece is None else piece
    y = scale.at(target.L)
    if acting.outcome is Outcome.REACHED and acting.hours is not None and acting.hours <= axis.end_hours:
        middle = None if piece is None else acting.hours
        bar_y = y + (_BELOW if number % 2 else 0.0)
        yield from interval_bar(axis, bar_y, acting.low or 0.0, acting.high, middle, solid=number % 2 == 0)
    if acting.outcome is Outcome.REACHED and piece is not None and piece.look_from is not None:
        x = axis.at(piece.look_from)
        yield Stroke(points=((x, y), (x, scale.bottom)), pen=Pen(width=0.8, dash=(1.5, 2.0)))
    points = _points(one, axis, scale, number)
    if points is not None:
        yield from crows_foot(*points[0], upside_down=number % 2 == 1)


def answer_words(one: Series, axis: HourAxis, scale: LightnessAxis, number: int, placing: Placing) -> Iterable[Mark]:
    """Yield the hour to act and the hour to look from, where there is room near their marks."""
    answer, target, piece = one.group.answer, one.group.target, one.group.answer.piece
    points = _points(one, axis, scale, number)
    if points is not None and target is not None:
        hours = answer.hours if piece is None else piece.due
        text = format_hours(hours or 0.0) if piece is None else f"due {format_down(hours)}"
        (x, tip), (_, open_end) = points
        away = (open_end - tip) / abs(open_end - tip)
        near = open_end + away * 2.0 + (6.5 if away > 0 else 0.0)
        places = [(x + across, near + away * along) for along in (0.0, 10.0, 20.0) for across in (0.0, 34.0, -34.0)]
        yield placing.words(text, places)
    if _looks(one) and piece is not None and piece.look_from is not None and piece.look_from <= axis.end_hours:
        text = f"look from {format_down(piece.look_from)}"
        x = axis.at(piece.look_from)
        low = scale.bottom - 5.0
        places = [(x + across, low - up) for up in (0.0, 11.0, 22.0, 33.0) for across in (-40.0, 40.0)]
        yield placing.words(text, places)


def _looks(one: Series) -> bool:
    """Return whether a zone has an hour to look from that is worth drawing: its piece reaches the target."""
    piece = one.group.answer.piece
    return piece is not None and piece.outcome is Outcome.REACHED and one.group.target is not None
