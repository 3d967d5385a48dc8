"""Tone curves: smooth, rising, and honest about where they end."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.interpolate import PchipInterpolator

from colourcore.errors import InputError
from colourcore.image.tone import monotone_through, tone_through


@pytest.mark.parametrize("seed", range(20))
def test_the_smooth_curve_is_that_of_scipy(seed: int) -> None:
    """scipy 1.17, PchipInterpolator (Fritsch, Butland 1984)."""
    draw = np.random.default_rng(seed)
    x, y = np.sort(draw.random(6)) + np.arange(6), np.cumsum(draw.random(6))
    at = np.linspace(x[0], x[-1], 50)
    assert monotone_through(x, y, at) == pytest.approx(PchipInterpolator(x, y)(at), abs=1e-12)


def test_a_curve_never_falls_and_goes_on_straight_beyond_its_ends() -> None:
    at = np.linspace(-3, 8, 400)
    values = monotone_through([0, 1, 2, 5], [0, 0.1, 3, 3.2], at)
    assert np.all(np.diff(values) > 0)
    assert np.ptp(np.diff(values[at < 0])) < 1e-12


def test_a_tone_curve_undoes_a_power() -> None:
    seen = np.log(np.array([0.02, 0.2, 0.9]))
    tone = tone_through(np.tile(seen, (3, 1)), np.tile(1.5 * seen, (3, 1)))
    light = np.array([[0.05, 0.3, 0.7]])
    assert tone.apply(light) == pytest.approx(light**1.5, rel=2e-3)
    assert tone.slope(light)[0] == pytest.approx((1.5 * light**0.5)[0], rel=0.02)
    assert tone.apply(np.zeros(3)).tolist() == [0, 0, 0]


def test_stray_light_is_taken_off_after_the_curve() -> None:
    line = np.log(np.array([1e-4, 1.0]))
    tone = tone_through(np.tile(line, (3, 1)), np.tile(line, (3, 1)), offset=(0.01, 0.02, 0.03))
    assert tone.apply(np.full(3, 0.5)) == pytest.approx([0.49, 0.48, 0.47], abs=1e-4)


def test_greys_that_contradict_one_another_make_no_curve() -> None:
    rising, falling = np.log([0.1, 0.2, 0.4]), np.log([0.1, 0.4, 0.2])
    with pytest.raises(InputError, match="another order"):
        tone_through(np.tile(rising, (3, 1)), np.tile(falling, (3, 1)))
