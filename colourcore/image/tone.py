"""Tone curves: from the light that a file claims to the light that fell on the sensor.

A camera bends its picture for the eye. The bend is a smooth rising curve in each channel; laid out in logarithms of
light it is close to straight, and beyond the last known point it is carried on straight.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from colourcore.errors import InputError

__all__ = ["Tone", "monotone_through", "tone_through"]

Array = NDArray[np.float64]

LEAST_LIGHT: Final = 1e-5  # of full light; below it the curve is a straight line through zero
_STEPS: Final = 2048
_GENTLEST, _STEEPEST = 0.25, 4.0  # slopes in logarithms, beyond which no camera's curve goes


def _end_slope(near: float, far: float, step: float, next_step: float) -> float:
    slope = ((2 * step + next_step) * near - step * far) / (step + next_step)
    if slope * near <= 0:
        return 0.0
    return 3 * near if near * far <= 0 and abs(slope) > 3 * abs(near) else slope


def monotone_through(x: ArrayLike, y: ArrayLike, at: ArrayLike) -> Array:
    """Return the values at `at` of a smooth curve through points that never overshoots them.

    Parameters
    ----------
    x, y
        Shape (n,), n at least 2: rising places and the values there.
    at
        Any shape; beyond the ends the curve goes on straight with its last slope, kept within 0.25 to 4.

    Source: Fritsch, Butland 1984, SIAM J Sci Stat Comput 5(2) 300-304 (monotone piecewise cubic interpolation).

    >>> [round(float(v), 3) for v in monotone_through([0, 1, 2], [0, 1, 4], [0.5, 1.0, 3.0])]
    [0.312, 1.0, 8.0]
    """
    xs, ys, places = (np.asarray(v, dtype=np.float64) for v in (x, y, at))
    step = np.diff(xs)
    secant = np.diff(ys) / step
    slopes = np.empty_like(xs)
    if xs.size == 2:
        slopes[:] = secant[0]
    else:
        left, right = 2 * step[1:] + step[:-1], step[1:] + 2 * step[:-1]
        with np.errstate(divide="ignore"):
            inner = (left + right) / (left / secant[:-1] + right / secant[1:])
        slopes[1:-1] = np.where(secant[:-1] * secant[1:] > 0, inner, 0.0)
        slopes[0] = _end_slope(secant[0], secant[1], step[0], step[1])
        slopes[-1] = _end_slope(secant[-1], secant[-2], step[-1], step[-2])
    k = np.clip(np.searchsorted(xs, places) - 1, 0, xs.size - 2)
    t = (places - xs[k]) / step[k]
    cubic = (
        (1 + 2 * t) * (1 - t) ** 2 * ys[k]
        + t * (1 - t) ** 2 * step[k] * slopes[k]
        + t**2 * (3 - 2 * t) * ys[k + 1]
        + t**2 * (t - 1) * step[k] * slopes[k + 1]
    )
    low = ys[0] + np.clip(slopes[0], _GENTLEST, _STEEPEST) * (places - xs[0])
    high = ys[-1] + np.clip(slopes[-1], _GENTLEST, _STEEPEST) * (places - xs[-1])
    return np.where(places < xs[0], low, np.where(places > xs[-1], high, cubic))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Tone:
    """What undoes a camera's tone curve and its stray light, channel by channel.

    Attributes
    ----------
    seen
        Shape (n,): rising levels of light as the file claims it, from 0.
    light
        Shape (3, n): the light that each channel stands for at these levels.
    offset
        Shape (3,): stray light, in the units of `light`, that is taken off afterwards.
    lowest, highest
        The levels, 0 to 1, between which the curve rests on references.
    """

    seen: Array
    light: Array
    offset: Array
    lowest: float
    highest: float

    def apply(self, light: ArrayLike) -> Array:
        """Return the light of the scene, shape (..., 3), for the light that the file claims, of that shape."""
        claimed = np.asarray(light, dtype=np.float64)
        bent = [np.interp(claimed[..., c], self.seen, self.light[c]) for c in range(3)]
        return np.stack(bent, axis=-1) - self.offset

    def slope(self, light: ArrayLike) -> Array:
        """Return how the scene's light answers to small changes of the claimed light, shape (..., 3)."""
        claimed = np.maximum(np.asarray(light, dtype=np.float64), LEAST_LIGHT)
        return (self.apply(claimed * 1.01) - self.apply(claimed * 0.99)) / (0.02 * claimed)


def tone_through(log_seen: ArrayLike, log_light: ArrayLike, *, offset: ArrayLike = (0.0, 0.0, 0.0)) -> Tone:
    """Return the tone curve through points in logarithms of light.

    Parameters
    ----------
    log_seen, log_light
        Shape (3, n): for each channel, natural logarithms of claimed light (rising) and of the scene's light.
    offset
        Stray light of each channel, shape (3,).

    Raises
    ------
    InputError
        When the light does not rise with the claimed light: the references contradict one another.
    """
    seen, light = np.asarray(log_seen, dtype=np.float64), np.asarray(log_light, dtype=np.float64)
    if np.any(np.diff(seen, axis=1) <= 0) or np.any(np.diff(light, axis=1) <= 0):
        raise InputError(
            "expected greys that get lighter in the photo in the order of their stated L, got another order; check "
            "which patch is which, and that none lies in shade or glare"
        )
    levels = np.linspace(0, 1, _STEPS) ** 2 * 1.02  # a little past full light; finer where it is dark
    logs = np.log(np.maximum(levels, LEAST_LIGHT))
    curves = np.stack([np.exp(monotone_through(seen[c], light[c], logs)) for c in range(3)])
    curves *= np.minimum(levels / LEAST_LIGHT, 1.0)
    return Tone(
        seen=levels,
        light=curves,
        offset=np.asarray(offset, dtype=np.float64),
        lowest=float(np.exp(seen[:, 0].min())),
        highest=float(np.exp(seen[:, -1].max())),
    )
