"""Is the light over a photo even enough, and how much of it was evened out?"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

import numpy as np
from numpy.typing import NDArray

from colourcore.colour.spaces import xyz_to_lab
from colourcore.image.balance import Balance
from colourcore.image.checks import LIGHT_NOTED, Check, Level
from colourcore.image.pixels import PatchStatistics

__all__ = ["check_light"]

_SURE: Final = 4.0  # standard errors
_FEWEST_TILES: Final = 9


def check_light(balance: Balance, patches: Iterable[PatchStatistics], card: PatchStatistics) -> tuple[Check, ...]:
    """Return what there is to say about the light over a photo.

    Parameters
    ----------
    balance
        The photo's balance.
    patches
        Its samples and targets.
    card
        The card, by whose own slope of light the rest is judged where nothing else shows it.
    """
    seen = list(patches)
    if not seen:
        return ()
    if balance.light is not None:
        light = np.array([balance.light_on(patch) for patch in seen])
        fall = 1 - float(min(light.min(), 1.0) / max(light.max(), 1.0))
        move = max(
            abs(float((xyz_to_lab(balance.patch_xyz(patch))[0] + 16) / 3 * (1 - one)))
            for patch, one in zip(seen, light, strict=True)
        )
        return (
            Check(
                code="light_evened",
                level=Level.NOTE,
                message=f"The light falls off by {100 * fall:.0f} % over card and samples, up to {move:.1f} L*; this "
                f"was divided out by {balance.light.patches} patches of plain ground.",
            ),
        )
    slope, error = _card_slope(card)
    moves = []
    for patch in seen:
        away = patch.tile_weights @ patch.tile_centres - card.tile_weights @ card.tile_centres
        lightness = float(xyz_to_lab(balance.patch_xyz(patch))[0])
        scale = (lightness + 16) / 3
        moves.append((scale * abs(float(away @ slope)), scale * float(np.sqrt(away @ error @ away))))
    move, doubt = max(moves)
    if move <= LIGHT_NOTED or move <= _SURE * doubt:
        return ()
    return (
        Check(
            code="light_uneven",
            level=Level.WARN,
            message="The card is lighter on one side than on the other. If the light goes on like that, a sample reads "
            f"wrong by {move:.1f} L*. Even the light out, or outline plain ground around the samples as background.",
        ),
    )


def _card_slope(card: PatchStatistics) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return how the logarithm of light changes over a card, per pixel: shape (2,), and its covariance (2, 2)."""
    log_light = np.log(np.maximum(card.tile_means @ card.to_xyz[1], 1e-6))
    centre = card.tile_weights @ card.tile_centres
    design = np.hstack([np.ones((log_light.size, 1)), card.tile_centres - centre])
    if log_light.size < _FEWEST_TILES:
        return np.zeros(2), np.zeros((2, 2))
    solution = np.linalg.lstsq(design, log_light, rcond=None)[0]
    rest = log_light - design @ solution
    variance = float(rest @ rest) / (log_light.size - 3)
    return solution[1:], variance * np.linalg.pinv(design.T @ design)[1:, 1:]
