"""Acts upon targets and stated values."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace

from colourcore.errors import InputError
from colourcore.job.acts import Edit, edited, next_identity, photo_number, said_of
from colourcore.job.model import Job, Lab, Patch, Role

__all__ = ["ANOTHER_TARGET", "set_stated_lab", "target_from_numbers", "target_from_patch"]

ANOTHER_TARGET = "another target was chosen"
"""The reason written to a target patch that a newly chosen target replaces."""


def set_stated_lab(job: Job, identities: Collection[int], lab: Lab) -> Edit:
    """State the L*, a*, b* (D65/2°) of cards and other references. InputError outside L* 0–100 or a*, b* ±150."""
    return said_of("stated values", job, identities, lab=_checked_lab(lab))


def target_from_patch(job: Job, identity: int, board: str = "", zone: str = "") -> Edit:
    """Make an outlined area THE target for a board and zone (both empty: for all).

    Targets in numbers for the same board and zone leave the job; target patches for them are set aside with the
    reason `ANOTHER_TARGET` and stay outlined.
    """
    patch = job.patch(identity)
    target = replace(patch, role=Role.TARGET, hours=None, lab=None, board=board, zone=zone, set_aside="")
    patches = tuple(
        target if other.identity == identity else other for other in _without_targets(job, board, zone, but=identity)
    )
    return edited(f"target from photo {photo_number(job, patch.photo)}", job, patches=patches)


def target_from_numbers(
    job: Job, lab: Lab, *, label: str = "", board: str = "", zone: str = "", finish: str = ""
) -> Edit:
    """Make L*, a*, b* (D65/2°) THE target for a board and zone (both empty: for all).

    `a` and `b` may both be None: the target is a lightness alone. Earlier targets for the same board and zone give
    way as in `target_from_patch`. `label` says where the numbers came from, in the user's words.
    """
    patch = Patch(
        identity=next_identity(job),
        role=Role.TARGET,
        lab=_checked_lab(lab),
        label=label.strip(),
        board=board,
        zone=zone,
        finish=finish,
    )
    patches = (*_without_targets(job, board, zone, but=None), patch)
    return edited(f"target {patch.label}" if patch.label else "target in numbers", job, patches=patches)


def _without_targets(job: Job, board: str, zone: str, *, but: int | None) -> list[Patch]:
    kept = []
    for patch in job.patches:
        rival = patch.role is Role.TARGET and (patch.board, patch.zone) == (board, zone) and patch.identity != but
        if rival and patch.outline is None:
            continue
        kept.append(replace(patch, set_aside=ANOTHER_TARGET) if rival and not patch.set_aside else patch)
    return kept


def _checked_lab(lab: Lab) -> Lab:
    lightness, a, b = lab
    if not 0 <= lightness <= 100:
        raise InputError(f"expected L* from 0 to 100, got {lightness:g}")
    if (a is None) != (b is None):
        raise InputError("expected both a* and b*, or neither, got one of them")
    for name, value in (("a*", a), ("b*", b)):
        if value is not None and not -150 <= value <= 150:
            raise InputError(f"expected {name} from -150 to 150, got {value:g}")
    return lab
