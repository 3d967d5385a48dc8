"""A job as a finished file: reads what must be read, keeps a picture of each photo, writes the form asked for."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from importlib import metadata

import numpy as np
from numpy.typing import NDArray

from colourcore.errors import InputError
from colourcore.image.balance import balanced_preview
from colourcore.image.chart import ChartReference
from colourcore.image.develop import Photo, open_photo
from colourcore.job.model import Job
from colourcore.pipeline import Measured, Progress, Results, compute
from colourcore.report.tables import hours_csv, hours_json, json_text, readings_json

__all__ = ["ENDINGS", "report_bytes", "versions"]

ENDINGS = (".pdf", ".html", ".csv", ".json")
"""The forms a report can have, by the ending of its file."""

_MADE_WITH = ("duskgrain", "numpy", "opencv-python-headless", "fpdf2")


def versions() -> dict[str, str]:
    """Return what reports are made with, and in which version, the program itself first."""
    return {name: metadata.version(name) for name in _MADE_WITH}


def report_bytes(
    job: Job,
    load: Callable[[str], bytes],
    ending: str,
    *,
    written: datetime,
    measured: Measured | None = None,
    progress: Progress | None = None,
    chart: ChartReference | None = None,
) -> tuple[bytes, Results]:
    """Return the report in the form that the ending asks for, and the results it tells of.

    `written` is the caller's clock; the other arguments and what is raised are those of `pipeline.compute`.
    Raises InputError for an ending that is none of `ENDINGS`.
    """
    if ending not in ENDINGS:
        raise InputError(f"expected a file ending in {', '.join(ENDINGS)}, got {ending or 'none'}")
    small: dict[str, Photo] = {}

    def keep(photo: Photo) -> None:
        from colourcore.report.document import PICTURE_PIXELS

        small[photo.name] = photo.reduced(PICTURE_PIXELS)

    drawn = ending in (".pdf", ".html")
    results = compute(job, load, measured=measured, progress=progress, opened=keep if drawn else None, chart=chart)
    if ending == ".csv":
        return hours_csv(results.groups).encode(), results
    if ending == ".json":
        told = {"job": job.name, **readings_json(results.photos, results.readings)}
        return json_text(told | hours_json(results.groups, results.together, job.choices.confidence)).encode(), results
    for photo in results.photos:
        if photo.name not in small:
            keep(open_photo(load(photo.name), photo.name))
    return _drawn(job, results, small, ending, written), results


def _drawn(job: Job, results: Results, small: dict[str, Photo], ending: str, written: datetime) -> bytes:
    from colourcore.report.document import PICTURE_PIXELS, write_html, write_pdf

    pictures: dict[str, NDArray[np.uint8]] = {
        photo.name: balanced_preview(small[photo.name], photo.balance, PICTURE_PIXELS)
        if photo.balance
        else small[photo.name].preview(PICTURE_PIXELS)
        for photo in results.photos
    }
    if ending == ".pdf":
        return write_pdf(job, results, pictures, written=written, versions=versions())
    return write_html(job, results, pictures, written=written, versions=versions()).encode()
