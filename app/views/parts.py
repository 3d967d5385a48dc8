"""The words of the page: sentences with heavier words, ledger lines, notices. All take their greys from the palette.

A widget knows by its palette whether it lies on the page or on the bench, in light or dark: the window sets the
page's palette, `BenchArea` the bench's, and children inherit.
"""

from __future__ import annotations

import html
import re
from enum import Enum

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFont, QFontMetrics, QPainter, QPaintEvent, QPalette, QPen
from PySide6.QtWidgets import QHBoxLayout, QLabel, QSizePolicy, QVBoxLayout, QWidget

from app.views.theme import BODY, EDGE_LINE, LEDGER_HEAD, REGULAR, SEMIBOLD, SMALL_TEXT, Bench, font

__all__ = [
    "BenchArea",
    "LedgerHead",
    "Notice",
    "Separator",
    "Stroke",
    "Words",
    "bench_palette",
    "hatch",
    "plain",
    "rich",
]

_BOLD = re.compile(r"\*\*(.+?)\*\*")


def plain(text: str) -> str:
    """Return a text without the marks of its heavier words.

    >>> plain("Due at **9 h**.")
    'Due at 9 h.'
    """
    return _BOLD.sub(r"\1", text)


def rich(text: str, weight: int = 600, leading: int = 132) -> str:
    """Return a text as Qt's rich text, `**so**` set heavier, lines `leading` percent apart.

    >>> rich("a < **b**")
    '<div style="line-height:132%;white-space:pre-wrap">a &lt; <span style="font-weight:600">b</span></div>'
    """
    body = _BOLD.sub(rf'<span style="font-weight:{weight}">\1</span>', html.escape(text, quote=False))
    return f'<div style="line-height:{leading}%;white-space:pre-wrap">{body}</div>'


def bench_palette() -> QPalette:
    """Return the palette of everything that lies on the bench: the same in both themes."""
    role = QPalette.ColorRole
    made = QPalette()
    for which, colour in (
        (role.Window, Bench.BENCH.colour),
        (role.WindowText, Bench.INK.colour),
        (role.Text, Bench.INK.colour),
        (role.ButtonText, Bench.INK.colour),
        (role.Button, Bench.BENCH.colour),
        (role.Base, QColor("#f8f8f8")),
        (role.PlaceholderText, Bench.SECOND_INK.colour),
        (role.Mid, Bench.SECOND_INK.colour),
        (role.Light, QColor("#9c9c9c")),
        (role.Highlight, Bench.INK.colour),
        (role.HighlightedText, QColor("#f8f8f8")),
    ):
        made.setColor(which, colour)
    return made


class BenchArea(QWidget):
    """The grey that wood lies on; what is put into it takes the bench's inks."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setPalette(bench_palette())
        self.setAutoFillBackground(True)


class Words(QLabel):
    """A text with `**heavier**` words that wraps, in ink, or in the second ink."""

    def __init__(
        self,
        text: str = "",
        size: int = BODY,
        *,
        second: bool = False,
        weight: QFont.Weight = REGULAR,
        wrap: bool = True,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._leading, self._text = (118 if size >= 22 else 132), ""
        self.setFont(font(size, weight))
        self.setTextFormat(Qt.TextFormat.RichText)
        self.setWordWrap(wrap)
        self.setForegroundRole(QPalette.ColorRole.PlaceholderText if second else QPalette.ColorRole.WindowText)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Minimum)
        self.say(text)

    def say(self, text: str) -> None:
        """Show another text."""
        if text != self._text:
            self._text = text
            self.setText(rich(text, leading=self._leading) if text else "")
            self.setAccessibleName(plain(text))

    def said(self) -> str:
        """The text shown, without marks."""
        return plain(self._text)

    def set_size(self, size: int) -> None:
        """Set the text in another size."""
        self.setFont(font(size, self.font().weight()))


class Separator(QWidget):
    """A thin line across the ledger."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setFixedHeight(1)

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.fillRect(self.rect(), self.palette().color(QPalette.ColorRole.Mid))
        painter.end()


class LedgerHead(QWidget):
    """A head of the ledger: what follows, and a quiet word at its right."""

    def __init__(self, title: str = "", aside: str = "", parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.title = Words(title, LEDGER_HEAD, weight=SEMIBOLD, wrap=False)
        self.aside = Words(aside, SMALL_TEXT, second=True, wrap=False)
        self.aside.setMinimumWidth(0)
        self.aside.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Minimum)
        self.aside.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignBottom)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.addWidget(self.title)
        row.addWidget(self.aside, 1)

    def say(self, title: str, aside: str = "") -> None:
        """Show another head."""
        self.title.say(title)
        self.aside.say(aside)


class Stroke(Enum):
    """How much a notice matters, told by its edge: a thin line, hatching, or solid."""

    NOTE = "note"
    CARE = "care"
    REFUSED = "refused"


def hatch(painter: QPainter, area: QRectF, ink: QColor, ground: QColor, step: float = 6.0) -> None:
    """Paint slanting lines into an area, with an edge around it."""
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.fillRect(area, ground)
    painter.setClipRect(area)
    painter.setPen(QPen(ink, step * 0.4))
    x = area.left() - area.height()
    while x < area.right() + step:
        painter.drawLine(int(x), int(area.bottom()) + 1, int(x + area.height()), int(area.top()) - 1)
        x += step
    painter.setClipping(False)
    painter.setPen(QPen(ink, EDGE_LINE))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawRect(area.adjusted(0.75, 0.75, -0.75, -0.75))
    painter.restore()


class Notice(QWidget):
    """A sentence that stands where it arose: an edge for how much it matters, a heavier word first, and its cures.

    `cures` are buttons put beneath the words; a notice without words is hidden.
    """

    EDGE = 12

    def __init__(self, text: str = "", stroke: Stroke = Stroke.NOTE, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.stroke = stroke
        self.words = Words(text)
        self.words.setAlignment(Qt.AlignmentFlag.AlignTop)
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(self.EDGE + 14, 0, 0, 0)
        self._column.setSpacing(8)
        self._column.addWidget(self.words)
        self._cures = QHBoxLayout()
        self._cures.setSpacing(12)
        self._cures.addStretch(1)
        self._column.addLayout(self._cures)
        if not text:
            self.hide()

    def say(self, text: str, stroke: Stroke | None = None) -> None:
        """Show another sentence, or hide where there is none."""
        self.words.say(text)
        if stroke is not None:
            self.stroke = stroke
        self.setVisible(bool(text))
        self.update()

    def add_cure(self, button: QWidget) -> None:
        """Put a button beneath the words."""
        self._cures.insertWidget(self._cures.count() - 1, button)

    def minimumSizeHint(self) -> QSize:
        return QSize(120, QFontMetrics(font(BODY)).height())

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        ink, page = (self.palette().color(role) for role in (QPalette.ColorRole.WindowText, QPalette.ColorRole.Window))
        height = self.words.height() if self._cures.count() > 1 else self.height()
        edge = QRectF(0, 0, self.EDGE, height)
        if self.stroke is Stroke.CARE:
            hatch(painter, edge, ink, page)
        elif self.stroke is Stroke.REFUSED:
            painter.fillRect(edge, ink)
        else:
            painter.fillRect(QRectF(self.EDGE / 2 - 1, 0, 2, height), ink)
        painter.end()
