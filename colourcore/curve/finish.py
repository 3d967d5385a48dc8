"""Bare and finished: what a finish does to the colour, learned from pairs of readings, and carried back to bare wood.

Oil, shellac and varnish lower L* and raise chroma, more on dark grain (Tashiro, Nakamura, JSMS 62(4) 248): the shift
is learned as a value at the middle of the pairs and a tilt along lightness, both with their errors.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from colourcore.colour.reading import Matrix3, matrix3
from colourcore.curve.fit import Sample, Target
from colourcore.errors import InputError

__all__ = ["NO_PAIRS", "FinishShift", "carry_back", "learn_finish"]

Array = NDArray[np.float64]

NO_PAIRS = (
    "The target is a finished colour, and no sample was read both bare and finished: what the finish does is unknown. "
    "Finish one or two of the samples, read them again, and the target can be carried back to bare wood."
)

# priors: shift of L*, a*, b* (SD), tilt per L* (SD), and what one pair may differ from another (SD)
_SHIFT_SPREAD = (6.0, 4.0, 6.0)
_TILT_SPREAD = (0.15, 0.10, 0.15)
_BETWEEN_PAIRS = (0.6, 0.4, 0.6)
_GUESS_SPREAD = 1.5


@dataclass(frozen=True, slots=True, kw_only=True)
class FinishShift:
    """What a finish adds to the colour of bare wood.

    Attributes
    ----------
    shift
        What is added to L*, a*, b* at `at_lightness` (of the bare wood).
    tilt
        What is added to that for each L* above it.
    shift_covariance, tilt_covariance
        Covariances of the two; they are independent of each other.
    at_lightness
        The middle of the pairs.
    pairs
        How many pairs it was learned from.
    guess
        True where it comes from earlier jobs and not from this one's wood.
    """

    shift: tuple[float, float, float]
    tilt: tuple[float, float, float]
    shift_covariance: Matrix3
    tilt_covariance: Matrix3
    at_lightness: float
    pairs: int
    guess: bool = False

    def from_earlier_job(self) -> FinishShift:
        """Return the same as a first guess for another job: other wood adds to its error."""
        wider = np.array(self.shift_covariance) + _GUESS_SPREAD**2 * np.eye(3)
        return replace(self, shift_covariance=matrix3(wider), guess=True)


def learn_finish(pairs: Sequence[tuple[Sample, Sample]]) -> FinishShift:
    """Return what a finish does, from pairs (bare, finished) of readings of one piece each.

    Each of L*, a*, b* is a weighted straight line over the bare lightness, drawn towards no shift and no tilt by weak
    priors; the errors of both readings and a difference between pairs are in its weights.

    Raises
    ------
    InputError
        Without a pair whose colour is known on both sides.
    """
    usable = [(bare, done) for bare, done in pairs if not (bare.colour_lost or done.colour_lost)]
    if not usable:
        raise InputError("expected a sample read both bare and finished, got none")
    usable.sort(key=lambda pair: (pair[0].lab, pair[1].lab, pair[0].hours))
    bare = np.array([one.lab for one, _ in usable])
    gain = np.array([done.lab for _, done in usable]) - bare
    middle = float(bare[:, 0].mean())
    found = [
        _line(bare[:, 0] - middle, gain[:, c], np.array([_variance(pair, c) for pair in usable]), c) for c in range(3)
    ]
    return FinishShift(
        shift=(found[0][0], found[1][0], found[2][0]),
        tilt=(found[0][1], found[1][1], found[2][1]),
        shift_covariance=matrix3(np.diag([part[2] for part in found])),
        tilt_covariance=matrix3(np.diag([part[3] for part in found])),
        at_lightness=middle,
        pairs=len(usable),
    )


def _variance(pair: tuple[Sample, Sample], channel: int) -> float:
    bare, done = pair
    own = bare.covariance[channel][channel] + done.covariance[channel][channel]
    if not (bare.photo and bare.photo == done.photo):
        own += bare.shared[channel][channel] + done.shared[channel][channel]
    return own + _BETWEEN_PAIRS[channel] ** 2


def _line(place: Array, gain: Array, variance: Array, channel: int) -> tuple[float, float, float, float]:
    """Return shift, tilt and their variances; the place is centred, so that the two are nearly independent."""
    weight = 1.0 / variance
    precision = np.array(
        [
            [weight.sum() + _SHIFT_SPREAD[channel] ** -2, weight @ place],
            [weight @ place, weight @ place**2 + _TILT_SPREAD[channel] ** -2],
        ]
    )
    covariance = np.linalg.inv(precision)
    shift, tilt = covariance @ np.array([weight @ gain, weight @ (gain * place)])
    return float(shift), float(tilt), float(covariance[0, 0]), float(covariance[1, 1])


def carry_back(target: Target, finish: FinishShift) -> Target:
    """Return a finished target as bare wood, with the finish's uncertainty in it.

    What pieces differ in taking the finish is part of that: the hours follow for a piece that is yet to be finished.

    >>> sure = matrix3(np.zeros((3, 3)))
    >>> oil = FinishShift(shift=(-6.0, 1.0, 4.0), tilt=(0.0, 0.0, 0.0), shift_covariance=sure, tilt_covariance=sure,
    ...     at_lightness=50.0, pairs=3)
    >>> carry_back(Target(L=42.0, a=7.0, b=18.0), oil).L
    48.0
    """
    shift, tilt = np.array(finish.shift), np.array(finish.tilt)
    # finished L = bare L + shift + tilt (bare L − middle)
    bare = (target.L - shift[0] + tilt[0] * finish.at_lightness) / (1.0 + tilt[0])
    if not 0.0 <= bare <= 100.0:
        raise InputError(
            f"expected a finished target that bare wood can come to, got L* {target.L:g} (bare {bare:.1f})"
        )
    place = bare - finish.at_lightness
    added = np.array(finish.shift_covariance) + place**2 * np.array(finish.tilt_covariance)
    added += np.diag(np.square(_BETWEEN_PAIRS))
    slope = np.array([1.0 / (1.0 + tilt[0]), 1.0, 1.0])
    return replace(
        target,
        L=float(bare),
        a=None if target.a is None else float(target.a - shift[1] - tilt[1] * place),
        b=None if target.b is None else float(target.b - shift[2] - tilt[2] * place),
        covariance=matrix3((np.array(target.covariance) + added) * np.outer(slope, slope)),
    )
