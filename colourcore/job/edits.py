"""Every way in which a job can be changed: pure functions from a job to an `Edit`, named in the user's words.

The name reads on after "undo": "hours of 9 samples", "move of sample 9 h". An edit that changes nothing returns the
very job it was given. What the user may have got wrong raises InputError; an identity or a photo that the job does
not hold is a fault of the caller and raises KeyError.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import replace
from typing import Any

from colourcore.errors import InputError
from colourcore.image.pixels import Outline
from colourcore.job.acts import Edit, changed, chosen, edited, next_identity, photo_number, said_of
from colourcore.job.model import GREY_CARD_LAB, Job, Patch, PhotoFile, Role
from colourcore.job.reading_edits import choose, declare_linear, use_camera
from colourcore.job.reading_order import samples_in_reading_order
from colourcore.job.spoken import counted, spoken, spoken_all
from colourcore.job.target_edits import ANOTHER_TARGET, set_stated_lab, target_from_numbers, target_from_patch

__all__ = [
    "ANOTHER_TARGET",
    "Edit",
    "add_outline",
    "add_photos",
    "choose",
    "declare_linear",
    "move_outlines",
    "name_job",
    "order_photos",
    "remove_patches",
    "remove_photo",
    "set_aside",
    "set_board",
    "set_drawn",
    "set_finish",
    "set_hours",
    "set_hours_in_order",
    "set_label",
    "set_piece",
    "set_role",
    "set_stated_lab",
    "set_zone",
    "take_back",
    "target_from_numbers",
    "target_from_patch",
    "use_camera",
]

_LONGEST_HOURS = 10_000.0  # more than a year: a slip of the finger, not a sample


# photos


def add_photos(job: Job, photos: Iterable[PhotoFile]) -> Edit:
    """Add photos behind those that are there.

    Bytes that the job holds already are passed over; a name that is taken by other bytes gets a number.

    >>> first = add_photos(Job(), [PhotoFile(name="board.jpg", sha256="aa")]).job
    >>> edit = add_photos(first, [PhotoFile(name="board.jpg", sha256="bb"), PhotoFile(name="copy.jpg", sha256="aa")])
    >>> edit.name, [photo.name for photo in edit.job.photos]
    ('adding board (2).jpg', ['board.jpg', 'board (2).jpg'])
    """
    kept = list(job.photos)
    for photo in photos:
        if any(photo.sha256 == other.sha256 for other in kept):
            continue
        kept.append(replace(photo, name=_free_name(photo.name, {other.name.casefold() for other in kept})))
    added = kept[len(job.photos) :]
    name = f"adding {added[0].name}" if len(added) == 1 else f"adding {len(added)} photos"
    return edited(name, job, photos=tuple(kept))


def remove_photo(job: Job, photo: str) -> Edit:
    """Take a photo and all that is outlined in it out of the job (its bytes stay in the job file, for undo)."""
    number = photo_number(job, photo)
    photos = tuple(file for file in job.photos if file.name != photo)
    patches = tuple(patch for patch in job.patches if patch.photo != photo)
    return edited(f"removal of photo {number}", job, photos=photos, patches=patches)


def order_photos(job: Job, names: Sequence[str]) -> Edit:
    """Put the photos in the order of `names`, which holds each of them once; ValueError where it does not."""
    by_name = {photo.name: photo for photo in job.photos}
    if sorted(names) != sorted(by_name):
        raise ValueError("the new order does not hold each photo once")
    return edited("order of the photos", job, photos=tuple(by_name[name] for name in names))


# outlines


def add_outline(job: Job, photo: str, outline: Outline, role: Role = Role.SAMPLE, **said: Any) -> Edit:
    """Outline an area of a photo; `said` holds further attributes of the patch (hours, board, zone, label, lab …).

    A card without stated values is taken for an 18 % grey. The new patch is the last of the job and has the highest
    identity.
    """
    photo_number(job, photo)
    if role is Role.CARD:
        said.setdefault("lab", GREY_CARD_LAB)
    patch = Patch(identity=next_identity(job), photo=photo, role=role, outline=outline, **said)
    return edited(f"outline of {spoken(patch)}", job, patches=(*job.patches, patch))


def move_outlines(job: Job, outlines: Mapping[int, Outline]) -> Edit:
    """Give patches new outlines: moved, resized or turned; each by its identity."""
    name = f"move of {spoken_all(chosen(job, outlines))}"
    return changed(name, job, {identity: {"outline": outline} for identity, outline in outlines.items()})


def remove_patches(job: Job, identities: Collection[int]) -> Edit:
    """Take patches out of the job."""
    name = f"removal of {spoken_all(chosen(job, identities))}"
    return edited(name, job, patches=tuple(patch for patch in job.patches if patch.identity not in set(identities)))


def set_role(job: Job, identities: Collection[int], role: Role) -> Edit:
    """Say what outlined areas are.

    What the new role has no use for is dropped: hours of what is no sample, stated values of what is neither card
    nor other reference. A card without stated values is taken for an 18 % grey.
    """
    changes: dict[int, dict[str, Any]] = {}
    for patch in chosen(job, identities):
        if patch.role is role:
            continue
        reference = role in (Role.CARD, Role.NEUTRAL, Role.CHART)
        lab = patch.lab if reference else None
        changes[patch.identity] = {
            "role": role,
            "hours": patch.hours if role is Role.SAMPLE else None,
            "lab": GREY_CARD_LAB if role is Role.CARD and lab is None else lab,
            "set_aside": "",
        }
    what = {Role.SAMPLE: "a sample", Role.BACKGROUND: "plain ground"}.get(role, f"the {role}")
    name = f"making {spoken_all(chosen(job, identities))} {what}"
    return changed(name, job, changes)


# samples


def set_hours(job: Job, hours: Mapping[int, float | None]) -> Edit:
    """Give samples their hours, 0 for raw wood and None for not yet known; each by its identity."""
    for value in hours.values():
        _checked_hours(value)
    name = f"hours of {spoken_all(chosen(job, hours))}"
    return changed(name, job, {identity: {"hours": value} for identity, value in hours.items()})


def set_hours_in_order(job: Job, hours: Sequence[float], identities: Collection[int] | None = None) -> Edit:
    """Give hours to samples in reading order, the first value to the first sample.

    Without `identities` all samples of the job are meant. Raises InputError where there are not as many values as
    samples.
    """
    ordered = [patch for patch in samples_in_reading_order(job) if identities is None or patch.identity in identities]
    if len(hours) != len(ordered):
        raise InputError(f"expected hours for {counted(len(ordered), 'sample')}, got {counted(len(hours), 'value')}")
    edit = set_hours(job, {patch.identity: value for patch, value in zip(ordered, hours, strict=True)})
    return replace(edit, name=f"hours of {counted(len(ordered), 'sample')}")


def set_board(job: Job, identities: Collection[int], board: str) -> Edit:
    """Say which board patches were cut from (for a target: which board it is for)."""
    return said_of("board", job, identities, board=board.strip())


def set_zone(job: Job, identities: Collection[int], zone: str) -> Edit:
    """Say which zone of the wood patches show (for a target: which zone it is for)."""
    return said_of("zone", job, identities, zone=zone.strip())


def set_label(job: Job, identity: int, label: str) -> Edit:
    """Write a note of the user's own to a patch."""
    return said_of("label", job, [identity], label=label.strip())


