"""Counting the pixels of a patch, tile by tile: exact means and distributions without a second look."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import cv2
import numpy as np
from numpy.typing import NDArray

from colourcore.image.develop import Photo
from colourcore.image.encoding import Codes, Light, codes_to_light

__all__ = ["Tally", "clipped_code", "count_pixels", "holds_clipped", "tile_edges"]

Array = NDArray[np.float64]

_TILES: Final = 12  # a side
_TILE_PIXELS: Final = 8  # at least, a side
_LEVELS: Final = 2048
_CLIPPED: Final = 0.995  # of the highest code


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Tally:
    """Valid pixels of each tile, their light, and how it is distributed in each channel."""

    counts: Array  # (rows, columns) of tiles, valid pixels
    sums: Array  # (rows, columns, 3), light
    levels: Array  # (3, n)
    totals: Array  # (3, n), valid pixels


def tile_edges(side: int) -> list[int]:
    """Return where the tiles of a side of so many pixels begin and end."""
    tiles = min(_TILES, max(1, side // _TILE_PIXELS))
    return [round(edge) for edge in np.linspace(0, side, tiles + 1)]


def _tally_codes(codes: Codes, tables: Light, mask: NDArray[np.uint8] | None) -> Tally:
    """Count 8-bit codes tile by tile: exact, and no pixel becomes a float."""
    rows, columns = tile_edges(codes.shape[0]), tile_edges(codes.shape[1])
    counted = np.empty((len(rows) - 1, len(columns) - 1, 3, 256), dtype=np.float32)
    for i in range(len(rows) - 1):
        for j in range(len(columns) - 1):
            where = (slice(rows[i], rows[i + 1]), slice(columns[j], columns[j + 1]))
            tile, part = codes[where], None if mask is None else mask[where]
            for channel in range(3):
                counted[i, j, channel] = cv2.calcHist([tile], [channel], part, [256], [0, 256]).ravel()
    levels = tables.astype(np.float64)
    return Tally(
        counts=counted[:, :, 0].sum(axis=-1, dtype=np.float64),
        sums=np.einsum("ijck,ck->ijc", counted, levels),
        levels=levels,
        totals=counted.sum(axis=(0, 1), dtype=np.float64),
    )


def _tally_light(codes: Codes, photo: Photo, mask: NDArray[np.uint8] | None) -> Tally:
    """Sum deeper codes as light, one row of tiles at a time."""
    rows, columns = tile_edges(codes.shape[0]), tile_edges(codes.shape[1])
    counts, sums = np.zeros((len(rows) - 1, len(columns) - 1)), np.zeros((len(rows) - 1, len(columns) - 1, 3))
    totals, weighted = np.zeros((3, _LEVELS)), np.zeros((3, _LEVELS))
    for i in range(len(rows) - 1):
        light = codes_to_light(codes[rows[i] : rows[i + 1]], photo.encoding)
        part = np.ones(light.shape[:2], dtype=bool) if mask is None else mask[rows[i] : rows[i + 1]] > 0
        light = np.where(part[..., None], light, np.float32(0))
        counts[i] = np.add.reduceat(part.sum(axis=0, dtype=np.float64), columns[:-1])
        sums[i] = np.add.reduceat(light.sum(axis=0, dtype=np.float64), columns[:-1])
        for channel in range(3):
            valid = light[..., channel][part]
            place = (np.sqrt(np.clip(valid, 0, 1)) * (_LEVELS - 1)).astype(np.intp)
            totals[channel] += np.bincount(place, minlength=_LEVELS)
            weighted[channel] += np.bincount(place, weights=valid, minlength=_LEVELS)
    middle = (np.arange(_LEVELS) / (_LEVELS - 1)) ** 2
    levels = np.where(totals > 0, weighted / np.maximum(totals, 1), middle)
    return Tally(counts=counts, sums=sums, levels=levels, totals=totals)


def count_pixels(codes: Codes, photo: Photo, mask: NDArray[np.uint8] | None) -> Tally:
    """Return the counts of a patch: `codes` in the file's order, counted where `mask` is not 0."""
    if codes.dtype == np.uint8 and photo.encoding.profile is None:
        return _tally_codes(codes, photo.encoding.tables, mask)
    return _tally_light(codes, photo, mask)


def clipped_code(photo: Photo) -> int:
    """Return the lowest code that counts as clipped."""
    return math.ceil(_CLIPPED * (len(photo.encoding.tables[0]) - 1))


def holds_clipped(tally: Tally, photo: Photo) -> bool:
    """Tell from the counted levels, without another look at the pixels, whether any may be clipped."""
    limits = photo.encoding.tables[:, clipped_code(photo)]
    if photo.encoding.profile is not None:
        return True
    near = limits if photo.pixels.dtype == np.uint8 else limits - 2 / _LEVELS  # half of a level is that wide
    return bool(np.any(tally.totals[tally.levels >= near[:, None]]))
