"""Joins the rooms: a job and its photos in, readings and hours out. What was measured once is kept."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime

from colourcore.colour.reading import ZERO_COVARIANCE, Matrix3, Reading, matrix3
from colourcore.curve.fit import Sample, Target
from colourcore.curve.hours import HoursToShade, hours_to_shade
from colourcore.errors import InputError
from colourcore.image.balance import Balance, balance_from_card
from colourcore.image.checks import Check, check_balance, check_patch, is_refused
from colourcore.image.develop import Photo, open_photo
from colourcore.image.patches import read_patch
from colourcore.image.pixels import Outline, PatchStatistics, measure_patch
from colourcore.job.model import GREY_CARD_LAB, Choices, Job, Lab, Patch, PhotoFile, Role, group_name

__all__ = [
    "Group",
    "Measured",
    "PatchReading",
    "PhotoFacts",
    "PhotoReadings",
    "Progress",
    "Results",
    "answer",
    "compute",
    "job_readings",
    "read_job",
]

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


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """A board and zone: how many samples count, the target they are held against, and the hours."""

    board: str
    zone: str
    n: int
    target: Target | None
    answer: HoursToShade
    readings: tuple[PatchReading, ...]

    @property
    def name(self) -> str:
        """How the group is spoken of."""
        return group_name(self.board, self.zone)


@dataclass(frozen=True, slots=True, kw_only=True)
class Results:
    """All that follows from a job."""

    photos: tuple[PhotoReadings, ...]
    readings: tuple[PatchReading, ...]
    groups: tuple[Group, ...]
    choices: Choices

    @property
    def checks(self) -> tuple[Check, ...]:
        """Every check of every photo, in order."""
        return tuple(check for photo in self.photos for check in photo.checks)


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
        set_aside=patch.set_aside,
        reading=None if is_refused(checks) else read_patch(found, balance),
        statistics=found,
        checks=checks,
    )


def _whole_lab(lab: Lab | None) -> tuple[float, float, float]:
    lightness, a, b = lab or GREY_CARD_LAB
    return lightness, a or 0.0, b or 0.0


def answer(readings: Iterable[PatchReading], choices: Choices, *, target: Lab | None = None) -> tuple[Group, ...]:
    """Return each board and zone with its hours, sorted by board and zone.

    Every group is fitted on its own; samples whose hours nobody has said yet wait. `target` in numbers replaces all
    targets among the readings.
    """
    rows = [row for row in readings if row.accepted]
    targets = [_numbers_target(target)] if target else [row for row in rows if row.role is Role.TARGET]
    samples: dict[tuple[str, str], list[PatchReading]] = {}
    for row in rows:
        if row.role is Role.SAMPLE and row.hours is not None:
            samples.setdefault((row.board, row.zone), []).append(row)
    return tuple(
        _group(board, zone, samples[board, zone], _target_for(board, zone, targets), choices)
        for board, zone in sorted(samples)
    )


def _group(board: str, zone: str, rows: list[PatchReading], target: Target | None, choices: Choices) -> Group:
    fitted = [_sample(row) for row in rows]
    found = hours_to_shade(fitted, target, confidence=choices.confidence, past_odds=choices.past_odds)
    return Group(board=board, zone=zone, n=len(rows), target=target, answer=found, readings=tuple(rows))


def _sample(row: PatchReading) -> Sample:
    # rows without a reading or without hours were left out
    assert row.reading is not None
    assert row.hours is not None
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


def _numbers_target(lab: Lab, patch: Patch | None = None) -> PatchReading:
    lightness, a, b = lab
    reading = Reading(lab=(lightness, a or 0.0, b or 0.0), colour_lost=a is None or b is None)
    if patch is None:
        return PatchReading(role=Role.TARGET, reading=reading)
    return PatchReading(
        role=Role.TARGET,
        board=patch.board,
        zone=patch.zone,
        label=patch.label,
        line=patch.line,
        identity=patch.identity,
        reading=reading,
    )


def _target_for(board: str, zone: str, targets: Sequence[PatchReading]) -> Target | None:
    """Return the most specific target, equals averaged: board and zone before one of them before neither."""
    fitting = [row for row in targets if row.board in ("", board) and row.zone in ("", zone)]
    if not fitting:
        return None
    best = max((row.board != "") + (row.zone != "") for row in fitting)
    chosen = [row for row in fitting if (row.board != "") + (row.zone != "") == best]
    readings = sorted((row.reading for row in chosen if row.reading is not None), key=lambda reading: reading.lab)
    photos = {row.photo for row in chosen}
    count = len(readings)
    lightness, a, b = (sum(reading.lab[i] for reading in readings) / count for i in range(3))
    lost = any(reading.colour_lost for reading in readings)
    return Target(
        L=lightness,
        a=None if lost else a,
        b=None if lost else b,
        covariance=_mean_covariance([reading.covariance for reading in readings], independent=True),
        shared=_mean_covariance([reading.shared for reading in readings], independent=len(photos) == count),
        photo=photos.pop() if len(photos) == 1 else "",
    )


def _mean_covariance(parts: Sequence[Matrix3], *, independent: bool) -> Matrix3:
    """Return the covariance of a mean: divided by the count once, and once more where the parts are independent."""
    if not parts:
        return ZERO_COVARIANCE
    divisor = len(parts) ** (2 if independent else 1)
    return matrix3([[sum(part[i][j] for part in parts) / divisor for j in range(3)] for i in range(3)])


def job_readings(job: Job, photos: Iterable[PhotoReadings]) -> tuple[PatchReading, ...]:
    """Return every reading in the job's order: those of the photos, and targets that were given as numbers."""
    rows = {row.identity: row for photo in photos for row in photo.readings}
    for patch in job.patches:
        if patch.role is Role.TARGET and not patch.photo and patch.lab:
            rows[patch.identity] = _numbers_target(patch.lab, patch)
    return tuple(rows[patch.identity] for patch in job.patches if patch.identity in rows)


def compute(
    job: Job,
    load: Callable[[str], bytes],
    *,
    measured: Measured | None = None,
    progress: Progress | None = None,
    opened: Callable[[Photo], None] | None = None,
) -> Results:
    """Return everything that follows from a job; see `read_job` for the arguments and what is raised."""
    photos = read_job(job, load, measured=measured, progress=progress, opened=opened)
    readings = job_readings(job, photos)
    return Results(photos=photos, readings=readings, groups=answer(readings, job.choices), choices=job.choices)
