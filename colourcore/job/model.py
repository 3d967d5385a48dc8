"""What the user decided: one frozen value. Photos, outlines, samples, targets, choices and the run, never results."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from colourcore.image.pixels import Outline
from colourcore.job.run_model import RunRecord

__all__ = [
    "GREY_CARD_LAB",
    "CameraFile",
    "Choices",
    "Job",
    "Lab",
    "Patch",
    "PhotoFile",
    "Role",
    "Unknown",
    "group_name",
]

Lab = tuple[float, float | None, float | None]

Unknown = tuple[tuple[str, str], ...]
"""What a newer version wrote into a job file and this one does not know: keys and JSON text, kept as they came."""

GREY_CARD_LAB: Lab = (49.5, 0.0, 0.0)
"""L*, a*, b* taken for a grey card whose values nobody stated: the trade's 18 % grey (reflectance 0.18, L* 49.496)."""


class Role(StrEnum):
    """What an outlined area of a photo is."""

    CARD = "card"
    SAMPLE = "sample"
    TARGET = "target"
    CHART = "chart"
    BACKGROUND = "background"
    NEUTRAL = "neutral"


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoFile:
    """A photo of the job: its name as the sheet writes it, and the SHA-256 of its bytes in hexadecimal."""

    name: str
    sha256: str
    unknown: Unknown = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class CameraFile:
    """A camera's own tone curve that photos of the job name: the file's name and its whole text."""

    name: str
    text: str
    unknown: Unknown = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Patch:
    """One outlined area of a photo, or a target given as numbers (`photo` empty, no outline).

    Attributes
    ----------
    identity
        A number that stays with the patch for as long as it lives in the job.
    hours
        Hours in the vapour, 0 for raw wood; None where the role has none.
    lab
        Stated L*, a*, b* under D65/2°: of a card, or of a target in numbers (a* and b* may be None there).
    set_aside
        The reason why a sample is not fitted; empty where it is.
    piece
        A name shared by repeated photos of one piece of wood.
    finish
        The finish on the wood when it was photographed; empty for bare wood.
    drawn
        When the sample left the vapour, as the user wrote it (ISO 8601).
    camera
        The name of the camera's curve that the photo goes by; empty for none.
    encoding
        "linear" where the photo's codes are in proportion to light although the file does not say so.
    extra
        Columns of the sheet that this version does not know, kept as they came.
    line
        The row's line in the sheet it came from, from 1.
    """

    identity: int
    photo: str = ""
    role: Role = Role.SAMPLE
    outline: Outline | None = None
    hours: float | None = None
    board: str = ""
    zone: str = ""
    label: str = ""
    lab: Lab | None = None
    set_aside: str = ""
    piece: str = ""
    finish: str = ""
    drawn: str = ""
    camera: str = ""
    encoding: str = ""
    extra: tuple[tuple[str, str], ...] = ()
    line: int | None = None
    unknown: Unknown = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Choices:
    """Choices of the fit.

    Attributes
    ----------
    confidence
        Probability inside intervals and bands, between 0 and 1.
    past_odds, due_odds
        Odds of a piece being past the target from which one looks, and at which it is due out, between 0 and 1.
    pace_spread
        How far a run's pace strays from the test's, as the SD of its logarithm.
    slow_pace
        Darkening in L* an hour under which it counts as slowed.
    tolerance_delta_e
        CIEDE2000 that still counts as right.
    """

    confidence: float = 0.9
    past_odds: float = 0.1
    due_odds: float = 1.0 / 3.0
    pace_spread: float = 0.12
    slow_pace: float = 0.25
    tolerance_delta_e: float = 2.0
    unknown: Unknown = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """One piece of work, whole: edits make another value of it, nothing changes it in place."""

    name: str = ""
    photos: tuple[PhotoFile, ...] = ()
    patches: tuple[Patch, ...] = ()
    cameras: tuple[CameraFile, ...] = ()
    choices: Choices = field(default_factory=Choices)
    run: RunRecord = field(default_factory=RunRecord)
    invented: bool = False
    unknown: Unknown = ()

    def patches_of(self, photo: str) -> tuple[Patch, ...]:
        """Return the patches outlined in one photo, in the job's order."""
        return tuple(patch for patch in self.patches if patch.photo == photo)

    def patch(self, identity: int) -> Patch:
        """Return the patch of that identity; KeyError where there is none."""
        for patch in self.patches:
            if patch.identity == identity:
                return patch
        raise KeyError(identity)


def group_name(board: str, zone: str) -> str:
    """Return how a board and zone are spoken of.

    >>> group_name("A", "sapwood"), group_name("", "heartwood"), group_name("B", ""), group_name("", "")
    ('board A, sapwood', 'heartwood', 'board B', 'the samples')
    """
    parts = ([f"board {board}"] if board else []) + ([zone] if zone else [])
    return ", ".join(parts) or "the samples"
