"""Laws of the colour formulas that hold for any colour."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from colourcore.colour.spaces import (
    WHITE_D50,
    WHITE_D65,
    chromatic_adaptation,
    lab_jacobian,
    lab_to_xyz,
    srgb_decode,
    srgb_encode,
    xyz_to_lab,
)

lab_values = st.tuples(st.floats(0, 100), st.floats(-80, 80), st.floats(-80, 80))


@given(lab_values)
def test_lab_comes_back_unchanged_through_xyz(lab: tuple[float, float, float]) -> None:
    np.testing.assert_allclose(xyz_to_lab(lab_to_xyz(lab, WHITE_D50), WHITE_D50), lab, atol=1e-9)


@given(st.floats(-0.2, 1.5))
def test_an_encoded_value_comes_back_unchanged_through_linear_light(value: float) -> None:
    assert srgb_encode(srgb_decode(value)) == pytest.approx(value, abs=2e-6)


@given(st.tuples(st.floats(5, 99), st.floats(-50, 50), st.floats(-50, 50)))
def test_the_jacobian_is_the_slope_of_the_formula(lab: tuple[float, float, float]) -> None:
    xyz, step = lab_to_xyz(lab), 1e-6
    slopes = [(xyz_to_lab(xyz + step * axis) - xyz_to_lab(xyz - step * axis)) / (2 * step) for axis in np.eye(3)]
    np.testing.assert_allclose(lab_jacobian(xyz), np.transpose(slopes), rtol=2e-3, atol=0.5)


def test_adapting_there_and_back_changes_nothing() -> None:
    there, back = chromatic_adaptation(WHITE_D65, WHITE_D50), chromatic_adaptation(WHITE_D50, WHITE_D65)
    np.testing.assert_allclose(there @ back, np.eye(3), atol=1e-12)


def test_shapes_are_kept() -> None:
    assert xyz_to_lab(np.ones((4, 5, 3))).shape == (4, 5, 3)
    assert lab_to_xyz(np.ones((2, 3))).shape == (2, 3)
