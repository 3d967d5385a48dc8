"""The simulated camera and lamp: spectra to light on the sensor, to a plain sRGB picture, and back by one grey card.

The lamp is CIE LED-B3 (a neutral-white LED, about 4100 K) and the sensor one of the measured cameras that
colour-science carries. The camera sets its own white balance (a little off, as cameras do), applies one matrix fitted
on the ISO 17321-1 patches under its lamp, and writes the plain sRGB curve of IEC 61966-2-1: no contrast curve, no
sharpening. The balance by the card is written here a second time and knows nothing of the program under test.
"""

from __future__ import annotations

import io
from dataclasses import dataclass
from functools import cache

import colour
import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image

from tests.simulation.noise import floats, noise_field
from tests.simulation.spectra import OBSERVER, WHITE_D65, card_reflectance, lab_from_xyz, lamp_spectrum, on_grid

__all__ = [
    "BRADFORD",
    "CARD_LAB",
    "SRGB_TO_XYZ",
    "Camera",
    "balance_by_card",
    "delta_e_2000",
    "jpeg_bytes",
    "measured_camera",
    "srgb_code",
]

Floats = NDArray[np.float64]
Pixels = NDArray[np.float32]

SENSOR = "Nikon 5100 (NPL)"  # the data set's own name in colour-science
LAMP = "LED-B3"
CARD_LAB = (49.5, 0.0, 0.0)  # what the card says of itself

# Bradford cone responses (Lam 1985; CIE 15, ICC.1), from memory
BRADFORD: Floats = np.array([[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]])
# IEC 61966-2-1, linear sRGB to XYZ of D65
SRGB_TO_XYZ: Floats = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]])

_PHOTON_NOISE = 0.011  # SD of a pixel at full light: about 8,000 electrons
_READ_NOISE = 0.0012
_MOTTLE = 0.010  # SD of the blotches of colour that a camera's own smoothing leaves, as a share of the light
_BLOTCH_PX, _SMALL_BLOTCH_PX, _LENS_BLUR_PX, _GRAIN_PX = 5.0, 1.0, 0.75, 0.55
_CHANNEL_NOISE = (1.25, 1.0, 1.45)  # red and blue are the thinner channels


@dataclass(frozen=True, slots=True, kw_only=True)
class Camera:
    """A sensor under a lamp with the white balance it chose.

    Attributes
    ----------
    weights
        Reflectance (wavelengths) to balanced sensor light (3); a perfect white on the card's plane gives `balance`.
    matrix
        Sensor light (3) to linear sRGB, for row vectors.
    exposure
        Light of a perfect white, 1 being the brightest the file can hold.
    """

    weights: Floats
    matrix: Floats
    exposure: float

    def sensor_light(self, reflectance: Floats) -> Floats:
        """Return sensor light (…, 3) of reflectances (…, wavelengths) under even light."""
        return np.asarray(self.exposure * (reflectance @ self.weights))

    def linear_srgb(self, reflectance: Floats) -> Floats:
        """Return linear sRGB (…, 3) of reflectances (…, wavelengths) under even light."""
        return np.asarray(self.sensor_light(reflectance) @ self.matrix)

    def balanced_lab(self, reflectance: Floats, light_ratio: float | Floats = 1.0) -> Floats:
        """Return L*, a*, b* that balancing by the card gives, the wood getting `light_ratio` times the card's light."""
        ratio = np.asarray(light_ratio, dtype=np.float64)[..., np.newaxis]
        return balance_by_card(self.linear_srgb(reflectance) * ratio, self.linear_srgb(card_reflectance()))

    def expose(self, light: Pixels, rng: np.random.Generator, *, coarser: int = 1) -> NDArray[np.uint8]:
        """Return the sRGB picture of sensor light (height, width, 3): lens blur, sensor noise, matrix, curve.

        A picture that is `coarser` times smaller has noise of the same size a pixel and no blur.
        """
        if coarser == 1:
            light = floats(cv2.GaussianBlur(light, (0, 0), _LENS_BLUR_PX))
        noise = rng.standard_normal(light.shape, dtype=np.float32)
        noise *= np.asarray(_CHANNEL_NOISE, dtype=np.float32)
        noise *= np.sqrt(np.maximum(light, 0.0) * np.float32(_PHOTON_NOISE**2) + np.float32(_READ_NOISE**2))
        if coarser == 1:
            noise = floats(cv2.GaussianBlur(noise, (0, 0), _GRAIN_PX))
        blotch_px = _BLOTCH_PX if coarser == 1 else _SMALL_BLOTCH_PX
        for channel in range(3):
            blotches = noise_field(light.shape[:2], along_px=blotch_px, across_px=blotch_px, rng=rng)
            noise[..., channel] += np.float32(_MOTTLE) * light[..., channel] * blotches
        linear = cv2.transform(light + noise, self.matrix.T.astype(np.float32))
        return srgb_code(floats(linear))


