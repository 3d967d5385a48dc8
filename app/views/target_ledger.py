"""The ledger of *Target*: raw or finished, for which parts, how firm the shade is, and keeping it."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from app.models.target_scene import Parts
from app.views.controls import Button, Field, Mark, Tabs, TextButton
from app.views.parts import LedgerHead, Notice, Separator, Stroke
from app.views.place import WindowState
from app.wording import tr
from colourcore.job.model import Patch, Role

__all__ = ["TargetLedger"]


class TargetLedger(QWidget):
    """What is said of a target. `finish_asked` brings a finish, empty for raw wood; `part_asked` board and zone."""

    finish_asked = Signal(str)
    part_asked = Signal(object)
    keep_asked = Signal(str)
    add_asked = Signal()
    next_asked = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._parts, self._part = Parts(), ("", "")
        self._finish, self._wish = "", False
        self._target: Patch | None = None
        self.raw = Mark(tr("raw wood"), round_mark=True, under=tr("as it leaves the tent"))
        self.finished = Mark(tr("finished wood"), round_mark=True, under=tr("carried back through the finish"))
        self.finish = Field(tr("finish of the target"), unit=tr("finish"))
        self.part_head = LedgerHead(tr("For which parts"))
        self.boards, self.zones = Tabs(columns=4), Tabs(columns=3)
        self.add = Button(tr("Another target"), small=True)
        self.trouble, self.firm = Notice(stroke=Stroke.REFUSED), Notice()
        self.like, self.reach = Notice(stroke=Stroke.NOTE), Notice(stroke=Stroke.NOTE)
        self.name = Field(tr("name on my shelf"))
        self.name.setPlaceholderText(tr("its name there"))
        self.keep = Button(tr("Keep"), small=True)
        self.next_step = Button(tr("See the hours"), filled=True)
        self._lay_out()
        self._connect()

    def _lay_out(self) -> None:
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(10)
        kinds = QWidget()
        kind_column = QVBoxLayout(kinds)
        kind_column.setContentsMargins(0, 0, 0, 0)
        kind_column.setSpacing(6)
        for widget in (self.raw, self.finished, self.finish):
            kind_column.addWidget(widget)
        shelf = QHBoxLayout()
        shelf.setSpacing(8)
        shelf.addWidget(self.name, 1)
        shelf.addWidget(self.keep)
        self._shelf = QWidget()
        self._shelf.setLayout(shelf)
        shelf.setContentsMargins(0, 0, 0, 0)
        self.kind_head = LedgerHead(tr("To be matched by"))
        self.shelf_head = LedgerHead(tr("Keep on my shelf"))
        self._kinds = kinds
        self._lines = tuple(Separator() for _ in range(3))
        parts: tuple[QWidget, ...] = (self.trouble, self.reach, self.kind_head, kinds, self._lines[0])
        parts += (self.part_head, _left(self.boards), _left(self.zones), self.add, self._lines[1])
        parts += (self.firm, self.like, self._lines[2], self.shelf_head, self._shelf)
        for part in parts:
            column.addWidget(part)

    def _connect(self) -> None:
        self.raw.clicked.connect(self._say_raw)
        self.finished.clicked.connect(self._wish_finish)
        self.finish.entered.connect(self._say_finish)
        self.boards.chosen.connect(self._say_board)
        self.zones.chosen.connect(self._say_zone)
        self.keep.clicked.connect(lambda: self.keep_asked.emit(self.name.text()))
        self.name.returnPressed.connect(lambda: self.keep_asked.emit(self.name.text()))
        self.add.clicked.connect(self.add_asked)
        self.next_step.clicked.connect(lambda: self.next_asked.emit("hours"))

    def show_target(
        self, state: WindowState, target: Patch | None, parts: Parts, part: tuple[str, str], *, adding: bool
    ) -> None:
        """Show what is said of a target; None where one is still to be chosen."""
        if target is None or self._target is None or target.identity != self._target.identity:
            self._wish = False
        self._target = target
        there = target is not None
        for widget in (self.kind_head, self._kinds, self.shelf_head, self._shelf, *self._lines):
            widget.setVisible(there)
        several = len(parts.boards) > 1 or len(parts.zones) > 1
        self.add.setVisible(there and several)
        self.part_head.setVisible(several and (there or adding))
        self.next_step.setEnabled(there)
        self._finish = target.finish if target else ""
        finished = bool(self._finish) or self._wish
        self.raw.setChecked(not finished)
        self.finished.setChecked(finished)
        self.finish.setVisible(finished)
        known = sorted({p.finish for p in state.job.patches if p.role is Role.SAMPLE and p.finish})
        self.finish.show_text(self._finish or (known[0] if known and self._wish else self._finish))
        self.finish.setPlaceholderText(tr("such as oil, twice"))
        self._show_parts(parts, part, shown=there or adding)

    def _show_parts(self, parts: Parts, part: tuple[str, str], *, shown: bool) -> None:
        self._parts, self._part = parts, part
        for tabs, names, chosen, every in (
            (self.boards, parts.boards, part[0], tr("all boards")),
            (self.zones, parts.zones, part[1], tr("all")),
        ):
            tabs.setVisible(shown and (len(names) > 1 or bool(chosen)))
            number = names.index(chosen) + 1 if chosen in names else 0
            tabs.set_words([every, *names], number)
        for button, name in zip(self.zones.findChildren(TextButton), (tr("all zones"),), strict=False):
            button.setAccessibleName(name)

    def _say_board(self, number: int) -> None:
        self.part_asked.emit(("" if number == 0 else self._parts.boards[number - 1], self._part[1]))

    def _say_zone(self, number: int) -> None:
        self.part_asked.emit((self._part[0], "" if number == 0 else self._parts.zones[number - 1]))

    def say(self, trouble: str, firm: str, care: bool, like: str) -> None:
        """Say what went wrong, how firm the shade is, and what it must share with the samples."""
        self.trouble.say(trouble)
        self.firm.say(firm, Stroke.CARE if care else Stroke.NOTE)
        self.like.say(like)

    def say_reach(self, text: str) -> None:
        """Say what gets to the shade, where the bench has no room to draw it; nothing where it has."""
        self.reach.say(text)

    def complain(self, text: str) -> None:
        """Say what is missing before a shade can be kept."""
        self.trouble.say(text)

    def _say_raw(self) -> None:
        self._wish = False
        self.finish.setVisible(False)
        self.finish_asked.emit("")

    def _wish_finish(self) -> None:
        """Finished wood is wished for: which finish is asked before anything is changed."""
        self._wish = True
        self.finish.setVisible(True)
        if self.finish.text().strip():
            self.finish_asked.emit(self.finish.text().strip())
        else:
            self.finish.setFocus()

    def _say_finish(self, text: str) -> None:
        if text.strip():
            self.finish_asked.emit(text.strip())


def _left(tabs: Tabs) -> QWidget:
    """Words that stand together at the left, whatever the room."""
    holder = QWidget()
    row = QHBoxLayout(holder)
    row.setContentsMargins(0, 0, 0, 0)
    row.addWidget(tabs)
    row.addStretch(1)
    return holder
