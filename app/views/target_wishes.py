"""The edits that *Target* asks for, each a function from the newest job."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from app.wording import tr
from colourcore.colour.reading import Reading
from colourcore.job import edits
from colourcore.job.edits import Edit
from colourcore.job.model import Job, Lab, Patch
from colourcore.job.shelf import Shade
from colourcore.pipeline import PatchReading

__all__ = ["aim_for_numbers", "for_parts", "lab_of", "shade_of"]

Change = Callable[[Job], Edit]


def aim_for_numbers(lab: Lab, label: str, part: tuple[str, str], finish: str) -> Change:
    """Return the edit that makes L*, a*, b* the target of a board and zone."""
    board, zone = part

    def change(job: Job) -> Edit:
        return edits.target_from_numbers(job, lab, label=label, board=board, zone=zone, finish=finish)

    return change


def for_parts(target: Patch, part: tuple[str, str]) -> Change:
    """Return the edit that makes a target one for another board and zone; the one there gives way."""
    board, zone = part

    def change(job: Job) -> Edit:
        if target.photo:
            made = edits.target_from_patch(job, target.identity, board, zone)
        else:
            without = edits.remove_patches(job, [target.identity]).job
            made = aim_for_numbers(target.lab or (0.0, None, None), target.label, part, target.finish)(without)
        return replace(made, name=tr("parts of the target"))

    return change


def lab_of(target: Patch, row: PatchReading | None) -> Lab | None:
    """Return a target's colour: as it was read, else as it was given; a* and b* None where they say nothing."""
    reading: Reading | None = row.reading if row is not None else None
    if reading is None:
        return target.lab
    return (reading.lab[0], None, None) if reading.colour_lost else reading.lab


def shade_of(target: Patch, lab: Lab, name: str, job: Job) -> Shade:
    """Return a target as it is kept on the shelf, to two decimals."""
    lightness, a, b = lab
    kept: Lab = (round(lightness, 2), None if a is None else round(a, 2), None if b is None else round(b, 2))
    return Shade(name=name.strip(), lab=kept, finish=target.finish, note=job.name)