def measured_camera(rng: np.random.Generator) -> Camera:
    """Return the camera for one photo: exposure and white balance vary a little from photo to photo."""
    off = np.exp(rng.normal((0.025, 0.0, -0.035), 0.005))
    return Camera(weights=_sensor_weights() * off, matrix=_fitted_matrix(), exposure=float(rng.uniform(0.86, 0.98)))


@cache
def _sensor_weights() -> Floats:
    """Return the sensor under the lamp, each channel scaled so that a perfect white gives 1."""
    raw = on_grid(colour.MSDS_CAMERA_SENSITIVITIES[SENSOR]) * lamp_spectrum(LAMP)[:, np.newaxis]
    return np.asarray(raw / raw.sum(axis=0))


@cache
def _fitted_matrix() -> Floats:
    """Return the least-squares matrix on the ISO 17321-1 patches, its columns scaled so that white stays white."""
    weights = _sensor_weights()
    patches = np.array([on_grid(patch) for patch in colour.SDS_COLOURCHECKERS["ISO 17321-1"].values()])
    lamp = OBSERVER * lamp_spectrum(LAMP)[:, np.newaxis]
    lamp = lamp / lamp[:, 1].sum()
    adapted = (patches @ lamp) @ _adaptation(lamp.sum(axis=0), WHITE_D65).T
    linear = adapted @ np.linalg.inv(SRGB_TO_XYZ).T
    matrix = np.linalg.lstsq(patches @ weights, linear, rcond=None)[0]
    return np.asarray(matrix / matrix.sum(axis=0))


def _adaptation(white: Floats, target_white: Floats) -> Floats:
    """Return the Bradford matrix that moves one white (XYZ) to another."""
    gains = (BRADFORD @ target_white) / (BRADFORD @ white)
    return np.asarray(np.linalg.inv(BRADFORD) @ np.diag(gains) @ BRADFORD)


def balance_by_card(
    linear_srgb: Floats, card_linear_srgb: Floats, card_lab: tuple[float, float, float] = CARD_LAB
) -> Floats:
    """Return L*, a*, b* (D65, 2°) of linear sRGB (…, 3), cone gains putting the card on its stated colour."""
    moved = (linear_srgb @ SRGB_TO_XYZ.T) @ _adaptation(SRGB_TO_XYZ @ card_linear_srgb, _stated_xyz(card_lab)).T
    return lab_from_xyz(moved)


@cache
def _stated_xyz(lab: tuple[float, float, float]) -> Floats:
    """Return XYZ of a stated colour, by colour-science."""
    return np.asarray(colour.Lab_to_XYZ(np.asarray(lab), illuminant=np.asarray(colour.XYZ_to_xy(WHITE_D65))))


def delta_e_2000(first: Floats, second: Floats) -> Floats:
    """Return CIEDE2000 of L*, a*, b* (…, 3), by colour-science."""
    return np.asarray(colour.delta_E(first, second, method="CIE 2000"), dtype=np.float64)


_CURVE_STEPS = 1 << 14


def _curve_table() -> NDArray[np.uint8]:
    """Return 8-bit sRGB codes for linear light in even steps from 0 to 1."""
    x = np.linspace(0.0, 1.0, _CURVE_STEPS)
    code = np.where(x <= 0.0031308, 12.92 * x, 1.055 * x ** (1 / 2.4) - 0.055)
    return np.rint(255.0 * code).astype(np.uint8)


_CURVE = _curve_table()


def srgb_code(linear: Pixels) -> NDArray[np.uint8]:
    """Return 8-bit sRGB codes of linear light, clipped to 0–1."""
    steps = np.clip(linear, 0.0, 1.0)
    steps *= _CURVE_STEPS - 1
    return _CURVE[(steps + 0.5).astype(np.uint16)]


def jpeg_bytes(picture: NDArray[np.uint8], *, quality: int, quarter_turned: bool = False) -> bytes:
    """Return the picture as a JPEG file; `quarter_turned` stores it on its side and lets EXIF say so."""
    image = Image.fromarray(picture)
    exif = Image.Exif()
    if quarter_turned:
        image = image.transpose(Image.Transpose.ROTATE_90)
        exif[0x0112] = 6  # turn by 90° clockwise to see it upright
    stream = io.BytesIO()
    image.save(stream, "JPEG", quality=quality, subsampling=2, optimize=True, exif=exif)
    return stream.getvalue()
