"""What is known of one board and zone, hour by hour: shade, band and odds of a piece, ready to be read at any hour."""

from __future__ import annotations

import math
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from colourcore.colour.difference import delta_e_2000
from colourcore.curve.fit import Target
from colourcore.curve.hours import HoursToShade, Outcome
from colourcore.pipeline import Group

__all__ = ["DUE_ODDS", "Moment", "Prospect", "TenPieces", "together_hours"]

Array = NDArray[np.float64]

DUE_ODDS = 1.0 / 3.0
"""Odds of being past the target at the hour to take the piece out: too dark counts double."""

_HARDLY = 0.5
_SLOW_HOURS = 2.0
_SLOW_SHARE = 0.12
_NORMAL = NormalDist()


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
    of_piece
        True where odds, band and hours are a piece's, with scatter and pace; False where only the board's are known.
    outcome, hours, low, high, look_from, due, p_reach
        As in the answer; `due` is where the odds are one in three.
    confidence
        Of interval and band.
    last_sample
        Hours of the longest exposure.
    grid
        Rising hours from 0, (T,).
    lightness, below, above
        Median L* and the ends of the band at those hours, (T,).
    a, b
        The colour along it, (T,), or None.
    a_sigma, b_sigma
        One sigma of them, (T,), or None.
    odds
        Odds of being past the target, (T,), or None.
    """

    of_piece: bool
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

    @classmethod
    def of(cls, group: Group) -> Prospect | None:
        """Return what is known of a group's pieces; None where there is no curve at all."""
        found = group.answer
        if len(found.curve.hours) < 2:
            return None
        return cls(
            of_piece=False,
            outcome=found.outcome,
            hours=found.hours,
            low=found.low,
            high=found.high,
            look_from=found.look_from,
            due=_due(found),
            p_reach=found.p_reach,
            confidence=found.confidence,
            last_sample=max((row.hours or 0.0) for row in group.readings),
            grid=_array(found.curve.hours),
            lightness=_array(found.curve.L),
            below=_array(found.curve.low),
            above=_array(found.curve.high),
            a=_optional(found.curve.a),
            b=_optional(found.curve.b),
            a_sigma=_scatter(group, 1),
            b_sigma=_scatter(group, 2),
            odds=_optional(found.curve.p_past),
        )

    @property
    def end(self) -> float:
        """The last hour that anything is known of."""
        return float(self.grid[-1])

    def at(self, hours: float) -> Moment:
        """Return what is known of one hour, clipped to the hours that anything is known of."""
        when = min(max(0.0, hours), self.end)
        lightness, below, above = (self._read(part, when) for part in (self.lightness, self.below, self.above))
        assert lightness is not None
        sigma = ((above or 0.0) - (below or 0.0)) / (2.0 * _NORMAL.inv_cdf((1.0 + self.confidence) / 2.0))
        odds = self._read(self.odds, when)
        return Moment(
            hours=when,
            L=lightness,
            a=self._read(self.a, when),
            b=self._read(self.b, when),
            L_sigma=sigma,
            a_sigma=self._read(self.a_sigma, when),
            b_sigma=self._read(self.b_sigma, when),
            odds=odds,
            odds_clearly=None if odds is None else _odds_clearly(odds, sigma),
        )

    def _read(self, part: Array | None, hours: float) -> float | None:
        return None if part is None else float(np.interp(math.sqrt(hours), np.sqrt(self.grid), part))

    def path(self, hours: Array) -> Array:
        """Return L*, a*, b* at many hours, (N, 3); a* and b* are 0 where the colour is not known."""
        roots, known = np.sqrt(hours), np.sqrt(self.grid)
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
        if self.odds is None or self.odds[-1] < odds:
            return None
        after = int(np.argmax(self.odds >= odds))
        if after == 0:
            return 0.0
        roots = np.sqrt(self.grid[after - 1 : after + 1])
        return float(np.interp(odds, self.odds[after - 1 : after + 1], roots) ** 2)

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


def _array(values: tuple[float, ...]) -> Array:
    array = np.asarray(values, dtype=np.float64)
    array.setflags(write=False)
    return array


def _optional(values: tuple[float, ...]) -> Array | None:
    return _array(values) if values else None


def _due(found: HoursToShade) -> float | None:
    if found.outcome is not Outcome.REACHED or not found.curve.p_past:
        return None
    odds = np.asarray(found.curve.p_past)
    if odds[-1] < DUE_ODDS:
        return None
    after = int(np.argmax(odds >= DUE_ODDS))
    if after == 0:
        return 0.0
    roots = np.sqrt(np.asarray(found.curve.hours[after - 1 : after + 1]))
    return float(np.interp(DUE_ODDS, odds[after - 1 : after + 1], roots) ** 2)


def _scatter(group: Group, channel: int) -> Array | None:
    """One sigma of a* or b* of a piece about the curve: how the samples scatter about it, two of them spent on it."""
    path = group.answer.curve.a if channel == 1 else group.answer.curve.b
    rows = [row for row in group.readings if row.reading is not None and not row.reading.colour_lost]
    if not path or len(rows) < 3:
        return None
    grid = np.asarray(group.answer.curve.hours)
    off = [
        row.reading.lab[channel] - float(np.interp(row.hours or 0.0, grid, path))
        for row in rows
        if row.reading is not None
    ]
    error = max(row.reading.total_errors[channel] for row in rows if row.reading is not None)
    sigma = math.sqrt(sum(gap * gap for gap in off) / (len(off) - 2) + error * error)
    return np.full(grid.size, sigma)


def _odds_clearly(odds: float, sigma: float) -> float:
    """Odds of being past by half an L* or more, given those of being past at all and one sigma of the piece's L*."""
    if odds <= 0.0 or odds >= 1.0 or sigma <= 0.0:
        return odds
    return _NORMAL.cdf(_NORMAL.inv_cdf(odds) - _HARDLY / sigma)


def together_hours(prospects: tuple[Prospect, ...]) -> float | None:
    """Return the one hour at which all cost least: hours off added up, too dark counting double.

    There the odds of being past add up to a third for each: the derivative of the expected cost in hours,
    the sum of 3 p(t) - 1, is nought. None where that hour is not known.
    """
    if not prospects or any(prospect.odds is None for prospect in prospects):
        return None
    end = min(prospect.end for prospect in prospects)
    roots = np.linspace(0.0, math.sqrt(end), 2000)
    total = sum(np.interp(roots, np.sqrt(p.grid), p.odds) for p in prospects if p.odds is not None)
    wanted = DUE_ODDS * len(prospects)
    past = np.asarray(total) >= wanted
    return float(roots[int(np.argmax(past))] ** 2) if past.any() else None