def set_piece(job: Job, identities: Collection[int], piece: str) -> Edit:
    """Say that patches show one and the same piece of wood, by a name they share; empty for pieces of their own."""
    return said_of("piece", job, identities, piece=piece.strip())


def set_finish(job: Job, identities: Collection[int], finish: str) -> Edit:
    """Say which finish was on the wood when it was photographed; empty for bare wood."""
    return said_of("finish", job, identities, finish=finish.strip())


def set_drawn(job: Job, identities: Collection[int], drawn: str) -> Edit:
    """Say when samples left the vapour (ISO 8601); empty where nobody noted it."""
    return said_of("drawn time", job, identities, drawn=drawn.strip())


def set_aside(job: Job, identities: Collection[int], reason: str) -> Edit:
    """Leave samples out of the fit, with the reason; they stay in sight. InputError without a reason."""
    if not reason.strip():
        raise InputError("expected a reason for setting a sample aside, got none")
    name = f"setting aside {spoken_all(chosen(job, identities))}"
    return changed(name, job, {identity: {"set_aside": reason.strip()} for identity in identities})


def take_back(job: Job, identities: Collection[int]) -> Edit:
    """Take samples that were set aside back into the fit."""
    name = f"taking back {spoken_all(chosen(job, identities))}"
    return changed(name, job, {identity: {"set_aside": ""} for identity in identities})


# the job itself


def name_job(job: Job, name: str) -> Edit:
    """Name the job."""
    return edited("name of the job", job, name=name.strip())


def _free_name(name: str, taken: Collection[str]) -> str:
    stem, dot, ending = name.rpartition(".")
    if not stem:
        stem, dot, ending = name, "", ""
    free, number = name, 1
    while free.casefold() in taken:
        number += 1
        free = f"{stem} ({number}){dot}{ending}"
    return free


def _checked_hours(hours: float | None) -> None:
    if hours is not None and not (math.isfinite(hours) and 0 <= hours <= _LONGEST_HOURS):
        raise InputError(f"expected hours from 0 to {_LONGEST_HOURS:g}, got {hours:g}")
