"""What an answer has to say for itself, in sentences for a maker; window, report and command line share them."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from colourcore.curve.fit import Posterior
from colourcore.curve.study import Study

__all__ = ["no_trend", "not_reached", "of_hours", "of_readings", "too_few"]

Array = NDArray[np.float64]

_NAMED_ODDS = 0.5
_MANY_HOURS = 400.0
_LARGE_SCATTER = 2.0
_ORDINARY_SCATTER = 1.0
_CLEAR = 3.0
_SURE_REACH = 0.95
_COSTLY_SHARE = 0.25
_LIGHTER = 1.0
_ALIKE = 2.0
_SURE = 2.0
_MEANT_FOR = 5.0


def of_readings(posterior: Posterior, residuals: Array) -> tuple[str, ...]:
    """Return what is to be said about the readings, whatever the target."""
    return (
        *_bad_samples(posterior, residuals),
        *_rising(posterior),
        *_suspicious_scale(posterior),
        *_scattering(posterior),
    )


def of_hours(view: Study, hours: float, high: float | None, p_reach: float) -> tuple[str, ...]:
    """Return what is to be said beside hours that reach the target."""
    notes = []
    if hours > view.posterior.last_hours:
        notes.append(
            f"The hours lie beyond the last sample ({view.posterior.last_hours:g} h): nothing was measured there. "
            "A longer sample would tell."
        )
    if high is None:
        notes.append(
            f"The upper end of the interval is open: with odds of {100 * (1 - p_reach):.0f} in 100 the wood levels off "
            "before it reaches the target."
        )
    exposed = view.posterior.evidence.hours[view.posterior.evidence.hours > 0]
    if exposed.size and hours < exposed.min():
        raw = view.posterior.evidence.hours[0] == 0
        notes.append(
            f"Even the shortest exposure ({exposed.min():g} h) is past the target"
            f"{'' if raw else ', and no raw sample was read'}: the hours before it are little more than a guess. "
            f"Add a sample of shorter exposure{'' if raw else ', and read the raw wood'}."
        )
    cost = view.hours_per_lightness(hours)
    if cost > _COSTLY_SHARE * hours:
        notes.append(
            f"The wood changes slowly there: 1 L* of error in a reading or the target costs about {cost:.1f} h."
        )
    return tuple(notes)


def not_reached(view: Study, p_reach: float) -> str:
    """Say that the target is out of reach, and how near the wood comes."""
    nearest = view.nearest_shade()
    if p_reach >= 1.0 - _SURE_REACH:
        chance = f"odds of reaching it are {100 * p_reach:.0f} in 100"
    else:
        chance = "odds of reaching it are under 5 in 100"
    away = "" if nearest.delta_e is None else f", {nearest.delta_e:.1f} ΔE00 from the target"
    if nearest.delta_e is not None and nearest.delta_e >= _MEANT_FOR:
        away += " (further than ΔE00 is meant for)"
    return (
        f"Not with this wood and charge: within {view.horizon:.0f} h the {chance}. "
        f"The nearest shade is L* {nearest.lightness:.1f} at about {nearest.hours:.0f} h{away}."
    )


def _bad_samples(posterior: Posterior, residuals: Array) -> list[str]:
    """Name the readings that the others contradict; they stay in the fit and count for little."""
    notes = []
    for sample, odds, residual in zip(posterior.samples, posterior.selection.bad_odds, residuals, strict=True):
        if odds >= _NAMED_ODDS:
            which = f"{sample.name} at {sample.hours:g} h" if sample.name else f"The sample at {sample.hours:g} h"
            side = "lighter" if residual > 0 else "darker"
            notes.append(
                f"{which} reads {abs(residual):.1f} L* {side} than the others lead one to expect "
                f"(odds {100 * odds:.0f} in 100 that it is a knot, glare or a mix-up): "
                "it stays in and counts for little. Look at it, and read or make it again."
            )
    return notes


def _suspicious_scale(posterior: Posterior) -> list[str]:
    """Ask whether hours that look like minutes are hours."""
    exposed = posterior.evidence.hours[posterior.evidence.hours > 0]
    if exposed.size < 2:
        return []
    whole_fives = bool(np.all(exposed % 5 == 0)) and exposed.max() >= 60
    if whole_fives or exposed.max() > _MANY_HOURS:
        return [
            f"Exposures of {exposed.min():g} to {exposed.max():g} were taken as hours. Are they minutes? "
            "If so, divide them by 60; nothing was changed."
        ]
    return []


def _scattering(posterior: Posterior) -> list[str]:
    """Say that samples which scatter much cannot give close hours."""
    if posterior.scatter < _LARGE_SCATTER:
        return []
    return [
        f"The samples scatter by about {posterior.scatter:.1f} L* around any smooth curve, so the odds are wide. "
        "Samples cut side by side from one board, one face up and one grain direction, would narrow them."
    ]


def _rising(posterior: Posterior) -> list[str]:
    """Name a reading that is lighter than an earlier one by more than an ordinary scatter explains."""
    hours, lightness = posterior.evidence.hours, posterior.evidence.lightness
    # a swap itself makes the samples seem to scatter, so no more than an ordinary scatter excuses it
    scatter = min(posterior.scatter, _ORDINARY_SCATTER)
    spread = np.sqrt(scatter**2 + np.diag(posterior.evidence.reading_covariance))
    score = (lightness[None, :] - lightness[:, None]) / np.hypot(spread[None, :], spread[:, None])
    score[hours[None, :] <= hours[:, None]] = 0.0
    early, late = np.unravel_index(int(np.argmax(score)), score.shape)
    if score[early, late] < _CLEAR:
        return []
    return [
        f"The sample at {hours[late]:g} h is {lightness[late] - lightness[early]:.1f} L* lighter than the one at "
        f"{hours[early]:g} h, more than samples scatter: wood does not lighten in the vapour. "
        "Were two swapped, or is one from another board or face?"
    ]


def too_few(different: int) -> str:
    """Say that so many different exposures are not enough."""
    return (
        f"Hours need samples at four or more different exposures, raw wood counted; here are {different}. "
        "Add samples at hours in between and beyond."
    )


def no_trend(posterior: Posterior) -> str | None:
    """Return the reason where the readings do not darken with the hours, else None.

    That is where they get lighter, and where no raw sample was read and the others are all alike.
    """
    gain, score = _trend(posterior)
    if gain > _LIGHTER and score > _SURE:
        return (
            f"The samples get lighter with the hours, by about {gain:.1f} L* from first to last, and fuming darkens. "
            "Check the hours against the photographs: the samples may be in the reverse order."
        )
    if posterior.evidence.hours[0] > 0 and score > -_SURE and gain > -_ALIKE:
        return (
            f"From {posterior.evidence.hours[0]:g} h on the samples are alike within their scatter, and no raw sample "
            "was read: all may lie after the darkening has levelled off, and when it did cannot be told. "
            "Read the raw wood and add shorter exposures."
        )
    return None


def _trend(posterior: Posterior) -> tuple[float, float]:
    """Return the rise of L* from first to last by a straight line over log hours, and the same in its SD."""
    hours, lightness = posterior.evidence.hours, posterior.evidence.lightness
    place = np.log1p(hours / posterior.scale)
    weight = 1.0 / (0.5**2 + np.diag(posterior.evidence.reading_covariance))
    place = place - np.average(place, weights=weight)
    total = float(weight @ place**2)
    level = lightness - np.average(lightness, weights=weight)
    slope = float(weight @ (place * level)) / total
    misfit = level - slope * place
    noise = np.sqrt(max(1.0, float(weight @ misfit**2) / max(1, hours.size - 2)) / total)
    return slope * float(place[-1] - place[0]), slope / float(noise)
