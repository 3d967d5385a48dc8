"""Numbers as a maker would say them: hours, odds, differences, values with their error. No sentences yet."""

from __future__ import annotations

import itertools
import math
from datetime import datetime
from enum import Enum
from typing import Final

__all__ = [
    "Rounding",
    "difference_in_words",
    "format_date",
    "format_error",
    "format_hours",
    "format_span",
    "format_value",
    "odds_in_words",
    "of_ten_in_words",
    "often_in_words",
    "unbroken",
]

_STEP_MINUTES: Final = 5
_NO_BREAK: Final = "\u00a0"

# Cividini, Allegretti and others, as used on wood: the upper end of each class and its name
_DIFFERENCE_CLASSES: Final = (
    (0.2, "not visible"),
    (2.0, "slight"),
    (3.0, "small"),
    (6.0, "medium"),
    (12.0, "large"),
    (math.inf, "another colour"),
)

_FRACTIONS: Final = (
    (0.1, "one in ten"),
    (0.2, "two in ten"),
    (0.25, "one in four"),
    (0.3, "three in ten"),
    (1 / 3, "one in three"),
    (0.4, "four in ten"),
    (0.5, "one in two"),
    (0.6, "six in ten"),
    (2 / 3, "two in three"),
    (0.7, "seven in ten"),
    (0.75, "three in four"),
    (0.8, "eight in ten"),
    (0.9, "nine in ten"),
)
_FRACTION_REACH: Final = 0.025

_OFTEN: Final = {0.5: "half of the time", 0.8: "eight times in ten", 0.9: "nine times in ten", 0.95: "19 times in 20"}

_MONTHS: Final = (
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)

