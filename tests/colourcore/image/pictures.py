"""Pictures made for the tests: a card on the left, wood on the right, in every format that comes in."""

from __future__ import annotations

import io
import struct
from typing import Any

import imagecodecs
import numpy as np
import pillow_heif
import tifffile
from numpy.typing import NDArray
from PIL import Image

from colourcore.image.pixels import Outline

CARD = Outline(x=5, y=5, width=90, height=110)
WOOD = Outline(x=105, y=5, width=90, height=110)
GREY_CODE = 118  # sRGB code of 18 % grey, 117.65 (IEC 61966-2-1)
WOOD_CODES = (150, 110, 70)


def bench(card: Any = GREY_CODE, wood: Any = WOOD_CODES, *, noise: float = 0.0, seed: int = 1) -> NDArray[np.uint8]:
    """A picture of 200 × 120 pixels: the card fills the left half, the wood the right."""
    picture = np.empty((120, 200, 3), dtype=np.float64)
    picture[:, :100], picture[:, 100:] = card, wood
    if noise:
        picture += np.random.default_rng(seed).normal(0, noise, picture.shape)
    return np.clip(np.round(picture), 0, 255).astype(np.uint8)


def deep(picture: NDArray[np.uint8]) -> NDArray[np.uint16]:
    """The same picture with 16 bits a channel."""
    return picture.astype(np.uint16) * 257


def saved(picture: NDArray[Any] | Image.Image, kind: str, **options: Any) -> bytes:
    """The file that Pillow writes."""
    stream = io.BytesIO()
    image = picture if isinstance(picture, Image.Image) else Image.fromarray(picture)
    image.save(stream, kind, **options)
    return stream.getvalue()


def png(picture: NDArray[Any], **options: Any) -> bytes:
    return bytes(imagecodecs.png_encode(picture)) if picture.dtype == np.uint16 else saved(picture, "PNG", **options)


def jpeg(picture: NDArray[Any], **options: Any) -> bytes:
    return saved(picture, "JPEG", **{"quality": 96, "subsampling": 0, **options})


def tiff(picture: NDArray[Any], **options: Any) -> bytes:
    stream = io.BytesIO()
    tifffile.imwrite(stream, picture, **{"photometric": "rgb", **options})
    return stream.getvalue()


def heic(picture: NDArray[Any], **options: Any) -> bytes:
    stream = io.BytesIO()
    mode = "RGB" if picture.dtype == np.uint8 else "RGB;16"
    size = (picture.shape[1], picture.shape[0])
    pillow_heif.from_bytes(mode=mode, size=size, data=np.ascontiguousarray(picture).tobytes()).save(
        stream, **{"quality": -1, **options}
    )
    return stream.getvalue()


def _tag_xyz(values: Any) -> bytes:
    return b"XYZ \0\0\0\0" + struct.pack(">3i", *[round(v * 65536) for v in values])


def _profile(tags: dict[bytes, bytes], space: bytes, connection: bytes) -> bytes:
    """An ICC profile of version 4 around the given tags. Layout: ICC.1, section 7."""
    table, body = struct.pack(">I", len(tags)), b""
    start = 128 + 4 + 12 * len(tags)
    for name, content in tags.items():
        table += name + struct.pack(">2I", start + len(body), len(content))
        body += content + b"\0" * (-len(content) % 4)
    size = start + len(body)
    header = struct.pack(">I4sI4s4s4s12x4s", size, b"\0" * 4, 0x04200000, b"mntr", space, connection, b"acsp")
    header += b"\0" * 28 + struct.pack(">3i", 63190, 65536, 54061)
    return header.ljust(128, b"\0") + table + body


def _description(text: str) -> bytes:
    encoded = text.encode("utf-16-be")
    return b"mluc\0\0\0\0" + struct.pack(">2I2s2s2I", 1, 12, b"en", b"US", len(encoded), 28) + encoded


