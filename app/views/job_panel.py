"""The job's own panel: its name, other jobs, what is written out, and how things are shown."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QWidget

from app.actions import Actions
from app.views.controls import Button, Field, Tabs, TextButton
from app.views.panels import Panel
from app.views.parts import Separator, Words
from app.views.place import Units, WindowState
from app.views.theme import SENTENCE, SMALL_TEXT
from app.wording import tr

__all__ = ["JobPanel"]

_MOST_RECENT = 5
_THEMES = ("", "light", "dark")


class JobPanel(Panel):
    """`act_asked` carries a command, `named` the new name, `recent_asked` a path; units and theme are asked for too."""

    act_asked = Signal(str)
    named = Signal(str)
    recent_asked = Signal(object)
    units_asked = Signal(object)
    theme_asked = Signal(str)

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.column.addWidget(Words(tr("The job"), SENTENCE))
        self.name = Field(tr("name of the job"))
        self.name.entered.connect(self.named)
        self.where = Words(size=SMALL_TEXT, second=True)
        self.column.addWidget(self.name)
        self.column.addWidget(self.where)
        self.column.addLayout(self._commands())
        self.column.addWidget(Separator())
        self._recent = QGridLayout()
        self._recent.setSpacing(6)
        self.recent_word = Words(tr("Jobs opened before"), SMALL_TEXT, second=True)
        self.column.addWidget(self.recent_word)
        self.column.addLayout(self._recent)
        self.column.addWidget(Separator())
        self.units, self.theme = Tabs([tr("metric"), tr("US")]), Tabs([tr("as the system"), tr("light"), tr("dark")])
        for word, tabs in ((tr("units"), self.units), (tr("page"), self.theme)):
            row = QHBoxLayout()
            row.addWidget(Words(word, second=True, wrap=False))
            row.addStretch(1)
            row.addWidget(tabs)
            self.column.addLayout(row)
        self.units.chosen.connect(lambda number: self.units_asked.emit(list(Units)[number]))
        self.theme.chosen.connect(lambda number: self.theme_asked.emit(_THEMES[number]))
        self.column.addStretch(1)

    def _commands(self) -> QGridLayout:
        grid = QGridLayout()
        grid.setSpacing(8)
        self.commands: dict[str, Button] = {}
        names = ("begin_job", "open_job", "open_example", "save_sheet", "export_report", "what_was_done")
        for number, name in enumerate(names):
            button = Button(Actions.words(name), key=Actions.keys(name))
            button.clicked.connect(lambda _checked=False, name=name: self._act(name))
            grid.addWidget(button, number // 2, number % 2)
            self.commands[name] = button
        return grid

    def _act(self, name: str) -> None:
        self.close_panel()
        self.act_asked.emit(name)

    def show_state(self, state: WindowState, recent: Sequence[Path], theme: str) -> None:
        """Show the job's name and file, the jobs opened before, and what is chosen."""
        self.name.show_text(state.job.name)
        self.where.say(str(state.file) if state.file else tr("It lies in no file yet."))
        self.units.set_words([tr("metric"), tr("US")], list(Units).index(state.units))
        self.theme.set_words([tr("as the system"), tr("light"), tr("dark")], _THEMES.index(theme))
        while (item := self._recent.takeAt(0)) is not None:
            widget = item.widget()
            if widget is not None:
                widget.hide()
                widget.deleteLater()
        others = [path for path in recent if path != state.file][:_MOST_RECENT]
        self.recent_word.setVisible(bool(others))
        for number, path in enumerate(others):
            button = TextButton(path.stem.replace("_", " "))
            button.setToolTip(str(path))
            button.clicked.connect(lambda _checked=False, path=path: self._open(path))
            self._recent.addWidget(button, number, 0, Qt.AlignmentFlag.AlignLeft)

    def _open(self, path: Path) -> None:
        self.close_panel()
        self.recent_asked.emit(path)

    def open_panel(self) -> None:
        """Come into sight, the keys at the name."""
        self.show()
        self.raise_()
        self.name.setFocus(Qt.FocusReason.PopupFocusReason)
