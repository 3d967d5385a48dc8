"""Reports: a job and its results in, a PDF or a web page out. Reads no clock and no file but the bundled typeface."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime

from colourcore.job.model import Job, Role
from colourcore.pipeline import Results
from colourcore.report.blocks import Report
from colourcore.report.evidence import evidence_blocks
from colourcore.report.pages import Paper
from colourcore.report.pdf import pdf_bytes
from colourcore.report.pinned import pinned_blocks
from colourcore.report.sentences import INVENTED
from colourcore.report.series import Pixels, job_series, patch_pixels
from colourcore.report.webpage import page_html

__all__ = ["PICTURE_PIXELS", "Paper", "build_report", "write_html", "write_pdf"]

PICTURE_PIXELS = 1800
"""A good longer side, in pixels, for the pictures that a report is given: what print shows and no more."""


def build_report(
    job: Job,
    results: Results,
    pictures: Mapping[str, Pixels],
    *,
    written: datetime,
    versions: Mapping[str, str],
) -> Report:
    """Return the report of a job as blocks, the same for paper and screen.

    Parameters
    ----------
    job, results
        The job and all that follows from it.
    pictures
        By the photo's name: the whole photo, upright and balanced, as sRGB codes of shape (rows, columns, 3), its
        longer side about `PICTURE_PIXELS`. A photo may be missing; its wood is then drawn as flat colour.
    written
        When the report is written, by the caller's clock.
    versions
        What it was made with, in the order to be shown; the first is the program itself.
    """
    series = job_series(job, results, pictures)
    invented = INVENTED if job.invented else ""
    return Report(
        title=job.name or "Untitled job",
        program=" ".join(next(iter(versions.items()), ("duskgrain", ""))).strip(),
        written=written,
        invented=invented,
        pinned=pinned_blocks(series, _target_wood(job, results, pictures), invented),
        evidence=evidence_blocks(job, results, series, pictures, versions),
    )


def _target_wood(job: Job, results: Results, pictures: Mapping[str, Pixels]) -> Pixels | None:
    """Return the pixels of the first target that was photographed and counts."""
    widths = {photo.name: photo.facts.width for photo in results.photos}
    outlines = {patch.identity: patch.outline for patch in job.patches}
    for row in results.readings:
        outline = outlines.get(row.identity or 0)
        if row.role is Role.TARGET and row.accepted and row.photo in pictures and outline is not None:
            return patch_pixels(pictures[row.photo], outline, widths[row.photo])
    return None


def write_pdf(
    job: Job,
    results: Results,
    pictures: Mapping[str, Pixels],
    *,
    written: datetime,
    versions: Mapping[str, str],
    paper: Paper = Paper.A4,
) -> bytes:
    """Return the report as a PDF file; see `build_report`. The same input gives the same bytes."""
    return pdf_bytes(build_report(job, results, pictures, written=written, versions=versions), paper)


def write_html(
    job: Job,
    results: Results,
    pictures: Mapping[str, Pixels],
    *,
    written: datetime,
    versions: Mapping[str, str],
) -> str:
    """Return the report as one web page that needs no other file; see `build_report`."""
    return page_html(build_report(job, results, pictures, written=written, versions=versions))
