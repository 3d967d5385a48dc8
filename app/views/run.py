"""The place *Run*: what to beware of, all of it, each at the moment it belongs to."""

from __future__ import annotations

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QPainter, QPaintEvent, QPalette
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from app.background import Tasks
from app.views.controls import Button
from app.views.parts import Notice, Stroke, Words, hatch
from app.views.place import Place, WindowState
from app.views.scrolling import ScrolledBody, scrolled
from app.views.theme import LEDGER_HEAD, SEMIBOLD, SMALL_TEXT, Measure
from app.wording import count, tr
from colourcore.job.model import group_name
from colourcore.report.phrases import unbroken
from colourcore.report.sentences import format_down
from colourcore.run.cautions import CAUTIONS, Moment, cautions_at

__all__ = ["RunPlace"]

_ROLE = QPalette.ColorRole
_RULE_AT, _RULE, _VAPOUR = 0, 16, 8
_WIDEST = 900


def _moment_words() -> dict[Moment, tuple[str, str]]:
    """What each moment is called, and the quieter line under it."""
    return {
        Moment.ALWAYS: (tr("All along"), tr("before, during and after")),
        Moment.BEFORE_TEST: (tr("Setting up"), tr("before samples or piece go in")),
        Moment.POURING: (tr("Pouring"), tr("the hours begin")),
        Moment.LOOKING: (tr("Looking"), tr("through film")),
        Moment.ENDING: (tr("The end"), tr("out of the vapour")),
        Moment.AIRING: (tr("Airing"), tr("the room, then the wood")),
    }


class _MomentBlock(QWidget):
    """One moment along the upright rule, with its cautions beside it."""

    def __init__(self, moment: Moment, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._moment = moment
        title, under = _moment_words()[moment]
        self.title = Words(title, LEDGER_HEAD, weight=SEMIBOLD)
        self._under = under
        self.under = Words(under, SMALL_TEXT, second=True)
        self.notices = tuple(
            Notice(f"**{one.lead}** {unbroken(one.sentence)}", Stroke.CARE) for one in cautions_at(moment)
        )
        self._names, self._told = QVBoxLayout(), QVBoxLayout()
        for widget in (self.title, self.under):
            self._names.addWidget(widget)
        self._names.setSpacing(2)
        self._names.addStretch(100)
        self._told.setSpacing(14)
        for notice in self.notices:
            notice.setMaximumWidth(_WIDEST)
            self._told.addWidget(notice)
        self._told.addStretch(1)
        self._row = QHBoxLayout(self)
        self._row.addLayout(self._names, 0)
        self._row.addLayout(self._told, 100)
        self._row.addStretch(1)

    def set_measure(self, measure: Measure) -> None:
        """Take the room there is."""
        left = _RULE_AT + _RULE + 14
        self._row.setContentsMargins(left, 0, 0, 22 if not measure.folded else 14)
        self._row.setSpacing(measure.margin)
        width = {"full": 200, "small": 160}.get(measure.name, 124)
        for widget in (self.title, self.under):
            widget.setFixedWidth(width)

    def say_hours(self, text: str) -> None:
        """Say when this moment comes, where that is known."""
        self.under.say(text or self._under)

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        palette, height = self.palette(), self.height()
        ink, page = palette.color(_ROLE.WindowText), palette.color(_ROLE.Window)
        painter.fillRect(QRectF(_RULE_AT, 0, _RULE, height), palette.color(_ROLE.Light))
        inside = QRectF(_RULE_AT + (_RULE - _VAPOUR) / 2, 0, _VAPOUR, height)
        if self._moment in (Moment.LOOKING, Moment.ENDING):
            painter.fillRect(inside, ink)
        elif self._moment is Moment.POURING:
            painter.fillRect(inside.adjusted(0, height / 2, 0, 0), ink)
        elif self._moment is Moment.AIRING:
            hatch(painter, inside, ink, page)
        for x in (_RULE_AT, _RULE_AT + _RULE - 1):
            painter.fillRect(QRectF(x, 0, 1, height), palette.color(_ROLE.Mid))
        painter.fillRect(QRectF(_RULE_AT, 1, _RULE, 2), ink)
        painter.end()


class RunPlace(Place):
    """A plain page with the cautions, until the run itself is planned here."""

    key = "run"

    def __init__(self, tasks: Tasks, parent: QWidget | None = None) -> None:
        super().__init__(tasks, parent)
        self.blocks = {moment: _MomentBlock(moment) for moment in Moment}
        body = ScrolledBody()
        self._column = QVBoxLayout(body)
        self._column.setSpacing(0)
        for block in self.blocks.values():
            self._column.addWidget(block)
        self._column.addStretch(1)
        self.page = scrolled(body)
        self.page.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.page.setAccessibleName(tr("cautions, at their moments"))
        self.next_step = Button(tr("See the report"), filled=True)
        self._foot = QHBoxLayout()
        self._foot.addStretch(1)
        self._foot.addWidget(Words(tr("no caution has a box to tick"), SMALL_TEXT, second=True, wrap=False))
        self._foot.addWidget(self.next_step)
        self._foot.setSpacing(18)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.setSpacing(0)
        whole.addWidget(self.page, 1)
        whole.addLayout(self._foot)
        self.next_step.clicked.connect(lambda: self.go_asked.emit("report"))

    def title(self) -> str:
        return tr("Run")

    def set_state(self, state: WindowState) -> None:
        super().set_state(state)
        measure = state.measure
        self._column.setContentsMargins(measure.margin, 0, measure.margin, 8)
        self._foot.setContentsMargins(measure.margin, 6, measure.margin, 6 if measure.folded else 16)
        for block in self.blocks.values():
            block.set_measure(measure)
        looks, dues = self._hours()
        self.blocks[Moment.LOOKING].say_hours(looks)
        self.blocks[Moment.ENDING].say_hours(dues)

    def _hours(self) -> tuple[str, str]:
        """When to look and when the piece is due, part by part."""
        looks, dues = [], []
        for group in self.state.results.groups if self.state.results else ():
            piece = group.answer.piece
            if piece is None:
                continue
            name = group_name(group.board, group.zone)
            if piece.look_from is not None:
                looks.append(tr("{name}: from {hours}", name=name, hours=unbroken(format_down(piece.look_from))))
            if piece.due is not None:
                dues.append(tr("{name}: due {hours}", name=name, hours=unbroken(format_down(piece.due))))
        return "; ".join(looks), "; ".join(dues)

    def answer(self) -> str:
        return tr("{n} cautions", n=len(CAUTIONS))

    def sentence(self) -> str:
        return tr("**Too dark is for good, and ammonia harms people.** Read this before anything is poured.")

    def second_line(self) -> str:
        cautions = count(len(CAUTIONS), "caution", "cautions")
        return tr("{cautions}, each at its moment. They hold for the samples’ test as for the run.", cautions=cautions)

    def stops(self) -> tuple[QWidget, ...]:
        return (self.page, self.next_step)
