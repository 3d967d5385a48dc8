"""Quantities as a maker types them, metric or US, turned into litres, cubic metres, °C, grams and hours.

Factors are exact by definition: NIST Special Publication 811 (2008), appendix B.8. The job keeps metric values only.
"""

from __future__ import annotations

import math
import re
from typing import Final

from colourcore.errors import InputError

__all__ = [
    "CUBIC_FEET_PER_M3",
    "FLUID_OUNCES_PER_LITRE",
    "fahrenheit",
    "parse_area",
    "parse_grams",
    "parse_litres",
    "parse_space",
    "parse_temperature",
]

_METRES: Final = {"m": 1.0, "cm": 0.01, "mm": 0.001, "in": 0.0254, "ft": 0.3048}
_LITRES: Final = {
    "l": 1.0,
    "ml": 0.001,
    "cl": 0.01,
    "floz": 0.0295735295625,
    "pt": 0.473176473,
    "qt": 0.946352946,
    "gal": 3.785411784,
}
_CUBIC_METRES: Final = {"m3": 1.0, "l": 0.001, "ft3": 0.028316846592, "in3": 1.6387064e-5, "gal": 0.003785411784}
_SQUARE_METRES: Final = {"m2": 1.0, "cm2": 1e-4, "ft2": 0.09290304, "in2": 6.4516e-4}
_GRAMS: Final = {"g": 1.0, "kg": 1000.0, "oz": 28.349523125, "lb": 453.59237}

FLUID_OUNCES_PER_LITRE: Final = 1 / _LITRES["floz"]
"""US fluid ounces in a litre."""

CUBIC_FEET_PER_M3: Final = 1 / _CUBIC_METRES["ft3"]
"""Cubic feet in a cubic metre."""

_NUMBER_AND_UNIT: Final = re.compile(r"([-+]?[0-9]*[.,]?[0-9]+)\s*(.*)")


def _split(text: str, expected: str) -> tuple[float, str]:
    """Return the number and the unit of a quantity; a comma may stand for the decimal point."""
    found = _NUMBER_AND_UNIT.fullmatch(text.strip())
    if found is None:
        raise InputError(f"expected {expected}, got {text.strip() or 'nothing'}")
    unit = found[2].strip().lower().replace(" ", "").replace(".", "")
    return float(found[1].replace(",", ".")), unit.replace("³", "3").replace("²", "2")


def _in_units(text: str, factors: dict[str, float], expected: str, unit: str) -> float:
    number, said = _split(text, expected)
    factor = factors.get(said or unit)
    if factor is None:
        raise InputError(f"expected {expected} in {', '.join(factors)}, got {text.strip()}")
    if number <= 0:
        raise InputError(f"expected {expected} of more than 0, got {text.strip()}")
    return number * factor


def parse_litres(text: str) -> float:
    """Return a volume of liquid in litres; plain numbers are litres, units are US ones. InputError at 0 or less.

    >>> parse_litres("0.11"), parse_litres("110 ml"), round(parse_litres("1 gal"), 3), round(parse_litres("4 fl oz"), 3)
    (0.11, 0.11, 3.785, 0.118)
    """
    return _in_units(text, _LITRES, "a volume of liquid", "l")


def parse_space(text: str) -> float:
    """Return the volume of a tent, box or room in m³: a volume, or three lengths with × or x between.

    Plain numbers are m³ and metres; a unit behind the last length holds for all three. InputError at 0 or less.

    >>> round(parse_space("1.2 x 1.0 x 0.9"), 3), round(parse_space("60 l"), 3), round(parse_space("4x3x3 ft"), 3)
    (1.08, 0.06, 1.019)
    """
    sides = re.split(r"[x×*]", text.strip().lower())
    if len(sides) == 1:
        return _in_units(text, _CUBIC_METRES, "the volume of a space", "m3")
    if len(sides) != 3:
        raise InputError(f"expected three lengths or one volume, got {text.strip()}")
    unit = _split(sides[2], "a length")[1] or "m"
    return math.prod(_in_units(side, _METRES, "a length", unit) for side in sides)


def parse_area(text: str) -> float:
    """Return an area in m²; plain numbers are m².

    >>> parse_area("400 cm2"), round(parse_area("1 ft2"), 4)
    (0.04, 0.0929)
    """
    return _in_units(text, _SQUARE_METRES, "an area", "m2")


def parse_grams(text: str) -> float:
    """Return a mass in grams; plain numbers are grams.

    >>> parse_grams("89.8 g"), round(parse_grams("3 oz"), 2)
    (89.8, 85.05)
    """
    return _in_units(text, _GRAMS, "a mass", "g")


def parse_temperature(text: str) -> float:
    """Return a temperature in °C; plain numbers are °C.

    >>> parse_temperature("18"), round(parse_temperature("64.4 °F"), 1)
    (18.0, 18.0)
    """
    number, unit = _split(text, "a temperature")
    unit = unit.replace("°", "")
    if unit not in ("", "c", "f"):
        raise InputError(f"expected a temperature in °C or °F, got {text.strip()}")
    return (number - 32) / 1.8 if unit == "f" else number


def fahrenheit(temperature_c: float) -> float:
    """Return a temperature in °F.

    >>> fahrenheit(20)
    68.0
    """
    return 1.8 * temperature_c + 32
