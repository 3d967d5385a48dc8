"""From an outline on a photo to a summary of its pixels, before any balance.

The pixels are looked at once. The summary keeps what any later balance needs: the distribution of each channel (so
that a tone curve can be laid on exactly), means over tiles (so that the error of the mean can be judged and uneven
light divided out), and a small sample of pixels (for the spread over the face).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, Final

import cv2
import numpy as np
from numpy.typing import NDArray

from colourcore.errors import InputError
from colourcore.image.develop import Photo, turned, turned_back
from colourcore.image.encoding import Codes, Light, codes_to_light
from colourcore.image.grain import NO_FACE, Face, read_face
from colourcore.image.tally import clipped_code, count_pixels, holds_clipped, tile_edges

__all__ = ["Outline", "PatchStatistics", "measure_patch"]

Array = NDArray[np.float64]

SMALLEST_PATCH: Final = 4  # pixels a side
_SAMPLE_SIDE: Final = 64  # pixels of the sample, a side
_DEAD_LIGHT: Final = 3.1e-4  # the first step above zero of an 8-bit sRGB file is 3.04e-4 (IEC 61966-2-1)
_EMPTY_TILE: Final = 0.2  # of the fullest tile's pixels
_PARTITIONS: Final = ((12, 12), (6, 6), (4, 4), (3, 3), (12, 1), (1, 12))
_FEWEST_BLOCKS: Final = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class Outline:
    """Where a patch lies: pixels of the upright photo, origin top left.

    Attributes
    ----------
    x, y, width, height
        The rectangle; for a turned outline its bounding box.
    corners
        Four points, clockwise from the top left one, for an outline that is not upright.
    """

    x: float
    y: float
    width: float
    height: float
    corners: tuple[tuple[float, float], ...] | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PatchStatistics:
    """What the pixels of a patch say before balance. Light is that of the file's own channels, full light 1.

    Attributes
    ----------
    outline
        Where the patch lies.
    pixels
        Number of valid pixels: inside the outline, opaque, no channel clipped.
    clipped_share, crushed_share
        Share, 0 to 1, of the outlined pixels with a channel at its highest code, and with no light in any channel.
    dead_share
        Shape (3,): share of the valid pixels that hold no light in that channel.
    mean, mean_covariance
        Shapes (3,) and (3, 3): mean light over the valid pixels, and its covariance by block resampling.
    levels, shares
        Shape (3, n): the light levels that occur in each channel and the share of the valid pixels at each.
    sample
        Shape (m, 3), float32: light of up to 4096 valid pixels, evenly strewn.
    tile_means, tile_centres, tile_weights
        Shapes (k, 3), (k, 2), (k,): mean light of tiles, their centres in pixels of the upright photo, and their
        shares of the valid pixels.
    code_step
        Shape (3,): how much light one code value is worth at the mean.
    to_xyz
        Shape (3, 3): channel light to XYZ under D65, as the file states it.
    edge_width
        How many pixels an edge near the outline takes (see `sharpness.edge_width`); None where nobody looked.
    face
        Which way the grain runs, and whether a line is drawn across it.
    colourless
        True for a black-and-white picture.
    linear
        True where the file's codes are known to be proportional to light.
    """

    outline: Outline
    pixels: int
    clipped_share: float
    crushed_share: float
    dead_share: Array
    mean: Array
    mean_covariance: Array
    levels: Array
    shares: Array
    sample: Light
    tile_means: Array
    tile_centres: Array
    tile_weights: Array
    code_step: Array
    to_xyz: Array
    colourless: bool
    linear: bool
    face: Face = NO_FACE
    edge_width: float | None = None


def _pixel_box(photo: Photo, outline: Outline) -> tuple[int, int, int, int]:
    sides = (outline.x, outline.y, outline.width, outline.height)
    if not all(math.isfinite(side) for side in sides):
        raise InputError(f"expected four numbers for the patch, got {sides}")
    left, top = round(outline.x), round(outline.y)
    right, bottom = round(outline.x + outline.width), round(outline.y + outline.height)
    if outline.x < 0 or outline.y < 0 or right > photo.width or bottom > photo.height:
        raise InputError(
            f"expected a patch inside the photo of {photo.width} × {photo.height} pixels, got one from "
            f"{outline.x:g}, {outline.y:g} to {outline.x + outline.width:g}, {outline.y + outline.height:g}"
        )
    if right - left < SMALLEST_PATCH or bottom - top < SMALLEST_PATCH:
        raise InputError(
            f"expected a patch of at least {SMALLEST_PATCH} × {SMALLEST_PATCH} pixels, got "
            f"{outline.width:g} × {outline.height:g}"
        )
    return left, top, right, bottom


def _mask(photo: Photo, outline: Outline, box: tuple[int, int, int, int]) -> NDArray[np.uint8] | None:
    """Return 255 inside a turned outline and where the photo is opaque, in the file's order; None when all counts."""
    mask = photo.opaque(*box)
    if outline.corners is None:
        return mask
    left, top, right, bottom = box
    inside = np.zeros((bottom - top, right - left), dtype=np.uint8)
    points = (np.asarray(outline.corners, dtype=np.float64) - (left + 0.5, top + 0.5)) * 16
    cv2.fillConvexPoly(inside, np.round(points).astype(np.int32), (255,), shift=4)
    inside = np.ascontiguousarray(turned_back(inside, photo.turn))
    return inside if mask is None else mask & inside


