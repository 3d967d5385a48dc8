"""Invented worlds to try the odds in: darkening curves, jobs, and what reads them. All curves are synthetic.

The families are written independently of the product's own shapes, with free parameters instead of a grid.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from colourcore.curve.fit import Sample, Target

Array = NDArray[np.float64]
Share = Callable[[Array], Array]

KNOWN = ("first order", "stretched", "second order", "two speeds", "square root, then level")
UNKNOWN = ("dead time", "renewed every 8 h", "pace that fades", "stop and second start")
READING_ERROR = 0.25


@dataclass(frozen=True, slots=True, kw_only=True)
class World:
    """The truth of one job: the average curve of a board."""

    family: str
    raw: float
    depth: float
    share: Share
    parameters: tuple[float, ...]

    def lightness(self, hours: Array | float) -> Array:
        return self.raw - self.depth * self.share(np.asarray(hours, dtype=np.float64))

    def hours_at(self, lightness: float, end: float) -> float:
        """First hour at which the curve is as dark as that, infinite if not by the end."""
        low, high = 0.0, end
        if float(self.lightness(end)) > lightness:
            return float("inf")
        for _ in range(60):
            middle = (low + high) / 2
            low, high = (middle, high) if float(self.lightness(middle)) > lightness else (low, middle)
        return high


def _known_share(family: str, half: float, rng: np.random.Generator) -> tuple[Share, tuple[float, ...]]:
    """Shares of the change; the last parameter is a time in hours, scaled so that the half time is about `half`."""
    if family == "first order":
        rate = np.log(2) / half
        return (lambda t: -np.expm1(-rate * t)), (rate,)
    if family == "stretched":
        m = rng.uniform(0.55, 1.35)
        return (lambda t: -np.expm1(-np.log(2) * (t / half) ** m)), (half, m)
    if family == "second order":
        m = rng.uniform(0.75, 1.4)
        return (lambda t: (t / half) ** m / (1 + (t / half) ** m)), (half, m)
    if family == "two speeds":
        fast, ratio = rng.uniform(0.25, 0.7), np.exp(rng.uniform(np.log(3), np.log(25)))
        tau = half / 0.55
        return (lambda t: fast * -np.expm1(-ratio * t / tau) + (1 - fast) * -np.expm1(-t / tau)), (tau, fast, ratio)
    sharp, bend = rng.uniform(3.0, 10.0), half * 4.0
    return (lambda t: np.sqrt(t / bend) / (1 + (t / bend) ** (sharp / 2)) ** (1 / sharp)), (bend, sharp)


def _unknown_share(family: str, half: float, rng: np.random.Generator) -> Share:
    base, _ = _known_share(KNOWN[int(rng.integers(3))], half, rng)
    if family == "dead time":
        dead = half * rng.uniform(0.1, 0.4)
        return lambda t: base(np.maximum(t - dead, 0.0))
    if family == "renewed every 8 h":
        # within each charge the pace fades to a part of what it was
        fade = rng.uniform(4.0, 12.0)
        full = -np.expm1(-8.0 / fade)
        return lambda t: base(np.floor(t / 8) * 8 * 0.8 + 6.4 * -np.expm1(-(t % 8) / fade) / full)
    if family == "pace that fades":
        fade = half * rng.uniform(3.0, 8.0)
        return lambda t: base(fade * -np.expm1(-t / fade))
    start = half * rng.uniform(0.5, 1.5)
    pause = half * rng.uniform(0.3, 1.0)
    return lambda t: base(np.where(t < start, t, np.maximum(t - pause, np.minimum(t, start))))


def draw_world(family: str, rng: np.random.Generator) -> World:
    half = float(np.exp(rng.uniform(np.log(2.0), np.log(20.0))))
    raw, depth = rng.uniform(60, 74), rng.uniform(14, 36)
    if family in KNOWN:
        share, parameters = _known_share(family, half, rng)
    else:
        share, parameters = _unknown_share(family, half, rng), ()
    return World(family=family, raw=raw, depth=depth, share=share, parameters=parameters)


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """Samples of a world and a target; `hours` are where the true curve reaches it, infinite beyond the horizon."""

    world: World
    samples: tuple[Sample, ...]
    target: Target
    noise: float
    hours: float
    horizon: float


def ladder(world: World, count: int, rng: np.random.Generator) -> Array:
    """Raw wood and equal ratios of hours about a guess of the half time that is off by half as much again."""
    half = world.hours_at(world.raw - world.depth / 2, 1e4)
    guess = half * np.exp(rng.normal(0, 0.4))
    spread = rng.uniform(3.0, 5.0)
    return np.concatenate([[0.0], np.geomspace(guess / spread, guess * spread, count - 1)])


def reading(hours: float, lightness: float, error: float = READING_ERROR, **more: str) -> Sample:
    """A reading with colours that ride on lightness."""
    covariance = ((error**2, 0.0, 0.0), (0.0, 0.01, 0.0), (0.0, 0.0, 0.02))
    lab = (lightness, 6.0 - 0.08 * (66 - lightness), 18.0 - 0.3 * (66 - lightness))
    return Sample(hours=hours, lab=lab, covariance=covariance, **more)


def draw_job(family: str, rng: np.random.Generator, *, count: int | None = None, out_of_reach: bool = False) -> Job:
    world = draw_world(family, rng)
    noise = rng.uniform(0.4, 1.2)
    hours = ladder(world, int(rng.integers(5, 11)) if count is None else count, rng)
    seen = world.lightness(hours) + rng.normal(0, noise, hours.size)
    horizon = max(4 * hours[-1], 48.0)
    reached = rng.uniform(0.25, 0.9) * world.depth
    if out_of_reach:
        reached = world.raw - float(world.lightness(horizon)) + rng.uniform(2.0, 10.0)
    target = Target(L=world.raw - reached)
    samples = tuple(reading(h, L) for h, L in zip(hours.tolist(), seen.tolist(), strict=True))
    return Job(
        world=world,
        samples=samples,
        target=target,
        noise=noise,
        hours=world.hours_at(target.L, horizon),
        horizon=horizon,
    )


def without(job: Job, keep: int) -> Job:
    """The same job with samples left out evenly, down to so many."""
    chosen = np.unique(np.linspace(0, len(job.samples) - 1, keep).round().astype(int))
    return replace(job, samples=tuple(job.samples[i] for i in chosen))
