"""A photo with what was outlined on it: samples, card and target, as the report shows them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from colourcore.image.pixels import Outline
from colourcore.job.model import Patch, Role
from colourcore.pipeline import PhotoReadings
from colourcore.report.drawing import Drawing, Mark, Pen, Picture, Point, Stroke, Words, box
from colourcore.report.lettering import Weight, text_width
from colourcore.report.series import Pixels

__all__ = ["outline_label", "photo_drawing"]

_UNDER, _OVER = 2.5, 1.15
_DASHES = {Role.CARD: (5.0, 3.0), Role.TARGET: (1.2, 2.2), Role.NEUTRAL: (5.0, 3.0), Role.CHART: (5.0, 3.0)}
_LABEL = 7.5


def photo_drawing(photo: PhotoReadings, patches: Sequence[Patch], picture: Pixels, width: float) -> Drawing:
    """Return the photo `width` points wide, its outlines over it: black under white, card dashed, target dotted.

    `picture` is the whole photo, upright, balanced, at any size.
    """
    scale = width / photo.facts.width
    height = photo.facts.height * scale
    drawn = [(patch, patch.outline) for patch in patches if patch.outline is not None]
    samples = sum(patch.role is Role.SAMPLE for patch, _ in drawn)
    description = f"Photo {photo.name}, balanced, with {len(drawn)} outlines, {samples} of them samples."
    marks: list[Mark] = [
        Picture(x=0.0, y=0.0, width=width, height=height, pixels=picture, described=description),
    ]
    for patch, outline in drawn:
        marks += _outline(patch, outline, scale)
    for patch, outline in drawn:
        marks += _label(patch, outline, scale, width)
    return Drawing(width=width, height=height, description=description, marks=tuple(marks))


def _corners(outline: Outline, scale: float) -> tuple[Point, ...]:
    left, top = outline.x, outline.y
    right, bottom = left + outline.width, top + outline.height
    corners = outline.corners or ((left, top), (right, top), (right, bottom), (left, bottom))
    return tuple((x * scale, y * scale) for x, y in corners)


def _outline(patch: Patch, outline: Outline, scale: float) -> Iterable[Mark]:
    corners = _corners(outline, scale)
    ring = (*corners, corners[0])
    yield Stroke(points=ring, pen=Pen(width=_UNDER, ink="#000000"))
    yield Stroke(points=ring, pen=Pen(width=_OVER, ink="#ffffff", dash=_DASHES.get(patch.role, ())))
    if patch.set_aside:
        across = (corners[3], corners[1])
        yield Stroke(points=across, pen=Pen(width=_UNDER, ink="#000000"))
        yield Stroke(points=across, pen=Pen(width=_OVER, ink="#ffffff"))


def outline_label(patch: Patch) -> str:
    """Return what an outline is called on the photo.

    >>> outline_label(Patch(identity=1, hours=4.0, board="A")), outline_label(Patch(identity=2, role=Role.CARD))
    ('4 h', 'card')
    """
    if patch.role is Role.SAMPLE and patch.hours is not None:
        return f"{patch.hours:g} h"
    return str(patch.role)


def _label(patch: Patch, outline: Outline, scale: float, width: float) -> Iterable[Mark]:
    x, y = min(_corners(outline, scale), key=lambda corner: corner[0] + corner[1])
    names = " ".join(part for part in (patch.board, patch.zone) if part) if patch.role is Role.SAMPLE else ""
    text = outline_label(patch)
    room = outline.width * scale + 4.0
    if names and text_width(f"{text} {names}", _LABEL, Weight.SEMIBOLD) + 6.0 <= room:
        text = f"{text} {names}"
    wide = text_width(text, _LABEL, Weight.SEMIBOLD) + 6.0
    left = max(0.0, min(x - _UNDER / 2, width - wide))
    top = y - 11.0 if y >= 11.0 else y + 1.0
    yield box(left, top, wide, 10.0, fill="#000000")
    yield Words(x=left + 3.0, y=top + 7.6, text=text, size=_LABEL, weight=Weight.SEMIBOLD, ink="#ffffff")
