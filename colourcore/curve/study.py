"""One board and zone against one target, worked out once: the board's answer, the piece's, and the ladder's read it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from colourcore.curve.fit import Posterior, Target
from colourcore.curve.forecast import Forecast, forecast, hour_axis, odds_past, quantiles, target_variance
from colourcore.curve.shade import ColourPath, colour_path

__all__ = ["NearestShade", "Study", "reach_horizon", "study", "target_spread"]

Array = NDArray[np.float64]

_SHORTEST_HORIZON = 48.0
# beyond this ΔE00 the nearest shade by lightness is as good a word for "nearest" as any
_STILL = 0.05


def reach_horizon(last_hours: float) -> float:
    """Return the hours within which a target must be reached: four times the last sample's, at least 48.

    >>> reach_horizon(24.0), reach_horizon(6.0)
    (96.0, 48.0)
    """
    return max(4.0 * last_hours, _SHORTEST_HORIZON)


@dataclass(frozen=True, slots=True, kw_only=True)
class NearestShade:
    """The shade nearest to the target within the horizon; `delta_e` is CIEDE2000, None without colour."""

    hours: float
    lightness: float
    delta_e: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Study:
    """What is known about one board against one target.

    Attributes
    ----------
    posterior
        What the readings leave possible.
    target
        The shade wanted, or None.
    confidence
        Probability inside the band.
    curve
        The board's average curve from 0 to the horizon under each hypothesis.
    lightness
        Lower end of the band, median, upper end, (3, T), none of them rising.
    odds
        Odds of the board's average curve being past the target, (T,), or None.
    path
        The colour along the median.
    """

    posterior: Posterior
    target: Target | None
    confidence: float
    curve: Forecast
    lightness: Array
    odds: Array | None
    path: ColourPath

    @property
    def hours(self) -> Array:
        """The hours that everything here stands at, (T,)."""
        return self.curve.hours

    @property
    def horizon(self) -> float:
        """The hours within which a target must be reached."""
        return float(self.curve.hours[-1])

    def lightness_at(self, hours: float) -> float:
        """Return the median L* at an hour within the horizon."""
        return float(np.interp(hours, self.hours, self.lightness[1]))

    def hours_per_lightness(self, hours: float) -> float:
        """Return how many hours one L* takes at an hour; never more than the horizon."""
        step = max(0.05 * hours, 0.02 * self.posterior.scale)
        low, high = max(0.0, hours - step), min(self.horizon, hours + step)
        fall = self.lightness_at(low) - self.lightness_at(high)
        return self.horizon if fall <= 0 else min(self.horizon, (high - low) / fall)

    def nearest_shade(self) -> NearestShade:
        """Return the shade nearest to the target, at the first hour that is about as near as any."""
        if self.target is None:
            raise ValueError("the nearest shade needs a target")
        apart = self.path.delta_e_2000(self.target)
        gap = np.abs(self.path.lightness - self.target.L) if apart is None else apart
        first = int(np.argmax(gap <= gap.min() + _STILL))
        return NearestShade(
            hours=float(self.hours[first]),
            lightness=float(self.path.lightness[first]),
            delta_e=None if apart is None else float(apart[first]),
        )


def study(posterior: Posterior, target: Target | None, confidence: float) -> Study:
    """Work out curve, band, odds and colour from 0 to the horizon."""
    hours = hour_axis(posterior, reach_horizon(posterior.last_hours))
    curve = forecast(posterior, hours, target)
    lightness = quantiles(curve, ((1.0 - confidence) / 2.0, 0.5, (1.0 + confidence) / 2.0))
    odds = None if target is None else odds_past(curve, target.L, target_variance(target, posterior))
    return Study(
        posterior=posterior,
        target=target,
        confidence=confidence,
        curve=curve,
        lightness=lightness,
        odds=odds,
        path=colour_path(posterior, hours, lightness[1]),
    )


def target_spread(view: Study) -> float:
    """Return the variance of the target's L* that does not cancel against the readings; 0 without a target."""
    return 0.0 if view.target is None else target_variance(view.target, view.posterior)
