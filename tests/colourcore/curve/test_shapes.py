"""The rival shapes: where they start, stand at the half time, and end."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from colourcore.curve.shapes import KINDS, levelling_power, second_order, shape_table, stretched, two_speed

SHAPES = {
    "stretched": lambda t: stretched(t, 0.7),
    "second order": lambda t: second_order(t, 1.3),
    "two speeds": lambda t: two_speed(t, 0.55, 12.0),
    "power then level": lambda t: levelling_power(t, 0.5, 4.0),
}


@pytest.mark.parametrize("kind", KINDS)
def test_a_shape_starts_at_nothing_and_stands_at_one_half_after_the_half_time(kind: str) -> None:
    found = SHAPES[kind](np.array([0.0, 1.0, 1e9]))
    np.testing.assert_allclose(found, [0.0, 0.5, 1.0], atol=1e-6)


@given(st.floats(0.3, 2.0), st.floats(0.05, 0.95), st.floats(1.1, 40.0), st.floats(2.0, 12.0))
def test_no_shape_ever_lightens(exponent: float, share: float, rate: float, sharpness: float) -> None:
    time = np.geomspace(1e-4, 1e4, 300)
    for found in (
        stretched(time, exponent),
        second_order(time, exponent),
        two_speed(time, share, rate),
        levelling_power(time, exponent, sharpness),
    ):
        assert np.all(np.diff(found) >= -1e-12)
        assert np.all((found >= 0) & (found <= 1))


def test_a_change_of_the_unit_of_time_is_a_change_of_the_half_time() -> None:
    hours = np.array([0.5, 3.0, 20.0])
    np.testing.assert_allclose(stretched(hours / 8.0, 0.9), stretched(hours * 60 / 480.0, 0.9), rtol=1e-14)


def test_each_kind_has_a_quarter_of_the_prior() -> None:
    table = shape_table()
    for index in range(len(KINDS)):
        assert table.prior[table.kind == index].sum() == pytest.approx(0.25)


def test_the_table_reads_like_the_formulas_between_its_points() -> None:
    table = shape_table()
    place = np.linspace(-8, 8, 777)
    fast = int(np.flatnonzero(table.kind == 2)[10])
    for row, formula in ((5, lambda t: stretched(t, 0.9)), (15 + 6, lambda t: second_order(t, 1.0))):
        np.testing.assert_allclose(table.at(np.array(row), place), formula(np.exp(place)), atol=3e-5)
    np.testing.assert_allclose(table.at(np.array(fast), place), two_speed(np.exp(place), 0.55, 12.0), atol=3e-5)


def test_the_table_is_flat_beyond_its_ends_and_nothing_at_no_time() -> None:
    table = shape_table()
    found = table.at(np.arange(table.prior.size)[:, None], np.array([-np.inf, -30.0, 30.0]))
    assert np.all(found[:, 0] == 0)
    assert np.all((found[:, 1] >= 0) & (found[:, 1] < 0.01))
    assert np.all(found[:, 2] > 0.99)


def test_the_table_cannot_be_changed_by_whoever_reads_it() -> None:
    with pytest.raises(ValueError, match="read-only"):
        shape_table().values[0, 0] = 1.0
