"""Simulated cameras, lamps and tone curves that photograph a bench of patches; it knows nothing of the reading code.

Two measured cameras × fifteen lamps, all from colour-science's data; wood from `tests.simulation.spectra`. A camera
balances itself on the lamp (a little off, as cameras do), goes through one matrix fitted on the ISO 17321-1 patches
under that lamp, adds stray light, bends its picture with a tone curve, and writes 8-bit sRGB.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache

import colour
import cv2
import numpy as np
from numpy.typing import NDArray

from tests.simulation.spectra import (
    OBSERVER,
    chromophore,
    concentration_for_lightness,
    lamp_spectrum,
    on_grid,
    raw_oak,
    reflectance_from_absorption,
)

__all__ = [
    "CAMERAS",
    "CURVES",
    "LAMPS",
    "STEPS",
    "Bench",
    "Camera",
    "chart_spectra",
    "lab",
    "neutral",
    "oak",
    "photograph",
]

Floats = NDArray[np.float64]

CAMERAS = ("Nikon 5100 (NPL)", "Sigma SDMerill (NPL)")
"""Measured cameras, by the data sets' own names in colour-science."""

LAMPS = (
    *("A", "D50", "D55", "D65", "D75", "FL2", "FL8", "FL11"),
    *("LED-B1", "LED-B2", "LED-B3", "LED-B4", "LED-B5", "LED-V1", "LED-V2"),
)
"""Lamps, by their CIE names."""

STEPS = (95.0, 80.0, 65.0, 49.5, 35.0, 20.0)
"""L* of the six greys of a step card; the 3-step card has the first, the fourth and the last."""

# IEC 61966-2-1, linear sRGB to XYZ of D65, written here a second time
_SRGB_TO_XYZ: Floats = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]])
# Bradford cone responses (ICC.1), from memory, written here a second time
_BRADFORD: Floats = np.array([[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]])

CELL, PATCH = 48, 40  # pixels


def _encode(linear: Floats) -> Floats:
    x = np.clip(linear, 0.0, 1.0)
    return np.where(x <= 0.0031308, 12.92 * x, 1.055 * x ** (1 / 2.4) - 0.055)


def _s_curve(amount: float) -> Callable[[Floats], Floats]:
    """A picture style: sRGB codes pulled apart in the middle by a smooth step."""

    def bend(linear: Floats) -> Floats:
        code = _encode(linear)
        return (1 - amount) * code + amount * code**2 * (3 - 2 * code)

    return bend


def _film(linear: Floats) -> Floats:
    """A filmic curve: a toe below, a long shoulder above, brighter in the middle."""
    x = np.clip(linear, 0.0, 1.0) * 1.6
    return _encode(np.clip(1.05 * x**1.25 / (x**1.25 + 0.32), 0.0, 1.0))


def _phone(linear: Floats) -> Floats:
    """A phone's look: shadows lifted, contrast in the middle, highlights rolled off."""
    code = _encode(np.clip(1.25 * linear, 0.0, None) / (1 + 0.25 * np.clip(linear, 0.0, None)))
    return np.clip(code + 0.05 * np.sin(np.pi * code) ** 2 - 0.07 * np.sin(2 * np.pi * code), 0.0, 1.0)


CURVES: dict[str, Callable[[Floats], Floats]] = {
    "plain": _encode,
    "mild contrast": _s_curve(0.35),
    "strong contrast": _s_curve(0.8),
    "filmic": _film,
    "phone": _phone,
}
"""Tone curves from linear light to sRGB codes on the scale 0 to 1."""


@cache
def _d65_weights() -> Floats:
    weights = OBSERVER * lamp_spectrum("D65")[:, None]
    return np.asarray(weights / weights[:, 1].sum())


def lab(reflectance: Floats) -> Floats:
    """True L*, a*, b* (D65, 2°) of reflectances (..., wavelengths), by colour-science."""
    white = _d65_weights().sum(axis=0)
    return np.asarray(colour.XYZ_to_Lab(reflectance @ _d65_weights(), colour.XYZ_to_xy(white)))


def neutral(lightness: float) -> Floats:
    """A flat grey of this L*."""
    luminance = ((lightness + 16) / 116) ** 3 if lightness > 8 else lightness / 903.3
    return np.full(OBSERVER.shape[0], luminance)


def oak(lightness: float, *, raw: tuple[float, float, float] = (68.0, 6.5, 21.0)) -> Floats:
    """Oak fumed down to this L* from a raw colour, as a spectrum."""
    base = raw_oak(*raw)
    if lightness >= raw[0]:
        return reflectance_from_absorption(base)
    amount = concentration_for_lightness(base, chromophore(), lightness)
    return reflectance_from_absorption(base + amount * chromophore())


@cache
def chart_spectra(name: str = "BabelColor Average") -> Floats:
    """Measured reflectances of the 24 patches, row by row: shape (24, wavelengths)."""
    return np.array([on_grid(patch) for patch in colour.SDS_COLOURCHECKERS[name].values()])


