"""Certified regressions (NIST/ITL StRD, nonlinear): values and standard errors, of the least squares that the odds are
held against, and of the odds themselves where a fixed shape and flat priors make them the same thing.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from colourcore.curve.evidence import Evidence
from colourcore.curve.grid import Selection, select
from colourcore.curve.priors import Priors
from colourcore.curve.shapes import KINDS, shape_table, stretched
from tests.outside.nist_tables import NIST
from tests.simulation.rivals import fit_curve

Array = NDArray[np.float64]

MODELS: dict[str, Callable[..., Array]] = {
    "Misra1a": lambda x, a, b: a * (1 - np.exp(-b * x)),
    "Misra1b": lambda x, a, b: a * (1 - (1 + b * x / 2) ** -2.0),
    "BoxBOD": lambda x, a, b: a * (1 - np.exp(-b * x)),
    "DanWood": lambda x, a, b: a * x**b,
    "Chwirut2": lambda x, a, b, c: np.exp(-a * x) / (b + c * x),
    "Rat43": lambda x, a, b, c, d: a / (1 + np.exp(b - c * x)) ** (1 / d),
    "MGH17": lambda x, a, b, c, d, e: a + b * np.exp(-x * d) + c * np.exp(-x * e),
    "Lanczos3": lambda x, a, b, c, d, e, f: a * np.exp(-b * x) + c * np.exp(-d * x) + e * np.exp(-f * x),
}

# one shape, no discrepancy, no bad readings, raw known to be nothing: what is left is least squares
SMALLEST_SCATTER = 0.1


def only(kind: str, exponent_row: int) -> Priors:
    table = shape_table()
    row = int(np.flatnonzero(table.kind == KINDS.index(kind))[exponent_row])
    return Priors(
        raw=(0.0, 1e-6),
        depth=(0.0, 1e6),
        log_half_hours=(2.0, 1e3),
        log_scatter=(np.log(SMALLEST_SCATTER), 1e-3),
        discrepancy=0.0,
        bad_odds=1e-300,
        shape_odds=tuple(float(i == row) for i in range(table.prior.size)),
    )


FIRST_ORDER = only("stretched", 6)  # exponents 0.4, 0.5, ... 1.0


def infer(x: Array, y: Array, residual_sd: float, x_unit: float, sharper: float, priors: Priors) -> Selection:
    """The odds for rising data, in units in which the residual SD, made so many times sharper, is the least scatter.

    With sharper data the posterior shrinks onto the least-squares values, and its SD to the standard errors over that.
    """
    scale = SMALLEST_SCATTER * sharper / residual_sd
    evidence = Evidence(
        hours=x / x_unit,
        lightness=-y * scale,
        piece_covariance=np.eye(x.size),
        reading_covariance=np.zeros((x.size, x.size)),
    )
    return select(evidence, priors)


@pytest.mark.parametrize("name", sorted(NIST))
def test_the_least_squares_beside_the_odds_reproduce_the_certified_values_and_errors(name: str) -> None:
    table = NIST[name]
    x, y = np.array(table.x), np.array(table.y)
    values, errors, residual_sd = fit_curve(MODELS[name], x, y, table.starts[1])
    np.testing.assert_allclose(values, table.values, rtol=2e-5)
    np.testing.assert_allclose(errors, table.errors, rtol=2e-3)
    assert residual_sd == pytest.approx(table.residual_sd, rel=1e-5)


def whole_curvature(name: str) -> Array:
    """Standard errors from the full second derivatives of the sum of squares at the certified values.

    Certified errors leave out how the residuals bend the sum of squares; odds keep it, which shows where they are big.
    """
    table = NIST[name]
    x, y, best = np.array(table.x), np.array(table.y), np.array(table.values)
    step = np.array(table.errors) * 1e-3

    def half_squares(move: Array) -> float:
        return float(np.sum((y - MODELS[name](x, *(best + move * step))) ** 2)) / 2

    unit = np.eye(best.size)
    bend = np.array(
        [
            [half_squares(a + b) - half_squares(a - b) - half_squares(b - a) + half_squares(-a - b) for a in unit]
            for b in unit
        ]
    ) / (4 * np.outer(step, step))
    return np.sqrt(np.diag(np.linalg.inv(bend))) * table.residual_sd


@pytest.mark.parametrize(("name", "x_unit", "sharper"), [("Misra1a", 100.0, 1.0), ("BoxBOD", 1.0, 10.0)])
def test_the_odds_of_a_first_order_curve_are_the_certified_values_with_their_errors(
    name: str, x_unit: float, sharper: float
) -> None:
    table = NIST[name]
    x, y = np.array(table.x), np.array(table.y)
    found = infer(x, y, table.residual_sd, x_unit, sharper, FIRST_ORDER)
    back = table.residual_sd / (SMALLEST_SCATTER * sharper)
    rate = np.log(2) / (np.exp(found.log_half_hours) * x_unit)
    values = np.array([found.depth.mean() * back, rate.mean()])
    limit_error = np.sqrt(found.depth_variance.mean() + found.depth.var()) * back
    errors = sharper * np.array([limit_error, rate.std()])
    assert np.all(np.abs(values - table.values) < 0.05 * np.array(table.errors))
    np.testing.assert_allclose(errors, whole_curvature(name), rtol=0.03)
    if name == "Misra1a":  # small residuals: the two kinds of error are one
        np.testing.assert_allclose(errors, table.errors, rtol=0.03)


def test_the_table_of_shapes_holds_the_curve_of_the_certified_set() -> None:
    table: Any = NIST["Misra1a"]
    limit, rate = table.values
    x = np.array(table.x)
    np.testing.assert_allclose(
        limit * stretched(x * rate / np.log(2), 1.0), MODELS["Misra1a"](x, limit, rate), rtol=1e-12
    )