def display_p3_profile() -> bytes:
    """What a phone's profile looks like: P3 primaries adapted to D50, the sRGB curve as a parametric curve."""
    # columns of Display P3 in the ICC connection space, from memory; the test compares with colour-science's own
    columns = {b"rXYZ": (0.51512, 0.24120, -0.00105), b"gXYZ": (0.29198, 0.69225, 0.04189)}
    columns[b"bXYZ"] = (0.15710, 0.06657, 0.78407)
    curve = b"para\0\0\0\0" + struct.pack(">2H5i", 3, 0, *[round(v * 65536) for v in _SRGB_CURVE])
    tags = {b"desc": _description("Display P3"), b"wtpt": _tag_xyz((0.9642, 1.0, 0.8249))}
    tags |= {name: _tag_xyz(values) for name, values in columns.items()}
    tags |= dict.fromkeys((b"rTRC", b"gTRC", b"bTRC"), curve)
    return _profile(tags, b"RGB ", b"XYZ ")


_SRGB_CURVE = (2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045)  # IEC 61966-2-1


def lookup_profile() -> bytes:
    """A profile whose channels act on one another: a table from RGB to L*a*b* on a grid of two, lut16Type."""
    corners = np.array([[r, g, b] for r in (0, 1) for g in (0, 1) for b in (0, 1)], dtype=np.float64)
    lightness = 100 * corners.mean(axis=1) ** 1.5
    a, b = 40 * (corners[:, 0] - corners[:, 1]), 40 * (corners[:, 1] - corners[:, 2])
    codes = np.stack([lightness * 652.8, (a + 128) * 256, (b + 128) * 256], axis=-1)  # ICC.1, legacy 16-bit Lab
    ends = struct.pack(">2H", 0, 65535)
    table = b"mft2\0\0\0\0" + struct.pack(">4B9i2H", 3, 3, 2, 0, *[65536, 0, 0, 0, 65536, 0, 0, 0, 65536], 2, 2)
    table += ends * 3 + codes.round().astype(">u2").tobytes() + ends * 3
    tags = {b"desc": _description("grid of two"), b"wtpt": _tag_xyz((0.9642, 1.0, 0.8249)), b"A2B0": table}
    return _profile(tags, b"RGB ", b"Lab ")


def dng(
    light: NDArray[np.float64],
    *,
    to_camera: Any = ((0.8, 0.1, -0.05), (-0.2, 1.1, 0.1), (0.0, 0.1, 0.7)),
    neutral: Any = (0.5, 1.0, 0.6),
    black: int = 512,
    white: int = 16383,
    turn: int = 1,
) -> bytes:
    """A raw file with the tags that it needs, around linear camera light of shape (height, width, 3), 0 to 1.

    Tags: DNG specification 1.4. `to_camera` is ColorMatrix1, XYZ to camera; `neutral` the camera's own white.
    """

    def rational(values: Any) -> tuple[int, ...]:
        return tuple(part for value in values for part in (round(value * 10000), 10000))

    height, width = light.shape[:2]
    mosaic = np.empty((height, width))
    for row, column, channel in ((0, 0, 0), (0, 1, 1), (1, 0, 1), (1, 1, 2)):
        mosaic[row::2, column::2] = light[row::2, column::2, channel]
    codes = np.round(black + mosaic * (white - black)).clip(0, white).astype(np.uint16)
    tags = [
        (50706, "B", 4, (1, 4, 0, 0), True),
        (50707, "B", 4, (1, 1, 0, 0), True),
        (50708, "s", 0, "Plain Camera", True),
        (33421, "H", 2, (2, 2), True),
        (33422, "B", 4, (0, 1, 1, 2), True),
        (50714, "H", 1, black, True),
        (50717, "H", 1, white, True),
        (50721, "2i", 9, rational(np.ravel(to_camera)), True),
        (50728, "2I", 3, rational(neutral), True),
        (50778, "H", 1, 21, True),
        (271, "s", 0, "Plain", True),
        (272, "s", 0, "Plain Camera", True),
        (274, "H", 1, turn, True),
    ]
    stream = io.BytesIO()
    tifffile.imwrite(stream, codes, photometric=32803, extratags=tags, metadata=None)
    return stream.getvalue()
