"""The place *Hours*: when the wood reaches the target, and what it looks like at any hour before and after."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.background import Tasks
from app.models.hours_axis import Spread, rounded_down
from app.models.hours_ledger import ledger_blocks, ledger_notes
from app.models.hours_scene import Choice, HoursScene, axis_end, hours_scene
from app.models.hours_words import (
    answer_words,
    board_title,
    opening,
    second_line,
    short_answer_words,
    when_together,
)
from app.views.controls import Button, Tabs
from app.views.hours_bench import HoursBench
from app.views.hours_choices import BenchChoices, ComeOut
from app.views.hours_ledger import LedgerText
from app.views.layout import BenchAndLedger
from app.views.place import Place, WindowState
from app.wording import tr
from colourcore.curve.outcome import Outcome

__all__ = ["HoursPlace"]

_FORESEEN = 16


class HoursPlace(Place):
    """The heart of the window.

    `keep_spread`, where given, is told when the user spreads the hours otherwise ("early wide" or "even"), so that
    the choice can be kept across jobs; `set_spread` brings the kept one in.
    """

    key = "hours"

    def __init__(
        self, tasks: Tasks, parent: QWidget | None = None, *, keep_spread: Callable[[str], None] | None = None
    ) -> None:
        super().__init__(tasks, parent)
        self._keep_spread = keep_spread
        self._choice = Choice()
        self._scene = HoursScene()
        self._hours = 0.0
        self._touched = False
        self._shown: tuple[object, ...] = ()
        self._owed = False
        self._tabs = Tabs()
        self._bench = HoursBench()
        self._choices = BenchChoices(self._bench)
        self._moving, self._standing = LedgerText(), LedgerText()
        self._come_out = ComeOut()
        self._next = Button(tr("Plan the run"), filled=True)
        self._body = BenchAndLedger(self._bench, self._next)
        for part in (self._moving, self._come_out, self._standing):
            self._body.column.addWidget(part)
        self._body.column.addStretch(1)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self._body)
        self._connect()

    def _connect(self) -> None:
        self._tabs.chosen.connect(self._choose_tab)
        self._bench.moved.connect(self.go_to)
        self._bench.laid_out.connect(self._place_choices)
        self._bench.picked.connect(lambda identity: self.choose_asked.emit((identity,)))
        self._choices.spread_chosen.connect(self._choose_spread)
        self._choices.row_chosen.connect(lambda row: self._choose(replace(self._choice, row=row)))
        self._come_out.chosen.connect(lambda together: self._choose(replace(self._choice, together=together)))
        self._next.clicked.connect(self._go_on)

    def title(self) -> str:
        return tr("Hours")

    def set_state(self, state: WindowState) -> None:
        super().set_state(state)
        shown = (state.results, state.theme, state.measure, *state.cutouts.values())
        if len(shown) == len(self._shown) and all(a is b for a, b in zip(shown, self._shown, strict=True)):
            return
        self._shown = shown
        self._show()

    def set_spread(self, word: str) -> None:
        """Take in how hours were spread the last time; an unknown word changes nothing."""
        if word in list(Spread):
            self._choose(replace(self._choice, spread=Spread(word)), keep=False)

    def _show(self) -> None:
        self._scene = hours_scene(self.state.results, self._choice)
        if not self._touched:
            self._hours = _first_hour(self._scene)
        self._hours = min(self._hours, axis_end(self._scene))
        self._tabs.set_words(*_tab_words(self._scene))
        self._tabs.setVisible(len(self._scene.boards) > 1)
        self._owed = True
        if self.isVisible():
            self._show_body()
        self.words_changed.emit()

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        if self._owed:
            self._show_body()

    def _show_body(self) -> None:
        """Paint what is seen: owed from when the place was not."""
        self._owed = False
        self._body.set_measure(self.state.measure)
        self._bench.set_hours(self._hours)
        self._bench.set_scene(self.state, self._scene)
        self._come_out.show_choice(self._scene)
        step, _ = _next_step(self._scene)
        self._next.rename(step)
        end = axis_end(self._scene)
        self._moving.foresee(ledger_blocks(self._scene, end * number / _FORESEEN) for number in range(_FORESEEN + 1))
        self._fill_ledger()
        self._standing.set_blocks(ledger_notes(self._scene), self.state.theme)

    def _place_choices(self) -> None:
        self._choices.show_choice(self._scene, self.state.measure, self._bench.view.layout)

    def _fill_ledger(self) -> None:
        self._moving.set_blocks(ledger_blocks(self._scene, self._hours), self.state.theme)

    def go_to(self, hours: float) -> None:
        """Put the grip on an hour."""
        self._touched = True
        if hours == self._hours:
            return
        self._hours = hours
        self._bench.set_hours(hours)
        self._fill_ledger()

    def hours(self) -> float:
        """The hour of the grip."""
        return self._hours

    def _choose_tab(self, number: int) -> None:
        boards = self._scene.boards
        both = number >= len(boards)
        board = self._choice.board if both else boards[number]
        self._choose(replace(self._choice, board=board, both=both, row=0))

    def _choose_spread(self, spread: Spread) -> None:
        self._choose(replace(self._choice, spread=spread))

    def _choose(self, choice: Choice, *, keep: bool = True) -> None:
        if choice == self._choice:
            return
        if keep and self._keep_spread is not None and choice.spread is not self._choice.spread:
            self._keep_spread(str(choice.spread))
        moved = choice.board != self._choice.board or choice.both != self._choice.both
        self._touched = self._touched and not moved
        self._choice = choice
        self._show()

    def _go_on(self) -> None:
        self.go_asked.emit(_next_step(self._scene)[1])

    def answer(self) -> str:
        return answer_words(self._scene)

    def short_answer(self) -> str:
        return short_answer_words(self._scene)

    def sentence(self) -> str:
        return opening(self._scene)

    def second_line(self) -> str:
        line = second_line(self._scene)
        return line if self.state.current else tr("The last figures; newer ones are on their way. {line}", line=line)

    def header(self) -> QWidget:
        return self._tabs

    def stops(self) -> tuple[QWidget, ...]:
        return (self._bench.rule, self._next)


def _first_hour(scene: HoursScene) -> float:
    """Where the grip lies before a hand was at it: on due, rounded down, or in the middle of what is known."""
    common = when_together(scene)
    found = scene.lead.prospect if scene.lead else None
    due = common[0] if common else found.due if found else None
    if due is not None:
        return rounded_down(due)
    return rounded_down(axis_end(scene) / 2)


def _tab_words(scene: HoursScene) -> tuple[list[str], int]:
    """Words of the boards' tabs, and which is chosen; many boards go by their letters alone."""
    boards = scene.boards
    if len(boards) < 2:
        return [], 0
    full = len(boards) < 3
    words = [
        board_title(b) if full or (b == scene.choice.board and not scene.choice.both) else b or "–" for b in boards
    ]
    words.append(tr("both") if full else tr("farthest two"))
    chosen = len(boards) if scene.choice.both else boards.index(scene.choice.board or boards[0])
    return words, chosen


def _next_step(scene: HoursScene) -> tuple[str, str]:
    """What to do next, and in which place."""
    lead = scene.lead
    if lead is None:
        return tr("Add photos"), "photos"
    if lead.outcome is Outcome.NOT_REACHED or (lead.prospect is not None and lead.target is None):
        return (tr("Choose a target") if lead.target is None else tr("Choose another target")), "target"
    if lead.outcome is Outcome.CANNOT_SAY:
        return tr("Look at the samples"), "samples"
    return tr("Plan the run"), "run"
