"""The rule with its grip: dragged, clicked, or moved by keys; it is the hand on the hours."""

from __future__ import annotations

import math
from dataclasses import dataclass

from PySide6.QtCore import QPoint, QPointF, QRect, QRectF, Qt, Signal
from PySide6.QtGui import QAccessible, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QWidget

from app.models.hours_axis import Axis, Tick, next_stop, ticks
from app.models.hours_layout import GRIP_HEIGHT, GRIP_HIT, GRIP_WIDTH, HoursLayout
from app.models.hours_words import spoken_hours
from app.views.hours_scale import label_width, paint_labels, paint_strokes
from app.views.painted import Painted, PaintedWidget
from app.views.theme import BUTTONS, EDGE_LINE, SEMIBOLD, Bench, font, text_width
from app.wording import tr

__all__ = ["HoursRule", "Stops"]

_STEP, _LONG_STEP = 5.0 / 60.0, 1.0
_KNURL, _KNURL_LINES, _KNURL_ROOM = 7.0, 3, 36.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Stops:
    """Where keys go to: the samples' hours, look-from and due. Not `alive` where nothing is known of any hour."""

    samples: tuple[float, ...] = ()
    look_from: float | None = None
    due: float | None = None
    alive: bool = False


class HoursRule(PaintedWidget):
    """The rule and its grip.

    `moved` brings the hour that the hand or a key asks for; the grip goes there when `set_hours` says so.
    """

    moved = Signal(float)
    focus_moved = Signal()
    accessible_role = QAccessible.Role.Slider

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(tr("Hours"))
        self.setToolTip(
            tr(
                "Hours in the vapour. Drag, click, or use the arrow keys: 5 min, with Shift 1 h; Page Up and Page Down "
                "for the next sample, Home for look-from, End for due."
            )
        )
        self._axis = Axis(last_hours=24.0, first_x=0.0, last_x=100.0)
        self._strip = QRectF()
        self._ticks: tuple[Tick, ...] = ()
        self._stops = Stops()
        self._hours = 0.0
        self._held: float | None = None

    def set_view(self, layout: HoursLayout, axis: Axis, named: tuple[float, ...], stops: Stops) -> None:
        """Lie where the layout says; `axis` is in the parent's coordinates."""
        self._stops, self._axis = stops, axis
        side = GRIP_WIDTH / 2
        top = layout.rule.center().y() - GRIP_HIT / 2
        left = layout.left - side
        self.setGeometry(QRectF(left, top, layout.right - left + side, GRIP_HIT).toAlignedRect())
        self._strip = layout.rule.translated(-self.x(), -self.y())
        self._ticks = ticks(axis, named, layout.right, label_width)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus if stops.alive else Qt.FocusPolicy.NoFocus)
        self.setCursor(Qt.CursorShape.SizeHorCursor if stops.alive else Qt.CursorShape.ArrowCursor)
        self.update()
        self.focus_moved.emit()

    def set_hours(self, hours: float) -> None:
        """Put the grip on an hour."""
        if hours == self._hours:
            return
        before = self._grip()
        self._hours = hours
        self.update(self._around(before).united(self._around(self._grip())))
        if self.hasFocus():
            self.focus_moved.emit()
        if QAccessible.isActive():
            self.tell_changed()

    def focus_rect(self) -> QRect:
        """Where the ring goes: around the grip."""
        return self._grip().toAlignedRect()

    def painted(self) -> tuple[Painted, ...]:
        if not self._stops.alive:
            return ()
        value = tr("{hours}, {decimal:.2f} h", hours=spoken_hours(self._hours), decimal=self._hours)
        role = QAccessible.Role.Slider
        return (Painted(name=tr("hour of the grip"), value=value, rect=self.focus_rect(), role=role),)

    def _grip(self) -> QRectF:
        x = self._axis.x(self._hours) - self.x()
        y = self._strip.center().y()
        width = max(GRIP_WIDTH, math.ceil(text_width(spoken_hours(self._hours), BUTTONS, SEMIBOLD)) + _KNURL_ROOM)
        return QRectF(round(x - width / 2), round(y - GRIP_HEIGHT / 2), width, GRIP_HEIGHT)

    @staticmethod
    def _around(grip: QRectF) -> QRect:
        # labels near the grip come and go with it
        return grip.adjusted(-26, -1, 26, 1).toAlignedRect()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setClipRect(event.rect())
        strip, grip = self._strip, self._grip()
        painter.fillRect(strip, Bench.RULE.colour)
        ink = Bench.INK.colour
        painter.fillRect(QRectF(strip.left(), strip.top(), strip.width(), EDGE_LINE), ink)
        painter.fillRect(QRectF(strip.left(), strip.bottom() - EDGE_LINE, strip.width(), EDGE_LINE), ink)
        offset = -float(self.x())
        left, right = event.rect().left() - 40 - offset, event.rect().right() + 40 - offset
        near = [tick for tick in self._ticks if left <= tick.x <= right]
        paint_strokes(painter, near, offset, strip.top(), ink, down=True)
        paint_strokes(painter, near, offset, strip.bottom(), ink, down=False)
        hidden = grip.adjusted(-5, 0, 5, 0) if self._stops.alive else None
        paint_labels(painter, near, offset, strip, ink, hidden=hidden)
        self._paint_stops(painter)
        if self._stops.alive:
            self._paint_grip(painter, grip)
        painter.end()

    def _paint_stops(self, painter: QPainter) -> None:
        """A small V at due and dots at look-from, so that the hand finds them without looking down at the chart."""
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        top, ink, stops = self._strip.top() + EDGE_LINE, Bench.INK.colour, self._stops
        if stops.due is not None:
            x = self._axis.x(stops.due) - self.x()
            v = QPolygonF([QPointF(x - 6, top), QPointF(x, top + 9), QPointF(x + 6, top)])
            for colour, width in ((Bench.RULE.colour, 5.0), (ink, 2.0)):
                painter.setPen(QPen(colour, width, Qt.PenStyle.SolidLine, Qt.PenCapStyle.FlatCap))
                painter.drawPolyline(v)
        if stops.look_from is not None:
            x = round(self._axis.x(stops.look_from) - self.x())
            for number in range(3):
                painter.fillRect(QRectF(x - 1, top + 1 + 3.5 * number, 2, 2), ink)

    def _paint_grip(self, painter: QPainter, grip: QRectF) -> None:
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(Bench.INK.colour)
        painter.drawRoundedRect(grip, 3, 3)
        painter.setPen(QPen(Bench.BENCH.colour, 1.0))
        for side in (grip.left() + _KNURL, grip.right() - _KNURL - 3.0 * (_KNURL_LINES - 1)):
            for number in range(_KNURL_LINES):
                x = round(side + 3.0 * number) + 0.5
                painter.drawLine(int(x), int(grip.top() + 11), int(x), int(grip.bottom() - 11))
        painter.setPen(Bench.RULE.colour.lighter(120))
        painter.setFont(font(BUTTONS, SEMIBOLD))
        painter.drawText(grip, Qt.AlignmentFlag.AlignCenter, spoken_hours(self._hours))

    def ask_x(self, x: float) -> None:
        """Ask for the hour at a place in the parent's coordinates, on five minutes."""
        self._ask(round(self._axis.hours(x) / _STEP) * _STEP)

    def _ask(self, hours: float) -> None:
        self.moved.emit(min(max(0.0, hours), self._axis.last_hours))

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() != Qt.MouseButton.LeftButton or not self._stops.alive:
            return
        x, grip = event.position().x(), self._grip()
        self._held = x - grip.center().x() if grip.left() <= x <= grip.right() else 0.0
        if self._held == 0.0:
            self.ask_x(x + self.x())

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if self._held is not None:
            self.ask_x(event.position().x() - self._held + self.x())

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        self._held = None
        super().mouseReleaseEvent(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        hours = self._asked_by(event) if self._stops.alive else None
        if hours is None:
            super().keyPressEvent(event)
        else:
            self._ask(hours)

    def _asked_by(self, event: QKeyEvent) -> float | None:
        step = _LONG_STEP if event.modifiers() & Qt.KeyboardModifier.ShiftModifier else _STEP
        key = Qt.Key(event.key())
        if key in (Qt.Key.Key_Left, Qt.Key.Key_Right):
            away = step if key == Qt.Key.Key_Right else -step
            return round((self._hours + away) / _STEP) * _STEP
        if key in (Qt.Key.Key_PageUp, Qt.Key.Key_PageDown):
            stop = next_stop(self._stops.samples, self._hours, forward=key == Qt.Key.Key_PageUp)
            return self._hours if stop is None else stop
        if key == Qt.Key.Key_Home:
            return self._hours if self._stops.look_from is None else self._stops.look_from
        if key == Qt.Key.Key_End:
            return self._hours if self._stops.due is None else self._stops.due
        return None

    def grip_centre(self) -> QPoint:
        """Middle of the grip in this widget's coordinates."""
        return self._grip().center().toPoint()