@dataclass(frozen=True, slots=True, kw_only=True)
class Camera:
    """One camera under one lamp."""

    sensor: str
    lamp: str
    cast: tuple[float, float] = (1.0, 1.0)  # a white's red and blue against green, where its own balance is off
    stray: float = 0.0  # share of a mid-bright scene's light that lies over everything
    exposure: float = 0.85  # of full light, for a perfect white

    def linear(self, reflectance: Floats) -> Floats:
        """Linear sRGB (..., 3) as the camera has it before its tone curve."""
        weights, matrix = _trained(self.sensor, self.lamp)
        gains = np.array([self.cast[0], 1.0, self.cast[1]]) @ np.linalg.inv(matrix)  # of the sensor's channels
        return np.asarray(self.exposure * ((reflectance @ weights + self.stray) * gains @ matrix))

    def balanced_lab(self, reflectance: Floats, card: Floats, card_lab: Floats) -> Floats:
        """The metameric floor: Bradford by the card, no curve, no noise, no file."""
        seen, goal = self.linear(card) @ _SRGB_TO_XYZ.T, colour.Lab_to_XYZ(card_lab, np.array([0.3127, 0.3290]))
        gains = (_BRADFORD @ goal) / (_BRADFORD @ seen)
        move = np.linalg.inv(_BRADFORD) @ np.diag(gains) @ _BRADFORD @ _SRGB_TO_XYZ
        return np.asarray(colour.XYZ_to_Lab(self.linear(reflectance) @ move.T, np.array([0.3127, 0.3290])))


@cache
def _trained(sensor: str, lamp: str) -> tuple[Floats, Floats]:
    """Sensor under the lamp, white at 1, and the least-squares matrix to linear sRGB that keeps white white."""
    spectrum = lamp_spectrum(lamp)
    raw = on_grid(colour.MSDS_CAMERA_SENSITIVITIES[sensor]) * spectrum[:, None]
    weights = raw / raw.sum(axis=0)
    patches = chart_spectra("ISO 17321-1")
    observer = OBSERVER * spectrum[:, None]
    observer = observer / observer[:, 1].sum()
    gains = (_BRADFORD @ _d65_weights().sum(axis=0)) / (_BRADFORD @ observer.sum(axis=0))
    move = np.linalg.inv(_BRADFORD) @ np.diag(gains) @ _BRADFORD
    goal = patches @ observer @ move.T @ np.linalg.inv(_SRGB_TO_XYZ).T
    matrix = np.linalg.lstsq(patches @ weights, goal, rcond=None)[0]
    return np.asarray(weights), np.asarray(matrix / matrix.sum(axis=0))


@dataclass(frozen=True, slots=True, kw_only=True)
class Bench:
    """A picture of patches in a grid, and where each lies."""

    picture: NDArray[np.uint8]
    boxes: tuple[tuple[int, int, int, int], ...]  # x, y, width, height


def _light(height: int, width: int, fall_off: float) -> Floats:
    """Light that falls off ever faster away from the first cell, 1 there and 1 - `fall_off` in the last."""
    down, across = np.mgrid[0:height, 0:width].astype(float)
    place = 0.65 * (across - CELL / 2) / max(width - CELL, 1) + 0.35 * (down - CELL / 2) / max(height - CELL, 1)
    return np.asarray(1 - fall_off * np.sign(place) * np.abs(place) ** 1.3)


def photograph(
    spectra: Floats,
    camera: Camera,
    curve: str | None,
    rng: np.random.Generator,
    *,
    textured: NDArray[np.bool_],
    fall_off: float = 0.0,
    columns: int = 8,
) -> Bench:
    """One photo of the patches: texture on the wood, light falling off across and down, noise, curve, 8 bits.

    `fall_off` is the share of light lost from the first patch to the last; a curve of None writes linear codes.
    """
    rows = -(-len(spectra) // columns)
    linear = camera.linear(spectra)
    scene = np.zeros((rows * CELL, columns * CELL, 3))
    scene[:] = camera.linear(neutral(30.0))
    boxes = []
    for i in range(len(spectra)):
        y, x = CELL * (i // columns) + (CELL - PATCH) // 2, CELL * (i % columns) + (CELL - PATCH) // 2
        face = np.ones((PATCH, PATCH))
        if textured[i]:
            streaks = cv2.GaussianBlur(rng.normal(size=(PATCH, PATCH)), (0, 0), sigmaX=9.0, sigmaY=0.8)
            face += 0.05 * (streaks - streaks.mean()) / streaks.std()
        scene[y : y + PATCH, x : x + PATCH] = linear[i] * face[..., None]
        boxes.append((x, y, PATCH, PATCH))
    scene *= _light(scene.shape[0], scene.shape[1], fall_off)[..., None]
    scene += rng.normal(0, 1, scene.shape) * np.sqrt(np.maximum(scene, 0) * 1e-4 + 1e-6)
    code = np.clip(scene, 0, 1) if curve is None else CURVES[curve](scene)
    return Bench(picture=np.rint(255 * code).astype(np.uint8), boxes=tuple(boxes))
