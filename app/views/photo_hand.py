"""The keys on a photo, beside the mouse: everything that the mouse does, and the buttons of the ledger."""

from __future__ import annotations

import math

from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import (
    QFocusEvent,
    QKeyEvent,
)

from app.models.outlines import (
    SMALLEST_SIDE,
    Corners,
    Grasp,
    Hold,
    clamped,
    dragged,
    middle_of,
    moved,
    turned_by,
)
from app.views.photo_mouse import MouseCanvas

__all__ = ["HandledCanvas"]

_FIRST_SHARE = 6  # a new outline made by a key is a sixth of the photo's shorter side
_TURN_STEP = math.radians(1.0)
_ARROWS = {Qt.Key.Key_Left: (-1, 0), Qt.Key.Key_Right: (1, 0), Qt.Key.Key_Up: (0, -1), Qt.Key.Key_Down: (0, 1)}


class HandledCanvas(MouseCanvas):
    """A photo whose outlines the user draws, chooses, moves, resizes and turns, by mouse or keys alone."""

    def event(self, event: QEvent) -> bool:
        if event.type() == QEvent.Type.ShortcutOverride and isinstance(event, QKeyEvent):
            self._before_key(Qt.Key(event.key()))
        return super().event(event)

    def _before_key(self, key: Qt.Key) -> None:
        """Whatever another key does, what the arrows did comes before it."""
        modifiers = (Qt.Key.Key_Shift, Qt.Key.Key_Control, Qt.Key.Key_Alt, Qt.Key.Key_Meta)
        if key not in (*_ARROWS, Qt.Key.Key_R, *modifiers):
            self._end_nudges()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        self._before_key(Qt.Key(event.key()))
        if not self.has_photo or not self._take_key(event):
            super().keyPressEvent(event)

    def _take_key(self, event: QKeyEvent) -> bool:
        key, modifiers = Qt.Key(event.key()), event.modifiers()
        shift = bool(modifiers & Qt.KeyboardModifier.ShiftModifier)
        control = bool(modifiers & Qt.KeyboardModifier.ControlModifier)
        if key in _ARROWS:
            self._arrow(*_ARROWS[key], step=10 if shift else 1, resize=control)
        elif key == Qt.Key.Key_Space:
            if not event.isAutoRepeat():
                self.set_as_it_came(True)
        elif key == Qt.Key.Key_Escape:
            return self._escape()
        elif control:
            return False
        elif key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.hours_asked.emit()
        elif key in (Qt.Key.Key_Delete, Qt.Key.Key_Backspace):
            self.remove_asked.emit()
        elif key == Qt.Key.Key_O:
            self.new_outline()
        elif key in (Qt.Key.Key_Plus, Qt.Key.Key_Equal):
            self.nearer(1)
        elif key == Qt.Key.Key_Minus:
            self.nearer(-1)
        elif key == Qt.Key.Key_R:
            self.turn(-1 if shift else 1)
        elif key == Qt.Key.Key_0:
            self.set_view(self.view.as_whole())
        else:
            return False
        return True

    def _escape(self) -> bool:
        if self._start is not None:
            self._forget_hold()
            self.update()
            return True
        if self.chosen:
            self.choose_asked.emit(())
            return True
        return False

    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Space and not event.isAutoRepeat():
            self.set_as_it_came(False)
        else:
            super().keyReleaseEvent(event)

    def focusOutEvent(self, event: QFocusEvent) -> None:
        self._end_nudges()
        self.set_as_it_came(False)
        super().focusOutEvent(event)

    def focusNextPrevChild(self, forward: bool) -> bool:
        order = [outlined.identity for outlined in self.outlines]
        if not order:
            return super().focusNextPrevChild(forward)
        if not self.chosen or self.chosen[0] not in order:
            number = 0 if forward else -1
        else:
            number = order.index(self.chosen[0]) + (1 if forward else -1)
        if (self.chosen and number < 0) or number >= len(order):
            return super().focusNextPrevChild(forward)
        self.choose_asked.emit((order[number],))
        self.tell_chosen(number % len(order))
        return True

    # what keys and buttons do alike

    def new_outline(self) -> None:
        """Put a new outline in the middle of what is seen."""
        if not self.has_photo:
            return
        side = max(SMALLEST_SIDE, min(self.view.photo) / _FIRST_SHARE)
        self._say_new(self._at_point(self._middle_seen(), self._last_size or (side, side)))

    def _middle_seen(self) -> tuple[float, float]:
        """The middle of that part of the photo which is in sight; the photo may leave much of the view bare."""
        left, top = clamped(self.view.to_photo(0, 0), self.view.photo)
        right, bottom = clamped(self.view.to_photo(*self.view.size), self.view.photo)
        return (left + right) / 2, (top + bottom) / 2

    def nearer(self, steps: float) -> None:
        """Come nearer, around the chosen outline or the middle; farther where negative."""
        at = (self.view.size[0] / 2, self.view.size[1] / 2)
        chosen = self._outlined(self.chosen[0]) if self.chosen else None
        if chosen is not None:
            at = self.view.to_view(*middle_of(chosen.corners))
        self.set_view(self.view.nearer(steps, at))

    def turn(self, steps: int) -> None:
        """Turn the chosen outlines by a degree a step, clockwise."""
        self._nudge(lambda corners: turned_by(corners, _TURN_STEP * steps, self.view.photo))

    def _arrow(self, dx: int, dy: int, *, step: int, resize: bool) -> None:
        if not self.chosen:
            self.set_view(self.view.moved(-dx * step * 8, -dy * step * 8))
        elif resize:
            self._nudge(lambda corners: self._grown(corners, dx * step, dy * step))
        else:
            self._nudge(lambda corners: moved(corners, dx * step, dy * step, self.view.photo))

    def _grown(self, corners: Corners, dx: float, dy: float) -> Corners:
        hold = Hold(grasp=Grasp.CORNER, number=2, corners=corners, at=corners[2])
        return dragged(hold, (corners[2][0] + dx, corners[2][1] + dy), self.view.photo)
