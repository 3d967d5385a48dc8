"""Bench, ledger and next step: beside each other, or folded with the ledger scrolling under the bench."""

from __future__ import annotations

from PySide6.QtWidgets import QGridLayout, QVBoxLayout, QWidget

from app.views.controls import Button
from app.views.scrolling import ScrolledBody, scrolled
from app.views.theme import Measure

__all__ = ["BenchAndLedger"]

_FOLDED_LEDGER = 104
_UNLIMITED = 16777215


class BenchAndLedger(QWidget):
    """Lays out a place's body.

    `bench` takes all the room there is. `column` is the ledger's layout, to be filled from above; the next step
    stands at its foot and stays in sight when the ledger scrolls. `set_measure` arranges them for the window's size.
    `wide_ledger` gives the width that *Photos* has.
    """

    def __init__(self, bench: QWidget, next_step: Button | None = None, *, wide_ledger: bool = False) -> None:
        super().__init__()
        self._bench, self._wide = bench, wide_ledger
        self._measure: Measure | None = None
        ledger = ScrolledBody()
        self.column = QVBoxLayout(ledger)
        self.column.setSpacing(10)
        self._scroll = scrolled(ledger)
        self._foot = QWidget()
        self._foot_column = QVBoxLayout(self._foot)
        if next_step:
            self._foot_column.addWidget(next_step)
        for part in (self._bench, self._scroll, self._foot):
            part.setParent(self)
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setSpacing(0)

    def set_measure(self, measure: Measure) -> None:
        """Arrange the parts for these measures."""
        if measure is self._measure:
            return
        self._measure = measure
        for widget in (self._bench, self._scroll, self._foot):
            self._grid.removeWidget(widget)
        if measure.folded:
            self._fold(measure)
        else:
            self._unfold(measure)

    def _unfold(self, measure: Measure) -> None:
        gap = 22 if measure.margin > 20 else 16
        width = (measure.photo_ledger if self._wide else measure.ledger) + (0 if self._wide else measure.margin + gap)
        self._scroll.setMaximumHeight(_UNLIMITED)
        self._scroll.setFixedWidth(width)
        self._grid.addWidget(self._bench, 0, 0, 2, 1)
        self._grid.addWidget(self._scroll, 0, 1)
        self._grid.addWidget(self._foot, 1, 1)
        self._foot.setFixedWidth(width)
        self.column.setContentsMargins(gap, 0, measure.margin, 8)
        self._foot_column.setContentsMargins(gap, 8, measure.margin, 18)
        self._stretch(bench_column=0)

    def _fold(self, measure: Measure) -> None:
        self._scroll.setMinimumWidth(0)
        self._scroll.setMaximumWidth(_UNLIMITED)
        self._scroll.setFixedHeight(_FOLDED_LEDGER)
        self._foot.setMinimumWidth(0)
        self._foot.setMaximumWidth(_UNLIMITED)
        self._grid.addWidget(self._bench, 0, 0, 1, 2)
        self._grid.addWidget(self._foot, 1, 0)
        self._grid.addWidget(self._scroll, 1, 1)
        self.column.setContentsMargins(18, 8, measure.margin, 8)
        self._foot_column.setContentsMargins(measure.margin, 8, 0, 8)
        self._stretch(bench_column=1)

    def _stretch(self, *, bench_column: int) -> None:
        for number in (0, 1):
            self._grid.setColumnStretch(number, 1 if number == bench_column else 0)
            self._grid.setRowStretch(number, 1 if number == 0 else 0)
