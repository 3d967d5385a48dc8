"""The user's own shades, kept across jobs: read, put and taken off in the background, shown as chips of colour."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from pathlib import Path

from PySide6.QtCore import QObject, QRect, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QAccessible, QFontMetricsF, QKeyEvent, QMouseEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QWidget

from app.background import Answered, Failed, Outcome, Tasks
from app.models.hours_wood import screen_pixel
from app.models.target_numbers import lab_words
from app.views.painted import Painted, PaintedWidget
from app.views.parts import bench_palette
from app.views.preview import image_of, woven
from app.views.theme import BODY, SEMIBOLD, Bench, font
from app.wording import tr
from colourcore.job.shelf import Shade, open_shelf

__all__ = ["SHELF_FILE", "ShelfKeeper", "ShelfList"]

SHELF_FILE = "shelf.duskshelf"
"""The name of the file that the shelf lies in, in the user's data folder."""

_LANE = "target-shelf"
_ROW, _CHIP_WIDTH, _CHIP_HEIGHT = 38, 112, 29
_GROUND = (0xBD, 0xBD, 0xBD)


class ShelfKeeper(QObject):
    """Keeps the shelf's file. `changed` brings the shades, `told` a sentence about what went wrong."""

    changed = Signal(object)
    told = Signal(str)

    def __init__(self, tasks: Tasks, path: Path, clock: Callable[[], datetime], parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._tasks, self._path, self._clock = tasks, path, clock
        self._waiting: list[Callable[[Path], None]] = []

    def read(self) -> None:
        """Ask for the shades."""
        self._start(lambda _path: None)

    def put(self, shade: Shade) -> None:
        """Put a shade on the shelf; one of the same name gives way."""
        at = self._clock().isoformat(timespec="seconds")

        def work(path: Path) -> None:
            with open_shelf(path) as shelf:
                shelf.put(shade, at=at)

        self._start(work)

    def take_off(self, shade: Shade) -> None:
        """Take a shade off the shelf."""
        at = self._clock().isoformat(timespec="seconds")

        def work(path: Path) -> None:
            with open_shelf(path) as shelf:
                shelf.take_off(shade, at=at)

        self._start(work)

    def _start(self, work: Callable[[Path], None]) -> None:
        """Do it after what was asked before: nothing put on the shelf gives way, and the last reading is the newest."""
        self._waiting.append(work)
        if not self._tasks.busy(_LANE):
            self._go_on()

    def _go_on(self) -> None:
        path, works = self._path, tuple(self._waiting)
        self._waiting.clear()

        def whole(_ticket: object) -> tuple[tuple[Shade, ...], str]:
            for work in works:
                work(path)
            if not path.exists():
                return (), ""
            with open_shelf(path) as shelf:
                return shelf.things(Shade), shelf.notice

        self._tasks.start(_LANE, whole, self._done)

    def _done(self, outcome: Outcome) -> None:
        if isinstance(outcome, Answered):
            shades, notice = outcome.value
            self.changed.emit(shades)
            if notice:
                self.told.emit(f"**{tr('My shelf.')}** {notice}")
        elif isinstance(outcome, Failed):
            self.told.emit(f"**{tr('My shelf.')}** {outcome.problem}")
        if self._waiting:
            self._go_on()


class ShelfList(PaintedWidget):
    """The shades as chips with their names. `picked` brings the one that is chosen to aim for."""

    picked = Signal(object)
    focus_moved = Signal()
    accessible_role = QAccessible.Role.List

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setPalette(bench_palette())
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName(tr("my shelf of shades"))
        self._shades: tuple[Shade, ...] = ()
        self._at = 0
        self._held = ""

    def show_shades(self, shades: tuple[Shade, ...], held: str) -> None:
        """Show these shades; `held` is the name of the one that the target came from."""
        self._shades, self._held = shades, held
        self._at = min(self._at, max(0, len(shades) - 1))
        self.setFixedHeight(_ROW * len(shades))
        self.setVisible(bool(shades))
        self.focus_moved.emit()
        self.update()

    def current(self) -> Shade | None:
        """The shade that the keys stand at."""
        return self._shades[self._at] if self._shades else None

    def sizeHint(self) -> QSize:
        return QSize(240, _ROW * len(self._shades))

    def focus_rect(self) -> QRect:
        """Where the ring goes."""
        return self._row(self._at).adjusted(7, 7, -7, -7) if self._shades else self.rect()

    def painted(self) -> tuple[Painted, ...]:
        role = QAccessible.Role.ListItem
        return tuple(
            Painted(name=shade.name, value=_value(shade), rect=self._row(number), role=role)
            for number, shade in enumerate(self._shades)
        )

    def _row(self, number: int) -> QRect:
        return QRect(0, number * _ROW, self.width(), _ROW)

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        ratio = self.devicePixelRatioF()
        chip_width = min(_CHIP_WIDTH, self.width() // 2)
        for number, shade in enumerate(self._shades):
            row = self._row(number)
            chip = QRect(row.left(), row.top() + (_ROW - _CHIP_HEIGHT) // 2, chip_width, _CHIP_HEIGHT)
            lightness, a, b = shade.lab
            colour = woven((lightness, a or 0.0, b or 0.0), chip.size() * ratio, _GROUND)
            painter.drawImage(chip, image_of(colour))
            held = shade.name == self._held
            painter.setFont(font(BODY, SEMIBOLD) if held else font(BODY))
            painter.setPen(Bench.INK.colour)
            words = QRectF(chip.right() + 12, row.top(), row.right() - chip.right() - 12, _ROW)
            metrics = QFontMetricsF(painter.font())
            text = metrics.elidedText(shade.name, Qt.TextElideMode.ElideRight, words.width())
            painter.drawText(words, Qt.AlignmentFlag.AlignVCenter, text)
        painter.end()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        number = int(event.position().y()) // _ROW
        if 0 <= number < len(self._shades):
            self._at = number
            self.focus_moved.emit()
            self.picked.emit(self._shades[number])

    def keyPressEvent(self, event: QKeyEvent) -> None:
        step = {Qt.Key.Key_Up: -1, Qt.Key.Key_Down: 1}.get(Qt.Key(event.key()))
        if step is not None and self._shades:
            self._at = min(max(self._at + step, 0), len(self._shades) - 1)
            self.tell_chosen(self._at)
            self.focus_moved.emit()
        elif event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Space) and self._shades:
            self.picked.emit(self._shades[self._at])
        else:
            super().keyPressEvent(event)


def _value(shade: Shade) -> str:
    lightness, a, b = shade.lab
    finish = tr("under {finish}", finish=shade.finish) if shade.finish else tr("bare")
    red, green, blue = screen_pixel((lightness, a or 0.0, b or 0.0))
    return f"{lab_words(shade.lab)}, {finish}, #{red:02x}{green:02x}{blue:02x}"
