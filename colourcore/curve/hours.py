"""When a board and zone reach the target, with the odds: what the samples say about the board's average curve.

A single piece scatters about that curve, and a run has a pace of its own: `piece` speaks of these.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from colourcore.curve import remarks
from colourcore.curve.fit import Sample, Target, fit
from colourcore.curve.forecast import hour_of_odds
from colourcore.curve.ladder import NextSample
from colourcore.curve.match import ColourMatch
from colourcore.curve.outcome import Outcome
from colourcore.curve.piece import PieceHours
from colourcore.curve.shapes import KINDS
from colourcore.curve.study import Study, study
from colourcore.curve.tolerance import Window
from colourcore.errors import InputError

__all__ = ["Curve", "HoursToShade", "Outcome", "Residual", "board_answer", "hours_to_shade"]

Array = NDArray[np.float64]

NO_TARGET = "There is no target yet: choose a shade, and the hours follow."
_LEAST_HOURS = 4
_LEAST_POINTS = 24


@dataclass(frozen=True, slots=True, kw_only=True)
class Curve:
    """The board's average curve: rising hours from 0, and at each the median L* and the band at the confidence.

    `p_past` holds the odds of being past the target (empty without one), `a` and `b` the fitted colour (empty where
    fewer than two readings have any).
    """

    hours: tuple[float, ...] = ()
    L: tuple[float, ...] = ()
    low: tuple[float, ...] = ()
    high: tuple[float, ...] = ()
    p_past: tuple[float, ...] = ()
    a: tuple[float, ...] = ()
    b: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Residual:
    """How many L* one reading lies above the curve (`lightness_off`), and the odds that it is a bad one."""

    name: str
    hours: float
    lightness_off: float
    bad_odds: float


@dataclass(frozen=True, slots=True, kw_only=True)
class HoursToShade:
    """The board's answer.

    Attributes
    ----------
    outcome
        Whether the target is reached within the horizon (odds of at least one half), or cannot be told.
    hours
        Where the odds of being past the target are one half.
    low, high
        Ends of the equal-tailed interval at the confidence; high is None where that tail never arrives.
    look_from
        Where the odds of being past the target reach `past_odds`.
    p_reach
        Odds of being past the target at the horizon: four times the last sample's hours, at least 48 h.
    extrapolated
        True where `hours` lie beyond the last sample's.
    delta_e
        CIEDE2000 from the target to the curve's colour at `hours`, or to the nearest shade when it is not reached.
    curve
        The curve with its band.
    shape
        What the fit found: plain numbers and texts.
    notes
        What a maker must know beside the numbers.
    residuals
        One for each reading, by hours.
    confidence, past_odds
        As asked for.
    piece, next_sample, colour, window
        The hours of the next piece in the run, the sample that would narrow the answer most, the whole colour, and the
        hours within the tolerance: given by `answer.answer_group`, each None where it does not apply.
    """

    outcome: Outcome
    confidence: float
    past_odds: float
    hours: float | None = None
    low: float | None = None
    high: float | None = None
    look_from: float | None = None
    p_reach: float | None = None
    extrapolated: bool = False
    delta_e: float | None = None
    curve: Curve = Curve()
    shape: Mapping[str, float | str]
    notes: tuple[str, ...] = ()
    residuals: tuple[Residual, ...] = ()
    piece: PieceHours | None = None
    next_sample: NextSample | None = None
    colour: ColourMatch | None = None
    window: Window | None = None


def hours_to_shade(
    samples: Sequence[Sample], target: Target | None, *, confidence: float = 0.9, past_odds: float = 0.1
) -> HoursToShade:
    """Return when the board's average curve reaches the target, with the odds.

    Parameters
    ----------
    samples
        Readings of one board and zone in any order; raw samples count as samples at 0 h.
    target
        The shade wanted, or None.
    confidence
        Probability inside the interval and the band, between 0 and 1.
    past_odds
        Odds of being past the target that `look_from` stands for, between 0 and 1.

    Raises
    ------
    InputError
        For a confidence or odds outside 0 to 1.

    Examples
    --------
    >>> readings = [Sample(hours=h, lab=(L, 5.0, 15.0)) for h, L in [(0, 68), (2, 60), (8, 50), (24, 42)]]
    >>> answer = hours_to_shade(readings, Target(L=52.0))
    >>> answer.outcome.value, 5 < answer.hours < 8
    ('reached', True)
    """
    for word, chance in (("confidence", confidence), ("past odds", past_odds)):
        if not 0 < chance < 1:
            raise InputError(f"expected a {word} between 0 and 1, got {chance:g}")
    different = len({sample.hours for sample in samples})
    if different < 2:
        return HoursToShade(
            outcome=Outcome.CANNOT_SAY,
            confidence=confidence,
            past_odds=past_odds,
            shape={},
            notes=(remarks.too_few(different),),
        )
    return board_answer(study(fit(samples), target, confidence), past_odds)


def board_answer(view: Study, past_odds: float, no_target_because: str = NO_TARGET) -> HoursToShade:
    """Return the board's answer from what was worked out about it; the last is the note where there is no target."""
    posterior, target = view.posterior, view.target
    residuals = _residuals(view)
    notes = remarks.of_readings(posterior, np.array([r.lightness_off for r in residuals]))
    base = HoursToShade(
        outcome=Outcome.CANNOT_SAY,
        confidence=view.confidence,
        past_odds=past_odds,
        shape=_shape(view),
        residuals=residuals,
        notes=notes,
        curve=_curve(view, posterior.last_hours),
    )
    reason = _no_answer(view, no_target_because)
    if reason is not None or target is None or view.odds is None:
        return replace(base, notes=(reason or "", *notes))
    p_reach = float(view.odds[-1])
    if p_reach < 0.5:
        nearest = view.nearest_shade()
        note = remarks.not_reached(view, p_reach)
        return replace(
            base, outcome=Outcome.NOT_REACHED, p_reach=p_reach, delta_e=nearest.delta_e, notes=(note, *notes)
        )
    tails = ((1.0 - view.confidence) / 2.0, 0.5, (1.0 + view.confidence) / 2.0, past_odds)
    low, hours, high, look_from = (hour_of_odds(view.hours, view.odds, chance) for chance in tails)
    if hours is None:
        raise AssertionError("odds that end above one half never passed it")
    return replace(
        base,
        outcome=Outcome.REACHED,
        hours=hours,
        low=low,
        high=high,
        look_from=look_from,
        p_reach=p_reach,
        extrapolated=bool(hours > posterior.last_hours),
        delta_e=view.path.delta_e_2000_at(hours, target),
        notes=(*remarks.of_hours(view, hours, high, p_reach), *notes),
        curve=_curve(view, high or hours),
    )


