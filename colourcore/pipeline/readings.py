"""From a job and its photos to readings. What was measured once is kept."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime

from colourcore.colour.reading import Reading
from colourcore.curve.fit import Sample
from colourcore.errors import InputError
from colourcore.image.balance import Balance, balance_from_card
from colourcore.image.checks import Check, check_balance, check_patch, is_refused
from colourcore.image.develop import Photo, open_photo
from colourcore.image.patches import read_patch
from colourcore.image.pixels import Outline, PatchStatistics, measure_patch
from colourcore.job.model import GREY_CARD_LAB, Job, Lab, Patch, PhotoFile, Role

__all__ = ["Measured", "PatchReading", "PhotoFacts", "PhotoReadings", "Progress", "read_job", "sample_of"]

Progress = Callable[[int, int, str], None]
"""Told how many photos are done, how many there are, and which comes next. May raise `Cancelled`."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoFacts:
    """What is known of a photo without its pixels: upright size, bits a channel, the camera's clock (without zone).

    `notes` say what was used to understand the file: its colour profile, a missing one, its turn.
    """

    width: int
    height: int
    bits: int
    notes: tuple[str, ...] = ()
    taken: datetime | None = None
    camera: str = ""


@dataclass(slots=True)
class Measured:
    """What was measured already: facts of photos by SHA-256, statistics of patches by SHA-256 and outline.

    A result depends on nothing else, so entries never go stale within one version of the method.
    """

    facts: dict[str, PhotoFacts] = field(default_factory=dict)
    statistics: dict[tuple[str, Outline], PatchStatistics] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class PatchReading:
    """One row of readings: where it came from, its colour, and what was found.

    `reading` is None where the patch was refused.
    """

    photo: str = ""
    role: Role
    board: str = ""
    zone: str = ""
    hours: float | None = None
    label: str = ""
    line: int | None = None
    identity: int | None = None
    piece: str = ""
    finish: str = ""
    set_aside: str = ""
    reading: Reading | None
    statistics: PatchStatistics | None = None
    checks: tuple[Check, ...] = ()

    @property
    def accepted(self) -> bool:
        """Whether the reading counts: not refused, and not set aside by the user."""
        return self.reading is not None and not self.set_aside


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoReadings:
    """One photo as read: its facts, its balance, what was found, and the readings of its patches in sheet order."""

    name: str
    facts: PhotoFacts
    balance: Balance | None
    checks: tuple[Check, ...]
    readings: tuple[PatchReading, ...]


def read_job(
    job: Job,
    load: Callable[[str], bytes],
    *,
    measured: Measured | None = None,
    progress: Progress | None = None,
    opened: Callable[[Photo], None] | None = None,
) -> tuple[PhotoReadings, ...]:
    """Return the readings of every patch of every photo.

    `load` gives the bytes of a photo by its name and is asked only for photos with something not yet `measured`;
    each photo that was decoded for it is shown to `opened` once, for pictures. Raises InputError, naming photo and
    line, where a file or an outline is at fault, and lets `Cancelled` through.
    """
    kept = measured if measured is not None else Measured()
    photos: list[PhotoReadings] = []
    for number, file in enumerate(job.photos):
        if progress:
            progress(number, len(job.photos), file.name)
        patches = job.patches_of(file.name)
        source = _Source(file=file, load=load, opened=opened)
        facts, statistics = _measure(source, patches, kept)
        photos.append(_read_photo(file.name, facts, patches, statistics))
    if progress:
        progress(len(job.photos), len(job.photos), "")
    return tuple(photos)


@dataclass(slots=True, kw_only=True)
class _Source:
    """A photo that is decoded when it is first asked for, and only then."""

    file: PhotoFile
    load: Callable[[str], bytes]
    opened: Callable[[Photo], None] | None
    decoded: Photo | None = None

    def photo(self) -> Photo:
        if self.decoded is None:
            self.decoded = open_photo(self.load(self.file.name), self.file.name)
            if self.opened:
                self.opened(self.decoded)
        return self.decoded


def _measure(
    source: _Source, patches: Sequence[Patch], kept: Measured
) -> tuple[PhotoFacts, dict[int, PatchStatistics]]:
    sha256 = source.file.sha256
    if sha256 not in kept.facts:
        kept.facts[sha256] = _facts(source.photo())
    found: dict[int, PatchStatistics] = {}
    for patch in patches:
        if patch.outline is None:
            continue
        key = (sha256, patch.outline)
        if key not in kept.statistics:
            try:
                kept.statistics[key] = measure_patch(source.photo(), patch.outline)
            except InputError as error:
                raise error.at(file=source.file.name, line=patch.line) from None
        found[patch.identity] = kept.statistics[key]
    return kept.facts[sha256], found


def _facts(photo: Photo) -> PhotoFacts:
    return PhotoFacts(
        width=photo.width,
        height=photo.height,
        bits=photo.bits,
        notes=photo.notes,
        taken=photo.taken,
        camera=photo.camera,
    )


def _read_photo(
    name: str, facts: PhotoFacts, patches: Sequence[Patch], statistics: Mapping[int, PatchStatistics]
) -> PhotoReadings:
    cards = [patch for patch in patches if patch.role is Role.CARD]
    balance = None
    if cards:
        card = cards[0]
        try:
            balance = balance_from_card(statistics[card.identity], _whole_lab(card.lab))
        except InputError as error:
            raise error.at(file=name, line=card.line) from None
    readings = tuple(_read(patch, statistics, balance) for patch in patches if balance and patch.outline)
    found = check_balance(balance) if balance else ()
    checks = (*found, *(check for row in readings for check in row.checks))
    return PhotoReadings(name=name, facts=facts, balance=balance, checks=checks, readings=readings)


def _read(patch: Patch, statistics: Mapping[int, PatchStatistics], balance: Balance) -> PatchReading:
    found = statistics[patch.identity]
    checks = tuple(check.at_line(patch.line) for check in check_patch(found, balance))
    return PatchReading(
        photo=patch.photo,
        role=patch.role,
        board=patch.board,
        zone=patch.zone,
        hours=patch.hours,
        label=patch.label,
        line=patch.line,
        identity=patch.identity,
        piece=patch.piece,
        finish=patch.finish,
        set_aside=patch.set_aside,
        reading=None if is_refused(checks) else read_patch(found, balance),
        statistics=found,
        checks=checks,
    )


def _whole_lab(lab: Lab | None) -> tuple[float, float, float]:
    lightness, a, b = lab or GREY_CARD_LAB
    return lightness, a or 0.0, b or 0.0


def sample_of(row: PatchReading) -> Sample:
    """Return an accepted sample's reading as the curve room takes it; ValueError for a row without colour or hours."""
    if row.reading is None or row.hours is None:
        raise ValueError("expected a reading with hours")
    return Sample(
        hours=row.hours,
        lab=row.reading.lab,
        covariance=row.reading.covariance,
        shared=row.reading.shared,
        colour_lost=row.reading.colour_lost,
        photo=row.photo,
        piece=row.piece,
        name=f"{row.hours:g} h" + (f" ({row.label})" if row.label else ""),
    )
