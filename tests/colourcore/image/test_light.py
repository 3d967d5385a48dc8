"""Uneven light: found from plain ground, divided out, and doubted where the ground says nothing."""

from __future__ import annotations

import numpy as np
import pytest

from colourcore.image.light import Ground, LightField, fit_light

CORNERS = [(100, 100), (3900, 100), (100, 2900), (3900, 2900)]
EIGHT = [*CORNERS, (2000, 100), (2000, 2900), (100, 1500), (3900, 1500)]


def fall_off(places: np.ndarray) -> np.ndarray:
    """A lamp to the left and above: a quarter of the light is lost to the far corner."""
    return 1 - 0.25 * ((places[..., 0] / 4000) * 0.7 + (places[..., 1] / 3000) * 0.3) ** 1.2


def ground(centres: list[tuple[int, int]], *, noise: float = 0.01, seed: int = 0, spoiled: int | None = None) -> Ground:
    draw = np.random.default_rng(seed)
    light, places = [], []
    for k, centre in enumerate(centres):
        at = np.array(centre) + draw.uniform(-80, 80, (30, 2))
        seen = 0.3 * fall_off(at) * np.exp(draw.normal(0, noise, 30))
        light.append(seen * (0.5 if k == spoiled else 1.0))
        places.append(at)
    return Ground(light=tuple(light), centres=tuple(places))


def relative(field: LightField, place: tuple[float, float]) -> float:
    here, there = np.array(place), np.array([2000.0, 1500.0])
    return float(np.exp(field.log_light(here) - field.log_light(there)) / (fall_off(here) / fall_off(there)))


@pytest.mark.parametrize(("centres", "within"), [(CORNERS, 0.02), (EIGHT, 0.01)])
def test_the_light_between_patches_of_ground_is_found(centres: list[tuple[int, int]], within: float) -> None:
    field = fit_light([ground(centres)])
    assert field is not None
    assert field.patches == len(centres)
    for place in ((500, 500), (3000, 2000), (1000, 2500), (3500, 400)):
        assert relative(field, place) == pytest.approx(1, abs=within)


def test_a_shadow_over_one_patch_of_ground_does_not_bend_the_rest() -> None:
    tiles = ground(EIGHT, spoiled=None)
    shaded = tiles.light[4].copy()
    shaded[:12] *= 0.6
    light = (*tiles.light[:4], shaded, *tiles.light[5:])
    field = fit_light([Ground(light=light, centres=tiles.centres)])
    assert field is not None
    assert relative(field, (3000, 2000)) == pytest.approx(1, abs=0.015)


def test_two_cards_show_the_fall_off_between_them_and_claim_nothing_across() -> None:
    field = fit_light([ground([(100, 1500), (3900, 1500)], noise=0.003)])
    assert field is not None
    assert relative(field, (3900, 1500)) == pytest.approx(1, abs=0.02)
    up, down = field.log_light([2000.0, 100.0]), field.log_light([2000.0, 2900.0])
    assert abs(up - down) < 0.15


def test_grounds_of_unlike_lightness_share_one_fall_off() -> None:
    light, dark = ground(CORNERS[:2]), ground(CORNERS[2:])
    darker = Ground(light=tuple(0.2 * one for one in dark.light), centres=dark.centres)
    field = fit_light([light, darker])
    assert field is not None
    assert relative(field, (3000, 1500)) == pytest.approx(1, abs=0.02)


def test_the_doubt_grows_away_from_the_ground() -> None:
    field = fit_light([ground([(1500, 1200), (2500, 1200), (1500, 1800), (2500, 1800)])])
    assert field is not None
    centre, near, far = (2000, 1500), (2400, 1700), (3900, 2900)
    assert field.beyond(near) == 0
    assert field.beyond(far) > 1
    assert field.relative_error(far, centre) > 3 * field.relative_error(near, centre)


def test_stated_errors_hold_what_they_promise() -> None:
    """Two of three standard errors, over repeated grounds with noise and eight patches each."""
    within = []
    for seed in range(60):
        field = fit_light([ground(EIGHT, noise=0.02, seed=seed)])
        assert field is not None
        for place in ((600.0, 700.0), (3200.0, 2300.0)):
            gap = abs(np.log(relative(field, place)))
            within.append(gap < 2 * field.relative_error(place, (2000.0, 1500.0)))
    assert np.mean(within) > 0.85


def test_without_ground_there_is_no_field() -> None:
    assert fit_light([]) is None
    assert fit_light([Ground(light=(), centres=())]) is None
