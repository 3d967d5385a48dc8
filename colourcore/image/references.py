"""All that a photo offers to judge its colours by, joined into one balance.

One card, several greys, a chart, a neutral thing of unknown lightness, plain ground for the light, and a camera's own
curve: whatever is there is used, in one order, and the balance says what it was.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from colourcore.colour.spaces import BRADFORD, lab_to_xyz, xyz_to_lab
from colourcore.errors import InputError
from colourcore.image.balance import Balance, balance_from_card, check_card, check_stated_lab, loses_channel
from colourcore.image.chart import ChartReference
from colourcore.image.correction import fit_chart, is_whole
from colourcore.image.light import Ground, LightField, fit_light
from colourcore.image.pixels import PatchStatistics
from colourcore.image.response import CameraResponse
from colourcore.image.stepcard import Grey, cone_gains, fit_step_card, looks_linear
from colourcore.image.tone import Tone

__all__ = ["Card", "Chart", "References", "balance_photo", "neutral_lightness"]

Array = NDArray[np.float64]

_ALIKE: Final = 0.5  # L*: cards stated nearer than this are one card in two places
_ROUNDS: Final = 3  # of curve and light, each found with the other
MOST_UNEVEN: Final = 0.40  # of the light
_CARDS_DIFFER: Final = 5.0  # a*, b* between two cards stated alike
_CHART_SHARE: Final = 0.25  # of a chart's held-back error: wood lies nearer to the greys than most of its patches


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Card:
    """A neutral reference: its pixels, and its stated L*, a*, b* under D65."""

    statistics: PatchStatistics
    lab: tuple[float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Chart:
    """A 24-patch chart: its patches' pixels, row by row, and its reference values."""

    patches: tuple[PatchStatistics, ...]
    reference: ChartReference


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class References:
    """What one photo offers.

    Attributes
    ----------
    cards
        Neutral references of stated colour; one, or several of a step card.
    chart
        A 24-patch chart, which then takes the cards' place.
    neutral
        A neutral thing of unknown lightness; used where there is neither card nor chart.
    assumed_lightness
        L* that is assumed for it, the same in all photos of a series; None takes it as the file shows it.
    backgrounds
        Plain, even ground that shows how the light falls off.
    response
        The camera's own tone curve, where it is known.
    """

    cards: tuple[Card, ...] = ()
    chart: Chart | None = None
    neutral: PatchStatistics | None = None
    assumed_lightness: float | None = None
    backgrounds: tuple[PatchStatistics, ...] = ()
    response: CameraResponse | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Found:
    """What the greys said: curve, method, error on greys held back (ΔE00), and its name when the curve is known."""

    tone: Tone | None
    method: str
    residual_delta_e: float | None
    curve_known: bool


def neutral_lightness(neutral: PatchStatistics) -> float:
    """Return L* of a neutral thing as the file shows it: what a series may assume for it in all its photos."""
    return float(xyz_to_lab(neutral.to_xyz @ neutral.mean)[0])


def balance_photo(references: References) -> Balance:
    """Return the balance of a photo from everything that it offers.

    Raises
    ------
    InputError
        When there is nothing to balance by, a card is black or clipped, cards or greys contradict one another, or a
        chart is not whole; without file and line.
    """
    cards = references.cards
    if not cards and references.chart is None and references.neutral is not None:
        lightness = references.assumed_lightness or neutral_lightness(references.neutral)
        cards = (Card(statistics=references.neutral, lab=(float(np.clip(lightness, 5.0, 100.0)), 0.0, 0.0)),)
        return replace(_from_cards(cards, references), method="a neutral thing of unknown lightness", absolute=False)
    if references.chart is not None:
        return _from_chart(references.chart, references)
    if not cards:
        raise InputError("expected a card, a chart or something neutral in the photo, got none")
    return _from_cards(cards, references)


def _known_tone(references: References, patch: PatchStatistics) -> tuple[Tone | None, bool]:
    if references.response is not None:
        return references.response.tone(), True
    return None, patch.linear


def _log_light(field: LightField | None, patch: PatchStatistics) -> float:
    return 0.0 if field is None else float(field.log_light(patch.tile_centres) @ patch.tile_weights)


