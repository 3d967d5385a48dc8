"""What stood around the wood, in the samples' test or in the run: space, liquid, warmth, load. Metric values only."""

from __future__ import annotations

import itertools
import math
import re
from dataclasses import dataclass
from typing import Final

from colourcore.errors import InputError
from colourcore.run.ammonia import (
    HIGHEST_STRENGTH,
    HIGHEST_TEMPERATURE_C,
    LOWEST_TEMPERATURE_C,
    baume_to_specific_gravity,
    liquid_density,
    strength_from_density,
)

__all__ = ["Conditions", "Pour", "Room", "Strength", "Warmth"]

_DISH_AREA_M2: Final = 0.04  # 20 by 20 cm where nothing is said
_WEAKEST_BOTTLE: Final = 0.03  # weakest that is sold as ammonia water: common practice, no source
_WATER_AT_60_F: Final = 0.9990  # g/cm³ at 60 °F, to which Baumé degrees are told (from memory)
_WARMING_TO_20_C: Final = 0.0022  # g/cm³ that strong ammonia water loses from 60 °F to 20 °C (from memory)
_BAUME_ERROR: Final = 0.01  # mass fraction that temperature and float leave open


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

    @classmethod
    def baume(cls, degrees: float) -> Strength:
        """Return the strength of light-liquid Baumé degrees, one point of strength either way.

        >>> found = Strength.baume(26)
        >>> round(100 * found.middle)
        29
        """
        density = baume_to_specific_gravity(degrees) * _WATER_AT_60_F - _WARMING_TO_20_C
        middle = strength_from_density(density)
        return cls(low=max(1e-3, middle - _BAUME_ERROR), high=min(HIGHEST_STRENGTH, middle + _BAUME_ERROR))

    @classmethod
    def unknown(cls) -> Strength:
        """Return the range of a bottle that says nothing: from the weakest that is sold to the strongest there is."""
        return cls(low=_WEAKEST_BOTTLE, high=HIGHEST_STRENGTH)

    @classmethod
    def said(cls, text: str) -> Strength:
        """Return the strength that a maker types: per cent by weight, a label's range, Baumé degrees, or "unknown".

        >>> Strength.said("28 %"), Strength.said("10-35")
        (Strength(low=0.28, high=0.28), Strength(low=0.1, high=0.35))
        >>> round(100 * Strength.said("26 °Bé").high)
        30
        """
        plain = text.strip().lower().replace(",", ".").replace("%", "").replace("°", "")
        if plain.strip() == "unknown":
            return cls.unknown()
        if found := re.fullmatch(r"([0-9.]+)\s*b[eé]?", plain.strip()):
            return cls.baume(_number(found[1], text))
        ends = [_number(part, text) / 100 for part in re.split(r"[-–]", plain)]
        if len(ends) > 2:
            raise _no_strength(text)
        return cls(low=ends[0], high=ends[-1])


def _number(part: str, text: str) -> float:
    try:
        return float(part)
    except ValueError:
        raise _no_strength(text) from None


def _no_strength(text: str) -> InputError:
    wanted = "a strength such as 28 %, 20-30 %, 26 °Bé or unknown"
    return InputError(f"expected {wanted}, got {text.strip() or 'nothing'}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Pour:
    """Liquid put in at one moment: its volume at 20 °C, its strength, and hours since the vapour began."""

    volume_litres: float
    strength: Strength
    at_hours: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Warmth:
    """One reading of a thermometer in the space: hours since the vapour began, and °C."""

    at_hours: float
    temperature_c: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Conditions:
    """What stood around the wood, in a test or in the run.

    Attributes
    ----------
    space_m3
        Volume of the tent or box.
    temperature_c
        Of the air in it, 0 to 45: as stated, where nothing was logged.
    pours
        Every pour since the space was last aired.
    dish_area_m2
        Area of one dish.
    wood_m3, wood_area_m2
        The wood in it: its volume (taken off the air) and its surface.
    sealed
        Whether it was taped shut, or leaked.
    warmths
        The thermometer's readings, in any order.
    openings_hours
        When it was opened, in hours since the vapour began.
    """

    space_m3: float
    temperature_c: float = 20.0
    pours: tuple[Pour, ...] = ()
    dish_area_m2: float = _DISH_AREA_M2
    wood_m3: float = 0.0
    wood_area_m2: float = 0.0
    sealed: bool = True
    warmths: tuple[Warmth, ...] = ()
    openings_hours: tuple[float, ...] = ()

    def __post_init__(self) -> None:
        for temperature in (self.temperature_c, *(warmth.temperature_c for warmth in self.warmths)):
            if not LOWEST_TEMPERATURE_C <= temperature <= HIGHEST_TEMPERATURE_C:
                bounds = f"{LOWEST_TEMPERATURE_C:g} to {HIGHEST_TEMPERATURE_C:g} °C"
                raise InputError(f"expected a temperature from {bounds}, got {temperature:g} °C")
        if not (self.dish_area_m2 > 0 and math.isfinite(self.dish_area_m2)):
            raise InputError(f"expected a dish of more than 0 m², got {self.dish_area_m2:g}")
        if not (self.wood_area_m2 >= 0 and math.isfinite(self.wood_area_m2)):
            raise InputError(f"expected a surface of wood of 0 m² or more, got {self.wood_area_m2:g}")

    @property
    def air_m3(self) -> float:
        """The air in the space: what the wood leaves of it. InputError where the wood fills it."""
        if not (self.space_m3 > 0 and math.isfinite(self.space_m3)):
            raise InputError(f"expected a tent of more than 0 m³, got {self.space_m3:g}")
        if not 0 <= self.wood_m3 < self.space_m3:
            raise InputError(f"expected a tent larger than the piece of {self.wood_m3:g} m³, got {self.space_m3:g} m³")
        return self.space_m3 - self.wood_m3

    @property
    def mean_temperature_c(self) -> float:
        """The mean of the thermometer's readings, weighted by the hours they stand for; as stated where none."""
        read = sorted(self.warmths, key=lambda warmth: warmth.at_hours)
        if not read:
            return self.temperature_c
        if len(read) == 1 or read[-1].at_hours == read[0].at_hours:
            return sum(warmth.temperature_c for warmth in read) / len(read)
        area = sum(
            (late.at_hours - early.at_hours) * (early.temperature_c + late.temperature_c) / 2
            for early, late in itertools.pairwise(read)
        )
        return area / (read[-1].at_hours - read[0].at_hours)

    @property
    def warmest_c(self) -> float:
        """The warmest that is known of: what counts where warmth makes things worse."""
        return max((self.temperature_c, *(warmth.temperature_c for warmth in self.warmths)))


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """The room around the tent: its volume, air changes an hour, mixing factor (1 to 10) and the user's own limit."""

    space_m3: float
    air_changes_per_hour: float
    mixing: float = 3.0
    limit_ppm: float = 20.0
