"""Photos and samples that belong together: do they agree, lie alike, and have the same age?"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Final

import numpy as np

from colourcore.colour.reading import Matrix3, Reading, matrix3
from colourcore.errors import InputError
from colourcore.image.balance import Balance
from colourcore.image.checks import Check, Level
from colourcore.image.grain import PLAIN_GRAIN, Face, angle_between, common_grain

__all__ = [
    "age_hours",
    "check_ages",
    "check_cards",
    "check_grain",
    "check_repeats",
    "direction_spread",
    "with_direction",
]

_CARD_FAR: Final = 6.0  # L* before balance, four tenths of a stop
_CARD_SHARE: Final = 0.2  # of the card's step that wood came out wrong by, in photographs of charts
_LAMP_FAR: Final = 8.0  # a*, b* of the card before balance
_ASKEW, _CROSSWISE = 25.0, 60.0  # degrees
_APART: Final = 1.5  # L* between two readings of one sample
_APART_ERRORS: Final = 3.0  # of their standard errors
_AGE_FACTOR: Final = 2.0
_AGE_HOURS: Final = 6.0


@dataclass(frozen=True, slots=True, kw_only=True)
class _CardSeen:
    lightness: float
    a: float
    b: float


def check_cards(balances: Mapping[str, Balance]) -> dict[str, tuple[Check, ...]]:
    """Return what there is to say against photos whose card looks unlike the series' before balance.

    Parameters
    ----------
    balances
        The balance of each photo by the photo's name; those whose references have the same stated lightness are
        compared.
    """
    found: dict[str, tuple[Check, ...]] = dict.fromkeys(balances, ())
    for stated in sorted({round(balance.reference_lightness[0]) for balance in balances.values()}):
        alike = {n: b for n, b in balances.items() if round(b.reference_lightness[0]) == stated and b.absolute}
        if len(alike) < 2:
            continue
        usual = _usual(alike)
        for name, balance in alike.items():
            found[name] = (*_exposure(balance, usual), *_lamp(balance, usual))
    return found


def _usual(balances: Mapping[str, Balance]) -> _CardSeen:
    """Return how the card looks in the series: the median, or of two the better exposed one."""
    ordered = sorted(balances.values(), key=lambda balance: abs(np.log(balance.exposure_gain)))
    seen = np.array([balance.card_lab for balance in ordered])
    middle = np.median(seen, axis=0) if len(ordered) > 2 else seen[0]
    return _CardSeen(lightness=float(middle[0]), a=float(middle[1]), b=float(middle[2]))


def _exposure(balance: Balance, usual: _CardSeen) -> tuple[Check, ...]:
    step = balance.card_lab[0] - usual.lightness
    if abs(step) <= _CARD_FAR or balance.curve_known:
        return ()
    side = "darker" if step < 0 else "lighter"
    return (
        Check(
            code="card_exposure",
            level=Level.WARN,
            message=f"The card is {abs(step):.0f} L* {side} than in the other photos. The camera bends its picture "
            f"otherwise there: wood can read wrong by about {_CARD_SHARE * abs(step):.0f} L*. Photograph it again with "
            "the exposure of the others, held fixed.",
        ),
    )


def _lamp(balance: Balance, usual: _CardSeen) -> tuple[Check, ...]:
    shift = float(np.hypot(balance.card_lab[1] - usual.a, balance.card_lab[2] - usual.b))
    if shift <= _LAMP_FAR:
        return ()
    return (
        Check(
            code="other_lamp",
            level=Level.WARN,
            message=f"The card's colour is {shift:.0f} away in a*, b* from that in the other photos: another lamp, or "
            "a white balance that changed. Unchanged wood then moves by 2 to 3 in a*, b*; L* by about half a unit. "
            "Photograph the series in one light with the white balance held fixed.",
        ),
    )


def check_grain(faces: Sequence[Face]) -> tuple[tuple[Check, ...], ...]:
    """Return, for each sample of one series, what there is to say about the way it lies.

    Parameters
    ----------
    faces
        The faces of the samples, one photo after the other; the light is taken to come from one side in all.
    """
    usual = common_grain(list(faces))
    if usual is None:
        return tuple(() for _ in faces)
    plain = sum(face.grain_strength >= PLAIN_GRAIN for face in faces)
    return tuple(_grain(face, usual, most_plain=2 * plain > len(faces)) for face in faces)


def _grain(face: Face, usual_degrees: float, *, most_plain: bool) -> tuple[Check, ...]:
    if face.grain_strength < PLAIN_GRAIN:
        if not most_plain:
            return ()
        message = (
            "This sample shows no grain, while the others do: is it end grain, or another face? End grain and faces "
            "read differently and do not belong in one curve."
        )
        return (Check(code="no_grain", level=Level.WARN, message=message),)
    angle = angle_between(face.grain_degrees, usual_degrees)
    if angle <= _ASKEW:
        return ()
    crosswise = angle > _CROSSWISE
    message = (
        f"The grain of this sample lies {'across' if crosswise else 'askew to'} that of the others, by {angle:.0f}°. "
        "Oak reads differently along and across the light, by an amount that differs from board to board. Lay all "
        "samples one way; a second photo with the samples turned a quarter shows how much it is."
    )
    code = "grain_crosswise" if crosswise else "grain_askew"
    return (Check(code=code, level=Level.WARN if crosswise else Level.NOTE, message=message),)


def direction_spread(first: Reading, second: Reading) -> Matrix3:
    """Return the covariance of L*, a*, b* that the way a sample lies adds, from two readings of it turned a quarter.

    The two readings are the ends of the range: half their difference is the standard deviation.
    """
    half = (np.asarray(first.lab) - np.asarray(second.lab)) / 2
    return matrix3(np.outer(half, half))


def with_direction(reading: Reading, spread: Matrix3) -> Reading:
    """Return the reading with the spread by direction added to its independent error."""
    return replace(reading, covariance=matrix3(np.asarray(reading.covariance) + np.asarray(spread)))


def check_repeats(readings: Sequence[tuple[str, Reading]]) -> tuple[Check, ...]:
    """Return what there is to say when one and the same sample reads differently in several photos.

    Parameters
    ----------
    readings
        The photo's name and the reading, for each photo that shows the sample.
    """
    found = []
    for i, (photo, one) in enumerate(readings):
        for other_photo, other in readings[i + 1 :]:
            gap = one.lab[0] - other.lab[0]
            error = float(np.hypot(one.standard_errors[0], other.standard_errors[0]))
            if photo == other_photo or abs(gap) <= max(_APART, _APART_ERRORS * error):
                continue
            found.append(
                Check(
                    code="photos_disagree",
                    level=Level.WARN,
                    message=f"The same sample reads {abs(gap):.1f} L* {'lighter' if gap > 0 else 'darker'} in {photo} "
                    f"than in {other_photo}. Light on the wood unlike that on the card does this most often; lay the "
                    "card beside the samples, or photograph them again in one light.",
                )
            )
    return tuple(found)


def age_hours(drawn: datetime, taken: datetime) -> float:
    """Return the hours between a sample's removal from the vapour and its photo.

    Both are wall-clock times of one place, without a zone.

    Raises
    ------
    InputError
        When the photo was taken before the sample was drawn.

    >>> age_hours(datetime(2024, 3, 5, 8), datetime(2024, 3, 6, 9, 30))
    25.5
    """
    hours = (taken.replace(tzinfo=None) - drawn.replace(tzinfo=None)).total_seconds() / 3600
    if hours < 0:
        raise InputError(
            f"expected the photo to be taken after the sample was drawn at {drawn:%Y-%m-%d %H:%M}, got a photo of "
            f"{taken:%Y-%m-%d %H:%M}; check the camera's clock"
        )
    return hours


def check_ages(ages: Sequence[float]) -> tuple[Check, ...]:
    """Return what there is to say about unlike ages within one curve.

    Parameters
    ----------
    ages
        Hours between removal and photo, of the samples whose age is known.
    """
    known = sorted(ages)
    if len(known) < 2:
        return ()
    low, high = known[0], known[-1]
    if high - low <= _AGE_HOURS or high <= _AGE_FACTOR * low:
        return ()
    return (
        Check(
            code="unlike_ages",
            level=Level.WARN,
            message=f"The samples were photographed {low:.0f} to {high:.0f} hours after they were drawn. Fumed wood "
            "goes on settling for a while, and nobody has measured by how much. Photograph all samples at one fixed "
            "delay, or all once more together.",
        ),
    )
