"""The face of an oak board: growth rings, pores, rays and fleck along one grain, as fields that vary its spectrum.

A face is made for a whole strip of board, grain along x, and samples are crosscut from it, so neighbours belong
together as they do in timber. Three fields vary over it: `shade`, the log of what raw K/S is multiplied by; `take`,
the same for the chromophore; `pore`, how much of a pixel is the mouth of a vessel and therefore dark.
Sizes are in mm; `scale` is pixels per mm. Below `_PORES_FROM` pixels per mm no single pore is drawn.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import cv2
import numpy as np
from numpy.typing import NDArray

from tests.simulation.noise import floats, noise_field
from tests.simulation.spectra import Wood, reflectance_from_absorption

if TYPE_CHECKING:
    from tests.simulation.camera import Camera

__all__ = ["Face", "Grain", "face_light", "grown_face", "knocked"]

Field = NDArray[np.float32]

_PORES_FROM = 5.0
_SHADE_REACH = 1.0  # log units that the table of colours spans either way
_PORE_DEPTH = 0.40  # share of light that a vessel's mouth swallows
_PORE_SHADE = 0.45  # and what its wall, steeper than the face, adds to both logs


@dataclass(frozen=True, slots=True, kw_only=True)
class Grain:
    """How a strip was sawn from the tree: rings as cylinders about a pith that lies under or beside it."""

    ring_mm: float
    pith_y_mm: float
    pith_depth_mm: float
    depth_slope: float
    wander_mm: float
    fleck: float
    ray_lines_per_mm2: float
    pores_per_mm2: float = 1.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Face:
    """The fields of a strip or of a piece of it, each (height, width)."""

    shade: Field
    take: Field
    pore: Field

    def cut(self, x_px: int, width_px: int) -> Face:
        """Return the piece between two crosscuts."""
        part = slice(x_px, x_px + width_px)
        return Face(shade=self.shade[:, part], take=self.take[:, part], pore=self.pore[:, part])


def grown_face(length_mm: float, height_mm: float, scale: float, grain: Grain, rng: np.random.Generator) -> Face:
    """Return the face of a strip of board, grain along x."""
    shape = (round(height_mm * scale), round(length_mm * scale))
    phase, edge = _rings(shape, scale, grain, rng)
    porous = np.clip(1.15 - phase / 0.34, 0.0, 1.0) * np.clip(phase / 0.03, 0.0, 1.0)
    fibre = noise_field(shape, along_px=3.0 * scale, across_px=0.09 * scale, rng=rng)
    fibre = 0.75 * fibre + 0.75 * noise_field(shape, along_px=0.9 * scale, across_px=0.05 * scale, rng=rng)
    bands = noise_field(shape, along_px=45.0 * scale, across_px=2.2 * scale, rng=rng)
    cloud = noise_field(shape, along_px=30.0 * scale, across_px=14.0 * scale, rng=rng)
    shade = 0.15 * (phase**1.5 - 0.4) - 0.05 * porous + 0.075 * fibre + 0.05 * bands + 0.03 * cloud + 0.10 * edge
    take = 0.07 * (phase - 0.5) + 0.04 * fibre + 0.05 * bands + 0.04 * cloud
    pore = np.zeros(shape, dtype=np.float32)  # no single pore is drawn in a coarse picture
    if scale >= _PORES_FROM:
        pore = _pores(shape, scale, porous, grain, rng)
        lines = _ray_lines(shape, scale, grain, rng)
        shade, take = shade + 0.55 * lines, take + 0.35 * lines
    if grain.fleck > 0:
        fleck = _fleck(shape, scale, grain, rng)
        shade, take = shade - 0.16 * fleck, take - 0.20 * fleck
        pore = pore * (1.0 - 0.8 * fleck)
    shade, take = shade + _PORE_SHADE * pore, take + _PORE_SHADE * pore
    wandered = _wander(shape, scale, grain, rng)
    shade, take, pore = (
        floats(cv2.remap(floats(field), *wandered, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REFLECT))
        for field in (shade, take, pore)
    )
    return Face(shade=shade, take=take, pore=pore)


def knocked(face: Face, scale: float, rng: np.random.Generator) -> Face:
    """Return a face that has been in use: scratches any way across the grain, dents with dirt in them."""
    height, width = face.pore.shape
    marks = np.zeros((height, width), dtype=np.uint8)
    for _ in range(26):
        start = rng.uniform((0.0, 0.0), (width, height))
        run = rng.normal(0.0, 1.0, 2) * float(rng.lognormal(np.log(6.0), 0.8)) * scale
        bend = np.array([-run[1], run[0]]) * float(rng.normal(0.0, 0.08))
        points = np.round(np.array([start, start + 0.5 * run + bend, start + run]) * 8).astype(np.int32)
        pen = max(1, round(float(rng.uniform(0.05, 0.16)) * scale))
        cv2.polylines(marks, [points], False, round(float(rng.uniform(30, 130))), pen, cv2.LINE_AA, 3)
    for _ in range(9):
        middle = np.round(rng.uniform((0.0, 0.0), (width, height)) * 8).astype(int)
        size = np.round(rng.uniform(0.3, 1.1, 2) * scale * 8).astype(int)
        shade, turn = round(float(rng.uniform(40, 120))), float(rng.uniform(0.0, 180.0))
        cv2.ellipse(marks, middle.tolist(), size.tolist(), turn, 0.0, 360.0, shade, -1, cv2.LINE_AA, 3)
    soft = floats(cv2.GaussianBlur(marks, (0, 0), max(0.3, 0.07 * scale)) / np.float32(255.0))
    return Face(shade=face.shade + 0.35 * soft, take=face.take + 0.35 * soft, pore=np.maximum(face.pore, 0.8 * soft))


def _rings(shape: tuple[int, int], scale: float, grain: Grain, rng: np.random.Generator) -> tuple[Field, Field]:
    """Return the place within the ring, 0 where spring begins to 1 at the year's end, and the thin dark line there."""
    y = np.arange(shape[0], dtype=np.float32)[:, np.newaxis] / scale - grain.pith_y_mm
    x = np.arange(shape[1], dtype=np.float32)[np.newaxis, :] / scale
    waves = noise_field(shape, along_px=34.0 * scale, across_px=7.0 * scale, rng=rng)
    ripple = noise_field(shape, along_px=9.0 * scale, across_px=2.5 * scale, rng=rng)
    depth = grain.pith_depth_mm + grain.depth_slope * x + 1.1 * waves + 0.22 * ripple
    years = np.sqrt(y * y + depth * depth) / grain.ring_mm
    years = years + 0.25 * np.sin(0.9 * years + 1.3) + 0.2 * np.sin(0.37 * years)  # fat and lean years
    phase = np.mod(years, 1.0)
    edge = np.exp(-(((phase - 0.985) / 0.02) ** 2)).astype(np.float32)
    return phase.astype(np.float32), edge


