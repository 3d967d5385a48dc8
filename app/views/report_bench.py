"""The pages of the report on the bench, one under the other, as they will lie on paper."""

from __future__ import annotations

from PySide6.QtCore import QRect, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QAccessible, QImage, QKeyEvent, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QScrollArea, QWidget

from app.views.painted import Painted, PaintedWidget
from app.views.parts import bench_palette
from app.views.report_pages import PageSize
from app.views.theme import BODY, SMALL_TEXT, Bench, font
from app.wording import tr

__all__ = ["ReportBench"]

_GAP, _FOOT = 28, 26
_MOST_WIDE = 1000  # a page larger than paper tells no more
_PAPER = 0xFFFFFF


class ReportBench(PaintedWidget):
    """Pages as they are. `width_changed` says that pages would be sharper at another width."""

    width_changed = Signal()
    focus_moved = Signal()
    accessible_role = QAccessible.Role.Document

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setPalette(bench_palette())
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName(tr("pages of the report"))
        self._sizes: tuple[PageSize, ...] = ()
        self._pages: tuple[QImage, ...] = ()
        self._waiting = ""
        self._margin = 28

    def show_pages(self, sizes: tuple[PageSize, ...], pages: tuple[QImage, ...]) -> None:
        """Show these pages; the images may still be of another width."""
        self._sizes, self._pages = sizes, pages
        self._waiting = ""
        self._grow()

    def say(self, text: str, margin: int) -> None:
        """Say something in place of pages."""
        self._waiting, self._margin = text, margin
        self.update()

    def page_width(self) -> int:
        """How wide a page lies, in logical pixels."""
        return max(200, min(self.width() - 2 * self._margin, _MOST_WIDE))

    def _place(self, number: int) -> QRect:
        width, y = self.page_width(), 18
        for size in self._sizes[:number]:
            y += round(width * size.height / size.width) + _GAP
        size = self._sizes[number]
        return QRect((self.width() - width) // 2, y, width, round(width * size.height / size.width))

    def _grow(self) -> None:
        bottom = self._place(len(self._sizes) - 1).bottom() + _FOOT if self._sizes else 0
        self.setMinimumHeight(bottom)
        self.update()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._grow()
        if event.oldSize().width() != event.size().width():
            self.width_changed.emit()

    def sizeHint(self) -> QSize:
        return QSize(600, 600)

    def focus_rect(self) -> QRect:
        """Where the ring goes: inside the part of the bench that is seen."""
        return self.visibleRegion().boundingRect().adjusted(9, 9, -9, -9)

    def painted(self) -> tuple[Painted, ...]:
        things = []
        for number in range(len(self._sizes)):
            name = tr("page {n} of {m}", n=number + 1, m=len(self._sizes))
            things.append(Painted(name=name, rect=self._place(number), role=QAccessible.Role.Graphic))
        if self._waiting:
            things.append(Painted(name=self._waiting, rect=self.rect(), role=QAccessible.Role.StaticText))
        return tuple(things)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.fillRect(event.rect(), Bench.BENCH.colour)
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        for number in range(len(self._sizes)):
            place = self._place(number)
            if not place.adjusted(0, 0, 0, _GAP).intersects(event.rect()):
                continue
            painter.fillRect(place, _PAPER)
            if number < len(self._pages):
                self._paint_page(painter, place, self._pages[number])
            painter.setPen(Bench.SECOND_INK.colour)
            painter.setFont(font(SMALL_TEXT))
            under = QRectF(place.left(), place.bottom() + 3, place.width(), 22)
            painter.drawText(under, Qt.AlignmentFlag.AlignRight, tr("{n} of {m}", n=number + 1, m=len(self._sizes)))
        if self._waiting:
            painter.setPen(Bench.INK.colour)
            painter.setFont(font(BODY))
            box = QRectF(self._margin, 28, self.width() - 2 * self._margin, 60)
            painter.drawText(box, Qt.TextFlag.TextWordWrap, self._waiting)
        painter.end()

    def _paint_page(self, painter: QPainter, place: QRect, page: QImage) -> None:
        """A page rasterised for this very width lies pixel on pixel; an older one is stretched until then."""
        ratio = self.devicePixelRatioF()
        if abs(page.width() - place.width() * ratio) <= 1:
            box = QRectF(place.left(), place.top(), page.width() / ratio, page.height() / ratio)
            painter.drawImage(box, page)
        else:
            painter.drawImage(place, page)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        view = self.parentWidget()
        area = view.parentWidget() if view else None
        if not isinstance(area, QScrollArea) or view is None:
            super().keyPressEvent(event)
            return
        bar, page = area.verticalScrollBar(), view.height() - 60
        steps = {
            Qt.Key.Key_Up: -60,
            Qt.Key.Key_Down: 60,
            Qt.Key.Key_PageUp: -page,
            Qt.Key.Key_PageDown: page,
            Qt.Key.Key_Space: page,
            Qt.Key.Key_Home: -bar.maximum(),
            Qt.Key.Key_End: bar.maximum(),
        }
        step = steps.get(Qt.Key(event.key()))
        if step is None:
            super().keyPressEvent(event)
        else:
            bar.setValue(bar.value() + step)
            self.focus_moved.emit()
