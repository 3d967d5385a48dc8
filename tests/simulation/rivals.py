"""What the odds are held against: plain least squares, monotone interpolation, and a fit that is told the family."""

from __future__ import annotations

import warnings
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import OptimizeWarning, brentq, curve_fit

from tests.simulation.worlds import Job, World

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Rival:
    """Hours with a normal interval on them; infinite hours mean that the target is not reached."""

    hours: float
    spread: float

    def ends(self, score: float) -> tuple[float, float]:
        return max(0.0, self.hours - score * self.spread), self.hours + score * self.spread


NEVER = Rival(hours=float("inf"), spread=0.0)


def fit_curve(curve: Callable[..., Array], x: Array, y: Array, start: Sequence[float]) -> tuple[Array, Array, float]:
    """Least squares from a start: values, standard errors, residual standard deviation."""
    best, covariance = curve_fit(curve, x, y, p0=start, maxfev=20000, ftol=1e-14, xtol=1e-14, gtol=1e-14)
    left = y - curve(x, *best)
    return best, np.sqrt(np.diag(covariance)), float(np.sqrt(left @ left / (y.size - best.size)))


def _exponential(t: Array, raw: float, depth: float, tau: float) -> Array:
    return np.asarray(raw - depth * -np.expm1(-t / tau))


def least_squares(hours: Array, lightness: Array, target: float, horizon: float) -> Rival:
    """The first-order curve by least squares; the error of the hours by propagation, as fitting programs print it."""
    start = (float(lightness[0]), float(max(1.0, lightness[0] - lightness[-1])), float(np.median(hours[hours > 0])))
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", OptimizeWarning)
            # a step into the absurd is the fit's own business
            warnings.simplefilter("ignore", RuntimeWarning)
            best, covariance = curve_fit(_exponential, hours, lightness, p0=start, maxfev=2000)
    except RuntimeError:
        return NEVER
    raw, depth, tau = best
    left = 1.0 - (raw - target) / depth if depth else -1.0
    if not (0 < left < 1 and tau > 0 and -tau * np.log(left) < horizon):
        return NEVER
    found = float(-tau * np.log(left))
    gradient = np.array([tau / (depth * left), -tau * (raw - target) / (depth**2 * left), -np.log(left)])
    variance = float(gradient @ covariance @ gradient)
    return Rival(hours=found, spread=np.sqrt(variance)) if np.isfinite(variance) else NEVER


def interpolation(hours: Array, lightness: Array, target: float, noise: float) -> Rival:
    """Straight lines between readings made never-rising (pool of neighbours), read off where they cross the target.

    Its interval is read off at the target plus and minus the true noise, which nobody would be told.
    """
    level: list[list[float]] = []
    for value in lightness:
        level.append([float(value), 1.0])
        while len(level) > 1 and level[-2][0] < level[-1][0]:
            (one, n), (two, m) = level[-2:]
            level[-2:] = [[(one * n + two * m) / (n + m), n + m]]
    falling = np.concatenate([np.full(int(count), value) for value, count in level])

    def cross(wanted: float) -> float:
        if falling[-1] > wanted:
            return float("inf")
        return float(np.interp(-wanted, -falling, hours))

    found = cross(target)
    if not np.isfinite(found):
        return NEVER
    late, early = cross(target - noise), cross(target + noise)
    return Rival(hours=found, spread=(min(late, 2 * float(hours[-1])) - early) / 2)


def _family(world: World) -> tuple[Callable[..., Array], tuple[float, ...], list[tuple[float, float]]]:
    """The family's own curve with raw and depth in front, its true parameters, and bounds of the others."""
    wide = (0.05, 500.0)
    if world.family == "first order":
        return (lambda t, L, A, k: L - A * -np.expm1(-k * t)), world.parameters, [(1e-3, 20.0)]
    if world.family == "stretched":
        return (lambda t, L, A, h, m: L - A * -np.expm1(-np.log(2) * (t / h) ** m)), world.parameters, [wide, (0.3, 2)]
    if world.family == "second order":
        return (
            (lambda t, L, A, h, m: L - A * (t / h) ** m / (1 + (t / h) ** m)),
            world.parameters,
            [wide, (0.3, 2.0)],
        )
    if world.family == "two speeds":
        return (
            (lambda t, L, A, k, f, r: L - A * (f * -np.expm1(-r * t / k) + (1 - f) * -np.expm1(-t / k))),
            world.parameters,
            [wide, (0.05, 0.95), (1.5, 50.0)],
        )
    return (
        (lambda t, L, A, b, s: L - A * np.sqrt(t / b) / (1 + (t / b) ** (s / 2)) ** (1 / s)),
        world.parameters,
        [wide, (1.5, 15.0)],
    )


def told_the_family(job: Job) -> float:
    """Hours by a fit that is told which family it is, starts at the truth and knows what it may be."""
    curve, truth, bounds = _family(job.world)
    hours = np.array([s.hours for s in job.samples])
    lightness = np.array([s.lab[0] for s in job.samples])
    lower, upper = ([b[i] for b in [(40.0, 95.0), (5.0, 60.0), *bounds]] for i in (0, 1))
    start = np.clip([job.world.raw, job.world.depth, *truth], lower, upper)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", OptimizeWarning)
            best, _ = curve_fit(curve, hours, lightness, p0=start, bounds=(lower, upper), max_nfev=300)
    except RuntimeError:
        return float("nan")

    def gap(t: float) -> float:
        return float(curve(np.array(t), *best)) - job.target.L

    if gap(0.0) < 0 or gap(job.horizon) > 0:
        return float("nan")
    return float(brentq(gap, 0.0, job.horizon))
