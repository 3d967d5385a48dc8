"""A hand's lettering: strokes of our own for the few letters that tags and card need, each a little different."""

from __future__ import annotations

from itertools import pairwise

import cv2
import numpy as np
from numpy.typing import NDArray

__all__ = ["lettered"]

Points = list[tuple[float, float]]

# Strokes as points a pen passes, x to the right from 0, y down from the cap line 0 to the base line 1.
_STROKES: dict[str, tuple[float, list[Points]]] = {
    "0": (0.62, [[(0.34, 0.02), (0.08, 0.25), (0.04, 0.65), (0.28, 0.98), (0.54, 0.7), (0.54, 0.3), (0.36, 0.03)]]),
    "1": (0.36, [[(0.05, 0.24), (0.22, 0.02), (0.2, 0.5), (0.19, 1.0)]]),
    "2": (0.6, [[(0.07, 0.22), (0.28, 0.02), (0.5, 0.22), (0.32, 0.62), (0.05, 0.97), (0.3, 0.93), (0.56, 0.96)]]),
    "3": (0.56, [[(0.08, 0.1), (0.32, 0.02), (0.44, 0.22), (0.2, 0.45), (0.47, 0.65), (0.36, 0.95), (0.04, 0.88)]]),
    "4": (0.62, [[(0.36, 0.02), (0.05, 0.62), (0.57, 0.6)], [(0.42, 0.34), (0.39, 1.02)]]),
    "5": (0.58, [
        [(0.14, 0.04), (0.11, 0.42), (0.36, 0.42), (0.5, 0.7), (0.3, 0.98), (0.05, 0.9)],
        [(0.13, 0.05), (0.5, 0.03)],
    ]),
    "6": (0.58, [[(0.42, 0.02), (0.12, 0.4), (0.1, 0.8), (0.32, 0.98), (0.5, 0.75), (0.34, 0.53), (0.11, 0.7)]]),
    "8": (0.56, [
        [(0.46, 0.14), (0.26, 0.02), (0.1, 0.2), (0.42, 0.6), (0.42, 0.9), (0.2, 0.98), (0.06, 0.78), (0.47, 0.16)],
    ]),
    ".": (0.26, [[(0.1, 0.97), (0.13, 1.0), (0.1, 1.0)]]),
    " ": (0.34, []),
    "%": (0.8, [
        [(0.65, 0.05), (0.12, 1.0)],
        [(0.2, 0.08), (0.08, 0.24), (0.24, 0.34), (0.3, 0.16), (0.2, 0.08)],
        [(0.58, 0.68), (0.46, 0.84), (0.6, 0.98), (0.7, 0.8), (0.58, 0.68)],
    ]),
    "A": (0.7, [[(0.03, 1.0), (0.32, 0.0)], [(0.32, 0.0), (0.62, 1.02)], [(0.14, 0.66), (0.52, 0.63)]]),
    "B": (0.62, [
        [(0.1, 0.02), (0.09, 1.0)],
        [(0.1, 0.04), (0.42, 0.12), (0.36, 0.42), (0.1, 0.48)],
        [(0.1, 0.48), (0.5, 0.6), (0.44, 0.92), (0.09, 0.99)],
    ]),
    "a": (0.54, [
        [(0.44, 0.5), (0.22, 0.44), (0.06, 0.74), (0.2, 0.99), (0.43, 0.72)],
        [(0.45, 0.48), (0.43, 0.8), (0.52, 0.98)],
    ]),
    "d": (0.56, [
        [(0.42, 0.52), (0.2, 0.46), (0.06, 0.76), (0.2, 0.99), (0.43, 0.72)],
        [(0.47, 0.0), (0.43, 0.6), (0.5, 0.98)],
    ]),
    "e": (0.5, [[(0.08, 0.72), (0.42, 0.66), (0.3, 0.44), (0.08, 0.64), (0.16, 0.95), (0.44, 0.9)]]),
    "g": (0.54, [
        [(0.44, 0.5), (0.22, 0.44), (0.06, 0.7), (0.2, 0.94), (0.43, 0.7)],
        [(0.45, 0.48), (0.44, 1.0), (0.28, 1.3), (0.06, 1.2)],
    ]),
    "h": (0.54, [[(0.1, 0.0), (0.08, 0.6), (0.07, 1.0)], [(0.08, 0.68), (0.28, 0.44), (0.4, 0.64), (0.4, 0.98)]]),
    "l": (0.26, [[(0.1, 0.0), (0.08, 0.8), (0.18, 0.98)]]),
    "m": (0.78, [
        [(0.08, 0.48), (0.07, 1.0)],
        [(0.08, 0.64), (0.24, 0.45), (0.35, 0.62), (0.34, 1.0)],
        [(0.35, 0.64), (0.52, 0.45), (0.64, 0.62), (0.64, 0.98)],
    ]),
    "o": (0.52, [[(0.26, 0.45), (0.07, 0.68), (0.2, 0.98), (0.42, 0.78), (0.3, 0.46)]]),
    "p": (0.54, [[(0.1, 0.48), (0.08, 1.34)], [(0.1, 0.6), (0.3, 0.44), (0.44, 0.68), (0.28, 0.96), (0.1, 0.88)]]),
    "r": (0.42, [[(0.1, 0.48), (0.08, 1.0)], [(0.09, 0.66), (0.22, 0.47), (0.36, 0.5)]]),
    "s": (0.46, [[(0.38, 0.5), (0.18, 0.46), (0.12, 0.64), (0.34, 0.78), (0.28, 0.97), (0.05, 0.93)]]),
    "t": (0.42, [[(0.2, 0.18), (0.17, 0.8), (0.34, 0.96)], [(0.04, 0.46), (0.36, 0.43)]]),
    "w": (0.7, [[(0.06, 0.48), (0.18, 0.98), (0.32, 0.6), (0.46, 0.98), (0.62, 0.46)]]),
    "y": (0.52, [[(0.08, 0.48), (0.14, 0.78), (0.4, 0.7)], [(0.44, 0.46), (0.4, 0.95), (0.2, 1.3), (0.04, 1.2)]]),
}  # fmt: skip

