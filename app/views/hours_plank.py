"""The target's plank and the board slid along it: the job's own wood at the hour of the grip."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QRect, QRectF, Qt
from PySide6.QtGui import QImage, QPainter, QPen

from app.models.hours_layout import HoursLayout
from app.models.hours_scene import Strand
from app.models.hours_wood import Lab, contrast_at, grain_contrast
from app.views.hours_rows import BenchView, device_size
from app.views.painted import Painted
from app.views.preview import Preview, cover, image_of, woven
from app.views.theme import BODY, EDGE_LINE, SEMIBOLD, SMALL_TEXT, Bench, font
from app.wording import tr
from colourcore.report.phrases import format_error, format_value

__all__ = ["Plank"]

Bytes = NDArray[np.uint8]

_GROUND = (0xBD, 0xBD, 0xBD)
_LEAD_SHARE = 0.58
_BOTH_SHARE = 0.5
_WAVE = 0.03
_FLAT = 128


class Plank:
    """Wood of the target and of the board, made ready once for a view; `paint_board` is all that a drag costs."""

    def __init__(self, view: BenchView) -> None:
        self._view = view
        self._target = self._target_image()
        self._size = device_size(QRectF(0, 0, view.layout.board_width, view.layout.plank.height()), view.ratio)
        self._strands = tuple(strand for strand in view.scene.rows if strand.prospect is not None)
        self._woods = [self._wood(strand) for strand in self._strands]
        self._previews = [Preview(wood) for wood in self._woods]
        self._laws = [_law(strand) for strand in self._strands]
        self._edge = self._edge_mask() if len(self._strands) > 1 else None
        self._board = np.zeros((self._size.height(), self._size.width(), 4), dtype=np.uint8)
        self._image = QImage(
            self._board.data,
            self._size.width(),
            self._size.height(),
            4 * self._size.width(),
            QImage.Format.Format_RGB32,
        )

    def _target_image(self) -> QImage | None:
        view, target = self._view, self._view.scene.target
        if target is None:
            return None
        lead = view.scene.lead
        near = lead.prospect.hours_at(target.L) if lead and lead.prospect else None
        colour = lead.prospect.at(near) if lead and lead.prospect and near is not None else None
        lab: Lab = (
            target.L,
            target.a if target.a is not None else (colour.a or 0.0) if colour else 0.0,
            target.b if target.b is not None else (colour.b or 0.0) if colour else 0.0,
        )
        size = device_size(view.layout.plank, view.ratio)
        row = view.scene.target_row
        found = view.cutouts.get(row.identity) if row is not None and row.identity is not None else None
        if found is None:
            return image_of(woven(lab, size, _GROUND, max(2, round(4 * view.ratio))))
        return Preview(cover(found.balanced, size, view.ratio)).image(lab).copy()

    def _wood(self, strand: Strand) -> Bytes:
        """The lightest wood of a strand, board-sized; a flat grey where there is no photo of it."""
        raw = strand.raw
        found = self._view.cutouts.get(raw.identity) if raw is not None and raw.identity is not None else None
        if found is None:
            return np.full((self._size.height(), self._size.width(), 3), _FLAT, dtype=np.uint8)
        return cover(found.raw, self._size, self._view.ratio)

    def _edge_mask(self) -> Bytes:
        """Where the second wood lies: below the sapwood's waving edge, or below the straight joint of two boards."""
        height, width = self._size.height(), self._size.width()
        both = self._view.scene.choice.both
        along = np.arange(width) / width
        wave = 0.0 if both else _WAVE * (np.sin(2.1 + 5.3 * along) + 0.4 * np.sin(1.0 + 13.0 * along))
        edge = height * ((_BOTH_SHARE if both else _LEAD_SHARE) + wave) * np.ones(width)
        return np.where(np.arange(height)[:, None] >= edge[None, :], 255, 0).astype(np.uint8)

    def moving_box(self, hours: float) -> QRect:
        """Return what the board and the ticks at its ends cover at an hour."""
        return board_box(self._view.layout, self._view.axis.x(hours)).adjusted(-1, -8, 1, 8).toAlignedRect()

    def paint_target(self, painter: QPainter) -> None:
        """Paint the target's plank, or where it would lie, and its name."""
        view, box = self._view, self._view.layout.plank
        x, room = view.layout.words_x, view.layout.left - view.layout.words_x - 6
        painter.setFont(font(BODY, SEMIBOLD))
        painter.setPen(Bench.INK.colour)
        painter.drawText(QRectF(x, box.top() + 2, room, 24), tr("Target"))
        painter.setFont(font(SMALL_TEXT))
        painter.setPen(Bench.SECOND_INK.colour)
        painter.drawText(QRectF(x, box.top() + 24, room, 48), Qt.TextFlag.TextWordWrap, self._under())
        if self._target is not None:
            painter.drawImage(box, self._target)
            return
        pen = QPen(Bench.INK.colour, EDGE_LINE)
        pen.setDashPattern([4.0, 3.0])
        painter.setPen(pen)
        painter.drawRect(box.adjusted(0.75, 0.75, -0.75, -0.75))
        painter.setFont(font(BODY))
        painter.setPen(Bench.INK.colour)
        painter.drawText(box.adjusted(18, 0, 0, 0), Qt.AlignmentFlag.AlignVCenter, tr("no target yet"))

    def _under(self) -> str:
        if not self._strands:
            return ""
        if self._view.layout.folded:
            return tr("and board")
        return tr("with both\nslid along it") if self._view.scene.choice.both else tr("with the board\nslid along it")

    def paint_board(self, painter: QPainter, hours: float) -> None:
        """Paint the board at an hour, and the ticks at its ends."""
        if not self._strands:
            return
        self._make(hours)
        box = board_box(self._view.layout, self._view.axis.x(hours))
        painter.drawImage(box, self._image)
        ink = Bench.INK.colour
        for x in (box.left(), box.right() - 2):
            painter.fillRect(QRectF(x, box.top() - 7, 2, 5), ink)
            painter.fillRect(QRectF(x, box.bottom() + 2, 2, 5), ink)

    def _make(self, hours: float) -> None:
        for number, (strand, preview) in enumerate(zip(self._strands, self._previews, strict=True)):
            found = strand.prospect
            assert found is not None
            moment = found.at(hours)
            contrast = contrast_at(self._laws[number], found.at(0.0).L, moment.L)
            made = preview.codes((moment.L, moment.a or 0.0, moment.b or 0.0), contrast)
            if number == 0:
                self._board[:] = made
            elif self._edge is not None:
                cv2.copyTo(made, self._edge, self._board)

    def things(self, hours: float) -> list[Painted]:
        """Return plank and board for screen readers."""
        view = self._view
        target = view.scene.target
        parts = () if target is None else zip(("L*", "a*", "b*"), (target.L, target.a, target.b), strict=True)
        value = ", ".join(f"{name} {format_value(v)}" for name, v in parts if v is not None) or tr("none yet")
        things = [Painted(name=tr("target"), value=value, rect=view.layout.plank.toAlignedRect())]
        box = board_box(view.layout, view.axis.x(hours)).toAlignedRect()
        for strand in self._strands:
            assert strand.prospect is not None
            moment = strand.prospect.at(hours)
            name = tr("{name} of the board, slid along the target", name=strand.zone or strand.board or tr("wood"))
            shade = f"L* {format_value(moment.L)} {format_error(moment.L_sigma)}"
            things.append(Painted(name=name, value=tr("{shade} at {hours:.2f} h", shade=shade, hours=hours), rect=box))
        return things


def board_box(layout: HoursLayout, x: float) -> QRectF:
    """Return where the slid board lies when the grip stands at x."""
    width, plank = layout.board_width, layout.plank
    left = min(max(plank.left(), x - width / 2), plank.right() - width)
    return QRectF(round(left), plank.top(), width, plank.height())


def _law(strand: Strand) -> tuple[float, float] | None:
    counting = [s for s in strand.samples if not s.set_aside and s.photo]
    return grain_contrast(np.array([s.lab[0] for s in counting]), np.array([s.spread for s in counting]))
