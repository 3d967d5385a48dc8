"""The mouse on a photo: outlines drawn, chosen, moved, resized and turned; the photo moved and brought nearer."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping

from PySide6.QtCore import QEvent, QPointF, Qt, QTimer, Signal
from PySide6.QtGui import (
    QMouseEvent,
    QNativeGestureEvent,
    QWheelEvent,
)
from PySide6.QtWidgets import QWidget

from app.models.outlines import (
    SMALLEST_SIDE,
    Corners,
    Grasp,
    Hold,
    clamped,
    dragged,
    holds,
    moved,
    outline_of,
    rectangle,
)
from app.views.photo_canvas import Outlined, PhotoCanvas
from app.views.photo_painting import foot_point, grip_point
from app.views.theme import HIT

__all__ = ["MouseCanvas"]

_FOOT_MIDDLE, _TURN_FROM = 8.0, 38.0
_DRAG_FROM = 4.0  # pixels that the hand may tremble
_NUDGES_END_MS = 350  # arrows pressed sooner one after the other are one act


class MouseCanvas(PhotoCanvas):
    """A photo whose outlines the user draws, chooses, moves, resizes and turns.

    `drawn_new` carries an `Outline`; `moved_to` a mapping of identities to their new `Outline`; `choose_asked` a
    tuple of identities; `hours_asked` and `remove_asked` nothing.
    """

    drawn_new = Signal(object)
    moved_to = Signal(object)
    choose_asked = Signal(object)
    hours_asked = Signal()
    remove_asked = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setMouseTracking(True)
        self._hold: Hold | None = None
        self._held: tuple[int, ...] = ()
        self._start: QPointF | None = None
        self._ground = False
        self._pan: QPointF | None = None
        self._last_size: tuple[float, float] | None = None
        self._nudged = QTimer(self)
        self._nudged.setSingleShot(True)
        self._nudged.setInterval(_NUDGES_END_MS)
        self._nudged.timeout.connect(self._end_nudges)

    # what lies under the hand

    def _outlined(self, identity: int) -> Outlined | None:
        return next((outlined for outlined in self.outlines if outlined.identity == identity), None)

    def _grasp_at(self, at: QPointF) -> tuple[Grasp, int] | None:
        if len(self.chosen) != 1 or (chosen := self._outlined(self.chosen[0])) is None:
            return None
        points = self.points(self.corners(chosen))
        for number in range(4):
            if _near(foot_point(points, number, _FOOT_MIDDLE), at, HIT / 2):
                return Grasp.CORNER, number
        for number in range(4):
            if _near(grip_point(points, number), at, 17):
                return Grasp.EDGE, number
        for number in range(4):
            if _near(foot_point(points, number, _TURN_FROM), at, 18):
                return Grasp.TURN, number
        return None

    def _outline_at(self, at: QPointF) -> Outlined | None:
        point = self.view.to_photo(at.x(), at.y())
        under = [outlined for outlined in self.outlines if holds(self.corners(outlined), point)]
        under.sort(key=lambda outlined: (outlined.identity not in self.chosen, _area(self.corners(outlined))))
        return under[0] if under else None

    def _show_cursor(self, at: QPointF) -> None:
        grasp = self._grasp_at(at) if self.has_photo else None
        if grasp is not None:
            shape = {
                Grasp.TURN: Qt.CursorShape.PointingHandCursor,
                Grasp.CORNER: Qt.CursorShape.CrossCursor,
            }.get(grasp[0], Qt.CursorShape.SizeAllCursor)
        elif self.has_photo and self._outline_at(at) is not None:
            shape = Qt.CursorShape.SizeAllCursor
        else:
            shape = Qt.CursorShape.CrossCursor if self.has_photo else Qt.CursorShape.ArrowCursor
        self.setCursor(shape)

    # the mouse

    def mousePressEvent(self, event: QMouseEvent) -> None:
        self._end_nudges()
        self.setFocus(Qt.FocusReason.MouseFocusReason)
        at = event.position()
        if not self.has_photo:
            return
        if event.button() in (Qt.MouseButton.MiddleButton, Qt.MouseButton.RightButton):
            self._pan = at
        elif event.button() == Qt.MouseButton.LeftButton:
            self._start = at
            self._take_hold(at, add=bool(event.modifiers() & Qt.KeyboardModifier.ControlModifier))

    def _take_hold(self, at: QPointF, *, add: bool) -> None:
        point = self.view.to_photo(at.x(), at.y())
        grasp = self._grasp_at(at)
        if grasp is not None and (chosen := self._outlined(self.chosen[0])) is not None:
            self._hold = Hold(grasp=grasp[0], number=grasp[1], corners=chosen.corners, at=point)
            self._held = (chosen.identity,)
            return
        under = self._outline_at(at)
        if under is None:
            self._ground = True
            return
        if add:
            others = tuple(identity for identity in self.chosen if identity != under.identity)
            self.choose_asked.emit(others if under.identity in self.chosen else (*others, under.identity))
            return
        if under.identity not in self.chosen:
            self.choose_asked.emit((under.identity,))
        self._hold = Hold(grasp=Grasp.INSIDE, number=0, corners=under.corners, at=point)
        self._held = self.chosen if under.identity in self.chosen else (under.identity,)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        at = event.position()
        if self._pan is not None:
            self.set_view(self.view.moved(at.x() - self._pan.x(), at.y() - self._pan.y()))
            self._pan = at
        elif self._start is None:
            self._show_cursor(at)
        elif self._drags(self._start, at):
            self._follow(at)

    def _drags(self, start: QPointF, at: QPointF) -> bool:
        held = self._hold is not None or self._ground
        return held and (bool(self.in_hand) or self.being_drawn is not None or not _near(start, at, _DRAG_FROM))

    def _follow(self, at: QPointF) -> None:
        point = self.view.to_photo(at.x(), at.y())
        size = self.view.photo
        if self._hold is None:
            assert self._start is not None
            start = self.view.to_photo(self._start.x(), self._start.y())
            self.being_drawn = rectangle(clamped(start, size), clamped(point, size))
        elif len(self._held) == 1:
            self.in_hand = {self._held[0]: dragged(self._hold, point, size)}
        else:
            dx, dy = point[0] - self._hold.at[0], point[1] - self._hold.at[1]
            self.in_hand = self._all_moved(dx, dy)
        self.update()

    def _all_moved(self, dx: float, dy: float) -> dict[int, Corners]:
        found = {identity: self._outlined(identity) for identity in self._held}
        return {i: moved(outlined.corners, dx, dy, self.view.photo) for i, outlined in found.items() if outlined}

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        if event.button() in (Qt.MouseButton.MiddleButton, Qt.MouseButton.RightButton):
            self._pan = None
        elif event.button() == Qt.MouseButton.LeftButton and self._start is not None:
            self._let_go()

    def _let_go(self) -> None:
        drawn, in_hand, ground = self.being_drawn, dict(self.in_hand), self._ground
        self._forget_hold()
        if in_hand:
            self._say_moved(in_hand)
        elif drawn is not None:
            self._say_new(drawn)
        elif ground:
            self.choose_asked.emit(())
        self.update()

    def _forget_hold(self) -> None:
        self._hold, self._held, self._start, self._ground = None, (), None, False
        self.being_drawn = None
        self.in_hand = {}

    def _say_new(self, corners: Corners) -> None:
        width, height = corners[2][0] - corners[0][0], corners[2][1] - corners[0][1]
        if min(width, height) < SMALLEST_SIDE:
            return
        self._last_size = (width, height)
        self.drawn_new.emit(outline_of(corners))

    def _say_moved(self, corners: Mapping[int, Corners]) -> None:
        changed = {}
        for identity, made in corners.items():
            outlined = self._outlined(identity)
            if outlined is not None and made != outlined.corners:
                changed[identity] = outline_of(made)
        if changed:
            self.moved_to.emit(changed)

    def _at_point(self, point: tuple[float, float], extent: tuple[float, float]) -> Corners:
        size = self.view.photo
        width, height = min(extent[0], size[0]), min(extent[1], size[1])
        left = min(max(point[0] - width / 2, 0.0), size[0] - width)
        top = min(max(point[1] - height / 2, 0.0), size[1] - height)
        return rectangle((left, top), (left + width, top + height))

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        if not self.has_photo or event.button() != Qt.MouseButton.LeftButton:
            return
        if self._outline_at(event.position()) is not None:
            self.hours_asked.emit()
        elif self._last_size is not None:
            at = event.position()
            self._say_new(self._at_point(self.view.to_photo(at.x(), at.y()), self._last_size))

    def wheelEvent(self, event: QWheelEvent) -> None:
        if not self.has_photo:
            event.ignore()
            return
        pixels, control = event.pixelDelta(), event.modifiers() & Qt.KeyboardModifier.ControlModifier
        if not pixels.isNull() and not control and event.source() != Qt.MouseEventSource.MouseEventNotSynthesized:
            self.set_view(self.view.moved(pixels.x(), pixels.y()))
            return
        at = event.position()
        self.set_view(self.view.nearer(event.angleDelta().y() / 120, (at.x(), at.y())))

    def event(self, event: QEvent) -> bool:
        pinch = Qt.NativeGestureType.ZoomNativeGesture
        if isinstance(event, QNativeGestureEvent) and event.gestureType() == pinch and self.has_photo:
            at = event.position()
            self.set_view(self.view.nearer(math.log(max(1 + event.value(), 0.1)) / math.log(1.25), (at.x(), at.y())))
            return True
        return super().event(event)

    def _nudge(self, change: Callable[[Corners], Corners]) -> None:
        """Change the chosen outlines here; the job learns of it, as one act, once the keys rest."""
        for identity in self.chosen:
            outlined = self._outlined(identity)
            if outlined is not None:
                self.in_hand[identity] = change(self.corners(outlined))
        self._nudged.start()
        self.update()

    def _end_nudges(self) -> None:
        if self._hold is None and self.in_hand:
            self._nudged.stop()
            in_hand, self.in_hand = self.in_hand, {}
            self._say_moved(in_hand)


def _near(one: QPointF, two: QPointF, within: float) -> bool:
    return math.hypot(one.x() - two.x(), one.y() - two.y()) <= within


def _area(corners: Corners) -> float:
    sides = zip(corners, corners[1:] + corners[:1], strict=True)
    return abs(sum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in sides)) / 2
