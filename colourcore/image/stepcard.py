"""From several greys of known lightness to the camera's tone curve.

Each way to read the greys is tried on greys that it has not seen, and the one that does best is taken. With three
greys none can be spared for that: the simplest way that fits them is taken, and an S-shaped curve where none does.
Greys alone cannot tell stray light from a tone curve: an offset is looked for only where the curve is known.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from colourcore.colour.difference import delta_e_2000
from colourcore.colour.spaces import BRADFORD, srgb_encode, xyz_to_lab
from colourcore.errors import InputError
from colourcore.image.tone import LEAST_LIGHT, Tone, tone_through

__all__ = ["Grey", "StepCardFit", "cone_gains", "fit_step_card", "looks_linear"]

Array = NDArray[np.float64]

_SIMPLER_BY: Final = 0.05  # ΔE00 that a freer curve must gain in leave-one-out to be taken
_FITS: Final = 0.4  # ΔE00 over the greys themselves, within which a simple way is good enough for three of them
_SHOULDER: Final = 1.02  # of full code: where the S-shaped curve levels off, a little above what a file can hold
_DENSE: Final = 33
_LINEAR_SLOPES: Final = (0.85, 1.15)  # of the logarithm of the code over that of light, in a linear file


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Grey:
    """One neutral reference: mean channel light as the file claims it, and stated XYZ under D65; shapes (3,)."""

    light: Array
    xyz: Array


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class StepCardFit:
    """What the greys said.

    Attributes
    ----------
    tone
        The curve to undo, or None where the file's own meaning did as well.
    method
        How it was found, for the user.
    residual_delta_e
        Mean CIEDE2000 over greys that were left out of the fit, or None where none could be.
    errors
        The same for each way that was tried.
    """

    tone: Tone | None
    method: str
    residual_delta_e: float | None
    errors: Mapping[str, float]


Fit = Callable[[Sequence[Grey], Array], Tone | None]


def _logs(greys: Sequence[Grey], to_xyz: Array) -> tuple[Array, Array]:
    """Return logarithms of claimed light and of the light that neutral greys must have, shapes (n, 3), rising."""
    seen = np.array([grey.light for grey in greys])
    stated = np.array([grey.xyz for grey in greys]) @ np.linalg.inv(to_xyz).T
    order = np.argsort(stated[:, 1])
    return np.log(np.maximum(seen[order], LEAST_LIGHT)), np.log(np.maximum(stated[order], LEAST_LIGHT))


def _no_curve(greys: Sequence[Grey], to_xyz: Array) -> Tone | None:  # noqa: ARG001 - one of several ways, called alike
    return None


def _reference_gain(seen: Array, stated: Array) -> Array:
    """Return the logarithm of claimed over stated light at the middle grey, shape (3,): the curve passes there."""
    middle = int(np.argmin(np.abs(stated[:, 1] - np.log(0.18))))
    return np.asarray(seen[middle] - stated[middle], dtype=np.float64)


def _power(greys: Sequence[Grey], to_xyz: Array) -> Tone | None:
    seen, stated = _logs(greys, to_xyz)
    x, y = seen - seen.mean(axis=0), stated - stated.mean(axis=0)
    slope = float(np.sum(x * y) / np.sum(x * x))
    centre, gain = seen.mean(axis=0), _reference_gain(seen, stated)
    line = np.stack([centre - 1, centre + 1], axis=1)
    middle = (stated.mean(axis=0) + gain)[:, None]
    return tone_through(line, middle + slope * np.array([-1.0, 1.0]))


def _per_channel(greys: Sequence[Grey], to_xyz: Array) -> Tone | None:
    seen, stated = _logs(greys, to_xyz)
    return tone_through(seen.T, (stated + _reference_gain(seen, stated)).T)


def _hat(places: Array, knots: Array) -> Array:
    """Return the weights, shape (len(places), len(knots)), of straight pieces between knots, carried on at the ends."""
    k = np.clip(np.searchsorted(knots, places) - 1, 0, knots.size - 2)
    t = (places - knots[k]) / (knots[k + 1] - knots[k])
    weights = np.zeros((places.size, knots.size))
    rows = np.arange(places.size)
    weights[rows, k], weights[rows, k + 1] = 1 - t, t
    return weights


def _shared(greys: Sequence[Grey], to_xyz: Array) -> Tone | None:
    """One curve for all three channels and a gain for each, together by least squares in logarithms."""
    seen, stated = _logs(greys, to_xyz)
    knots = seen.mean(axis=1)
    if np.any(np.diff(knots) <= 0):
        return tone_through(np.tile(knots, (3, 1)), stated.T)  # raises with its reason
    rows, values = [], []
    for channel, gain in enumerate(([1.0, 0.0], [0.0, 0.0], [0.0, 1.0])):
        rows.append(np.hstack([_hat(seen[:, channel], knots), np.tile([-g for g in gain], (len(knots), 1))]))
        values.append(stated[:, channel])
    solution = np.linalg.lstsq(np.vstack(rows), np.concatenate(values), rcond=None)[0]
    curve = solution[: knots.size]
    curve = curve + float(_reference_gain(seen, stated)[1])
    return tone_through(np.tile(knots, (3, 1)), np.tile(curve, (3, 1)))


def _sigmoid(greys: Sequence[Grey], to_xyz: Array) -> Tone | None:
    """One S-shaped curve and a gain for each channel: the logarithm of light over the logit of the code, bent once.

    Cameras' curves have a toe and a shoulder; in the logit of the code they are nearly straight.
    """
    seen, stated = _logs(greys, to_xyz)
    places = _logit(seen)
    rows, values = [], []
    for channel, gain in enumerate(([1.0, 0.0], [0.0, 0.0], [0.0, 1.0])):
        z = places[:, channel]
        rows.append(np.column_stack([np.ones_like(z), z, z * z, np.tile([-g for g in gain], (z.size, 1))]))
        values.append(stated[:, channel])
    a, b, c = np.linalg.lstsq(np.vstack(rows), np.concatenate(values), rcond=None)[0][:3]
    dense = np.linspace(seen.min(), seen.max(), _DENSE)
    z = _logit(dense)
    if np.any(b + 2 * c * z <= 0):
        return _shared(greys, to_xyz)
    curve = a + b * z + c * z * z + float(_reference_gain(seen, stated)[1])
    return tone_through(np.tile(dense, (3, 1)), np.tile(curve, (3, 1)))


def _logit(log_seen: Array) -> Array:
    code = np.clip(srgb_encode(np.exp(log_seen)), 1e-4, 1.0)
    return np.asarray(np.log(code / (_SHOULDER - code)), dtype=np.float64)


def _offset(greys: Sequence[Grey], to_xyz: Array) -> Tone | None:
    """Stray light over a known straight curve: each channel's line through the greys, errors in proportion to light."""
    seen = np.array([grey.light for grey in greys])
    stated = np.array([grey.xyz for grey in greys]) @ np.linalg.inv(to_xyz).T
    offsets = []
    for channel in range(3):
        weight = 1 / seen[:, channel]
        design = np.stack([stated[:, channel], np.ones(len(greys))], axis=1) * weight[:, None]
        offsets.append(max(0.0, float(np.linalg.lstsq(design, seen[:, channel] * weight, rcond=None)[0][1])))
    line = np.log(np.array([LEAST_LIGHT, 1.0]))
    return tone_through(np.tile(line, (3, 1)), np.tile(line, (3, 1)), offset=offsets)


