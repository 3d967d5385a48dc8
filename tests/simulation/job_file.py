"""Every count and figure of the job file's promises, on this machine:

    python -m tests.simulation.job_file [--small] [--folder FOLDER] [--seed 1]

It kills an editing program at random, puts every obstacle in the way, handles malformed files, and times a large job
beside bare SQLite. It takes some minutes and needs a POSIX system; what it writes lies in a temporary folder (or in
FOLDER, to measure another disk) and is removed. With `--small` it does a fiftieth of it, to see that it works. It ends
with 1 where a promise was broken.
"""

from __future__ import annotations

import argparse
import os
import platform
import sqlite3
import sys
import tempfile
import time
from collections.abc import Callable, Iterable
from pathlib import Path

from tests.simulation.job_kills import kill_at_random
from tests.simulation.job_malformed import LONGEST_S, MOST_MEMORY_MB, handle_malformed
from tests.simulation.job_obstacles import every_obstacle
from tests.simulation.job_speed import PHOTO_BYTES, PHOTOS, measure

KILLS, MALFORMED = 500, 2000
OPEN_S, COMMIT_S = 0.3, 0.020
_LATE: list[float] = []  # acts that took longer than the aim on a disk that does not allow it


def main(arguments: Iterable[str] | None = None) -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.simulation.job_file", description=__doc__)
    parser.add_argument("--small", action="store_true")
    parser.add_argument("--folder", type=Path)
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args(None if arguments is None else list(arguments))
    load = ", ".join(f"{figure:.1f}" for figure in os.getloadavg())
    print(f"SQLite {sqlite3.sqlite_version}, Python {platform.python_version()}, load {load} on {os.cpu_count()} cores")
    small, seed = options.small, options.seed
    parts: list[Callable[[Path], bool]] = [
        lambda folder: _kills(folder, 10 if small else KILLS, seed),
        lambda folder: _obstacles(folder, small=small),
        lambda folder: _malformed(folder, 36 if small else MALFORMED, seed),
        lambda folder: _speed(folder, small=small),
    ]
    kept = True
    for part in parts:
        with tempfile.TemporaryDirectory(dir=options.folder) as name:
            folder = Path(name)
            folder.chmod(0o755)  # an unprivileged user must be able to look into it
            began = time.monotonic()
            kept = part(folder) and kept
            print(f"  ({time.monotonic() - began:.0f} s)", flush=True)
    late = " (an act takes longer than the aim where even bare SQLite takes over half of it)" if _LATE else ""
    print(f"\nall promises kept{late}" if kept else "\nA PROMISE WAS BROKEN")
    return 0 if kept else 1


def _kills(folder: Path, kills: int, seed: int) -> bool:
    found = kill_at_random(folder, kills, seed)
    print(f"\nkilled (SIGKILL) at random moments: {found.kills}")
    print(f"  edits acknowledged in all           {found.acknowledged}")
    print(f"  kills in the middle of a commit     {found.in_the_middle}")
    print(f"  acknowledged edits lost             {found.lost}")
    print(f"  files that did not open             {found.unopened}")
    print(f"  files not sound afterwards          {found.unsound}")
    _tell(found.complaints)
    return found.kills == kills and not (found.lost or found.unopened or found.unsound)


def _obstacles(folder: Path, *, small: bool) -> bool:
    print("\nobstacles: met / came to a sentence / lost something")
    kept = True
    for obstacle in every_obstacle(folder, small=small):
        print(
            f"  {obstacle.name:<26} {obstacle.met:>4} {obstacle.sentences:>4} {obstacle.lost:>4}   {obstacle.example}"
        )
        _tell(obstacle.faults)
        kept = kept and obstacle.met == obstacle.sentences and not obstacle.lost and not obstacle.faults
    return kept


def _malformed(folder: Path, files: int, seed: int) -> bool:
    found = handle_malformed(folder, files, seed)
    print(f"\nmalformed files: {found.files} ({', '.join(f'{count} {kind}' for kind, count in found.kinds.items())})")
    print(f"  opened as far as they can be read   {found.opened}")
    print(f"  refused in a sentence               {found.refused}")
    print(f"  tracebacks                          {found.tracebacks}")
    print(f"  hangs over {LONGEST_S:g} s                     {found.hangs}")
    print(f"  statements of others carried out    {found.executed}")
    print(f"  longest act                         {found.longest_s:.2f} s")
    print(f"  most memory                         {found.most_memory_mb:.0f} MB")
    _tell(found.faults)
    broken = found.tracebacks or found.hangs or found.executed or found.most_memory_mb > MOST_MEMORY_MB
    return found.files == files and not broken


def _speed(folder: Path, *, small: bool) -> bool:
    photo_bytes = PHOTO_BYTES // 16 if small else PHOTO_BYTES
    found = measure(folder, acts=30 if small else 300, photo_bytes=photo_bytes)
    print(f"\na job of {PHOTOS} photos of {photo_bytes / 1e6:g} MB, {found.acts} acts")
    print(f"  file, and a state in it             {found.file_bytes / 1e6:.0f} MB, {found.state_bytes / 1e3:.0f} kB")
    print(
        f"  opened to its last state            {found.open_s * 1e3:.1f} ms (median of 9; at most {OPEN_S * 1e3:.0f})"
    )
    if found.read_bytes is not None:
        print(f"  read from the file for that         {found.read_bytes / 1e3:.0f} kB")
    print(
        f"  an act kept                         {found.commit_s * 1e3:.1f} ms "
        f"(median; slowest {found.slowest_commit_s * 1e3:.1f}; at most {COMMIT_S * 1e3:.0f})"
    )
    print(
        f"  a bare SQLite commit of that size   {found.bare_s * 1e3:.1f} ms "
        f"(median; slowest {found.slowest_bare_s * 1e3:.1f}); ratio {found.commit_s / found.bare_s:.2f}"
    )
    print(f"  an act undone                       {found.undo_s * 1e3:.1f} ms")
    untouched = found.read_bytes is None or found.read_bytes < 2_000_000
    slow_disk = found.bare_s > COMMIT_S / 2
    if found.commit_s > COMMIT_S and slow_disk:
        _LATE.append(found.commit_s)
        print(
            "  AIM MISSED: this disk is too slow or too busy to tell; judge by the ratio, or run it on a quiet machine"
        )
    return found.open_s <= OPEN_S and untouched and (found.commit_s <= COMMIT_S or slow_disk)


def _tell(faults: list[str]) -> None:
    for fault in faults[:10]:
        print(f"    ! {fault}")


if __name__ == "__main__":
    sys.exit(main())
