"""From the readings of one board and zone to what they say about its darkening curve.

A hypothesis is a shape, a half time and a scatter between pieces; the raw lightness and the depth of the change are
then Gaussian in closed form. All hypotheses on a grid are weighed against the readings, with and without each reading
being a bad one (a knot, glare), and a fair selection of them of equal weight is kept. No random numbers are used.
The reasons for each part, and the priors, are in docs/hours.md.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from colourcore.colour.reading import ZERO_COVARIANCE, Matrix3
from colourcore.curve.evidence import Evidence
from colourcore.curve.grid import Selection, select
from colourcore.curve.priors import PRIORS, Priors, time_scale
from colourcore.errors import InputError

__all__ = ["Posterior", "Sample", "Target", "fit", "own_covariance", "shared_covariance", "sorted_samples"]

Array = NDArray[np.float64]

# readings of one and the same piece share this part of the scatter between pieces
_PIECE_SHARE = 0.85


@dataclass(frozen=True, slots=True, kw_only=True)
class Sample:
    """One reading of one exposed offcut.

    Attributes
    ----------
    hours
        Exposure; 0 is raw wood.
    lab
        L*, a*, b*; a* and b* are not used where `colour_lost`.
    covariance
        Covariance of L*, a*, b* that is this reading's own.
    shared
        Covariance of L*, a*, b* that all readings of the same photo have in common.
    photo
        Which photo the reading comes from; readings without one share nothing.
    piece
        Which offcut it is a reading of; readings without a name are of different offcuts.
    name
        How to speak of it to the maker.

    Raises
    ------
    InputError
        For hours below 0, and for numbers that are not finite or out of range.
    """

    hours: float
    lab: tuple[float, float, float]
    colour_lost: bool = False
    covariance: Matrix3 = ZERO_COVARIANCE
    shared: Matrix3 = ZERO_COVARIANCE
    photo: str = ""
    piece: str = ""
    name: str = ""

    def __post_init__(self) -> None:
        if not (math.isfinite(self.hours) and self.hours >= 0):
            raise InputError(f"expected hours of 0 or more, got {self.hours:g}")
        _check_colour(self.lab[0], () if self.colour_lost else self.lab[1:])
        _check_covariance(self.covariance, self.shared)


@dataclass(frozen=True, slots=True, kw_only=True)
class Target:
    """The shade wanted, as bare fumed wood; a and b are None where only a lightness is asked for.

    Attributes
    ----------
    L, a, b
        The shade in CIELAB, D65/2°.
    covariance, shared, photo
        As of a `Sample`; in the same photo as samples, the shared part cancels against theirs.
    """

    L: float
    a: float | None = None
    b: float | None = None
    covariance: Matrix3 = ZERO_COVARIANCE
    shared: Matrix3 = ZERO_COVARIANCE
    photo: str = ""

    def __post_init__(self) -> None:
        _check_colour(self.L, tuple(part for part in (self.a, self.b) if part is not None))
        _check_covariance(self.covariance, self.shared)


def _check_colour(lightness: float, others: Sequence[float]) -> None:
    if not 0 <= lightness <= 100:
        raise InputError(f"expected L* from 0 to 100, got {lightness:g}")
    if not all(math.isfinite(part) and abs(part) <= 200 for part in others):
        raise InputError(f"expected a* and b* from -200 to 200, got {others}")


def _check_covariance(*covariances: Matrix3) -> None:
    for covariance in covariances:
        if not all(math.isfinite(cell) for row in covariance for cell in row):
            raise InputError("expected errors of L*, a*, b* that are numbers")
        if any(covariance[i][i] < 0 for i in range(3)):
            raise InputError("expected errors of L*, a*, b* of 0 or more")


def sorted_samples(samples: Sequence[Sample]) -> tuple[Sample, ...]:
    """Return the samples by hours and then by everything else, so that the order they came in cannot matter."""

    def key(s: Sample) -> tuple[object, ...]:
        return (s.hours, s.lab[0], s.colour_lost, s.lab[1:], s.covariance, s.shared, s.photo, s.piece, s.name)

    return tuple(sorted(samples, key=key))


@dataclass(frozen=True, slots=True, kw_only=True)
class Posterior:
    """What the readings leave possible.

    Attributes
    ----------
    samples
        The readings, sorted, n of them.
    evidence
        The same as numbers.
    selection
        Hypotheses of equal weight.
    scale
        Hours around which the axis log(1 + hours/scale) bends.
    priors
        What was believed before.
    """

    samples: tuple[Sample, ...]
    evidence: Evidence
    selection: Selection
    scale: float
    priors: Priors = PRIORS

    @property
    def last_hours(self) -> float:
        """Hours of the longest exposure."""
        return float(self.samples[-1].hours)

    @property
    def scatter(self) -> float:
        """Scatter between pieces of this board and zone, SD in L*, as far as the readings tell."""
        return float(np.sqrt(np.mean(self.selection.scatter**2)))

    def thinned(self, every: int) -> Posterior:
        """Return the same with every so-manyth hypothesis."""
        return replace(self, selection=self.selection.thinned(every))


def fit(samples: Sequence[Sample], priors: Priors = PRIORS) -> Posterior:
    """Return what the readings of one board and zone leave possible; at least one is needed.

    >>> readings = [Sample(hours=h, lab=(L, 5.0, 15.0)) for h, L in [(0, 68), (2, 60), (8, 50), (24, 42)]]
    >>> posterior = fit(readings)
    >>> bool(abs(posterior.selection.raw.mean() - 68) < 2)
    True
    """
    ordered = sorted_samples(samples)
    if not ordered:
        raise InputError("expected at least one reading, got none")
    evidence = Evidence(
        hours=np.array([s.hours for s in ordered], dtype=np.float64),
        lightness=np.array([s.lab[0] for s in ordered], dtype=np.float64),
        piece_covariance=_piece_covariance(ordered),
        reading_covariance=own_covariance(ordered, 0) + shared_covariance(ordered, ordered, 0),
    )
    return Posterior(
        samples=ordered,
        evidence=evidence,
        selection=select(evidence, priors),
        scale=time_scale(evidence.hours),
        priors=priors,
    )


def _piece_covariance(samples: Sequence[Sample]) -> Array:
    same = np.array([[bool(one.piece) and one.piece == two.piece for two in samples] for one in samples])
    covariance = np.where(same, _PIECE_SHARE, 0.0)
    np.fill_diagonal(covariance, 1.0)
    return covariance


def own_covariance(samples: Sequence[Sample], channel: int) -> Array:
    """Return the diagonal covariance of the readings' own errors in L* (0), a* (1) or b* (2), (n, n)."""
    return np.diag([s.covariance[channel][channel] for s in samples])


def shared_covariance(ones: Sequence[Sample | Target], twos: Sequence[Sample | Target], channel: int) -> Array:
    """Return the covariance between readings of the same photo that the photo causes, (ones, twos).

    Parts of unlike size in one photo move together in proportion.
    """
    root = [[math.sqrt(max(0.0, r.shared[channel][channel])) for r in group] for group in (ones, twos)]
    # a reading without a photo shares its error with itself alone
    together = [[(one is two) or (bool(one.photo) and one.photo == two.photo) for two in twos] for one in ones]
    return np.asarray(np.outer(root[0], root[1]) * np.array(together, dtype=np.float64))
