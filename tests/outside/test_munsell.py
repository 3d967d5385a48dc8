"""Munsell values against the published relation of value and luminance."""

from __future__ import annotations

import pytest

from colourcore.colour.munsell import munsell_to_lab
from colourcore.colour.spaces import xyz_to_lab

# ASTM D1535-08, section on Munsell value (from memory): luminance in per cent of the perfect diffuser by a polynomial
POLYNOMIAL = (1.1914, -0.22533, 0.23352, -0.020484, 0.00081939)


@pytest.mark.parametrize("value", [1, 2, 3, 4, 5, 6, 7, 8, 9])
def test_the_lightness_of_a_munsell_value_is_that_of_its_luminance(value: int) -> None:
    luminance = sum(factor * value**power for power, factor in enumerate(POLYNOMIAL, 1)) / 100
    white = (0.95, 1.0, 1.09)
    expected = float(xyz_to_lab([0.95 * luminance, luminance, 1.09 * luminance], white)[0])
    assert munsell_to_lab(f"N {value}/")[0] == pytest.approx(expected, abs=0.05)
