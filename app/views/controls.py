"""What can be pressed, typed into or chosen: buttons, fields, ticks, and the ring that shows where the keys go."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QEvent, QObject, QPointF, QRect, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QFont, QFontMetrics, QKeyEvent, QKeySequence, QPainter, QPaintEvent, QPalette, QPen, QPolygonF
from PySide6.QtWidgets import QAbstractButton, QApplication, QGridLayout, QLineEdit, QSizePolicy, QWidget

from app.views.theme import (
    BODY,
    BUTTONS,
    EDGE_LINE,
    FOCUS_CLEAR,
    FOCUS_LINE,
    HIT,
    RADIUS,
    REGULAR,
    SEMIBOLD,
    SMALL_TEXT,
    font,
)

__all__ = ["Button", "Field", "FocusRing", "Mark", "Tabs", "TextButton"]

_ROLE = QPalette.ColorRole


class _Pressable(QAbstractButton):
    """A painted button that Enter presses as Space does."""

    def __init__(self, text: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setText(text)
        self.setAccessibleName(text)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)

    def rename(self, text: str) -> None:
        """Give the button another word."""
        if text != self.text():
            self.setText(text)
            self.setAccessibleName(text)
            self.updateGeometry()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.click()
        else:
            super().keyPressEvent(event)


class Button(_Pressable):
    """A button; filled with ink where it is the next step. `key` is the key that does the same, shown at its right."""

    def __init__(
        self, text: str, *, filled: bool = False, key: str = "", small: bool = False, parent: QWidget | None = None
    ) -> None:
        super().__init__(text, parent)
        self._filled, self._key, self._small = filled, key, small
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)
        self.setFont(font(BODY if small or key else BUTTONS, SEMIBOLD))

    def sizeHint(self) -> QSize:
        width = QFontMetrics(self.font()).horizontalAdvance(self.text()) + (28 if self._small else 44)
        if self._key:
            width += QFontMetrics(font(SMALL_TEXT)).horizontalAdvance(self._key) + 12
        return QSize(width, 32 if self._key else 36 if self._small else (44 if self._filled else 40))

    def minimumSizeHint(self) -> QSize:
        if not self._key:
            return self.sizeHint()
        return QSize(QFontMetrics(self.font()).horizontalAdvance(self.text()) + 20, self.sizeHint().height())

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        palette = self.palette()
        ink, page, quiet = (palette.color(role) for role in (_ROLE.WindowText, _ROLE.Window, _ROLE.PlaceholderText))
        if not self.isEnabled():
            ink = quiet
        box = QRectF(self.rect()).adjusted(0.75, 0.75, -0.75, -0.75)
        filled = self._filled and self.isEnabled()
        pressed = self.isDown() or self.isChecked()
        painter.setPen(QPen(ink, EDGE_LINE, Qt.PenStyle.SolidLine if self.isEnabled() else Qt.PenStyle.DashLine))
        painter.setBrush(ink if filled != pressed else (page if pressed and filled else Qt.BrushStyle.NoBrush))
        painter.drawRoundedRect(box, RADIUS, RADIUS)
        inverted = filled != pressed
        painter.setPen(page if inverted else ink)
        painter.setFont(self.font())
        margin = 12 if self.width() >= self.sizeHint().width() - 16 else 9
        inner = self.rect().adjusted(margin, 0, -margin, 0)
        align = Qt.AlignmentFlag.AlignVCenter
        painter.drawText(
            inner, align | (Qt.AlignmentFlag.AlignLeft if self._key else Qt.AlignmentFlag.AlignHCenter), self.text()
        )
        if self._key and self.width() >= self.sizeHint().width() - 16:
            painter.setFont(font(SMALL_TEXT))
            painter.setPen(page if inverted else quiet)
            painter.drawText(inner, align | Qt.AlignmentFlag.AlignRight, self._key)
        painter.end()


class TextButton(_Pressable):
    """A word with a line under it: a choice among words, thick under the chosen one."""

    def __init__(self, text: str, *, parent: QWidget | None = None) -> None:
        super().__init__(text, parent)
        self.setSizePolicy(QSizePolicy.Policy.Maximum, QSizePolicy.Policy.Fixed)

    def _font(self) -> QFont:
        return font(BODY, SEMIBOLD if self.isChecked() else REGULAR)

    def sizeHint(self) -> QSize:
        return QSize(QFontMetrics(font(BODY, SEMIBOLD)).horizontalAdvance(self.text()) + 2, HIT)

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        role = _ROLE.WindowText if self.isChecked() else _ROLE.PlaceholderText
        painter.setPen(self.palette().color(role))
        painter.setFont(self._font())
        painter.drawText(self.rect().adjusted(0, 0, 0, -4), Qt.AlignmentFlag.AlignVCenter, self.text())
        height = 3 if self.isChecked() else 1
        line = QRect(0, self.height() - height, self.width(), height)
        painter.fillRect(line, self.palette().color(_ROLE.WindowText if self.isChecked() else _ROLE.Mid))
        painter.end()


class Tabs(QWidget):
    """Words in a row, one of them chosen; arrows move between them."""

    chosen = Signal(int)

    def __init__(self, words: Sequence[str] = (), *, columns: int = 99, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._columns = columns
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setHorizontalSpacing(20)
        self._grid.setVerticalSpacing(4)
        self._buttons: list[TextButton] = []
        self.set_words(words)

    def set_words(self, words: Sequence[str], chosen: int = 0) -> None:
        """Show these words, the one of number `chosen` being the chosen one."""
        if [button.text() for button in self._buttons] != list(words):
            for button in self._buttons:
                button.hide()
                button.deleteLater()
            self._buttons = [TextButton(word, parent=self) for word in words]
            for number, button in enumerate(self._buttons):
                button.setCheckable(True)
                button.setAutoExclusive(True)
                button.clicked.connect(lambda _checked=False, number=number: self.chosen.emit(number))
                left = Qt.AlignmentFlag.AlignLeft
                self._grid.addWidget(button, number // self._columns, number % self._columns, left)
        for number, button in enumerate(self._buttons):
            button.setChecked(number == chosen)


class Mark(_Pressable):
    """A tick box, or a round mark of which one is chosen, with its word and a quieter line beneath."""

    def __init__(self, text: str, *, round_mark: bool = False, under: str = "", parent: QWidget | None = None) -> None:
        super().__init__(text, parent)
        self._round, self._under = round_mark, under
        self.setCheckable(True)
        self.setAutoExclusive(round_mark)
        self.setFont(font(BODY))
        self.setAccessibleDescription(under)

    def sizeHint(self) -> QSize:
        width = QFontMetrics(font(BODY, SEMIBOLD)).horizontalAdvance(self.text())
        if self._under:
            width = max(width, QFontMetrics(font(SMALL_TEXT)).horizontalAdvance(self._under))
        return QSize(width + 30, HIT + (18 if self._under else 0))

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        palette = self.palette()
        ink, well = palette.color(_ROLE.WindowText), palette.color(_ROLE.Base)
        box = QRectF(1, HIT / 2 - 8, 16, 16)
        painter.setPen(QPen(ink, EDGE_LINE))
        painter.setBrush(well)
        if self._round:
            painter.drawEllipse(box)
        else:
            painter.drawRect(box)
        if self.isChecked() and self._round:
            painter.setBrush(ink)
            painter.drawEllipse(box.adjusted(4, 4, -4, -4))
        elif self.isChecked():
            painter.setPen(QPen(ink, 2.4))
            painter.drawPolyline(QPolygonF([QPointF(4.5, HIT / 2), QPointF(8, HIT / 2 + 4), QPointF(14, HIT / 2 - 5)]))
        painter.setPen(ink)
        painter.setFont(font(BODY, SEMIBOLD if self._round and self.isChecked() else REGULAR))
        painter.drawText(QRect(28, 0, self.width() - 28, HIT), Qt.AlignmentFlag.AlignVCenter, self.text())
        if self._under:
            painter.setFont(font(SMALL_TEXT))
            painter.setPen(palette.color(_ROLE.PlaceholderText))
            painter.drawText(QRect(28, HIT - 4, self.width() - 28, 20), Qt.AlignmentFlag.AlignVCenter, self._under)
        painter.end()


class Field(QLineEdit):
    """A field to type into, its unit inside at the right. `entered` brings the text when the user is done with it.

    Escape brings the last text back. While something is being typed, undo and redo are the field's own; once it is
    entered they are the job's.
    """

    entered = Signal(str)

    def __init__(self, name: str, *, unit: str = "", parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.unit, self._kept = unit, ""
        self.setAccessibleName(f"{name}, {unit}" if unit else name)
        self.setFont(font(BODY))
        self.setFrame(False)
        self.setFixedHeight(36)
        room = QFontMetrics(font(BODY)).horizontalAdvance(unit) + 14 if unit else 8
        self.setTextMargins(8, 0, room, 0)
        self.editingFinished.connect(self._finish)

    def show_text(self, text: str) -> None:
        """Show a text that came from the job; what is being typed stays."""
        changed = text != self._kept
        self._kept = text
        if changed or not self.hasFocus():
            self.setText(text)

    def _finish(self) -> None:
        if self.text() != self._kept:
            self._kept = self.text()
            self.entered.emit(self.text())

    def event(self, event: QEvent) -> bool:
        if isinstance(event, QKeyEvent) and event.type() == QEvent.Type.ShortcutOverride and self._leaves(event):
            event.ignore()
            return False
        return super().event(event)

    def _leaves(self, event: QKeyEvent) -> bool:
        """Whether a key is for the window, though a field would take it."""
        keys = (QKeySequence.StandardKey.Undo, QKeySequence.StandardKey.Redo)
        return self.text() == self._kept and any(event.matches(key) for key in keys)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape and self.text() != self._kept:
            self.setText(self._kept)
            return
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self._finish()  # what was typed counts before Enter goes on to something else
        super().keyPressEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        super().paintEvent(event)
        painter = QPainter(self)
        palette = self.palette()
        painter.setPen(QPen(palette.color(_ROLE.Mid), 1))
        painter.drawRect(self.rect().adjusted(0, 0, -1, -1))
        painter.fillRect(0, self.height() - 2, self.width(), 2, palette.color(_ROLE.WindowText))
        if self.unit:
            painter.setPen(palette.color(_ROLE.PlaceholderText))
            painter.setFont(self.font())
            painter.drawText(
                self.rect().adjusted(0, 0, -8, 0),
                Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignRight,
                self.unit,
            )
        painter.end()


class FocusRing(QWidget):
    """The ring around the widget that the keys go to: 3 px of ink, 4 px clear of it, always drawn.

    A widget that paints several things to focus has a method `focus_rect()` that says which part of it the ring goes
    around, and a signal `focus_moved` that it emits when that part moves.
    """

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self._over = parent
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self._around: QWidget | None = None
        self.hide()
        application = QApplication.instance()
        assert isinstance(application, QApplication)
        application.focusChanged.connect(self._follow)

    def _follow(self, _old: QWidget | None, new: QWidget | None) -> None:
        if self._around is not None:
            self._around.removeEventFilter(self)
            if hasattr(self._around, "focus_moved"):
                self._around.focus_moved.disconnect(self.place)
        inside = new is not None and self._over.isAncestorOf(new) and not getattr(new, "own_focus", False)
        self._around = new if inside else None
        if self._around is not None:
            self._around.installEventFilter(self)
            if hasattr(self._around, "focus_moved"):
                self._around.focus_moved.connect(self.place)
        self.place()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        moved = (QEvent.Type.Move, QEvent.Type.Resize, QEvent.Type.Show, QEvent.Type.Hide)
        if watched is self._around and event.type() in moved:
            self.place()
        return False

    def place(self) -> None:
        """Stand around the widget that has the focus, wherever it is now."""
        around = self._around
        if around is None or not around.isVisible():
            self.hide()
            return
        asked = getattr(around, "focus_rect", None)
        inner: QRect = asked() if callable(asked) else around.rect()
        grown = int(FOCUS_LINE + FOCUS_CLEAR)
        seen = around.visibleRegion().boundingRect()
        inner = inner.intersected(seen) if not seen.isEmpty() else inner
        area = QRect(around.mapTo(self._over, inner.topLeft()), inner.size())
        self.setPalette(around.palette())
        self.setGeometry(area.adjusted(-grown, -grown, grown, grown).intersected(self._over.rect()))
        self.show()
        self.raise_()
        self.update()

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(self.palette().color(_ROLE.WindowText), FOCUS_LINE))
        inset = FOCUS_LINE / 2
        painter.drawRoundedRect(QRectF(self.rect()).adjusted(inset, inset, -inset, -inset), 3, 3)
        painter.end()
