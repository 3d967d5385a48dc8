"""How much to pour: the test's grams of NH3 per cubic metre carried over to the tent, held against what can burn.

What the tool proposes of itself stays at or below a quarter of the lower flammable limit. A charge that the maker
states is worked out and shown for what it is; where its upper bound reaches the limit there is no plan.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from colourcore.errors import InputError
from colourcore.run.ammonia import (
    FLAMMABLE_FROM,
    HIGHEST_STRENGTH,
    Headspace,
    ammonia_pressure_kpa,
    headspace,
    liquid_density,
)
from colourcore.run.conditions import Conditions, Pour, Strength

__all__ = [
    "PROPOSED_SHARE",
    "USUAL_RENEWAL_HOURS",
    "ChargePlan",
    "Proposal",
    "Verdict",
    "WayOut",
    "ammonia_per_m3",
    "match_test",
    "most_litres",
    "plan_charge",
    "propose_charge",
    "way_out",
]

PROPOSED_SHARE: Final = FLAMMABLE_FROM / 4
"""Share of the air, should all evaporate, that no charge of the tool's own passes: a quarter of the lower limit."""

USUAL_RENEWAL_HOURS: Final = 8.0
"""Hours after which the trade renews a charge to keep a brisk run brisk: common practice, no source."""

_CHARGE_APART: Final = 0.10  # as a share: what measuring and leaks blur
_DISH_DEPTH_M: Final = 0.01  # a shallow dish: common practice, no source
_WEAK_STRENGTH: Final = 0.10  # below this the trade calls it too weak for a practical pace: common practice, no source


class Verdict(StrEnum):
    """Where a charge stands against the lower flammable limit, should all of it evaporate."""

    QUARTER = "at most a quarter"
    WARNING = "above a quarter"
    STRONG_WARNING = "half or more"
    NO_PLAN = "reaches what can burn"


@dataclass(frozen=True, slots=True, kw_only=True)
class ChargePlan:
    """A charge in a space, worked out at both ends of its strength.

    Attributes
    ----------
    litres
        All pours since the space was last aired.
    grams_per_m3
        Lower and upper end.
    share_at_balance, share_if_all_evaporates
        Share of the air by volume; the upper bound is at the strength's upper end.
    verdict
        Where the upper bound stands.
    dishes
        How many dishes hold the largest pour one centimetre deep.
    notes
        What must be said beside the figures.
    """

    litres: float
    grams_per_m3: tuple[float, float]
    share_at_balance: tuple[float, float]
    share_if_all_evaporates: tuple[float, float]
    verdict: Verdict
    dishes: int
    notes: tuple[str, ...]


def _spread(conditions: Conditions, *, upper: bool) -> Headspace:
    """Return the headspace of all pours together: their liquid mixed, at one end of their strengths."""
    if not conditions.pours:
        raise InputError("expected at least one pour of ammonia, got none")
    litres = sum(pour.volume_litres for pour in conditions.pours)
    ends = [(pour, pour.strength.high if upper else pour.strength.low) for pour in conditions.pours]
    masses = [(pour.volume_litres * liquid_density(end), end) for pour, end in ends]
    mixed = sum(mass * end for mass, end in masses) / sum(mass for mass, _ in masses)
    strength = min(mixed, HIGHEST_STRENGTH)  # a mean of equal ends may round past them
    mixed_litres = sum(mass for mass, _ in masses) / liquid_density(strength) if litres > 0 else 0.0
    return headspace(
        mixed_litres, strength, conditions.air_m3, conditions.warmest_c if upper else conditions.mean_temperature_c
    )


def _verdict(share: float) -> Verdict:
    if share >= FLAMMABLE_FROM:
        return Verdict.NO_PLAN
    if share >= FLAMMABLE_FROM / 2:
        return Verdict.STRONG_WARNING
    return Verdict.WARNING if share > PROPOSED_SHARE + 1e-9 else Verdict.QUARTER


def plan_charge(conditions: Conditions) -> ChargePlan:
    """Return what a stated charge comes to. Raises InputError for spaces, volumes or strengths that cannot be.

    >>> pour = Pour(volume_litres=0.11, strength=Strength(low=0.28, high=0.28))
    >>> plan = plan_charge(Conditions(space_m3=1.08, pours=(pour,)))
    >>> plan.verdict.value, round(plan.grams_per_m3[1]), round(100 * plan.share_if_all_evaporates[1], 1)
    ('at most a quarter', 26, 3.6)
    """
    low, high = _spread(conditions, upper=False), _spread(conditions, upper=True)
    largest = max(pour.volume_litres for pour in conditions.pours)
    return ChargePlan(
        litres=sum(pour.volume_litres for pour in conditions.pours),
        grams_per_m3=(low.grams_per_m3, high.grams_per_m3),
        share_at_balance=(low.share_at_balance, high.share_at_balance),
        share_if_all_evaporates=(low.share_if_all_evaporates, high.share_if_all_evaporates),
        verdict=_verdict(high.share_if_all_evaporates),
        dishes=max(1, math.ceil(largest / 1000 / (conditions.dish_area_m2 * _DISH_DEPTH_M) - 1e-9)),
        notes=_notes(conditions),
    )


