"""From the job on the bench to readings, hours and pictures, in the background: one photo's trouble stays with it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from types import MappingProxyType

from app.background import Ticket
from app.pictures import Pictures
from app.views.place import Cutout, Trouble
from colourcore.errors import InputError
from colourcore.image.balance import Balance
from colourcore.image.develop import Photo
from colourcore.image.pixels import Outline, PatchStatistics
from colourcore.job.model import Job
from colourcore.job.store import JobFile
from colourcore.pipeline import Measured, PhotoFacts, PhotoReadings, Results, read_job, work_out

__all__ = [
    "MEASURED_METHOD",
    "Worked",
    "balances_of",
    "draw_missing",
    "recall_measured",
    "remember_measured",
    "work",
]

Load = Callable[[str], bytes]

MEASURED_METHOD = "1"
"""The version of the measurement that readings kept in a job file belong to; it rises when their figures change."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Worked:
    """What came of a job: its results, what went wrong photo by photo, and the wood that can be shown already."""

    job: Job
    results: Results
    troubles: tuple[Trouble, ...]
    cutouts: MappingProxyType[int, Cutout]


def balances_of(photos: tuple[PhotoReadings, ...]) -> dict[str, Balance | None]:
    """Return each read photo's balance by its name."""
    return {photo.name: photo.balance for photo in photos}


def recall_measured(file: JobFile, measured: Measured) -> None:
    """Take up what was measured before and kept in the job file."""
    for (sha256, _), facts in file.recall(MEASURED_METHOD, PhotoFacts).items():
        measured.facts.setdefault(sha256, facts)
    for (sha256, outline), statistics in file.recall(MEASURED_METHOD, PatchStatistics).items():
        if outline is not None:
            measured.statistics.setdefault((sha256, outline), statistics)


def remember_measured(file: JobFile, job: Job, measured: Measured, known: set[tuple[str, Outline | None]]) -> None:
    """Keep in the job file what was measured of the job as it stands; `known` says what is kept already, and learns."""
    files = {photo.name: photo.sha256 for photo in job.photos}
    facts = {(sha, None): measured.facts[sha] for sha in files.values() if sha in measured.facts}
    keys = [(files[patch.photo], patch.outline) for patch in job.patches if patch.photo in files and patch.outline]
    statistics = {key: measured.statistics[key] for key in keys if key in measured.statistics}
    file.remember(MEASURED_METHOD, PhotoFacts, {key: value for key, value in facts.items() if key not in known})
    file.remember(MEASURED_METHOD, PatchStatistics, {key: v for key, v in statistics.items() if key not in known})
    known |= {*facts, *statistics}


def work(job: Job, load: Load, measured: Measured, pictures: Pictures, file: JobFile | None, ticket: Ticket) -> Worked:
    """Return everything that follows from a job. Photos at fault are left out, each with its sentence.

    `file` is the job file to take up earlier measurements from, None where that was done already.
    """
    if file is not None:
        recall_measured(file, measured)
    sums = {photo.name: photo.sha256 for photo in job.photos}

    def keep(photo: Photo) -> None:
        pictures.take(sums[photo.name], photo)

    sound, troubles = job, []
    while True:
        try:
            photos = read_job(sound, load, measured=measured, progress=ticket.progress, opened=keep)
            break
        except InputError as error:
            troubles.append(Trouble(sentence=str(error), key="photos", photo=error.file or ""))
            sound = _without(sound, error)
    results = work_out(sound, photos)
    cutouts = pictures.cutouts(job, balances_of(photos))
    return Worked(job=job, results=results, troubles=tuple(troubles), cutouts=cutouts)


def _without(job: Job, error: InputError) -> Job:
    """Return the job without the photo at fault; raise the error where it names none of its photos."""
    photos = tuple(photo for photo in job.photos if photo.name != error.file)
    if len(photos) == len(job.photos):
        raise error
    return replace(job, photos=photos)


def draw_missing(worked: Worked, load: Load, pictures: Pictures, ticket: Ticket) -> Worked | None:
    """Return the same with the wood of one more photo to show; None where nothing is missing any more.

    A photo whose readings were kept has not been decoded for them, so its picture is still to be made.
    """
    job = worked.job
    for file in job.photos:
        if pictures.has(file.sha256):
            continue
        ticket.check()
        try:
            pictures.small(file.sha256, file.name, load)
        except InputError:
            continue  # said already where it was to be read
        return replace(worked, cutouts=pictures.cutouts(job, balances_of(worked.results.photos)))
    return None
