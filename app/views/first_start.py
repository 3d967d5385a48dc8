"""The first start: an invented job lies open, its grip alive; beneath, what to beware of and how one's own begins."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QBoxLayout, QVBoxLayout, QWidget

from app.background import Tasks
from app.models.hours_axis import rounded_down
from app.models.hours_scene import Choice, HoursScene, axis_end, hours_scene
from app.views.controls import Button
from app.views.hours_bench import HoursBench
from app.views.parts import Notice, Stroke, Words
from app.views.place import Place, WindowState
from app.views.scrolling import ScrolledBody, scrolled
from app.views.theme import LEDGER_HEAD, SMALL_TEXT
from app.wording import tr
from colourcore.report.phrases import unbroken
from colourcore.run.cautions import CAUTIONS

__all__ = ["FirstStart"]

_CAUTIONS = ("first", "ignition", "protection")
_MOST_UNDER = 0.45  # of the place's height; the rest is reached by scrolling
_FIRST_HOURS = 4.5  # where the grip lies: early enough that the seam is seen


class FirstStart(Place):
    """Stands where *Hours* will be, until the user begins a job of their own."""

    key = "start"
    stands_for = "hours"

    def __init__(self, tasks: Tasks, parent: QWidget | None = None) -> None:
        super().__init__(tasks, parent)
        self._scene = HoursScene()
        self._hours: float | None = None
        self._shown: tuple[object, ...] = ()
        self.bench = HoursBench(with_chart=False)
        self.bench.moved.connect(self._move)
        self.begin = Button(tr("Begin my own job"), filled=True)
        self.ladder = Button(tr("See the ladder"))
        self.begin.clicked.connect(lambda: self.act_asked.emit("begin_job"))
        self.ladder.clicked.connect(lambda: self.go_asked.emit("samples"))
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(0)
        self._column.addWidget(self.bench, 1)
        self._under = ScrolledBody()
        self._row = QBoxLayout(QBoxLayout.Direction.LeftToRight, self._under)
        self._row.addLayout(self._words(), 1)
        self._row.addLayout(self._buttons())
        self._scroll = scrolled(self._under)
        self._column.addWidget(self._scroll)

    def _words(self) -> QVBoxLayout:
        words = QVBoxLayout()
        words.setSpacing(10)
        self.cautions = Notice(_cautions(), Stroke.CARE)
        ladder = tr("Hang five offcuts of each board, put in hours apart, and draw them all together. Keep one raw.")
        photos = tr("Photograph one at once and all when settled, a grey card beside them.")
        kept = tr("Nothing leaves this machine. Every change is kept as you make it. {invented}")
        invented = tr("The wood is drawn, the readings are invented.")
        words.addWidget(self.cautions)
        words.addWidget(Words(ladder, LEDGER_HEAD))
        words.addWidget(Words(photos, second=True))
        words.addStretch(1)
        words.addWidget(Words(kept.format(invented=invented), SMALL_TEXT, second=True))
        return words

    def _buttons(self) -> QVBoxLayout:
        buttons = QVBoxLayout()
        buttons.setSpacing(10)
        drop = Words(tr("or drop photos anywhere"), SMALL_TEXT, second=True, wrap=False)
        drop.setAlignment(Qt.AlignmentFlag.AlignHCenter)
        buttons.addWidget(self.begin)
        buttons.addWidget(drop)
        buttons.addWidget(self.ladder)
        buttons.addStretch(1)
        return buttons

    def title(self) -> str:
        return tr("Hours")

    def set_state(self, state: WindowState) -> None:
        super().set_state(state)
        margin = state.measure.margin
        folded = state.measure.folded
        self._row.setContentsMargins(margin, 10 if folded else 18, margin, 10 if folded else 18)
        self._row.setSpacing(margin * 2)
        self.begin.setMinimumWidth(180 if folded else state.measure.ledger)
        shown = (state.results, state.theme, state.measure, *state.cutouts.values())
        if len(shown) == len(self._shown) and all(a is b for a, b in zip(shown, self._shown, strict=True)):
            return
        self._shown = shown
        self._fit()
        self._scene = hours_scene(state.results, Choice())
        if self._hours is None and self._scene.lead is not None:
            self._hours = rounded_down(min(_FIRST_HOURS, axis_end(self._scene)))
        self.bench.set_hours(self._hours or 0.0)
        self.bench.set_scene(state, self._scene)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit()

    def _fit(self) -> None:
        wanted = self._row.totalHeightForWidth(max(self.width(), 400))
        self._scroll.setFixedHeight(min(wanted, round(self.height() * _MOST_UNDER)))

    def _move(self, hours: float) -> None:
        self._hours = hours
        self.bench.set_hours(hours)

    def sentence(self) -> str:
        return tr("An invented job lies on the bench. **Yours begins with five offcuts.**")

    def second_line(self) -> str:
        slides = tr("Move the hour along the rule: the board slides along the target and darkens.")
        return f"{slides} {tr('Where the seam vanishes, they match.')}"

    def stops(self) -> tuple[QWidget, ...]:
        return (self.bench.rule, self.begin)


def _cautions() -> str:
    told = {caution.key: caution for caution in CAUTIONS}
    return unbroken(" ".join(f"**{told[key].lead}** {told[key].pinned}" for key in _CAUTIONS))
