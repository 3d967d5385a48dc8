"""Every command of the window, once: its name, its words, its keys. Who carries it out is told when it is built."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from PySide6.QtCore import QObject, Qt
from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtWidgets import QWidget

from app.wording import tr

__all__ = ["COMMANDS", "Actions", "Command"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Command:
    """A command: its name in the code, its words for the user, and its keys."""

    name: str
    words: str
    keys: tuple[str, ...] = ()


COMMANDS = (
    Command(name="add_photos", words="Choose photos", keys=("Ctrl+P",)),
    Command(name="watch_folder", words="Take new photos from a folder"),
    Command(name="stop_watching", words="Stop watching the folder"),
    Command(name="begin_job", words="Begin a new job", keys=("Ctrl+N",)),
    Command(name="open_job", words="Open a job or sheet", keys=("Ctrl+O",)),
    Command(name="open_example", words="Open the invented example"),
    Command(name="save_sheet", words="Save as a sheet", keys=("Ctrl+S",)),
    Command(name="export_report", words="Export the report", keys=("Ctrl+E",)),
    Command(name="undo", words="Undo", keys=("Ctrl+Z",)),
    Command(name="redo", words="Redo", keys=("Ctrl+Shift+Z", "Ctrl+Y")),
    Command(name="what_was_done", words="What was done", keys=("Ctrl+H",)),
    Command(name="job_panel", words="The job", keys=("Ctrl+J",)),
    Command(name="next_area", words="Next part of the window", keys=("F6",)),
    Command(name="previous_area", words="Part of the window before", keys=("Shift+F6",)),
    Command(name="go_photos", words="Photos", keys=("Ctrl+1",)),
    Command(name="go_samples", words="Samples", keys=("Ctrl+2",)),
    Command(name="go_target", words="Target", keys=("Ctrl+3",)),
    Command(name="go_hours", words="Hours", keys=("Ctrl+4",)),
    Command(name="go_run", words="Run", keys=("Ctrl+5",)),
    Command(name="go_report", words="Report", keys=("Ctrl+6",)),
    Command(name="stop_reading", words="Stop reading"),
    Command(name="switch_units", words="Units"),
    Command(name="switch_theme", words="Light or dark"),
)
"""All commands, in the order in which they are listed."""


class Actions(QObject):
    """The commands of one window, bound to what carries them out; each also to its keys."""

    def __init__(self, window: QWidget, handlers: Mapping[str, Callable[[], object]]) -> None:
        super().__init__(window)
        unknown = set(handlers) - {command.name for command in COMMANDS}
        if unknown:
            raise ValueError(f"no such command: {', '.join(sorted(unknown))}")
        self._handlers = dict(handlers)
        for command in COMMANDS:
            if command.name in self._handlers:
                self._add(window, command)

    def _add(self, window: QWidget, command: Command) -> None:
        action = QAction(tr(command.words), window)
        action.setObjectName(command.name)
        action.setShortcuts([QKeySequence(keys) for keys in command.keys])
        action.setShortcutContext(Qt.ShortcutContext.WindowShortcut)
        action.triggered.connect(lambda _checked=False, name=command.name: self.run(name))
        window.addAction(action)

    def run(self, name: str) -> None:
        """Carry a command out; KeyError where nobody does."""
        self._handlers[name]()

    @staticmethod
    def words(name: str) -> str:
        """Return a command's words."""
        return tr(next(command.words for command in COMMANDS if command.name == name))

    @staticmethod
    def keys(name: str) -> str:
        """Return a command's first keys, as this system writes them."""
        keys = next(command.keys for command in COMMANDS if command.name == name)
        return QKeySequence(keys[0]).toString(QKeySequence.SequenceFormat.NativeText) if keys else ""
