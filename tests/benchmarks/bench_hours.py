"""One group's hours against repeated least-squares fits, and what hundreds of groups cost.

Run with ``python -m tests.benchmarks.bench_hours``. It prints ratios; nothing is asserted, because the machine is part
of the figure. Beside the board's hours alone stands the whole answer: piece, next sample, colour, tolerance.
"""

from __future__ import annotations

import os

for _threads in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS"):
    # one core: the matrices are tiny, and threads would only wait for each other
    os.environ.setdefault(_threads, "1")

import statistics  # noqa: E402 - the threads must be set before numpy is loaded
import subprocess  # noqa: E402 - the same
import sys  # noqa: E402 - the same
import time  # noqa: E402 - the same
from collections.abc import Callable  # noqa: E402 - the same

from colourcore.curve.answer import answer_group  # noqa: E402 - the same
from colourcore.curve.fit import Target  # noqa: E402 - the same
from colourcore.curve.hours import hours_to_shade  # noqa: E402 - the same
from tests.simulation.cost import BOUNDS, REFITS, START, jobs, refit  # noqa: E402 - the same

GROUPS, LOOPS = 30, 5
AIM_BOARD, AIM_WHOLE, AIM_MS = 20.0, 8.0, 20.0


def seconds(action: Callable[[], object]) -> float:
    """Process time, which other programs on the machine stretch less than the clock."""
    start = time.process_time()
    action()
    return time.process_time() - start


def import_seconds(module: str) -> float:
    """Time of a fresh interpreter that imports the module, beyond one that imports numpy; the least of five."""

    def run(what: str) -> float:
        start = time.perf_counter()
        subprocess.run([sys.executable, "-c", f"import {what}"], check=True)
        return time.perf_counter() - start

    return min(run(module) for _ in range(5)) - min(run("numpy") for _ in range(5))


def main() -> None:
    """Print each figure beside its aim."""
    some = jobs(GROUPS)
    targets = [Target(L=job.target.L, a=5.0, b=14.0) for job in some]

    def board(i: int) -> object:
        return hours_to_shade(some[i].samples, targets[i])

    def whole(i: int) -> object:
        return answer_group(some[i].samples, targets[i])

    board(0), whole(0)
    boards = statistics.median(seconds(lambda i=i: board(i)) for i in range(GROUPS))
    wholes = statistics.median(seconds(lambda i=i: whole(i)) for i in range(GROUPS))
    loop = statistics.median(seconds(lambda i=i: refit(some[i])) for i in range(LOOPS))
    print(f"{REFITS} bounded fits of raw, depth, scale, exponent from {START} within {BOUNDS}: {1e3 * loop:.0f} ms")
    print(f"the board's hours: {1e3 * boards:.1f} ms, {loop / boards:.0f} times faster (aim ≥ {AIM_BOARD:g})")
    print(f"the whole answer: {1e3 * wholes:.1f} ms (aim < {AIM_MS:g})")
    print(f"  {loop / wholes:.0f} times faster than the fits (aim ≥ {AIM_WHOLE:g})")
    for count in (30, 120, 480):
        spent = seconds(lambda count=count: [whole(i % GROUPS) for i in range(count)])
        print(f"  {count} groups: {spent:.2f} s, {1e3 * spent / count:.1f} ms each")
    print(f"importing the room beyond numpy: {1e3 * import_seconds('colourcore.curve.answer'):.0f} ms")


if __name__ == "__main__":
    main()