def _pores(shape: tuple[int, int], scale: float, porous: Field, grain: Grain, rng: np.random.Generator) -> Field:
    """Return the mouths of the vessels: short dark dashes along the grain, crowded in the spring wood."""
    height_mm, length_mm = shape[0] / scale, shape[1] / scale
    count = round(grain.pores_per_mm2 * height_mm * length_mm)
    places = rng.uniform((0.0, 0.0), (shape[0] - 1.0, shape[1] - 1.0), (count, 2))
    density = porous[places[:, 0].astype(int), places[:, 1].astype(int)]
    kept = rng.random(count) < 0.05 + 0.95 * density
    lengths = np.where(density > 0.3, rng.lognormal(np.log(2.0), 0.7, count), rng.lognormal(np.log(0.8), 0.5, count))
    widths = np.where(density > 0.3, rng.uniform(0.09, 0.24, count), rng.uniform(0.05, 0.10, count))
    ink = np.zeros(shape, dtype=np.uint8)
    dark, slopes = rng.uniform(0.45, 1.0, count)[kept], rng.normal(0.0, 0.012, count)[kept]
    dashes = zip(places[kept], lengths[kept] * scale, widths[kept] * scale, slopes, dark, strict=True)
    for place, length, width, slope, darkness in dashes:
        _dash(ink, place, float(length), float(width), float(slope), float(darkness))
    return cv2.GaussianBlur(ink, (0, 0), sigmaX=0.16 * scale, sigmaY=0.035 * scale).astype(np.float32) / 255.0


def _dash(
    ink: NDArray[np.uint8],
    place: NDArray[np.float64],
    length_px: float,
    width_px: float,
    slope: float,
    darkness: float = 1.0,
) -> None:
    """Draw one dash from a place (y, x); a dash thinner than a pixel is drawn paler."""
    start = (round(place[1] * 16), round(place[0] * 16))
    end = (round((place[1] + length_px) * 16), round((place[0] + slope * length_px) * 16))
    thick = max(1, round(width_px))
    cv2.line(ink, start, end, round(255 * darkness * min(1.0, width_px / thick)), thick, cv2.LINE_AA, 4)


