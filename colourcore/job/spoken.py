"""What patches are called in the names of acts."""

from __future__ import annotations

from collections.abc import Sequence

from colourcore.job.model import Patch, Role, group_name

__all__ = ["counted", "spoken", "spoken_all"]


def counted(number: int, what: str) -> str:
    """Return a number of things.

    >>> counted(1, "sample"), counted(9, "sample")
    ('1 sample', '9 samples')
    """
    return f"{number} {what}" if number == 1 else f"{number} {what}s"


def spoken(patch: Patch) -> str:
    """Return how a patch is spoken of.

    >>> spoken(Patch(identity=1, hours=9.0)), spoken(Patch(identity=2, role=Role.CARD))
    ('sample 9 h', 'the card')
    """
    if patch.role is not Role.SAMPLE:
        return {Role.BACKGROUND: "plain ground", Role.NEUTRAL: "a grey"}.get(patch.role, f"the {patch.role}")
    if patch.hours is None:
        return f"a sample of {group_name(patch.board, patch.zone)}" if patch.board or patch.zone else "a sample"
    return f"sample {patch.hours:g} h"


def spoken_all(patches: Sequence[Patch]) -> str:
    """Return how several patches are spoken of together.

    >>> spoken_all([Patch(identity=1), Patch(identity=2)])
    '2 samples'
    """
    if len(patches) == 1:
        return spoken(patches[0])
    only_samples = all(patch.role is Role.SAMPLE for patch in patches)
    return counted(len(patches), "sample" if only_samples else "outline")
