"""Joins the rooms: a job and its photos in, readings and hours out."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field

from colourcore.image.chart import ChartReference
from colourcore.image.checks import Check
from colourcore.image.develop import Photo
from colourcore.job.model import Choices, Job, Role
from colourcore.pipeline.answers import Group, Together, answer, compare_groups
from colourcore.pipeline.measuring import Measured, PhotoFacts
from colourcore.pipeline.readings import Progress, read_job
from colourcore.pipeline.rows import PatchReading, PhotoReadings
from colourcore.pipeline.targets import Wanted, numbers_target

__all__ = [
    "Group",
    "Measured",
    "PatchReading",
    "PhotoFacts",
    "PhotoReadings",
    "Progress",
    "Results",
    "Together",
    "Wanted",
    "answer",
    "compare_groups",
    "compute",
    "job_readings",
    "read_job",
    "work_out",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Results:
    """All that follows from a job."""

    photos: tuple[PhotoReadings, ...]
    readings: tuple[PatchReading, ...]
    groups: tuple[Group, ...]
    choices: Choices
    together: Together = field(default_factory=Together)

    @property
    def checks(self) -> tuple[Check, ...]:
        """Every check of every photo, in order."""
        return tuple(check for photo in self.photos for check in photo.checks)


def job_readings(job: Job, photos: Iterable[PhotoReadings]) -> tuple[PatchReading, ...]:
    """Return every reading in the job's order: those of the photos, and targets that were given as numbers."""
    rows = {row.identity: row for photo in photos for row in photo.readings}
    for patch in job.patches:
        if patch.role is Role.TARGET and not patch.photo and patch.lab:
            rows[patch.identity] = numbers_target(patch.lab, patch)
    return tuple(rows[patch.identity] for patch in job.patches if patch.identity in rows)


def compute(
    job: Job,
    load: Callable[[str], bytes],
    *,
    measured: Measured | None = None,
    progress: Progress | None = None,
    opened: Callable[[Photo], None] | None = None,
    chart: ChartReference | None = None,
) -> Results:
    """Return everything that follows from a job; see `read_job` for the arguments and what is raised."""
    return work_out(job, read_job(job, load, measured=measured, progress=progress, opened=opened, chart=chart))


def work_out(job: Job, photos: tuple[PhotoReadings, ...]) -> Results:
    """Return everything that follows from a job whose photos are read already."""
    readings = job_readings(job, photos)
    groups = answer(readings, job.choices)
    together = compare_groups(groups, job.choices)
    return Results(photos=photos, readings=readings, groups=groups, choices=job.choices, together=together)
