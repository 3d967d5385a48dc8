"""Boards for the tests of the curve: synthetic, as no published rate law for fumed oak could be verified."""

from __future__ import annotations

import math
from collections.abc import Sequence

from colourcore.colour.reading import Matrix3
from colourcore.curve.fit import Sample, Target

HOURS = (0.0, 1.5, 3.0, 6.0, 12.0, 24.0)
ERRORS: Matrix3 = ((0.04, 0.0, 0.0), (0.0, 0.01, 0.0), (0.0, 0.0, 0.01))
SCATTER = (0.3, -0.5, 0.2, 0.6, -0.4, 0.1)
TARGET = Target(L=48.0, a=4.2, b=12.6)


def darkening(hours: float, raw: float = 66.0, limit: float = 38.0, tau: float = 9.0) -> float:
    return limit + (raw - limit) * math.exp(-hours / tau)


def reading(hours: float, lightness: float, error: float = 0.2, **more: str) -> Sample:
    """A reading whose a* and b* ride on lightness."""
    covariance = ((error**2, 0.0, 0.0), (0.0, 0.01, 0.0), (0.0, 0.0, 0.01))
    lab = (lightness, 6 - 0.1 * (66 - lightness), 18 - 0.3 * (66 - lightness))
    return Sample(hours=hours, lab=lab, covariance=covariance, **more)


def board(hours: Sequence[float] = HOURS, off: Sequence[float] = (), **curve: float) -> list[Sample]:
    off = off or (0.0,) * len(hours)
    return [reading(h, darkening(h, **curve) + d) for h, d in zip(hours, off, strict=True)]
