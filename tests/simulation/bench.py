"""What lies on the bench beside the wood: the painted board, the grey card and paper tags, as sensor light.

Sizes are in mm, `scale` in pixels per mm; every picture is (height, width, 3) under even light.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import cv2
import numpy as np
from numpy.typing import NDArray

from tests.simulation.lettering import lettered
from tests.simulation.noise import floats, noise_field
from tests.simulation.spectra import card_reflectance, paint_reflectance, paper_reflectance

if TYPE_CHECKING:
    from tests.simulation.camera import Camera

__all__ = ["bench_light", "card_light", "plain_bench_light", "tag_light"]

Pixels = NDArray[np.float32]

_INK = (0.10, 0.11, 0.17)  # share of the paper's light that the ink leaves
_SAWDUST = (1.9, 1.55, 1.15)  # oak dust against grey paint


def bench_light(height_px: int, width_px: int, scale: float, camera: Camera, rng: np.random.Generator) -> Pixels:
    """Return a bench board in grey paint: rolled on, rubbed, scratched, with a little dust from the saw."""
    shape = (height_px, width_px)
    cloud = noise_field(shape, along_px=60 * scale, across_px=60 * scale, rng=rng)
    rubbed = noise_field(shape, along_px=25 * scale, across_px=1.5 * scale, rng=rng)
    relief = noise_field(shape, along_px=0.45 * scale, across_px=0.45 * scale, rng=rng)
    relief = relief - np.roll(relief, (max(1, round(0.15 * scale)), max(1, round(0.1 * scale))), axis=(0, 1))
    grit = noise_field(shape, along_px=0.08 * scale, across_px=0.08 * scale, rng=rng)
    factor = 1.0 + 0.015 * cloud + 0.006 * rubbed + 0.035 * relief + 0.02 * grit
    factor *= _scratches(shape, scale, rng) * _seam(shape, scale, rng)
    light = factor[..., np.newaxis] * camera.sensor_light(paint_reflectance()).astype(np.float32)
    dust = _specks(shape, scale, rng)[..., np.newaxis]
    light *= 1.0 + dust * (np.asarray(_SAWDUST, dtype=np.float32) - 1.0)
    return floats(light)


def plain_bench_light(height_px: int, width_px: int, camera: Camera) -> Pixels:
    """Return a bench board without a mark on it, for pictures that nobody looks at."""
    light = np.empty((height_px, width_px, 3), dtype=np.float32)
    light[:] = camera.sensor_light(paint_reflectance())
    return light


def _seam(shape: tuple[int, int], scale: float, rng: np.random.Generator) -> Pixels:
    """Return the joint between two planks of the bench: a dark gap with a worn lower edge that catches the light."""
    middle = (0.5 + float(rng.uniform(-0.03, 0.05))) * shape[0]
    slope = float(rng.normal(0.0, 0.004))
    wave = noise_field((1, shape[1]), along_px=20.0 * scale, across_px=1.0, rng=rng) * 0.08 * scale
    x = np.arange(shape[1], dtype=np.float32)[np.newaxis, :]
    y = np.arange(shape[0], dtype=np.float32)[:, np.newaxis]
    below_mm = (y - middle - slope * (x - shape[1] / 2.0) - wave) / np.float32(scale)
    gap = np.exp(-((below_mm / 0.28) ** 4))
    worn = np.exp(-(((below_mm - 0.75) / 0.35) ** 2))
    return floats((1.0 - 0.72 * gap) * (1.0 + 0.10 * worn))


def _scratches(shape: tuple[int, int], scale: float, rng: np.random.Generator) -> Pixels:
    """Return what a few old scratches and dents multiply the light by."""
    marks = np.full(shape, 128, dtype=np.uint8)
    for _ in range(34):
        start = rng.uniform((0, 0), (shape[1], shape[0]))
        direction = rng.normal(0.0, (1.0, 0.35)) * float(rng.lognormal(np.log(16.0), 0.8)) * scale
        steps = np.linspace(0.0, 1.0, 9)[:, np.newaxis]
        bow = np.array([-direction[1], direction[0]]) * float(rng.normal(0.0, 0.05))
        points = start + steps * direction + 4.0 * steps * (1.0 - steps) * bow
        tone = 128 + round(float(rng.choice([-1.0, 1.0]) * rng.uniform(8, 34)))
        cv2.polylines(marks, [np.round(points * 8).astype(np.int32)], False, tone, 1, cv2.LINE_AA, 3)
    return cv2.GaussianBlur(marks, (0, 0), max(0.3, 0.05 * scale)).astype(np.float32) / 128.0


def _specks(shape: tuple[int, int], scale: float, rng: np.random.Generator) -> Pixels:
    """Return how much of each pixel is covered by sawdust: crumbs and short fibres, some in drifts."""
    specks = np.zeros(shape, dtype=np.uint8)
    area_mm2 = shape[0] * shape[1] / scale**2
    drifts = rng.uniform((0, 0), (shape[1], shape[0]), (6, 2))
    for _ in range(round(area_mm2 / 260.0)):
        place = rng.uniform((0, 0), (shape[1], shape[0]))
        if rng.random() < 0.5:
            place = drifts[rng.integers(6)] + rng.normal(0.0, 16.0 * scale, 2)
        length = float(rng.lognormal(np.log(0.35), 0.7)) * scale
        end = place + rng.normal(0.0, length, 2)
        points = np.round(np.array([place, (place + end) / 2 + rng.normal(0.0, 0.2 * length, 2), end]) * 8).astype(
            np.int32
        )
        pen = max(1, round(float(rng.uniform(0.06, 0.22)) * scale))
        cv2.polylines(specks, [points], False, round(float(rng.uniform(90, 255))), pen, cv2.LINE_AA, 3)
    return floats(cv2.GaussianBlur(specks, (0, 0), max(0.3, 0.03 * scale)) / np.float32(255.0))


def card_light(width_mm: float, height_mm: float, scale: float, camera: Camera, rng: np.random.Generator) -> Pixels:
    """Return the grey card: matt 18 % with its figure written near the lower edge."""
    shape = (round(height_mm * scale), round(width_mm * scale))
    tooth = noise_field(shape, along_px=0.1 * scale, across_px=0.1 * scale, rng=rng)
    tooth = 0.008 * tooth - 0.008 * tooth.mean()
    writing = np.zeros(shape, dtype=np.float32)
    line_px = max(4, round(7.0 * scale))
    writing[-line_px:] = lettered(
        "18 %", height_px=line_px, width_px=shape[1], cap_px=3.0 * scale, pen_px=0.35 * scale, rng=rng
    )
    y, x = (np.abs(np.linspace(-0.5, 0.5, n, dtype=np.float32)) * n / scale for n in shape)
    from_edge = np.minimum((height_mm / 2.0 - y)[:, np.newaxis], (width_mm / 2.0 - x)[np.newaxis, :])
    bare = np.exp(-np.maximum(from_edge, 0.0) / 0.12)  # the pale board shows where the edge is cut
    factor = (1.0 + tooth) * (1.0 - 0.6 * writing) * (1.0 + 0.5 * bare)
    return floats(factor[..., np.newaxis] * camera.sensor_light(card_reflectance()))


def tag_light(
    text: str, width_mm: float, height_mm: float, scale: float, camera: Camera, rng: np.random.Generator
) -> Pixels:
    """Return a paper tag with hand lettering."""
    shape = (round(height_mm * scale), round(width_mm * scale))
    fibre = noise_field(shape, along_px=0.5 * scale, across_px=0.3 * scale, rng=rng)
    bend = np.linspace(-1.0, 1.0, shape[1], dtype=np.float32) * float(rng.normal(0.0, 0.035))
    ink = lettered(
        text, height_px=shape[0], width_px=shape[1], cap_px=0.46 * height_mm * scale, pen_px=0.62 * scale, rng=rng
    )
    ink *= np.clip(0.93 + 0.07 * noise_field(shape, along_px=0.4 * scale, across_px=0.4 * scale, rng=rng), 0.0, 1.0)
    paper = (1.0 + 0.008 * fibre + bend)[..., np.newaxis] * camera.sensor_light(paper_reflectance())
    return floats(paper * (1.0 - ink[..., np.newaxis] * (1.0 - np.asarray(_INK))))
