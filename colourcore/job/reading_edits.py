"""Acts upon how photos are read and how the fit answers."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace
from typing import Any, Final

from colourcore.errors import InputError
from colourcore.job.acts import Edit, edited, photo_number
from colourcore.job.model import CameraFile, Choices, Job
from colourcore.job.spoken import counted

__all__ = ["choose", "declare_linear", "use_camera"]

_CHOICES: Final = {
    "confidence": (1.0, "confidence of the interval"),
    "past_odds": (1.0, "odds at look from"),
    "due_odds": (1.0, "odds at due"),
    "pace_spread": (1.0, "how far a run's pace strays"),
    "slow_pace": (10.0, "pace that counts as slowed"),
    "tolerance_delta_e": (20.0, "difference that counts as right"),
}
"""How each choice is spoken of, and the number that it must stay under; all are above 0."""

_LINEAR: Final = "linear"


def choose(job: Job, **choices: float) -> Edit:
    """Set choices of the fit by their names in `Choices`. InputError where one is not between its ends.

    >>> edit = choose(Job(), confidence=0.8)
    >>> edit.name, edit.job.choices.confidence
    ('confidence of the interval', 0.8)
    """
    for name, value in choices.items():
        most, what = _CHOICES[name]
        if not 0 < value < most:
            raise InputError(f"expected the {what} between 0 and {most:g}, got {value:g}")
    said: dict[str, Any] = dict(choices)
    new: Choices = replace(job.choices, **said)
    return edited(" and ".join(_CHOICES[name][1] for name in choices), job, choices=new)


def use_camera(job: Job, photos: Collection[str], camera: CameraFile | None) -> Edit:
    """Read photos with a camera's own curve, or (None) without one. The job holds the curves that its photos name."""
    numbers = [photo_number(job, photo) for photo in photos]
    name = camera.name if camera else ""
    patches = tuple(replace(patch, camera=name) if patch.photo in photos else patch for patch in job.patches)
    named = {patch.camera for patch in patches}
    kept = tuple(other for other in job.cameras if other.name != name and other.name in named)
    cameras = (*kept, camera) if camera and name in named else kept
    return edited(f"camera's curve of {_spoken(numbers)}", job, patches=patches, cameras=cameras)


def declare_linear(job: Job, photos: Collection[str], linear: bool) -> Edit:
    """Say that the codes of photos are (or are not) in proportion to light although the files do not say so."""
    numbers = [photo_number(job, photo) for photo in photos]
    encoding = _LINEAR if linear else ""
    patches = tuple(replace(patch, encoding=encoding) if patch.photo in photos else patch for patch in job.patches)
    return edited(f"encoding of {_spoken(numbers)}", job, patches=patches)


def _spoken(numbers: list[int]) -> str:
    return f"photo {numbers[0]}" if len(numbers) == 1 else counted(len(numbers), "photo")