def _ray_lines(shape: tuple[int, int], scale: float, grain: Grain, rng: np.random.Generator) -> Field:
    """Return broad rays seen edge-on, as on a flat-sawn face: thin dark spindles along the grain."""
    count = round(grain.ray_lines_per_mm2 * shape[0] * shape[1] / scale**2)
    places = rng.uniform((0.0, -20.0 * scale), (shape[0] - 1.0, shape[1] - 1.0), (count, 2))
    lengths, widths = rng.lognormal(np.log(7.0), 0.6, count) * scale, rng.uniform(0.08, 0.26, count) * scale
    ink = np.zeros(shape, dtype=np.uint8)
    for place, length, width in zip(places, lengths, widths, strict=True):
        slope = float(rng.normal(0.0, 0.006))
        _dash(ink, place, length, 0.5 * width, slope)
        _dash(ink, place + np.array([slope, 1.0]) * 0.2 * length, 0.6 * length, width, slope)
    return cv2.GaussianBlur(ink, (0, 0), 0.05 * scale).astype(np.float32) / 255.0


def _fleck(shape: tuple[int, int], scale: float, grain: Grain, rng: np.random.Generator) -> Field:
    """Return rays laid open on a quarter-sawn face: pale ragged ribbons that run across the grain."""
    lean = noise_field(shape, along_px=20.0 * scale, across_px=9.0 * scale, rng=rng) * 2.2 * scale
    long_way = noise_field(shape, along_px=1.1 * scale, across_px=3.6 * scale, rng=rng)
    long_way = long_way + 0.6 * noise_field(shape, along_px=25.0 * scale, across_px=12.0 * scale, rng=rng)
    y, x = np.indices(shape, dtype=np.float32)
    ribbon = cv2.remap(long_way, x + lean + 0.3 * y, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REFLECT)
    ragged = noise_field(shape, along_px=1.2 * scale, across_px=0.16 * scale, rng=rng)
    share = np.quantile(ribbon[::4, ::4], 1.0 - grain.fleck)
    return floats(1.0 / (1.0 + np.exp(-(ribbon - share + 0.35 * ragged) / 0.16)))


def _wander(shape: tuple[int, int], scale: float, grain: Grain, rng: np.random.Generator) -> tuple[Field, Field]:
    """Return where each pixel's wood stands before the grain wanders."""
    y, x = np.indices(shape, dtype=np.float32)
    sway = noise_field(shape, along_px=40.0 * scale, across_px=18.0 * scale, rng=rng)
    return x, y + np.float32(grain.wander_mm * scale) * sway


def face_light(
    face: Face, wood: Wood, hours: float, camera: Camera, *, inset_px: int, nodes: int = 20
) -> NDArray[np.float32]:
    """Return the sensor light (height, width, 3) of a face after the given hours.

    Each pixel's K/S is raw·exp(shade) + chromophore·exp(take). The texture is brought to leave the mean light of
    the face, `inset_px` in from its edges, at what the wood without texture gives: texture scatters, it does not tint.
    """
    reach = np.exp(np.linspace(-_SHADE_REACH, _SHADE_REACH, nodes))
    brown = float(wood.law.concentration(hours)) * wood.brown
    absorption = reach[:, np.newaxis, np.newaxis] * brown + reach[np.newaxis, :, np.newaxis] * wood.raw
    table = camera.sensor_light(reflectance_from_absorption(absorption)).astype(np.float32)
    steps = np.float32((nodes - 1) / (2.0 * _SHADE_REACH))
    across, down = (
        floats((np.clip(field, -_SHADE_REACH, _SHADE_REACH) + _SHADE_REACH) * steps)
        for field in (face.shade, face.take)
    )
    light = floats(cv2.remap(table, across, down, cv2.INTER_LINEAR))
    light *= (1.0 - _PORE_DEPTH * face.pore)[..., np.newaxis]
    inner = light[inset_px:-inset_px, inset_px:-inset_px]
    even = camera.sensor_light(wood.reflectance(hours))
    return floats(light * (even / inner.mean(axis=(0, 1), dtype=np.float64)))
