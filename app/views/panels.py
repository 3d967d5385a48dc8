"""What drops from the places line, and what was done, line by line. Never a dialog: Escape closes it."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from PySide6.QtCore import QPointF, QRect, QSize, Qt, Signal
from PySide6.QtGui import (
    QAccessible,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPalette,
    QPen,
    QPolygonF,
)
from PySide6.QtWidgets import QFrame, QVBoxLayout, QWidget

from app.views.painted import Painted, PaintedWidget
from app.views.parts import Words
from app.views.scrolling import scrolled
from app.views.theme import BODY, SEMIBOLD, SENTENCE, SMALL_TEXT, font
from app.wording import tr
from colourcore.job.history import Step
from colourcore.job.model import Job

__all__ = ["DonePanel", "Panel"]

_ROLE = QPalette.ColorRole
_ROW = 40


class Panel(QFrame):
    """A sheet of the page that lies over the place, with a line around it. Escape closes it."""

    closed = Signal()

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.setAutoFillBackground(True)
        self.column = QVBoxLayout(self)
        self.column.setContentsMargins(28, 18, 28, 22)
        self.column.setSpacing(10)
        self.hide()

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setPen(QPen(self.palette().color(_ROLE.WindowText), 1.6))
        painter.drawRect(self.rect().adjusted(0, 0, -1, -1))
        painter.end()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.close_panel()
        else:
            super().keyPressEvent(event)

    def close_panel(self) -> None:
        """Go away."""
        if self.isVisible():
            self.hide()
            self.closed.emit()


class _Steps(PaintedWidget):
    """What was done, the newest first; Enter or a click goes to a line."""

    went = Signal(int)
    focus_moved = Signal()
    accessible_role = QAccessible.Role.List

    def __init__(self) -> None:
        super().__init__()
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self._steps: tuple[Step[Job], ...] = ()
        self._here = self._at = 0

    def show_steps(self, steps: Sequence[Step[Job]], here: int) -> None:
        self._steps, self._here, self._at = tuple(steps), here, here
        self.setFixedHeight(max(1, len(steps)) * _ROW + 1)
        self.setAccessibleName(tr("What was done"))
        self.focus_moved.emit()
        self.update()

    def sizeHint(self) -> QSize:
        return QSize(480, len(self._steps) * _ROW)

    def _row(self, number: int) -> QRect:
        return QRect(0, (len(self._steps) - 1 - number) * _ROW, self.width(), _ROW)

    def focus_rect(self) -> QRect:
        """The line that the keys stand at."""
        return self._row(self._at).adjusted(8, 6, -8, -6)

    def painted(self) -> tuple[Painted, ...]:
        found = []
        for number in range(len(self._steps) - 1, -1, -1):
            where = tr("here now") if number == self._here else (tr("undone") if number > self._here else "")
            name = f"{_clock(self._steps[number].at)} {self._steps[number].name}".strip()
            found.append(Painted(name=name, value=where, rect=self._row(number), role=QAccessible.Role.ListItem))
        return tuple(found)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        number = len(self._steps) - 1 - int(event.position().y()) // _ROW
        if 0 <= number < len(self._steps):
            self.went.emit(number)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        step = {Qt.Key.Key_Up: 1, Qt.Key.Key_Down: -1}.get(Qt.Key(event.key()))
        if step is not None:
            self._at = min(max(self._at + step, 0), len(self._steps) - 1)
            self.tell_chosen(len(self._steps) - 1 - self._at)
            self.focus_moved.emit()
            self.update()
        elif event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Space):
            self.went.emit(self._at)
        else:
            super().keyPressEvent(event)

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        ink, quiet = self.palette().color(_ROLE.WindowText), self.palette().color(_ROLE.PlaceholderText)
        for number, step in enumerate(self._steps):
            row = self._row(number)
            if number == self._here:
                painter.fillRect(row, self.palette().color(_ROLE.Base))
                foot = [QPointF(6, 8), QPointF(16, 14), QPointF(6, 20)]
                painter.setPen(QPen(ink, 2))
                painter.drawPolyline(QPolygonF([point + QPointF(0, row.top() + 6) for point in foot]))
            painter.fillRect(QRect(row.left(), row.top(), row.width(), 1), self.palette().color(_ROLE.Mid))
            painter.setPen(quiet)
            painter.setFont(font(SMALL_TEXT))
            painter.drawText(row.adjusted(26, 0, 0, 0), Qt.AlignmentFlag.AlignVCenter, _clock(step.at))
            painter.setPen(quiet if number > self._here else ink)
            painter.setFont(font(BODY, SEMIBOLD) if number == self._here else font(BODY))
            painter.drawText(row.adjusted(82, 0, -100, 0), Qt.AlignmentFlag.AlignVCenter, step.name)
            right = Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignRight
            painter.setPen(quiet)
            painter.setFont(font(SMALL_TEXT))
            where = tr("here now") if number == self._here else (tr("undone") if number > self._here else "")
            painter.drawText(row.adjusted(0, 0, -8, 0), right, where)
        painter.end()


def _clock(at: str) -> str:
    try:
        return f"{datetime.fromisoformat(at):%H:%M}"
    except ValueError:
        return ""


class DonePanel(Panel):
    """*What was done*: every act with its time; going back to a line keeps what lies after it."""

    went = Signal(int)

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.column.addWidget(Words(tr("What was done"), SENTENCE))
        hint = tr("Go back to any line; what lies after it stays until you do something else.")
        self.column.addWidget(Words(hint, second=True))
        self.steps = _Steps()
        self._scroll = scrolled(self.steps)
        self.column.addWidget(self._scroll, 1)
        self.steps.went.connect(self.went)

    def show_steps(self, steps: Sequence[Step[Job]], here: int) -> None:
        """Show what was done and where the job stands in it."""
        self.steps.show_steps(steps, here)

    def open_panel(self) -> None:
        """Come into sight, the keys at the line that stands."""
        self.show()
        self.raise_()
        self.steps.setFocus(Qt.FocusReason.PopupFocusReason)
