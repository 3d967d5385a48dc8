"""What a camera wrote beside the picture: turn, time, exposure, its own name. Pure; broken blocks read as empty."""

from __future__ import annotations

import contextlib
import warnings
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final

__all__ = ["CameraNotes", "Exposure", "read_exif"]

# Tags of CIPA DC-008 (EXIF 2.32)
_MAKE, _MODEL, _TURN, _SUB_BLOCK = 271, 272, 274, 34665
_SECONDS, _APERTURE, _SENSITIVITY, _TAKEN, _FLASH, _SPACE = 33434, 33437, 34855, 36867, 37385, 40961
_UNCALIBRATED: Final = 65535


@dataclass(frozen=True, slots=True, kw_only=True)
class Exposure:
    """How the camera was set: seconds of shutter time, f-number, ISO sensitivity; None where it did not say."""

    seconds: float | None = None
    f_number: float | None = None
    sensitivity: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CameraNotes:
    """What an EXIF block says, as far as a reading of colour needs it.

    Attributes
    ----------
    turn
        1 to 8, as EXIF counts the turns; 1 is upright.
    taken
        Camera's clock at the exposure, without a time zone, or None.
    camera
        Maker and model as the camera writes them, or empty.
    flash
        True where the camera says that it fired a flash.
    uncalibrated
        True where the camera says that the colours are not sRGB.
    """

    turn: int = 1
    taken: datetime | None = None
    camera: str = ""
    exposure: Exposure = Exposure()
    flash: bool = False
    uncalibrated: bool = False


def _number(value: Any) -> float | None:
    with contextlib.suppress(TypeError, ValueError, ZeroDivisionError):
        number = float(value[0] if isinstance(value, tuple) else value)
        return number if 0 < number < float("inf") else None
    return None


def _moment(value: Any) -> datetime | None:
    with contextlib.suppress(TypeError, ValueError):
        return datetime.strptime(str(value).strip("\x00 "), "%Y:%m:%d %H:%M:%S")
    return None


def _text(value: Any) -> str:
    return " ".join(str(value or "").replace("\x00", " ").split())


def _camera(make: str, model: str) -> str:
    return model if make and model.lower().startswith(make.lower()) else f"{make} {model}".strip()


def read_exif(block: bytes) -> CameraNotes:
    """Return what an EXIF block says; a block that cannot be read says nothing.

    Parameters
    ----------
    block
        The block as a JPEG carries it (with or without its leading ``Exif`` mark) or a whole TIFF file.

    >>> read_exif(b"not an EXIF block").turn
    1
    """
    from PIL import Image  # kept out of the start: commands that read no photo do not pay for it

    tags = Image.Exif()
    sub: dict[int, Any] = {}
    with warnings.catch_warnings(), contextlib.suppress(Exception):
        warnings.simplefilter("ignore")
        tags.load(block)
        sub = tags.get_ifd(_SUB_BLOCK)
    turn = tags.get(_TURN, 1)
    return CameraNotes(
        turn=turn if turn in range(1, 9) else 1,
        taken=_moment(sub.get(_TAKEN)),
        camera=_camera(_text(tags.get(_MAKE)), _text(tags.get(_MODEL))),
        exposure=Exposure(
            seconds=_number(sub.get(_SECONDS)),
            f_number=_number(sub.get(_APERTURE)),
            sensitivity=_number(sub.get(_SENSITIVITY)),
        ),
        flash=bool(isinstance(sub.get(_FLASH), int) and sub[_FLASH] & 1),
        uncalibrated=sub.get(_SPACE) == _UNCALIBRATED,
    )
