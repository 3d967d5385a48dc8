"""Ammonia in water and in air: vapour pressures, densities and what a charge comes to in a closed tent.

Pure formulas. Strength is the mass fraction of NH3 in the liquid, 0 to 1; temperatures are in °C, pressures in kPa.
Nothing here says that an amount may be poured: `charge` holds it against the flammable range.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from typing import Final

from colourcore.errors import InputError

__all__ = [
    "AMMONIA_MOLAR_MASS",
    "FLAMMABLE_FROM",
    "FLAMMABLE_TO",
    "HIGHEST_STRENGTH",
    "HIGHEST_TEMPERATURE_C",
    "LOWEST_TEMPERATURE_C",
    "Headspace",
    "ammonia_pressure_kpa",
    "baume_to_specific_gravity",
    "bubble_temperature_c",
    "headspace",
    "liquid_density",
    "mole_fraction",
    "strength_from_density",
    "water_pressure_kpa",
]

AMMONIA_MOLAR_MASS: Final = 17.0305  # g/mol, IUPAC atomic weights
WATER_MOLAR_MASS: Final = 18.0153  # g/mol, IUPAC atomic weights
GAS_CONSTANT: Final = 8.314462618  # J/(mol K), CODATA 2018
ATMOSPHERE_KPA: Final = 101.325
ZERO_C: Final = 273.15

FLAMMABLE_FROM: Final = 0.15  # share of the air by volume, lower limit as published (NIOSH); another source says 0.16
FLAMMABLE_TO: Final = 0.28  # upper limit, the same source; another source says 0.25
HIGHEST_STRENGTH: Final = 0.40  # above this the liquid boils at room temperature under the atmosphere
LOWEST_TEMPERATURE_C: Final = 0.0
HIGHEST_TEMPERATURE_C: Final = 45.0

# Pátek, Klomfar 1995, Int J Refrigeration 18(4) 228-234, table 1: exponents m, n and coefficient a
_BUBBLE: Final = (
    (0, 0, 3.22302),
    (0, 1, -0.384206),
    (0, 2, 0.0460965),
    (0, 3, -3.78945e-3),
    (0, 4, 1.35610e-4),
    (1, 0, 0.487755),
    (1, 1, -0.120108),
    (1, 2, 0.0106154),
    (2, 3, -5.33589e-4),
    (4, 0, 7.85041),
    (5, 0, -11.5941),
    (5, 1, -0.0523150),
    (6, 0, 4.89596),
    (13, 1, 0.0421059),
)

# mass fraction and density in g/cm³ at 20 °C: published handbook table, the 28 % row from memory and left out
_DENSITIES: Final = ((0.0, 0.9982), (0.05, 0.977), (0.10, 0.9575), (0.20, 0.9228), (0.30, 0.892))


def mole_fraction(strength: float) -> float:
    """Return the mole fraction of NH3 in a liquid of that mass fraction, both 0 to 1.

    >>> round(mole_fraction(0.28), 4)
    0.2915
    """
    ammonia, water = strength / AMMONIA_MOLAR_MASS, (1 - strength) / WATER_MOLAR_MASS
    return ammonia / (ammonia + water)


def bubble_temperature_c(fraction: float, pressure_kpa: float) -> float:
    """Return the temperature in °C at which a liquid of that mole fraction of NH3 boils under a total pressure in kPa.

    Source: Pátek, Klomfar 1995, Int J Refrigeration 18(4) 228-234, equation 1 (0.002 to 2 MPa).

    >>> round(bubble_temperature_c(1.0, 101.325), 1), round(bubble_temperature_c(0.0, 101.325), 2)
    (-33.4, 99.75)
    """
    step = math.log(2 / (pressure_kpa / 1000))
    return 100 * sum(a * (1 - fraction) ** m * step**n for m, n, a in _BUBBLE) - ZERO_C


def water_pressure_kpa(temperature_c: float) -> float:
    """Return the saturation pressure of pure water in kPa, 0 to 100 °C.

    Source: Wagner, Pruß 1993, J Phys Chem Ref Data 22(3) 783-787, the equation that IAPWS SR1-86 recommends.

    >>> [round(water_pressure_kpa(t), 3) for t in (10, 20, 30)]
    [1.228, 2.339, 4.247]
    """
    part = 1 - (temperature_c + ZERO_C) / 647.096
    series = (
        -7.85951783 * part
        + 1.84408259 * part**1.5
        - 11.7866497 * part**3
        + 22.6807411 * part**3.5
        - 15.9618719 * part**4
        + 1.80122502 * part**7.5
    )
    return 22064.0 * math.exp(series * 647.096 / (temperature_c + ZERO_C))


def _check_liquid(strength: float, temperature_c: float) -> None:
    if not 0 <= strength <= HIGHEST_STRENGTH:
        raise InputError(f"expected a strength from 0 to {100 * HIGHEST_STRENGTH:.0f} %, got {100 * strength:g} %")
    if not LOWEST_TEMPERATURE_C <= temperature_c <= HIGHEST_TEMPERATURE_C:
        bounds = f"{LOWEST_TEMPERATURE_C:g} to {HIGHEST_TEMPERATURE_C:g} °C"
        raise InputError(f"expected a temperature from {bounds}, got {temperature_c:g} °C")


def ammonia_pressure_kpa(strength: float, temperature_c: float) -> float:
    """Return the partial pressure of NH3 in kPa over a liquid of that mass fraction.

    The total pressure whose bubble temperature is the liquid's, less what water adds by Raoult's law.
    Raises InputError outside 0 to 40 % and 0 to 45 °C. Source: Pátek, Klomfar 1995, as above.

    >>> round(ammonia_pressure_kpa(0.28, 20), 2)
    60.25
    """
    _check_liquid(strength, temperature_c)
    if strength == 0:
        return 0.0
    fraction = mole_fraction(strength)
    total = _bubble_pressure_kpa(fraction, temperature_c)
    return max(0.0, total - (1 - fraction) * water_pressure_kpa(temperature_c))


def _bubble_pressure_kpa(fraction: float, temperature_c: float) -> float:
    """Return the total pressure whose bubble temperature this is: Newton's steps on ln(2/p), which the series is in."""
    powers = [0.0] * 5
    for m, n, a in _BUBBLE:
        powers[n] += 100 * a * (1 - fraction) ** m
    step = 3.0  # about the atmosphere
    for _ in range(30):
        excess = sum(power * step**n for n, power in enumerate(powers)) - temperature_c - ZERO_C
        slope = sum(n * power * step ** (n - 1) for n, power in enumerate(powers) if n)
        change = excess / slope
        step -= change
        if abs(change) < 1e-12:
            break
    return 2000 * math.exp(-step)


