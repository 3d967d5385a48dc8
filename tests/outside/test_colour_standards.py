"""Colour formulas against published values and independent libraries. The source stands beside each check."""

from __future__ import annotations

import colour as colour_science
import numpy as np
import pytest
from skimage.color import deltaE_ciede2000, rgb2lab

from colourcore.colour.difference import delta_e_2000
from colourcore.colour.spaces import (
    SRGB_TO_XYZ,
    WHITE_D50,
    WHITE_D65,
    chromatic_adaptation,
    lab_to_xyz,
    srgb_decode,
    srgb_encode,
    xyz_to_lab,
)

# Sharma, Wu, Dalal 2005, Color Research and Application 30(1) 21-30, table 1: two colours and their ΔE00, 34 pairs
SHARMA = """
50.0000,2.6772,-79.7751,50.0000,0.0000,-82.7485,2.0425
50.0000,3.1571,-77.2803,50.0000,0.0000,-82.7485,2.8615
50.0000,2.8361,-74.0200,50.0000,0.0000,-82.7485,3.4412
50.0000,-1.3802,-84.2814,50.0000,0.0000,-82.7485,1.0000
50.0000,-1.1848,-84.8006,50.0000,0.0000,-82.7485,1.0000
50.0000,-0.9009,-85.5211,50.0000,0.0000,-82.7485,1.0000
50.0000,0.0000,0.0000,50.0000,-1.0000,2.0000,2.3669
50.0000,-1.0000,2.0000,50.0000,0.0000,0.0000,2.3669
50.0000,2.4900,-0.0010,50.0000,-2.4900,0.0009,7.1792
50.0000,2.4900,-0.0010,50.0000,-2.4900,0.0010,7.1792
50.0000,2.4900,-0.0010,50.0000,-2.4900,0.0011,7.2195
50.0000,2.4900,-0.0010,50.0000,-2.4900,0.0012,7.2195
50.0000,-0.0010,2.4900,50.0000,0.0009,-2.4900,4.8045
50.0000,-0.0010,2.4900,50.0000,0.0010,-2.4900,4.8045
50.0000,-0.0010,2.4900,50.0000,0.0011,-2.4900,4.7461
50.0000,2.5000,0.0000,50.0000,0.0000,-2.5000,4.3065
50.0000,2.5000,0.0000,73.0000,25.0000,-18.0000,27.1492
50.0000,2.5000,0.0000,61.0000,-5.0000,29.0000,22.8977
50.0000,2.5000,0.0000,56.0000,-27.0000,-3.0000,31.9030
50.0000,2.5000,0.0000,58.0000,24.0000,15.0000,19.4535
50.0000,2.5000,0.0000,50.0000,3.1736,0.5854,1.0000
50.0000,2.5000,0.0000,50.0000,3.2972,0.0000,1.0000
50.0000,2.5000,0.0000,50.0000,1.8634,0.5757,1.0000
50.0000,2.5000,0.0000,50.0000,3.2592,0.3350,1.0000
60.2574,-34.0099,36.2677,60.4626,-34.1751,39.4387,1.2644
63.0109,-31.0961,-5.8663,62.8187,-29.7946,-4.0864,1.2630
61.2901,3.7196,-5.3901,61.4292,2.2480,-4.9620,1.8731
35.0831,-44.1164,3.7933,35.0232,-40.0716,1.5901,1.8645
22.7233,20.0904,-46.6940,23.0331,14.9730,-42.5619,2.0373
36.4612,47.8580,18.3852,36.2715,50.5065,21.2231,1.4146
90.8027,-2.0831,1.4410,91.1528,-1.6435,0.0447,1.4441
90.9257,-0.5406,-0.9208,88.6381,-0.8985,-0.7239,1.5381
6.7747,-0.2908,-2.4247,5.8714,-0.0985,-2.2286,0.6377
2.0776,0.0795,-1.1350,0.9033,-0.0636,-0.5514,0.9082
"""


def sharma_pairs() -> np.ndarray:
    return np.array([[float(cell) for cell in row.split(",")] for row in SHARMA.split()])


def random_lab(count: int = 2000) -> np.ndarray:
    generator = np.random.default_rng(20261125)
    return generator.uniform([5, -60, -60], [95, 60, 60], (count, 3))


def test_ciede2000_agrees_with_all_34_published_pairs() -> None:
    rows = sharma_pairs()
    assert rows.shape == (34, 7)
    # the paper prints four decimals
    np.testing.assert_allclose(delta_e_2000(rows[:, :3], rows[:, 3:6]), rows[:, 6], atol=5e-5)
    np.testing.assert_allclose(delta_e_2000(rows[:, 3:6], rows[:, :3]), rows[:, 6], atol=5e-5)


