"""The few words that choose in *Hours*: how hours are spread, which row is in sight, how boards come out."""

from __future__ import annotations

from PySide6.QtCore import QPoint, Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.models.hours_axis import Spread
from app.models.hours_layout import HoursLayout
from app.models.hours_scene import HoursScene
from app.models.hours_words import strand_title
from app.views.controls import Mark, Tabs, TextButton
from app.views.parts import Separator, Words, bench_palette
from app.views.theme import HIT, SEMIBOLD, Measure
from app.wording import tr

__all__ = ["BenchChoices", "ComeOut"]

_SPREADS = (Spread.EARLY_WIDE, Spread.EVEN)
_SPREAD_GAP = 10


class BenchChoices(QWidget):
    """Words that lie on the bench's left: how hours are spread, and folded which row is in sight.

    The widget itself is never seen; its words are children of the bench.
    """

    spread_chosen = Signal(object)
    row_chosen = Signal(int)

    def __init__(self, bench: QWidget) -> None:
        super().__init__(bench)
        self.hide()
        self._spreads = Tabs(parent=bench)
        self._spreads.chosen.connect(lambda number: self.spread_chosen.emit(_SPREADS[number]))
        layout = self._spreads.layout()
        assert layout is not None
        layout.setSpacing(_SPREAD_GAP)
        self._other_spread = TextButton("", parent=bench)
        self._other_spread.clicked.connect(self._swap)
        self._rows = _Rows(bench)
        self._rows.chosen.connect(self.row_chosen)
        self._spread = Spread.EARLY_WIDE

    def _swap(self) -> None:
        self.spread_chosen.emit(Spread.EVEN if self._spread is Spread.EARLY_WIDE else Spread.EARLY_WIDE)

    def show_choice(self, scene: HoursScene, measure: Measure, layout: HoursLayout) -> None:
        """Show what is chosen, where the layout has room for it."""
        there = scene.lead is not None
        self._spread = scene.choice.spread
        self._spreads.set_words([tr(str(spread)) for spread in _SPREADS], _SPREADS.index(scene.choice.spread))
        hints = [word.sizeHint() for word in self._spreads.findChildren(TextButton)]
        width = sum(hint.width() for hint in hints) + _SPREAD_GAP * (len(hints) - 1)
        self._spreads.resize(width, HIT)
        narrow = measure.folded or width > layout.left - layout.words_x
        self._spreads.setVisible(there and not narrow)
        at = QPoint(int(layout.words_x), int(layout.scale.top()) + 6)
        self._spreads.move(at)
        self._other_spread.rename(tr(str(Spread.EVEN if self._spread is Spread.EARLY_WIDE else Spread.EARLY_WIDE)))
        self._other_spread.setToolTip(tr("Spread the hours otherwise along the axis"))
        self._other_spread.setVisible(there and narrow)
        self._other_spread.adjustSize()
        self._other_spread.move(at if not measure.folded else QPoint(at.x(), int(layout.scale.bottom()) - HIT - 1))
        self._rows.show_rows(scene)
        self._rows.setVisible(there and measure.folded and len(scene.rows) > 1)
        self._rows.move(QPoint(int(layout.words_x), int(layout.rows[0].photographs.top()) - 2))


class _Rows(QWidget):
    """The names of the rows, one under the other, the one in sight being the chosen one."""

    chosen = Signal(int)

    def __init__(self, bench: QWidget) -> None:
        super().__init__(bench)
        self.setPalette(bench_palette())
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(2)
        self._words = [TextButton("", parent=self) for _ in range(2)]
        for number, word in enumerate(self._words):
            word.setCheckable(True)
            word.setAutoExclusive(True)
            word.clicked.connect(lambda _checked=False, number=number: self.chosen.emit(number))
            self._column.addWidget(word)

    def show_rows(self, scene: HoursScene) -> None:
        """Name the rows."""
        for number, word in enumerate(self._words):
            if number < len(scene.rows):
                word.rename(strand_title(scene, scene.rows[number]))
                word.setChecked(number == scene.choice.row)
        self.adjustSize()


class ComeOut(QWidget):
    """How two boards come out: together at one hour, or apart, a run each. `chosen` brings True for together."""

    chosen = Signal(bool)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._together = Mark(tr("together"), round_mark=True, under=tr("fewest hours off, too dark double"))
        self._apart = Mark(tr("apart"), round_mark=True, under=tr("a run each, at its own hours"))
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        column.addWidget(Separator())
        column.addWidget(Words(tr("How they come out"), weight=SEMIBOLD))
        column.addWidget(self._together)
        column.addWidget(self._apart)
        self._together.clicked.connect(lambda: self.chosen.emit(True))
        self._apart.clicked.connect(lambda: self.chosen.emit(False))

    def show_choice(self, scene: HoursScene) -> None:
        """Show what is chosen; hidden where one board is shown."""
        self._together.setChecked(scene.choice.together)
        self._apart.setChecked(not scene.choice.together)
        self.setVisible(scene.choice.both)
