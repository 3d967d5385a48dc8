"""Scrolling, drawn as the page is: a plain band with a plain handle, only where there is more than is seen."""

from __future__ import annotations

from PySide6.QtCore import QRect, QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent, QPalette
from PySide6.QtWidgets import QFrame, QScrollArea, QScrollBar, QStyle, QStyleOptionSlider, QWidget

__all__ = ["BAR_WIDTH", "ScrolledBody", "SlimBar", "scrolled"]

BAR_WIDTH = 10


class SlimBar(QScrollBar):
    """An upright scroll bar without arrows."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(Qt.Orientation.Vertical, parent)
        self.setFixedWidth(BAR_WIDTH)

    def sizeHint(self) -> QSize:
        return QSize(BAR_WIDTH, 60)

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        palette = self.palette()
        painter.fillRect(self.rect(), palette.color(QPalette.ColorRole.Light))
        option = QStyleOptionSlider()
        self.initStyleOption(option)
        part = QStyle.SubControl.SC_ScrollBarSlider
        handle: QRect = self.style().subControlRect(QStyle.ComplexControl.CC_ScrollBar, option, part, self)
        painter.fillRect(handle, palette.color(QPalette.ColorRole.Mid))
        painter.end()


class ScrolledBody(QWidget):
    """What lies in a scrolled area and wraps its words: as high as its width makes it, and no higher."""

    def minimumSizeHint(self) -> QSize:
        least, layout = super().minimumSizeHint(), self.layout()
        wraps = layout is not None and layout.hasHeightForWidth()
        return QSize(least.width(), 0) if wraps else least


def scrolled(inside: QWidget) -> QScrollArea:
    """Return a widget in a frameless area that scrolls up and down and takes no focus of its own."""
    area = QScrollArea()
    area.setFrameShape(QFrame.Shape.NoFrame)
    area.setWidgetResizable(True)
    area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
    area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
    area.setVerticalScrollBar(SlimBar())
    area.setWidget(inside)
    return area
