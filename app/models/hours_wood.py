"""The wood at another hour: three tables that move a photo's mean to a colour and keep its grain. Pure numbers.

A reading is a mean in linear light, so one gain for each channel lands the mean exactly:
out = E(W · (D(i)/m)^k / s), with D and E the screen's decoding and encoding, m the mean of the photo in linear light,
W the wanted colour, k the contrast of the grain and s the mean of (D/m)^k over the photo.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from colourcore.colour.spaces import XYZ_TO_SRGB, lab_to_xyz, srgb_decode, srgb_encode

__all__ = [
    "Grain",
    "Lab",
    "contrast_at",
    "grain_contrast",
    "grain_of",
    "path_pixels",
    "screen_pixel",
    "tables",
]

Lab = tuple[float, float, float]
Bytes = NDArray[np.uint8]
Array = NDArray[np.float64]

_CODES = np.arange(256)


@cache
def _decoded() -> Array:
    light = srgb_decode(_CODES / 255.0)
    light.setflags(write=False)
    return light


@dataclass(frozen=True, slots=True, kw_only=True)
class Grain:
    """What a photo holds, by channel: `shares` of its pixels at each code, (3, 256), `means` in linear light, (3,)."""

    shares: Array
    means: Array


def grain_of(pixels: Bytes) -> Grain:
    """Return what a photo's channels hold; `pixels` are (height, width, 3), sRGB codes."""
    shares = np.stack([np.bincount(pixels[..., c].ravel(), minlength=256) for c in range(3)]) / pixels[..., 0].size
    # a black channel has no grain to move; the least light that a code can hold stands in
    return Grain(shares=shares, means=np.maximum(shares @ _decoded(), _decoded()[1]))


def tables(grain: Grain, lab: Lab, contrast: float = 1.0) -> Bytes:
    """Return the codes that every code becomes, (3, 256) in the order of R, G, B, so that the mean is L*, a*, b*.

    Colours that the screen cannot show are shown as near as its channels go. `contrast` is that of the grain against
    the photo's own.
    """
    wanted = np.clip(XYZ_TO_SRGB @ lab_to_xyz(lab), 0.0, 1.0)
    ratio = (_decoded()[None, :] / grain.means[:, None]) ** contrast
    mean = np.maximum((grain.shares * ratio).sum(axis=1, keepdims=True), 1e-9)
    light = np.clip(wanted[:, None] * ratio / mean, 0.0, 1.0)
    return np.asarray(np.rint(255.0 * srgb_encode(light)), dtype=np.uint8)


def screen_pixel(lab: Lab) -> tuple[int, int, int]:
    """Return a colour's sRGB codes, cut off where the screen ends.

    >>> screen_pixel((100.0, 0.0, 0.0)), screen_pixel((49.496, 0.0, 0.0))
    ((255, 255, 255), (118, 118, 118))
    """
    red, green, blue = path_pixels(np.asarray([lab]))[0].tolist()
    return red, green, blue


def path_pixels(labs: Array) -> Bytes:
    """Return the sRGB codes of many colours, (N, 3) from L*, a*, b* (N, 3)."""
    light = np.clip(lab_to_xyz(labs) @ XYZ_TO_SRGB.T, 0.0, 1.0)
    return np.asarray(np.rint(255.0 * srgb_encode(light)), dtype=np.uint8)


def grain_contrast(lightness: Array, spreads: Array) -> tuple[float, float] | None:
    """Return what the samples' faces say of the grain's contrast: at L* 0, and its change with each L*, or None.

    Contrast is the spread of Y over a face against its mean, 3 σ(L*) / (L* + 16). None unless the change stands out
    of the scatter of at least five faces by two of its standard errors: then the grain keeps its contrast.
    """
    if lightness.size < 5 or np.ptp(lightness) < 5.0 or np.any(spreads <= 0.0):
        return None
    contrast = 3.0 * spreads / (lightness + 16.0)
    (slope, start), covariance = np.polyfit(lightness, contrast, 1, cov=True)
    return (float(start), float(slope)) if abs(slope) > 2.0 * np.sqrt(covariance[0, 0]) else None


def contrast_at(law: tuple[float, float] | None, raw_lightness: float, lightness: float) -> float:
    """Return the grain's contrast at an L* against that at another, between one half and twice."""
    if law is None:
        return 1.0
    start, slope = law
    first, now = start + slope * raw_lightness, start + slope * lightness
    return float(np.clip(now / first, 0.5, 2.0)) if first > 0.0 and now > 0.0 else 1.0