def _notes(conditions: Conditions) -> tuple[str, ...]:
    weakest = min(pour.strength.high for pour in conditions.pours)
    notes = []
    if weakest < _WEAK_STRENGTH:
        pressure = ammonia_pressure_kpa(weakest, conditions.mean_temperature_c)
        notes.append(
            f"At {100 * weakest:.0f} % the trade calls ammonia too weak for a practical pace; in a tight small box it "
            f"still holds {pressure:.1f} kPa. Judge by the grams per cubic metre, not by the bottle."
        )
    if not conditions.sealed:
        notes.append("The tent leaks: the wood sees less than these figures, by an amount nobody knows.")
    return tuple(notes)


def ammonia_per_m3(conditions: Conditions) -> tuple[float, float]:
    """Return the grams of NH3 per cubic metre of air that the wood stood in, lower and upper end."""
    return _spread(conditions, upper=False).grams_per_m3, _spread(conditions, upper=True).grams_per_m3


def most_litres(tent: Conditions, strength: Strength, poured: Sequence[Pour] = ()) -> float:
    """Return the litres that may still be proposed: all pours together at most a quarter of the lower limit.

    The strength counts at its upper end, and everything as if it evaporated; 0 where the pours so far use it up.

    >>> round(most_litres(Conditions(space_m3=1.0), Strength(low=0.28, high=0.28)), 3)
    0.106
    """
    one = headspace(1.0, strength.high, tent.air_m3, tent.warmest_c).share_if_all_evaporates
    so_far = sum(
        headspace(pour.volume_litres, pour.strength.high, tent.air_m3, tent.warmest_c).share_if_all_evaporates
        for pour in poured
    )
    return max(0.0, (PROPOSED_SHARE - so_far) / one)


def propose_charge(tent: Conditions, strength: Strength, wanted_grams_per_m3: float | None = None) -> Pour | None:
    """Return the pour that matches the test's grams per cubic metre, never past a quarter of the lower limit.

    None where the pours so far leave nothing to propose. Without a wanted figure, the most that is ever proposed.
    `tent.pours` holds what was poured since the tent was last aired.
    """
    most = most_litres(tent, strength, tent.pours)
    if most <= 0:
        return None
    one = headspace(1.0, strength.middle, tent.air_m3, tent.warmest_c).grams_per_m3
    litres = most if wanted_grams_per_m3 is None else min(most, wanted_grams_per_m3 / one)
    return Pour(volume_litres=math.floor(1000 * litres) / 1000, strength=strength)


@dataclass(frozen=True, slots=True, kw_only=True)
class Proposal:
    """The pours that carry a test's charge over to the tent.

    Attributes
    ----------
    pours
        One for each of the test's, at the same hours; at no moment more than a quarter of the lower limit in all.
        Empty where the pours so far leave nothing to propose.
    matches
        Whether they bring as many grams per cubic metre as the test had, within a tenth.
    wanted_pours
        What a match would take, whatever it comes to: a maker may state it, and it is then shown for what it is.
    notes
        What must be said beside them.
    """

    pours: tuple[Pour, ...]
    matches: bool
    wanted_pours: tuple[Pour, ...]
    notes: tuple[str, ...] = ()


