"""A night in front of a camera on a timer: `python -m tests.simulation.night` sends 200 photos into a watched folder.

A made-up clock; the photos are real files, each read by the program's own code. Some come in two halves, some are
broken off and sent again whole, some are sent twice under another name. Printed: what a photo takes against its own
decode (in processor time, so that a busy machine does not count), the memory, and what became of the odd ones.
"""

from __future__ import annotations

import argparse
import gc
import hashlib
import tempfile
import time
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import cv2
import numpy as np
from PIL import ExifTags, Image

from app.watch import Seen, look_at
from colourcore.colour.spaces import XYZ_TO_SRGB, lab_to_xyz, srgb_encode
from colourcore.image.pixels import Outline
from colourcore.job.model import Patch, Role
from colourcore.pipeline.watching import Followed, follow
from colourcore.run.conditions import Pour, Strength
from colourcore.run.happening import Happening
from colourcore.run.log import Entry

PHOTOS = 200
WIDE, HIGH = 4000, 3000  # a phone's 12 megapixels
BOXES = {Role.CARD: 150, Role.SAMPLE: 1500, Role.TARGET: 2850}
START = datetime(2026, 5, 3, 21, 30, tzinfo=UTC)
EVERY = timedelta(minutes=3)
TARGET_L, RAW_L, DEPTH, HALF_HOURS = 48.0, 68.0, 28.0, 6.0
OUTLINES = tuple(
    Patch(identity=n, role=role, outline=Outline(x=left + 100, y=600, width=800, height=1500), lab=lab)
    for n, (role, left, lab) in enumerate(
        ((Role.CARD, BOXES[Role.CARD], (49.5, 0.0, 0.0)), (Role.SAMPLE, BOXES[Role.SAMPLE], None),
         (Role.TARGET, BOXES[Role.TARGET], None)), 1
    )
)  # fmt: skip
LOG = (Entry(kind=Happening.POURED, at=START, pour=Pour(volume_litres=0.11, strength=Strength(low=0.28, high=0.28))),)


def lightness(hours: float) -> float:
    return RAW_L - DEPTH * (1 - 0.5 ** (hours / HALF_HOURS))


def photo(path: Path, taken: datetime, piece: float, grain: np.ndarray, note: str = "") -> bytes:
    """A JPEG of card, piece and target on grey ground; `note` makes other bytes of the same picture."""
    picture = np.full((HIGH, WIDE, 3), 128.0)
    for role, level in ((Role.CARD, (49.5, 0, 0)), (Role.SAMPLE, (piece, 6, 16)), (Role.TARGET, (TARGET_L, 6, 15))):
        codes = 255 * srgb_encode(np.clip(XYZ_TO_SRGB @ lab_to_xyz(np.array(level, dtype=float)), 0, 1))
        picture[400:2400, BOXES[role] : BOXES[role] + 1000] = codes
    exif = Image.Exif()
    exif[ExifTags.Base.Model] = "box camera"
    exif[ExifTags.Base.ImageDescription] = note
    exif[ExifTags.IFD.Exif] = {ExifTags.Base.DateTimeOriginal: f"{taken:%Y:%m:%d %H:%M:%S}"}
    Image.fromarray(np.clip(picture + grain, 0, 255).astype(np.uint8)).save(path, "JPEG", quality=92, exif=exif)
    return path.read_bytes()


def decode_seconds(data: bytes) -> float:
    begun = time.process_time()
    cv2.imdecode(np.frombuffer(data, np.uint8), cv2.IMREAD_COLOR)
    return time.process_time() - begun


def resident_megabytes() -> float:
    """What this process holds in memory now, by Linux's own count."""
    pages = int(Path("/proc/self/statm").read_text("ascii").split()[1])
    return pages * 4096 / 1e6


class Night:
    """The folder, what was seen of it, and the run as followed so far."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.seen: Seen = look_at(folder, (".jpg",), None).seen
        self.run = Followed()
        self.ratios: list[float] = []

    def poll(self, now: datetime) -> None:
        found = look_at(self.folder, (".jpg",), self.seen)
        self.seen = found.seen
        for path in found.whole:
            data = path.read_bytes()
            decode = decode_seconds(data)
            begun = time.process_time()
            run = follow(self.run, OUTLINES, path.name, data, log=LOG, now=now, zone=UTC)
            if len(run.looks) > len(self.run.looks):
                self.ratios.append((time.process_time() - begun) / max(decode, 1e-4))
            if hashlib.sha256(data).hexdigest() in run.refused:
                # passed over: looked at again, and read once its bytes are others
                self.seen = replace(self.seen, taken=self.seen.taken - {path.name})
            self.run = run


def main() -> None:
    parser = argparse.ArgumentParser(description="Follow a simulated night through a watched folder.")
    parser.add_argument("--photos", type=int, default=PHOTOS)
    count = parser.parse_args().photos
    rng = np.random.default_rng(1)
    coarse, fine = rng.normal(0, 3, (HIGH // 6, 60)), rng.normal(0, 3, (HIGH // 2, WIDE // 2))
    grain = sum(cv2.resize(part, (WIDE, HIGH), interpolation=cv2.INTER_CUBIC) for part in (coarse, fine))[..., None]
    halves = broken = twice = 0
    memory: list[float] = []
    with tempfile.TemporaryDirectory() as home, tempfile.TemporaryDirectory() as outside:
        night = Night(Path(home))
        for number in range(count):
            now = START + (number + 1) * EVERY
            level = lightness((now - START) / timedelta(hours=1))
            data = photo(Path(outside) / "made.jpg", now, level, grain, f"photo {number}")
            path = Path(home) / f"{number:03d}.jpg"
            if number % 20 == 7:  # comes in two halves, a look between them
                halves += 1
                path.write_bytes(data[: len(data) // 2])
                night.poll(now)
            elif number % 20 == 13:  # broken off and stays so for a while: passed over with a sentence
                broken += 1
                path.write_bytes(data[: len(data) // 3])
                for _ in range(3):
                    night.poll(now)
            path.write_bytes(data)
            if number % 20 == 17:  # the phone sends it again under another name
                twice += 1
                (Path(home) / f"{number:03d} again.jpg").write_bytes(data)
            for _ in range(3):
                night.poll(now)
            gc.collect()
            memory.append(resident_megabytes())
    _tell(night, count, memory, (halves, broken, twice))


def _tell(night: Night, count: int, memory: list[float], odd: tuple[int, int, int]) -> None:
    off = [one.look.lightness - lightness(one.look.hours) for one in night.run.looks]
    ratios = np.array(night.ratios)
    quarter = max(1, len(memory) // 4)
    growth = float(np.mean(memory[-quarter:]) - np.mean(memory[quarter : 2 * quarter]))
    print(f"{count} photos, {odd[0]} in two halves, {odd[1]} broken off and sent again, {odd[2]} sent twice")
    print(f"  looks taken                       {len(night.run.looks):8d}  (aim {count})")
    print(f"  sentences about broken photos     {len(night.run.told):8d}  (aim {odd[1]})")
    print(f"  time of a photo over its decode   {np.median(ratios):8.2f}  median, {ratios.max():.2f} most (aim 2)")
    print(f"  off the true L*, most             {np.max(np.abs(off)):8.2f}")
    print(f"  memory, last quarter less second  {growth:8.2f}  MB of {memory[-1]:.0f} (flat)")
    print(f"  first sentence: {night.run.told[0] if night.run.told else '-'}")


if __name__ == "__main__":
    main()
