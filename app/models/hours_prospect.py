"""What is known of one board and zone, hour by hour: shade, band and odds of a piece, ready to be read at any hour."""

from __future__ import annotations

import math
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from colourcore.colour.difference import delta_e_2000
from colourcore.curve.fit import Target
from colourcore.curve.forecast import odds_past
from colourcore.curve.outcome import Outcome
from colourcore.curve.piece import paced, piece_odds
from colourcore.curve.study import Study, target_spread
from colourcore.pipeline import Group

__all__ = ["HARDLY", "Moment", "Prospect", "TenPieces", "together_hours"]

Array = NDArray[np.float64]

HARDLY = 0.5
"""L* past the target by which a piece is hardly past it."""

_COMMON_ODDS = 1.0 / 3.0
_SLOW_HOURS = 2.0
_SLOW_SHARE = 0.12


@dataclass(frozen=True, slots=True, kw_only=True)
class TenPieces:
    """Of ten such pieces, how many are past the target, and how many of those by less than half an L*.

    `few` where fewer than one is past, `many` where nearly all are: it is never none and never all.
    """

    past: int
    hardly: int
    few: bool
    many: bool

    @classmethod
    def of(cls, odds: float, odds_clearly: float) -> TenPieces:
        """Return the counts for odds of being past at all and of being past by half an L* or more.

        >>> TenPieces.of(0.33, 0.2)
        TenPieces(past=3, hardly=1, few=False, many=False)
        """
        few, many = odds < 0.05, odds > 0.95
        past = 0 if few else 10 if many else min(9, max(1, math.floor(10 * odds + 0.5)))
        clearly = min(past, math.floor(10 * odds_clearly + 0.5))
        return cls(past=past, hardly=0 if few or many else past - clearly, few=few, many=many)


@dataclass(frozen=True, slots=True, kw_only=True)
class Moment:
    """One hour: the middle piece's colour, one sigma of each of its parts, and the odds of being past the target.

    `a`, `b` and their sigmas are None where the readings hold too little colour; the odds where there is no target.
    """

    hours: float
    L: float
    a: float | None
    b: float | None
    L_sigma: float
    a_sigma: float | None
    b_sigma: float | None
    odds: float | None
    odds_clearly: float | None

    @property
    def ten(self) -> TenPieces | None:
        """Ten such pieces."""
        if self.odds is None or self.odds_clearly is None:
            return None
        return TenPieces.of(self.odds, self.odds_clearly)

    def delta_e(self, target: Target) -> float | None:
        """Return CIEDE2000 to a target, None where either has no colour."""
        if self.a is None or self.b is None or target.a is None or target.b is None:
            return None
        return float(delta_e_2000((self.L, self.a, self.b), (target.L, target.a, target.b)))


@dataclass(frozen=True, slots=True, kw_only=True)
class Prospect:
    """A group's answer, as the place shows it.

    Attributes
    ----------
    outcome, hours, low, high, look_from, due, p_reach
        The piece's, as in the answer.
    confidence
        Of interval and band.
    last_sample
        Hours of the longest exposure.
    grid
        Rising hours from 0, (T,).
    lightness, below, above
        Median L* and the ends of a piece's band at those hours, (T,).
    a, b
        The colour along it, (T,), or None.
    a_sigma, b_sigma
        One sigma of them, (T,), or None.
    odds, odds_clearly
        Odds of a piece being past the target, and of being past it by half an L* or more, (T,), or None.
    """

    outcome: Outcome
    hours: float | None
    low: float | None
    high: float | None
    look_from: float | None
    due: float | None
    p_reach: float | None
    confidence: float
    last_sample: float
    grid: Array
    lightness: Array
    below: Array
    above: Array
    a: Array | None
    b: Array | None
    a_sigma: Array | None
    b_sigma: Array | None
    odds: Array | None
    odds_clearly: Array | None

    @classmethod
    def of(cls, group: Group, pace_spread: float) -> Prospect | None:
        """Return what is known of a group's pieces in a run whose pace strays so far; None where there is no curve."""
        view, piece = group.view, group.answer.piece
        if view is None or piece is None:
            return None
        beside = _beside(view, pace_spread)
        low, middle, high = view.lightness
        width = _quantile(view.confidence)
        return cls(
            outcome=piece.outcome,
            hours=piece.hours,
            low=piece.low,
            high=piece.high,
            look_from=piece.look_from,
            due=piece.due,
            p_reach=piece.p_reach,
            confidence=view.confidence,
            last_sample=view.posterior.last_hours,
            grid=view.hours,
            lightness=middle,
            below=middle - width * np.sqrt(((middle - low) / width) ** 2 + beside),
            above=middle + width * np.sqrt(((high - middle) / width) ** 2 + beside),
            a=view.path.a,
            b=view.path.b,
            a_sigma=_sigma(view.path.a_variance, group, 1),
            b_sigma=_sigma(view.path.b_variance, group, 2),
            odds=piece_odds(view, pace_spread),
            odds_clearly=_odds_clearly(view, pace_spread),
        )

    @property
    def end(self) -> float:
        """The last hour that anything is known of."""
        return float(self.grid[-1])

    def at(self, hours: float) -> Moment:
        """Return what is known of one hour, clipped to the hours that anything is known of."""
        when = min(max(0.0, hours), self.end)
        root = math.sqrt(when)
        lightness, below, above = (self._known(part, root) for part in (self.lightness, self.below, self.above))
        return Moment(
            hours=when,
            L=lightness,
            a=self._read(self.a, root),
            b=self._read(self.b, root),
            L_sigma=(above - below) / (2.0 * _quantile(self.confidence)),
            a_sigma=self._read(self.a_sigma, root),
            b_sigma=self._read(self.b_sigma, root),
            odds=self._read(self.odds, root),
            odds_clearly=self._read(self.odds_clearly, root),
        )

    def _known(self, part: Array, root: float) -> float:
        return float(np.interp(root, self.roots, part))

    @property
    def roots(self) -> Array:
        """Square roots of the grid's hours, (T,): between two of its hours everything is read along them."""
        return np.sqrt(self.grid)

    def _read(self, part: Array | None, root: float) -> float | None:
        return None if part is None else self._known(part, root)

    def path(self, hours: Array) -> Array:
        """Return L*, a*, b* at many hours, (N, 3); a* and b* are 0 where the colour is not known."""
        roots, known = np.sqrt(hours), self.roots
        parts = [np.zeros_like(roots) if part is None else np.interp(roots, known, part) for part in self._channels()]
        return np.stack(parts, axis=-1)

    def _channels(self) -> tuple[Array | None, ...]:
        return self.lightness, self.a, self.b

    def hours_at(self, lightness: float) -> float | None:
        """Return the first hour at which the median is down to an L*, None where it never is."""
        reached = np.nonzero(self.lightness <= lightness)[0]
        if not reached.size:
            return None
        after = int(reached[0])
        if after == 0:
            return 0.0
        return float(np.interp(-lightness, -self.lightness[after - 1 : after + 1], self.grid[after - 1 : after + 1]))

    def hours_of_odds(self, odds: float) -> float | None:
        """Return the first hour at which the odds of being past the target reach a value, None where they never do."""
        return _hour_of(self.grid, self.odds, odds)

    def any_hour(self, target: Target) -> tuple[float, float, float] | None:
        """Return hours within one L* of the target and how long one L* takes, where the wood hardly moves; else None.

        Hours whose end is not known end with the grid.
        """
        if self.outcome is not Outcome.REACHED or self.hours is None:
            return None
        first = self.hours_at(target.L + 1.0)
        last = self.hours_at(target.L - 1.0) or self.end
        if first is None or last <= first:
            return None
        each = (last - first) / 2.0
        return (first, last, each) if each >= max(_SLOW_HOURS, _SLOW_SHARE * self.hours) else None


