"""What a look in the run reads off by: wood that has not settled yet, and another set-up than the samples'.

Fumed wood goes on changing for a while after it is drawn (common practice, no source), and another light or card
shifts a whole photograph. Both are told by photographing the same samples twice, and both have a stated size if not.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from colourcore.curve.fit import Sample

__all__ = ["UNTOLD_SETTLING", "UNTOLD_SETUP", "Shift", "age_shift", "setup_shift"]

# what a shift between shades may differ from one shade to the next, as a share of it
_SHIFT_UNEVEN = 0.25
# L* per L* by which two set-ups may differ along the scale (contrast, stray light)
_SETUP_TILT = 0.05


@dataclass(frozen=True, slots=True, kw_only=True)
class Shift:
    """What to add to L* of a look to make it comparable with the samples, and how sure that is (SD in L*)."""

    lightness: float
    standard_error: float
    told: bool = True


UNTOLD_SETTLING = Shift(lightness=0.0, standard_error=1.0, told=False)
UNTOLD_SETUP = Shift(lightness=0.0, standard_error=1.3, told=False)


def age_shift(pairs: Sequence[tuple[Sample, Sample]], prior: Shift = UNTOLD_SETTLING) -> Shift:
    """Return how samples settle between removal and the fixed delay, from pairs (at once, settled) of one sample each.

    The mean difference, drawn towards the prior as far as the readings are unsure. What a shade settles may differ
    from what another does: a quarter of the shift is added to its error.

    >>> fresh = Sample(hours=6, lab=(51.0, 5, 15), covariance=((0.04, 0, 0), (0, 0, 0), (0, 0, 0)))
    >>> settled = Sample(hours=6, lab=(49.5, 5, 15), covariance=((0.04, 0, 0), (0, 0, 0), (0, 0, 0)))
    >>> shift = age_shift([(fresh, settled)])
    >>> round(shift.lightness, 2), round(shift.standard_error, 2)
    (-1.39, 0.44)
    """
    if not pairs:
        return prior
    precision, pull = prior.standard_error**-2, prior.lightness * prior.standard_error**-2
    for fresh, settled in pairs:
        weight = 1.0 / max(1e-6, _variance(fresh) + _variance(settled))
        precision += weight
        pull += weight * (settled.lab[0] - fresh.lab[0])
    lightness = pull / precision
    return Shift(lightness=lightness, standard_error=math.hypot(precision**-0.5, _SHIFT_UNEVEN * lightness))


def _variance(sample: Sample) -> float:
    return sample.covariance[0][0] + sample.shared[0][0]


def setup_shift(references: Sequence[tuple[Sample, Sample]], lightness: float, prior: Shift = UNTOLD_SETUP) -> Shift:
    """Return what to add to a look's L* for its set-up, from samples read (with the samples, again beside the look).

    A raw and a dark sample make it a line over lightness, read off at the look's; one alone leaves its slope open.
    """
    if not references:
        return prior
    place = np.array([again.lab[0] - lightness for _, again in references])
    gain = np.array([then.lab[0] - again.lab[0] for then, again in references])
    weight = 1.0 / np.maximum(1e-6, [_variance(then) + _variance(again) for then, again in references])
    precision = np.diag([prior.standard_error**-2, _SETUP_TILT**-2])
    precision += np.array([[weight.sum(), weight @ place], [weight @ place, weight @ place**2]])
    covariance = np.linalg.inv(precision)
    pull = np.array([weight @ gain + prior.lightness * prior.standard_error**-2, weight @ (gain * place)])
    return Shift(lightness=float(covariance[0] @ pull), standard_error=float(np.sqrt(covariance[0, 0])))
