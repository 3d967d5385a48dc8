"""How darkening may go with time: pure formulas, and the table of rival shapes that the fit weighs.

Every shape g rises from 0 at no time to 1 at endless time and stands at one half after the *half time*. No rate law
for ammonia and oak has been published that could be checked, so none of these is claimed to be the law: they are
a net of plain shapes, wide enough that the truth lies close to some of them.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = ["KINDS", "ShapeTable", "levelling_power", "second_order", "shape_table", "stretched", "two_speed"]

Array = NDArray[np.float64]

KINDS = ("stretched", "second order", "two speeds", "power then level")

_EXPONENTS = np.linspace(0.4, 1.8, 15)
_EXPONENT_CENTRE, _EXPONENT_SPREAD = 1.0, 0.3
_FAST_SHARES = (0.25, 0.4, 0.55, 0.7)
_FAST_RATES = (3.0, 6.0, 12.0, 25.0)
_POWERS = (0.4, 0.5, 0.6, 0.75, 0.9, 1.05, 1.3)
_SHARPNESSES = (2.0, 4.0, 12.0)
_LOG_LOW, _LOG_STEP, _LOG_POINTS = -12.0, 0.02, 1201


def stretched(time: ArrayLike, exponent: float) -> Array:
    """Return 1 − 2^(−time^exponent), time in half times; exponent 1 is the first-order approach to a limit.

    >>> stretched([0, 1, 2], 1.0).tolist()
    [0.0, 0.5, 0.75]
    """
    return np.asarray(-np.expm1(-np.log(2.0) * np.asarray(time, dtype=np.float64) ** exponent))


def second_order(time: ArrayLike, exponent: float) -> Array:
    """Return time^exponent / (1 + time^exponent), time in half times; exponent 1 is second-order kinetics.

    >>> second_order([0, 1, 3], 1.0).tolist()
    [0.0, 0.5, 0.75]
    """
    power = np.asarray(time, dtype=np.float64) ** exponent
    return np.asarray(power / (1.0 + power))


def two_speed(time: ArrayLike, fast_share: float, fast_rate: float) -> Array:
    """Return the sum of a fast and a slow first-order approach, time in half times of the sum.

    Parameters
    ----------
    time
        Time in half times, 0 or more.
    fast_share
        Share of the whole change that the fast part makes, 0 to 1.
    fast_rate
        How many times faster the fast part is than the slow one, above 1.

    Examples
    --------
    >>> two_speed([0, 1], 0.4, 6.0).round(12).tolist()
    [0.0, 0.5]
    """
    half = _two_speed_half_time(fast_share, fast_rate)
    slow_time = np.asarray(time, dtype=np.float64) * half
    fast, slow = -np.expm1(-fast_rate * slow_time), -np.expm1(-slow_time)
    return np.asarray(fast_share * fast + (1.0 - fast_share) * slow)


def levelling_power(time: ArrayLike, power: float, sharpness: float) -> Array:
    """Return a power of time that bends into its limit; time in half times.

    Early on it grows as time^power (0.5: diffusion into a thick body), and the larger the sharpness, the more
    suddenly it then levels off.

    >>> levelling_power([0, 1], 0.5, 4.0).round(12).tolist()
    [0.0, 0.5]
    """
    bend = (2.0**sharpness - 1.0) ** (-1.0 / sharpness)
    grown = bend * np.asarray(time, dtype=np.float64) ** power
    with np.errstate(divide="ignore"):
        return np.asarray((1.0 + grown**-sharpness) ** (-1.0 / sharpness))


def _two_speed_half_time(fast_share: float, fast_rate: float) -> float:
    low, high = 0.0, float(np.log(2.0))
    for _ in range(80):
        middle = (low + high) / 2
        reached = 1.0 - fast_share * np.exp(-fast_rate * middle) - (1.0 - fast_share) * np.exp(-middle)
        low, high = (middle, high) if reached < 0.5 else (low, middle)
    return (low + high) / 2


@dataclass(frozen=True, slots=True, kw_only=True)
class ShapeTable:
    """The rival shapes, tabulated.

    Attributes
    ----------
    values
        Share of the whole change, (shapes, points), against evenly spaced log(time in half times).
    prior
        Prior probability of each shape, (shapes,), summing to 1; each of the four kinds has a quarter.
    kind
        Index into `KINDS` of each shape, (shapes,).
    """

    values: Array
    prior: Array
    kind: NDArray[np.intp]

    def at(self, shape: NDArray[np.intp], log_time: Array) -> Array:
        """Return the share of the change for shapes and log(time in half times), broadcast against each other.

        Between the table's points it is linear, which is exact to 2e-5; −inf (no time at all) gives 0.

        >>> table = shape_table()
        >>> table.at(np.array([0, 20]), np.array([0.0, -np.inf])).round(6).tolist()
        [0.5, 0.0]
        """
        place = np.subtract(log_time, _LOG_LOW)
        place *= 1.0 / _LOG_STEP
        np.clip(place, 0.0, _LOG_POINTS - 1.001, out=place)
        step = place.astype(np.intp)
        place -= step
        step = step + shape * _LOG_POINTS
        flat = self.values.ravel()
        value = flat.take(step)
        step += 1
        rise = flat.take(step)
        rise -= value
        rise *= place
        value += rise
        value[np.broadcast_to(np.isneginf(log_time), value.shape)] = 0.0
        return value


@lru_cache(maxsize=1)
def shape_table() -> ShapeTable:
    """Return the table of the rival shapes, made once.

    Four kinds with a quarter of the prior each: stretched and second order with exponents 0.4 to 1.8 weighted as a
    normal law around 1 (spread 0.3), two speeds, and a power that levels off, these two evenly.

    >>> table = shape_table()
    >>> table.values.shape[0], round(float(table.prior.sum()), 12)
    (67, 1.0)
    """
    time = np.exp(_LOG_LOW + _LOG_STEP * np.arange(_LOG_POINTS))
    rows: tuple[list[Array], ...] = (
        [stretched(time, m) for m in _EXPONENTS],
        [second_order(time, m) for m in _EXPONENTS],
        [two_speed(time, share, rate) for share in _FAST_SHARES for rate in _FAST_RATES],
        [levelling_power(time, power, sharp) for power in _POWERS for sharp in _SHARPNESSES],
    )
    bell = np.exp(-0.5 * ((_EXPONENTS - _EXPONENT_CENTRE) / _EXPONENT_SPREAD) ** 2)
    weights = (bell, bell, np.ones(len(rows[2])), np.ones(len(rows[3])))
    prior = np.concatenate([weight / weight.sum() / len(rows) for weight in weights])
    kind = np.concatenate([np.full(len(group), index, dtype=np.intp) for index, group in enumerate(rows)])
    values = np.array([row for group in rows for row in group])
    for array in (values, prior, kind):
        array.setflags(write=False)
    return ShapeTable(values=values, prior=prior, kind=kind)
