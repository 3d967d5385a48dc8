"""A photograph of a bench: where things lie, how they stand in the light, what reaches the sensor.

Bench coordinates are in mm from the middle of the frame, x to the right, y down the picture, z up to the camera.
The lamp stands to the upper left; light on a level face is 1 apart from the light field, which varies by at most 2 %.
Level faces and the card get the light field alone; shadows fall on the bench and the tags only.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import cv2
import numpy as np
from numpy.typing import NDArray

from tests.simulation.noise import floats

__all__ = ["Outline", "Slab", "View", "inner_box", "light_field", "paint", "standing_view"]

Floats = NDArray[np.float64]
Pixels = NDArray[np.float32]
Outline = tuple[int, int, int, int]

_LIGHT_UNEVENNESS = (0.012, 0.020)  # lightest to darkest place of a frame, as a share of the light
_SHADOW_REACH = np.array([0.42, 0.62])  # how far a shadow runs in x and y for each mm of height
_TO_LAMP = np.array([-0.56, -0.83])  # over the bench, from below the lamp
_KEY_SHARE = 0.66  # of the light on the bench that the lamp gives; the rest comes from around
_CHAMFER_LIGHT = (0.86, 0.32)  # on a broken edge: middling, and how much it gains or loses by facing the lamp
_SIDE_LIGHT = (0.50, 0.30)
_CHAMFER_MM = 0.9


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """A pinhole camera over the bench."""

    width_px: int
    height_px: int
    scale: float
    height_mm: float
    rotation: Floats

    def project(self, points_mm: Floats) -> Floats:
        """Return the pixels (n, 2) of bench points (n, 3)."""
        seen = np.stack([points_mm[:, 0], points_mm[:, 1], self.height_mm - points_mm[:, 2]], axis=1) @ self.rotation.T
        axis = self.rotation[:, 2]  # where the middle of the bench is seen
        offset = seen[:, :2] / seen[:, 2:] - axis[:2] / axis[2]
        return np.asarray(np.array([self.width_px, self.height_px]) / 2.0 + self.scale * self.height_mm * offset)


def standing_view(width_px: int, height_px: int, scale: float, rng: np.random.Generator) -> View:
    """Return a camera held over the bench by hand: nearly, not quite, square to it."""
    tilt_x, tilt_y, roll = np.radians(rng.normal(0.0, (0.7, 0.7, 0.35)))
    rotation, _ = cv2.Rodrigues(np.array([tilt_x, tilt_y, roll]))
    return View(
        width_px=width_px,
        height_px=height_px,
        scale=scale,
        height_mm=640.0,
        rotation=np.asarray(rotation, dtype=np.float64),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Slab:
    """A flat thing on the bench.

    Attributes
    ----------
    light
        Sensor light of its upper face under even light, (height, width, 3).
    kind
        Wood has chamfers and sides; a card is thin and square; a tag is paper and takes the shadows of what lies near.
    read_mm
        Corners (4, 2) from the middle of the face, clockwise from the upper left, of what may be outlined.
    rim_mm
        The shape (n, 2) from the middle of the face, clockwise, where it is no rectangle.
    """

    kind: Literal["wood", "card", "tag"]
    x_mm: float
    y_mm: float
    turn_deg: float
    width_mm: float
    height_mm: float
    thickness_mm: float
    light: Pixels
    read_mm: Floats
    rim_mm: Floats | None = None

    def placed(self, local_mm: Floats, z_mm: float, shift_mm: Floats | float = 0.0) -> Floats:
        """Return bench points (n, 3) at a height for points (n, 2) from the middle of the face."""
        c, s = np.cos(np.radians(self.turn_deg)), np.sin(np.radians(self.turn_deg))
        flat = local_mm @ np.array([[c, s], [-s, c]]) + (self.x_mm, self.y_mm) + shift_mm
        return np.concatenate([flat, np.full((len(flat), 1), z_mm)], axis=1)

    @property
    def corners(self) -> Floats:
        """Return the corners (4, 2) of the picture of its face, clockwise from the upper left."""
        return _box(self.width_mm / 2.0, self.height_mm / 2.0)

    @property
    def rim(self) -> Floats:
        """Return its shape (n, 2), clockwise."""
        return self.corners if self.rim_mm is None else self.rim_mm

    def outline(self, view: View) -> Outline:
        """Return the upright rectangle (x, y, width, height in px) that lies wholly within `read_mm`."""
        corners = view.project(self.placed(self.read_mm, self.thickness_mm))
        left, right = np.ceil(corners[[0, 3], 0].max()), np.floor(corners[[1, 2], 0].min())
        top, bottom = np.ceil(corners[[0, 1], 1].max()), np.floor(corners[[2, 3], 1].min())
        return int(left), int(top), int(right - left), int(bottom - top)


def _box(half_width: float, half_height: float) -> Floats:
    return np.array([[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]]) * (half_width, half_height)


def inner_box(width_mm: float, height_mm: float, inset_mm: float) -> Floats:
    """Return the corners (4, 2) of a face drawn in from its edges, clockwise from the upper left."""
    return _box(width_mm / 2.0 - inset_mm, height_mm / 2.0 - inset_mm)


def light_field(view: View, rng: np.random.Generator) -> Pixels:
    """Return the light over the frame, mean 1: a slope away from the lamp and a falling off to the corners."""
    y, x = np.mgrid[-1.0:1.0:65j, -1.0:1.0:65j]
    away = rng.normal((-0.7, -0.7), 0.3)
    field = away[0] * x + away[1] * y - rng.uniform(0.1, 0.5) * (x * x + y * y) + rng.normal(0.0, 0.2) * x * y
    field = 1.0 + (field - field.mean()) / np.ptp(field) * rng.uniform(*_LIGHT_UNEVENNESS)
    return floats(cv2.resize(floats(field), (view.width_px, view.height_px), interpolation=cv2.INTER_LINEAR))


def paint(view: View, bench: Pixels, slabs: list[Slab], field: Pixels, *, plain: bool = False) -> Pixels:
    """Return the sensor light of the whole frame, painted over the bench's array; `plain` without shadows and sides."""
    tags = [slab for slab in slabs if slab.kind == "tag"]
    others = [slab for slab in slabs if slab.kind != "tag"]
    if not plain:
        bench *= _shadows(view, tags)[..., np.newaxis]
    for tag in tags:
        _lay_face(view, bench, tag, tag.light)
    if not plain:
        bench *= _shadows(view, others)[..., np.newaxis]
    for slab in others:
        face = slab.light
        if slab.kind == "wood":
            if not plain:
                _paint_sides(view, bench, slab)
            face = face * _chamfered(slab, view.scale)[..., np.newaxis]
        _lay_face(view, bench, slab, face)
    bench *= field[..., np.newaxis]
    return bench


