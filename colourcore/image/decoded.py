"""What comes out of a picture file before its codes are given a meaning."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from colourcore.errors import InputError

__all__ = ["PIXEL_LIMIT", "Decoded", "check_size"]

Codes = NDArray[np.unsignedinteger[Any]]

PIXEL_LIMIT: Final = 250_000_000
"""Most pixels that a picture may have: phones reach 200 megapixels, a decompression bomb claims more."""

_SMALLEST_SIDE: Final = 16


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Decoded:
    """A picture as its file holds it.

    Attributes
    ----------
    pixels
        Shape (height, width) for grey or (height, width, channels) with 2 (grey, alpha), 3 or 4 (RGB, alpha)
        channels; uint8 or uint16, not turned.
    bits
        Bits a channel: full light has the code 2**bits - 1.
    turn
        The turn still to be made, 1 to 8, as EXIF counts them.
    profile, exif
        Embedded ICC profile and EXIF block; empty when there is none.
    code_points
        Primaries and transfer curve of an nclx box (ITU-T H.273), or None.
    gamma
        The exponent of a PNG's gAMA chunk, or None.
    to_srgb
        Shape (3, 3), for camera raw alone: the camera's channels, balanced as it was set, to linear sRGB. The codes
        are then proportional to light.
    notes
        What the user should know about the way this file was read.
    """

    pixels: Codes
    bits: int
    turn: int = 1
    profile: bytes = b""
    exif: bytes = b""
    code_points: tuple[int, int] | None = None
    gamma: float | None = None
    to_srgb: NDArray[np.float64] | None = None
    notes: tuple[str, ...] = ()


def check_size(width: int, height: int) -> None:
    """Raise InputError for a picture of more pixels than can be read, or too few to hold a patch."""
    if width * height > PIXEL_LIMIT:
        raise InputError(
            f"expected a picture of at most {PIXEL_LIMIT // 1_000_000} megapixels, got {width} × {height} pixels"
        )
    if min(width, height) < _SMALLEST_SIDE:
        raise InputError(
            f"expected a picture of at least {_SMALLEST_SIDE} pixels a side, got {width} × {height} pixels"
        )
