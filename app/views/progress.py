"""Reading under way: a rule that fills up, how long it will take, and a way to stop. Nothing waits for it."""

from __future__ import annotations

from PySide6.QtCore import QElapsedTimer, QTimer, Signal
from PySide6.QtGui import QPainter, QPaintEvent, QPalette, QPen
from PySide6.QtWidgets import QHBoxLayout, QWidget

from app.background import Progress
from app.views.controls import TextButton
from app.views.parts import Words
from app.views.theme import HIT, SMALL_TEXT, Bench
from app.wording import count, tr

__all__ = ["ReadingProgress"]

_SHOWN_AFTER_MS = 1000


class _Rule(QWidget):
    def __init__(self) -> None:
        super().__init__()
        self.share, self.steps = 0.0, 1
        self.setFixedHeight(18)
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
    """Stands in the place of the second line while a reading takes longer than a second: nothing beneath it moves.

    `sentence` is what the sentence says meanwhile. `late` tells that it is to be seen, or no more; `stop_asked` that
    reading is to stop.
    """

    stop_asked = Signal()
    late = Signal(bool)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.sentence = ""
        self.left = Words(size=SMALL_TEXT, second=True, wrap=False)
        self.rule = _Rule()
        self.stop = TextButton(tr("Stop reading"))
        self.stop.setToolTip(tr("What is read so far is kept"))
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(14)
        row.addWidget(self.rule, 1)
        row.addWidget(self.left)
        row.addWidget(self.stop)
        self.setFixedHeight(HIT)
        self.hide()
        self.stop.clicked.connect(self.stop_asked)
        self._since = QElapsedTimer()
        self._late = QTimer(self)
        self._late.setSingleShot(True)
        self._late.setInterval(_SHOWN_AFTER_MS)
        self._late.timeout.connect(lambda: self.late.emit(True))

    def show_progress(self, progress: Progress | None) -> None:
        """Show how far the reading is, or go away where nothing is being read."""
        if progress is None:
            self._late.stop()
            if self._since.isValid():
                self._since.invalidate()
                self.late.emit(False)
            return
        if not self._since.isValid():
            self._since.start()
            self._late.start()
        self.rule.share, self.rule.steps = progress.done / max(progress.total, 1), progress.total
        self.rule.setAccessibleName(tr("{done} of {total} photos read", done=progress.done, total=progress.total))
        reading = tr("Reading {photos}.", photos=count(progress.total, "photo", "photos").lower())
        done = tr("**{photos} done.**", photos=count(progress.done, "is", "are"))
        self.sentence = f"{reading} {done}"
        self.left.say(self._time_left(progress))
        self.rule.update()

    def _time_left(self, progress: Progress) -> str:
        if not progress.done:
            return tr("Go on working; nothing waits for this.")
        seconds = self._since.elapsed() / 1000 / progress.done * (progress.total - progress.done)
        return tr("about {n} s left", n=max(1, round(seconds)))
