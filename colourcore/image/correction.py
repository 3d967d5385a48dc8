"""From a colour chart to a correction of colour, judged on patches that it has not seen.

Several ways are tried: one grey as a card, all greys as a step card, a 3×3 matrix over all patches, and the matrix
after the greys. Each coloured patch is read by a correction fitted without it. The last way is the usual one; another
is taken where its mean error is clearly less, and one card wherever it is less at all, so that a chart is never worse
than the card alone.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from colourcore.colour.difference import delta_e_2000
from colourcore.colour.spaces import BRADFORD, lab_jacobian, xyz_to_lab
from colourcore.errors import InputError
from colourcore.image.chart import COLUMNS, NEUTRAL_ROW
from colourcore.image.pixels import PatchStatistics
from colourcore.image.stepcard import Grey, cone_gains, fit_step_card
from colourcore.image.tone import Tone

__all__ = ["ChartFit", "Correction", "correct_colours", "fit_chart", "is_whole"]

Array = NDArray[np.float64]

_ROUNDS: Final = 6
_PRIOR_WEIGHT: Final = 10.0  # L*, a*, b* for a change of 1 in a matrix entry: holds what the patches leave open
_OUTLYING: Final = 1.5  # median errors, beyond which a patch counts less (Huber 1964)
_CHROMA_COUNTS_LESS: Final = 0.015  # for each unit of chroma, as CIEDE2000 has it for hue (ISO/CIE 11664-6)
_FLOOR: Final = 1e-4  # of full light
_USUAL, _CARD = "the chart's greys, then a 3×3 matrix", "one grey of the chart"
_OTHER_GAINS: Final = 0.5  # ΔE00 that another way must gain over the usual one: less is the luck of a few patches
_NO_PATCH: Final = 25.0  # ΔE00 by which no patch of an uncovered chart is off in any photo
_CLIPPED_PATCH: Final = 0.02  # share of pixels beyond which a patch of the chart is left out


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Correction:
    """One way of turning channel light into XYZ under D65: the tone curve to undo, then a 3×3 matrix."""

    tone: Tone | None
    matrix: Array

    def xyz(self, light: ArrayLike) -> Array:
        """Return XYZ, shape (..., 3), of channel light as the file claims it."""
        claimed = np.asarray(light, dtype=np.float64)
        return (claimed if self.tone is None else self.tone.apply(claimed)) @ self.matrix.T


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ChartFit:
    """What a chart said.

    Attributes
    ----------
    correction
        The way that was taken, fitted on all patches.
    method
        Its name, for the user.
    residual_delta_e
        Mean CIEDE2000 over the coloured patches, each read without having been seen.
    residuals
        Shape (n, 3): the errors in L*, a*, b* behind it.
    errors
        The mean for each way that was tried.
    """

    correction: Correction
    method: str
    residual_delta_e: float
    residuals: Array
    errors: Mapping[str, float]


def is_whole(patch: PatchStatistics) -> bool:
    """Return whether a patch of the chart says what light fell on it: no channel clipped."""
    return patch.clipped_share <= _CLIPPED_PATCH


def correct_colours(light: ArrayLike, xyz: ArrayLike, start: ArrayLike) -> Array:
    """Return the 3×3 matrix that brings channel light nearest to XYZ, judged in CIELAB.

    Parameters
    ----------
    light, xyz
        Shape (n, 3): linear light of the patches and what they should read, XYZ under D65.
    start
        Shape (3, 3): the matrix to begin from, which also holds what the patches leave open.

    Least squares of L*, a*, b*, repeated with the slope of the formula at each patch (Gauss-Newton); strong colours,
    and patches that fit badly, count less.
    """
    seen, stated = np.asarray(light, dtype=np.float64), np.asarray(xyz, dtype=np.float64)
    anchor = np.asarray(start, dtype=np.float64)
    goal, matrix = xyz_to_lab(stated), anchor.copy()
    eye = 1 / (1 + _CHROMA_COUNTS_LESS * np.hypot(goal[:, 1], goal[:, 2]))
    for _ in range(_ROUNDS):
        read = seen @ matrix.T
        slopes = np.array([lab_jacobian(np.maximum(one, _FLOOR)) for one in read])
        design = np.einsum("nij,nk->nijk", slopes, seen).reshape(-1, 9)
        gap = goal - xyz_to_lab(read)
        size = eye * np.linalg.norm(gap, axis=1)
        limit = _OUTLYING * max(float(np.median(size)), 1e-6)
        weight = np.repeat(eye * np.sqrt(np.minimum(1.0, limit / np.maximum(size, 1e-9))), 3)
        rows = np.vstack([design * weight[:, None], _PRIOR_WEIGHT * np.eye(9)])
        values = np.concatenate([gap.ravel() * weight, _PRIOR_WEIGHT * (anchor - matrix).ravel()])
        matrix = matrix + np.linalg.lstsq(rows, values, rcond=None)[0].reshape(3, 3)
    return matrix


def _greys(light: Array, xyz: Array, kept: Sequence[int]) -> list[Grey]:
    row = range(NEUTRAL_ROW.start, NEUTRAL_ROW.stop)
    return [Grey(light=light[i], xyz=xyz[i]) for i in kept if i in row]


def _balanced_matrix(greys: Sequence[Grey], tone: Tone | None, to_xyz: Array) -> Array:
    gains = cone_gains(greys, tone, to_xyz)
    return np.asarray(np.linalg.solve(BRADFORD, gains[:, None] * (BRADFORD @ to_xyz)), dtype=np.float64)


Way = Callable[[Array, Array, Sequence[int]], Correction]


def _ways(light: Array, xyz: Array, kept: Sequence[int], to_xyz: Array, known_curve: bool) -> dict[str, Way]:
    """Return the ways to fit; the greys are never held back, so what depends on them alone is worked out once."""
    greys = _greys(light, xyz, kept)
    middle = min(greys, key=lambda grey: abs(float(grey.xyz[1]) - 0.18))
    card = Correction(tone=None, matrix=_balanced_matrix([middle], None, to_xyz))
    steps = fit_step_card(greys, to_xyz, known_curve=known_curve).tone
    grey_scale = Correction(tone=steps, matrix=_balanced_matrix(greys, steps, to_xyz))

    def fitted(base: Correction) -> Way:
        bent = light if base.tone is None else base.tone.apply(light)

        def fit(_: Array, __: Array, on: Sequence[int]) -> Correction:
            rows = list(on)
            return Correction(tone=base.tone, matrix=correct_colours(bent[rows], xyz[rows], base.matrix))

        return fit

    return {
        _USUAL: fitted(grey_scale),
        "a 3×3 matrix over the chart": fitted(card),
        "the chart's greys": lambda *_: grey_scale,
        _CARD: lambda *_: card,
    }


def _choose(errors: Mapping[str, float]) -> str:
    best = _USUAL
    for name, error in errors.items():
        if error < errors[best] - _OTHER_GAINS:
            best = name
    return _CARD if errors[_CARD] < errors[best] else best


def fit_chart(
    light: ArrayLike, xyz: ArrayLike, to_xyz: ArrayLike, *, kept: Sequence[int], known_curve: bool
) -> ChartFit:
    """Return the correction that a 24-patch chart asks for.

    Parameters
    ----------
    light, xyz
        Shape (24, 3): mean channel light of the patches and their reference XYZ under D65, row by row.
    to_xyz
        Shape (3, 3): channel light to XYZ, as the file states it.
    kept
        The patches, 0 to 23, that may be used: see `is_whole`.
    known_curve
        True where the claimed light is known to be in proportion to the scene's.

    Raises
    ------
    InputError
        When fewer than three greys or ten colours are left, or a patch is so far off that it cannot be a patch.
    """
    seen, stated, matrix = (np.asarray(v, dtype=np.float64) for v in (light, xyz, to_xyz))
    coloured = [i for i in kept if i < NEUTRAL_ROW.start]
    if len(_greys(seen, stated, kept)) < 3 or len(coloured) < 10:
        raise InputError(
            f"expected a chart with at least 3 greys and 10 colours that are not clipped, got "
            f"{len(kept) - len(coloured)} and {len(coloured)}; photograph it with less exposure"
        )
    ways = _ways(seen, stated, kept, matrix, known_curve)
    errors: dict[str, float] = {}
    residuals: dict[str, Array] = {}
    for name, way in ways.items():
        read = np.array([way(seen, stated, [k for k in kept if k != i]).xyz(seen[i]) for i in coloured])
        found, goal = xyz_to_lab(read), xyz_to_lab(stated[coloured])
        errors[name], residuals[name] = float(np.mean(delta_e_2000(found, goal))), found - goal
    best = _choose(errors)
    correction = ways[best](seen, stated, kept)
    _check_patches(correction.xyz(seen[list(kept)]), stated[list(kept)], kept)
    return ChartFit(
        correction=correction,
        method=best,
        residual_delta_e=errors[best],
        residuals=residuals[best],
        errors=errors,
    )


def _check_patches(read: Array, stated: Array, kept: Sequence[int]) -> None:
    off = delta_e_2000(xyz_to_lab(read), xyz_to_lab(stated))
    worst = int(np.argmax(off))
    if off[worst] > _NO_PATCH:
        patch = kept[worst]
        raise InputError(
            f"expected a whole 24-patch chart, got one whose patch {patch % COLUMNS + 1} in row {patch // COLUMNS + 1} "
            f"is ΔE {off[worst]:.0f} from its reference; uncover the whole chart, or drag its corners"
        )
