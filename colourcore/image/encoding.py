"""What the numbers in a photo's file mean: from code values to light.

A file states its meaning by a colour profile (ICC, read through LittleCMS), by code points (nclx in HEIC), or not at
all, in which case it is taken as sRGB and that is said. Where the three channels act independently of one another,
which is so for every phone and camera profile, the meaning is three tables and one matrix; a profile of another kind
is carried out pixel by pixel.
"""

from __future__ import annotations

import functools
import io
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

import cv2
import numpy as np
from numpy.typing import ArrayLike, NDArray

from colourcore.colour.spaces import SRGB_TO_XYZ, WHITE_D65, XYZ_TO_SRGB, chromatic_adaptation, srgb_decode
from colourcore.errors import InputError

__all__ = ["Encoding", "codes_to_light", "gamma_encoding", "nclx_encoding", "profile_encoding", "srgb_encoding"]

Array = NDArray[np.float64]
Light = NDArray[np.float32]
Codes = NDArray[np.unsignedinteger[Any]]

ICC_WHITE: Final = (0.9642, 1.0, 0.8249)  # ICC.1, the white of the profile connection space
_SAME_LIGHT: Final = 5e-4  # of full light: tables that leave no more than this agree with the profile itself

# Chromaticities x, y of red, green, blue; the white is D65 in each. Source: ITU-T H.273, code points 1, 9, 12.
_PRIMARIES: Final[Mapping[int, tuple[str, tuple[tuple[float, float], ...]]]] = {
    1: ("sRGB", ((0.640, 0.330), (0.300, 0.600), (0.150, 0.060))),
    9: ("BT.2020", ((0.708, 0.292), (0.170, 0.797), (0.131, 0.046))),
    12: ("Display P3", ((0.680, 0.320), (0.265, 0.690), (0.150, 0.060))),
}
_UNSPECIFIED: Final = 2  # ITU-T H.273
_SRGB_LIKE_CURVES: Final = frozenset({1, 2, 6, 13, 14, 15})  # ITU-T H.273: shown on screens as sRGB is
_LINEAR_CURVE: Final = 8  # ITU-T H.273


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Encoding:
    """How the code values of a file become light.

    Attributes
    ----------
    name
        What the user is told, for example "colour profile Display P3".
    tables
        Shape (3, number of codes), float32: light of each channel, 0 to 1, for each code.
    to_xyz
        Shape (3, 3): channel light to XYZ under D65, Y of white 1.
    profile
        The ICC profile, when its channels do not act independently; the tables are then those of sRGB and serve only
        to tell bright from dark.
    linear
        True where the codes are proportional to light, so that no tone curve hides in the file.
    """

    name: str
    tables: Light
    to_xyz: Array
    profile: bytes | None = None
    linear: bool = False


def _frozen(array: NDArray[Any]) -> NDArray[Any]:
    array.setflags(write=False)
    return array


def _tables(curve: NDArray[Any]) -> Light:
    return _frozen(np.ascontiguousarray(np.broadcast_to(curve, (3, curve.shape[-1])), dtype=np.float32))


@functools.lru_cache(maxsize=8)
def srgb_encoding(bits: int, *, name: str = "sRGB") -> Encoding:
    """Return the meaning of sRGB files with the given number of bits a channel (1 to 16). Source: IEC 61966-2-1.

    >>> round(float(srgb_encoding(8).tables[0, 118]), 4)
    0.1812
    """
    top = 2**bits - 1
    return Encoding(name=name, tables=_tables(srgb_decode(np.arange(top + 1) / top)), to_xyz=SRGB_TO_XYZ)


@functools.lru_cache(maxsize=8)
def gamma_encoding(bits: int, gamma: float, *, name: str) -> Encoding:
    """Return the meaning of files whose codes are light to the power 1/gamma, with the primaries of sRGB.

    A gamma of 1 is a linear file.

    >>> round(float(gamma_encoding(8, 1.0, name="linear").tables[1, 51]), 3)
    0.2
    """
    top = 2**bits - 1
    tables = _tables((np.arange(top + 1) / top) ** gamma)
    return Encoding(name=name, tables=tables, to_xyz=SRGB_TO_XYZ, linear=gamma == 1.0)


def _primaries_to_xyz(chromaticities: ArrayLike) -> Array:
    xy = np.asarray(chromaticities, dtype=np.float64)
    columns = np.stack([xy[:, 0] / xy[:, 1], np.ones(3), (1 - xy.sum(axis=1)) / xy[:, 1]])
    return np.asarray(columns * np.linalg.solve(columns, WHITE_D65), dtype=np.float64)


def nclx_encoding(primaries: int, transfer: int, bits: int) -> Encoding:
    """Return the meaning of a HEIC file that states it by code points. Source: ITU-T H.273.

    Raises
    ------
    InputError
        For curves made for high dynamic range screens, whose codes do not stand for light on a card.
    """
    if transfer not in _SRGB_LIKE_CURVES and transfer != _LINEAR_CURVE:
        raise InputError(
            f"expected a picture with an ordinary tone curve, got one for high dynamic range screens (curve {transfer})"
            "; save or send it as an ordinary JPEG"
        )
    stated = _PRIMARIES.get(1 if primaries == _UNSPECIFIED else primaries)
    if stated is None:
        raise InputError(f"expected sRGB, Display P3 or BT.2020 colour, got primaries of code point {primaries}")
    name, chromaticities = stated
    if transfer == _LINEAR_CURVE:
        base = gamma_encoding(bits, 1.0, name=f"{name}, linear")
    else:
        base = srgb_encoding(bits, name=f"{name}, stated in the file")
    matrix = _frozen(_primaries_to_xyz(chromaticities))
    return Encoding(name=base.name, tables=base.tables, to_xyz=matrix, linear=base.linear)


