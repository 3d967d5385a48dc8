"""Whose eyes a curve is seen with: the set-up that most of its samples share.

What a set-up does to colour (its camera, its curve, the lamp) moves all its readings alike. A curve is therefore fitted
as that set-up shows the wood, so that it goes through the samples; a target from the same set-up is held against it as
it is, and one from elsewhere brings what the two set-ups may differ by.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from colourcore.colour.reading import ZERO_COVARIANCE, Matrix3, matrix3
from colourcore.curve.fit import Sample, Target

__all__ = ["framed"]


def framed(samples: Sequence[Sample], target: Target | None) -> tuple[list[Sample], Target | None]:
    """Return samples and target as the set-up of most samples shows them.

    Within it nothing is shared any more; a reading from elsewhere carries both set-ups' errors at its lightness.
    """
    counts = Counter(sample.photo for sample in samples)
    if not counts:
        return list(samples), target
    frame = min(counts, key=lambda name: (-counts[name], name))
    own = [sample for sample in samples if sample.photo == frame]
    seen = [
        replace(sample, shared=ZERO_COVARIANCE)
        if sample.photo == frame
        else replace(sample, shared=_both(sample.shared, _at(own, sample.lab[0])))
        for sample in samples
    ]
    if target is None:
        return seen, None
    if target.photo == frame:
        return seen, replace(target, shared=ZERO_COVARIANCE)
    return seen, replace(target, shared=_both(target.shared, _at(own, target.L)))


def _both(one: Matrix3, two: Matrix3) -> Matrix3:
    return matrix3(np.add(one, two))


def _at(own: Sequence[Sample], lightness: float) -> Matrix3:
    """Return the set-up's shared covariance at a lightness, between those of its two nearest samples."""
    near = sorted(own, key=lambda sample: (abs(sample.lab[0] - lightness), sample.lab, sample.hours))[:2]
    if len(near) < 2 or near[0].lab[0] == near[1].lab[0]:
        return near[0].shared
    low, high = sorted(near, key=lambda sample: sample.lab[0])
    part = float(np.clip((lightness - low.lab[0]) / (high.lab[0] - low.lab[0]), 0.0, 1.0))
    return matrix3((1 - part) * np.array(low.shared) + part * np.array(high.shared))
