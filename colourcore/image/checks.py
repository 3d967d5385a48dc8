"""Is this photo fit to measure? Each check says its figure, what it does to L*, and what cures it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Final

import numpy as np

from colourcore.colour.spaces import lab_jacobian, xyz_to_lab
from colourcore.image.balance import Balance
from colourcore.image.patches import loses_colour
from colourcore.image.pixels import PatchStatistics

__all__ = ["Check", "Level", "check_balance", "check_patch", "is_refused"]

CLIPPED_NOTED, CLIPPED_REFUSED = 0.005, 0.05  # share of pixels
CRUSHED_NOTED, CRUSHED_REFUSED = 0.005, 0.05  # share of pixels
STEP_NOTED, STEP_REFUSED = 0.7, 2.0  # L* that one code value is worth
LIGHT_OFFSET_NOTED: Final = 15.0  # ΔE*ab
EXPOSURE_NOTED: Final = 2.5  # times too dark


class Level(StrEnum):
    """How grave a check is: a note informs, a warning doubts, a refusal withholds the number."""

    NOTE = "note"
    WARN = "warn"
    REFUSE = "refuse"


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """One finding about a photo or a patch.

    Attributes
    ----------
    code
        A stable word for programs.
    level
        How grave it is.
    message
        One or two plain sentences: figure, consequence, cure.
    line
        The line of the sheet that it is about, counted from 1, or None.
    """

    code: str
    level: Level
    message: str
    line: int | None = None

    def at_line(self, line: int | None) -> Check:
        """Return the same check with the line of the sheet that it is about."""
        return replace(self, line=line)


def is_refused(checks: Iterable[Check]) -> bool:
    """Return whether any of the checks withholds the number.

    >>> is_refused([Check(code="clipped", level=Level.WARN, message="")])
    False
    """
    return any(check.level is Level.REFUSE for check in checks)


def _clipped(statistics: PatchStatistics, balance: Balance) -> Iterable[Check]:
    share = statistics.clipped_share
    if share <= CLIPPED_NOTED:
        return
    with_them = (1 - share) * statistics.mean + share
    gap = float((xyz_to_lab(balance.xyz(with_them)) - xyz_to_lab(balance.xyz(statistics.mean)))[0])
    refused = share > CLIPPED_REFUSED
    yield Check(
        code="clipped",
        level=Level.REFUSE if refused else Level.WARN,
        message=f"{100 * share:.1f} % of the pixels are clipped at the top of the scale"
        + (", so the patch cannot be read. " if refused else f" and left out: L* reads too low by {gap:.1f} or more. ")
        + "Photograph again with less exposure, or without glare.",
    )


def _too_dark(statistics: PatchStatistics, balance: Balance) -> Iterable[Check]:
    xyz = balance.patch_xyz(statistics)
    step = float((lab_jacobian(xyz) @ balance.slope(statistics.mean) @ statistics.code_step)[0])
    crushed = statistics.crushed_share
    refused = crushed > CRUSHED_REFUSED or step > STEP_REFUSED
    if not refused and crushed <= CRUSHED_NOTED and step <= STEP_NOTED:
        return
    yield Check(
        code="too_dark",
        level=Level.REFUSE if refused else Level.WARN,
        message=f"The patch is too dark in the photo: {100 * crushed:.1f} % of its pixels hold no light, and one step "
        f"of the file is worth {step:.1f} L*"
        + (", so it cannot be read. " if refused else ". ")
        + "Photograph again with more exposure.",
    )


def _colour_lost(statistics: PatchStatistics, balance: Balance) -> Iterable[Check]:
    if not loses_colour(statistics, balance):
        return
    if statistics.colourless:
        reason = "The photo is black and white"
    elif balance.colour_lost:
        reason = "The card holds no light in one of the three channels"
    else:
        name = ("red", "green", "blue")[int(np.argmax(statistics.dead_share))]
        reason = f"{100 * np.max(statistics.dead_share):.0f} % of the pixels hold no {name} light any more"
    yield Check(
        code="colour_lost",
        level=Level.WARN,
        message=f"{reason}: L* is kept, a* and b* are withheld. Set the camera's white balance to the lamp, or "
        "photograph in daylight.",
    )


def check_patch(statistics: PatchStatistics, balance: Balance) -> tuple[Check, ...]:
    """Return what there is to say against a patch. A refused patch must not yield a number."""
    return (
        *_clipped(statistics, balance),
        *_too_dark(statistics, balance),
        *_colour_lost(statistics, balance),
    )


def check_balance(balance: Balance) -> tuple[Check, ...]:
    """Return what there is to say against the light of a photo, as its card shows it."""
    checks = []
    if balance.light_offset > LIGHT_OFFSET_NOTED:
        checks.append(
            Check(
                code="light_colour",
                level=Level.WARN,
                message=f"The light is far from what the camera took for white: the card is off by "
                f"{balance.light_offset:.0f} in a*, b* before balance. L* suffers little, a* and b* much. "
                "Set the camera's white balance to the lamp, or photograph in daylight.",
            )
        )
    if balance.exposure_gain > EXPOSURE_NOTED:
        checks.append(
            Check(
                code="dark_exposure",
                level=Level.WARN,
                message=f"The card is {balance.exposure_gain:.1f} times darker in the photo than it is. A camera's "
                "tone curve differs down there, and L* can be off by several units. Photograph with more exposure.",
            )
        )
    return tuple(checks)