_COUNTS: Final = ("none", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")


class Rounding(Enum):
    """Which way hours are rounded to five minutes; hours to act on round down, because too late is for good."""

    NEAREST = "nearest"
    DOWN = "down"


def format_hours(hours: float, rounding: Rounding = Rounding.NEAREST) -> str:
    """Return hours as read off a clock, to five minutes.

    Parameters
    ----------
    hours
        0 or more, finite.
    rounding
        Nearest, or down for an hour to act on.

    >>> format_hours(9.66), format_hours(7.99, Rounding.DOWN), format_hours(9.0), format_hours(0.5), format_hours(0)
    ('9 h 40', '7 h 55', '9 h', '30 min', '0 h')
    """
    if not (math.isfinite(hours) and hours >= 0):
        raise ValueError(f"hours must be finite and 0 or more, got {hours}")
    steps = hours * 60 / _STEP_MINUTES
    # a hair's breadth under a whole step is that step: 7 h 55 kept as a binary fraction must not become 7 h 50
    whole = math.floor(steps + 1e-6) if rounding is Rounding.DOWN else math.floor(steps + 0.5)
    full, minutes = divmod(whole * _STEP_MINUTES, 60)
    if full == 0 and minutes:
        return f"{minutes} min"
    return f"{full} h {minutes:02d}" if minutes else f"{full} h"


def format_span(low: float, high: float | None) -> str:
    """Return an interval of hours; `high` is None where its tail never arrives.

    >>> format_span(8.6, 10.75), format_span(8.6, None)
    ('between 8 h 35 and 10 h 45', 'not before 8 h 35, with no upper end')
    """
    if high is None:
        return f"not before {format_hours(low)}, with no upper end"
    return f"between {format_hours(low)} and {format_hours(high)}"


def odds_in_words(chance: float) -> str:
    """Return a probability in plain words, never as certainty.

    The words are off by less than 2.5 points; where no plain fraction is that near, hundredths are counted.

    Parameters
    ----------
    chance
        Probability, 0 to 1.

    >>> odds_in_words(0.34), odds_in_words(0.004), odds_in_words(0.05), odds_in_words(0.45), odds_in_words(1.0)
    ('one in three', 'fewer than 1 of 100', '5 of 100', '45 of 100', 'more than 99 of 100')
    """
    if not 0 <= chance <= 1:
        raise ValueError(f"a chance lies between 0 and 1, got {chance}")
    if chance < 0.01:
        return "fewer than 1 of 100"
    if chance > 0.99:
        return "more than 99 of 100"
    distance, words = min((abs(chance - value), words) for value, words in _FRACTIONS)
    return words if distance < _FRACTION_REACH else f"{round(100 * chance)} of 100"


def of_ten_in_words(chance: float) -> str:
    """Return how many of ten it would be; never none and never all.

    >>> of_ten_in_words(0.31), of_ten_in_words(0.02), of_ten_in_words(0.97)
    ('three', 'fewer than one', 'nearly all')
    """
    if not 0 <= chance <= 1:
        raise ValueError(f"a chance lies between 0 and 1, got {chance}")
    if chance < 0.05:
        return "fewer than one"
    return "nearly all" if chance > 0.95 else _COUNTS[math.floor(10 * chance + 0.5)]


def often_in_words(confidence: float) -> str:
    """Return how often an interval of this confidence holds.

    >>> often_in_words(0.9), often_in_words(0.85)
    ('nine times in ten', '85 times in 100')
    """
    for value, words in _OFTEN.items():
        if math.isclose(value, confidence, abs_tol=1e-9):
            return words
    return f"{100 * confidence:.3g} times in 100"


def difference_in_words(delta_e: float) -> str:
    """Return the class of a colour difference as used on wood.

    Parameters
    ----------
    delta_e
        CIEDE2000, 0 or more. The classes are those of Cividini, Allegretti and others.

    >>> difference_in_words(2.1), difference_in_words(0.1), difference_in_words(14)
    ('small', 'not visible', 'another colour')
    """
    if not (math.isfinite(delta_e) and delta_e >= 0):
        raise ValueError(f"a colour difference is finite and 0 or more, got {delta_e}")
    return next(words for end, words in _DIFFERENCE_CLASSES if delta_e < end)


def format_value(value: float, decimals: int = 1) -> str:
    """Return a number with a true minus, and never a minus before nothing.

    >>> format_value(-0.04), format_value(-1.25, 2)
    ('0.0', '−1.25')
    """
    text = f"{value:.{decimals}f}"
    return text.lstrip("-") if float(text) == 0 else text.replace("-", "−")


def format_error(error: float, decimals: int = 1) -> str:
    """Return a standard error; what would round to nothing is said to be smaller than the last digit.

    >>> format_error(0.44), format_error(0.02)
    ('± 0.4', '± <0.1')
    """
    least = 10.0**-decimals
    return f"± <{least:.{decimals}f}" if error < least / 2 else f"± {error:.{decimals}f}"


def format_date(moment: datetime) -> str:
    """Return a day and a time, the same in every language setting.

    >>> format_date(datetime(2026, 5, 3, 14, 5))
    '3 May 2026, 14:05'
    """
    return f"{moment.day} {_MONTHS[moment.month - 1]} {moment.year}, {moment:%H:%M}"


def unbroken(text: str) -> str:
    """Return text in which no line may end inside a time, a value with its error, or between a number and its unit.

    >>> unbroken("out at 9 h 40, L* 48.0 ± 0.6").count(_NO_BREAK)
    5
    """
    words = text.split(" ")
    out = words[0]
    for left, right in itertools.pairwise(words):
        out += (_NO_BREAK if _belong_together(left, right) else " ") + right
    return out


def _belong_together(left: str, right: str) -> bool:
    word, following = left.lstrip("(“"), right.rstrip(".,;:)”")
    number_and_unit = word[-1:].isdigit() and following in {"h", "min", "ppm", "%", "m³", "ΔE00", "±", "L*"}
    after_hour = word == "h" and following.isdigit()
    return number_and_unit or after_hour or word in {"±", "L*", "a*", "b*"}
