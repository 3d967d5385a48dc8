"""Every text that a window paints: where, in which ink, on what ground, and whether it is whole.

Texts are caught as they are painted, so none can be forgotten: what `QPainter.drawText` and `QTextLayout.draw` are
given, what is cut short before, and the words of labels. `python -m tests.app.painted_texts WIDTH HEIGHT [longer]`
opens a window of that size on a job with the longest values (with `longer`, in a language a third longer), walks
through its places and prints one line of JSON for each text that is not whole; the scale comes from the environment.
"""

from __future__ import annotations

import json
import os
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPoint, QPointF, QRect, QRectF, Qt, QTranslator
from PySide6.QtGui import QColor, QFontMetrics, QFontMetricsF, QImage, QPainter, QTextLayout
from PySide6.QtWidgets import QApplication, QLabel, QLineEdit, QWidget

__all__ = ["Longer", "Text", "cut_texts", "ground_of", "labels_of", "misfits", "painted_texts", "picture_of"]

TOLERANCE = 1.5  # pixels by which a letter may lean out of its box
_UNCLIPPED = Qt.TextFlag.TextDontClip


class Longer(QTranslator):
    """A language whose words are a third longer; it comes in through the one door that words go through."""

    def translate(self, _context: str, source: str, _about: str | None = None, _n: int = -1) -> str:
        return source + "n" * (1 + len(source) // 3)


@dataclass(frozen=True, slots=True, kw_only=True)
class Text:
    """A text that was painted: on which widget, where in the window, in which ink; whether all of it was seen."""

    words: str
    widget: QWidget
    box: QRectF
    ink: QColor
    whole: bool = True


@contextmanager
def _replaced(owner: Any, name: str, by: Callable[[Any], Any]) -> Iterator[None]:
    old = getattr(owner, name)
    setattr(owner, name, by(old))
    try:
        yield
    finally:
        setattr(owner, name, old)


def painted_texts(window: QWidget) -> list[Text]:
    """Return what `QPainter.drawText` was given while the window was painted."""
    found: list[Text] = []

    def catching(old: Callable[..., Any]) -> Callable[..., Any]:
        def draw(painter: QPainter, *given: Any) -> Any:
            text = _caught(painter, given, window)
            if text is not None:
                found.append(text)
            return old(painter, *given)

        return draw

    with _replaced(QPainter, "drawText", catching):
        window.grab()
    return found


def _caught(painter: QPainter, given: tuple[Any, ...], window: QWidget) -> Text | None:
    widget, words = painter.device(), next((each for each in given if isinstance(each, str)), "")
    if not isinstance(widget, QWidget) or not words.strip():
        return None
    first, metrics = given[0], QFontMetricsF(painter.font())
    if isinstance(first, QRect | QRectF):
        flags = int(given[1]) if len(given) == 3 else 0
        needed = metrics.boundingRect(QRectF(first), flags, words)
        room = QRectF(first).adjusted(-TOLERANCE, -TOLERANCE, TOLERANCE, TOLERANCE)
        if flags & int(_UNCLIPPED):
            room = room.united(QRectF(widget.rect()))
        whole = room.contains(needed)
    else:
        at = QPointF(first) if isinstance(first, QPoint | QPointF) else QPointF(float(given[0]), float(given[1]))
        needed, whole = metrics.tightBoundingRect(words).translated(at), True
    placed = painter.worldTransform().mapRect(needed)
    seen = QRectF(widget.rect()).adjusted(-TOLERANCE, -TOLERANCE, TOLERANCE, TOLERANCE)
    whole = whole and seen.left() <= placed.left() and placed.right() <= seen.right()
    if not widget.visibleRegion().boundingRect().intersects(placed.toAlignedRect()):
        return None  # scrolled out of sight
    box = placed.translated(QPointF(widget.mapTo(window, QPoint(0, 0))))
    return Text(words=words, widget=widget, box=box, ink=painter.pen().color(), whole=whole)


def cut_texts(window: QWidget) -> list[str]:
    """Return the texts that were cut short to fit while the window was painted."""
    found: list[str] = []

    def catching(old: Callable[..., Any]) -> Callable[..., Any]:
        def elide(metrics: Any, text: str, *given: Any) -> Any:
            cut = old(metrics, text, *given)
            if cut != text:
                found.append(text)
            return cut

        return elide

    with _replaced(QFontMetrics, "elidedText", catching), _replaced(QFontMetricsF, "elidedText", catching):
        window.grab()
    return found


def labels_of(window: QWidget) -> list[Text]:
    """Return the words of labels in sight, and of empty fields what they ask for."""
    found = []
    for label in window.findChildren(QLabel):
        if label.text() and _in_sight(label):
            room = label.contentsRect()
            high = label.heightForWidth(label.width()) if label.wordWrap() else label.sizeHint().height()
            wide = label.minimumSizeHint().width() if label.wordWrap() else label.sizeHint().width()
            whole = label.height() >= high - TOLERANCE and label.width() >= wide - TOLERANCE
            found.append(_said(label, label.accessibleName() or label.text(), room, whole, window))
    for field in window.findChildren(QLineEdit):
        words = field.placeholderText()
        if words and not field.text() and _in_sight(field):
            margins = field.textMargins()
            free = field.width() - margins.left() - margins.right()
            whole = QFontMetrics(field.font()).horizontalAdvance(words) <= free
            found.append(_said(field, words, field.rect(), whole, window))
    return found


def _in_sight(widget: QWidget) -> bool:
    return widget.isVisible() and not widget.visibleRegion().isEmpty()


def _said(widget: QWidget, words: str, room: QRect, whole: bool, window: QWidget) -> Text:
    box = QRectF(QRect(widget.mapTo(window, room.topLeft()), room.size()))
    ink = widget.palette().color(widget.foregroundRole())
    return Text(words=words, widget=widget, box=box, ink=ink, whole=whole)


def misfits(window: QWidget) -> list[str]:
    """Return, each with the widget that it stands in, the texts that are not whole."""
    texts = [*painted_texts(window), *labels_of(window)]
    return [f"{type(text.widget).__name__}: {text.words}" for text in texts if not text.whole]


def picture_of(window: QWidget) -> NDArray[np.uint8]:
    """Return the window as it is painted: RGB, one pixel to a logical one at 100 %."""
    image = window.grab().toImage().convertToFormat(QImage.Format.Format_RGB888)
    rows = np.frombuffer(image.constBits(), np.uint8).reshape(image.height(), image.bytesPerLine())
    return rows[:, : image.width() * 3].reshape(image.height(), image.width(), 3).copy()


def ground_of(window: QWidget) -> NDArray[np.uint8]:
    """Return the window as it is painted without its painted texts: what lies behind them."""
    nothing: Callable[[Any], Any] = lambda _old: lambda *_given: None  # noqa: E731 - it takes the place of a method
    with _replaced(QPainter, "drawText", nothing), _replaced(QTextLayout, "draw", nothing):
        return picture_of(window)


def main(width: int, height: int, *, longer: bool) -> None:
    """Walk through the places of a window of that size and print what does not fit."""

    from tests.app.longest import longest_window
    from tests.app.screenshots import rest

    application = QApplication([])
    translator = Longer()
    if longer:
        application.installTranslator(translator)
    with tempfile.TemporaryDirectory() as folder:
        window = longest_window(Path(folder), (width, height))
        for key in window.frame.line.places:
            window.frame.go(key)
            rest(window)
            for line in misfits(window):
                print(json.dumps([key, "does not fit", line]))
            for line in cut_texts(window):
                print(json.dumps([key, "is cut", line]))
        print(json.dumps(["", "texts", str(len(painted_texts(window)) + len(labels_of(window)))]))
        window.close()


if __name__ == "__main__":
    os.environ["QT_QPA_PLATFORM"] = "offscreen"
    main(int(sys.argv[1]), int(sys.argv[2]), longer=sys.argv[3:] == ["longer"])
