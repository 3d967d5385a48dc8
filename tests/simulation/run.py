"""Whole runs by the plan's own clock and looks: `python -m tests.simulation.run`, seeded; `--share 0.1` does a tenth.

The world is that of `whole_jobs`: pieces of one board scatter, readings err, the run's pace strays by 10 % (log-normal)
while the fit believes 12 %. The maker does as the plan says and nothing else: looks at the step's clock time, reads,
and follows the counsel until the piece comes out. All curves are synthetic. A job that comes due at no hour has no plan
and is told apart; its piece stays in as long as was ever tried.
"""

from __future__ import annotations

import argparse
import os
import time
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from multiprocessing import Pool

for _threads in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS"):
    # tiny matrices: one thread in each of the processes, set before numpy is loaded
    os.environ.setdefault(_threads, "1")

import numpy as np  # noqa: E402 - the threads must be set first

from colourcore.colour.spaces import lab_to_xyz, xyz_to_lab  # noqa: E402 - the threads must be set first
from colourcore.curve.answer import GroupAnswer, answer_group  # noqa: E402 - the threads must be set first
from colourcore.curve.look import Look  # noqa: E402 - the threads must be set first
from colourcore.errors import InputError  # noqa: E402 - the threads must be set first
from colourcore.pipeline.answers import Group  # noqa: E402 - the threads must be set first
from colourcore.pipeline.plan import Plan, plan_run  # noqa: E402 - the threads must be set first
from colourcore.run.conditions import Conditions, Room, Strength  # noqa: E402 - the threads must be set first
from colourcore.run.film import GreyBehind, film_of, seen_through  # noqa: E402 - the threads must be set first
from colourcore.run.looks import Next, after_look  # noqa: E402 - the threads must be set first
from colourcore.run.night import Wish  # noqa: E402 - the threads must be set first
from colourcore.run.run_wish import RunWish  # noqa: E402 - the threads must be set first
from colourcore.run.schedule import StepKind, five_minutes_down  # noqa: E402 - the threads must be set first
from tests.simulation.odds import Row, quantile, share  # noqa: E402 - the threads must be set first
from tests.simulation.whole_jobs import SETTLED, Bench, Piece, set_up  # noqa: E402 - the threads must be set first

JOBS = 1000
SAMPLES = 5
PACE_OFF = 1.25
HAZE, THROUGH = 0.03, 0.90
GREYS = (20.0, 35.0, 50.0, 65.0, 81.0, 96.0)
NOW = datetime(2026, 5, 3, 8, tzinfo=UTC)
MOST_LOOKS = 6

