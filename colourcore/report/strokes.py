"""The small signs that the drawings share: a sample's mark, the crow's foot, interval bars, hours along an axis."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
from numpy.typing import NDArray

from colourcore.report.drawing import (
    INK,
    LINE,
    PAPER,
    QUIET,
    Anchor,
    Dot,
    Mark,
    Pen,
    Point,
    Stroke,
    Words,
    box,
)
from colourcore.report.lettering import Weight
from colourcore.report.phrases import format_value
from colourcore.report.series import HourAxis, LineStyle

__all__ = [
    "covering",
    "crows_foot",
    "curve_pen",
    "hour_scale",
    "interval_bar",
    "line_sample",
    "odds_area",
    "sample_mark",
]


_OPEN_END = 8.0


def sample_mark(
    x: float, y: float, style: LineStyle, *, radius: float = 2.6, set_aside: bool = False
) -> Iterable[Mark]:
    """Yield a sample's mark: filled dot, ring or square by its zone; a stroke across it where it is set aside."""
    pen = Pen(width=1.1)
    if style.sample == "square":
        yield box(x - radius, y - radius, 2 * radius, 2 * radius, fill=PAPER, pen=pen)
    else:
        yield Dot(x=x, y=y, radius=radius, fill=INK if style.sample == "dot" and not set_aside else PAPER, pen=pen)
    if set_aside:
        reach = 2.0 * radius
        yield Stroke(points=((x - reach, y + reach), (x + reach, y - reach)), pen=Pen(width=0.9))


def curve_pen(style: LineStyle, width: float = 1.7) -> Pen:
    """Return the pen of a zone's curve; broken lines are a little thinner, so that they do not look heavier."""
    thinner = width if not style.dash else 0.8 * width
    return Pen(width=thinner, dash=tuple(part * 0.9 for part in style.dash))


def line_sample(x: float, y: float, style: LineStyle, *, length: float = 26.0) -> Iterable[Mark]:
    """Yield a short piece of a zone's line with its mark: the key to the drawings."""
    yield Stroke(points=((x, y), (x + length, y)), pen=curve_pen(style, 1.3))
    yield from sample_mark(x + length / 2, y, style, radius=2.3)


def crows_foot(x: float, y: float, *, height: float = 7.0, upside_down: bool = False) -> Iterable[Mark]:
    """Yield the marking-out V whose point is at (x, y), on a little paper of its own."""
    top = y + height if upside_down else y - height
    reach = 0.62 * height
    points = ((x - reach, top), (x, y), (x + reach, top))
    yield Stroke(points=points, pen=Pen(width=3.2, ink=PAPER))
    yield Stroke(points=points, pen=Pen(width=1.4))


def interval_bar(
    axis: HourAxis, y: float, low: float, high: float | None, middle: float | None, *, solid: bool = True
) -> Iterable[Mark]:
    """Yield the bar from `low` to `high`, ticked at `middle` unless None; open where the axis ends before it does."""
    thick = 3.0
    is_open = high is None or high > axis.end_hours
    left = axis.at(low)
    right = axis.right - _OPEN_END if is_open else axis.at(high or 0.0)
    yield box(left, y - thick / 2, max(0.5, right - left), thick, fill=INK if solid else PAPER, pen=Pen(width=0.7))
    if is_open:
        for step in (1.5, 4.0, 6.5):
            yield box(right + step, y - thick / 2, 1.0, thick, fill=INK)
    if middle is not None:
        yield Stroke(points=((axis.at(middle), y - 4.0), (axis.at(middle), y + 4.0)), pen=Pen(width=1.1))


def odds_area(
    axis: HourAxis, top: float, height: float, hours: Sequence[float], odds: Sequence[float]
) -> tuple[Point, ...]:
    """Return the outline under the odds of being past, 0 at the bottom; empty without odds."""
    points = [(axis.at(h), top + height * (1.0 - p)) for h, p in zip(hours, odds, strict=False) if h <= axis.end_hours]
    if len(points) < 2:
        return ()
    return ((points[0][0], top + height), *points, (points[-1][0], top + height))


def hour_scale(axis: HourAxis, y: float, sample_hours: Iterable[float]) -> Iterable[Mark]:
    """Yield the hours below a line at `y`; hours at which samples stand are bold."""
    yield Stroke(points=((axis.left, y), (axis.right, y)), pen=Pen(width=0.75))
    for hours, sampled in axis.ticks(sample_hours):
        x = axis.at(hours)
        yield Stroke(
            points=((x, y), (x, y + (4.0 if sampled else 2.5))), pen=Pen(width=0.75, ink=INK if sampled else LINE)
        )
        yield Words(
            x=x,
            y=y + 12.0,
            text=format_value(hours, 2).rstrip("0").rstrip("."),
            weight=Weight.BOLD if sampled else Weight.REGULAR,
            ink=INK if sampled else QUIET,
            anchor=Anchor.MIDDLE,
        )


def covering(pixels: NDArray[np.uint8], width: float, height: float) -> NDArray[np.uint8]:
    """Return the middle of a picture, cut to the proportions of a box.

    >>> covering(np.zeros((40, 40, 3), np.uint8), 10.0, 20.0).shape
    (40, 20, 3)
    """
    rows, columns = pixels.shape[:2]
    kept_columns = max(1, min(columns, round(rows * width / height)))
    kept_rows = max(1, min(rows, round(columns * height / width)))
    top, left = (rows - kept_rows) // 2, (columns - kept_columns) // 2
    return pixels[top : top + kept_rows, left : left + kept_columns]
