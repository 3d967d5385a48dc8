"""Reflectance spectra of the simulated world, made up: oak, its darkening, a grey card, paint and paper.

Nothing here was measured. Raw oak is a smooth curve fitted to a plausible colour; the darkening adds one brown
chromophore by the Kubelka–Munk law (Kubelka & Munk 1931, Z. tech. Phys. 12, 593–601): for a thick layer
K/S = (1 - R)² / (2 R), and K/S of the parts add up. How fast the chromophore grows is synthetic: no published
rate law of fumed oak at room temperature could be verified.

All spectra are arrays over `WAVELENGTHS_NM`; reflectances lie in 0–1, K/S is 0 or more.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from typing import Literal

import colour
import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq, fsolve

__all__ = [
    "OBSERVER",
    "WAVELENGTHS_NM",
    "WHITE_D65",
    "RateLaw",
    "Wood",
    "card_reflectance",
    "chromophore",
    "concentration_for_lightness",
    "lab_from_xyz",
    "lamp_spectrum",
    "on_grid",
    "paint_reflectance",
    "paper_reflectance",
    "raw_oak",
    "reflectance_from_absorption",
    "spectral_lab",
]

Floats = NDArray[np.float64]

_SHAPE = colour.SpectralShape(380, 780, 5)
WAVELENGTHS_NM: Floats = np.arange(380.0, 780.1, 5.0)


def on_grid(distribution: colour.SpectralDistribution | colour.MultiSpectralDistributions) -> Floats:
    """Return a published distribution's values at `WAVELENGTHS_NM`, 0 where it has none."""
    aligned = distribution.copy().align(_SHAPE, extrapolator_kwargs={"method": "Constant", "left": 0.0, "right": 0.0})
    return np.clip(np.nan_to_num(np.asarray(aligned.values, dtype=np.float64)), 0.0, None)


def lamp_spectrum(name: str) -> Floats:
    """Return an illuminant of colour-science by its CIE name."""
    return on_grid(colour.SDS_ILLUMINANTS[name])


