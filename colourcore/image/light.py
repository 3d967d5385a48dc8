"""Uneven light: how it falls off over the photo, from plain ground that should look alike everywhere.

Patches of one ground (or cards stated alike) differ only by the light on them. A low-order surface is laid through
the logarithm of that light, a shadow or a stain counting less, and every patch is divided by it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = ["Ground", "LightField", "fit_light"]

Array = NDArray[np.float64]

_ROUNDS: Final = 12
_OUTLYING: Final = 1.5  # robust standard deviations, beyond which a tile counts less (Huber 1964)
_MAD_TO_SD: Final = 1.4826  # of a normal distribution
_LEAST_SPREAD: Final = 0.002  # of the light: what no ground is more even than
_HOLD: Final = 0.05  # how far the ground must speak for a slope before it is believed, in tiles' own spread
_QUADRATIC_PATCHES: Final = 6
_FALL_OFF_SHAPE: Final = 0.15  # share of the fall-off that a surface of this order leaves wrong between its patches


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Ground:
    """Patches that would look alike under even light.

    Attributes
    ----------
    light
        One array of shape (k,) for each patch: luminance of its tiles, linear.
    centres
        One array of shape (k, 2) for each patch: centres of the tiles, in pixels of the upright photo.
    """

    light: tuple[Array, ...]
    centres: tuple[Array, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LightField:
    """How the light lies over a photo, relative to the middle of the ground that showed it.

    Attributes
    ----------
    order
        1 for a plane, 2 for a curved surface (in the logarithm of light).
    centre, scale
        Shape (2,) and a number: pixels are counted from `centre` in units of `scale`.
    coefficients, covariance
        Shapes (n,) and (n, n), of the terms x, y and then x², xy, y².
    patches
        How many patches of ground it rests on.
    reach
        Shape (2, 2): least and greatest x, y of the ground.
    """

    order: int
    centre: Array
    scale: float
    coefficients: Array
    covariance: Array
    patches: int
    reach: Array

    def log_light(self, places: ArrayLike) -> Array:
        """Return the natural logarithm of the relative light at places of shape (..., 2), pixels."""
        return np.asarray(self._terms(places) @ self.coefficients, dtype=np.float64)

    def relative_error(self, place: ArrayLike, reference: ArrayLike) -> float:
        """Return the standard error of the light at one place relative to another, as a share of it.

        Besides the error of the coefficients it counts what a low-order surface leaves wrong, growing beyond the
        ground.
        """
        gap = (self._terms(place) - self._terms(reference)).reshape(-1)
        fitted = float(gap @ self.covariance @ gap)
        change = abs(float(gap @ self.coefficients))
        beyond = 1 + self.beyond(place)
        return float(np.sqrt(fitted + (_FALL_OFF_SHAPE * change * beyond) ** 2))

    def beyond(self, place: ArrayLike) -> float:
        """Return how far a place lies outside the ground, in lengths of the ground; 0 within."""
        at = np.asarray(place, dtype=np.float64).reshape(2)
        outside = np.maximum(self.reach[0] - at, 0) + np.maximum(at - self.reach[1], 0)
        return float(np.max(outside) / max(float(np.max(self.reach[1] - self.reach[0])), 1.0))

    def _terms(self, places: ArrayLike) -> Array:
        return _terms((np.asarray(places, dtype=np.float64) - self.centre) / self.scale, self.order)


def _terms(at: Array, order: int) -> Array:
    x, y = at[..., 0], at[..., 1]
    columns = [x, y] if order == 1 else [x, y, x * x, x * y, y * y]
    return np.stack(columns, axis=-1)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Tiles:
    log_light: Array  # (n,)
    at: Array  # (n, 2)
    group: NDArray[np.intp]  # (n,) which ground
    patch: NDArray[np.intp]  # (n,) which patch
    weight: Array  # (n,) so that each patch counts alike


def _tiles(grounds: Sequence[Ground]) -> _Tiles:
    logs, places, groups, patches, weights = [], [], [], [], []
    number = 0
    for group, ground in enumerate(grounds):
        for light, centres in zip(ground.light, ground.centres, strict=True):
            logs.append(np.log(np.maximum(light, 1e-6)))
            places.append(centres)
            groups.append(np.full(light.size, group))
            patches.append(np.full(light.size, number))
            weights.append(np.full(light.size, 1 / light.size))
            number += 1
    return _Tiles(
        log_light=np.concatenate(logs),
        at=np.concatenate(places),
        group=np.concatenate(groups),
        patch=np.concatenate(patches),
        weight=np.concatenate(weights),
    )


def _solve(tiles: _Tiles, at: Array, order: int) -> tuple[Array, Array, Array]:
    """Return coefficients, their covariance, and the tiles' weights: iterated, outlying tiles counting less."""
    groups = np.eye(int(tiles.group.max()) + 1)[tiles.group]
    design = np.hstack([_terms(at, order), groups])
    n = design.shape[1] - groups.shape[1]
    weight = tiles.weight / tiles.weight.max()
    hold = np.zeros(design.shape[1])
    hold[:n] = _HOLD * np.sqrt(weight.sum())
    trust = np.ones_like(weight)
    for _ in range(_ROUNDS):
        root = np.sqrt(weight * trust)
        rows = np.vstack([design * root[:, None], np.diag(hold)[:n]])
        values = np.concatenate([tiles.log_light * root, np.zeros(n)])
        solution = np.linalg.lstsq(rows, values, rcond=None)[0]
        rest = tiles.log_light - design @ solution
        spread = max(_MAD_TO_SD * float(np.median(np.abs(rest))), _LEAST_SPREAD)
        trust = np.minimum(1.0, _OUTLYING * spread / np.maximum(np.abs(rest), 1e-12))
    return solution[:n], _clustered(design, rest, weight * trust, tiles.patch, hold)[:n, :n], rest


def _clustered(design: Array, rest: Array, weight: Array, patch: NDArray[np.intp], hold: Array) -> Array:
    """Return the covariance of the solution when the tiles of one patch err together (Liang, Zeger 1986)."""
    bread = np.linalg.pinv(design.T @ (design * weight[:, None]) + np.diag(hold**2))
    count = int(patch.max()) + 1
    units = patch if count >= 4 else np.arange(patch.size)
    meat = np.zeros_like(bread)
    for unit in np.unique(units):
        mine = units == unit
        score = design[mine].T @ (weight[mine] * rest[mine])
        meat += np.outer(score, score)
    number = np.unique(units).size
    return np.asarray(bread @ meat @ bread * number / max(number - 1, 1), dtype=np.float64)


def fit_light(grounds: Sequence[Ground]) -> LightField | None:
    """Return how the light lies over the photo, or None when there is no ground to tell it by.

    A plane for fewer than six patches, a curved surface from six on. Where the ground does not speak for a direction
    (two patches show the fall-off between them and nothing across), the light is taken as even in it.
    """
    if not any(ground.light for ground in grounds):
        return None
    tiles = _tiles([ground for ground in grounds if ground.light])
    low, high = tiles.at.min(axis=0), tiles.at.max(axis=0)
    centre, scale = (low + high) / 2, max(float(np.max(high - low)) / 2, 1.0)
    patches = int(tiles.patch.max()) + 1
    spare = patches - int(tiles.group.max())
    order = 2 if spare >= _QUADRATIC_PATCHES else 1
    coefficients, covariance, _ = _solve(tiles, (tiles.at - centre) / scale, order)
    return LightField(
        order=order,
        centre=centre,
        scale=scale,
        coefficients=coefficients,
        covariance=covariance,
        patches=patches,
        reach=np.stack([low, high]),
    )
