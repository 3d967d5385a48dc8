"""Vapour, density and charge against published figures. The source stands beside each check."""

from __future__ import annotations

import pytest

from colourcore.errors import InputError
from colourcore.run.ammonia import (
    ammonia_pressure_kpa,
    baume_to_specific_gravity,
    bubble_temperature_c,
    headspace,
    liquid_density,
    strength_from_density,
    water_pressure_kpa,
)


def test_pure_ammonia_and_pure_water_boil_where_they_do() -> None:
    # Pátek, Klomfar 1995, Int J Refrigeration 18(4) 228-234, evaluated at the ends: normal boiling points
    assert bubble_temperature_c(1.0, 101.325) == pytest.approx(-33.4, abs=0.05)
    assert bubble_temperature_c(0.0, 101.325) == pytest.approx(99.75, abs=0.01)


# computed from Pátek, Klomfar 1995 independently of this code: weight per cent, then kPa at 10, 20 and 30 °C
VAPOUR = [(5, 2.79, 4.52, 7.15), (10, 6.56, 10.63, 16.72), (20, 18.92, 30.31, 46.89), (28, 38.47, 60.25, 91.07)]


@pytest.mark.parametrize(("per_cent", "at_10", "at_20", "at_30"), VAPOUR)
def test_vapour_pressures_agree_with_the_correlation(per_cent: float, at_10: float, at_20: float, at_30: float) -> None:
    for temperature, pressure in ((10, at_10), (20, at_20), (30, at_30)):
        assert ammonia_pressure_kpa(per_cent / 100, temperature) == pytest.approx(pressure, abs=0.006)


def test_water_has_its_handbook_pressures() -> None:
    # saturation pressures of water, CRC handbook / IAPWS: 10, 20 and 30 °C
    for temperature, pressure in ((10, 1.228), (20, 2.339), (30, 4.247)):
        assert water_pressure_kpa(temperature) == pytest.approx(pressure, abs=0.001)


def test_densities_and_baume_agree_with_the_tables() -> None:
    # published handbook densities at 20 °C, g/cm³
    for per_cent, density in ((5, 0.977), (10, 0.9575), (20, 0.9228), (30, 0.892)):
        assert liquid_density(per_cent / 100) == pytest.approx(density, abs=1e-4)
    # 28 %: 0.898, from memory
    assert liquid_density(0.28) == pytest.approx(0.898, abs=1e-3)
    # 26 °Bé is 0.8974 and sold as 29.4 % (published)
    assert baume_to_specific_gravity(26) == pytest.approx(0.8974, abs=5e-5)
    # at 60/60 °F, where water has 0.9990 g/cm³; the liquid loses about 0.0022 up to 20 °C (from memory)
    at_20_c = baume_to_specific_gravity(26) * 0.9990 - 0.0022
    assert strength_from_density(at_20_c) == pytest.approx(0.294, abs=0.006)


# computed independently, 20 °C, no leak, no uptake: litres of 28 %, m³, share at balance and if all evaporates
CHARGES = [(0.5, 1.0, 0.123, 0.178), (0.25, 1.0, 0.072, 0.089), (0.1, 0.1, 0.193, 0.355)]


@pytest.mark.parametrize(("litres", "space", "balance", "upper"), CHARGES)
def test_charges_come_to_what_was_worked_out_by_hand(litres: float, space: float, balance: float, upper: float) -> None:
    found = headspace(litres, 0.28, space, 20.0)
    assert found.share_at_balance == pytest.approx(balance, abs=0.002)
    assert found.share_if_all_evaporates == pytest.approx(upper, abs=0.002)


def test_a_gallon_reaches_the_lower_limit_in_nine_cubic_metres() -> None:
    # a US gallon (3.785 L) of 28 %: 15 % of the air if all evaporates in 9 m³, at balance in 5.6 m³ (worked out apart)
    assert headspace(3.785, 0.28, 9.0, 20.0).share_if_all_evaporates == pytest.approx(0.15, abs=0.002)
    assert headspace(3.785, 0.28, 5.6, 20.0).share_at_balance == pytest.approx(0.15, abs=0.003)


@pytest.mark.parametrize(
    ("litres", "strength", "space", "temperature", "words"),
    [
        (0.5, 0.45, 1.0, 20.0, "strength from 0 to 40 %, got 45 %"),
        (0.0, 0.28, 1.0, 20.0, "more than 0 litres"),
        (0.5, 0.28, 0.0, 20.0, "tent of more than 0 m³"),
        (0.5, 0.28, 1.0, 60.0, "temperature from 0 to 45 °C, got 60 °C"),
    ],
)
def test_what_lies_outside_the_correlation_is_told(
    litres: float, strength: float, space: float, temperature: float, words: str
) -> None:
    with pytest.raises(InputError, match=words):
        headspace(litres, strength, space, temperature)
