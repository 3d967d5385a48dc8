"""Reading under way: a thin rule that fills up, which photo it is at, and a way to stop. Nothing waits for it."""

from __future__ import annotations

from PySide6.QtCore import QElapsedTimer, QTimer, Signal
from PySide6.QtGui import QPainter, QPaintEvent, QPalette, QPen
from PySide6.QtWidgets import QHBoxLayout, QWidget

from app.background import Progress
from app.views.controls import Button
from app.views.parts import Words
from app.views.theme import SMALL_TEXT, Bench, Measure
from app.wording import count, tr

__all__ = ["ReadingProgress"]

_SHOWN_AFTER_MS = 1000


class _Rule(QWidget):
    def __init__(self) -> None:
        super().__init__()
        self.share, self.steps = 0.0, 1
        self.setFixedHeight(22)
        self.setMinimumWidth(60)

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        ink = self.palette().color(QPalette.ColorRole.WindowText)
        painter.fillRect(self.rect(), Bench.RULE.colour)
        done = round(self.width() * self.share)
        painter.fillRect(0, 0, done, self.height(), ink)
        for number in range(1, self.steps):
            x = round(self.width() * number / self.steps)
            painter.setPen(QPen(Bench.RULE.colour if x < done else Bench.INK.colour, 1.5))
            painter.drawLine(x, 0, x, 7)
        painter.end()


class ReadingProgress(QWidget):
    """Comes into sight when a reading takes longer than a second; `stop_asked` stops it."""

    stop_asked = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.rule, self.words = _Rule(), Words(size=SMALL_TEXT, wrap=False)
        self.stop = Button(tr("Stop reading"), small=True)
        self._row = QHBoxLayout(self)
        self._row.setSpacing(14)
        self._row.addWidget(self.words)
        self._row.addWidget(self.rule, 1)
        self._row.addWidget(self.stop)
        self.stop.clicked.connect(self.stop_asked)
        self._since = QElapsedTimer()
        self._late = QTimer(self)
        self._late.setSingleShot(True)
        self._late.setInterval(_SHOWN_AFTER_MS)
        self._late.timeout.connect(lambda: self.setVisible(True))
        self.hide()

    def show_progress(self, progress: Progress | None, measure: Measure) -> None:
        """Show how far the reading is, or go away where nothing is being read."""
        if progress is None:
            self._late.stop()
            self._since.invalidate()
            self.hide()
            return
        if not self._since.isValid():
            self._since.start()
            self._late.start()
        self._row.setContentsMargins(measure.margin, 0, measure.margin, 10)
        self.rule.share, self.rule.steps = progress.done / max(progress.total, 1), progress.total
        self.rule.setAccessibleName(tr("{done} of {total} photos read", done=progress.done, total=progress.total))
        left = ""
        if progress.done:
            seconds = self._since.elapsed() / 1000 / progress.done * (progress.total - progress.done)
            left = ", " + tr("about {n} s left", n=max(1, round(seconds)))
        reading = tr("Reading {photos}", photos=count(progress.total, "photo", "photos").lower())
        self.words.say(tr("**{reading}**, at photo {n}{left}", reading=reading, n=progress.done + 1, left=left))
        self.rule.update()
