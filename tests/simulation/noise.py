"""Smooth random fields, from which grain, paint, paper and the camera's mottle are made."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = ["floats", "noise_field"]


def floats(values: ArrayLike) -> NDArray[np.float32]:
    """Return the values as float32, without a copy where they are already: OpenCV's own types say less."""
    return np.asarray(values, dtype=np.float32)


def noise_field(
    shape: tuple[int, int], *, along_px: float, across_px: float, rng: np.random.Generator
) -> NDArray[np.float32]:
    """Return smooth noise of SD 1 whose correlation lengths along x and y are the given pixels."""
    step_x, step_y = max(along_px / 2.0, 1.0), max(across_px / 2.0, 1.0)
    coarse = (int(shape[0] / step_y) + 5, int(shape[1] / step_x) + 5)
    field = rng.standard_normal(coarse, dtype=np.float32)
    sigma_x, sigma_y = min(along_px, 2.0), min(across_px, 2.0)
    if max(sigma_x, sigma_y) > 0.3:
        field = floats(cv2.GaussianBlur(field, (0, 0), sigmaX=max(sigma_x, 0.1), sigmaY=max(sigma_y, 0.1)))
    size = (round(coarse[1] * step_x), round(coarse[0] * step_y))
    if size != (coarse[1], coarse[0]):
        field = floats(cv2.resize(field, size, interpolation=cv2.INTER_CUBIC))
    field = field[: shape[0], : shape[1]]
    return floats((field - field.mean()) / max(float(field.std()), 1e-6))
