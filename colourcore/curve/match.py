"""Whether the shade is the right one when the lightness is: the whole colour against the target, over the hours.

CIEDE2000 is specified for differences under about 5 (ISO/CIE 11664-6): further away it is left out, and the plain
parts in lightness, chroma and hue stand alone.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from colourcore.colour.difference import delta_e_2000, split_difference
from colourcore.curve.fit import Target
from colourcore.curve.forecast import hour_of_odds
from colourcore.curve.normal import normal_nodes
from colourcore.curve.study import Study, target_spread

__all__ = ["MEANT_FOR", "ColourMatch", "MatchAt", "colour_match"]

Array = NDArray[np.float64]

MEANT_FOR = 5.0
_LIGHTNESS_AGREES = 1.0
_SEEN = 2.0
_SURELY_SEEN = 1.0
_CLEARLY = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class MatchAt:
    """The fitted colour against the target at one hour.

    `delta_e` is CIEDE2000 with its 90 % interval `low` to `high`; `lightness`, `chroma`, `hue` are the parts in the
    units of CIELAB, fitted minus target.
    """

    hours: float
    delta_e: float
    low: float
    high: float
    lightness: float
    chroma: float
    hue: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ColourMatch:
    """The whole colour against the target over hours.

    Attributes
    ----------
    hours
        As of the curve.
    delta_e
        CIEDE2000 at each hour; None where it is 5 or more, for which it is not meant.
    lightness, chroma, hue
        Fitted minus target in the units of CIELAB at each hour.
    nearest
        The hour of the least CIEDE2000.
    when_light_agrees
        The hour at which the board's lightness reaches the target's; None where it does not.
    notes
        A warning where lightness agrees and hue or chroma do not, and what a finish could mend.
    """

    hours: tuple[float, ...]
    delta_e: tuple[float | None, ...]
    lightness: tuple[float, ...]
    chroma: tuple[float, ...]
    hue: tuple[float, ...]
    nearest: MatchAt
    when_light_agrees: MatchAt | None
    notes: tuple[str, ...]


def colour_match(view: Study, points: int) -> ColourMatch | None:
    """Return how the colour compares over the first so many hours of the study; None where either has no colour."""
    target, path = view.target, view.path
    if target is None or target.a is None or target.b is None or path.a is None or path.b is None:
        return None
    wanted = (target.L, target.a, target.b)
    lab = np.column_stack([path.lightness, path.a, path.b])
    apart = delta_e_2000(lab, wanted)
    lightness, chroma, hue = _parts(lab[:points], wanted)
    nearest = view.nearest_shade()
    agrees = None if view.odds is None else hour_of_odds(view.hours, view.odds, 0.5)
    agreed = None if agrees is None else _match_at(view, target, agrees)
    return ColourMatch(
        hours=tuple(view.hours[:points].tolist()),
        delta_e=tuple(value if value < MEANT_FOR else None for value in apart[:points].tolist()),
        lightness=tuple(lightness.tolist()),
        chroma=tuple(chroma.tolist()),
        hue=tuple(hue.tolist()),
        nearest=_match_at(view, target, nearest.hours),
        when_light_agrees=agreed,
        notes=() if agreed is None else _warning(view, target, agreed),
    )


def _parts(lab: Array, wanted: tuple[float, float, float]) -> tuple[Array, Array, Array]:
    """Return `split_difference` of many colours against one, (T,) each."""
    chroma = np.hypot(lab[:, 1], lab[:, 2]) - math.hypot(wanted[1], wanted[2])
    squared = (lab[:, 1] - wanted[1]) ** 2 + (lab[:, 2] - wanted[2]) ** 2 - chroma**2
    turn = wanted[1] * lab[:, 2] - wanted[2] * lab[:, 1]
    hue = np.copysign(np.sqrt(np.maximum(0.0, squared)), np.where(turn == 0, 1.0, turn))
    return lab[:, 0] - wanted[0], chroma, hue


def _match_at(view: Study, target: Target, hours: float) -> MatchAt:
    colour = view.path.at(hours)
    a_variance, b_variance = view.path.a_variance, view.path.b_variance
    if colour is None or a_variance is None or b_variance is None or target.a is None or target.b is None:
        raise ValueError("a match needs colour on both sides")
    wanted = np.array([target.L, target.a, target.b])
    share = np.diag(target.covariance) + np.diag(target.shared)
    band = (np.interp(hours, view.hours, view.lightness[2]) - np.interp(hours, view.hours, view.lightness[0])) / 2.0
    # the band is at the study's own confidence; for the error of a colour a normal law at 90 % is near enough
    spread = np.sqrt(
        np.array(
            [
                (band / 1.645) ** 2 + target_spread(view),
                float(np.interp(hours, view.hours, a_variance)) + share[1],
                float(np.interp(hours, view.hours, b_variance)) + share[2],
            ]
        )
    )
    nodes, weights = normal_nodes(5)
    grid = np.array(np.meshgrid(nodes, nodes, nodes)).reshape(3, -1).T
    chance = np.array(np.meshgrid(weights, weights, weights)).prod(axis=0).ravel()
    spread_out = delta_e_2000(np.array(colour) + grid * spread, wanted)
    order = np.argsort(spread_out)
    below = np.cumsum(chance[order]) - chance[order] / 2
    low, high = np.interp([0.05, 0.95], below, spread_out[order])
    part = split_difference(colour, wanted)
    return MatchAt(
        hours=hours,
        delta_e=float(delta_e_2000(colour, wanted)),
        low=float(low),
        high=float(high),
        lightness=part.lightness,
        chroma=part.chroma,
        hue=part.hue,
    )


def _warning(view: Study, target: Target, match: MatchAt) -> tuple[str, ...]:
    colour = view.path.at(match.hours)
    clear = abs(match.lightness) < _LIGHTNESS_AGREES and match.delta_e >= _SEEN and match.low >= _SURELY_SEEN
    if colour is None or target.a is None or target.b is None or not clear:
        return ()
    red, yellow = colour[1] - target.a, colour[2] - target.b
    words = []
    if abs(red) >= _CLEARLY:
        words.append(f"{'redder' if red > 0 else 'greener'} by {abs(red):.1f} (a*)")
    if abs(yellow) >= _CLEARLY:
        words.append(f"{'yellower' if yellow > 0 else 'less yellow'} by {abs(yellow):.1f} (b*)")
    far = "" if match.delta_e < MEANT_FOR else " (further than ΔE00 is meant for)"
    mend = (
        "A warm clear finish adds yellow and depth of colour and may close part of that: try it on a sample."
        if match.chroma < -_CLEARLY
        else "A warm finish would not mend that."
    )
    return (
        f"When the lightness agrees, at {match.hours:.1f} h, the colour is still {match.delta_e:.1f} ΔE00 off "
        f"({match.low:.1f} to {match.high:.1f}){far}: {' and '.join(words) or 'chroma and hue both a little'}. {mend}",
    )
