"""The frame: the line of places, the sentence, and the place that is shown. It knows no place by name."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtGui import QMouseEvent, QResizeEvent
from PySide6.QtWidgets import QApplication, QHBoxLayout, QStackedWidget, QVBoxLayout, QWidget

from app.views.controls import Button, FocusRing
from app.views.panels import Panel
from app.views.parts import Words
from app.views.place import Place, WindowState
from app.views.places_line import PlacesLine
from app.views.progress import ReadingProgress
from app.views.theme import BODY, FULL, HIT, SENTENCE
from app.wording import tr

__all__ = ["Frame"]


class Frame(QWidget):
    """Shows one of its places. `went` carries the key of the place that is shown now; `stop_asked` stops reading."""

    went = Signal(str)
    stop_asked = Signal()

    def __init__(self, places: Sequence[Place], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._places = {place.key: place for place in places}
        self._current = places[0].key
        self._state = WindowState()
        self._late = False
        self._panels: list[Panel] = []
        self.line = PlacesLine([(place.key, place.title()) for place in places if not place.stands_for])
        self.sentence = Words("", SENTENCE)
        self.second = Words("", BODY, second=True)
        self.reading = ReadingProgress()
        self._headers = QStackedWidget()
        self._stack = QStackedWidget()
        for place in places:
            self._stack.addWidget(place)
            self._headers.addWidget(_holding(place.header()))
            place.words_changed.connect(self._say)
            place.go_asked.connect(self.go)
        self._lay_out()
        self.line.go_asked.connect(self.go)
        self.reading.stop_asked.connect(self.stop_asked)
        self.reading.late.connect(self._reading_late)
        self.ring = FocusRing(self)

    def _lay_out(self) -> None:
        words = QVBoxLayout()
        words.setSpacing(2)
        self.second.setMinimumHeight(HIT)
        for widget in (self.sentence, self.second, self.reading):
            words.addWidget(widget)
        self._head = QHBoxLayout()
        self._head.addLayout(words, 1)
        self._head.addWidget(self._headers, 0, Qt.AlignmentFlag.AlignTop)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self.line)
        column.addLayout(self._head)
        column.addWidget(self._stack, 1)

    @property
    def current(self) -> Place:
        """The place that is shown."""
        return self._places[self._current]

    def place(self, key: str) -> Place | None:
        """Return the place of that key, None where there is none."""
        return self._places.get(key)

    def set_state(self, state: WindowState) -> None:
        """Tell every place, and say what they answer."""
        self._state = state
        self.line.set_measure(state.measure)
        margin = state.measure.margin
        tight = state.measure.folded
        self._head.setContentsMargins(margin, 2 if tight else 8, margin, 8 if tight else 14)
        self.sentence.set_size(state.measure.sentence)
        self.reading.show_progress(state.reading)
        self._show_second()
        for place in self._places.values():
            place.set_state(state)
        self._say()

    def _reading_late(self, late: bool) -> None:
        self._late = late
        self._show_second()
        self._say()

    def _show_second(self) -> None:
        lines = self._state.measure.second_line
        self.second.setVisible(lines and not self._late)
        self.reading.setVisible(lines and self._late)

    def _say(self) -> None:
        state = self._state
        small = state.measure is not FULL
        self.line.job.say(state.job.name or tr("A new job"), state.kept, current=False, measure=state.measure)
        current = self.current.stands_for or self._current
        for key, button in self.line.places.items():
            place = self._places[key]
            answer = place.short_answer() if small else place.answer()
            button.say(place.title(), answer, current=key == current, measure=state.measure)
        self.sentence.say(self.reading.sentence if self._late else self.current.sentence())
        self.second.say(self.current.second_line())
        self.line.update()

    def go(self, key: str) -> None:
        """Show another place."""
        place = self._places.get(key)
        if place is None or key == self._current:
            return
        self._current = key
        self._stack.setCurrentWidget(place)
        self._headers.setCurrentIndex(self._stack.currentIndex())
        self._say()
        self.went.emit(key)

    def next_area(self, *, back: bool = False) -> None:
        """Take the keys round: line, bench, ledger."""
        areas: list[QWidget] = [self.line.places[self.current.stands_for or self._current]]
        areas += [stop for stop in self.current.stops() if stop.isVisible() and stop.isEnabled()]
        focus = QApplication.focusWidget()
        inside = [
            i for i, area in enumerate(areas) if focus is not None and (area is focus or area.isAncestorOf(focus))
        ]
        number = inside[-1] if inside else (0 if back else -1)
        areas[(number + (-1 if back else 1)) % len(areas)].setFocus(Qt.FocusReason.ShortcutFocusReason)

    # panels

    def add_panel(self, panel: Panel) -> None:
        """Let a panel drop from the line; one at a time."""
        self._panels.append(panel)
        panel.closed.connect(self._panel_closed)

    def open_panel(self, panel: Panel, opener: Button | QWidget, *, right: bool) -> None:
        """Open a panel under the line, at its right or left; close it where it is open."""
        if panel.isVisible():
            panel.close_panel()
            return
        for other in self._panels:
            other.close_panel()
        self._opener = opener
        top = self.line.height() - 4
        width = min(560, self.width() - 2 * self._state.measure.margin)
        height = min(560, self.height() - top - 12)
        margin = self._state.measure.margin
        panel.setGeometry(self.width() - margin - width if right else margin, top, width, height)
        panel.open_panel()  # type: ignore[attr-defined]  # each panel opens with its own focus
        QApplication.instance().installEventFilter(self)  # type: ignore[union-attr]  # there is one while widgets live

    def _panel_closed(self) -> None:
        QApplication.instance().removeEventFilter(self)  # type: ignore[union-attr]  # there is one while widgets live
        self._opener.setFocus(Qt.FocusReason.PopupFocusReason)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if isinstance(event, QMouseEvent) and event.type() == QEvent.Type.MouseButtonPress:
            self._press_elsewhere(watched)
        return False

    def _press_elsewhere(self, watched: QObject) -> None:
        for panel in self._panels:
            if not panel.isVisible() or not isinstance(watched, QWidget):
                continue
            openers = (self.line.job, self.line.list, self.line.undo)
            if watched is not panel and not panel.isAncestorOf(watched) and watched not in openers:
                panel.close_panel()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        for panel in self._panels:
            panel.close_panel()
        self.ring.place()


def _holding(header: QWidget | None) -> QWidget:
    """Return a widget around a place's header: the place may show and hide its header, the frame shows the holder."""
    holder = QWidget()
    row = QHBoxLayout(holder)
    row.setContentsMargins(0, 0, 0, 0)
    if header is not None:
        row.addWidget(header, 0, Qt.AlignmentFlag.AlignTop)
    return holder
