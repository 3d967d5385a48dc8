"""Paints the rows of the bench: photographs on their hour, standing on or hanging from a lath of fitted colour."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

import numpy as np
from PySide6.QtCore import QPointF, QRect, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QImage, QPainter, QPen

from app.models.hours_axis import Axis, hour_text
from app.models.hours_layout import HoursLayout, RowPlace
from app.models.hours_placing import Placed, Standing, place_photographs
from app.models.hours_scene import HoursScene, Strand, StrandSample, Stroke
from app.models.hours_wood import path_pixels
from app.models.hours_words import strand_title, strand_under
from app.views.painted import Painted
from app.views.place import Cutout
from app.views.preview import cover, image_of, woven
from app.views.theme import BODY, EDGE_LINE, SEMIBOLD, SMALL_TEXT, Bench, Theme, font
from app.wording import tr
from colourcore.curve.outcome import Outcome
from colourcore.report.phrases import format_error, format_value

__all__ = [
    "BenchView",
    "Photograph",
    "device_size",
    "paint_mark",
    "paint_rows",
    "paint_stroke_sign",
    "photographs",
    "row_things",
]

_CORD_SHARE = 0.36
_SLAT = 7.0
_GROUND = (0xBD, 0xBD, 0xBD)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BenchView:
    """All that the bench's painters need: what is shown, where, and how it looks."""

    scene: HoursScene
    layout: HoursLayout
    axis: Axis
    theme: Theme
    ratio: float = 1.0
    cutouts: Mapping[int, Cutout] = field(default_factory=lambda: MappingProxyType({}))
    wanted_hours: tuple[float, ...] = ()

    def row_strands(self) -> tuple[tuple[RowPlace, Strand], ...]:
        """The strands that are in sight as rows, with their places."""
        if self.layout.folded and len(self.scene.rows) > 1:
            return ((self.layout.rows[0], self.scene.rows[self.scene.choice.row]),)
        return tuple(zip(self.layout.rows, self.scene.rows, strict=False))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Photograph:
    """A photograph and where it lies; `placed` says where along the row, `box` on the bench."""

    sample: StrandSample
    strand: Strand
    placed: Placed
    box: QRectF


def device_size(box: QRectF, ratio: float) -> QSize:
    """Return a box's size in device pixels."""
    return QSize(max(1, round(box.width() * ratio)), max(1, round(box.height() * ratio)))


def photographs(view: BenchView, row: RowPlace, strand: Strand) -> tuple[Photograph, ...]:
    """Return where the photographs of a row lie."""
    standing = [Standing(key=i, x=view.axis.x(s.hours)) for i, s in enumerate(strand.samples)]
    area = row.photographs
    found = []
    for placed in place_photographs(standing, view.layout.photo_width, area.height()):
        near, far = (round(share * area.height()) for share in (placed.near, placed.far))
        top = area.top() + near if row.hanging else area.bottom() - far
        left, right = round(placed.left), round(placed.right)
        box = QRectF(left, top, max(1, right - left), far - near)
        found.append(Photograph(sample=strand.samples[placed.key], strand=strand, placed=placed, box=box))
    return tuple(found)


def paint_rows(painter: QPainter, view: BenchView) -> None:
    """Paint names, laths and photographs of the rows, and dashed places for samples that would tell most."""
    for row, strand in view.row_strands():
        if not view.layout.folded:
            _paint_name(painter, view, row, strand)
        _paint_lath(painter, view, row, strand)
        for photograph in photographs(view, row, strand):
            _paint_photograph(painter, view, row, photograph)
        _paint_remarks(painter, view, row, strand)
    _paint_wanted(painter, view)


def _paint_name(painter: QPainter, view: BenchView, row: RowPlace, strand: Strand) -> None:
    top = row.photographs.top() + (2 if not row.hanging else 4)
    room = view.layout.left - view.layout.words_x - 6
    painter.setFont(font(BODY, SEMIBOLD))
    painter.setPen(Bench.INK.colour)
    _paint_cut(painter, QRectF(view.layout.words_x, top, room, 24), strand_title(view.scene, strand))
    painter.setFont(font(SMALL_TEXT))
    painter.setPen(Bench.SECOND_INK.colour)
    _paint_cut(painter, QRectF(view.layout.words_x, top + 22, room, 22), strand_under(view.scene, strand))
    if row.photographs.height() >= 58:
        y = top + 52
        paint_stroke_sign(
            painter, strand.stroke, QPointF(view.layout.words_x, y), 52, Bench.INK.colour, Bench.BENCH.colour
        )