def _profile_name(profile: bytes) -> str:
    from PIL import ImageCms  # kept out of the start: most runs meet no profile

    try:
        text = ImageCms.getProfileDescription(ImageCms.ImageCmsProfile(io.BytesIO(profile)))
    except (OSError, ImageCms.PyCMSError):
        return "without a name"
    return " ".join(text.split()) or "without a name"


def _through_profile(codes: NDArray[np.uint16], profile: bytes) -> Array:
    """Return XYZ relative to the profile connection space for 16-bit codes of shape (height, width, 3)."""
    import imagecodecs  # kept out of the start: most runs meet no profile

    try:
        xyz = imagecodecs.cms_transform(
            np.ascontiguousarray(codes),
            profile,
            _xyz_profile(),
            colorspace="rgb",
            outcolorspace="xyz",
            outdtype="float64",
            intent=1,  # relative colorimetric: the white of the picture is the white of the profile
        )
    except (imagecodecs.CmsError, ValueError, TypeError) as error:
        raise InputError(
            "expected a colour profile that can be read, got a broken one; save the picture again as sRGB"
        ) from error
    return np.asarray(xyz, dtype=np.float64)


@functools.lru_cache(maxsize=1)
def _xyz_profile() -> bytes:
    import imagecodecs  # kept out of the start: most runs meet no profile

    return bytes(imagecodecs.cms_profile("xyz"))


@functools.lru_cache(maxsize=8)
def profile_encoding(profile: bytes, bits: int) -> Encoding:
    """Return the meaning that an embedded ICC profile gives to codes of `bits` bits a channel (8 to 16).

    LittleCMS carries the profile out; its answers on the three channel axes become tables and a matrix, which are
    used only when they reproduce its answers between the axes.

    Raises
    ------
    InputError
        For a profile that is not RGB or that cannot be read.
    """
    if len(profile) < 132 or profile[36:40] != b"acsp":
        raise InputError("expected a colour profile that can be read, got a broken one; save the picture again as sRGB")
    space = profile[16:20].decode("latin-1").strip()
    if space != "RGB":
        raise InputError(f"expected a colour profile for RGB, got one for {space!r}; save the picture again as sRGB")
    name = f"colour profile {_profile_name(profile)}"
    full, adapt = np.iinfo(np.uint16).max, chromatic_adaptation(ICC_WHITE, WHITE_D65)

    corners = np.stack(np.meshgrid(*[np.array([0, 9000, 25000, 45000, full])] * 3, indexing="ij"), axis=-1)
    probe = corners.reshape(1, -1, 3).astype(np.uint16)
    truth = _through_profile(probe, profile)[0]
    ramp = np.round(np.arange(2**bits) * (full / (2**bits - 1))).astype(np.uint16)
    axes = np.zeros((3, ramp.size, 3), dtype=np.uint16)
    for channel in range(3):
        axes[channel, :, channel] = ramp
    answers = _through_profile(axes, profile)
    columns = answers[:, -1, :].T  # XYZ of each channel at full light
    tables = np.stack([answers[c] @ columns[:, c] / (columns[:, c] @ columns[:, c]) for c in range(3)])

    levels = np.stack([np.interp(probe[0, :, c], ramp, tables[c]) for c in range(3)], axis=-1)
    if np.max(np.abs(levels @ columns.T - truth)) > _SAME_LIGHT:
        base = srgb_encoding(bits)
        return Encoding(name=name, tables=base.tables, to_xyz=SRGB_TO_XYZ, profile=profile)
    straight = bool(np.max(np.abs(tables - np.linspace(0, 1, ramp.size))) < _SAME_LIGHT)
    return Encoding(name=name, tables=_tables(tables), to_xyz=_frozen(adapt @ columns), linear=straight)


def codes_to_light(codes: Codes, encoding: Encoding) -> Light:
    """Return the light of each channel for codes of shape (height, width, 3): float32, full light 1.

    Channels of a profile that does not act channel by channel come out as those of linear sRGB, and may then leave
    the range 0 to 1.
    """
    if encoding.profile is not None:
        scale = np.iinfo(np.uint16).max / (encoding.tables.shape[1] - 1)
        xyz = _through_profile(np.round(codes * scale).astype(np.uint16), encoding.profile)
        matrix = XYZ_TO_SRGB @ chromatic_adaptation(ICC_WHITE, WHITE_D65)
        return np.asarray(xyz @ matrix.T, dtype=np.float32)
    if codes.dtype == np.uint8:
        table = np.ascontiguousarray(encoding.tables.T[None])
        return np.asarray(cv2.LUT(np.ascontiguousarray(codes), table), dtype=np.float32)
    return np.stack([np.take(encoding.tables[c], codes[..., c]) for c in range(3)], axis=-1)
