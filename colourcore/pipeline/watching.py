"""A run that a camera on a timer follows: the same outlines on every new photo, a look from each, nothing twice.

Bytes come in, values go out; who watches the folder, and when, is none of this room's business.
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, tzinfo

from colourcore.curve.look import Look
from colourcore.errors import InputError
from colourcore.job.model import Job, Patch, PhotoFile, Role
from colourcore.pipeline.readings import read_job
from colourcore.pipeline.rows import PatchReading
from colourcore.run.log import Entry, exposure_hours, photo_moment, started_at

__all__ = ["Followed", "SeenLook", "follow", "read_look"]


@dataclass(frozen=True, slots=True, kw_only=True)
class SeenLook:
    """One photo of the run as read: its look, its moment, and what was taken for granted about its clock."""

    photo: str
    at: datetime
    look: Look
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Followed:
    """A run as far as its photos tell it.

    Attributes
    ----------
    looks
        In order of time.
    known, refused
        SHA-256 of every photo that was read, and of every one that could not be: neither is read again.
    told
        A sentence for each photo that was passed over; it stays out of the way when the same bytes come again.
    """

    looks: tuple[SeenLook, ...] = ()
    known: frozenset[str] = frozenset()
    refused: frozenset[str] = frozenset()
    told: tuple[str, ...] = ()


def read_look(
    outlines: Sequence[Patch], name: str, data: bytes, *, log: Sequence[Entry], now: datetime, zone: tzinfo
) -> SeenLook:
    """Return the look that one photo holds.

    Parameters
    ----------
    outlines
        Card, piece (a sample without hours) and target, as they lie in every photo; their photo's name is not used.
    name, data
        The photo's file.
    log
        The run's log in order of time; the photo's own clock says how many hours of it had gone by.
    now, zone
        The caller's clock and the maker's zone; a photo without a clock is taken for one of now.

    Raises InputError for a photo that cannot be read, a piece that is refused, and a clock that cannot be.
    """
    start = started_at(log)
    if start is None:
        raise InputError("expected a run that has begun, got a look before the first pour", file=name)
    photo = PhotoFile(name=name, sha256=hashlib.sha256(data).hexdigest())
    patches = tuple(replace(patch, photo=name) for patch in outlines)
    (read,) = read_job(Job(photos=(photo,), patches=patches), lambda _: data)
    taken = read.facts.taken
    try:
        moment = photo_moment(now if taken is None else taken, zone, start=start, now=now)
        look = _look(read.readings, max(1 / 60, exposure_hours(log, moment.at)))
    except InputError as error:
        raise error.at(file=name) from error
    note = "The photo has no clock; it was taken for one of now." if taken is None else moment.note
    return SeenLook(photo=name, at=moment.at, look=look, note=note)


def _look(rows: Sequence[PatchReading], hours: float) -> Look:
    pieces = [row for row in rows if row.role is Role.SAMPLE]
    targets = [row for row in rows if row.role is Role.TARGET and row.reading is not None]
    if not pieces or pieces[0].reading is None:
        reasons = [check.message for row in pieces for check in row.checks]
        raise InputError(f"expected a piece that can be read, got none ({reasons[0] if reasons else 'no outline'})")
    piece = pieces[0]
    reading = piece.reading
    assert reading is not None  # asked above
    beside = targets[0].reading if targets else None
    return Look(
        hours=hours,
        lightness=reading.lab[0],
        variance=reading.covariance[0][0],
        piece=piece.piece,
        target_lightness=None if beside is None else beside.lab[0],
        target_variance=0.0 if beside is None else beside.covariance[0][0],
    )


def follow(
    before: Followed,
    outlines: Sequence[Patch],
    name: str,
    data: bytes,
    *,
    log: Sequence[Entry],
    now: datetime,
    zone: tzinfo,
) -> Followed:
    """Return the run with one more photo; the very value where its bytes are known already. See `read_look`.

    A photo that cannot be read is passed over with a sentence. Once its bytes are others, it is read.
    """
    key = hashlib.sha256(data).hexdigest()
    if key in before.known | before.refused:
        return before
    try:
        seen = read_look(outlines, name, data, log=log, now=now, zone=zone)
    except InputError as error:
        return replace(before, refused=before.refused | {key}, told=(*before.told, str(error)))
    looks = tuple(sorted((*before.looks, seen), key=lambda one: (one.look.hours, one.photo)))
    return replace(before, looks=looks, known=before.known | {key})
