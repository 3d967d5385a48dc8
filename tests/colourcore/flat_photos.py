"""Photos of flat patches whose colours are known beforehand: for tests about tables, not about wood."""

from __future__ import annotations

import io
from collections.abc import Mapping, Sequence
from fractions import Fraction
from pathlib import Path

import numpy as np
from PIL import ExifTags, Image
from PIL.TiffImagePlugin import IFDRational

from colourcore.colour.spaces import XYZ_TO_SRGB, lab_to_xyz, srgb_encode
from colourcore.job.sheet import COLUMNS

__all__ = ["CARD_LAB", "flat_photo", "patch_box", "write_job"]

CARD_LAB = (49.5, 0.0, 0.0)
SIDE = 60


def patch_box(number: int) -> str:
    """Return x,y,width,height of the patch of that number, inside its coloured square."""
    return f"{number * SIDE + 10},10,40,40"


def flat_photo(
    labs: Sequence[tuple[float, float, float]],
    *,
    light: Sequence[float] = (1.0, 1.0, 1.0),
    noise: float = 0.8,
    contrast: float = 1.0,
    seconds: Fraction | None = None,
    taken: str = "",
) -> bytes:
    """Return a PNG with a card and then one square for each colour, with a shutter time and a clock if given.

    The light tints linear sRGB; a contrast other than 1 bends the picture about the card, as cameras do.
    """
    squares = []
    for lab in (CARD_LAB, *labs):
        linear = XYZ_TO_SRGB @ lab_to_xyz(lab) * np.asarray(light)
        linear = 0.18 * (np.maximum(linear, 0) / 0.18) ** contrast
        squares.append(np.broadcast_to(255 * srgb_encode(np.clip(linear, 0, 1)), (SIDE, SIDE, 3)))
    picture = np.hstack(squares)
    grain = np.random.default_rng(len(labs)).normal(0, noise, picture.shape)
    notes: dict[int, object] = {}
    if seconds is not None:
        notes[ExifTags.Base.ExposureTime] = IFDRational(seconds.numerator, seconds.denominator)
    if taken:
        notes[ExifTags.Base.DateTimeOriginal] = taken
    exif = Image.Exif()
    exif[ExifTags.Base.Model] = "box camera"
    exif[ExifTags.IFD.Exif] = notes
    file = io.BytesIO()
    Image.fromarray(np.clip(picture + grain + 0.5, 0, 255).astype(np.uint8)).save(file, "PNG", exif=exif)
    return file.getvalue()


def write_job(
    folder: Path,
    samples: Mapping[float, tuple[float, float, float]],
    *,
    target: tuple[float, float, float] | None = None,
    light: Sequence[float] = (1.0, 1.0, 1.0),
    board: str = "A",
    zone: str = "heartwood",
) -> Path:
    """Write a photo and a sheet of samples by hours, with a target where one is given; return the sheet's path."""
    labs = [*samples.values(), *([target] if target else [])]
    (folder / "bench.png").write_bytes(flat_photo(labs, light=light))
    rows = [",".join(COLUMNS), f"bench.png,card,{patch_box(0)},,,,,,,"]
    for number, hours in enumerate(samples, 1):
        rows.append(f"bench.png,sample,{patch_box(number)},{hours:g},{board},{zone},,,,")
    if target:
        rows.append(f"bench.png,target,{patch_box(len(samples) + 1)},,,,settle,,,")
    path = folder / "chest.csv"
    path.write_text("\n".join(rows) + "\n", encoding="utf-8")
    return path
