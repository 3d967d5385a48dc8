"""The photos of the job as lines of the ledger, each with a chip of its wood."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from PySide6.QtCore import QEvent, QPoint, QRect, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QAccessible,
    QColor,
    QFontMetrics,
    QHelpEvent,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPalette,
)
from PySide6.QtWidgets import QSizePolicy, QToolTip, QWidget

from app.views.painted import Painted, PaintedWidget
from app.views.place import Cutout
from app.views.theme import BODY, SEMIBOLD, SMALL_TEXT, Bench, font

__all__ = ["PhotoLine", "PhotoList"]

_ROW, _WIDE = 50, 300
_ROLE = QPalette.ColorRole


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoLine:
    """One line: the photo's name in the job, what it shows, what is to be said of it, and the colours of its wood."""

    photo: str
    title: str
    under: str
    chips: tuple[QColor, ...] = ()

    @staticmethod
    def chips_of(cutouts: Sequence[Cutout]) -> tuple[QColor, ...]:
        """Return the mean colours of up to three cutouts: the first, the middle and the last."""
        few = list(cutouts) if len(cutouts) <= 3 else [cutouts[0], cutouts[len(cutouts) // 2], cutouts[-1]]
        means = [np.asarray(made.balanced.reshape(-1, 3).mean(axis=0)) for made in few]
        return tuple(QColor(int(mean[0]), int(mean[1]), int(mean[2])) for mean in means)


class PhotoList(PaintedWidget):
    """The lines; one of them is the shown photo. Up and Down move, `shown` says which photo is asked for."""

    shown = Signal(str)
    remove_asked = Signal(str)
    focus_moved = Signal()
    accessible_role = QAccessible.Role.List

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self._lines: tuple[PhotoLine, ...] = ()
        self._current = ""

    def set_lines(self, lines: Sequence[PhotoLine], current: str) -> None:
        """Show these lines, the current photo's chosen."""
        changed = len(lines) != len(self._lines)
        self._lines, self._current = tuple(lines), current
        if changed:
            self.updateGeometry()
            self.setFixedHeight(self.sizeHint().height())
        self.focus_moved.emit()
        self.update()

    def sizeHint(self) -> QSize:
        return QSize(240, max(1, len(self._lines) * _ROW + 1))

    @staticmethod
    def height_of(rows: float) -> int:
        """Return how high so many lines are."""
        return round(rows * _ROW) + 1

    def _number(self) -> int:
        return next((i for i, line in enumerate(self._lines) if line.photo == self._current), 0)

    def focus_rect(self) -> QRect:
        """The chosen line, which the ring goes around."""
        return QRect(0, self._number() * _ROW, self.width(), _ROW)

    def painted(self) -> tuple[Painted, ...]:
        return tuple(
            Painted(
                name=f"{number + 1}. {line.title}",
                value=line.under,
                rect=QRect(0, number * _ROW, self.width(), _ROW),
                role=QAccessible.Role.ListItem,
            )
            for number, line in enumerate(self._lines)
        )

    def mousePressEvent(self, event: QMouseEvent) -> None:
        number = int(event.position().y()) // _ROW
        if 0 <= number < len(self._lines):
            self.shown.emit(self._lines[number].photo)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        step = {Qt.Key.Key_Up: -1, Qt.Key.Key_Down: 1}.get(Qt.Key(event.key()))
        number = self._number() + (step or 0)
        if step is not None and 0 <= number < len(self._lines):
            self.shown.emit(self._lines[number].photo)
            self.tell_chosen(number)
        elif event.key() == Qt.Key.Key_Delete and self._lines:
            self.remove_asked.emit(self._current)
        else:
            super().keyPressEvent(event)

    def event(self, event: QEvent) -> bool:
        if isinstance(event, QHelpEvent):
            self._show_tip(event.pos(), event.globalPos())
            return True
        return super().event(event)

    def _show_tip(self, at: QPoint, where: QPoint) -> None:
        number = at.y() // _ROW
        line = self._lines[number] if 0 <= number < len(self._lines) else None
        QToolTip.showText(where, f"{line.photo}\n{line.title}\n{line.under}" if line else "", self)

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        for number, line in enumerate(self._lines):
            self._paint_line(painter, QRect(0, number * _ROW, self.width(), _ROW), number, line)
        painter.fillRect(0, len(self._lines) * _ROW, self.width(), 1, self.palette().color(_ROLE.Mid))
        painter.end()

    def _paint_line(self, painter: QPainter, row: QRect, number: int, line: PhotoLine) -> None:
        palette = self.palette()
        ink, quiet = palette.color(_ROLE.WindowText), palette.color(_ROLE.PlaceholderText)
        chosen = line.photo == self._current
        if chosen:
            painter.fillRect(row, palette.color(_ROLE.Base))
            painter.fillRect(QRect(0, row.top() + 1, 3, row.height() - 1), ink)
        painter.fillRect(QRect(0, row.top(), row.width(), 1), palette.color(_ROLE.Mid))
        wide = row.width() >= _WIDE
        chip = QRect(8 if chosen else 0, row.top() + 7, 64 if wide else 44, 36)
        painter.fillRect(chip, Bench.BENCH.colour)
        inner = QRectF(chip).adjusted(6, 6, -6, -6)
        for i, colour in enumerate(line.chips):
            width = inner.width() / len(line.chips)
            painter.fillRect(QRectF(inner.left() + i * width, inner.top(), width, inner.height()), colour)
        text = row.adjusted(chip.right() + (14 if wide else 10), 0, -22, 0)
        self._write(painter, text.adjusted(0, 3, 0, -23), line.title, BODY, ink, bold=chosen)
        self._write(painter, text.adjusted(0, 25, 0, -4), line.under, SMALL_TEXT, ink if chosen else quiet)
        number_box = row.adjusted(row.width() - 26, 6, -4, -24)
        painter.setFont(font(SMALL_TEXT))
        painter.setPen(quiet)
        painter.drawText(number_box, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter, str(number + 1))

    @staticmethod
    def _write(painter: QPainter, box: QRect, text: str, size: int, colour: QColor, *, bold: bool = False) -> None:
        made = font(size, SEMIBOLD) if bold else font(size)
        painter.setFont(made)
        painter.setPen(colour)
        cut = QFontMetrics(made).elidedText(text, Qt.TextElideMode.ElideRight, box.width())
        painter.drawText(box, Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft, cut)
