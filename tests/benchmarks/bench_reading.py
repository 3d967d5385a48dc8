"""Reading a photo against the bare decode of the same file: how long, and how much memory.

Run with ``python -m tests.benchmarks.bench_reading``. It prints ratios; nothing is asserted, because the machine is
part of the figure.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from pathlib import Path
from tempfile import TemporaryDirectory

import cv2
import numpy as np

from colourcore.image.balance import GREY_CARD_LAB, balance_from_card
from colourcore.image.checks import check_balance, check_patch
from colourcore.image.develop import open_photo
from colourcore.image.patches import Outline, measure_patch, read_patch

WIDTH, HEIGHT = 6000, 4000
ROUNDS = 15
NINE = [Outline(x=300 + 1850 * (i % 3), y=200 + 1250 * (i // 3), width=1000, height=900) for i in range(9)]
AIM_TIME, AIM_MEMORY = 1.3, 6.0


def photograph() -> bytes:
    """A JPEG of 24 megapixels, quality 92, with texture like wood on a bench."""
    draw = np.random.default_rng(24)
    grain = cv2.resize(draw.normal(0, 12, (800, 60, 3)), (WIDTH, HEIGHT), interpolation=cv2.INTER_CUBIC)
    fine = cv2.resize(draw.normal(0, 5, (HEIGHT // 2, WIDTH // 2, 3)), (WIDTH, HEIGHT))
    picture = np.clip(np.array([90, 120, 150]) + grain + fine, 0, 255).astype(np.uint8)
    return cv2.imencode(".jpg", picture, [cv2.IMWRITE_JPEG_QUALITY, 92])[1].tobytes()


def read_all(data: bytes) -> None:
    """What `duskgrain read` does with one photo."""
    photo = open_photo(data, "bench.jpg")
    measured = [measure_patch(photo, outline) for outline in NINE]
    balance = balance_from_card(measured[0], GREY_CARD_LAB)
    check_balance(balance)
    for patch in measured:
        check_patch(patch, balance)
        read_patch(patch, balance)


def seconds(action: Callable[[], object]) -> float:
    start = time.perf_counter()
    action()
    return time.perf_counter() - start


def main() -> None:
    """Print both ratios beside their aims."""
    data = photograph()
    codes = np.frombuffer(data, np.uint8)
    area = sum(outline.width * outline.height for outline in NINE) / (WIDTH * HEIGHT)
    print(f"JPEG {WIDTH} × {HEIGHT}, {len(data) / 1e6:.1f} MB, nine patches over {100 * area:.0f} % of the frame")
    for threads in (1, cv2.getNumberOfCPUs()):
        cv2.setNumThreads(threads)
        pairs = [
            (seconds(lambda: cv2.imdecode(codes, cv2.IMREAD_COLOR)), seconds(lambda: read_all(data)))
            for _ in range(ROUNDS)
        ]
        bare, ours = (min(times) for times in zip(*pairs, strict=True))  # the least disturbed
        print(
            f"{threads} thread(s), best of {ROUNDS}: OpenCV decode {bare:.3f} s, whole reading {ours:.3f} s, "
            f"ratio {ours / bare:.2f} (aim {AIM_TIME})"
        )
    print(f"peak memory while reading: {memory_ratio(data):.1f} × the decoded picture (aim under {AIM_MEMORY:g})")


def memory_ratio(data: bytes) -> float:
    """Peak memory of a fresh process that reads the photo, over the same process before, in decoded pictures."""
    import subprocess

    with TemporaryDirectory() as folder:
        path = Path(folder, "bench.jpg")
        path.write_bytes(data)
        command = [sys.executable, "-m", "tests.benchmarks.bench_reading", str(path)]
        grown = int(subprocess.run(command, capture_output=True, text=True, check=True).stdout)
    return grown / (WIDTH * HEIGHT * 3)


def grown_bytes(path: Path) -> int:
    """How far reading one photo raises the process's highest memory, in bytes (Linux; elsewhere the whole of it)."""
    data = path.read_bytes()
    before = _memory("VmRSS")
    read_all(data)
    return _memory("VmHWM") - before


def _memory(field: str) -> int:
    status = Path("/proc/self/status")
    if not status.exists():
        import resource

        unit = 1 if sys.platform == "darwin" else 1024
        return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * unit if field == "VmHWM" else 0
    lines = dict(line.split(":", 1) for line in status.read_text().splitlines() if ":" in line)
    return int(lines[field].split()[0]) * 1024


if __name__ == "__main__":
    if len(sys.argv) > 1:
        print(grown_bytes(Path(sys.argv[1])))
    else:
        main()
