"""Rows of readings: the values that pass from reading to fitting, to the report and to the window."""

from __future__ import annotations

from dataclasses import dataclass

from colourcore.colour.reading import Reading
from colourcore.curve.fit import Sample
from colourcore.image.balance import Balance
from colourcore.image.checks import Check
from colourcore.image.pixels import PatchStatistics
from colourcore.job.model import Role
from colourcore.pipeline.measuring import PhotoFacts

__all__ = ["PatchReading", "PhotoReadings", "sample_of"]


@dataclass(frozen=True, slots=True, kw_only=True)
class PatchReading:
    """One row of readings: where it came from, its colour, and what was found.

    `reading` is None where the patch was refused. `set_up` names what shares its errors: photos of one camera under
    one light share them as one photo does. `absolute` is False where only differences within the set-up mean
    anything.
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
    age_hours: float | None = None
    set_up: str = ""
    absolute: bool = True
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
        photo=row.set_up or row.photo,
        piece=row.piece,
        name=f"{row.hours:g} h" + (f" ({row.label})" if row.label else ""),
    )
