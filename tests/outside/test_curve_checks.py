"""The curve and its odds against published data, textbook properties and independent libraries."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.interpolate import PchipInterpolator
from scipy.optimize import brentq, minimize_scalar
from scipy.stats import multivariate_normal, norm

from colourcore.colour.difference import delta_e_2000
from colourcore.curve.evidence import Evidence
from colourcore.curve.fit import Sample, Target, fit
from colourcore.curve.grid import select
from colourcore.curve.hours import hours_to_shade
from colourcore.curve.normal import normal_nodes, normal_odds, normal_quantile
from colourcore.curve.priors import Priors
from colourcore.curve.shapes import shape_table
from tests.outside.test_nist import SMALLEST_SCATTER, infer, only
from tests.simulation.rivals import fit_curve, interpolation

# Bates & Watts 1988, Nonlinear Regression Analysis and Its Applications, appendix 1: Puromycin, treated cells.
# A second copy of the data lies in the package pydataset (datasets/Puromycin), read there.
CONCENTRATION = np.array([0.02, 0.02, 0.06, 0.06, 0.11, 0.11, 0.22, 0.22, 0.56, 0.56, 1.10, 1.10])
VELOCITY = np.array([76.0, 47.0, 97.0, 107.0, 123.0, 139.0, 159.0, 152.0, 191.0, 201.0, 207.0, 200.0])
# the same, biochemical oxygen demand; second copy in pydataset (datasets/BOD)
DAYS = np.array([1.0, 2.0, 3.0, 4.0, 5.0, 7.0])
DEMAND = np.array([8.3, 10.3, 19.0, 16.0, 15.6, 19.8])

SECOND_ORDER = only("second order", 6)
FIRST_ORDER = only("stretched", 6)
BOARD = [Sample(hours=h, lab=(38 + 28 * math.exp(-h / 9), 5, 15)) for h in (0, 1, 2, 3, 4.5, 6, 8, 10, 13, 17, 22, 30)]


def test_puromycin_gives_the_least_squares_values_and_their_errors() -> None:
    values, errors, residual_sd = fit_curve(lambda x, v, k: v * x / (k + x), CONCENTRATION, VELOCITY, (205.0, 0.08))
    # as printed in many textbooks after Bates & Watts; from memory
    np.testing.assert_allclose(values, (212.7, 0.06412), rtol=5e-4)
    np.testing.assert_allclose(errors, (6.95, 0.00828), rtol=2e-3)
    found = infer(CONCENTRATION, VELOCITY, residual_sd, 0.01, 8.0, SECOND_ORDER)
    half = np.exp(found.log_half_hours) * 0.01
    limit = found.depth.mean() * residual_sd / (SMALLEST_SCATTER * 8.0)
    assert abs(limit - values[0]) < 0.05 * errors[0]
    assert abs(half.mean() - values[1]) < 0.05 * errors[1]
    assert half.std() * 8.0 == pytest.approx(errors[1], rel=0.05)


def test_the_odds_of_the_half_time_agree_with_the_profile_interval_of_puromycin() -> None:
    _, _, residual_sd = fit_curve(lambda x, v, k: v * x / (k + x), CONCENTRATION, VELOCITY, (205.0, 0.08))

    def misfit(half: float) -> float:
        share = CONCENTRATION / (half + CONCENTRATION)
        limit = share @ VELOCITY / (share @ share)
        return float(np.sum((VELOCITY - limit * share) ** 2)) / residual_sd**2

    best = minimize_scalar(misfit, bounds=(0.03, 0.15), method="bounded")

    def profile(score: float) -> tuple[float, float]:
        gap = [lambda half: misfit(half) - best.fun - score**2] * 2
        return brentq(gap[0], 0.01, best.x), brentq(gap[1], best.x, 0.3)

    # Student's t for 10 degrees of freedom: the interval as programs print it (0.0469 to 0.0862, from memory)
    assert profile(2.2281) == pytest.approx((0.0469, 0.0862), abs=1e-4)
    found = infer(CONCENTRATION, VELOCITY, residual_sd, 0.01, 1.0, SECOND_ORDER)
    ends = np.quantile(np.exp(found.log_half_hours) * 0.01, [0.05, 0.95])
    low, high = profile(1.6449)
    assert ends[0] == pytest.approx(low, rel=0.06)
    assert ends[1] == pytest.approx(high, rel=0.06)


def test_oxygen_demand_gives_the_least_squares_values() -> None:
    values, errors, residual_sd = fit_curve(lambda t, a, b: a * (1 - np.exp(-b * t)), DAYS, DEMAND, (20.0, 0.2))
    # Bates & Watts 1988: 19.143 and 0.5311, residual SD 2.549; from memory
    np.testing.assert_allclose((*values, residual_sd), (19.143, 0.5311, 2.549), rtol=1e-3)
    found = infer(DAYS, DEMAND, residual_sd, 1.0, 20.0, FIRST_ORDER)
    rate = np.log(2) / np.exp(found.log_half_hours)
    assert abs(rate.mean() - values[1]) < 0.05 * errors[1]
    assert rate.std() * 20.0 == pytest.approx(errors[1], rel=0.06)


def test_a_plain_curve_is_read_off_where_the_formula_says() -> None:
    # worked out by hand: raw 66, limit 38, time constant 9 h, target 48: 9 ln 2.8 = 9.2666 h
    answer = hours_to_shade(BOARD, Target(L=48.0))
    assert answer.hours == pytest.approx(9.2666, rel=0.01)


@pytest.mark.parametrize(("lightness", "cost"), [(60.0, 0.41), (45.0, 1.29), (41.0, 3.0)])
def test_one_l_costs_more_hours_the_darker_the_target(lightness: float, cost: float) -> None:
    # the same curve, worked out by hand: 9/(L − 38) hours for each L*
    early, late = (hours_to_shade(BOARD, Target(L=lightness + d)).hours for d in (0.5, -0.5))
    assert early is not None
    assert late is not None
    assert late - early == pytest.approx(cost, rel=0.08)


def test_the_normal_law_agrees_with_scipy() -> None:
    scores = np.linspace(-8, 8, 4001)
    np.testing.assert_allclose(normal_odds(scores), norm.cdf(scores), atol=6e-5)
    np.testing.assert_allclose(normal_odds(scores[:1500]), norm.cdf(scores[:1500]), rtol=2e-3)
    chances = np.linspace(1e-4, 1 - 1e-4, 501)
    np.testing.assert_allclose(normal_quantile(chances), norm.ppf(chances), atol=2e-5)
    places, weights = normal_nodes(7)
    assert weights @ np.exp(0.3 * places) == pytest.approx(math.exp(0.045), rel=1e-9)


@pytest.mark.parametrize("depth", [26.0, -1.5])
def test_the_weights_of_hypotheses_agree_with_dense_normal_laws(depth: float) -> None:
    # an independent reckoning of the same model, hypothesis by hypothesis, with full covariances
    rng = np.random.default_rng(4)
    hours = np.array([0.0, 1.0, 3.0, 8.0, 20.0])
    lightness = 66 - depth * (1 - np.exp(-hours / 8)) + rng.normal(0, 0.6, 5)
    known = 0.3**2 * np.eye(5) + 0.4**2
    evidence = Evidence(hours=hours, lightness=lightness, piece_covariance=np.eye(5), reading_covariance=known)
    found = select(evidence, Priors(bad_odds=0.05))

    table, scale = shape_table(), np.exp(np.log(hours[1:]).mean()) / 4
    axis = np.log1p(hours / scale)
    stray = 0.25 * np.exp(-0.5 * ((axis[:, None] - axis[None, :]) / 0.6) ** 2)
    halves, shapes = (
        grid.ravel()
        for grid in np.meshgrid(np.linspace(math.log(0.1), math.log(400), 120), np.arange(table.prior.size))
    )
    with np.errstate(divide="ignore"):
        share = table.at(shapes[:, None], np.log(hours)[None, :] - halves[:, None])
    mean = 70 - 25 * share
    spread = 225.0 + 144.0 * share[:, :, None] * share[:, None, :] + stray + known
    scatters = np.geomspace(0.1, 3.0, 9)
    weight = np.empty((9, 6, halves.size))
    for i, scatter in enumerate(scatters):
        for bad in range(6):
            covariance = spread + np.diag(scatter**2 + 16.0 * (np.arange(5) == bad))
            gap = lightness - mean
            square = (gap * np.linalg.solve(covariance, gap[:, :, None])[:, :, 0]).sum(axis=1)
            density = np.exp(-0.5 * square) / np.sqrt(np.linalg.det(covariance))
            if (i, bad) == (3, 5):
                spot = multivariate_normal(mean[900], spread[900] + scatter**2 * np.eye(5)).pdf(lightness)
                assert density[900] == pytest.approx(spot * (2 * math.pi) ** 2.5, rel=1e-8)
            # wood that does not lighten: the odds that the depth, given the readings, is above 0
            toward = np.linalg.solve(covariance, -144.0 * share[:, :, None])[:, :, 0]
            found_depth = 25 + (toward * gap).sum(axis=1)
            left = 144.0 + 144.0 * (toward * share).sum(axis=1)
            density *= norm.cdf(found_depth / np.sqrt(left))
            prior = norm.pdf(math.log(scatter), math.log(0.6), 0.7) * (0.75 if bad == 5 else 0.05)
            weight[i, bad] = density * prior * norm.pdf(halves, math.log(8), 1.3) * table.prior[shapes]
    weight /= weight.sum()
    by_half = weight.sum(axis=(0, 1))
    centre = by_half @ halves
    spread_of = math.sqrt(by_half @ (halves - centre) ** 2)
    assert found.log_half_hours.mean() == pytest.approx(centre, abs=0.1 * spread_of)
    assert found.log_half_hours.std() == pytest.approx(spread_of, rel=0.1)
    assert found.scatter.mean() == pytest.approx(weight.sum(axis=(1, 2)) @ scatters, rel=0.05)
    np.testing.assert_allclose(found.bad_odds, weight.sum(axis=(0, 2))[:5], atol=0.01)
    kinds = [weight[:, :, table.kind[shapes] == kind].sum() for kind in range(4)]
    np.testing.assert_allclose(found.kind_odds, kinds, atol=0.03)


def test_the_regression_of_each_hypothesis_agrees_with_dense_conditioning() -> None:
    samples = [Sample(hours=h, lab=(L, 5, 15)) for h, L in ((0, 66.3), (2, 60.1), (6, 52.4), (15, 44.0), (30, 40.9))]
    posterior = fit(samples)
    chosen, y = posterior.selection, posterior.evidence.lightness
    for h in (0, 150, 390):
        share = chosen.shares[h]
        design = np.column_stack([np.ones(5), -share])
        noise = np.linalg.inv(chosen.weights[chosen.noise[h]])
        prior, mean = np.diag([225.0, 144.0]), np.array([70.0, 25.0])
        gain = prior @ design.T @ np.linalg.inv(design @ prior @ design.T + noise)
        np.testing.assert_allclose([chosen.raw[h], chosen.depth[h]], mean + gain @ (y - design @ mean), rtol=1e-6)
        left = prior - gain @ design @ prior
        np.testing.assert_allclose([chosen.raw_variance[h], chosen.depth_variance[h]], np.diag(left), rtol=1e-6)
        assert chosen.cross[h] == pytest.approx(left[0, 1], rel=1e-6)


def test_monotone_interpolation_has_the_properties_published_for_it() -> None:
    # Fritsch & Carlson 1980, Fritsch & Butland 1984: monotone data give a monotone curve without overshoot
    hours = np.array([0.0, 1.0, 2.0, 4.0, 8.0, 24.0])
    falling = np.array([68.0, 63.0, 63.0, 55.0, 47.0, 46.5])
    fine = PchipInterpolator(hours, falling)(np.linspace(0, 24, 2000))
    assert np.all(np.diff(fine) <= 1e-9)
    # what the odds are held against crosses the target between the same two readings as that curve does
    found = interpolation(hours, falling, 50.0, 0.5).hours
    assert 4.0 < found < 8.0
    assert 4.0 < np.linspace(0, 24, 2000)[np.argmax(fine <= 50.0)] < 8.0
    curve = hours_to_shade([Sample(hours=h, lab=(L, 5, 15)) for h, L in zip(hours, falling, strict=True)], None).curve
    assert np.all(np.diff(curve.L) <= 0)
    assert min(curve.L) > falling.min() - 4
    assert max(curve.L) < falling.max() + 2


def test_the_distance_shown_at_the_hours_is_ciede2000_of_the_curve_there() -> None:
    answer = hours_to_shade(BOARD, Target(L=48.0, a=8.0, b=12.0))
    assert answer.hours is not None
    lab = [
        float(np.interp(answer.hours, answer.curve.hours, line))
        for line in (answer.curve.L, answer.curve.a, answer.curve.b)
    ]
    assert answer.delta_e == pytest.approx(float(delta_e_2000(lab, (48.0, 8.0, 12.0))), abs=0.02)
