"""What stood around the wood: what is taken in, in which units, and what is told when it cannot be."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from colourcore.errors import InputError
from colourcore.run.conditions import Conditions, Strength, Warmth
from colourcore.run.quantities import parse_area, parse_grams, parse_litres, parse_space, parse_temperature


@pytest.mark.parametrize(
    ("typed", "parse", "value"),
    [
        # exact by definition: NIST Special Publication 811 (2008), appendix B.8
        ("1 gal", parse_litres, 3.785411784),
        ("32 fl oz", parse_litres, 0.946352946),
        ("1 qt", parse_litres, 0.946352946),
        ("35.3146667 ft³", parse_space, 1.0),
        ("48 x 36 x 30 in", parse_space, 48 * 36 * 30 * 1.6387064e-5),
        ("1,2 × 1,0 × 0,9", parse_space, 1.08),
        ("120x100x90 cm", parse_space, 1.08),
        ("68 F", parse_temperature, 20.0),
        ("18 °C", parse_temperature, 18.0),
        ("1 lb", parse_grams, 453.59237),
        ("64 in2", parse_area, 0.04129),
    ],
)
def test_metric_and_us_units_come_to_the_same(typed: str, parse: object, value: float) -> None:
    assert callable(parse)
    assert parse(typed) == pytest.approx(value, rel=1e-5)


@pytest.mark.parametrize(
    ("typed", "parse", "words"),
    [
        ("0", parse_space, "more than 0"),
        ("0 x 1 x 1", parse_space, "more than 0"),
        ("1 x 1", parse_space, "three lengths or one volume"),
        ("-0.1 l", parse_litres, "more than 0"),
        ("a gallon", parse_litres, "Expected a volume of liquid, got a gallon"),
        ("3 barrels", parse_litres, "in l, ml"),
        ("20 K", parse_temperature, "°C or °F"),
        ("", parse_litres, "got nothing"),
    ],
)
def test_what_is_no_quantity_is_told(typed: str, parse: object, words: str) -> None:
    assert callable(parse)
    with pytest.raises(InputError, match=words):
        parse(typed)


def test_a_strength_is_taken_as_the_bottle_says_it() -> None:
    assert Strength.said("28 %") == Strength(low=0.28, high=0.28)
    assert Strength.said("10–35 %") == Strength(low=0.10, high=0.35)
    # 26 °Bé is sold as 29.4 % (published)
    by_float = Strength.said("26 °Bé")
    assert by_float.low < 0.294 < by_float.high
    assert Strength.said("unknown").high == 0.40


@pytest.mark.parametrize("typed", ["45", "0", "28 to 30", "strong", "35-10"])
def test_a_strength_that_cannot_be_is_told(typed: str) -> None:
    with pytest.raises(InputError, match="Expected a strength"):
        Strength.said(typed)


@pytest.mark.parametrize("temperature", [-5.0, 46.0])
def test_a_temperature_outside_the_correlation_is_told(temperature: float) -> None:
    with pytest.raises(InputError, match="temperature from 0 to 45 °C"):
        Conditions(space_m3=1.0, temperature_c=temperature)
    with pytest.raises(InputError, match="temperature from 0 to 45 °C"):
        Conditions(space_m3=1.0, warmths=(Warmth(at_hours=1, temperature_c=temperature),))


def test_a_thermometer_is_weighed_by_the_hours_it_stands_for() -> None:
    read = (Warmth(at_hours=0, temperature_c=20), Warmth(at_hours=2, temperature_c=20))
    late = (*read, Warmth(at_hours=10, temperature_c=10))
    assert Conditions(space_m3=1, warmths=late).mean_temperature_c == pytest.approx(16.0)
    assert Conditions(space_m3=1, warmths=late, temperature_c=12).warmest_c == 20


@settings(deadline=None)  # the machine may be busy
@given(st.floats(0, 45), st.lists(st.tuples(st.floats(0, 100), st.floats(0, 45)), max_size=6))
def test_the_mean_warmth_lies_within_what_was_read(stated: float, read: list[tuple[float, float]]) -> None:
    warmths = tuple(Warmth(at_hours=hours, temperature_c=warm) for hours, warm in read)
    mean = Conditions(space_m3=1, temperature_c=stated, warmths=warmths).mean_temperature_c
    known = [warm for _, warm in read] or [stated]
    assert min(known) - 1e-6 <= mean <= max(known) + 1e-6