def cone_gains(greys: Sequence[Grey], tone: Tone | None, to_xyz: Array) -> Array:
    """Return the three cone-like gains, shape (3,), that bring the greys to their stated colours on average.

    The average is that of logarithms, so that a dark grey counts as much as a light one.
    """
    light = np.array([grey.light for grey in greys])
    cones = (light if tone is None else tone.apply(light)) @ (BRADFORD @ to_xyz).T
    stated = np.array([grey.xyz for grey in greys]) @ BRADFORD.T
    logs = np.log(np.maximum(stated, LEAST_LIGHT) / np.maximum(cones, LEAST_LIGHT))
    return np.asarray(np.exp(logs.mean(axis=0)), dtype=np.float64)


def _balanced(light: Array, greys: Sequence[Grey], tone: Tone | None, to_xyz: Array) -> Array:
    gains = cone_gains(greys, tone, to_xyz)
    bent = light if tone is None else tone.apply(light)
    return np.asarray(np.linalg.solve(BRADFORD, gains * (BRADFORD @ to_xyz @ bent)), dtype=np.float64)


def _left_out_error(fit: Fit, greys: Sequence[Grey], to_xyz: Array) -> float:
    """Return the mean CIEDE2000 over greys that lie between others, each left out of the fit that reads it."""
    order = np.argsort([grey.xyz[1] for grey in greys])
    errors = []
    for k in order[1:-1]:
        others = [grey for i, grey in enumerate(greys) if i != k]
        errors.append(_error(greys[k], others, fit(others, to_xyz), to_xyz))
    return float(np.mean(errors))