def _within(codes: Codes, low: Any, high: Any) -> NDArray[np.uint8]:
    return np.asarray(cv2.inRange(np.ascontiguousarray(codes), low, high), dtype=np.uint8)


def _black_pixels(codes: Codes, photo: Photo, mask: NDArray[np.uint8] | None) -> int:
    tables = photo.encoding.tables
    highest = tuple(max(0, int(np.searchsorted(table, _DEAD_LIGHT, side="right")) - 1) for table in tables)
    black = _within(codes, (0, 0, 0), highest)
    return int(cv2.countNonZero(black if mask is None else black & mask))


def _unclipped(codes: Codes, photo: Photo, mask: NDArray[np.uint8] | None) -> tuple[NDArray[np.uint8] | None, float]:
    """Return the mask without clipped pixels, and the share of them."""
    open_mask = _within(codes, (0, 0, 0), (clipped_code(photo) - 1,) * 3)
    total = codes.shape[0] * codes.shape[1] if mask is None else cv2.countNonZero(mask)
    if mask is not None:
        open_mask &= mask
    kept = cv2.countNonZero(open_mask)
    if kept == total or total == 0:
        return mask, 0.0
    return (mask, 1.0) if kept == 0 else (open_mask, 1.0 - kept / total)


def _mean_covariance(counts: Array, sums: Array) -> Array:
    """Return the covariance of the mean by block resampling: shape (3, 3).

    The blocks are resampled at several sizes and as strips in both directions, and the largest answer stands:
    neighbouring pixels are alike, along the grain over the whole sample, and blocks too small would not show it. The
    variance of a resampled mean is known in closed form, so nothing is drawn at random.
    """
    mean = sums.sum(axis=(0, 1)) / counts.sum()
    best = np.zeros((3, 3))
    for rows, columns in _PARTITIONS:
        steps = [
            np.unique(np.linspace(0, n, min(n, k) + 1).astype(int))[:-1]
            for n, k in zip(counts.shape, (rows, columns), strict=True)
        ]
        block_counts = np.add.reduceat(np.add.reduceat(counts, steps[0], axis=0), steps[1], axis=1).ravel()
        block_sums = np.add.reduceat(np.add.reduceat(sums, steps[0], axis=0), steps[1], axis=1).reshape(-1, 3)
        full = block_counts > _EMPTY_TILE * block_counts.max()
        share = block_counts[full] / block_counts[full].sum()
        if full.sum() < _FEWEST_BLOCKS:
            continue
        gap = block_sums[full] / block_counts[full, None] - mean
        alike = float(np.sum(share**2))  # one over the number of blocks of equal size
        candidate = (share[:, None] * gap).T @ gap * alike / (1 - alike)
        if np.trace(candidate) > np.trace(best):
            best = candidate
    return best