def liquid_density(strength: float) -> float:
    """Return the density in g/cm³ at 20 °C of ammonia water, 0 to 30 % by published table, up to 40 % carried on.

    Linear between the table's rows. Raises InputError outside 0 to 40 %.

    >>> round(liquid_density(0.25), 4)
    0.9074
    """
    _check_liquid(strength, 20.0)
    rows = list(itertools.pairwise(_DENSITIES))
    (low, dense), (high, thin) = next((pair for pair in rows if strength <= pair[1][0]), rows[-1])
    return dense + (thin - dense) * (strength - low) / (high - low)


def strength_from_density(density: float) -> float:
    """Return the mass fraction of NH3 whose density at 20 °C this is, in g/cm³: weigh a measured volume.

    Raises InputError outside what 0 to 40 % gives.

    >>> round(strength_from_density(0.9228), 3)
    0.2
    """
    lightest = liquid_density(HIGHEST_STRENGTH)
    if not lightest <= density <= _DENSITIES[0][1]:
        raise InputError(f"expected a density from {lightest:.3f} to {_DENSITIES[0][1]:.3f} g/cm³, got {density:g}")
    low, high = 0.0, HIGHEST_STRENGTH
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if liquid_density(middle) > density else (low, middle)
    return (low + high) / 2


def baume_to_specific_gravity(degrees: float) -> float:
    """Return the specific gravity of a liquid lighter than water from its Baumé degrees (10 or more).

    Source: the light-liquid scale, 140/(130 + °Bé). Raises InputError under 10 and over 40 degrees.

    >>> round(baume_to_specific_gravity(26), 4)
    0.8974
    """
    if not 10 <= degrees <= 40:
        raise InputError(f"expected 10 to 40 degrees Baumé, got {degrees:g}")
    return 140 / (130 + degrees)