OBSERVER: Floats = on_grid(colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"])
_D65_WEIGHTS: Floats = OBSERVER * lamp_spectrum("D65")[:, np.newaxis]
_D65_WEIGHTS = _D65_WEIGHTS / _D65_WEIGHTS[:, 1].sum()
WHITE_D65: Floats = _D65_WEIGHTS.sum(axis=0)


def lab_from_xyz(xyz: Floats, white: Floats = WHITE_D65) -> Floats:
    """Return CIELAB (ISO/CIE 11664-4) of XYZ (…, 3) under its white, both on the same scale."""
    ratio = np.asarray(xyz, dtype=np.float64) / white
    root = np.where(ratio > 216.0 / 24389.0, np.cbrt(ratio), (24389.0 / 27.0 * ratio + 16.0) / 116.0)
    x, y, z = np.moveaxis(root, -1, 0)
    return np.stack([116.0 * y - 16.0, 500.0 * (x - y), 200.0 * (y - z)], axis=-1)


def spectral_lab(reflectance: Floats) -> Floats:
    """Return the true CIELAB (D65, 2°) of reflectances (…, wavelengths)."""
    return lab_from_xyz(reflectance @ _D65_WEIGHTS)


def reflectance_from_absorption(absorption: Floats) -> Floats:
    """Return the Kubelka–Munk reflectance of a thick layer with the given K/S."""
    return 1.0 + absorption - np.sqrt(absorption * absorption + 2.0 * absorption)


@cache
def _raw_oak_parameters(lightness: float, redness: float, yellowness: float) -> tuple[float, float, float]:
    wanted = np.array([lightness, redness, yellowness])

    def missed_by(parameters: Floats) -> Floats:
        return np.asarray(spectral_lab(reflectance_from_absorption(_oak_absorption(*parameters))) - wanted)

    solved = fsolve(missed_by, np.array([0.45, 0.02, 110.0]))
    return float(solved[0]), float(solved[1]), float(solved[2])


def _oak_absorption(fall: float, bump: float, width_nm: float) -> Floats:
    blue = fall * np.exp(-(WAVELENGTHS_NM - 500.0) / width_nm)
    return np.clip(blue + bump * np.exp(-(((WAVELENGTHS_NM - 540.0) / 65.0) ** 2)), 1e-4, None)


def raw_oak(lightness: float, redness: float, yellowness: float) -> Floats:
    """Return K/S of raw oak of the given spectral L*, a*, b* (D65, 2°): strong in the blue, falling to the red."""
    return _oak_absorption(*_raw_oak_parameters(lightness, redness, yellowness))


def chromophore(breadth_nm: float = 300.0) -> Floats:
    """Return K/S of the brown chromophore at concentration 1: 1 at 550 nm, falling to the red; broader is greyer."""
    return np.exp(-(WAVELENGTHS_NM - 550.0) / breadth_nm)


def card_reflectance() -> Floats:
    """Return the card: 18 % at every wavelength, which is L* 49.496."""
    return np.full_like(WAVELENGTHS_NM, 0.18)


def paint_reflectance() -> Floats:
    """Return the bench board's grey paint, a little cool, about 27 %."""
    return 0.27 * (1.0 + 0.04 * (550.0 - WAVELENGTHS_NM) / 230.0)


def paper_reflectance() -> Floats:
    """Return uncoated tag paper, a little warm, about 80 %."""
    return 0.80 * (1.0 - 0.16 * np.exp(-(WAVELENGTHS_NM - 380.0) / 60.0))


@dataclass(frozen=True, slots=True, kw_only=True)
class RateLaw:
    """How the chromophore grows: synthetic, no measured law.

    With x = t/τ, `first` and `stretched` are limit·(1 - exp(-x^m)), m being 1 for the first; `second` is
    limit·x/(1 + x).
    """

    kind: Literal["first", "stretched", "second"]
    limit: float
    time_constant_hours: float
    exponent: float = 1.0

    def concentration(self, hours: float | Floats) -> Floats:
        """Return the concentration after the given hours, 0 or more."""
        x = np.asarray(hours, dtype=np.float64) / self.time_constant_hours
        if self.kind == "second":
            return np.asarray(self.limit * (1.0 - 1.0 / (1.0 + x)))
        return np.asarray(self.limit * -np.expm1(-(x**self.exponent)))


@dataclass(frozen=True, slots=True, kw_only=True)
class Wood:
    """Oak of one board and zone: its raw K/S, its chromophore and its rate law."""

    raw: Floats
    brown: Floats
    law: RateLaw

    def absorption(self, hours: float | Floats) -> Floats:
        """Return K/S after the given hours, shape (…, wavelengths)."""
        return self.raw + self.law.concentration(hours)[..., np.newaxis] * self.brown

    def reflectance(self, hours: float | Floats) -> Floats:
        """Return the reflectance after the given hours, shape (…, wavelengths)."""
        return reflectance_from_absorption(self.absorption(hours))

    def piece(self, *, raw_shift_lightness: float, depth: float, pace: float) -> Wood:
        """Return one piece of the board: raw L* shifted, limit and pace multiplied."""
        law = replace(self.law, limit=self.law.limit * depth, time_constant_hours=self.law.time_constant_hours / pace)
        return replace(self, raw=_shifted(self.raw, raw_shift_lightness), law=law)


def _shifted(raw: Floats, lightness: float) -> Floats:
    """Return raw K/S scaled so that its spectral L* moves by the given amount, at most about 4 L*."""
    scales = np.exp(np.linspace(0.35, -0.35, 15))
    reached = spectral_lab(reflectance_from_absorption(scales[:, np.newaxis] * raw))[:, 0]
    return np.asarray(raw * np.interp(reached[7] + lightness, reached, scales))


def concentration_for_lightness(raw: Floats, brown: Floats, lightness: float) -> float:
    """Return the chromophore concentration that darkens raw K/S to the given spectral L*."""
    return float(
        brentq(
            lambda c: spectral_lab(reflectance_from_absorption(raw + c * brown))[0] - lightness, 0.0, 30.0, xtol=1e-9
        )
    )
