"""The face of a sample: which way its grain runs, how plainly, and whether a line is drawn across it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, Final

import cv2
import numpy as np
from numpy.typing import NDArray

__all__ = ["NO_FACE", "PLAIN_GRAIN", "Face", "angle_between", "common_grain", "read_face"]

Array = NDArray[np.float64]

PLAIN_GRAIN: Final = 0.2
"""Grain weaker than this has no direction to speak of: an even card shows 0.05, oak 0.6 and more."""

_SIDE: Final = 192  # pixels of the reduced face
_SMOOTH: Final = 1.0  # pixels
_EVERY: Final = 7  # of the pixels, where a median is taken
_LINE_WINDOW: Final = 15  # pixels of the reduced face
_LINE_STANDS_OUT: Final = 8.0  # robust standard deviations of the profile
_MAD_TO_SD: Final = 1.4826  # of a normal distribution
_SMALLEST: Final = 24  # pixels a side, below which a face says nothing


@dataclass(frozen=True, slots=True, kw_only=True)
class Face:
    """What the texture of a patch says.

    Attributes
    ----------
    grain_degrees
        The way the grain runs, 0 to 180: 0 along the photo's width, 90 along its height, turning clockwise.
    grain_strength
        0 where no direction stands out, 1 for perfect stripes.
    line_loss
        Share of the mean code, 0 to 1, that a straight dark line across the grain takes away; 0 without one.
    """

    grain_degrees: float = 0.0
    grain_strength: float = 0.0
    line_loss: float = 0.0


NO_FACE: Final = Face()
"""The face of a patch that says nothing."""


def read_face(codes: NDArray[Any], inside: NDArray[np.uint8] | None = None) -> Face:
    """Return what the texture of a patch says.

    Parameters
    ----------
    codes
        Shape (height, width): one channel of the upright patch.
    inside
        255 where the patch is valid, of the same shape; everywhere without it.

    The grain runs where the picture changes least: the smaller axis of the structure tensor (Bigün, Granlund 1987).
    """
    if min(codes.shape) < _SMALLEST:
        return NO_FACE
    small = _reduced(codes)
    valid = np.ones(small.shape, dtype=bool)
    if inside is not None:
        mask = _reduced(inside)
        valid = np.asarray(cv2.erode(np.asarray(mask == 255, dtype=np.uint8), np.ones((5, 5), np.uint8)), dtype=bool)
        if valid.sum() < _SMALLEST**2:
            return NO_FACE
    degrees, strength = _direction(small, valid)
    loss = _line_loss(small, valid, across=abs(math.cos(math.radians(degrees))) > math.sqrt(0.5))
    return Face(grain_degrees=degrees, grain_strength=strength, line_loss=loss)


def _reduced(codes: NDArray[Any]) -> NDArray[np.float32]:
    """Return the patch reduced to 190 to 290 pixels a side: every so many pixels, two by two of them averaged."""
    times = -(-max(codes.shape) // _SIDE)
    if times == 1:
        return np.asarray(codes, dtype=np.float32)
    step = max(1, times // 2)
    part = np.ascontiguousarray(codes[::step, ::step])
    size = (max(8, part.shape[1] // 2), max(8, part.shape[0] // 2))
    return np.asarray(cv2.resize(part[: 2 * size[1], : 2 * size[0]], size, interpolation=cv2.INTER_AREA), np.float32)


def _direction(small: NDArray[np.float32], valid: NDArray[np.bool_]) -> tuple[float, float]:
    smooth = cv2.GaussianBlur(small, (0, 0), _SMOOTH)
    right, down = (np.asarray(cv2.Sobel(smooth, cv2.CV_32F, x, 1 - x)) for x in (1, 0))
    if not valid.all():
        right, down = right[valid], down[valid]
    right, down = right.ravel() - right.mean(), down.ravel() - down.mean()  # an even slope of light is no grain
    steep = right * right + down * down
    usual = float(np.median(steep[::_EVERY]))
    weight = 1 / (steep + np.float32(usual + 1e-9))  # so that one strong line does not speak for the whole face
    weighted = right * weight
    xx, xy = float(np.dot(weighted, right)), float(np.dot(weighted, down))
    yy = float(np.dot(down * weight, down))
    if xx + yy <= 0:
        return 0.0, 0.0
    steepest = 0.5 * math.degrees(math.atan2(2 * xy, xx - yy))
    return (steepest + 90) % 180, math.hypot(xx - yy, 2 * xy) / (xx + yy)


def _line_loss(small: NDArray[np.float32], valid: NDArray[np.bool_], *, across: bool) -> float:
    """Return what a dark line across the grain takes: averaged over the grain's stripes, only the line stands out."""
    axis = 0 if across else 1
    full = valid.all(axis=axis)
    if full.sum() < 2 * _LINE_WINDOW:
        return 0.0
    profile = np.asarray(small.mean(axis=axis), dtype=np.float64)[full]
    edge = _LINE_WINDOW // 2
    padded = np.pad(profile, edge, mode="edge")
    ground = np.median(np.lib.stride_tricks.sliding_window_view(padded, _LINE_WINDOW), axis=1)
    dip = ground - profile
    noise = _MAD_TO_SD * float(np.median(np.abs(dip)))
    deep = dip > max(_LINE_STANDS_OUT * noise, 1e-3 * float(ground.mean()))
    if not deep.any() or noise == 0.0:
        return 0.0
    return float(dip[deep].sum() / ground.sum())


def angle_between(first_degrees: float, second_degrees: float) -> float:
    """Return the angle between two directions of grain, 0 to 90 degrees.

    >>> angle_between(175.0, 5.0)
    10.0
    """
    gap = abs(first_degrees - second_degrees) % 180
    return min(gap, 180 - gap)


def common_grain(faces: list[Face]) -> float | None:
    """Return the way most grain runs, in degrees, or None when fewer than two faces show grain plainly."""
    plain = [face for face in faces if face.grain_strength >= PLAIN_GRAIN]
    if len(plain) < 2:
        return None
    return min(
        plain, key=lambda face: sum(angle_between(face.grain_degrees, other.grain_degrees) for other in plain)
    ).grain_degrees
