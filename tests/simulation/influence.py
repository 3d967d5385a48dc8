"""How much each prior matters to the board's odds: `python -m tests.simulation.influence`.

The same simulated jobs (all curves synthetic) are answered with one prior changed at a time. The figures stand in
docs/hours.md.
"""

from __future__ import annotations

import argparse
import math
import os
from dataclasses import dataclass, replace
from multiprocessing import Pool

for _threads in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS"):
    # tiny matrices: one thread in each of the processes, set before numpy is loaded
    os.environ.setdefault(_threads, "1")

import numpy as np  # noqa: E402 - the threads must be set first

from colourcore.curve.fit import fit  # noqa: E402 - the threads must be set first
from colourcore.curve.forecast import forecast, hour_axis, hour_of_odds, odds_past  # noqa: E402 - the same
from colourcore.curve.priors import PRIORS, Priors  # noqa: E402 - the threads must be set first
from colourcore.curve.shapes import KINDS, shape_table  # noqa: E402 - the threads must be set first
from tests.simulation.worlds import KNOWN, UNKNOWN, draw_job  # noqa: E402 - the threads must be set first

JOBS, PROCESSES = 200, 2


def without(*kinds: str) -> Priors:
    """The priors with kinds of shape left out of the library."""
    table = shape_table()
    gone = {KINDS.index(kind) for kind in kinds}
    odds = tuple(0.0 if kind in gone else float(p) for kind, p in zip(table.kind.tolist(), table.prior, strict=True))
    return replace(PRIORS, shape_odds=odds)


def scatter(centre: float) -> Priors:
    return replace(PRIORS, log_scatter=(math.log(centre), PRIORS.log_scatter[1]))


CHANGES: dict[str, Priors] = {
    "as they are": PRIORS,
    "scatter centred on 0.4 L*": scatter(0.4),
    "scatter centred on 0.9 L*": scatter(0.9),
    "no discrepancy": replace(PRIORS, discrepancy=1e-3),
    "discrepancy 1 L*": replace(PRIORS, discrepancy=1.0),
    "depth 25 ± 25 L*": replace(PRIORS, depth=(25.0, 25.0)),
    "depth 15 ± 12 L*": replace(PRIORS, depth=(15.0, 12.0)),
    "raw 60 ± 15 L*": replace(PRIORS, raw=(60.0, 15.0)),
    "half time 3 h instead of 8": replace(PRIORS, log_half_hours=(math.log(3.0), 1.3)),
    "half time 20 h instead of 8": replace(PRIORS, log_half_hours=(math.log(20.0), 1.3)),
    "bad readings one in a hundred": replace(PRIORS, bad_odds=0.01),
    "no two speeds, no power": without("two speeds", "power then level"),
    "stretched only": without("second order", "two speeds", "power then level"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """One job: odds stated for the true hour, size of the error, width of the interval, odds of reach."""

    known: bool
    rank: float
    error: float
    width: float
    reach: float


def judge(task: tuple[str, int, bool, Priors]) -> Seen:
    family, seed, out_of_reach, priors = task
    rng = np.random.default_rng([seed, (KNOWN + UNKNOWN).index(family), int(out_of_reach)])
    job = draw_job(family, rng, out_of_reach=out_of_reach)
    posterior = fit(job.samples, priors)
    hours = hour_axis(posterior, job.horizon)
    odds = odds_past(forecast(posterior, hours, job.target), job.target.L, 0.0)
    low, middle, high = (hour_of_odds(hours, odds, chance) or np.nan for chance in (0.05, 0.5, 0.95))
    reached = np.isfinite(job.hours)
    return Seen(
        known=family in KNOWN,
        rank=float(np.interp(job.hours, hours, odds)) if reached else float(rng.uniform(odds[-1], 1.0)),
        error=float(abs(np.log(middle / job.hours))) if reached else np.nan,
        width=float(np.log(high / low)),
        reach=float(odds[-1]),
    )


def line(name: str, seen: list[Seen], beyond: list[Seen]) -> str:
    def held(known: bool) -> float:
        return 100 * float(np.mean([0.05 <= s.rank <= 0.95 for s in seen if s.known == known]))

    past = 100 * np.mean([s.rank < 0.1 for s in seen if s.known])
    error = 100 * np.nanmedian([s.error for s in seen if s.known])
    width = np.nanmedian([s.width for s in seen if s.known])
    away = 100 * np.mean([s.reach < 0.5 for s in beyond])
    return f"{name:32s} {held(True):6.1f} {held(False):6.1f} {past:6.1f} {error:6.1f} {width:6.3f} {away:6.1f}"


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--jobs", type=int, default=JOBS, help="jobs of each family")
    jobs = parser.parse_args().jobs
    print(
        f"{jobs} jobs of each of {len(KNOWN)} known and {len(UNKNOWN)} unknown families; per cent, width in log hours"
    )
    print(f"{'prior':32s} {'holds':>6s} {'unkn.':>6s} {'past':>6s} {'error':>6s} {'width':>6s} {'beyond':>6s}")
    with Pool(PROCESSES) as pool:
        for name, priors in CHANGES.items():
            seen = pool.map(judge, [(f, s, False, priors) for f in (*KNOWN, *UNKNOWN) for s in range(jobs)], 16)
            beyond = pool.map(judge, [(f, s, True, priors) for f in KNOWN for s in range(jobs // 2)], 16)
            print(line(name, seen, beyond), flush=True)


if __name__ == "__main__":
    main()