def _paint_cut(painter: QPainter, box: QRectF, text: str) -> None:
    """A text of one line, its end cut off with an ellipsis where the box is too short for it."""
    metrics = QFontMetricsF(painter.font())
    painter.drawText(box, metrics.elidedText(text, Qt.TextElideMode.ElideRight, box.width()))


def paint_stroke_sign(
    painter: QPainter, stroke: Stroke, at: QPointF, length: float, ink: QColor, ground: QColor
) -> None:
    """Paint a piece of a strand's line with its mark, as a key to the chart."""
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    pen = QPen(ink, 2.0)
    if stroke is not Stroke.SOLID:
        pen.setDashPattern([4.0, 10.0 / 3.0] if stroke is Stroke.DASHED else [5.0, 2.4, 1.0, 2.4])
    pen.setCapStyle(Qt.PenCapStyle.FlatCap)
    painter.setPen(pen)
    painter.drawLine(at, at + QPointF(length, 0))
    paint_mark(painter, stroke, at + QPointF(length / 2, 0), ink, ground)


def paint_mark(
    painter: QPainter, stroke: Stroke, at: QPointF, ink: QColor, ground: QColor, radius: float = 5.0
) -> None:
    """Paint a sample's mark on a curve: filled dot, ring or square, with a little of the ground around it."""
    painter.setPen(QPen(ground, 2.0))
    painter.setBrush(ground)
    painter.drawEllipse(at, radius + 1.2, radius + 1.2)
    painter.setPen(QPen(ink, 2.0))
    if stroke is Stroke.SOLID:
        painter.setBrush(ink)
    if stroke is Stroke.DOT_DASHED:
        painter.drawRect(QRectF(at.x() - radius + 1, at.y() - radius + 1, 2 * radius - 2, 2 * radius - 2))
    else:
        painter.drawEllipse(at, radius - 1, radius - 1)
    painter.setBrush(Qt.BrushStyle.NoBrush)


def _paint_lath(painter: QPainter, view: BenchView, row: RowPlace, strand: Strand) -> None:
    found = strand.prospect
    if found is None:
        # an empty lath: no colour is known between the samples
        painter.setPen(QPen(Bench.SECOND_INK.colour, 1.0))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawRect(row.lath.adjusted(0.5, 0.5, -0.5, -0.5))
        return
    box = row.lath
    columns = device_size(box, view.ratio).width()
    xs = box.left() + (np.arange(columns) + 0.5) / view.ratio
    hours = np.minimum([view.axis.hours(float(x)) for x in xs], found.end)
    labs = found.path(hours)
    painter.drawImage(box, _strip(labs))
    target = strand.target
    if target is not None:
        cord = labs.copy()
        cord[:, 0] = target.L
        cord[:, 1] = cord[:, 1] if target.a is None else target.a
        cord[:, 2] = cord[:, 2] if target.b is None else target.b
        depth = round(box.height() * _CORD_SHARE)
        painter.drawImage(
            QRectF(box.left(), box.top() + round((box.height() - depth) / 2), box.width(), depth), _strip(cord)
        )
    _paint_slats(painter, view, box, found.last_sample)


def _strip(labs: np.ndarray) -> QImage:
    return image_of(path_pixels(labs)[None])


def _paint_slats(painter: QPainter, view: BenchView, box: QRectF, last_sample: float) -> None:
    """Beyond the last sample the lath is in slats: nothing was measured there."""
    start = view.axis.x(last_sample) + view.layout.photo_width / 2
    if view.axis.last_hours <= last_sample * 1.001:
        return
    painter.save()
    painter.setClipRect(QRectF(start, box.top(), box.right() - start, box.height()))
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(QPen(Bench.BENCH.colour, 2.4))
    x = start
    while x < box.right() + box.height():
        painter.drawLine(QPointF(x, box.bottom() + 1), QPointF(x + box.height() * 0.5, box.top() - 1))
        x += _SLAT
    painter.restore()


def _wood(view: BenchView, photograph: Photograph) -> QImage:
    size = device_size(photograph.box, view.ratio)
    sample = photograph.sample
    found = view.cutouts.get(sample.identity) if sample.identity is not None else None
    if found is not None:
        return image_of(cover(found.balanced, size, view.ratio))
    step = max(2, round(4 * view.ratio))
    return image_of(woven(sample.lab, size, _GROUND, step))


def _paint_photograph(painter: QPainter, view: BenchView, row: RowPlace, photograph: Photograph) -> None:
    box = photograph.box
    painter.drawImage(box, _wood(view, photograph))
    if photograph.placed.leader:
        x = round(photograph.placed.x)
        lath = row.lath.bottom() if row.hanging else row.lath.top()
        edge = box.top() - 2 if row.hanging else box.bottom() + 2
        painter.setPen(QPen(Bench.INK.colour, EDGE_LINE))
        painter.drawLine(QPointF(x, edge), QPointF(x, lath + 2 if row.hanging else lath - 2))
    if photograph.sample.set_aside:
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(Bench.INK.colour, 2.4))
        painter.drawLine(box.bottomLeft(), box.topRight())


