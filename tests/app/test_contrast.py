"""Every text stands out from what lies behind it, by the painted picture: in each place, light and dark.

The measure is the contrast ratio of WCAG 2.1 (https://www.w3.org/TR/WCAG21/#dfn-contrast-ratio), at least 4.5.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from PySide6.QtCore import QRect
from PySide6.QtGui import QColor, QPainter, QPaintEvent
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from app.views.window import Window
from tests.app.hand import NO_SIZE_HINTS
from tests.app.longest import longest_window
from tests.app.painted_texts import Text, ground_of, labels_of, painted_texts, picture_of
from tests.app.screenshots import rest

pytestmark = pytest.mark.qt_log_ignore(NO_SIZE_HINTS)

LEAST = 4.5
CROSSED = 0.10
"""The share of a text's ground that lines of a chart or an edge may cross."""

Pixels = NDArray[np.uint8]


def luminance(codes: NDArray[np.number]) -> NDArray[np.float64]:
    """Relative luminance of sRGB codes (WCAG 2.1), over the last axis."""
    parts = np.asarray(codes, dtype=float) / 255
    linear = np.where(parts <= 0.03928, parts / 12.92, ((parts + 0.055) / 1.055) ** 2.4)
    return np.asarray(linear @ np.array([0.2126, 0.7152, 0.0722]))


def contrast(one: NDArray[np.float64], two: NDArray[np.float64]) -> NDArray[np.float64]:
    """Contrast ratio of two luminances."""
    light, dark = np.maximum(one, two), np.minimum(one, two)
    return (light + 0.05) / (dark + 0.05)


def part_of(picture: Pixels, text: Text) -> Pixels:
    box = text.box.toAlignedRect().intersected(QRect(0, 0, picture.shape[1], picture.shape[0]))
    return picture[box.top() : box.bottom() + 1, box.left() : box.right() + 1].reshape(-1, 3)


def painted_contrast(text: Text, ground: Pixels) -> float:
    """Contrast of a painted text's ink with what lies behind it, save where a line crosses."""
    ink = luminance(np.array([text.ink.red(), text.ink.green(), text.ink.blue()]))
    behind = luminance(part_of(ground, text))
    return float(np.quantile(contrast(behind, np.full_like(behind, ink)), CROSSED)) if behind.size else np.inf


def label_contrast(text: Text, picture: Pixels) -> float:
    """Contrast of a label's inkiest letter with its commonest grey."""
    pixels = part_of(picture, text)
    if not pixels.size:
        return np.inf
    colours, counts = np.unique(pixels, axis=0, return_counts=True)
    ground = luminance(colours[np.argmax(counts)])
    return float(contrast(luminance(colours), np.full(len(colours), ground)).max())


def faint(window: QWidget) -> list[str]:
    """Return the texts of a window that do not stand out, each with its contrast."""
    ground, picture = ground_of(window), picture_of(window)
    found = [(text, painted_contrast(text, ground)) for text in painted_texts(window)]
    found += [(text, label_contrast(text, picture)) for text in labels_of(window)]
    assert len(found) > 15
    return [f"{type(t.widget).__name__} {t.words!r}: {ratio:.2f}" for t, ratio in found if ratio < LEAST]


@pytest.fixture
def window(qtbot: QtBot, tmp_path: Path) -> Window:
    window = longest_window(tmp_path, (1440, 900))
    qtbot.addWidget(window)
    return window


def test_every_text_stands_out_from_what_lies_behind_it_in_light_and_dark(window: Window) -> None:
    found = []
    for theme in ("light", "dark"):
        window.job_panel.theme_asked.emit(theme)
        for key in window.frame.line.places:
            window.frame.go(key)
            rest(window)
            found += [f"{theme}, {key}: {line}" for line in faint(window)]
    assert found == []


class _Faint(QWidget):
    """A text on a grey that it hardly differs from, and one that stands out."""

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.fillRect(self.rect(), QColor("#bdbdbd"))
        painter.setPen(QColor("#828282"))
        painter.drawText(10, 30, "hardly to be read")
        painter.setPen(QColor("#141414"))
        painter.drawText(10, 60, "plain to be read")
        painter.end()


def test_a_text_that_hardly_differs_from_its_ground_is_found(qtbot: QtBot) -> None:
    widget = _Faint()
    qtbot.addWidget(widget)
    widget.resize(200, 100)
    widget.show()
    ground = ground_of(widget)
    ratios = {text.words: painted_contrast(text, ground) for text in painted_texts(widget)}
    assert ratios["hardly to be read"] < 2.2
    assert ratios["plain to be read"] > 9
