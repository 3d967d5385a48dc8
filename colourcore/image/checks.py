"""Is this photo fit to measure? Each check says its figure, what it does to L*, and what cures it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Final

import numpy as np

from colourcore.colour.spaces import lab_jacobian, xyz_to_lab
from colourcore.image.balance import Balance
from colourcore.image.patches import loses_colour, odd_part
from colourcore.image.pixels import PatchStatistics

__all__ = ["Check", "Level", "check_balance", "check_patch", "is_refused"]

CLIPPED_NOTED, CLIPPED_REFUSED = 0.005, 0.05  # share of pixels
CRUSHED_NOTED, CRUSHED_REFUSED = 0.005, 0.05  # share of pixels
STEP_NOTED, STEP_REFUSED = 0.7, 2.0  # L* that one code value is worth
LIGHT_OFFSET_NOTED: Final = 15.0  # ΔE*ab
EXPOSURE_NOTED: Final = 2.5  # times too dark
ODD_NOTED, ODD_WARNED = 0.25, 0.7  # L*
LINE_NOTED, LINE_WARNED = 0.15, 0.5  # L*
CODE_TO_LIGHT: Final = 2.2  # per cent of light for one per cent of an sRGB code, in the middle of the scale
LIGHT_NOTED: Final = 1.0  # L*
MOST_UNEVEN: Final = 0.40  # of the light
OUTSIDE_NOTED: Final = 3.0  # L*


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


def _odd_part(statistics: PatchStatistics, balance: Balance) -> Iterable[Check]:
    share, move = odd_part(statistics, balance)
    if abs(move) < ODD_NOTED:
        return
    what = "lighter than the rest (glare, a chip, paper?)" if move > 0 else "darker than the rest (a knot, a shadow?)"
    yield Check(
        code="odd_part",
        level=Level.WARN if abs(move) >= ODD_WARNED else Level.NOTE,
        message=f"{100 * share:.0f} % of the face is {what} and moves L* by {move:+.1f}. Outline a part without it, or "
        "turn the sample out of the glare.",
    )


def _line(statistics: PatchStatistics, balance: Balance) -> Iterable[Check]:
    lightness = float(xyz_to_lab(balance.patch_xyz(statistics))[0])
    move = (lightness + 16) / 3 * CODE_TO_LIGHT * statistics.face.line_loss
    if move < LINE_NOTED:
        return
    yield Check(
        code="line",
        level=Level.WARN if move >= LINE_WARNED else Level.NOTE,
        message=f"A dark line runs across the grain (pencil, a saw cut?) and takes {move:.1f} L* from the reading. "
        "Outline a part without it.",
    )


def _light(statistics: PatchStatistics, balance: Balance) -> Iterable[Check]:
    if balance.light is None:
        return
    light = balance.light_on(statistics)
    lightness = float(xyz_to_lab(balance.patch_xyz(statistics))[0])
    if abs(1 - light) > MOST_UNEVEN:
        yield Check(
            code="light_uneven",
            level=Level.REFUSE,
            message=f"The light on this patch is {100 * abs(1 - light):.0f} % {'less' if light < 1 else 'more'} than "
            "on the card: too unlike to divide out. Move the lamp away, or work near a window in the shade.",
        )
        return
    centre = statistics.tile_weights @ statistics.tile_centres
    error = (lightness + 16) / 3 * balance.light.relative_error(centre, balance.reference_place)
    if error > LIGHT_NOTED:
        yield Check(
            code="light_uncertain",
            level=Level.WARN,
            message=f"How much light falls on this patch is known to {error:.1f} L* only. Outline plain ground nearer "
            "to it, on more sides.",
        )


def _outside_steps(statistics: PatchStatistics, balance: Balance) -> Iterable[Check]:
    low, high = balance.reference_lightness
    lightness = float(xyz_to_lab(balance.patch_xyz(statistics))[0])
    away = max(low - lightness, lightness - high)
    if low == high or away <= OUTSIDE_NOTED:
        return
    yield Check(
        code="outside_steps",
        level=Level.NOTE,
        message=f"L* {lightness:.0f} lies {away:.0f} beyond the greys, which end at {low:.0f} and {high:.0f}: the tone "
        "curve is carried on there. Add a darker or a lighter grey.",
    )


def check_patch(statistics: PatchStatistics, balance: Balance) -> tuple[Check, ...]:
    """Return what there is to say against a patch. A refused patch must not yield a number."""
    return (
        *_clipped(statistics, balance),
        *_too_dark(statistics, balance),
        *_colour_lost(statistics, balance),
        *_odd_part(statistics, balance),
        *_line(statistics, balance),
        *_light(statistics, balance),
        *_outside_steps(statistics, balance),
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
    if balance.suspect_linear:
        checks.append(
            Check(
                code="maybe_linear",
                level=Level.WARN,
                message="The greys rise as in a linear file, although the file says nothing of it. If it was saved "
                "linear, declare it so; the greys have been followed in any case.",
            )
        )
    if not balance.absolute:
        checks.append(
            Check(
                code="relative_only",
                level=Level.WARN,
                message="The neutral thing's own lightness is not known: samples and a target in photos of it compare "
                "with one another, and the hours stand; L*, a*, b* as such do not. Photograph a grey card beside it.",
            )
        )
    return tuple(checks)