def _error(grey: Grey, fitted: Sequence[Grey], tone: Tone | None, to_xyz: Array) -> float:
    read = _balanced(grey.light, fitted, tone, to_xyz)
    return float(delta_e_2000(xyz_to_lab(read), xyz_to_lab(grey.xyz)))


def _ways(known_curve: bool) -> dict[str, Fit]:
    if known_curve:
        return {"the file's own curve": _no_curve, "the known curve less stray light": _offset}
    return {
        "the file's own curve": _no_curve,
        "one contrast for all greys": _power,
        "an S-shaped curve": _sigmoid,
        "a tone curve shared by the channels": _shared,
        "a tone curve for each channel": _per_channel,
    }


def fit_step_card(greys: Sequence[Grey], to_xyz: Array, *, known_curve: bool = False) -> StepCardFit:
    """Return the tone curve that the greys show.

    Parameters
    ----------
    greys
        Two or more neutral references of unlike lightness.
    to_xyz
        Shape (3, 3): channel light to XYZ under D65, as the file states it.
    known_curve
        True where the claimed light is known to be in proportion to the scene's but for stray light.

    Raises
    ------
    InputError
        When the greys contradict their stated lightness.
    """
    if len(greys) < 2:
        raise InputError(f"expected two or more greys for a tone curve, got {len(greys)}")
    _per_channel(greys, to_xyz)  # raises when the greys stand in another order than stated
    ways = _ways(known_curve)
    if len(greys) == 2:
        name = list(ways)[1]
        return StepCardFit(tone=ways[name](greys, to_xyz), method=name, residual_delta_e=None, errors={})
    if len(greys) == 3 and not known_curve:
        return _fit_three(greys, to_xyz)
    errors = {name: _left_out_error(fit, greys, to_xyz) for name, fit in ways.items()}
    best = next(iter(ways))
    for name in ways:
        if errors[name] < errors[best] - _SIMPLER_BY:
            best = name
    return StepCardFit(tone=ways[best](greys, to_xyz), method=best, residual_delta_e=errors[best], errors=errors)


def _fit_three(greys: Sequence[Grey], to_xyz: Array) -> StepCardFit:
    """Return the simplest way that three greys allow, judged on the greys themselves.

    For the S-shaped curve, which three greys always allow, the error is a third of what it differs by, between the
    greys, from another smooth curve through them: so much the simulated cameras bear out.
    """
    errors: dict[str, float] = {}
    for name, fit in (("the file's own curve", _no_curve), ("one contrast for all greys", _power)):
        tone = fit(greys, to_xyz)
        errors[name] = float(np.mean([_error(grey, greys, tone, to_xyz) for grey in greys]))
        if errors[name] < _FITS:
            return StepCardFit(tone=tone, method=name, residual_delta_e=errors[name], errors=errors)
    tone, other = _sigmoid(greys, to_xyz), _shared(greys, to_xyz)
    places = np.sort(np.array([grey.light for grey in greys]), axis=0)
    between = np.sqrt(places[:-1] * places[1:])
    first, second = (xyz_to_lab(_balanced_rows(between, greys, curve, to_xyz)) for curve in (tone, other))
    name = "an S-shaped curve"
    errors[name] = float(np.mean(delta_e_2000(first, second))) / 3
    return StepCardFit(tone=tone, method=name, residual_delta_e=errors[name], errors=errors)


def _balanced_rows(light: Array, greys: Sequence[Grey], tone: Tone | None, to_xyz: Array) -> Array:
    return np.array([_balanced(row, greys, tone, to_xyz) for row in light])


def looks_linear(greys: Sequence[Grey], to_xyz: Array) -> bool:
    """Return whether greys read as sRGB look like those of a file whose codes are proportional to light.

    In such a file the code itself, and not the light it stands for as sRGB, rises in proportion to the light of the
    greys, all along. An ordinary picture's codes rise with less than half that slope.
    """
    seen, stated = _logs(greys, to_xyz)
    codes = np.log(np.maximum(srgb_encode(np.exp(seen)), 1e-3))
    slopes = np.diff(codes, axis=0) / np.diff(stated, axis=0)
    low, high = _LINEAR_SLOPES
    return bool(np.all((slopes > low) & (slopes < high)))
