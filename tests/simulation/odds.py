"""Every aim for the hours and their odds beside what was measured: `python -m tests.simulation.odds`.

Seeded, so that anyone gets the same table. All curves are synthetic. `--share 0.1` does a tenth of the jobs. The last
column is the standard error of the simulation; "missed" stands where a figure lies outside its aim.
"""

from __future__ import annotations

import argparse
import os
import time
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from multiprocessing import Pool
from typing import Any

for _threads in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS"):
    # tiny matrices: one thread in each of the processes, set before numpy is loaded
    os.environ.setdefault(_threads, "1")

import numpy as np  # noqa: E402 - the threads must be set first

from tests.simulation import board_jobs, whole_jobs  # noqa: E402 - the threads must be set first
from tests.simulation.cost import cost_rows  # noqa: E402 - the threads must be set first
from tests.simulation.worlds import KNOWN, UNKNOWN  # noqa: E402 - the threads must be set first

BOARD_JOBS, UNKNOWN_JOBS, OUT_OF_REACH_JOBS, WHOLE_JOBS, DRIFT_JOBS, EXTRA_JOBS = 400, 300, 200, 2000, 400, 400


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One line of the table; aim (low, high) in the unit of the value, None where it is only shown."""

    what: str
    value: float
    error: float
    aim: tuple[float, float] | None = None
    unit: str = "%"

    def __str__(self) -> str:
        aim = "" if self.aim is None else _aim(*self.aim)
        missed = "" if self.aim is None or self.aim[0] <= self.value <= self.aim[1] else "  missed"
        return f"  {self.what:62s} {aim:>12s} {self.value:8.2f} {self.unit:3s} ± {self.error:.2f}{missed}"


def _aim(low: float, high: float) -> str:
    if low == -np.inf:
        return f"≤ {high:g}"
    return f"≥ {low:g}" if high == np.inf else f"{low:g} to {high:g}"


def share(what: str, hits: Iterable[float], aim: tuple[float, float] | None = None) -> Row:
    values = np.array(list(hits), dtype=np.float64)
    values = values[np.isfinite(values)]
    error = values.std() / np.sqrt(max(1, values.size))
    return Row(what=what, value=100 * values.mean(), error=100 * error, aim=aim)


def quantile(what: str, values: Iterable[float], chance: float, aim: tuple[float, float] | None = None) -> Row:
    """A quantile in L* with its error by a fixed bootstrap."""
    known = np.array(list(values), dtype=np.float64)
    known = known[np.isfinite(known)]
    rng = np.random.default_rng(1)
    again = [np.quantile(rng.choice(known, known.size), chance) for _ in range(200)]
    return Row(what=what, value=float(np.quantile(known, chance)), error=float(np.std(again)), aim=aim, unit="L*")


def board_table(run: Callable[..., list[Any]], size: float) -> None:
    count = max(2, round(BOARD_JOBS * size))
    known = run(board_jobs.judge, [(f, seed, False) for f in KNOWN for seed in range(count)])
    fewer = max(2, round(UNKNOWN_JOBS * size))
    unknown = run(board_jobs.judge, [(f, seed, False) for f in UNKNOWN for seed in range(fewer)])
    beyond = run(
        board_jobs.judge, [(f, seed, True) for f in KNOWN for seed in range(max(2, round(OUT_OF_REACH_JOBS * size)))]
    )
    print(f"\nThe board: {len(known)} jobs of known families, {len(unknown)} of unknown, {len(beyond)} out of reach")
    for row in _board_rows(known, unknown, beyond):
        print(row)
    _family_table((*known, *unknown))
    _rival_table(known, "known families")
    _rival_table(unknown, "unknown families")


def _board_rows(known: Sequence[Any], unknown: Sequence[Any], beyond: Sequence[Any]) -> list[Row]:
    rows = [
        share("90 % interval holds, known families", (r.held for r in known), (87, 93)),
        min(
            (
                share(f"   worst known family ({f})", (r.held for r in known if r.family == f), (84, np.inf))
                for f in KNOWN
            ),
            key=lambda row: row.value,
        ),
        share("90 % interval holds, unknown families", (r.held for r in unknown), (86, np.inf)),
        share("past the target at look-from, known families", (r.look_past for r in known), (5, 12)),
        share("past the target at look-from, unknown families", (r.look_past for r in unknown)),
    ]
    rows += [
        share(f"stated odds of {100 * q:g} %", (r.rank <= q for r in known), (100 * q - 3, 100 * q + 3))
        for q in board_jobs.LEVELS
    ]
    rows += [
        _ratio(known),
        share("reach called rightly, in reach by over 2 L*", _reach([*known, *unknown], True), (95, np.inf)),
        share("reach called rightly, out of reach by over 2 L*", _reach(beyond, False), (85, np.inf)),
        share("pieces past the target at their look-from, known", (r.piece_past for r in known), (5, 12)),
        share("pieces past the target at their look-from, unknown", (r.piece_past for r in unknown)),
        share("piece's 90 % interval holds, known", (r.piece_held for r in known)),
    ]
    return rows


def _reach(records: Iterable[Any], truly: bool) -> Iterable[float]:
    return (float(r.reached == truly) for r in records if r.far_from_reach and r.truly_reached == truly)


def _ratio(records: Sequence[Any]) -> Row:
    """Median error of the hours over that of the fit told the family, on the jobs both answer; error by bootstrap."""
    pairs = np.array([(r.error, r.told_error) for r in records])
    pairs = pairs[np.isfinite(pairs).all(axis=1)]
    rng = np.random.default_rng(1)
    again = [np.divide(*np.median(pairs[rng.integers(len(pairs), size=len(pairs))], axis=0)) for _ in range(200)]
    ours, told = np.median(pairs, axis=0)
    what = f"median error {100 * ours:.1f} % over {100 * told:.1f} % of the fit told the family"
    return Row(what=what, value=ours / told, error=float(np.std(again)), aim=(-np.inf, 1.25), unit="×")


def _family_table(records: Sequence[Any]) -> None:
    print("\n  by family: interval holds, past at look-from, median error of the hours, pieces past at their look-from")
    for family in (*KNOWN, *UNKNOWN):
        own = [r for r in records if r.family == family]
        figures = (np.mean([r.held for r in own]), np.mean([r.look_past for r in own]))
        error, piece = np.nanmedian([r.error for r in own]), np.mean([r.piece_past for r in own])
        shown = (figures[0], figures[1], error, piece)
        print(f"    {family:28s} " + " ".join(f"{100 * value:5.1f} %" for value in shown))


def _rival_table(records: Sequence[Any], which: str) -> None:
    print(f"\n  the same jobs, {which}: interval holds, past at look-from, median error; stated odds come true")
    ours = [(r.held, r.look_past, r.error, tuple(r.rank <= q for q in board_jobs.LEVELS)) for r in records]
    rivals = [[r.rivals[i] for r in records] for i in (0, 1)]
    names = ("these odds", "plain least squares", "monotone interpolation")
    for name, rows in zip(names, (ours, *rivals), strict=True):
        held, past = np.mean([row[0] for row in rows]), np.mean([row[1] for row in rows])
        error = np.nanmedian([row[2] for row in rows])
        odds = " ".join(f"{100 * value:3.0f}" for value in np.mean([row[3] for row in rows], axis=0))
        print(f"    {name:24s} {100 * held:5.1f} % {100 * past:5.1f} % {100 * error:5.1f} %   {odds}")


def extra_table(run: Callable[..., list[Any]], size: float) -> None:
    count = max(10, round(EXTRA_JOBS * size))
    spoiled = run(board_jobs.spoil, list(range(count)))
    print(f"\nOne of eight samples off by 4 L*, {count} jobs")
    print(share("90 % interval holds, all samples good", (s.held_clean for s in spoiled)))
    print(share("90 % interval holds, one bad", (s.held for s in spoiled)))
    for what, values in (("good", [s.error_clean for s in spoiled]), ("one bad", [s.error for s in spoiled])):
        row = quantile(f"median error of the hours, {what}", [100 * v for v in values], 0.5)
        print(Row(what=row.what, value=row.value, error=row.error))
    print(share("the bad one is named", (s.named for s in spoiled)))
    print(share("a good one is named in a good job", (s.named_wrongly for s in spoiled)))
    pairs = np.array(run(board_jobs.narrow, list(range(count))))
    pairs = pairs[np.isfinite(pairs).all(axis=1)]
    print(f"\nThe next sample after five, {len(pairs)} jobs: width of the board's interval left, as a share of before")
    error = pairs.std(axis=0) / np.sqrt(len(pairs))
    for index, what in enumerate(("as said beforehand", "as it came out")):
        print(Row(what=what, value=100 * pairs[:, index].mean(), error=100 * error[index]))


def whole_table(run: Callable[..., list[Any]], size: float) -> None:
    misses = np.array(run(whole_jobs.miss, list(range(max(10, round(WHOLE_JOBS * size))))))
    print(f"\nWhole jobs, {len(misses)}: off by (median, nine in ten, L*), over 2 L* too dark")
    _miss_lines(whole_jobs.WAYS, misses)
    by_way = dict(zip(whole_jobs.WAYS, misses.T, strict=True))
    print()
    for way, most in (
        ("one shot when due, eight samples", 3),
        ("one shot when due, five samples", 3),
        ("two looks at a check piece, five samples", 2),
        ("two looks at the piece, five samples", 0.5),
        ("two looks at the piece, three samples and one chosen", 0.5),
        ("two looks, the first at odds of one in twenty, five samples", 0.5),
    ):
        print(share(f"ruined: {way}", by_way[way] < -2, (-np.inf, most)))
    way = "two looks at the piece, five samples"
    print(quantile(f"nine in ten: {way}", np.abs(by_way[way]), 0.9, (-np.inf, 1.0)))
    eight = np.abs(by_way["two looks at the piece, eight samples"])
    for way in ("two looks at the piece, five samples", "two looks at the piece, three samples and one chosen"):
        print(_tenth(way, np.abs(by_way[way]), eight))
    drifted = np.array(run(whole_jobs.miss_with_drift, list(range(max(10, round(DRIFT_JOBS * size))))))
    print(f"\nTwo looks at the piece, five samples, fresh wood reading lighter than settled, {len(drifted)} jobs")
    _miss_lines(whole_jobs.DRIFT_WAYS, drifted)


def _tenth(way: str, few: np.ndarray, eight: np.ndarray) -> Row:
    rng = np.random.default_rng(1)
    draws = [rng.integers(few.size, size=few.size) for _ in range(200)]
    again = [np.quantile(few[d], 0.9) / np.quantile(eight[d], 0.9) for d in draws]
    value = float(np.quantile(few, 0.9) / np.quantile(eight, 0.9))
    what = f"ninth decile over that of eight samples: {way.split(', ', 1)[1]}"
    return Row(what=what, value=value, error=float(np.std(again)), aim=(-np.inf, 1.1), unit="×")


def _miss_lines(ways: Sequence[str], misses: np.ndarray) -> None:
    for way, off in zip(ways, misses.T, strict=True):
        middle, tenth = quantile("", np.abs(off), 0.5), quantile("", np.abs(off), 0.9)
        ruined = share("", off < -2)
        print(
            f"    {way:54s} {middle.value:5.2f} ± {middle.error:.2f}  {tenth.value:5.2f} ± {tenth.error:.2f}"
            f"  {ruined.value:5.1f} % ± {ruined.error:.1f}"
        )


def main(arguments: Sequence[str] | None = None) -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--share", type=float, default=1.0, help="share of the full number of jobs")
    parser.add_argument("--processes", type=int, default=os.cpu_count() or 1)
    chosen = parser.parse_args(arguments)
    started = time.perf_counter()
    print("Hours and their odds, in simulation (all curves synthetic): aim, measured, standard error")
    with Pool(chosen.processes) as pool:

        def run(work: Callable[[Any], Any], tasks: list[Any]) -> list[Any]:
            return pool.map(work, tasks, chunksize=8)

        board_table(run, chosen.share)
        extra_table(run, chosen.share)
        whole_table(run, chosen.share)
    print("\nCost, one core, all that an answer holds")
    for row in cost_rows():
        print(Row(what=row.what, value=row.value, error=row.error, aim=row.aim, unit=row.unit))
    print(f"\n{time.perf_counter() - started:.0f} s")


if __name__ == "__main__":
    main()
