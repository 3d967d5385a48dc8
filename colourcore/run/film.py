"""A look through clear film: the film veils and tints everything behind it, and the card behind it tells by how much.

Light through film is what the wood sends, weakened (a gain for each of X, Y, Z), and light that the film itself
scatters (a veil, the same for light and dark). Two greys of known lightness behind the same film tell both; a third
tells whether that is all. The wood's reading comes back with the error that this leaves.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from colourcore.colour.spaces import lab_to_xyz, xyz_to_lab
from colourcore.errors import InputError

__all__ = ["Film", "GreyBehind", "film_of", "seen_through"]

Array = NDArray[np.float64]

MOST_VEIL: Final = 0.10
"""Share of white that a film may scatter; beyond it the pane is fogged and the look is refused."""

LEAST_GAIN: Final = 0.5
"""Least share of the light that a film may let through."""

MOST_STREAK: Final = 1.5
"""L* by which a grey may lie off what veil and gain make of it; beyond it the pane is streaked."""

_READ_VARIANCE: Final = 0.2**2  # L* of a grey whose own error nobody stated


@dataclass(frozen=True, slots=True, kw_only=True)
class GreyBehind:
    """A grey of the step card behind the film: its stated L*, a*, b*, those read, and the variance of the read L*."""

    stated: tuple[float, float, float]
    read: tuple[float, float, float]
    variance: float = _READ_VARIANCE


@dataclass(frozen=True, slots=True, kw_only=True)
class Film:
    """What a film does to light.

    Attributes
    ----------
    veil
        Light scattered by it, as a share of white, for X, Y and Z.
    gain
        Share of the light that comes through, for X, Y and Z.
    veil_error, gain_error
        Standard errors of the veil and the gain for Y, and `covariance` between them.
    off
        How far the greys lie off it at most, in L*; 0 with two greys, which always fit.
    checked
        Whether a third grey has tested it.
    """

    veil: tuple[float, float, float]
    gain: tuple[float, float, float]
    veil_error: float
    gain_error: float
    covariance: float
    off: float
    checked: bool

    @property
    def sentence(self) -> str:
        """What the film costs, in plain words."""
        haze = f"The film veils by {100 * max(0.0, self.veil[1]):.1f} % of white and passes {100 * self.gain[1]:.0f} %"
        said = f"{haze}; both are taken off by the card behind it."
        return said if self.checked else f"{said} Two greys cannot tell a streak: a third one would."


def _slope(lightness: float) -> float:
    """Return how much Y (white 1) changes for one L* at that lightness."""
    at = [float(lab_to_xyz(np.array([lightness + step, 0.0, 0.0]))[1]) for step in (-0.5, 0.5)]
    return at[1] - at[0]


def film_of(greys: Sequence[GreyBehind]) -> Film:
    """Return what the film does, from greys behind it.

    Raises InputError with fewer than two greys that differ, through a fogged pane, and through a streaked one.

    >>> dark = GreyBehind(stated=(30.0, 0, 0), read=(34.7, 0, 0))
    >>> light = GreyBehind(stated=(90.0, 0, 0), read=(89.9, 0, 0))
    >>> round(film_of([dark, light]).veil[1], 2)
    0.02
    """
    if len({round(grey.stated[0], 1) for grey in greys}) < 2:
        raise InputError("expected two greys or more of different lightness behind the film, got one")
    stated = np.array([lab_to_xyz(np.array(grey.stated)) for grey in greys])
    read = np.array([lab_to_xyz(np.array(grey.read)) for grey in greys])
    white = lab_to_xyz(np.array([100.0, 0.0, 0.0]))
    spread = np.array([max(1e-12, grey.variance * _slope(grey.read[0]) ** 2) for grey in greys])
    lines = [_line(stated[:, k] / white[k], read[:, k] / white[k], spread) for k in range(3)]
    veil, gain, covariance = lines[1]
    back = veil + gain * stated[:, 1] / white[1]
    off = max(abs(_lightness(there) - grey.read[0]) for there, grey in zip(back, greys, strict=True))
    if veil > MOST_VEIL or gain < LEAST_GAIN:
        what = f"{100 * veil:.0f} % of white scattered and {100 * gain:.0f} % of the light let through"
        raise InputError(
            f"expected clear film (at most {100 * MOST_VEIL:.0f} % scattered, at least {100 * LEAST_GAIN:.0f} % let "
            f"through), got a fogged pane: {what}"
        )
    if off > MOST_STREAK:
        raise InputError(
            f"expected greys that agree within {MOST_STREAK:g} L* behind one film, got {off:.1f}: the pane is streaked "
            "or shines"
        )
    return Film(
        veil=(lines[0][0], veil, lines[2][0]),
        gain=(lines[0][1], gain, lines[2][1]),
        veil_error=math.sqrt(covariance[0, 0]),
        gain_error=math.sqrt(covariance[1, 1]),
        covariance=float(covariance[0, 1]),
        off=0.0 if len(greys) < 3 else off,
        checked=len(greys) > 2,
    )


def _lightness(luminance: float) -> float:
    white = lab_to_xyz(np.array([100.0, 0.0, 0.0]))
    return float(xyz_to_lab(max(0.0, luminance) * white)[0])


def _line(stated: Array, read: Array, spread: Array) -> tuple[float, float, Array]:
    """Return veil, gain and their covariance by weighted least squares."""
    design = np.stack([np.ones_like(stated), stated], axis=1)
    covariance = np.linalg.inv(design.T @ (design / spread[:, None]))
    veil, gain = covariance @ (design.T @ (read / spread))
    return float(veil), float(gain), np.asarray(covariance, dtype=np.float64)


def seen_through(
    film: Film, lab: tuple[float, float, float], variance: float
) -> tuple[tuple[float, float, float], float]:
    """Return L*, a*, b* of something behind the film as it is, and the variance of its L*, the film's part included.

    Raises InputError where the film's veil is lighter than what was read.

    >>> greys = [GreyBehind(stated=(L, 0, 0), read=(L, 0, 0)) for L in (30.0, 60.0, 90.0)]
    >>> lab, variance = seen_through(film_of(greys), (48.0, 5.0, 14.0), 0.09)
    >>> [round(value, 3) for value in lab], round(variance, 2)
    ([48.0, 5.0, 14.0], 0.1)
    """
    white = lab_to_xyz(np.array([100.0, 0.0, 0.0]))
    read = np.asarray(lab_to_xyz(np.array(lab))) / white
    true = (read - np.array(film.veil)) / np.array(film.gain)
    if np.any(true <= 0):
        raise InputError("expected wood lighter than the film’s own veil, got darker: the pane is fogged there")
    found = xyz_to_lab(true * white)
    gain, level = film.gain[1], float(true[1])
    own = variance * _slope(lab[0]) ** 2
    shared = film.veil_error**2 + level**2 * film.gain_error**2 + 2 * level * film.covariance
    back = (own + shared) / gain**2 / _slope(float(found[0])) ** 2
    return (float(found[0]), float(found[1]), float(found[2])), back
