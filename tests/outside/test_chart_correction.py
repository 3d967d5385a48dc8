"""A correction of colour, recomputed with colour-science's own function."""

from __future__ import annotations

import colour
import numpy as np
import pytest

from colourcore.colour.spaces import SRGB_TO_XYZ, XYZ_TO_SRGB
from colourcore.image.chart import published_reference
from colourcore.image.correction import correct_colours


def test_where_a_matrix_fits_exactly_it_is_the_one_that_colour_science_finds() -> None:
    """colour-science 0.4.7, matrix_colour_correction_Cheung2004 with three terms: plain least squares."""
    xyz = published_reference().xyz
    mix = np.array([[0.92, 0.06, 0.02], [0.03, 0.93, 0.04], [0.01, 0.08, 0.91]])
    light = (xyz @ XYZ_TO_SRGB.T) @ mix.T
    published = colour.characterisation.matrix_colour_correction_Cheung2004(light, xyz, terms=3)
    assert correct_colours(light, xyz, SRGB_TO_XYZ) == pytest.approx(
        published, abs=6e-3
    )  # what holds the open ends moves blue by 4e-3


def test_the_chart_references_agree_as_far_as_the_published_ones_do() -> None:
    """The published tables differ among themselves by 0.5 to 0.85 (CIEDE2000, mean), from colour-science's data."""
    before = published_reference("ColorChecker24 - Before November 2014").xyz
    after = published_reference("ColorChecker24 - After November 2014").xyz
    white = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D65"]
    gap = colour.delta_E(colour.XYZ_to_Lab(before, white), colour.XYZ_to_Lab(after, white), method="CIE 2000")
    assert 0.3 < np.mean(gap) < 1.0