_OVERSAMPLE = 4


def lettered(
    text: str, *, height_px: int, width_px: int, cap_px: float, pen_px: float, rng: np.random.Generator
) -> NDArray[np.float32]:
    """Return how much ink (0–1) lies on each pixel of a tag, its text written by an unsteady hand."""
    scale = cap_px * _OVERSAMPLE
    strokes, advance = _placed(text, rng)
    origin = np.array([width_px * _OVERSAMPLE - advance * scale, height_px * _OVERSAMPLE - scale]) / 2.0
    ink = np.zeros((height_px * _OVERSAMPLE, width_px * _OVERSAMPLE), dtype=np.uint8)
    for stroke in strokes:
        points = origin + scale * _smoothed(stroke)
        for start, end in pairwise(points):
            pen = max(1, round(pen_px * _OVERSAMPLE * float(rng.uniform(0.8, 1.15))))
            cv2.line(ink, *_pixel_pair(start, end), 255, pen, cv2.LINE_AA)
    small = cv2.resize(ink, (width_px, height_px), interpolation=cv2.INTER_AREA)
    return small.astype(np.float32) / 255.0


def _pixel_pair(start: NDArray[np.float64], end: NDArray[np.float64]) -> tuple[tuple[int, int], tuple[int, int]]:
    return (round(float(start[0])), round(float(start[1]))), (round(float(end[0])), round(float(end[1])))


def _placed(text: str, rng: np.random.Generator) -> tuple[list[NDArray[np.float64]], float]:
    """Return the strokes in units of the cap height, slanted and uneven, and how far the writing runs."""
    slant, rise = float(rng.normal(0.12, 0.04)), float(rng.normal(0.0, 0.015))
    strokes, at = [], 0.0
    for letter in text:
        width, shapes = _STROKES[letter]
        size, drop = float(rng.normal(1.0, 0.05)), float(rng.normal(0.0, 0.025))
        for shape in shapes:
            points = np.asarray(shape) * size + rng.normal(0.0, 0.015, (len(shape), 2))
            x = at + points[:, 0] + slant * (1.0 - points[:, 1])
            strokes.append(np.stack([x, points[:, 1] + drop + rise * at + 1.0 - size], axis=1))
        at += width + 0.12 + float(rng.normal(0.0, 0.02))
    return strokes, at


def _smoothed(points: NDArray[np.float64], steps: int = 8) -> NDArray[np.float64]:
    """Return a Catmull–Rom curve through the points."""
    padded = np.concatenate([2 * points[:1] - points[1:2], points, 2 * points[-1:] - points[-2:-1]])
    t = np.linspace(0.0, 1.0, steps, endpoint=False)[:, np.newaxis]
    pieces = []
    for a, b, c, d in zip(padded[:-3], padded[1:-2], padded[2:-1], padded[3:], strict=True):
        pieces.append(0.5 * (2 * b + (c - a) * t + (2 * a - 5 * b + 4 * c - d) * t**2 + (3 * b - a - 3 * c + d) * t**3))
    return np.concatenate([*pieces, points[-1:]])