def _pixel_sample(codes: Codes, photo: Photo, mask: NDArray[np.uint8] | None) -> Light:
    steps = tuple(slice(None, None, max(1, math.ceil(side / _SAMPLE_SIDE))) for side in codes.shape[:2])
    light = codes_to_light(np.ascontiguousarray(codes[steps]), photo.encoding).reshape(-1, 3)
    if mask is None:
        return light
    return light[mask[steps].ravel() > 0]


def _centres(box: tuple[int, int, int, int]) -> Array:
    left, top, right, bottom = box
    middle = [np.convolve(tile_edges(side), [0.5, 0.5], "valid") for side in (right - left, bottom - top)]
    x, y = np.meshgrid(middle[0] + left, middle[1] + top)
    return np.stack([x, y], axis=-1)


def _read_only(array: NDArray[Any]) -> NDArray[Any]:
    array.setflags(write=False)
    return array


def measure_patch(photo: Photo, outline: Outline) -> PatchStatistics:
    """Return what the pixels inside the outline say, before balance.

    The mean is exact: no pixel is left out but clipped and transparent ones. When every pixel is clipped, the mean
    is that of the clipped pixels and `pixels` is 0, so that the patch can be refused with its figures.

    Raises
    ------
    InputError
        When the outline lies partly outside the photo, is smaller than 4 × 4 pixels or not a number; without file
        and line.
    """
    box = _pixel_box(photo, outline)
    codes, mask = photo.codes(*box), _mask(photo, outline, box)
    tally, clipped_share = count_pixels(codes, photo, mask), 0.0
    if holds_clipped(tally, photo):
        mask, clipped_share = _unclipped(codes, photo, mask)
        tally = count_pixels(codes, photo, mask)
    valid = float(tally.counts.sum())
    if valid == 0:
        raise InputError(
            "expected a patch with pixels in it, got one that is wholly transparent or outside its corners"
        )
    mean = tally.sums.sum(axis=(0, 1)) / valid
    dead = np.where(tally.levels <= _DEAD_LIGHT, tally.totals, 0).sum(axis=1) / valid
    counts, sums = turned(tally.counts, photo.turn), turned(tally.sums, photo.turn)
    full = counts > _EMPTY_TILE * counts.max()
    step = [np.interp(m, t[:-1], np.diff(t)) for m, t in zip(mean, photo.encoding.tables.astype(float), strict=True)]
    return PatchStatistics(
        outline=outline,
        pixels=0 if clipped_share == 1.0 else int(valid),
        clipped_share=clipped_share,
        crushed_share=_black_pixels(codes, photo, mask) / valid if dead.all() else 0.0,
        dead_share=_read_only(dead),
        mean=_read_only(mean),
        mean_covariance=_read_only(_mean_covariance(counts, sums)),
        levels=_read_only(tally.levels),
        shares=_read_only(tally.totals / valid),
        sample=_read_only(_pixel_sample(codes, photo, mask)),
        tile_means=_read_only(sums[full] / counts[full][:, None]),
        tile_centres=_read_only(_centres(box)[full]),
        tile_weights=_read_only(counts[full] / counts[full].sum()),
        code_step=_read_only(np.asarray(step)),
        to_xyz=photo.encoding.to_xyz,
        colourless=photo.colourless,
        linear=photo.encoding.linear,
        face=_face(codes, photo, mask),
    )


def _face(codes: Codes, photo: Photo, mask: NDArray[np.uint8] | None) -> Face:
    green = np.asarray(turned(codes[..., 1], photo.turn))
    if photo.turn != 1:
        green = np.ascontiguousarray(green)
    return read_face(green, None if mask is None else np.ascontiguousarray(turned(mask, photo.turn)))