@dataclass(frozen=True, slots=True, kw_only=True)
class Headspace:
    """What a charge comes to in the air of a closed space, without leak and without uptake by wood.

    Attributes
    ----------
    ammonia_g
        NH3 in the liquid that was poured, in grams.
    grams_per_m3
        The same over the space.
    share_at_balance
        Share of the air by volume, 0 to 1, when liquid and vapour have come to balance.
    share_if_all_evaporates
        The upper bound: all NH3 in the air.
    strength_at_balance
        Mass fraction of NH3 left in the liquid at balance.
    """

    ammonia_g: float
    grams_per_m3: float
    share_at_balance: float
    share_if_all_evaporates: float
    strength_at_balance: float


def headspace(volume_litres: float, strength: float, space_m3: float, temperature_c: float) -> Headspace:
    """Return what a charge comes to in a closed space.

    Parameters
    ----------
    volume_litres, strength
        Of the liquid poured: its volume at 20 °C and its mass fraction of NH3, 0 to 0.4.
    space_m3
        Air in the tent, in m³.
    temperature_c
        Of liquid and air, 0 to 45 °C.

    Raises InputError outside these ranges. At balance the water's own vapour has left the liquid too, and made it
    stronger; the share is that of an atmosphere of 101.325 kPa.

    >>> found = headspace(0.5, 0.28, 1.0, 20.0)
    >>> round(found.grams_per_m3), round(100 * found.share_if_all_evaporates, 1), round(100 * found.share_at_balance, 1)
    (126, 17.8, 12.3)
    """
    if volume_litres <= 0 or not math.isfinite(volume_litres):
        raise InputError(f"expected a charge of more than 0 litres, got {volume_litres:g}")
    if space_m3 <= 0 or not math.isfinite(space_m3):
        raise InputError(f"expected a tent of more than 0 m³, got {space_m3:g}")
    liquid_g = 1000 * volume_litres * liquid_density(strength)
    ammonia, water = strength * liquid_g / AMMONIA_MOLAR_MASS, (1 - strength) * liquid_g / WATER_MOLAR_MASS
    per_kpa = 1000 * space_m3 / (GAS_CONSTANT * (temperature_c + ZERO_C))  # mol of vapour for 1 kPa
    low, high = 0.0, strength
    for _ in range(60):
        left = (low + high) / 2
        fraction = mole_fraction(left)
        liquid_water = max(0.0, water - per_kpa * (1 - fraction) * water_pressure_kpa(temperature_c))
        vapour = per_kpa * ammonia_pressure_kpa(left, temperature_c)
        surplus = ammonia - liquid_water * fraction / (1 - fraction) - vapour
        low, high = (left, high) if surplus > 0 else (low, left)
    left, upper_kpa = (low + high) / 2, ammonia / per_kpa
    return Headspace(
        ammonia_g=ammonia * AMMONIA_MOLAR_MASS,
        grams_per_m3=ammonia * AMMONIA_MOLAR_MASS / space_m3,
        share_at_balance=min(upper_kpa, ammonia_pressure_kpa(left, temperature_c)) / ATMOSPHERE_KPA,
        share_if_all_evaporates=upper_kpa / ATMOSPHERE_KPA,
        strength_at_balance=left,
    )
