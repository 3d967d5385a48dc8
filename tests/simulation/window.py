"""Every figure that the window promises, beside its aim, on this machine:

    python -m tests.simulation.window [--small] [--kills 50]

It measures the start, a large job reopened, dragging and memory, counts the texts that do not fit in a language a third
longer, and kills the driven window at random. It takes some minutes; what it writes lies in temporary folders and is
removed. With `--small` the photos have 2 megapixels and the window is killed three times, to see that it works. It ends
with 1 where an act that the window showed as kept was lost.
"""

from __future__ import annotations

import argparse
import json
import os
import subprocess
import sys
import tempfile
from collections.abc import Iterable
from pathlib import Path

from tests.simulation.window_kills import kill_the_window

KILLS, FEW = 50, 3
SCREENS = (("1", 1440, 900), ("1.5", 960, 600), ("2", 720, 450))


def main(arguments: Iterable[str] | None = None) -> int:
    """Print every figure and return the exit code."""
    parser = argparse.ArgumentParser(prog="python -m tests.simulation.window", description=__doc__)
    parser.add_argument("--small", action="store_true")
    parser.add_argument("--kills", type=int, default=KILLS)
    options = parser.parse_args(None if arguments is None else list(arguments))
    load = ", ".join(f"{figure:.1f}" for figure in os.getloadavg())
    print(f"load {load} on {os.cpu_count()} cores: judge wall times of a busy machine by the processor's\n", flush=True)
    print("dragging along the hours", flush=True)
    _bench("bench_hours_window")
    print("\nstart, a job reopened, an outline dragged while photos are being read", flush=True)
    _bench("bench_window_process", *(["--small"] if options.small else []))
    if not options.small:
        print("\nphotos of 50 megapixels, memory and a thousand drags", flush=True)
        _bench("bench_window")
    print("\ntexts that are cut or do not fit, in a language a third longer", flush=True)
    for scale, width, height in SCREENS:
        _texts(scale, width, height)
    return _kills(FEW if options.small else options.kills)


def _environment(**more: str) -> dict[str, str]:
    return os.environ | {"QT_QPA_PLATFORM": "offscreen"} | more


def _bench(name: str, *arguments: str) -> None:
    command = [sys.executable, "-m", f"tests.benchmarks.{name}", *arguments]
    if subprocess.run(command, env=_environment(), check=False).returncode:
        print(f"  {name} ended with a fault")


def _texts(scale: str, width: int, height: int) -> None:
    command = [sys.executable, "-m", "tests.app.painted_texts", str(width), str(height), "longer"]
    done = subprocess.run(command, env=_environment(QT_SCALE_FACTOR=scale), capture_output=True, check=True)
    lines = [json.loads(line) for line in done.stdout.decode("utf-8").splitlines()][:-1]
    print(f"  {float(scale):4.0%}, {width} × {height}: {len({line[2] for line in lines})} (aim 0)", flush=True)
    for text in sorted({line[2] for line in lines}):
        print(f"    {text[:100]}")


def _kills(kills: int) -> int:
    with tempfile.TemporaryDirectory(prefix="measure_") as folder:
        found = kill_the_window(Path(folder), kills)
    print(f"\nthe driven window killed (SIGKILL) at random moments: {found.kills}")
    print(f"  acts that it had shown as kept       {found.shown}")
    print(f"  of these lost                        {found.lost} (aim 0)")
    print(f"  windows that did not come back       {found.unopened} (aim 0)")
    print(f"  kills between an act and its telling {found.between}")
    for complaint in found.complaints[:10]:
        print(f"    ! {complaint}")
    return 1 if found.lost or found.unopened else 0


if __name__ == "__main__":
    sys.exit(main())