def match_test(test: Conditions, tent: Conditions, strength: Strength, run_hours: float | None = None) -> Proposal:
    """Return the pours that give the tent the test's grams of NH3 per cubic metre, renewed when the test was.

    Parameters
    ----------
    test
        The samples' conditions, with at least one pour.
    tent
        The run's; its pours are those since it was last aired.
    strength
        Of the liquid at hand.
    run_hours
        Hours that the run may take, for the note on renewals; None where nobody knows.

    Where a match would pass a quarter of the lower limit, every pour is made smaller in the same measure.

    >>> tub = Conditions(space_m3=0.06, pours=(Pour(volume_litres=0.006, strength=Strength.said("28")),))
    >>> found = match_test(tub, Conditions(space_m3=1.08), Strength.said("28"))
    >>> found.matches, found.pours[0].volume_litres
    (True, 0.108)
    """
    if not test.pours:
        raise InputError("expected the charge of the samples' test, got none")
    one = headspace(1.0, strength.middle, tent.air_m3, tent.warmest_c).grams_per_m3
    wanted = tuple(
        Pour(volume_litres=_grams_per_m3(pour, test) / one, strength=strength, at_hours=pour.at_hours)
        for pour in test.pours
    )
    most = most_litres(tent, strength, tent.pours)
    total = sum(pour.volume_litres for pour in wanted)
    share = min(1.0, most / total)
    pours = tuple(_rounded_down(pour, share) for pour in wanted)
    matches = share >= 1 - _CHARGE_APART
    return Proposal(
        pours=pours if all(pour.volume_litres > 0 for pour in pours) else (),
        matches=matches,
        wanted_pours=tuple(_rounded_down(pour, 1.0) for pour in wanted),
        notes=_match_notes(test, matches, total, run_hours),
    )


def _grams_per_m3(pour: Pour, test: Conditions) -> float:
    grams = 1000 * pour.volume_litres * liquid_density(pour.strength.middle) * pour.strength.middle
    return grams / test.air_m3


def _rounded_down(pour: Pour, share: float) -> Pour:
    litres = math.floor(1000 * share * pour.volume_litres + 1e-9) / 1000
    return Pour(volume_litres=litres, strength=pour.strength, at_hours=pour.at_hours)


def _match_notes(test: Conditions, matches: bool, litres: float, run_hours: float | None) -> tuple[str, ...]:
    notes = []
    if not matches:
        notes.append(
            f"To match the samples’ test {litres:.3g} litres would have to be poured, and that may pass a quarter of "
            "what can burn. What is proposed is less, so the hours no longer hold: make new samples at this charge."
        )
    first, last = test.pours[0].at_hours, max(pour.at_hours for pour in test.pours)
    if run_hours is not None and run_hours > USUAL_RENEWAL_HOURS and last == first:
        notes.append(
            f"The trade renews the charge about every {USUAL_RENEWAL_HOURS:g} hours to keep a run brisk. The samples’ "
            "test was not renewed, so this run is not either: with fresh liquid the hours would be another test’s."
        )
    return tuple(notes)


@dataclass(frozen=True, slots=True, kw_only=True)
class WayOut:
    """What it would take to draw up a plan where a charge has none.

    Attributes
    ----------
    tent_m3
        The smallest space in which this charge comes to a quarter of the lower limit, should all of it evaporate.
    litres
        The most that is proposed in the tent at hand.
    grams_per_m3
        What those litres come to: the charge that new samples would need. 0 where nothing is left to pour.
    """

    tent_m3: float
    litres: float
    grams_per_m3: float

    @property
    def sentences(self) -> tuple[str, ...]:
        """The ways out, in plain words."""
        bigger = (
            f"A tent of {math.ceil(100 * self.tent_m3) / 100:.2f} m³ or more brings this charge to a quarter of that."
        )
        if self.litres <= 0:
            return bigger, "In this tent nothing more may be proposed before it has been aired."
        smaller = (
            f"In this tent {self.litres:.3g} litres at most, {self.grams_per_m3:.0f} g to the cubic metre; the hours "
            "do not carry over to that, so make new samples at that charge first."
        )
        return bigger, smaller


def way_out(conditions: Conditions, earlier: Sequence[Pour] = ()) -> WayOut:
    """Return what a bigger tent, a smaller charge and new samples would take; the pours are those that were wanted.

    `earlier` are pours since the tent was last aired that are in it already, part of the pours or not.

    >>> much = Pour(volume_litres=0.5, strength=Strength.said("28"))
    >>> found = way_out(Conditions(space_m3=1.0, pours=(much,)))
    >>> round(found.tent_m3, 1), round(found.litres, 3), round(found.grams_per_m3)
    (4.7, 0.105, 26)
    """
    share = _spread(conditions, upper=True).share_if_all_evaporates
    strength = max((pour.strength for pour in conditions.pours), key=lambda one: one.high)
    litres = math.floor(1000 * most_litres(conditions, strength, earlier)) / 1000
    grams = 0.0
    if litres > 0:
        grams = headspace(litres, strength.middle, conditions.air_m3, conditions.warmest_c).grams_per_m3
    return WayOut(
        tent_m3=conditions.air_m3 * share / PROPOSED_SHARE + conditions.wood_m3, litres=litres, grams_per_m3=grams
    )
