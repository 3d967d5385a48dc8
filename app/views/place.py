"""What a place of the window is, and what it is told: the contract between the frame and the six places.

A place is two wires. `set_state` brings the whole state in, one frozen value; signals carry the wishes out. Between
the wires nothing is computed that `colourcore` could compute, and no place calls another.

**In.** The frame calls `set_state(state)` after every edit, reading, change of size, theme, units or choice, also on
places that are not shown: do the least there, paint what is seen. Ask nothing else of the window.

**Out.**

* `edit_asked(edit)`: something the user decided. `edit` is a callable from the newest `Job` to a
  `colourcore.job.edits.Edit` (its `name` goes on the undo button, its `job` is the new job), such as
  `functools.partial(edits.set_hours, identity=3, hours=4.0)`; an `InputError` that it raises comes back as a trouble
  in the next state, with `key` of the place that asked.
* `go_asked(key)`: show another place ("photos", "samples", "target", "hours", "run", "report"): the next step.
* `act_asked(name)`: one of the commands of `app.actions`, by its name (printing, exporting, opening …).
* `choose_asked(identities)`: a tuple of patch identities to be the chosen ones, in all places.
* `words_changed()`: the answer, the sentence or the second line changed without a new state (a grip was dragged).

**Words.** `answer()` stands under the place's name in the places line, at most four words; `short_answer()` in small
windows. `sentence()` opens the place and says where the job stands; `second_line()` is the quieter line beneath. In
all of them `**bold**` marks heavier words, and every string goes through `app.wording.tr`.

**Body.** The place owns everything under the sentence. `parts.BenchAndLedger` lays out bench, ledger and next step,
beside each other or folded. `header()` may return a small widget that stands right of the sentence (the boards'
tabs). `stops()` are the widgets that F6 goes to, in order, bench first.

**Background.** Work longer than a frame goes through `self.tasks.start(lane, work, done)`; see `app.background`.
Lanes are named after the place: "hours-board", "report-pages".

**Painted things** are children for screen readers: see `app.views.painted`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import Enum
from pathlib import Path
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from app.background import Progress, Tasks
from app.views.theme import FULL, LIGHT, Measure, Theme
from colourcore.job.model import Job
from colourcore.pipeline import Results

__all__ = ["PLACE_KEYS", "Cutout", "Place", "Trouble", "Units", "WindowState"]

PLACE_KEYS = ("photos", "samples", "target", "hours", "run", "report")


class Units(Enum):
    """The units that quantities are shown in; the job keeps metric ones."""

    METRIC = "metric"
    US = "us"


@dataclass(frozen=True, slots=True, kw_only=True)
class Cutout:
    """The wood inside a patch's outline, straightened, as pixels for the screen.

    Attributes
    ----------
    raw
        As the file came: shape (height, width, 3), uint8 RGB, sRGB encoding. The long side is at most 900 pixels.
    balanced
        The same through the photo's card; equal to `raw` where there is no balance.
    """

    raw: NDArray[np.uint8]
    balanced: NDArray[np.uint8]


@dataclass(frozen=True, slots=True, kw_only=True)
class Trouble:
    """A problem to be said where it arose: the sentence, the place's key, and the photo or patch that it concerns."""

    sentence: str
    key: str = ""
    photo: str = ""
    identity: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class WindowState:
    """Everything that a place may show.

    Attributes
    ----------
    job
        The newest job.
    results
        The latest results that were worked out, None before the first.
    current
        Whether `results` belong to this very `job`; while False, the last figures stay and are marked so.
    reading
        Progress of the reading under way, None where nothing is being read.
    troubles
        Problems not yet mended.
    chosen
        Identities of the chosen patches, in the order they were chosen.
    cutouts
        The wood of the patches, by identity; those still being made are missing, and the next state brings them.
    folder
        The folder that photos' names are relative to; None for a job that lies nowhere yet.
    file
        The job's file or sheet; None for a job that lies nowhere yet.
    kept
        What is said under the job's name: "all kept 12:41".
    watched
        The folder where new photos arrive; None where none is watched.
    theme, measure, units
        How to show it.
    """

    job: Job = field(default_factory=Job)
    results: Results | None = None
    current: bool = True
    reading: Progress | None = None
    troubles: tuple[Trouble, ...] = ()
    chosen: tuple[int, ...] = ()
    cutouts: Mapping[int, Cutout] = field(default_factory=lambda: MappingProxyType({}))
    folder: Path | None = None
    file: Path | None = None
    kept: str = ""
    watched: Path | None = None
    theme: Theme = LIGHT
    measure: Measure = FULL
    units: Units = Units.METRIC


class Place(QWidget):
    """One of the six places; see the module's text for the contract."""

    key = ""
    stands_for = ""  # the key of the place in whose name it stands in the line; empty for the six themselves
    edit_asked = Signal(object)
    go_asked = Signal(str)
    act_asked = Signal(str)
    choose_asked = Signal(object)
    words_changed = Signal()

    def __init__(self, tasks: Tasks, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.tasks = tasks
        self.state = WindowState()

    def title(self) -> str:
        """The place's name in the places line."""
        raise AssertionError(f"{type(self).__name__} has no title")

    def set_state(self, state: WindowState) -> None:
        """Take the state in; overriding places call this first."""
        self.state = state
        self.update()

    def answer(self) -> str:
        """What stands under the place's name."""
        return ""

    def short_answer(self) -> str:
        """The answer for small windows."""
        return self.answer()

    def sentence(self) -> str:
        """The sentence that opens the place, `**bold**` where it matters."""
        raise AssertionError(f"{type(self).__name__} has no sentence")

    def second_line(self) -> str:
        """The quieter line under the sentence."""
        return ""

    def header(self) -> QWidget | None:
        """A small widget that stands right of the sentence, or None."""
        return None

    def stops(self) -> tuple[QWidget, ...]:
        """The widgets that F6 goes to, bench first."""
        return ()
