"""The line of places: the job and how it is kept, six places with their answers, and the last act, to be undone."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QPointF, QRect, QSize, Qt, Signal
from PySide6.QtGui import QColor, QFont, QFontMetrics, QKeyEvent, QPainter, QPaintEvent, QPalette, QPen, QPolygonF
from PySide6.QtWidgets import QAbstractButton, QHBoxLayout, QSizePolicy, QWidget

from app.views.controls import Button
from app.views.theme import BODY, FULL, PLACES, REGULAR, SEMIBOLD, SMALL_TEXT, Measure, font
from app.wording import tr

__all__ = ["LineButton", "PlacesLine"]

_ROLE = QPalette.ColorRole
_V_WIDTH, _V_DEPTH = 9, 12


class LineButton(QAbstractButton):
    """A word over a quieter one: a place and its answer, or the job and how it is kept."""

    def __init__(self, word: str, *, job: bool = False, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._job, self._under, self._measure = job, "", FULL
        self.current = False
        self.setText(word)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)

    def say(self, word: str, under: str, *, current: bool, measure: Measure) -> None:
        """Show another word, answer and standing."""
        self._under, self.current, self._measure = under, current, measure
        self.setText(word)
        self.setAccessibleName(f"{word}: {under}" if under else word)
        self.setToolTip(self.accessibleName() if self._job else under)
        self.updateGeometry()
        self.update()

    def _word_size(self) -> int:
        return PLACES if self._measure is FULL else BODY + 1

    def sizeHint(self) -> QSize:
        width = QFontMetrics(font(self._word_size(), SEMIBOLD)).horizontalAdvance(self.text())
        if self._measure.second_line:
            width = max(width, QFontMetrics(font(SMALL_TEXT)).horizontalAdvance(self._under))
        return QSize(width + 2, self._measure.line_height - 10)

    def minimumSizeHint(self) -> QSize:
        """The job's name gives way first, for the answers are why one looks at the line."""
        if not self._job:
            return self.sizeHint()
        width = QFontMetrics(font(self._word_size(), SEMIBOLD)).horizontalAdvance(self.text())
        return QSize(min(width, 90) + 2, self._measure.line_height - 10)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.click()
        else:
            super().keyPressEvent(event)

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        ink, quiet = self.palette().color(_ROLE.WindowText), self.palette().color(_ROLE.PlaceholderText)
        heavy = self.current or self._job
        made = font(self._word_size(), SEMIBOLD if heavy else REGULAR)
        answers = self._measure.second_line
        middle = self.height() // 2 + (1 if answers else 0)
        upper = QRect(0, 0, self.width(), middle + 2) if answers else self.rect()
        self._write(painter, upper, self.text(), made, ink if heavy else quiet)
        if answers:
            lower = QRect(0, middle, self.width(), self.height() - middle - 2)
            self._write(painter, lower, self._under, font(SMALL_TEXT), ink if self.current else quiet)
        painter.end()

    def _write(self, painter: QPainter, box: QRect, text: str, made: QFont, colour: QColor) -> None:
        painter.setFont(made)
        painter.setPen(colour)
        cut = painter.fontMetrics().elidedText(text, Qt.TextElideMode.ElideRight, box.width())
        painter.drawText(box, Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft, cut)


class _UndoButton(Button):
    """Undoes the last act; Down shows what was done."""

    list_asked = Signal()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Down:
            self.list_asked.emit()
        else:
            super().keyPressEvent(event)


class PlacesLine(QWidget):
    """The line itself, with the V at the current place. `go_asked` carries a place's key."""

    go_asked = Signal(str)
    job_asked = Signal()
    undo_asked = Signal()
    list_asked = Signal()

    def __init__(self, places: Sequence[tuple[str, str]], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._measure = FULL
        self.job = LineButton("", job=True)
        self.job.setAccessibleDescription(tr("The job: its name, other jobs, what is shown how"))
        self.places = {key: LineButton(title) for key, title in places}
        self.undo = _UndoButton("", small=True)
        self.list = Button(tr("List"), small=True)
        self.list.setAccessibleDescription(tr("What was done"))
        self.list.setToolTip(tr("What was done"))
        self._row = QHBoxLayout(self)
        self._row.addWidget(self.job)
        for key, button in self.places.items():
            self._row.addWidget(button)
            button.clicked.connect(lambda _checked=False, key=key: self.go_asked.emit(key))
        self._row.addStretch(1)
        self._row.addWidget(self.undo)
        self._row.addWidget(self.list)
        self.job.clicked.connect(self.job_asked)
        self.undo.clicked.connect(self.undo_asked)
        self.undo.list_asked.connect(self.list_asked)
        self.list.clicked.connect(self.list_asked)
        self.set_measure(FULL)

    def set_measure(self, measure: Measure) -> None:
        """Take the window's measures."""
        self._measure = measure
        self.setFixedHeight(measure.line_height + _V_DEPTH)
        gap = {"full": 34, "small": 26}.get(measure.name, 24)
        self._row.setSpacing(gap)
        self._row.setContentsMargins(measure.margin, 0, measure.margin, _V_DEPTH)
        self.list.setVisible(measure is FULL)

    def say_undo(self, name: str, *, done: bool) -> None:
        """Name the button after the last act, or hide it where there is none."""
        full = tr("Undo {act}", act=name) if name else tr("Undo")
        room = 30 if self._measure is FULL else 0
        shown = (
            full
            if len(full) <= room
            else (tr("Undo {act}", act=name[: room - 6].rstrip() + "…") if room else tr("Undo"))
        )
        self.undo.rename(shown)
        self.undo.setAccessibleName(full)
        self.undo.setToolTip(tr("{full} (Ctrl+Z); Down: what was done", full=full))
        self.undo.setEnabled(bool(name))
        self.undo.setVisible(done)
        self.list.setVisible(done and self._measure is FULL)

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        y = float(self._measure.line_height) - 1
        points = [QPointF(0, y)]
        for button in self.places.values():
            if button.current:
                x = button.geometry().left() + 16.0
                points += [QPointF(x - _V_WIDTH, y), QPointF(x, y + _V_DEPTH - 1), QPointF(x + _V_WIDTH, y)]
        points.append(QPointF(self.width(), y))
        painter.setPen(QPen(self.palette().color(_ROLE.WindowText), 1.6))
        painter.drawPolyline(QPolygonF(points))
        painter.end()
