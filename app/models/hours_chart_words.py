"""What is written in the chart of *Hours*, and the boxes that its words keep clear of lines."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from PySide6.QtCore import QRectF

from app.models.hours_axis import Axis, hour_text
from app.models.hours_layout import HoursLayout
from app.models.hours_scene import HoursScene
from app.models.hours_words import spoken_down, when_together
from app.wording import tr
from colourcore.report.phrases import format_error, format_value, odds_in_words

__all__ = ["WORDS_DEPTH", "ChartWord", "WordRoom", "beyond_word", "hour_words", "still_word", "target_word"]

WORDS_DEPTH = 26.0
"""Depth of the strip under the curves in which the hours to act on are written."""

_HEIGHT = 22.0
_GAP, _APART = 9.0, 12.0
_V_ROOM = 9.0
_NEAR = 18.0


@dataclass(frozen=True, slots=True, kw_only=True)
class ChartWord:
    """A word in the chart and the box it keeps clear of lines; `quiet` ones are said beside the matter.

    `hours_x` is where the hour stands that it names, None where it names none.
    """

    text: str
    box: QRectF
    quiet: bool = False
    hours_x: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class WordRoom:
    """What words need to find their place.

    Attributes
    ----------
    scene, layout, axis
        What is shown, and where.
    area
        Ground of the curves.
    y
        Where an L* stands.
    text_width
        How wide a small semibold word is, in logical pixels.
    """

    scene: HoursScene
    layout: HoursLayout
    axis: Axis
    area: QRectF
    y: Callable[[float], float]
    text_width: Callable[[str], float]


def hour_words(room: WordRoom) -> tuple[ChartWord, ...]:
    """Return the hours to act on: look-from left of its hour, due right of its own, inside and off each other."""
    layout, words = room.layout, list[ChartWord]()
    top = layout.marks.top() if layout.folded else layout.chart.bottom() - WORDS_DEPTH
    free = layout.left + 4
    for number, (hours, text) in enumerate(_acting(room)):
        if hours is None or not layout.left <= room.axis.x(hours) <= layout.right:
            continue
        x, width = room.axis.x(hours), room.text_width(text)
        if number == 0:
            left = max(free, x - _GAP - width)
        else:
            left = min(max(free, x + _GAP + (_V_ROOM if layout.folded else 0.0)), layout.right - width - 2)
        if words and left < free:
            moved = max(layout.left + 4, left - _APART - words[0].box.width())
            words[0] = ChartWord(text=words[0].text, box=words[0].box.translated(moved - words[0].box.left(), 0))
        words.append(ChartWord(text=text, box=QRectF(left, top, width, _HEIGHT), hours_x=x))
        free = left + width + _APART
    return tuple(words)


def _acting(room: WordRoom) -> tuple[tuple[float | None, str], tuple[float | None, str]]:
    """The hours to look from and to take the piece out, with what is written at them."""
    scene, common = room.scene, when_together(room.scene)
    found = scene.lead.prospect if scene.lead and not scene.choice.both else None
    if common is not None:
        due, look = common
        return (look, tr("look from {h}", h=spoken_down(look))), (due, tr("together {h}", h=spoken_down(due)))
    if found is None:
        return (None, ""), (None, "")
    look_word = tr("look from {h}", h=spoken_down(found.look_from or 0.0))
    due_word = tr("due {h}", h=spoken_down(found.due or 0.0))
    if not room.layout.folded:
        look_word = tr("{word}, odds {odds}", word=look_word, odds=odds_in_words(scene.choices.past_odds))
        due_word = tr("{word}, odds {odds}", word=due_word, odds=odds_in_words(scene.choices.due_odds))
    return (found.look_from, look_word), (found.due, due_word)


def target_word(room: WordRoom) -> tuple[ChartWord, ...]:
    """Return the target's lightness above its lines, at the end that the curves leave free."""
    target, area = room.scene.target, room.area
    if target is None or room.layout.folded:
        return ()
    y = room.y(target.L)
    error = math.sqrt(max(0.0, target.covariance[0][0] + target.shared[0][0]))
    text = tr("target L* {value}", value=format_value(target.L))
    text = (f"{text} {format_error(error)}" if error else text).replace("L* ", "L*\u00a0").replace("± ", "±\u00a0")
    width = room.text_width(text)
    ends = (area.left() + 6, area.right() - 6 - width)
    left = min(ends, key=lambda x: _crowding(room, y - 12, x, width))
    return (ChartWord(text=text, box=QRectF(left, y - 25, width, 20)),)


def _crowding(room: WordRoom, y: float, left: float, width: float) -> float:
    """How much curves and samples come in the way of a word."""
    crowd = 0.0
    for strand in room.scene.strands:
        if strand.prospect is not None:
            hours = [room.axis.hours(float(x)) for x in np.linspace(left, left + width, 7)]
            crowd += sum(abs(room.y(strand.prospect.at(h).L) - y) < _NEAR for h in hours)
        for sample in strand.samples:
            beside = left - 8 <= room.axis.x(sample.hours) <= left + width + 8
            crowd += 2 * (beside and abs(room.y(sample.lab[0]) - y) < _NEAR)
    return crowd


def beyond_word(room: WordRoom, beyond_x: float) -> tuple[ChartWord, ...]:
    """Return what the hatched hours are, where there is room to say it."""
    text = tr("beyond the last sample")
    width, right = room.text_width(text), room.layout.right
    if room.area.height() <= 0 or width + 16 > right - beyond_x:
        return ()
    return (ChartWord(text=text, box=QRectF(right - width - 6, room.area.top() + 2, width, 20), quiet=True),)


def still_word(room: WordRoom, hours: tuple[float, float]) -> tuple[ChartWord, ...]:
    """Return the hours that all give the shade, where there is room to say them."""
    text = tr("{start} to {end} h", start=hour_text(round(hours[0])), end=hour_text(round(hours[1])))
    width, left = room.text_width(text), room.axis.x(hours[0])
    if room.area.height() <= 0 or width + 12 > min(room.axis.x(hours[1]), room.area.right()) - left:
        return ()
    return (ChartWord(text=text, box=QRectF(left + 6, room.area.top() + 24, width, 20)),)
