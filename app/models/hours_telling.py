"""Which hours a next sample should have where too few samples say anything yet."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

__all__ = ["telling_hours"]

_FIRST_LADDER = (0.0, 2.0, 6.0, 24.0)
_ROUND = (
    0.25,
    0.5,
    1.0,
    1.5,
    2.0,
    3.0,
    4.0,
    5.0,
    6.0,
    8.0,
    9.0,
    10.0,
    12.0,
    15.0,
    18.0,
    24.0,
    30.0,
    36.0,
    48.0,
    72.0,
    96.0,
)
_WEEK = 168.0
_LEAST_APART = 0.2


def telling_hours(present: Sequence[float], wanted: int, best: float | None = None) -> tuple[float, ...]:
    """Return hours for `wanted` more samples, rising, beside those that are there.

    `best` is the hour that the fit says would narrow the answer most, taken first where it is another hour than those
    that are there. Each other goes into the widest gap that is left, halfway on the scale log(1 + hours), near which
    equal ratios of hours spread what is learned evenly (common practice, no source). Without a raw sample, raw wood
    comes first; without anything beyond it, a ladder to a day.

    >>> telling_hours([0.0, 24.0], 2), telling_hours([4.0], 1)
    ((4.0, 10.0), (0.0,))
    """
    have = sorted(set(present))
    found = [best] if best is not None and wanted > 0 and _is_free(best, have) else []
    have = sorted([*have, *found])
    while len(found) < wanted:
        hours = _next(have)
        if hours in have:
            break
        found.append(hours)
        have = sorted([*have, hours])
    return tuple(sorted(found))


def _next(have: Sequence[float]) -> float:
    if not have or have[0] > 0:
        return 0.0
    if len(have) == 1:
        return _FIRST_LADDER[-1]
    places = [math.log1p(hours) for hours in have]
    gaps = [(after - before, (after + before) / 2) for before, after in itertools.pairwise(places)]
    _, middle = max(gaps)
    exact = math.expm1(middle)
    free = [hours for hours in _ROUND if _is_free(hours, have)]
    return min(free, key=lambda hours: abs(math.log1p(hours) - middle), default=min(exact, _WEEK))


def _is_free(hours: float, have: Sequence[float]) -> bool:
    return all(abs(hours - own) > _LEAST_APART * max(hours, own) for own in have)