WAYS = (
    "two looks at the piece",
    "the same, run pace 25 % fast",
    "the same, run pace 25 % slow",
    "two looks through film, 3 % haze, card behind it",
    "the same, film taken for none",
    "two looks at a check piece",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Eye:
    """How a look sees: through which film, corrected or not."""

    haze: float = 0.0
    through: float = 1.0
    corrected: bool = True

    def see(self, lightness: float) -> float:
        white = lab_to_xyz(np.array([100.0, 0.0, 0.0]))
        light = lab_to_xyz(np.array([lightness, 0.0, 0.0]))
        return float(xyz_to_lab(self.haze * white + self.through * light)[0])


def plan_of(bench: Bench, answer: GroupAnswer, *, check_piece: bool) -> Plan:
    group = Group(
        board="A", zone="", n=SAMPLES, target=bench.target, answer=answer.board, view=answer.view, readings=()
    )
    wish = RunWish(
        tent=Conditions(space_m3=1.08),
        strength=Strength(low=0.28, high=0.28),
        room=Room(space_m3=50, air_changes_per_hour=3),
        check_piece=check_piece,
        when=Wish(now=NOW),
    )
    return plan_run(wish, (group,))


def look(bench: Bench, drawn: Piece, hours: float, index: int, eye: Eye, name: str) -> Look:
    """One look with the target in the same photo: both are read behind the same film, with the job's own error."""
    noise = np.random.default_rng([bench.seed, 7, index, bool(name)])
    read = [eye.see(level) + noise.normal(0, bench.error) for level in (drawn.lightness(hours), bench.target.L)]
    variance = [bench.error**2] * 2
    read[1] = eye.see(bench.target.L)  # as in `whole_jobs`: the target is read as well as the samples' own
    variance[1] = 0.0
    if eye.haze and eye.corrected:
        greys = [
            GreyBehind(stated=(grey, 0, 0), read=(eye.see(grey) + noise.normal(0, 0.3), 0, 0), variance=0.09)
            for grey in GREYS
        ]
        film = film_of(greys)
        through = [seen_through(film, (level, 0, 0), spread) for level, spread in zip(read, variance, strict=True)]
        read, variance = [lab[0] for lab, _ in through], [spread for _, spread in through]
    return Look(
        hours=hours,
        lightness=read[0],
        variance=variance[0],
        target_lightness=read[1],
        target_variance=variance[1],
        piece=name,
    )


def follow(bench: Bench, answer: GroupAnswer, plan: Plan, eye: Eye, *, check: bool) -> float:
    """Return the hours at which the piece comes out of a run that is done as the plan and its looks say."""
    assert plan.schedule is not None
    assert answer.view is not None
    start = plan.schedule.start
    hours = (plan.schedule.at(StepKind.LOOK) - start).total_seconds() / 3600
    looked: list[Look] = []
    drawn, name = (bench.check, "check") if check else (bench.piece, "")
    for index in range(MOST_LOOKS):
        try:
            looked.append(look(bench, drawn, max(hours, 1 / 12), index, eye, name))
        except InputError:  # a pane that is refused gives no look: out when due
            return plan.hours.due if plan.hours else hours
        _, said = after_look(answer.view, looked, now_hours=hours, settling=SETTLED, piece=answer.board.piece)
        if said.what is not Next.LOOK_AGAIN:
            out = max(hours, five_minutes_down(said.at_hours).total_seconds() / 3600)
            return hours if said.what is Next.STOP else out
        hours = max(hours + 1 / 12, five_minutes_down(said.at_hours).total_seconds() / 3600)
    return hours


def miss(seed: int) -> tuple[float, ...]:
    """L* of the piece that comes out minus the target, for each of `WAYS`; last, 1 where there is a plan and else 0."""
    bench = set_up(seed)
    answer = answer_group(bench.samples(SAMPLES), bench.target)
    plan = plan_of(bench, answer, check_piece=False)
    fast, slow = (
        replace(bench, piece=replace(bench.piece, pace=bench.piece.pace * pace)) for pace in (PACE_OFF, 1 / PACE_OFF)
    )
    film = Eye(haze=HAZE, through=THROUGH)
    ways = (
        (bench, Eye(), False),
        (fast, Eye(), False),
        (slow, Eye(), False),
        (bench, film, False),
        (bench, replace(film, corrected=False), False),
        (bench, Eye(), True),
    )
    out = []
    for world, eye, check in ways:
        hours = max(bench.hours) if plan.schedule is None else follow(world, answer, plan, eye, check=check)
        out.append(world.piece.lightness(hours) - bench.target.L)
    return (*out, float(plan.schedule is not None))


def rows(misses: Sequence[tuple[float, ...]]) -> list[Row]:
    table = np.array(misses)
    told = []
    for number, way in enumerate(WAYS):
        column = table[:, number]
        most = {0: (0.0, 0.5), 1: (0.0, 1.5), 2: (0.0, 1.5)}.get(number)
        within = {0: (0.0, 1.0)}.get(number)
        told.append(share(f"{way}: more than 2 L* too dark", column < -2, most))
        told.append(quantile(f"{way}: off by, nine in ten within", np.abs(column), 0.9, within))
        told.append(quantile(f"{way}: off by, median", np.abs(column), 0.5))
    told.append(share("jobs that come due at some hour", table[:, -1]))
    return told


def main() -> None:
    parser = argparse.ArgumentParser(description="Simulate whole runs by the plan's own clock and looks.")
    parser.add_argument("--share", type=float, default=1.0, help="of the jobs")
    parser.add_argument("--processes", type=int, default=os.cpu_count())
    arguments = parser.parse_args()
    count, begun = max(20, round(JOBS * arguments.share)), time.perf_counter()
    with Pool(arguments.processes) as pool:
        misses = pool.map(miss, range(count), chunksize=4)
    print(f"Whole runs: {count} jobs, {SAMPLES} samples, {time.perf_counter() - begun:.0f} s")
    for row in rows(misses):
        print(row)


if __name__ == "__main__":
    main()
