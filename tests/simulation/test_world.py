"""The simulated world keeps the laws it says it keeps."""

import colour
import numpy as np
import pytest

from tests.simulation.camera import CARD_LAB, balance_by_card, delta_e_2000, measured_camera, srgb_code
from tests.simulation.chest import invented_chest
from tests.simulation.scene import light_field, standing_view
from tests.simulation.spectra import (
    RateLaw,
    Wood,
    card_reflectance,
    chromophore,
    lab_from_xyz,
    raw_oak,
    reflectance_from_absorption,
    spectral_lab,
)
from tests.simulation.wood import Grain, face_light, grown_face

GRAIN = Grain(
    ring_mm=2.4, pith_y_mm=20, pith_depth_mm=18, depth_slope=0.09, wander_mm=1, fleck=0.1, ray_lines_per_mm2=0.05
)
WOOD = Wood(
    raw=raw_oak(70.0, 6.0, 20.0),
    brown=chromophore(),
    law=RateLaw(kind="first", limit=2.4, time_constant_hours=9.0),
)


def test_the_layer_law_gives_back_the_absorption_that_made_a_reflectance() -> None:
    # Kubelka & Munk 1931: K/S = (1 - R)² / (2 R)
    absorption = np.array([0.01, 0.1, 1.0, 5.0])
    reflectance = reflectance_from_absorption(absorption)
    np.testing.assert_allclose((1.0 - reflectance) ** 2 / (2.0 * reflectance), absorption, rtol=1e-9)


def test_raw_oak_has_the_colour_it_was_asked_for() -> None:
    np.testing.assert_allclose(spectral_lab(WOOD.reflectance(0.0)), (70.0, 6.0, 20.0), atol=1e-6)


def test_the_card_of_eighteen_per_cent_has_the_lightness_of_the_published_formula() -> None:
    # ISO/CIE 11664-4: L* = 116 · 0.18^(1/3) - 16
    np.testing.assert_allclose(spectral_lab(card_reflectance()), (49.496, 0.0, 0.0), atol=1e-3)
    np.testing.assert_allclose(lab_from_xyz(np.array([0.184187]), np.array([1.0]) * np.ones(3))[0], 50.0, atol=1e-3)


def test_vapour_darkens_wood_and_takes_red_and_yellow_from_it() -> None:
    lab = spectral_lab(WOOD.reflectance(np.array([0.0, 1.0, 4.0, 10.0, 26.0])))
    assert (np.diff(lab[:, 0]) < 0).all()
    assert lab[-1, 1] < lab[0, 1]
    assert lab[-1, 2] < lab[0, 2]


def test_a_second_order_law_is_half_done_after_its_time_constant() -> None:
    assert RateLaw(kind="second", limit=3.0, time_constant_hours=8.0).concentration(8.0) == pytest.approx(1.5)


def test_pieces_of_a_board_scatter_as_much_as_is_said() -> None:
    rng = np.random.default_rng(3)
    pieces = [WOOD.piece(raw_shift_lightness=float(s), depth=1.0, pace=1.0) for s in rng.normal(0.0, 0.5, 400)]
    raw = np.array([spectral_lab(piece.reflectance(0.0))[0] for piece in pieces])
    assert raw.std() == pytest.approx(0.5, rel=0.1)
    assert raw.mean() == pytest.approx(70.0, abs=0.1)


def test_the_card_comes_out_of_the_balance_as_it_is_stated_whatever_camera_and_exposure() -> None:
    for seed in range(5):
        camera = measured_camera(np.random.default_rng(seed))
        np.testing.assert_allclose(camera.balanced_lab(card_reflectance()), CARD_LAB, atol=1e-9)


def test_five_per_cent_less_light_on_the_wood_than_on_the_card_reads_too_dark_by_the_known_amount() -> None:
    # δL* = (L* + 16) / 3 · δY / Y, to first order
    camera = measured_camera(np.random.default_rng(0))
    reflectance = WOOD.reflectance(0.0)
    even, darker = camera.balanced_lab(reflectance), camera.balanced_lab(reflectance, 0.95)
    assert even[0] - darker[0] == pytest.approx((even[0] + 16.0) / 3.0 * 0.05, rel=0.03)


def test_lamp_and_camera_alone_leave_an_error_about_as_large_as_one_card_is_known_to_leave() -> None:
    camera = measured_camera(np.random.default_rng(0))
    reflectance = WOOD.reflectance(np.linspace(0.0, 26.0, 9))
    floor = delta_e_2000(spectral_lab(reflectance), camera.balanced_lab(reflectance))
    assert 0.2 < floor.mean() < 2.6


def test_a_grey_is_written_with_the_code_of_the_published_curve() -> None:
    # IEC 61966-2-1: 0.18 is written as 117.65 of 255
    assert srgb_code(np.full((1, 1, 3), 0.18, dtype=np.float32)).ravel().tolist() == [118, 118, 118]


def test_balancing_by_the_card_agrees_with_the_bradford_adaptation_of_an_independent_library() -> None:
    # colour-science: sRGB to XYZ, its Bradford adaptation from the card as seen to the card as stated, and its CIELAB
    light, card = np.array([[0.30, 0.22, 0.14], [0.05, 0.06, 0.07]]), np.array([0.16, 0.17, 0.15])
    to_xyz = colour.RGB_COLOURSPACES["sRGB"].matrix_RGB_to_XYZ
    white = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D65"]
    stated = colour.Lab_to_XYZ(np.array([50.0, 0.0, 0.0]), white)
    moved = colour.chromatic_adaptation(light @ to_xyz.T, card @ to_xyz.T, stated, transform="Bradford")
    np.testing.assert_allclose(
        balance_by_card(light, card, (50.0, 0.0, 0.0)), colour.XYZ_to_Lab(moved, white), atol=0.01
    )


def test_balancing_does_not_mind_how_long_the_exposure_was() -> None:
    light = np.array([[0.30, 0.22, 0.14], [0.05, 0.06, 0.07]])
    card = np.array([0.16, 0.17, 0.15])
    np.testing.assert_allclose(balance_by_card(light, card), balance_by_card(0.4 * light, 0.4 * card), atol=1e-9)


def test_the_light_of_a_frame_varies_by_at_most_two_per_cent() -> None:
    for seed in range(20):
        rng = np.random.default_rng(seed)
        field = light_field(standing_view(160, 120, 0.5, rng), rng)
        assert 0.005 < float(np.ptp(field)) / float(field.mean()) <= 0.0201


@pytest.mark.parametrize("scale", [1.3, 8.0])
def test_texture_scatters_the_colour_of_a_face_and_does_not_tint_it(scale: float) -> None:
    camera = measured_camera(np.random.default_rng(0))
    face = grown_face(40.0, 62.0, scale, GRAIN, np.random.default_rng(1))
    light = face_light(face, WOOD, 6.0, camera, inset_px=4)[4:-4, 4:-4]
    np.testing.assert_allclose(light.mean(axis=(0, 1)), camera.sensor_light(WOOD.reflectance(6.0)), rtol=1e-4)
    assert light.std(axis=(0, 1)).min() > 0.01 * light.mean()


def test_every_seed_sets_a_target_that_both_heartwoods_pass() -> None:
    for seed in range(12):
        chest = invented_chest(np.random.default_rng(seed))
        target = spectral_lab(chest.target.reflectance(np.inf))[0]
        for group in chest.groups:
            if group.zone == "heartwood":
                raw, last = spectral_lab(group.wood.reflectance(np.array([0.0, np.inf])))[:, 0]
                assert 0.25 <= (raw - target) / (raw - last) <= 0.9
