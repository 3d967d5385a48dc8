"""A chart's correction: chosen on patches it has not seen, and never worse than one card."""

from __future__ import annotations

import numpy as np
import pytest

from colourcore.colour.difference import delta_e_2000
from colourcore.colour.spaces import SRGB_TO_XYZ, XYZ_TO_SRGB, srgb_decode, srgb_encode, xyz_to_lab
from colourcore.errors import InputError
from colourcore.image.chart import published_reference
from colourcore.image.correction import ChartFit, correct_colours, fit_chart

XYZ = published_reference().xyz
CROSSTALK = np.array([[0.8, 0.15, 0.05], [0.1, 0.8, 0.1], [0.0, 0.2, 0.8]])
EVERY = tuple(range(24))


def fitted(light: np.ndarray, *, known_curve: bool = False) -> ChartFit:
    return fit_chart(light, XYZ, SRGB_TO_XYZ, kept=EVERY, known_curve=known_curve)


def test_the_matrix_undoes_a_camera_that_mixes_its_channels() -> None:
    light = (XYZ @ XYZ_TO_SRGB.T) @ CROSSTALK.T
    matrix = correct_colours(light, XYZ, SRGB_TO_XYZ)
    assert delta_e_2000(xyz_to_lab(light @ matrix.T), xyz_to_lab(XYZ)).max() < 0.5


def test_a_picture_with_contrast_and_crosstalk_needs_the_greys_and_the_matrix() -> None:
    light = np.clip((XYZ @ XYZ_TO_SRGB.T) @ CROSSTALK.T, 1e-4, 1)
    code = srgb_encode(0.9 * light)
    fit = fitted(srgb_decode(0.4 * code + 0.6 * code**2 * (3 - 2 * code)))
    assert fit.method == "the chart's greys, then a 3×3 matrix"
    assert fit.residual_delta_e < 1.5
    assert fit.errors["one grey of the chart"] > 3


def test_one_card_is_kept_where_the_chart_cannot_better_it() -> None:
    """Colours that are right but for noise: whatever is fitted to them only follows the noise."""
    noise = np.random.default_rng(2).normal(0, 0.08, (18, 1))
    light = (XYZ @ XYZ_TO_SRGB.T).copy()
    light[:18] *= np.exp(noise)
    fit = fitted(light)
    assert fit.residual_delta_e <= fit.errors["one grey of the chart"] + 1e-9


@pytest.mark.parametrize("seed", range(5))
def test_what_is_chosen_is_never_worse_than_the_card_alone(seed: int) -> None:
    draw = np.random.default_rng(seed)
    mix = np.eye(3) + draw.normal(0, 0.1, (3, 3))
    light = np.clip((XYZ @ XYZ_TO_SRGB.T) @ mix.T, 1e-4, 1) ** draw.uniform(0.8, 1.3) * np.exp(
        draw.normal(0, 0.05, (24, 1))
    )
    light[18:] = np.sort(light[18:], axis=0)[::-1]
    fit = fitted(light)
    assert fit.residual_delta_e <= fit.errors["one grey of the chart"] + 1e-9


def test_clipped_patches_are_left_out_and_too_few_are_refused() -> None:
    light = XYZ @ XYZ_TO_SRGB.T
    kept = [k for k in EVERY if k != 18]
    assert fit_chart(light, XYZ, SRGB_TO_XYZ, kept=kept, known_curve=False).residual_delta_e < 0.5
    with pytest.raises(InputError, match="at least 3 greys and 10 colours that are not clipped, got 2 and 18"):
        fit_chart(light, XYZ, SRGB_TO_XYZ, kept=range(20), known_curve=False)
