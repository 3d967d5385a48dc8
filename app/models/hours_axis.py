"""Where an hour stands along the bench: early hours wide, or all hours even; and which hours the rule names."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from enum import StrEnum

__all__ = ["Axis", "Spread", "Tick", "hour_text", "next_stop", "rounded_down", "ticks"]

_STEPS = (0.5, 1.0, 2.0, 3.0, 6.0, 12.0, 24.0, 48.0, 96.0, 168.0, 336.0)
_LEAST_TICK = 11.0
_LEAST_HALF_HOUR = 30.0
_LABEL_GAP = 9.0
_STEP_HOURS = 5.0 / 60.0


class Spread(StrEnum):
    """How hours are spread along the axis."""

    EARLY_WIDE = "early wide"
    EVEN = "even"


@dataclass(frozen=True, slots=True, kw_only=True)
class Axis:
    """Hours along a line.

    Attributes
    ----------
    spread
        `EARLY_WIDE` goes with the square root of the hours: samples are read at ever longer hours, and at even hours
        the first of them could not stand on theirs. `EVEN` goes with the hours.
    last_hours
        The last hour that the axis is made for, above 0.
    first_x, last_x
        Where 0 and the last hour stand, in logical pixels.
    """

    spread: Spread = Spread.EARLY_WIDE
    last_hours: float
    first_x: float
    last_x: float

    def x(self, hours: float) -> float:
        """Return where an hour stands; hours below 0 stand at 0.

        >>> Axis(last_hours=16.0, first_x=100.0, last_x=500.0).x(4.0)
        300.0
        """
        share = max(0.0, hours) / self.last_hours
        if self.spread is Spread.EARLY_WIDE:
            share = math.sqrt(share)
        return self.first_x + share * (self.last_x - self.first_x)

    def hours(self, x: float) -> float:
        """Return the hour that stands at a place, from 0 to the last.

        >>> Axis(last_hours=16.0, first_x=100.0, last_x=500.0).hours(300.0)
        4.0
        """
        return min(self.hours_beyond(x), self.last_hours)

    def hours_beyond(self, x: float) -> float:
        """Return the hour that stands at a place, past the last one too; never below 0."""
        share = max(0.0, (x - self.first_x) / (self.last_x - self.first_x))
        return self.last_hours * (share * share if self.spread is Spread.EARLY_WIDE else share)


@dataclass(frozen=True, slots=True, kw_only=True)
class Tick:
    """One stroke of the rule; `label` is empty where there is no room for it, `named` marks a sample's own hour."""

    hours: float
    x: float
    label: str = ""
    named: bool = False


def hour_text(hours: float) -> str:
    """Return an hour as the rule writes it.

    >>> hour_text(9.0), hour_text(0.5), hour_text(1 / 3)
    ('9', '0.5', '0.33')
    """
    return f"{round(hours, 2):g}"


def rounded_down(hours: float) -> float:
    """Return hours on the five minutes at or before them: what is said of when to act is never said too late.

    >>> round(60 * rounded_down(9 + 4.9 / 60)), round(60 * rounded_down(7 + 55 / 60))
    (540, 475)
    """
    return math.floor(hours / _STEP_HOURS + 1e-6) * _STEP_HOURS


def next_stop(stops: Iterable[float], hours: float, *, forward: bool) -> float | None:
    """Return the stop after (or before) an hour, None where there is none.

    >>> next_stop([0, 4, 9], 4.0, forward=True), next_stop([0, 4, 9], 4.0, forward=False)
    (9, 0)
    """
    if forward:
        return min((stop for stop in stops if stop > hours + 1e-6), default=None)
    return max((stop for stop in stops if stop < hours - 1e-6), default=None)


def _strokes(axis: Axis, until_x: float) -> Iterator[float]:
    """Hours of the strokes: as close as can be told apart, always on multiples of one of the steps."""
    hours, end = 0.0, axis.hours_beyond(until_x) + 1e-9
    while hours <= end:
        yield hours
        for step in _STEPS:
            after = (math.floor(hours / step + 1e-9) + 1) * step
            least = _LEAST_HALF_HOUR if step < 1 else _LEAST_TICK
            if axis.x(after) - axis.x(hours) >= least:
                hours = after
                break
        else:
            return


def _niceness(hours: float) -> float:
    return max((step for step in _STEPS if abs(hours / step - round(hours / step)) < 1e-9), default=0.0)


def ticks(
    axis: Axis, named_hours: Iterable[float], until_x: float, text_width: Callable[[str, bool], float]
) -> tuple[Tick, ...]:
    """Return the strokes of the rule from 0 to `until_x`, by hours.

    Hours of samples are named first, the ends before the others; then round hours, where there is room left.
    `text_width` tells how wide a label is, in logical pixels, and whether it is a named one.
    """
    named = sorted({round(hours, 6) for hours in named_hours})
    strokes = {hours for hours in _strokes(axis, until_x) if all(abs(hours - own) > 1e-6 for own in named)}
    order = [*named[:1], *named[-1:], *named[1:-1]]
    whole = (hours for hours in strokes if hours == int(hours) and hours <= axis.last_hours)
    order += sorted(whole, key=lambda hours: (-_niceness(hours), hours))
    taken: list[tuple[float, float]] = []
    labelled: set[float] = set()
    for hours in order:
        half = text_width(hour_text(hours), hours in named) / 2
        left, right = axis.x(hours) - half, axis.x(hours) + half
        if right <= until_x and all(right + _LABEL_GAP <= a or left - _LABEL_GAP >= b for a, b in taken):
            taken.append((left, right))
            labelled.add(hours)
    return tuple(
        Tick(
            hours=hours,
            x=axis.x(hours),
            label=hour_text(hours) if hours in labelled else "",
            named=hours in named,
        )
        for hours in sorted(strokes | set(named))
    )