def _remark(sample: StrandSample) -> str:
    if sample.set_aside:
        return tr("set aside: {reason}", reason=sample.set_aside)
    if sample.off is not None:
        side = tr("lighter") if sample.off > 0 else tr("darker")
        return tr("{gap} {side} than the rest", gap=format_value(abs(sample.off)), side=side)
    return ""


def _remark_boxes(view: BenchView, row: RowPlace, strand: Strand) -> list[tuple[str, QRectF]]:
    """Where remarks stand: each begins at its photograph's edge, as long as it is clear of the one before."""
    metrics = QFontMetricsF(font(SMALL_TEXT))
    y = view.layout.remark_y if row.hanging or view.layout.folded else view.layout.remark_above_y
    found: list[tuple[str, QRectF]] = []
    free = view.layout.left
    for photograph in photographs(view, row, strand):
        text = _remark(photograph.sample)
        if not text:
            continue
        width = metrics.horizontalAdvance(text)
        left = min(photograph.box.left(), view.layout.right - width)
        if left >= free:
            found.append((text, QRectF(left, y - 11, width + 2, 22)))
            free = left + width + 12
    if not found and strand.outcome is Outcome.NOT_REACHED and strand.target is not None and not view.layout.folded:
        text = tr("the target’s cord stays to be seen all along")
        if len(view.scene.rows) == 1 or row.hanging:
            top = view.layout.remark_y - 11
            found.append((text, QRectF(view.layout.left, top, metrics.horizontalAdvance(text) + 2, 22)))
    return found


def _paint_remarks(painter: QPainter, view: BenchView, row: RowPlace, strand: Strand) -> None:
    painter.setFont(font(SMALL_TEXT))
    painter.setPen(Bench.INK.colour)
    for text, box in _remark_boxes(view, row, strand):
        painter.drawText(box, Qt.AlignmentFlag.AlignVCenter, text)


def _wanted_boxes(view: BenchView) -> list[tuple[float, QRectF]]:
    area = view.layout.rows[0].photographs
    width = view.layout.photo_width
    return [
        (hours, QRectF(round(view.axis.x(hours) - width / 2), area.top(), width, area.height()))
        for hours in view.wanted_hours
    ]


def _paint_wanted(painter: QPainter, view: BenchView) -> None:
    for hours, box in _wanted_boxes(view):
        pen = QPen(Bench.INK.colour, EDGE_LINE)
        pen.setDashPattern([4.0, 3.0])
        painter.setPen(pen)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawRect(box.adjusted(0.75, 0.75, -0.75, -0.75))
        painter.setFont(font(BODY, SEMIBOLD))
        painter.drawText(box, Qt.AlignmentFlag.AlignCenter, tr("{hours} h", hours=hour_text(hours)))


def row_things(view: BenchView) -> list[tuple[Painted, StrandSample | None]]:
    """Return what is painted in the rows, for screen readers and tips, with the sample where it is one."""
    things: list[tuple[Painted, StrandSample | None]] = []
    for row, strand in view.row_strands():
        name = strand_title(view.scene, strand)
        for photograph in photographs(view, row, strand):
            sample = photograph.sample
            title = tr("{name}, {hours} h", name=name, hours=hour_text(sample.hours))
            things.append((_thing(title, _sample_value(sample), photograph.box), sample))
        if strand.prospect is not None:
            title = tr("{name}: lath of the fitted colour, the target’s cord along it", name=name)
            value = tr("nearest the target at {hours} h", hours=hour_text(round(strand.prospect.hours or 0.0, 1)))
            things.append((_thing(title, value if strand.prospect.hours is not None else "", row.lath), None))
    for hours, box in _wanted_boxes(view):
        title = tr("a sample at {hours} h would tell most", hours=hour_text(hours))
        things.append((_thing(title, tr("not made yet"), box), None))
    return things


def _thing(name: str, value: str, box: QRectF) -> Painted:
    return Painted(name=name, value=value, rect=_rect(box))


def _rect(box: QRectF) -> QRect:
    return box.toAlignedRect()


def _sample_value(sample: StrandSample) -> str:
    parts = zip(("L*", "a*", "b*"), sample.lab, sample.errors, strict=True)
    shown = [f"{name} {format_value(value)} {format_error(error)}" for name, value, error in parts]
    said = [", ".join(shown[:1] if sample.colour_lost else shown)]
    said += [text for text in (sample.label, _remark(sample)) if text]
    return "; ".join(said)
