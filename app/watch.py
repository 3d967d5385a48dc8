"""A folder that a phone or camera sends to: photos that arrive in it are taken in once they are whole.

A folder is looked at every two seconds. A file is taken when its size and time did not change between two looks; what
lay there when the watch began is left alone. Placeholders of files that a cloud drive has not fetched are named.
"""

from __future__ import annotations

import os
import stat
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path

from PySide6.QtCore import QObject, QTimer, Signal

from app.background import Answered, Failed, Outcome, Tasks, Ticket
from app.wording import tr
from colourcore.errors import InputError

__all__ = ["FolderWatch", "Look", "Seen", "look_at"]

_EVERY_MS = 2000
_LANE = "watched-folder"
_ICLOUD = ".icloud"
_NOT_HERE_WINDOWS = stat.FILE_ATTRIBUTE_OFFLINE | 0x00040000 | 0x00400000  # recall on open, recall on data access
_NOT_HERE_MAC = 0x40000000  # SF_DATALESS


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """What was seen so far: each photo's size and time, what lay there first, what was taken, what is elsewhere."""

    files: dict[str, tuple[int, int]]
    left_alone: frozenset[str] = frozenset()
    taken: frozenset[str] = frozenset()
    elsewhere: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """One look: what is seen now, which photos are whole and new, and which names are still elsewhere."""

    seen: Seen
    whole: tuple[Path, ...]
    not_here: tuple[str, ...]


def look_at(folder: Path, endings: tuple[str, ...], before: Seen | None) -> Look:
    """Look at a folder and return what is seen, which photos are whole and new, and which are still elsewhere.

    The first look (`before` None) takes nothing. Raises InputError where the folder cannot be read.
    """
    files: dict[str, tuple[int, int]] = {}
    elsewhere: set[str] = set()
    try:
        for entry in os.scandir(folder):
            name = _arriving_name(entry.name)
            if not name.lower().endswith(endings) or not entry.is_file():
                continue
            found = entry.stat()
            if name != entry.name or _not_here(found):
                elsewhere.add(name)
            else:
                files[entry.name] = (found.st_size, found.st_mtime_ns)
    except OSError as error:
        problem = f"expected a folder that can be read, got {error.strerror or error}"
        raise InputError(problem, file=str(folder)) from error
    if before is None:
        return Look(seen=Seen(files=files, left_alone=frozenset({*files, *elsewhere})), whole=(), not_here=())
    done = before.left_alone | before.taken
    whole = [name for name, as_it_is in files.items() if name not in done and before.files.get(name) == as_it_is]
    whole = sorted(name for name in whole if files[name][0] > 0)
    new_elsewhere = frozenset(elsewhere) - before.left_alone
    seen = replace(before, files=files, taken=before.taken | set(whole), elsewhere=new_elsewhere)
    not_here = tuple(sorted(new_elsewhere - before.elsewhere))
    return Look(seen=seen, whole=tuple(folder / name for name in whole), not_here=not_here)


def _arriving_name(name: str) -> str:
    """Return the name that a placeholder stands for: `.board.heic.icloud` is board.heic, not fetched yet."""
    if name.startswith(".") and name.endswith(_ICLOUD):
        return name[1 : -len(_ICLOUD)]
    return name


def _not_here(found: os.stat_result) -> bool:
    attributes = getattr(found, "st_file_attributes", 0)
    flags = getattr(found, "st_flags", 0)
    return bool(attributes & _NOT_HERE_WINDOWS) or bool(flags & _NOT_HERE_MAC)


class FolderWatch(QObject):
    """Watches one folder. `arrived` carries the paths of whole new photos, `told` a sentence, `changed` the folder."""

    arrived = Signal(object)
    told = Signal(str)
    changed = Signal()

    def __init__(self, tasks: Tasks, endings: tuple[str, ...], parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._tasks, self._endings = tasks, endings
        self.folder: Path | None = None
        self._seen: Seen | None = None
        self._timer = QTimer(self)
        self._timer.setInterval(_EVERY_MS)
        self._timer.timeout.connect(self.look)

    def watch(self, folder: Path | None) -> None:
        """Watch a folder from now on, or none."""
        self._tasks.cancel(_LANE, quietly=True)
        self.folder, self._seen = folder, None
        if folder is None:
            self._timer.stop()
        else:
            self.look()
            self._timer.start()
        self.changed.emit()

    def look(self) -> None:
        """Look at the folder once, in the background."""
        if self.folder is not None and not self._tasks.busy(_LANE):
            work: Callable[[Ticket], object] = partial(_looked, self.folder, self._endings, self._seen)
            self._tasks.start(_LANE, work, self._tell)

    def _tell(self, outcome: Outcome) -> None:
        if isinstance(outcome, Failed):
            self.told.emit(str(outcome.problem))
            self.watch(None)
        elif isinstance(outcome, Answered):
            look: Look = outcome.value
            self._seen = look.seen
            for name in look.not_here:
                sentence = tr("**{name} is still in the cloud.** Tell the drive to keep it on this machine.", name=name)
                self.told.emit(sentence)
            if look.whole:
                self.arrived.emit(list(look.whole))


def _looked(folder: Path, endings: tuple[str, ...], before: Seen | None, _ticket: Ticket) -> Look:
    return look_at(folder, endings, before)
