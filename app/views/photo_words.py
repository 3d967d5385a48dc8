"""What is said of photos and their outlines: names, tags and the words of the ledger. Pure, no Qt widgets."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from app.views.place import Trouble, WindowState
from app.wording import count, tr
from colourcore.colour.reading import Reading
from colourcore.image.checks import Check, Level
from colourcore.job.model import Job, Patch, Role, group_name
from colourcore.pipeline import PatchReading

__all__ = [
    "check_word",
    "hours_words",
    "patch_name",
    "patch_tag",
    "photo_title",
    "photo_under",
    "reading_of",
    "reading_value",
    "spoken_roles",
]

_CHECK_WORDS = {
    "clipped": "clipped",
    "too_dark": "too dark",
    "colour_lost": "colour lost",
}


def spoken_roles() -> dict[Role, str]:
    """Return the roles that the user can give an outline, in the order they are offered, and their words."""
    return {
        Role.SAMPLE: tr("sample"),
        Role.CARD: tr("grey card"),
        Role.TARGET: tr("target"),
        Role.BACKGROUND: tr("bare ground"),
        Role.NEUTRAL: tr("some grey"),
        Role.CHART: tr("chart"),
    }


def hours_words(hours: float | None) -> str:
    """Return a sample's hours as a tag says them.

    >>> hours_words(4.5), hours_words(None)
    ('4.5 h', 'hours?')
    """
    return tr("hours?") if hours is None else f"{hours:g} h"


def patch_tag(patch: Patch) -> str:
    """Return the words that stand at an outline."""
    if patch.role is Role.SAMPLE:
        return hours_words(patch.hours)
    return spoken_roles()[patch.role]


def patch_name(patch: Patch) -> str:
    """Return what an outline is called in a sentence or a head."""
    if patch.role is not Role.SAMPLE:
        return patch_tag(patch).capitalize()
    if patch.hours is None:
        return tr("Sample without hours")
    return tr("Sample {hours}", hours=f"{patch.hours:g} h")


def check_word(check: Check) -> str:
    """Return the few words of a check that stand at its sample."""
    return tr(_CHECK_WORDS.get(check.code, check.code.replace("_", " ")))


def reading_of(state: WindowState, identity: int) -> PatchReading | None:
    """Return the latest reading of a patch; None where there is none yet."""
    rows = state.results.readings if state.results else ()
    return next((row for row in rows if row.identity == identity), None)


def reading_value(reading: Reading | None) -> str:
    """Return a reading in one line, for screen readers and tooltips."""
    if reading is None:
        return tr("not read")
    values = zip(("L*", "a*", "b*"), reading.lab, reading.standard_errors, strict=True)
    few = list(values)[: 1 if reading.colour_lost else 3]
    return ", ".join(f"{name} {value:.1f} ± {max(error, 0.05):.1f}" for name, value, error in few)


def photo_title(job: Job, photo: str) -> str:
    """Return what a photo shows: the board and zone of its samples, the target's label, or the file's name."""
    patches = job.patches_of(photo)
    groups = dict.fromkeys((p.board, p.zone) for p in patches if p.role is Role.SAMPLE)
    named = [group_name(*group) for group in groups if any(group)]
    if len(named) == 1:
        return named[0][:1].upper() + named[0][1:]
    if named:
        return tr("{first} and {n} more", first=named[0][:1].upper() + named[0][1:], n=len(named) - 1)
    targets = [p for p in patches if p.role is Role.TARGET]
    if targets and not groups:
        return targets[0].label or tr("Target")
    return photo


def photo_under(state: WindowState, photo: str, troubles: Sequence[Trouble]) -> str:
    """Return the quieter line of a photo: what is outlined in it and what was found."""
    if any(trouble.photo == photo for trouble in troubles):
        return tr("not read: see beneath the photo")
    patches = state.job.patches_of(photo)
    if not patches:
        return tr("nothing outlined yet")
    samples = [p for p in patches if p.role is Role.SAMPLE]
    parts = []
    if samples:
        parts.append(count(len(samples), "sample", "samples").lower())
    if any(p.role is Role.TARGET and not p.set_aside for p in patches):
        parts.append(tr("the target"))
    if not any(p.role in (Role.CARD, Role.CHART, Role.NEUTRAL) for p in patches):
        parts.append(tr("no card yet"))
    elif not parts:
        parts.append(tr("the card"))
    return ", ".join([*parts, *_findings(state, photo, samples)])


def _findings(state: WindowState, photo: str, samples: Iterable[Patch]) -> list[str]:
    aside = sum(1 for patch in samples if patch.set_aside)
    if aside:
        return [tr("{n} set aside", n=count(aside, "", "").strip().lower())]
    rows = state.results.photos if state.results else ()
    checks = [check for row in rows if row.name == photo for check in row.checks if check.level is not Level.NOTE]
    if checks:
        return [check_word(checks[0])]
    return [tr("reads well")] if any(row.name == photo and row.readings for row in rows) else []