def _alike(cards: Sequence[Card]) -> list[list[Card]]:
    """Return the cards in groups that are stated alike, from dark to light."""
    groups: list[list[Card]] = []
    for card in sorted(cards, key=lambda card: card.lab[0]):
        if groups and abs(card.lab[0] - groups[-1][0].lab[0]) <= _ALIKE:
            groups[-1].append(card)
        else:
            groups.append([card])
    return groups


def _check_alike(group: Sequence[Card]) -> None:
    """Raise when cards that are stated alike are not one colour, or lie in light too unlike to divide out."""
    seen = np.array([card.statistics.to_xyz @ card.statistics.mean for card in group])
    darkest, lightest = float(seen[:, 1].min()), float(seen[:, 1].max())
    if darkest < (1 - MOST_UNEVEN) * lightest:
        raise InputError(
            f"expected cards stated alike to have like light, got one with {100 * (1 - darkest / lightest):.0f} % less "
            "than another; check which card is which, or even the light out"
        )
    lab = xyz_to_lab(seen * (seen[:, 1].mean() / seen[:, 1])[:, None])
    apart = float(np.max(np.linalg.norm(lab[:, None, 1:] - lab[None, :, 1:], axis=-1)))
    if apart > _CARDS_DIFFER:
        raise InputError(
            f"expected cards stated alike to have one colour, got two that are {apart:.0f} apart in a*, b*; check "
            "which card is which, and that one lamp lights both"
        )


def _field(references: References, groups: Sequence[Sequence[Card]], tone: Tone | None) -> LightField | None:
    """Return how the light falls off, from plain ground and from cards that are stated alike."""

    def ground(patches: Sequence[PatchStatistics]) -> Ground:
        light = [p.tile_means if tone is None else tone.apply(p.tile_means) for p in patches]
        return Ground(
            light=tuple(one @ p.to_xyz[1] for one, p in zip(light, patches, strict=True)),
            centres=tuple(p.tile_centres for p in patches),
        )

    grounds = [ground([card.statistics for card in group]) for group in groups if len(group) > 1]
    if references.backgrounds:
        grounds.append(ground(references.backgrounds))
    return fit_light(grounds)


def _from_cards(cards: Sequence[Card], references: References) -> Balance:
    for card in cards:
        check_card(card.statistics, float(check_stated_lab(card.lab)[0]))
    groups = _alike(cards)
    for group in groups:
        _check_alike(group)
    if len(cards) == 1 and not references.backgrounds and references.response is None:
        return balance_from_card(cards[0].statistics, cards[0].lab)
    first = _nearest_mid_grey(cards)
    if loses_channel(first.statistics):
        return balance_from_card(first.statistics, first.lab)
    tone, known = _known_tone(references, first.statistics)
    found = _Found(tone=tone, method="", residual_delta_e=None, curve_known=known)
    field: LightField | None = None
    for _ in range(_ROUNDS):
        field = _field(references, groups, found.tone)
        greys = [_grey(card, field, tone if known else None) for card in cards]
        if len(groups) > 1:
            found = _step_card(greys, references, first.statistics, known=known)
    greys = [_grey(card, field, None) for card in cards]
    return _assemble(cards, greys, found, field, references)


def _nearest_mid_grey(cards: Sequence[Card]) -> Card:
    return min(cards, key=lambda card: abs(card.lab[0] - 49.5))


def _grey(card: Card, field: LightField | None, known: Tone | None) -> Grey:
    """Return a card as a grey: what it must read is what it is, in the light that lies on it."""
    light = card.statistics.mean if known is None else known.apply(card.statistics.mean)
    return Grey(light=light, xyz=lab_to_xyz(card.lab) * math.exp(_log_light(field, card.statistics)))


def _step_card(greys: Sequence[Grey], references: References, patch: PatchStatistics, *, known: bool) -> _Found:
    fit = fit_step_card(greys, patch.to_xyz, known_curve=known)
    tone = fit.tone
    if references.response is not None:
        offset = (0.0, 0.0, 0.0) if tone is None else tuple(float(v) for v in tone.offset)
        tone = references.response.tone(offset)
    return _Found(
        tone=tone, method=fit.method, residual_delta_e=fit.residual_delta_e, curve_known=known or len(greys) > 1
    )