def test_ciede2000_agrees_with_two_independent_libraries() -> None:
    one, two = random_lab(), random_lab()[::-1]
    np.testing.assert_allclose(delta_e_2000(one, two), colour_science.delta_E(one, two, method="CIE 2000"), atol=1e-9)
    np.testing.assert_allclose(delta_e_2000(one, two), deltaE_ciede2000(one, two), atol=1e-9)


def test_lightness_50_is_the_luminance_that_iso_cie_11664_4_gives() -> None:
    # ISO/CIE 11664-4 with κ 24389/27 and ε 216/24389: Y = ((50 + 16) / 116)³
    assert lab_to_xyz([50.0, 0.0, 0.0])[1] == pytest.approx(0.184187, abs=5e-7)
    # at the joint, L* = κ·ε = 8 exactly
    assert xyz_to_lab(WHITE_D65 * 216 / 24389)[0] == pytest.approx(8.0, abs=1e-12)


def test_the_18_percent_grey_of_the_trade_reads_l_49_5_and_code_117_65() -> None:
    # reflectance 0.18: computed from ISO/CIE 11664-4 and IEC 61966-2-1
    assert xyz_to_lab(0.18 * WHITE_D65)[0] == pytest.approx(49.496, abs=5e-4)
    assert 255 * srgb_encode(0.18) == pytest.approx(117.65, abs=5e-3)
    assert xyz_to_lab(0.17 * WHITE_D65)[0] == pytest.approx(48.26, abs=5e-3)
    assert xyz_to_lab(0.19 * WHITE_D65)[0] == pytest.approx(50.69, abs=5e-3)


def test_srgb_red_has_the_lab_that_its_standard_implies() -> None:
    # IEC 61966-2-1 primaries; the digits of the matrix in use move L* by up to 0.01
    lab = xyz_to_lab(SRGB_TO_XYZ @ srgb_decode([1.0, 0.0, 0.0]))
    np.testing.assert_allclose(lab, [53.241, 80.092, 67.203], atol=0.02)


def test_srgb_curve_and_lab_agree_with_independent_libraries() -> None:
    rgb = np.random.default_rng(3).uniform(0, 1, (500, 3))
    np.testing.assert_allclose(srgb_decode(rgb), colour_science.models.eotf_sRGB(rgb), atol=1e-12)
    # scikit-image rounds matrix and white to five digits
    np.testing.assert_allclose(xyz_to_lab(srgb_decode(rgb) @ SRGB_TO_XYZ.T), rgb2lab(rgb), atol=0.05)
    lab = random_lab()
    white = colour_science.XYZ_to_xy(WHITE_D65)
    np.testing.assert_allclose(lab_to_xyz(lab), colour_science.Lab_to_XYZ(lab, white), atol=1e-9)


def test_the_srgb_matrix_agrees_with_the_one_derived_independently() -> None:
    space = colour_science.RGB_COLOURSPACES["sRGB"].copy()
    space.use_derived_transformation_matrices(True)
    np.testing.assert_allclose(SRGB_TO_XYZ, space.matrix_RGB_to_XYZ, atol=1e-9)


def test_bradford_adaptation_agrees_with_an_independent_library() -> None:
    ours = chromatic_adaptation(WHITE_D65, WHITE_D50)
    theirs = colour_science.adaptation.matrix_chromatic_adaptation_VonKries(WHITE_D65, WHITE_D50, transform="Bradford")
    np.testing.assert_allclose(ours, theirs, atol=1e-12)
    # ICC.1 prints the matrix from D65 to D50 with the sRGB profile's own chad tag, to four or five digits
    np.testing.assert_allclose(
        ours, [[1.04791, 0.02293, -0.05020], [0.02960, 0.99046, -0.01707], [-0.00925, 0.01506, 0.75179]], atol=5e-4
    )


@pytest.mark.parametrize(("lightness", "per_cent", "shift"), [(50, 5, 1.10), (68, 5, 1.40)])
def test_five_percent_of_light_costs_what_the_derivative_says(lightness: float, per_cent: float, shift: float) -> None:
    # δL* = (L* + 16) / 3 · δY / Y: the derivative of ISO/CIE 11664-4
    xyz = lab_to_xyz([lightness, 0, 0])
    halves = [xyz_to_lab(xyz * (1 + sign * per_cent / 200))[0] for sign in (1, -1)]
    assert halves[0] - halves[1] == pytest.approx(shift, abs=0.01)
