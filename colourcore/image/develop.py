"""From a photo file to light: the only way in for pictures.

The file is decoded once and kept as code values, unturned; only the part that is asked for becomes linear light. The
picture on a screen is a reduced one, numbers never are.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any, Final

import cv2
import numpy as np
from numpy.typing import NDArray

from colourcore.colour.spaces import SRGB_TO_XYZ, XYZ_TO_SRGB, srgb_encode
from colourcore.errors import InputError
from colourcore.image.decoded import Decoded
from colourcore.image.encoding import (
    Codes,
    Encoding,
    Light,
    codes_to_light,
    gamma_encoding,
    nclx_encoding,
    profile_encoding,
    srgb_encoding,
)
from colourcore.image.exif import Exposure, read_exif
from colourcore.image.formats import decode

__all__ = ["Photo", "declared_linear", "open_photo", "screen_codes", "turned", "turned_back"]

_SRGB_GAMMA: Final = 0.45455  # the gAMA that PNG's standard pairs with sRGB
_GAMMA_TOLERANCE: Final = 0.01
_SCREEN_STEPS: Final = 65535
_BACK: Final = {6: 8, 8: 6}  # every other turn is its own inverse


def turned(array: NDArray[Any], turn: int) -> NDArray[Any]:
    """Return the array turned upright, as a view.

    Parameters
    ----------
    array
        Shape (height, width, …), as the file holds it.
    turn
        1 to 8, as EXIF counts the turns (CIPA DC-008).

    >>> turned(np.array([[1, 2]]), 6).tolist()
    [[1], [2]]
    """
    if turn in (5, 6, 7, 8):
        array = np.swapaxes(array, 0, 1)
    if turn in (3, 4, 7, 8):
        array = array[::-1]
    if turn in (2, 3, 6, 7):
        array = array[:, ::-1]
    return array


def turned_back(array: NDArray[Any], turn: int) -> NDArray[Any]:
    """Return an upright array as the file would hold it, as a view: the inverse of `turned`.

    >>> turned_back(np.array([[1], [2]]), 6).tolist()
    [[1, 2]]
    """
    return turned(array, _BACK.get(turn, turn))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Photo:
    """A decoded photo: code values, what they mean, and what the camera wrote beside them.

    Attributes
    ----------
    name
        As the user wrote it.
    width, height
        In pixels, upright.
    bits
        Bits a channel.
    notes
        What was used to understand the file, in sentences' parts.
    taken
        The camera's clock at the exposure, without a time zone, or None.
    camera
        Maker and model as the file states them, or empty.
    exposure
        How the camera was set.
    pixels
        Code values as the file holds them, unturned: (height, width) or (height, width, channels).
    turn
        The turn that makes them upright, as EXIF counts them.
    encoding
        What the codes mean.
    """

    name: str
    width: int
    height: int
    bits: int
    notes: tuple[str, ...]
    taken: datetime | None
    camera: str
    exposure: Exposure
    pixels: Codes
    turn: int
    encoding: Encoding

    @property
    def colourless(self) -> bool:
        """True for a black-and-white picture: lightness can be read, colour cannot."""
        return self.pixels.ndim == 2 or self.pixels.shape[2] < 3

    def codes(self, left: int, top: int, right: int, bottom: int) -> Codes:
        """Return the colour codes of a box of the upright photo, in the order of the file (see `turned`).

        Shape (height, width, 3), or with the sides swapped where the photo lies on its side; a view where it can be.
        """
        part = turned_back(turned(self.pixels, self.turn)[top:bottom, left:right], self.turn)
        if not self.colourless:
            return part[..., :3]
        grey = part if part.ndim == 2 else part[..., 0]
        return np.repeat(grey[..., None], 3, axis=2)

    def opaque(self, left: int, top: int, right: int, bottom: int) -> NDArray[np.uint8] | None:
        """Return 255 where the photo is not transparent, in the order of `codes`; None without transparency."""
        if self.pixels.ndim == 2 or self.pixels.shape[2] in (1, 3):
            return None
        part = turned_back(turned(self.pixels, self.turn)[top:bottom, left:right], self.turn)
        return np.asarray((part[..., -1] == 2**self.bits - 1) * 255, dtype=np.uint8)

    def reduced_light(self, longest_side: int) -> Light:
        """Return the whole photo, upright, as channel light with its longer side at most `longest_side` pixels.

        For pictures on a screen and for finding things, never for readings.
        """
        scale = min(1.0, longest_side / max(self.width, self.height))
        size = (max(1, round(self.pixels.shape[1] * scale)), max(1, round(self.pixels.shape[0] * scale)))
        small = self.pixels if scale == 1.0 else cv2.resize(self.pixels, size, interpolation=cv2.INTER_AREA)
        if small.ndim == 2 or small.shape[2] < 3:
            grey = small if small.ndim == 2 else small[..., 0]
            small = np.repeat(grey[..., None], 3, axis=2)
        return codes_to_light(np.ascontiguousarray(turned(small[..., :3], self.turn)), self.encoding)

    def reduced(self, longest_side: int) -> Photo:
        """Return the photo with fewer pixels, its longer side at most `longest_side`, its codes of the same meaning.

        For pictures, never for readings. Nothing of the large photo is held on to.
        """
        scale = min(1.0, longest_side / max(self.width, self.height))
        size = (max(1, round(self.pixels.shape[1] * scale)), max(1, round(self.pixels.shape[0] * scale)))
        small = self.pixels.copy()
        if scale < 1.0:
            small = np.asarray(cv2.resize(self.pixels, size, interpolation=cv2.INTER_AREA), dtype=self.pixels.dtype)
        small.setflags(write=False)
        width, height = small.shape[1::-1] if self.turn < 5 else small.shape[:2]
        return replace(self, pixels=small, width=width, height=height)

    def preview(self, longest_side: int) -> NDArray[np.uint8]:
        """Return the photo for a screen: sRGB codes of shape (height, width, 3), upright, as the camera balanced it."""
        return screen_codes(self.reduced_light(longest_side), self.encoding.to_xyz)


def screen_codes(light: Light, to_xyz: NDArray[np.float64]) -> NDArray[np.uint8]:
    """Return sRGB codes of shape (height, width, 3) for channel light of that shape and its matrix to XYZ under D65."""
    linear = cv2.transform(light, np.asarray(XYZ_TO_SRGB @ to_xyz, dtype=np.float32))
    steps = np.clip(linear * _SCREEN_STEPS + 0.5, 0, _SCREEN_STEPS).astype(np.uint16)
    table = np.round(255 * srgb_encode(np.arange(_SCREEN_STEPS + 1) / _SCREEN_STEPS)).astype(np.uint8)
    return np.asarray(table[steps], dtype=np.uint8)


def declared_linear(photo: Photo) -> Photo:
    """Return the photo with its codes read as proportional to light, because the user says that they are.

    Its primaries stay what the file states.
    """
    straight = gamma_encoding(photo.bits, 1.0, name="declared linear")
    encoding = replace(straight, to_xyz=photo.encoding.to_xyz)
    notes = (*photo.notes, "declared linear: no tone curve is undone")
    return replace(photo, encoding=encoding, notes=notes)


def _meaning(decoded: Decoded) -> tuple[Encoding, str]:
    if decoded.to_srgb is not None:
        straight = gamma_encoding(decoded.bits, 1.0, name="camera raw")
        encoding = replace(straight, to_xyz=SRGB_TO_XYZ @ decoded.to_srgb)
        return encoding, "camera raw: linear, colours by the matrix for this camera"
    grey = decoded.pixels.ndim == 2 or decoded.pixels.shape[2] < 3
    if decoded.profile and not grey:
        encoding = profile_encoding(decoded.profile, decoded.bits)
        return encoding, encoding.name
    if decoded.code_points is not None:
        encoding = nclx_encoding(*decoded.code_points, decoded.bits)
        return encoding, f"colour {encoding.name}"
    if decoded.gamma is not None and abs(decoded.gamma - _SRGB_GAMMA) > _GAMMA_TOLERANCE and decoded.gamma > 0:
        encoding = gamma_encoding(decoded.bits, 1 / decoded.gamma, name=f"gamma {1 / decoded.gamma:.2f}")
        return encoding, f"tone curve of {encoding.name}, stated in the file"
    return srgb_encoding(decoded.bits), "no colour profile: taken as sRGB"


def open_photo(data: bytes, name: str) -> Photo:
    """Return a decoded photo.

    Parameters
    ----------
    data
        The whole file: JPEG, PNG, TIFF, HEIC or camera raw.
    name
        What the user calls it; errors carry it.

    Raises
    ------
    InputError
        When the file is no picture, is damaged or truncated, is too large or too small, is animated, is not RGB or
        grey, or carries a colour profile that cannot be used.
    """
    try:
        decoded = decode(data, name)
        encoding, meaning = _meaning(decoded)
    except InputError as error:
        raise error.at(file=name) from error
    notes = [meaning, *decoded.notes]
    camera = read_exif(decoded.exif)
    if camera.taken is None and not camera.camera:
        notes.append("no camera notes: time and exposure unknown")
    if camera.uncalibrated and not decoded.profile:
        notes.append("the camera marked its colours as not sRGB but added no profile")
    if camera.flash:
        notes.append("taken with flash")
    grey = decoded.pixels.ndim == 2 or decoded.pixels.shape[2] < 3
    if grey:
        notes.append("black and white: lightness only")
    pixels = decoded.pixels
    pixels.setflags(write=False)
    height, width = pixels.shape[:2] if decoded.turn < 5 else pixels.shape[1::-1]
    return Photo(
        name=name,
        width=width,
        height=height,
        bits=decoded.bits,
        notes=tuple(notes),
        taken=camera.taken,
        camera=camera.camera,
        exposure=camera.exposure,
        pixels=pixels,
        turn=decoded.turn,
        encoding=encoding,
    )
