"""What an answer costs, against repeated least-squares fits of the four-parameter stretched curve on the same core."""

from __future__ import annotations

import time
import warnings
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy.optimize import OptimizeWarning, curve_fit

from colourcore.curve.answer import answer_group
from colourcore.curve.fit import Target
from tests.simulation.worlds import KNOWN, Job, draw_job

REFITS = 200
START = (70.0, 25.0, 8.0, 1.0)
BOUNDS = ((0.0, 0.0, 0.05, 0.2), (100.0, 100.0, 500.0, 3.0))


@dataclass(frozen=True, slots=True, kw_only=True)
class CostRow:
    what: str
    value: float
    error: float
    unit: str
    aim: tuple[float, float] | None = None


def jobs(count: int) -> list[Job]:
    rng = np.random.default_rng(5)
    return [draw_job(KNOWN[i % len(KNOWN)], rng, count=8) for i in range(count)]


def answer_all(some: list[Job]) -> None:
    for job in some:
        answer_group(job.samples, Target(L=job.target.L, a=5.0, b=14.0))


def stretched(t: np.ndarray, raw: float, depth: float, scale: float, exponent: float) -> np.ndarray:
    return raw - depth * -np.expm1(-((t / scale) ** exponent))


def refit(job: Job, times: int = REFITS) -> None:
    """Bounded fits from one stated start to readings shaken by 0.3 L*, as one would to get an interval."""
    rng = np.random.default_rng(1)
    hours, lightness = np.array([s.hours for s in job.samples]), np.array([s.lab[0] for s in job.samples])
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", OptimizeWarning)
        for _ in range(times):
            shaken = lightness + rng.normal(0, 0.3, lightness.size)
            try:
                curve_fit(stretched, hours, shaken, p0=START, bounds=BOUNDS, max_nfev=500)
            except RuntimeError:
                continue  # no convergence is part of what such a loop costs


def _seconds(work: Callable[[], object]) -> float:
    started = time.process_time()
    work()
    return time.process_time() - started


def cost_rows() -> list[CostRow]:
    some = jobs(40)
    answer_all(some[:5])
    single = np.array([_seconds(lambda job=job: answer_all([job])) for job in some])
    loops = np.array([_seconds(lambda job=job: refit(job, 50)) * REFITS / 50 for job in some[:10]])
    rows = [
        CostRow(
            what="one group with everything (process time)",
            value=1e3 * float(np.median(single)),
            error=1e3 * float(single.std() / np.sqrt(single.size)),
            unit="ms",
            aim=(-np.inf, 20.0),
        ),
        CostRow(
            what="200 bounded fits over one group",
            value=float(np.median(loops) / np.median(single)),
            error=float(loops.std() / np.sqrt(loops.size) / np.median(single)),
            unit="×",
            aim=(8.0, np.inf),
        ),
    ]
    for count in (50, 200):
        many = (some * (count // len(some) + 1))[:count]
        each = 1e3 * _seconds(lambda many=many: answer_all(many)) / count
        rows.append(CostRow(what=f"each of {count} groups", value=each, error=0.0, unit="ms"))
    return rows