def _beside(view: Study, pace_spread: float) -> Array:
    """The variance of a piece's L* beside the average curve's: the scatter of pieces, and the pace of the run."""
    slope = np.gradient(view.lightness[1], view.hours)
    return np.asarray(view.posterior.scatter**2 + (pace_spread * view.hours * slope) ** 2)


def _odds_clearly(view: Study, pace_spread: float) -> Array | None:
    """Odds of a piece being past the target by half an L* or more."""
    if view.target is None:
        return None
    still = odds_past(view.curve, max(0.0, view.target.L - HARDLY), target_spread(view), of_piece=True)
    return paced(view.hours, still, pace_spread)


def _sigma(variance: Array | None, group: Group, channel: int) -> Array | None:
    """One sigma of a piece's a* or b*: the average curve's, and how the samples scatter about it, two spent on it."""
    view = group.view
    path = None if view is None else (view.path.a, view.path.b)[channel - 1]
    rows = [row.reading for row in group.readings if row.reading is not None and not row.reading.colour_lost]
    hours = [row.hours for row in group.readings if row.reading is not None and not row.reading.colour_lost]
    if variance is None or path is None or view is None or len(rows) < 3:
        return None
    off = [r.lab[channel] - float(np.interp(h or 0.0, view.hours, path)) for r, h in zip(rows, hours, strict=True)]
    return np.sqrt(variance + sum(gap * gap for gap in off) / (len(off) - 2))


def _hour_of(grid: Array, odds: Array | None, wanted: float) -> float | None:
    """The first hour at which the odds reach a value, None where they never do."""
    if odds is None or odds[-1] < wanted:
        return None
    after = int(np.argmax(odds >= wanted))
    if after == 0:
        return 0.0
    roots = np.sqrt(grid[after - 1 : after + 1])
    return float(np.interp(wanted, odds[after - 1 : after + 1], roots) ** 2)


def _quantile(confidence: float) -> float:
    return NormalDist().inv_cdf((1.0 + confidence) / 2.0)


def together_hours(prospects: tuple[Prospect, ...]) -> float | None:
    """Return the one hour at which all cost least: hours off added up, too dark counting double.

    There the odds of being past add up to a third for each: the derivative of the expected cost in hours,
    the sum of 3 p(t) - 1, is nought. None where that hour is not known.
    """
    if not prospects or any(prospect.odds is None for prospect in prospects):
        return None
    end = min(prospect.end for prospect in prospects)
    roots = np.linspace(0.0, math.sqrt(end), 2000)
    total = sum(np.interp(roots, p.roots, p.odds) for p in prospects if p.odds is not None)
    wanted = _COMMON_ODDS * len(prospects)
    total = np.asarray(total)
    if total[-1] < wanted:
        return None
    after = max(1, int(np.argmax(total >= wanted)))
    return float(np.interp(wanted, total[after - 1 : after + 1], roots[after - 1 : after + 1]) ** 2)
