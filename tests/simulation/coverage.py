"""Does the interval hold what it says? Many invented jobs, rendered small, read and fitted by the program itself.

    python -m tests.simulation.coverage [--seeds 400] [--first 1] [--processes 1]

Each seed draws other wood, another target, other scatter, light, noise and compression, and goes from the JPEG files
through the program to the hours. The true hours are those at which the average piece of a board and zone is as dark as
the target, "never" counting as later than any end. Printed for each group: how many of the 90 % intervals hold them,
how many boards are past the target at `look_from` already (10 % would be as promised), and the outcomes.
"""

from __future__ import annotations

import argparse
import math
import tempfile
from collections.abc import Iterable, Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from colourcore.job.sheet import read_sheet
from colourcore.pipeline import compute
from tests.simulation.example import FIRST_SEED, SHEET_NAME, render_job, write_job

__all__ = ["Answered", "answered", "holds", "main", "summary"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Answered:
    """One group of one seed: what is true and what the program said; infinite hours are never.

    The scatter is that of the samples about the board's curve, L*: as rendered (root mean square) and as the fit found.
    """

    seed: int
    group: str
    true_hours: float
    true_outcome: str
    law: str
    outcome: str
    hours: float | None
    low: float | None
    high: float
    look_from: float | None
    scatter_rendered: float
    scatter_found: float


def answered(seed: int) -> list[Answered]:
    """Return the program's answers for one seed's job."""
    job = render_job(seed, small=True)
    with tempfile.TemporaryDirectory() as folder:
        write_job(job, Path(folder))
        sheet = read_sheet(Path(folder) / SHEET_NAME)
        results = compute(sheet.job, sheet.load)
    truth = {(group["board"], group["zone"]): group for group in job.truth["groups"]}
    off: dict[tuple[str, str], list[float]] = {}
    for reading in job.truth["readings"]:
        if reading["role"] == "sample":
            off.setdefault((reading["board"], reading["zone"]), []).append(reading["off_the_board_L"])
    said = []
    for group in results.groups:
        true, answer = truth[group.board, group.zone], group.answer
        said.append(
            Answered(
                seed=seed,
                group=f"{group.board} {group.zone}",
                true_hours=math.inf if true["hours"] is None else true["hours"],
                true_outcome=true["outcome"],
                law=true["rate_law"]["kind"],
                outcome=str(answer.outcome),
                hours=answer.hours,
                low=answer.low,
                high=math.inf if answer.high is None else answer.high,
                look_from=answer.look_from,
                scatter_rendered=float(np.sqrt(np.mean(np.square(off[group.board, group.zone])))),
                scatter_found=float(answer.shape["scatter_L"]),
            )
        )
    return said


def holds(answer: Answered) -> bool | None:
    """Return whether the interval holds the true hours, or None where the program gave no interval."""
    return None if answer.low is None else answer.low <= answer.true_hours <= answer.high


def _share(flags: Iterable[bool]) -> str:
    found = list(flags)
    if not found:
        return "        none"
    share = float(np.mean(found))
    error = math.sqrt(max(share * (1.0 - share), 0.25 / len(found)) / len(found))
    return f"{sum(found):4d} of {len(found):4d}  {100 * share:5.1f} ± {100 * error:.1f} %"


def _line(name: str, answers: list[Answered]) -> str:
    given = [held for held in map(holds, answers) if held is not None]
    past = [a.true_hours <= a.look_from for a in answers if a.look_from is not None]
    right = [a.outcome == a.true_outcome for a in answers]
    return f"{name:22} {_share(given):30} {_share(past):30} {_share(right)}"


def summary(answers: list[Answered]) -> str:
    """Return the tables: by group, by rate law and overall."""
    lines = [f"{'':22} {'90 % interval holds':30} {'past at look_from':30} outcome right"]
    groups, laws = sorted({answer.group for answer in answers}), sorted({answer.law for answer in answers})
    lines += [_line(name, [answer for answer in answers if answer.group == name]) for name in groups]
    lines += [_line(f"rate law: {law}", [answer for answer in answers if answer.law == law]) for law in laws]
    lines.append(_line("all", answers))
    errors = [abs(a.hours / a.true_hours - 1.0) for a in answers if a.hours is not None and a.true_outcome == "reached"]
    lines.append(f"median error of the hours, where reached and said so: {100 * float(np.median(errors)):.1f} %")
    rendered = float(np.median([answer.scatter_rendered for answer in answers]))
    found = float(np.median([answer.scatter_found for answer in answers]))
    lines.append(
        f"scatter of samples about their board, median: rendered {rendered:.2f} L*, as the fit found {found:.2f} L*"
    )
    return "\n".join(lines)


def _all_answers(seeds: range, processes: int) -> Iterator[list[Answered]]:
    if processes == 1:
        yield from map(answered, seeds)
        return
    with ProcessPoolExecutor(processes) as pool:
        yield from pool.map(answered, seeds, chunksize=4)


def main(arguments: list[str] | None = None) -> int:
    """Run the seeds and print the tables; exit 1 where fewer than 85 % of the intervals hold."""
    parser = argparse.ArgumentParser(prog="python -m tests.simulation.coverage", description="Do the intervals hold?")
    parser.add_argument("--seeds", type=int, default=400, help="how many (%(default)s)")
    parser.add_argument("--first", type=int, default=FIRST_SEED, help="the first (%(default)s)")
    parser.add_argument("--processes", type=int, default=1, help="at once (%(default)s)")
    options = parser.parse_args(arguments)
    seeds = range(options.first, options.first + options.seeds)
    answers = [answer for group in _all_answers(seeds, options.processes) for answer in group]
    print(summary(answers))
    held = [flag for flag in map(holds, answers) if flag is not None]
    return 0 if float(np.mean(held)) >= 0.85 else 1


if __name__ == "__main__":
    raise SystemExit(main())
