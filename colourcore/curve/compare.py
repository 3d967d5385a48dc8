"""Board against board, heartwood against sapwood: gaps at any hour, one common time, or staggered times.

Every part is fitted on its own; nothing here changes a part's own hours.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from colourcore.curve.fit import Sample, Target
from colourcore.curve.forecast import forecast, hour_of_odds
from colourcore.curve.normal import normal_odds
from colourcore.curve.piece import Acting, piece_odds
from colourcore.curve.study import Study
from colourcore.errors import InputError

__all__ = ["CommonTime", "Gap", "PartTime", "common_time", "gap", "twins"]

Array = NDArray[np.float64]

_EVERY = 4
# too dark is for good, too light can go back in
_DARK_COUNTS = 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Gap:
    """How much lighter one part is than another after the same hours, in L*, with an interval at the confidence.

    Of the boards' average curves; `piece_low` and `piece_high` are for a single piece of each.
    """

    hours: float
    lightness: float
    low: float
    high: float
    piece_low: float
    piece_high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PartTime:
    """One part at its common or staggered time.

    Attributes
    ----------
    name
        As given.
    due
        When the part alone would be due; None where it never is.
    in_after_hours
        When to put it in, after the first goes in, if all are drawn together; None where it is never due.
    lightness
        L* of the part at the common time, and with staggered times.
    staggered_lightness
        L* at its own due hour, or the nearest that it comes to the target.
    p_past
        Odds of a piece being past the target at the common time.
    """

    name: str
    due: float | None
    in_after_hours: float | None
    lightness: float
    staggered_lightness: float
    p_past: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CommonTime:
    """One time for all parts, and what it costs against staggered times.

    Attributes
    ----------
    hours
        The hour with the least summed expected cost in hours off, too dark counting double.
    cost_hours
        That cost.
    staggered_cost_hours
        The same with every part at its own best hour: the room between the two is what staggering saves.
    parts
        One for each part, in the order given.
    uneven, uneven_low, uneven_high
        L* from the lightest to the darkest part at the common time, with an interval for the boards' averages.
    uneven_at_best
        The same with staggered times: what stays uneven at best.
    note
        The same in a sentence.
    """

    hours: float
    cost_hours: float
    staggered_cost_hours: float
    parts: tuple[PartTime, ...]
    uneven: float
    uneven_low: float
    uneven_high: float
    uneven_at_best: float
    note: str


def _shared_frame(one: Sequence[Sample], two: Sequence[Sample]) -> Target | None:
    """Return a stand-in for the photo that both parts have most readings in, so that its own error cancels."""
    photos = sorted({s.photo for s in one if s.photo} & {s.photo for s in two if s.photo})
    counts = [(sum(s.photo == photo for s in (*one, *two)), photo) for photo in photos]
    if not counts:
        return None
    photo = max(counts)[1]
    return Target(L=50.0, photo=photo, shared=next(s.shared for s in (*one, *two) if s.photo == photo))


def _at(view: Study, hours: float, frame: Target | None) -> tuple[Array, Array, Array]:
    curve = forecast(view.posterior.thinned(_EVERY), np.array([hours]), frame)
    return curve.mean[:, 0], curve.variance[:, 0], curve.scatter**2


def _interval(mean: Array, variance: Array, confidence: float) -> tuple[float, float]:
    """Return the equal-tailed interval of a mixture of normal laws of equal weight, by bisection."""
    root = np.sqrt(variance)
    ends = []
    for chance in ((1.0 - confidence) / 2.0, (1.0 + confidence) / 2.0):
        low, high = float((mean - 9 * root).min()), float((mean + 9 * root).max())
        for _ in range(40):
            middle = (low + high) / 2
            below = float(normal_odds((middle - mean) / root).mean())
            low, high = (middle, high) if below < chance else (low, middle)
        ends.append((low + high) / 2)
    return ends[0], ends[1]


def gap(one: Study, two: Study, hours: float, confidence: float = 0.9) -> Gap:
    """Return how much lighter the first part is than the second after the same hours.

    What a photo that both lie in has in common cancels.
    """
    if not (math.isfinite(hours) and hours >= 0):
        raise InputError(f"expected hours of 0 or more, got {hours:g}")
    frame = _shared_frame(one.posterior.samples, two.posterior.samples)
    first, second = _at(one, hours, frame), _at(two, hours, frame)
    mean = (first[0][:, None] - second[0][None, :]).ravel()
    variance = (first[1][:, None] + second[1][None, :]).ravel()
    scatter = (first[2][:, None] + second[2][None, :]).ravel()
    low, high = _interval(mean, variance, confidence)
    piece_low, piece_high = _interval(mean, variance + scatter, confidence)
    return Gap(
        hours=hours, lightness=float(mean.mean()), low=low, high=high, piece_low=piece_low, piece_high=piece_high
    )


def _cost(hours: Array, odds: Array) -> Array:
    """Return the expected cost in hours off at each hour, too dark counting double; the end stands for later."""
    steps = np.diff(hours)
    middle = (odds[1:] + odds[:-1]) / 2.0
    late = np.concatenate([[0.0], np.cumsum(middle * steps)])
    early = np.concatenate([np.cumsum(((1.0 - middle) * steps)[::-1])[::-1], [0.0]])
    return np.asarray(_DARK_COUNTS * late + early)


def common_time(parts: Mapping[str, Study], acting: Acting | None = None) -> CommonTime:
    """Return one time for all parts of the piece, and staggered times part by part.

    Parameters
    ----------
    parts
        Name and study of each part, each with its target; two or more.
    acting
        What the maker has set.

    Raises
    ------
    InputError
        With fewer than two parts, or a part without a target.
    """
    acting = Acting() if acting is None else acting
    if len(parts) < 2:
        raise InputError(f"expected two or more parts to compare, got {len(parts)}")
    end = max(view.horizon for view in parts.values())
    hours = np.unique(np.concatenate([view.hours for view in parts.values()]))
    odds = {name: _odds_on(view, hours, acting, name) for name, view in parts.items()}
    costs = {name: _cost(hours, chance) for name, chance in odds.items()}
    total = np.sum(list(costs.values()), axis=0)
    best = int(np.argmin(total))
    due = {name: hour_of_odds(hours, chance, acting.due_odds) for name, chance in odds.items()}
    known = [value for value in due.values() if value is not None]
    latest = max(known, default=end)
    answers = tuple(
        _part(name, view, float(hours[best]), due[name], latest, float(odds[name][best]))
        for name, view in parts.items()
    )
    at = [part.lightness for part in answers]
    light, dark = int(np.argmax(at)), int(np.argmin(at))
    views = list(parts.values())
    uneven = gap(views[light], views[dark], float(hours[best])) if light != dark else None
    apart = [part.staggered_lightness - _wanted(view) for part, view in zip(answers, views, strict=True)]
    left = max(apart) - min(apart)
    return CommonTime(
        hours=float(hours[best]),
        cost_hours=float(total[best]),
        staggered_cost_hours=float(sum(cost.min() for cost in costs.values())),
        parts=answers,
        uneven=0.0 if uneven is None else uneven.lightness,
        uneven_low=0.0 if uneven is None else uneven.low,
        uneven_high=0.0 if uneven is None else uneven.high,
        uneven_at_best=left,
        note=_note(answers, float(hours[best]), light, dark, left),
    )


def _wanted(view: Study) -> float:
    if view.target is None:
        raise InputError("expected a target for every part")
    return view.target.L


def _odds_on(view: Study, hours: Array, acting: Acting, name: str) -> Array:
    odds = piece_odds(view, acting.pace_spread)
    if odds is None:
        raise InputError(f"expected a target for every part, got none for {name or 'the part without a name'}")
    return np.interp(hours, view.hours, odds)


def _part(name: str, view: Study, common: float, due: float | None, latest: float, p_past: float) -> PartTime:
    own = view.nearest_shade().hours if due is None else due
    return PartTime(
        name=name,
        due=due,
        in_after_hours=None if due is None else latest - due,
        lightness=view.lightness_at(common),
        staggered_lightness=view.lightness_at(own),
        p_past=p_past,
    )


def _note(parts: tuple[PartTime, ...], hours: float, light: int, dark: int, left: float) -> str:
    if light == dark:
        return f"One time serves all: {hours:.1f} h."
    uneven = parts[light].lightness - parts[dark].lightness
    never = [part.name or "the part without a name" for part in parts if part.due is None]
    missing = f" {', '.join(never)} would not reach the target even so." if never else ""
    return (
        f"Drawn together after {hours:.1f} h, {parts[light].name} stays about {uneven:.1f} L* lighter than "
        f"{parts[dark].name}. Put in one after another and drawn together, about {left:.1f} L* stay.{missing}"
    )


def twins(parts: Mapping[str, Sequence[Sample]]) -> tuple[str, ...]:
    """Return a note for each pair of parts with the very same readings: probably one board under two names."""
    seen: dict[tuple[tuple[float, tuple[float, float, float]], ...], str] = {}
    notes = []
    for name, samples in parts.items():
        readings = tuple(sorted((s.hours, s.lab) for s in samples))
        if len(readings) > 1 and readings in seen:
            notes.append(
                f"{seen[readings]} and {name} have the very same readings. Are they one board under two names? "
                "Counted twice, it would seem surer than it is."
            )
        seen.setdefault(readings, name)
    return tuple(notes)
