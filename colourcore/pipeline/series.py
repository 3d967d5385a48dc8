"""What photos and samples say of one another: cards that disagree, a sample laid crosswise, repeats, ages."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime

import numpy as np

from colourcore.colour.reading import Matrix3, matrix3
from colourcore.errors import InputError
from colourcore.image.checks import Check, Level
from colourcore.image.grain import PLAIN_GRAIN, angle_between
from colourcore.image.series import age_hours, check_cards, check_grain, check_repeats, direction_spread, with_direction
from colourcore.job.model import Role
from colourcore.pipeline.rows import PatchReading, PhotoReadings

__all__ = ["age_of", "compared"]

_TURNED = 60.0  # degrees between two photos of one sample that count as turned a quarter


def age_of(drawn: str, taken: datetime | None) -> tuple[float | None, tuple[Check, ...]]:
    """Return the hours between a sample's removal and its photo, None where one time is unknown, and what is amiss.

    >>> age_of("2026-03-05T08:00", datetime(2026, 3, 6, 9, 30))
    (25.5, ())
    """
    if not drawn or taken is None:
        return None, ()
    try:
        return age_hours(datetime.fromisoformat(drawn), taken), ()
    except InputError as error:
        return None, (Check(code="clock", level=Level.WARN, message=str(error)),)


def compared(photos: Sequence[PhotoReadings]) -> tuple[PhotoReadings, ...]:
    """Return the photos with what they say of one another added to their checks and to their readings' errors."""
    cards = check_cards({photo.name: photo.balance for photo in photos if photo.balance is not None})
    samples = [row for photo in photos for row in photo.readings if _is_sample(row)]
    found = _by_identity(samples)
    spread = _spread(samples)
    return tuple(
        replace(
            photo,
            readings=(rows := tuple(_with(row, found.get(row.identity, ()), spread) for row in photo.readings)),
            checks=(*photo.checks, *cards.get(photo.name, ()), *_new(rows, photo.readings)),
        )
        for photo in photos
    )


def _is_sample(row: PatchReading) -> bool:
    return row.role is Role.SAMPLE and row.accepted and row.statistics is not None


def _new(rows: Sequence[PatchReading], before: Sequence[PatchReading]) -> tuple[Check, ...]:
    return tuple(
        check for row, old in zip(rows, before, strict=True) for check in row.checks if check not in old.checks
    )


def _by_identity(samples: Sequence[PatchReading]) -> dict[int | None, tuple[Check, ...]]:
    """Return what there is to say of each sample beside the others, by its identity."""
    faces = [row.statistics.face for row in samples if row.statistics is not None]
    found = {row.identity: checks for row, checks in zip(samples, check_grain(faces), strict=True)}
    for rows in _pieces(samples).values():
        repeats = [(row.photo, row.reading) for row in rows if row.reading is not None]
        for row in rows[1:2] if not _is_turned(rows) else ():
            found[row.identity] = (*found.get(row.identity, ()), *check_repeats(repeats))
    return found


def _pieces(samples: Sequence[PatchReading]) -> dict[tuple[str, ...], list[PatchReading]]:
    """Return the readings of each piece that has several of the same hours and finish."""
    pieces: dict[tuple[str, ...], list[PatchReading]] = {}
    for row in samples:
        if row.piece:
            pieces.setdefault((row.board, row.zone, row.piece, f"{row.hours}", row.finish), []).append(row)
    return {key: rows for key, rows in pieces.items() if len(rows) > 1}


def _is_turned(rows: Sequence[PatchReading]) -> bool:
    faces = [row.statistics.face for row in rows if row.statistics is not None]
    plain = all(face.grain_strength >= PLAIN_GRAIN for face in faces)
    return plain and angle_between(faces[0].grain_degrees, faces[1].grain_degrees) > _TURNED


def _spread(samples: Sequence[PatchReading]) -> Matrix3 | None:
    """Return what the way a sample lies adds, from pieces photographed twice, turned a quarter; None without any."""
    pairs = [
        direction_spread(rows[0].reading, rows[1].reading)
        for rows in _pieces(samples).values()
        if _is_turned(rows) and rows[0].reading is not None and rows[1].reading is not None
    ]
    return matrix3(np.mean(pairs, axis=0)) if pairs else None


def _with(row: PatchReading, checks: tuple[Check, ...], spread: Matrix3 | None) -> PatchReading:
    """Return the row with its new checks. Lying like the others, it shares the spread by direction with them."""
    added = tuple(check.at_line(row.line) for check in checks)
    reading = row.reading
    if spread is not None and reading is not None and row.role is Role.SAMPLE:
        if any(check.code in ("grain_crosswise", "grain_askew") for check in checks):
            reading = with_direction(reading, spread)
        else:
            reading = replace(reading, shared=matrix3(np.add(reading.shared, spread)))
    return replace(row, reading=reading, checks=(*row.checks, *added))
