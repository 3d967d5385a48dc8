"""The whole colour along the curve: a* and b* at any hour, from the readings and the path of lightness.

a* and b* do not time the darkening (they narrow the hours by a few per cent only), they tell whether the shade is the
right one when the lightness is. They ride on the lightness as far as the readings allow, and stray from it where the
readings insist.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from colourcore.colour.difference import delta_e_2000
from colourcore.curve.fit import Posterior, Target, own_covariance, shared_covariance
from colourcore.curve.priors import discrepancy

__all__ = ["ColourPath", "channel_path", "colour_path"]

Array = NDArray[np.float64]

# priors: value on raw wood, and change with each L* of darkening, as (centre, spread)
_START = {1: (7.0, 10.0), 2: (18.0, 12.0)}
_PER_LIGHTNESS = (0.0, 0.5)
_NOISES = np.geomspace(0.15, 2.5, 5)
_STRAYS = np.array([0.3, 1.0, 3.0])


def channel_path(posterior: Posterior, channel: int, hours: Array, lightness: Array) -> tuple[Array, Array] | None:
    """Return mean and variance of a* (channel 1) or b* (2) at these hours, (T,) each; None with under two readings.

    `lightness` is the curve's L* at these hours. Gaussian regression on lightness with a stray of three sizes and
    five noises, averaged by their evidence; a reading counts less the more likely it is a bad one.
    """
    keep = [i for i, sample in enumerate(posterior.samples) if not sample.colour_lost]
    if len(keep) < 2:
        return None
    samples = [posterior.samples[i] for i in keep]
    at, values = posterior.evidence.hours[keep], np.array([s.lab[channel] for s in samples])
    basis = np.interp(at, hours, lightness) - lightness[0]
    (start, start_spread), (slope, slope_spread) = _START[channel], _PER_LIGHTNESS

    known = own_covariance(samples, channel) + shared_covariance(samples, samples, channel)
    known += np.diag(posterior.selection.bad_odds[keep] * posterior.priors.bad_spread**2)
    known += start_spread**2 + slope_spread**2 * np.outer(basis, basis)
    near = discrepancy(at, at, posterior.scale) / posterior.priors.discrepancy**2
    noises, strays = (grid.ravel() for grid in np.meshgrid(_NOISES, _STRAYS))
    covariance = known + (noises**2)[:, None, None] * np.eye(len(keep)) + (strays**2)[:, None, None] * near

    inverse = np.linalg.inv(covariance)
    excess = values - start - slope * basis
    pulled = inverse @ excess
    log_weight = -0.5 * (pulled @ excess + np.linalg.slogdet(covariance)[1])
    weight = np.exp(log_weight - log_weight.max())
    weight /= weight.sum()

    far = discrepancy(hours, at, posterior.scale) / posterior.priors.discrepancy**2
    along = lightness - lightness[0]
    linear = start_spread**2 + slope_spread**2 * np.outer(along, basis)
    cross = linear + (strays**2)[:, None, None] * far
    means = start + slope * along + np.matmul(cross, pulled[:, :, None])[:, :, 0]
    own = start_spread**2 + slope_spread**2 * along**2 + (strays**2)[:, None]
    variances = own - (np.matmul(cross, inverse) * cross).sum(axis=2)
    mean = weight @ means
    variance = weight @ (variances + (means - mean) ** 2)
    return np.asarray(mean), np.asarray(np.maximum(variance, 1e-8))


@dataclass(frozen=True, slots=True, kw_only=True)
class ColourPath:
    """The most likely colour of the board at T hours; a* and b* are None where the readings hold too little colour.

    `lab` is (T, 3) where colour is known; `a_variance` and `b_variance` are of the average curve, (T,).
    """

    hours: Array
    lightness: Array
    a: Array | None
    b: Array | None
    a_variance: Array | None
    b_variance: Array | None

    def at(self, hours: float) -> tuple[float, float, float] | None:
        """Return L*, a*, b* at an hour within the path, None without colour."""
        if self.a is None or self.b is None:
            return None
        one, two, three = (float(np.interp(hours, self.hours, part)) for part in (self.lightness, self.a, self.b))
        return one, two, three

    def delta_e_2000(self, target: Target) -> Array | None:
        """Return CIEDE2000 to the target at each hour, (T,); None where either has no colour."""
        if self.a is None or self.b is None or target.a is None or target.b is None:
            return None
        return delta_e_2000(np.column_stack([self.lightness, self.a, self.b]), (target.L, target.a, target.b))

    def delta_e_2000_at(self, hours: float, target: Target) -> float | None:
        """Return CIEDE2000 to the target at one hour; None where either has no colour."""
        colour = self.at(hours)
        if colour is None or target.a is None or target.b is None:
            return None
        return float(delta_e_2000(colour, (target.L, target.a, target.b)))

    def delta_e_2000_between(self, hours: float, others: float) -> float | None:
        """Return CIEDE2000 between the colours at two hours; None without colour."""
        one, two = self.at(hours), self.at(others)
        return None if one is None or two is None else float(delta_e_2000(one, two))


def colour_path(posterior: Posterior, hours: Array, lightness: Array) -> ColourPath:
    """Return the colour along the curve whose L* at these hours is given."""
    a, b = (channel_path(posterior, channel, hours, lightness) for channel in (1, 2))
    return ColourPath(
        hours=hours,
        lightness=lightness,
        a=None if a is None else a[0],
        b=None if b is None else b[0],
        a_variance=None if a is None else a[1],
        b_variance=None if b is None else b[1],
    )
