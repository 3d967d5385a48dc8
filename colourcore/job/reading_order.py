"""The order in which a person reads the samples of a job: photo by photo, each in rows from the top left."""

from __future__ import annotations

from collections.abc import Iterable

from colourcore.image.pixels import Outline
from colourcore.job.model import Job, Patch, Role

__all__ = ["in_reading_order", "samples_in_reading_order"]


def in_reading_order(patches: Iterable[Patch]) -> tuple[Patch, ...]:
    """Return patches of one photo row by row from the top, each row from the left; those without outline come last.

    A patch belongs to a row where its centre lies above the bottom edge of the row's first patch, so a row of
    samples laid by hand may be crooked by half a sample.

    >>> from colourcore.image.pixels import Outline
    >>> left, right = Outline(x=10, y=30, width=100, height=100), Outline(x=200, y=0, width=100, height=100)
    >>> patches = [Patch(identity=1, outline=right), Patch(identity=2, outline=left)]
    >>> [patch.identity for patch in in_reading_order(patches)]
    [2, 1]
    """
    listed = list(patches)
    outlined = [(patch, patch.outline) for patch in listed if patch.outline is not None]
    outlined.sort(key=lambda pair: (_middle(pair[1])[1], _middle(pair[1])[0], pair[0].identity))
    rows: list[list[tuple[Patch, Outline]]] = []
    for patch, outline in outlined:
        if rows and _middle(outline)[1] <= rows[-1][0][1].y + rows[-1][0][1].height:
            rows[-1].append((patch, outline))
        else:
            rows.append([(patch, outline)])
    ordered = [
        patch for row in rows for patch, _ in sorted(row, key=lambda pair: (_middle(pair[1])[0], pair[0].identity))
    ]
    return (*ordered, *(patch for patch in listed if patch.outline is None))


def samples_in_reading_order(job: Job) -> tuple[Patch, ...]:
    """Return the samples of a job, photo by photo in the job's order, each photo in reading order."""
    return tuple(
        patch
        for photo in job.photos
        for patch in in_reading_order(job.patches_of(photo.name))
        if patch.role is Role.SAMPLE
    )


def _middle(outline: Outline) -> tuple[float, float]:
    return outline.x + outline.width / 2, outline.y + outline.height / 2
