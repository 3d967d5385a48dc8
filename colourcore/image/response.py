"""A camera's own tone curve, from one grey card at several shutter times, and the file that keeps it.

Twice the shutter time is twice the light. Three or more photos of one card in the same light, everything fixed but the
shutter, say how the camera bends its picture; the curve then serves every photo by the same camera in the same mode.
"""

from __future__ import annotations

import json
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from colourcore.errors import InputError
from colourcore.image.pixels import PatchStatistics
from colourcore.image.tone import Tone, tone_through

__all__ = [
    "RESPONSE_FORMAT",
    "CameraResponse",
    "CardExposure",
    "response_from_exposures",
    "response_from_text",
    "response_to_text",
]

Array = NDArray[np.float64]

RESPONSE_FORMAT: Final = "duskgrain camera curve"
"""What a file of a camera's curve says of itself."""

_VERSION: Final = 1
_FEWEST: Final = 3
_LEAST_RANGE: Final = 4.0  # times: the longest exposure over the shortest
_ROUGH: Final = 0.05  # of the light: what nominal shutter times are off by, as common practice has it, no source
_CLIPPED: Final = 0.01  # share of pixels
_BLACK: Final = 0.002  # of full light


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CardExposure:
    """One photo of the card: its pixels, the shutter time in seconds (None where the file does not say), its name."""

    card: PatchStatistics
    seconds: float | None
    photo: str


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CameraResponse:
    """How a camera bends its picture.

    Attributes
    ----------
    camera
        What the files call it.
    log_seen, log_light
        Shape (3, n): natural logarithms of the light that the file claims and of the light that fell, each channel.
    photos
        How many photos it rests on.
    residual
        How far, as a share of the light, the photos lie from a smooth curve: what shutter times and lamp leave.
    """

    camera: str
    log_seen: Array
    log_light: Array
    photos: int
    residual: float

    def tone(self, offset: Sequence[float] = (0.0, 0.0, 0.0)) -> Tone:
        """Return what undoes the curve, with stray light of each channel taken off."""
        return tone_through(self.log_seen, self.log_light, offset=offset)


def response_from_exposures(exposures: Sequence[CardExposure], camera: str) -> CameraResponse:
    """Return the camera's tone curve, one for each channel.

    Parameters
    ----------
    exposures
        Three or more photos of one card in the same light; those too dark or clipped are left out.
    camera
        What to call the camera and its mode.

    Raises
    ------
    InputError
        When a shutter time is not known, fewer than three usable photos are left, or they span too little light.
    """
    for exposure in exposures:
        if exposure.seconds is None or not exposure.seconds > 0:
            raise InputError(
                "expected a shutter time in the photo's camera notes, got none; use the file as the camera wrote it",
                file=exposure.photo,
            )
    usable = sorted(
        (e for e in exposures if e.card.clipped_share <= _CLIPPED and float(np.min(e.card.mean)) > _BLACK),
        key=lambda e: e.seconds or 0.0,
    )
    if len(usable) < _FEWEST:
        raise InputError(
            f"expected {_FEWEST} or more photos of the card, neither black nor clipped, got {len(usable)} of "
            f"{len(exposures)}"
        )
    times = np.array([e.seconds for e in usable], dtype=np.float64)
    if times[-1] / times[0] < _LEAST_RANGE:
        raise InputError(
            f"expected shutter times that differ {_LEAST_RANGE:g} times or more, got {times[0]:g} to {times[-1]:g} s"
        )
    light = np.array([e.card.mean for e in usable])
    distinct, place = np.unique(times, return_inverse=True)
    log_seen = np.log(np.array([light[place == k].mean(axis=0) for k in range(distinct.size)])).T
    if distinct.size < _FEWEST:
        raise InputError(f"expected {_FEWEST} or more different shutter times, got {distinct.size}")
    if np.any(np.diff(log_seen, axis=1) <= 0):
        raise InputError(
            "expected the card to get lighter with every longer shutter time, got another order; nothing but the "
            "shutter may change between the photos"
        )
    log_time = np.log(distinct)
    middle = int(np.argmin(np.abs(log_seen[1] - math.log(0.18))))
    log_light = log_time[None, :] + (log_seen[:, middle] - log_time[middle])[:, None]
    return CameraResponse(
        camera=camera,
        log_seen=log_seen,
        log_light=log_light,
        photos=len(usable),
        residual=_roughness(log_seen, log_time),
    )


def _roughness(log_seen: Array, log_time: Array) -> float:
    """Return how far inner exposures lie from the line between their neighbours, less what a smooth curve bends."""
    if log_time.size < _FEWEST + 1:
        return _ROUGH
    degree = min(3, log_time.size - 2)
    rest = [seen - np.polyval(np.polyfit(log_time, seen, degree), log_time) for seen in log_seen]
    return float(np.sqrt(np.sum(np.square(rest)) / (3 * (log_time.size - degree - 1))))


def response_to_text(response: CameraResponse) -> str:
    """Return the response as the text of a file, JSON."""
    return (
        json.dumps(
            {
                "format": RESPONSE_FORMAT,
                "version": _VERSION,
                "camera": response.camera,
                "photos": response.photos,
                "residual": round(response.residual, 6),
                "log_seen": np.round(response.log_seen, 6).tolist(),
                "log_light": np.round(response.log_light, 6).tolist(),
            },
            indent=1,
            ensure_ascii=False,
        )
        + "\n"
    )


def _points(content: dict[str, Any], key: str) -> Array:
    points = np.asarray(content[key], dtype=np.float64)
    if points.ndim != 2 or points.shape[0] != 3 or points.shape[1] < 2 or not np.all(np.isfinite(points)):
        raise ValueError(key)
    return points


def response_from_text(text: str, name: str) -> CameraResponse:
    """Return the response that a file keeps.

    Raises
    ------
    InputError
        When the text is not such a file, or of a later version; names the file.
    """
    try:
        content = json.loads(text)
        if content["format"] != RESPONSE_FORMAT:
            raise ValueError(content["format"])
        if int(content["version"]) > _VERSION:
            raise InputError(
                f"expected a camera curve of version {_VERSION}, got version {content['version']}", file=name
            )
        response = CameraResponse(
            camera=str(content["camera"]),
            log_seen=_points(content, "log_seen"),
            log_light=_points(content, "log_light"),
            photos=int(content["photos"]),
            residual=float(content["residual"]),
        )
        response.tone()
    except InputError as error:
        raise error.at(file=name) from error
    except (KeyError, TypeError, ValueError) as error:
        raise InputError("expected a file with a camera's curve, got something else", file=name) from error
    return response