def _method(cards: Sequence[Card], found: _Found, field: LightField | None, references: References) -> str:
    groups = len(_alike(cards))
    name = "one grey card" if len(cards) == 1 else f"{len(cards)} cards" if groups == 1 else f"{groups} greys"
    parts = [name, *([found.method] if found.method else [])]
    if references.response is not None:
        parts.append(f"the curve of {references.response.camera or 'the camera'}")
    if field is not None:
        parts.append(f"light evened by {field.patches} patches")
    return ", ".join(parts)


def _assemble(
    cards: Sequence[Card],
    greys: Sequence[Grey],
    found: _Found,
    field: LightField | None,
    references: References,
) -> Balance:
    """Return the balance: gains over all greys, in the light at the middle of the references."""
    patch = cards[0].statistics
    place = np.mean([card.statistics.tile_centres.mean(axis=0) for card in cards], axis=0)
    here = 0.0 if field is None else float(field.log_light(place))
    gains = cone_gains(greys, found.tone, patch.to_xyz) * math.exp(-here)
    matrix = np.asarray(np.linalg.solve(BRADFORD, gains[:, None] * (BRADFORD @ patch.to_xyz)), dtype=np.float64)
    one_card = balance_from_card(_nearest_mid_grey(cards).statistics, _nearest_mid_grey(cards).lab)
    error = found.residual_delta_e or 0.0
    return replace(
        one_card,
        method=_method(cards, found, field, references),
        residual_delta_e=found.residual_delta_e,
        matrix=matrix,
        gain_covariance=one_card.gain_covariance / len(cards),
        tone=found.tone,
        curve_known=found.curve_known,
        light=field,
        reference_place=place,
        residual_covariance=np.diag(np.square([error, 0.5 * error, 0.5 * error])),
        reference_lightness=(min(card.lab[0] for card in cards), max(card.lab[0] for card in cards)),
        suspect_linear=len(_alike(cards)) > 2 and not patch.linear and looks_linear(greys, patch.to_xyz),
    )


def _from_chart(chart: Chart, references: References) -> Balance:
    """Return the balance of a chart; how the light falls off is told by plain ground alone."""
    patches = chart.patches
    kept = [i for i, patch in enumerate(patches) if is_whole(patch)]
    tone, known = _known_tone(references, patches[0])
    field = _field(references, (), tone)
    fall = np.array([_log_light(field, patch) for patch in patches])
    place = np.mean([patch.tile_centres.mean(axis=0) for patch in patches], axis=0)
    here = 0.0 if field is None else float(field.log_light(place))
    seen = np.array([patch.mean if tone is None else tone.apply(patch.mean) for patch in patches])
    stated = chart.reference.xyz * np.exp(fall - here)[:, None]
    fit = fit_chart(seen, stated, patches[0].to_xyz, kept=kept, known_curve=known)
    middle = min((i for i in kept if i >= 18), key=lambda i: abs(float(stated[i, 1]) - 0.18))
    lab = xyz_to_lab(chart.reference.xyz)
    grey = balance_from_card(patches[middle], lab[middle])
    joined = fit.correction.tone if tone is None else _joined(references, fit.correction.tone)
    residual = _CHART_SHARE**2 * fit.residuals.T @ fit.residuals / len(fit.residuals)
    return replace(
        grey,
        method=f"a chart ({chart.reference.name}): {fit.method}",
        residual_delta_e=fit.residual_delta_e,
        matrix=fit.correction.matrix,
        tone=joined,
        curve_known=True,
        light=field,
        reference_place=place,
        residual_covariance=np.asarray(residual, dtype=np.float64),
        reference_lightness=(float(lab[kept, 0].min()), float(lab[kept, 0].max())),
        metameric=False,
    )


def _joined(references: References, fitted: Tone | None) -> Tone | None:
    """Return the camera's curve with the stray light that the greys showed behind it."""
    if references.response is None:
        return fitted
    offset = (0.0, 0.0, 0.0) if fitted is None else tuple(float(v) for v in fitted.offset)
    return references.response.tone(offset)
