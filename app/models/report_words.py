"""What *Report* says: whether the pages still hold, and what they leave out."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from enum import Enum

from app.wording import tr
from colourcore.image.checks import Level
from colourcore.job.edits import ANOTHER_TARGET
from colourcore.job.model import Job, Role
from colourcore.pipeline import Results
from colourcore.report.phrases import format_hours

__all__ = ["Hold", "Told", "hold_of", "hold_words", "left_out", "told_by"]

Hours = tuple[tuple[str, str, float | None, float | None, float | None], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """What a report told when it was written: the job, and the hours that one acts by."""

    job: Job
    hours: Hours
    written: datetime


class Hold(Enum):
    """Whether a report that was written still holds."""

    HOLDS = "holds"
    JOB_CHANGED = "the job changed, the hours did not"
    HOURS_CHANGED = "the hours changed"


def told_by(job: Job, results: Results, written: datetime) -> Told:
    """Return what a report of these results tells."""
    return Told(job=job, hours=_hours(results), written=written)


def _hours(results: Results) -> Hours:
    found = []
    for group in results.groups:
        piece = group.answer.piece
        due, look = (piece.due, piece.look_from) if piece else (None, None)
        found.append((group.name, group.answer.outcome.value, group.answer.hours, due, look))
    return tuple(found)


def hold_of(told: Told, job: Job, results: Results | None) -> Hold:
    """Return whether what was told still holds of the job as it stands; rounded as people are told."""
    if told.job == job:
        return Hold.HOLDS
    if results is not None and _spoken(_hours(results)) == _spoken(told.hours):
        return Hold.JOB_CHANGED
    return Hold.HOURS_CHANGED if results is not None else Hold.JOB_CHANGED


def _spoken(hours: Hours) -> list[tuple[str, ...]]:
    return [(name, out, *("" if h is None else format_hours(h) for h in few)) for name, out, *few in hours]


def hold_words(hold: Hold) -> str:
    """Return the sentence that is said of a report that does not hold as it was; empty where it does."""
    return {
        Hold.HOLDS: "",
        Hold.JOB_CHANGED: tr("**The job changed** after this was written; the hours did not."),
        Hold.HOURS_CHANGED: tr("**The hours changed** after this was written."),
    }[hold]


def left_out(job: Job, results: Results | None) -> tuple[str, ...]:
    """Return what the report's hours leave out, and why, one line each."""
    said = []
    for patch in job.patches:
        if patch.role is Role.SAMPLE and patch.set_aside:
            name = tr("no hours") if patch.hours is None else f"{patch.hours:g} h"
            where = ", ".join(part for part in (patch.board, patch.zone) if part)
            said.append(tr("{name} {where}: set aside, {reason}", name=name, where=where, reason=patch.set_aside))
        elif patch.role is Role.TARGET and patch.set_aside:
            reason = tr("another one holds") if patch.set_aside == ANOTHER_TARGET else patch.set_aside
            said.append(tr("a target: {reason}", reason=reason))
    waiting = sum(patch.role is Role.SAMPLE and patch.hours is None for patch in job.patches)
    if waiting:
        said.append(tr("{n} samples without hours", n=waiting))
    refused = [row for row in (results.readings if results else ()) if any(c.level is Level.REFUSE for c in row.checks)]
    if refused:
        said.append(tr("{n} patches that were refused", n=len(refused)))
    return tuple(said)