def _no_answer(view: Study, no_target_because: str) -> str | None:
    different = len(set(view.posterior.evidence.hours.tolist()))
    if different < _LEAST_HOURS:
        return remarks.too_few(different)
    trend = remarks.no_trend(view.posterior)
    if trend is not None:
        return trend
    if view.target is None or view.odds is None:
        return no_target_because
    if view.odds[0] >= 0.5:
        return (
            f"The target (L* {view.target.L:.1f}) is no darker than raw wood (about L* {view.lightness[1, 0]:.1f}), "
            "and fuming only darkens. Was it read from this wood, and in like light?"
        )
    return None


def _residuals(view: Study) -> tuple[Residual, ...]:
    evidence = view.posterior.evidence
    off = evidence.lightness - np.interp(evidence.hours, view.hours, view.lightness[1])
    return tuple(
        Residual(name=s.name, hours=float(s.hours), lightness_off=float(o), bad_odds=float(p))
        for s, o, p in zip(view.posterior.samples, off, view.posterior.selection.bad_odds, strict=True)
    )


def _shape(view: Study) -> Mapping[str, float | str]:
    chosen = view.posterior.selection
    half = np.exp(np.quantile(chosen.log_half_hours, [0.05, 0.5, 0.95]))
    found: dict[str, float | str] = {
        f"odds_{kind.replace(' ', '_')}": odds for kind, odds in zip(KINDS, chosen.kind_odds, strict=True)
    }
    found["likeliest"] = KINDS[int(np.argmax(chosen.kind_odds))]
    found |= {"half_hours": float(half[1]), "half_hours_low": float(half[0]), "half_hours_high": float(half[2])}
    found |= {"raw_L": float(chosen.raw.mean()), "limit_L": float((chosen.raw - chosen.depth).mean())}
    found["scatter_L"] = view.posterior.scatter
    return found


def _curve(view: Study, end_hours: float) -> Curve:
    """Return the curve up to the last sample or what the answer needs, whichever is later."""
    end = max(view.posterior.last_hours, end_hours)
    stop = max(_LEAST_POINTS, int(np.searchsorted(view.hours, end)) + 1)

    def part(values: Array | None) -> tuple[float, ...]:
        return () if values is None else tuple(values[:stop].tolist())

    low, middle, high = view.lightness
    return Curve(
        hours=part(view.hours),
        L=part(middle),
        low=part(low),
        high=part(high),
        p_past=part(view.odds),
        a=part(view.path.a),
        b=part(view.path.b),
    )
