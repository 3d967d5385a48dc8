"""The four places that a shade can come from, as boxes on the bench of which one is chosen."""

from __future__ import annotations

from enum import Enum

from PySide6.QtCore import QRectF, QSize, Qt, Signal
from PySide6.QtGui import QFontMetricsF, QKeyEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QAbstractButton, QBoxLayout, QSizePolicy, QWidget

from app.views.parts import bench_palette
from app.views.theme import BODY, EDGE_LINE, RADIUS, REGULAR, SEMIBOLD, SMALL_TEXT, Bench, Measure, font, text_width
from app.wording import tr

__all__ = ["Source", "SourceBoxes"]


class Source(Enum):
    """Where a shade comes from."""

    PATCH = "patch"
    NUMBERS = "numbers"
    SHELF = "shelf"
    HOUR = "hour"


def source_words(source: Source) -> str:
    """Return a source's name."""
    return {
        Source.PATCH: tr("A patch of a photo"),
        Source.NUMBERS: tr("Numbers"),
        Source.SHELF: tr("My shelf"),
        Source.HOUR: tr("An hour of the curve"),
    }[source]


class _Box(QAbstractButton):
    """One source: a round mark, its name, and a quieter line beneath; folded the name alone."""

    def __init__(self, source: Source, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setPalette(bench_palette())
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)
        self.setCheckable(True)
        self.setAutoExclusive(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setText(source_words(source))
        self.setAccessibleName(source_words(source))
        self._under = ""
        self._low = False

    def say(self, under: str) -> None:
        """Say another quieter line."""
        self._under = under
        self.setAccessibleDescription(under)
        self.update()

    def set_low(self, low: bool) -> None:
        """Show the name alone, or with its line."""
        self._low = low
        self.setFixedHeight(34 if low else 62)
        self.updateGeometry()

    def sizeHint(self) -> QSize:
        return QSize(
            round(text_width(self.text(), BODY, SEMIBOLD)) + (44 if self._low else 56), 34 if self._low else 62
        )

    def minimumSizeHint(self) -> QSize:
        return QSize(self.sizeHint().width() if self._low else 120, self.sizeHint().height())

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.click()
        else:
            super().keyPressEvent(event)

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        ink = Bench.INK.colour
        width = 3.0 if self.isChecked() else EDGE_LINE
        box = QRectF(self.rect()).adjusted(width / 2, width / 2, -width / 2, -width / 2)
        painter.setPen(QPen(ink, width))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawRoundedRect(box, RADIUS, RADIUS)
        size = 12.0 if self._low else 15.0
        left = 9.0 if self._low else 14.0
        mark = QRectF(left, (self.height() - size) / 2, size, size)
        painter.setPen(QPen(ink, EDGE_LINE))
        painter.drawEllipse(mark)
        if self.isChecked():
            painter.setBrush(ink)
            painter.drawEllipse(mark.adjusted(size / 4, size / 4, -size / 4, -size / 4))
        words = left + size + (8 if self._low else 13)
        room = self.width() - words - 8
        top = 0 if self._low else 8
        name = QRectF(words, top, room, self.height() if self._low else 24)
        painter.setFont(font(BODY, SEMIBOLD if self.isChecked() else REGULAR))
        painter.setPen(ink)
        self._text(painter, name, self.text())
        if not self._low:
            painter.setFont(font(SMALL_TEXT))
            painter.setPen(Bench.SECOND_INK.colour)
            self._text(painter, QRectF(words, 32, room, 22), self._under)
        painter.end()

    @staticmethod
    def _text(painter: QPainter, box: QRectF, text: str) -> None:
        cut = QFontMetricsF(painter.font()).elidedText(text, Qt.TextElideMode.ElideRight, box.width())
        painter.drawText(box, Qt.AlignmentFlag.AlignVCenter, cut)


class SourceBoxes(QWidget):
    """The four sources. `chosen` brings the one that a hand chose."""

    chosen = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.boxes = {source: _Box(source) for source in Source}
        self._layout = QBoxLayout(QBoxLayout.Direction.TopToBottom, self)
        self._layout.setContentsMargins(0, 0, 0, 0)
        self._layout.setSpacing(12)
        for source, box in self.boxes.items():
            self._layout.addWidget(box)
            box.clicked.connect(lambda _checked=False, source=source: self.chosen.emit(source))

    def set_measure(self, measure: Measure) -> None:
        """Stand one under the other, or folded beside each other."""
        along = QBoxLayout.Direction.LeftToRight if measure.folded else QBoxLayout.Direction.TopToBottom
        self._layout.setDirection(along)
        self._layout.setSpacing(6 if measure.folded else 12 if measure.name == "full" else 8)
        for box in self.boxes.values():
            box.set_low(measure.folded)

    def show_source(self, source: Source, under: dict[Source, str]) -> None:
        """Show which source is chosen, and each one's quieter line."""
        for one, box in self.boxes.items():
            box.setChecked(one is source)
            box.say(under.get(one, ""))
