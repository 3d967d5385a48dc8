"""A board and zone made ready to be drawn: its samples with their wood, its line style, and the shared hour axis."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from colourcore.image.pixels import Outline
from colourcore.job.model import Job, Role
from colourcore.pipeline import Group, PatchReading, Results

__all__ = ["HourAxis", "LineStyle", "SampleView", "Series", "job_series", "patch_pixels", "shared_axis"]

Pixels = NDArray[np.uint8]

_ROUND_HOURS = (0.5, 1, 2, 3, 4, 6, 8, 10, 12, 16, 20, 24, 30, 36, 48, 60, 72, 96, 120, 168, 240, 336, 480, 720, 1000)
_BEYOND_LAST = 1.6


@dataclass(frozen=True, slots=True, kw_only=True)
class LineStyle:
    """How one zone is told from another without hue: dash lengths in line widths, and the shape of its samples."""

    dash: tuple[float, ...] = ()
    sample: str = "dot"


_STYLES = (
    LineStyle(),
    LineStyle(dash=(7.0, 3.0), sample="ring"),
    LineStyle(dash=(7.0, 2.5, 1.5, 2.5), sample="square"),
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SampleView:
    """One sample to be drawn: its hours, its colour, its wood where there is a photo, and whether it is set aside."""

    hours: float
    lab: tuple[float, float, float]
    pixels: Pixels | None = None
    set_aside: bool = False


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Series:
    """A group with everything that its drawings need. `last_hours` is its longest exposure that counts."""

    group: Group
    style: LineStyle
    samples: tuple[SampleView, ...]
    last_hours: float

    @property
    def short_name(self) -> str:
        """The zone's name, or the board's where there is no zone."""
        return self.group.zone or self.group.name


@dataclass(frozen=True, slots=True, kw_only=True)
class HourAxis:
    """Hours along a line from `left` to `right`, early hours wide: the place goes with the square root of the hours."""

    end_hours: float
    left: float
    right: float

    def at(self, hours: float) -> float:
        """Return the place of an hour, in points; what lies beyond the end goes to the end.

        >>> HourAxis(end_hours=16.0, left=0.0, right=100.0).at(4.0)
        50.0
        """
        return self.left + (self.right - self.left) * math.sqrt(min(1.0, max(0.0, hours) / self.end_hours))

    def ticks(self, sample_hours: Iterable[float], *, apart: float = 15.0) -> tuple[tuple[float, bool], ...]:
        """Return the hours to be labelled, at least `apart` points from each other, and whether samples stand there.

        >>> HourAxis(end_hours=24.0, left=0.0, right=80.0).ticks([0.0, 6.0, 24.0])
        ((0.0, True), (1, False), (6.0, True), (12, False), (24.0, True))
        """
        chosen: dict[float, bool] = {}
        wanted = [*((hours, True) for hours in sorted(set(sample_hours))), *((hours, False) for hours in _ROUND_HOURS)]
        for hours, sampled in wanted:
            if hours > self.end_hours or any(abs(self.at(hours) - self.at(other)) < apart for other in chosen):
                continue
            chosen[hours] = sampled
        return tuple(sorted(chosen.items()))


def shared_axis(series: Sequence[Series], left: float, right: float) -> HourAxis:
    """Return one axis on which all samples stand, and the answers as far as they lie not too far beyond the samples."""
    last = max([one.last_hours for one in series] or [0.0]) or 1.0
    wanted = max([_answer_end(one.group) for one in series] or [0.0])
    return HourAxis(end_hours=max(last * 1.04, min(wanted * 1.04, _BEYOND_LAST * last)), left=left, right=right)


def _answer_end(group: Group) -> float:
    piece = group.answer.piece
    ends = [group.answer.hours, group.answer.high]
    if piece is not None:
        ends += [piece.hours, piece.high, piece.due]
    return max([end for end in ends if end is not None] or [0.0])


def job_series(job: Job, results: Results, pictures: Mapping[str, Pixels]) -> tuple[Series, ...]:
    """Return every group of the results ready to be drawn, in their order.

    `pictures` holds balanced photos, whole, upright and at any size; a sample whose photo is missing there is drawn
    as its reading's colour.
    """
    widths = {photo.name: photo.facts.width for photo in results.photos}
    outlines = {patch.identity: patch.outline for patch in job.patches}
    styles = _styles(results.groups)

    def wood(row: PatchReading) -> Pixels | None:
        outline = outlines.get(row.identity or 0)
        if row.photo not in pictures or row.photo not in widths or outline is None:
            return None
        return patch_pixels(pictures[row.photo], outline, widths[row.photo])

    return tuple(
        Series(
            group=group,
            style=styles[group.zone],
            samples=_samples(group, results.readings, wood),
            last_hours=max([row.hours or 0.0 for row in group.readings] or [0.0]),
        )
        for group in results.groups
    )


def _styles(groups: Sequence[Group]) -> dict[str, LineStyle]:
    zones = sorted({group.zone for group in groups}, key=lambda zone: (zone == "sapwood", zone != "heartwood", zone))
    if "sapwood" in zones and len(zones) > 1:
        zones.remove("sapwood")
        zones.insert(1, "sapwood")
    return {zone: _STYLES[min(number, len(_STYLES) - 1)] for number, zone in enumerate(zones)}


def _samples(
    group: Group, readings: Iterable[PatchReading], wood: Callable[[PatchReading], Pixels | None]
) -> tuple[SampleView, ...]:
    rows = [
        row
        for row in readings
        if row.role is Role.SAMPLE and (row.board, row.zone) == (group.board, group.zone) and row.hours is not None
    ]
    views = [
        SampleView(hours=row.hours or 0.0, lab=row.reading.lab, pixels=wood(row), set_aside=bool(row.set_aside))
        for row in rows
        if row.reading is not None
    ]
    return tuple(sorted(views, key=lambda view: (view.hours, view.set_aside, -view.lab[0], view.lab)))


def patch_pixels(picture: Pixels, outline: Outline, full_width: int) -> Pixels:
    """Return the pixels inside an outline, turned upright, from a reduced picture of the photo.

    Parameters
    ----------
    picture
        The whole photo, upright, of shape (rows, columns, 3).
    outline
        In pixels of the full photo.
    full_width
        Columns of the full photo.

    >>> patch_pixels(np.zeros((30, 40, 3), np.uint8), Outline(x=40, y=40, width=80, height=120), 160).shape
    (30, 20, 3)
    """
    scale = picture.shape[1] / full_width
    corners = outline.corners or (
        (outline.x, outline.y),
        (outline.x + outline.width, outline.y),
        (outline.x + outline.width, outline.y + outline.height),
        (outline.x, outline.y + outline.height),
    )
    one, two, three, four = np.asarray(corners, dtype=np.float64) * scale
    columns = max(1, round(float(np.hypot(*(two - one)))))
    rows = max(1, round(float(np.hypot(*(four - one)))))
    across = ((np.arange(columns) + 0.5) / columns)[None, :, None]
    down = ((np.arange(rows) + 0.5) / rows)[:, None, None]
    points = (one * (1 - across) + two * across) * (1 - down) + (four * (1 - across) + three * across) * down
    x = np.clip(points[..., 0].astype(np.intp), 0, picture.shape[1] - 1)
    y = np.clip(points[..., 1].astype(np.intp), 0, picture.shape[0] - 1)
    return np.asarray(picture[y, x], dtype=np.uint8)