def _lay_face(view: View, canvas: Pixels, slab: Slab, face: Pixels) -> None:
    corners, rim = (view.project(slab.placed(points, slab.thickness_mm)) for points in (slab.corners, slab.rim))
    _lay(canvas, face, corners, rim)


def _lay(canvas: Pixels, picture: Pixels, corners_px: Floats, rim_px: Floats) -> None:
    """Paint a picture onto the canvas so that its corners come to lie on the given pixels, cut to its rim."""
    low = np.maximum(np.floor(rim_px.min(axis=0)).astype(int) - 2, 0)
    high = np.minimum(np.ceil(rim_px.max(axis=0)).astype(int) + 3, (canvas.shape[1], canvas.shape[0]))
    if (high <= low).any():
        return
    height, width = picture.shape[:2]
    source = np.array([[0, 0], [width, 0], [width, height], [0, height]], dtype=np.float32) - np.float32(0.5)
    turn = cv2.getPerspectiveTransform(source, (corners_px - low - 0.5).astype(np.float32))
    size = (int(high[0] - low[0]), int(high[1] - low[1]))
    laid = cv2.warpPerspective(picture, turn, size, flags=cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    cover = np.zeros((size[1], size[0]), dtype=np.uint8)
    _fill(cover, rim_px - low)
    alpha = cover.astype(np.float32)[..., np.newaxis] / np.float32(255.0)
    window = canvas[low[1] : high[1], low[0] : high[0]]
    window += alpha * (laid - window)


def _fill(mask: NDArray[np.uint8], polygon_px: Floats) -> None:
    cv2.fillPoly(mask, [np.round((polygon_px - 0.5) * 16).astype(np.int32)], 255, cv2.LINE_AA, 4)


def _lamp_on(normals: Floats, light: tuple[float, float]) -> Floats:
    """Return the light on faces that look along the bench in the given directions (…, 2)."""
    return np.asarray(light[0] + light[1] * (normals @ _TO_LAMP))


def _paint_sides(view: View, canvas: Pixels, slab: Slab) -> None:
    """Paint those sides of a thick piece that the camera sees, its grain running on over them."""
    rim = slab.rim
    base, top = view.project(slab.placed(rim, 0.0)), view.project(slab.placed(rim, slab.thickness_mm))
    half = np.array([slab.width_mm, slab.height_mm]) / 2.0
    for a, b in zip(range(len(rim)), [*range(1, len(rim)), 0], strict=True):
        along, down = top[b] - top[a], base[a] - top[a]
        if along[0] * down[1] - along[1] * down[0] >= 0:
            continue  # the face hides it
        edge = rim[b] - rim[a]
        length = float(np.hypot(*edge))
        steps = np.linspace(0.0, 1.0, max(2, round(length * view.scale)))[:, np.newaxis]
        places = ((rim[a] + steps * edge) * 0.99 + half) * (np.array(slab.light.shape[1::-1]) - 1.0) / (2.0 * half)
        row = places.astype(np.float32)[np.newaxis]
        strip = np.repeat(cv2.remap(slab.light, row[..., 0], row[..., 1], cv2.INTER_LINEAR), 4, axis=0)
        strip = cv2.GaussianBlur(strip, (0, 0), sigmaX=max(0.3, 0.08 * view.scale), sigmaY=0.3)
        strip = floats(strip * _lamp_on(np.array([edge[1], -edge[0]]) / length, _SIDE_LIGHT))
        quad = np.array([top[a], top[b], base[b], base[a]])
        _lay(canvas, strip, quad, quad)


def _chamfered(slab: Slab, scale: float) -> Pixels:
    """Return what the broken edges of a piece multiply its light by."""
    height, width = slab.light.shape[:2]
    inside = np.zeros((height + 6, width + 6), dtype=np.uint8)
    _fill(inside, (slab.rim + np.array([slab.width_mm, slab.height_mm]) / 2.0) * scale + 3.0)
    distance = cv2.distanceTransform((inside > 200).astype(np.uint8), cv2.DIST_L2, 5)[3:-3, 3:-3] / np.float32(scale)
    y, x = np.indices((height, width), dtype=np.float32) / np.float32(scale)
    wobble = 1.0 + 0.16 * np.sin(0.23 * x + slab.x_mm) * np.cos(0.31 * y + slab.y_mm)
    blend = np.clip((_CHAMFER_MM * wobble - distance) * np.float32(scale / 2.0) + 0.5, 0.0, 1.0)
    outward = -np.stack(np.gradient(cv2.GaussianBlur(distance, (0, 0), max(0.3, 0.1 * scale)))[::-1], axis=-1)
    outward /= np.maximum(np.hypot(outward[..., 0], outward[..., 1]), 1e-6)[..., np.newaxis]
    return floats(1.0 + blend * (_lamp_on(outward, _CHAMFER_LIGHT) - 1.0))


def _shadows(view: View, slabs: list[Slab], layers: int = 4) -> Pixels:
    """Return what is left of the light on the bench beside the slabs: soft shadows, and less light from around."""
    step = max(1, round(view.scale / 3.0))
    size = (view.width_px // step + 1, view.height_px // step + 1)
    lamp, around = np.zeros(size[::-1], dtype=np.float32), np.zeros(size[::-1], dtype=np.float32)
    for thickness in sorted({slab.thickness_mm for slab in slabs}):
        alike = [slab for slab in slabs if slab.thickness_mm == thickness]
        for height in np.linspace(thickness / layers, thickness, layers):
            shade = _footprints(view, alike, size, step, height * _SHADOW_REACH)
            lamp = np.maximum(lamp, _softened(shade, (0.12 + 0.16 * height) * view.scale / step))
        near = _softened(_footprints(view, alike, size, step, 0.0), (0.2 + 0.35 * thickness) * view.scale / step)
        around = np.maximum(around, near)
    light = _KEY_SHARE * (1.0 - lamp) + (1.0 - _KEY_SHARE) * (1.0 - 0.85 * around)
    whole = (size[0] * step, size[1] * step)
    return floats(cv2.resize(light, whole, interpolation=cv2.INTER_LINEAR)[: view.height_px, : view.width_px])


def _footprints(
    view: View, slabs: list[Slab], size: tuple[int, int], step: int, shift_mm: Floats | float
) -> NDArray[np.uint8]:
    mask = np.zeros(size[::-1], dtype=np.uint8)
    for slab in slabs:
        _fill(mask, view.project(slab.placed(slab.rim, 0.0, shift_mm)) / step)
    return mask


def _softened(mask: NDArray[np.uint8], sigma_px: float) -> Pixels:
    field = mask.astype(np.float32) / np.float32(255.0)
    return floats(cv2.GaussianBlur(field, (0, 0), sigma_px)) if sigma_px > 0.3 else field
