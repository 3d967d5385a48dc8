"""An act and how one is made: a name in the user's words, and the job that it leads to."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from colourcore.job.model import Job, Patch
from colourcore.job.spoken import spoken_all

__all__ = ["Edit", "changed", "chosen", "edited", "next_identity", "photo_number", "said_of"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Edit:
    """An act: what it is called after "undo", and the job that it leads to."""

    name: str
    job: Job


def edited(act: str, job: Job, **changes: Any) -> Edit:
    """Return the act that gives a job new values of some attributes; the very job where they are what they were."""
    same = all(getattr(job, field) == value for field, value in changes.items())
    return Edit(name=act, job=job if same else replace(job, **changes))


def changed(act: str, job: Job, changes: Mapping[int, Mapping[str, Any]]) -> Edit:
    """Return the act that gives patches new values of some attributes, each by its identity."""
    chosen(job, changes)
    patches = tuple(replace(patch, **changes.get(patch.identity, {})) for patch in job.patches)
    return edited(act, job, patches=patches)


def said_of(what: str, job: Job, identities: Collection[int], **said: Any) -> Edit:
    """Return the act that says the same of several patches, called after what is said: "board of 3 samples"."""
    return changed(f"{what} of {spoken_all(chosen(job, identities))}", job, dict.fromkeys(identities, said))


def chosen(job: Job, identities: Iterable[int]) -> list[Patch]:
    """Return patches by their identities. KeyError for one that the job does not hold."""
    return [job.patch(identity) for identity in identities]


def next_identity(job: Job) -> int:
    """Return the identity that a new patch of the job gets."""
    return max((patch.identity for patch in job.patches), default=0) + 1


def photo_number(job: Job, photo: str) -> int:
    """Return which photo of the job this is, from 1. KeyError for one that it does not hold."""
    for number, file in enumerate(job.photos, 1):
        if file.name == photo:
            return number
    raise KeyError(photo)
