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
    strength_from_density,
)

__all__ = [
    "PROPOSED_SHARE",
    "ChargePlan",
    "Conditions",
    "Pour",
    "Strength",
    "Verdict",
    "ammonia_per_m3",
    "most_litres",
    "plan_charge",
    "propose_charge",
]

PROPOSED_SHARE: Final = FLAMMABLE_FROM / 4
"""Share of the air, should all evaporate, that no charge of the tool's own passes: a quarter of the lower limit."""

_DISH_DEPTH_M: Final = 0.01  # a shallow dish: common practice, no source
_DISH_AREA_M2: Final = 0.04  # 20 by 20 cm where nothing is said
_WEAK_STRENGTH: Final = 0.10  # below this the trade calls it too weak for a practical pace: common practice, no source


@dataclass(frozen=True, slots=True, kw_only=True)
class Strength:
    """The mass fraction of NH3 in the liquid as a range, 0 to 0.4; both ends alike where it is known."""

    low: float
    high: float

    def __post_init__(self) -> None:
        if not 0 < self.low <= self.high <= HIGHEST_STRENGTH:
            got = f"{100 * self.low:g} to {100 * self.high:g} %"
            raise InputError(f"expected a strength of more than 0 and at most {100 * HIGHEST_STRENGTH:g} %, got {got}")

    @property
    def middle(self) -> float:
        """The middle of the range."""
        return (self.low + self.high) / 2

    @classmethod
    def weighed(cls, grams: float, millilitres: float, *, grams_error: float = 1.0) -> Strength:
        """Return the strength from weighing a measured volume, with what the scale's error leaves open.

        >>> found = Strength.weighed(89.8, 100.0, grams_error=0.2)
        >>> round(100 * found.low), round(100 * found.high)
        (27, 29)
        """
        if not (millilitres > 0 and math.isfinite(millilitres)):
            raise InputError(f"expected a measured volume of more than 0 ml, got {millilitres:g}")
        thin, water = liquid_density(HIGHEST_STRENGTH), liquid_density(0.0)
        ends = [
            strength_from_density(min(max((grams + sign * grams_error) / millilitres, thin), water)) for sign in (1, -1)
        ]
        return cls(low=max(ends[0], 1e-3), high=max(ends[1], 1e-3))


@dataclass(frozen=True, slots=True, kw_only=True)
class Pour:
    """Liquid put in at one moment: its volume at 20 °C, its strength, and hours since the vapour began."""

    volume_litres: float
    strength: Strength
    at_hours: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Conditions:
    """What stood around the wood, in a test or in the run.

    Attributes
    ----------
    space_m3
        Volume of the tent or box.
    temperature_c
        Of the air in it.
    pours
        Every pour since the space was last aired.
    dish_area_m2
        Area of one dish.
    wood_m3, wood_area_m2
        The wood in it: its volume (taken off the air) and its surface.
    sealed
        Whether it was taped shut, or leaked.
    """

    space_m3: float
    temperature_c: float = 20.0
    pours: tuple[Pour, ...] = ()
    dish_area_m2: float = _DISH_AREA_M2
    wood_m3: float = 0.0
    wood_area_m2: float = 0.0
    sealed: bool = True

    @property
    def air_m3(self) -> float:
        """The air in the space: what the wood leaves of it. InputError where the wood fills it."""
        if not (self.space_m3 > 0 and math.isfinite(self.space_m3)):
            raise InputError(f"expected a tent of more than 0 m³, got {self.space_m3:g}")
        if not 0 <= self.wood_m3 < self.space_m3:
            raise InputError(f"expected a tent larger than the piece of {self.wood_m3:g} m³, got {self.space_m3:g} m³")
        return self.space_m3 - self.wood_m3


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
    return headspace(mixed_litres, strength, conditions.air_m3, conditions.temperature_c)


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
        pressure = ammonia_pressure_kpa(weakest, conditions.temperature_c)
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
    one = headspace(1.0, strength.high, tent.air_m3, tent.temperature_c).share_if_all_evaporates
    so_far = sum(
        headspace(pour.volume_litres, pour.strength.high, tent.air_m3, tent.temperature_c).share_if_all_evaporates
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
    one = headspace(1.0, strength.middle, tent.air_m3, tent.temperature_c).grams_per_m3
    litres = most if wanted_grams_per_m3 is None else min(most, wanted_grams_per_m3 / one)
    return Pour(volume_litres=math.floor(1000 * litres) / 1000, strength=strength)
