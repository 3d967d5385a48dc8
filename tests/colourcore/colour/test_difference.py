"""Laws of colour difference."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from colourcore.colour.difference import delta_e_76, delta_e_2000, split_difference

lab_values = st.tuples(st.floats(0, 100), st.floats(-80, 80), st.floats(-80, 80))


@given(lab_values, lab_values)
def test_a_difference_is_the_same_from_both_sides(one: tuple[float, ...], two: tuple[float, ...]) -> None:
    assert delta_e_2000(one, two) == pytest.approx(delta_e_2000(two, one), abs=1e-9)
    assert delta_e_2000(one, one) == 0


@given(lab_values, lab_values)
def test_the_parts_add_up_to_the_whole(one: tuple[float, ...], two: tuple[float, ...]) -> None:
    parts = split_difference(one, two)
    assert np.hypot(np.hypot(parts.lightness, parts.chroma), parts.hue) == pytest.approx(delta_e_76(one, two), abs=1e-6)


def test_a_lighter_yellower_board_says_so() -> None:
    parts = split_difference((55, 5, 20), (50, 8, 14))
    assert parts.lightness == pytest.approx(5)
    assert parts.chroma > 0
    assert parts.hue > 0  # towards yellow: the hue angle grows
