"""What was found in a photo, beneath it: figure, consequence and cure in a sentence, and where it is."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QFrame, QHBoxLayout, QScrollArea, QVBoxLayout, QWidget

from app.views.controls import Button
from app.views.parts import BenchArea, Notice, Stroke
from app.views.photo_words import patch_name
from app.views.place import WindowState
from app.views.scrolling import ScrolledBody, SlimBar
from app.wording import tr
from colourcore.image.checks import Check, Level

__all__ = ["Finding", "PhotoChecks", "findings"]

_STROKES = {Level.NOTE: Stroke.NOTE, Level.WARN: Stroke.CARE, Level.REFUSE: Stroke.REFUSED}
_HEIGHT = 104  # the same whatever is found, so that the photo above never moves under the hand
_UNLIMITED = 16777215


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One sentence beneath a photo; `identity` is the outline that it concerns, None for the whole photo."""

    sentence: str
    stroke: Stroke
    identity: int | None = None


def findings(state: WindowState, photo: str) -> tuple[Finding, ...]:
    """Return what there is to say of a photo, the gravest first."""
    found = [
        Finding(sentence=trouble.sentence, stroke=Stroke.REFUSED, identity=trouble.identity)
        for trouble in state.troubles
        if trouble.photo == photo or (not trouble.photo and trouble.key in ("photos", ""))
    ]
    for read in state.results.photos if state.results else ():
        if read.name != photo:
            continue
        of_patches = [check for row in read.readings for check in row.checks]
        whole = [check for check in read.checks if check not in of_patches]
        found += [_finding(state, check, None) for check in whole]
        found += [_finding(state, check, row.identity) for row in read.readings for check in row.checks]
        found += [Finding(sentence=_notes(read.facts.notes), stroke=Stroke.NOTE)] if read.facts.notes else []
    order = (Stroke.REFUSED, Stroke.CARE, Stroke.NOTE)
    return tuple(sorted(found, key=lambda finding: order.index(finding.stroke)))


def _finding(state: WindowState, check: Check, identity: int | None) -> Finding:
    first, _, rest = check.message.partition(". ")
    where = ""
    if identity is not None and any(patch.identity == identity for patch in state.job.patches):
        where = f"{patch_name(state.job.patch(identity))}: "
    sentence = f"**{where}{first if rest else first.rstrip('.')}.** {rest}"
    return Finding(sentence=sentence, stroke=_STROKES[check.level], identity=identity)


def _notes(notes: tuple[str, ...]) -> str:
    text = "; ".join(notes)
    return f"{text[:1].upper()}{text[1:]}."


class _Body(BenchArea, ScrolledBody):
    """The bench's grey, as high as the sentences on it."""


class PhotoChecks(QScrollArea):
    """The sentences beneath the photo. `where_asked` carries the outline to show, `remove_asked` nothing."""

    where_asked = Signal(int)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setWidgetResizable(True)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._body = _Body()
        self._column = QVBoxLayout(self._body)
        self._column.setContentsMargins(28, 14, 28, 14)
        self._column.setSpacing(12)
        self._column.setAlignment(Qt.AlignmentFlag.AlignTop)
        self.setVerticalScrollBar(SlimBar())
        self.setWidget(self._body)
        self._shown: tuple[Finding, ...] | None = None
        self._rows: list[QWidget] = []

    def show_findings(self, found: tuple[Finding, ...], *, beside: bool) -> None:
        """Show these sentences beneath the photo, or beside it; what has no room is reached by scrolling."""
        if found != self._shown:
            self._shown = found
            for row in self._rows:
                self._column.removeWidget(row)
                row.hide()
                row.deleteLater()
            self._rows = [self._row(finding) for finding in found]
            for row in self._rows:
                self._column.addWidget(row)
        if beside:
            self.setMinimumHeight(0)
            self.setMaximumHeight(_UNLIMITED)
        else:
            self.setFixedHeight(_HEIGHT)

    def _row(self, finding: Finding) -> QWidget:
        row = QWidget()
        line = QHBoxLayout(row)
        line.setContentsMargins(0, 0, 0, 0)
        line.setSpacing(18)
        notice = Notice(finding.sentence, finding.stroke)
        line.addWidget(notice, 1)
        if finding.identity is not None:
            button = Button(tr("Show where"), small=True)
            button.setAccessibleDescription(finding.sentence.replace("**", ""))
            button.clicked.connect(lambda _checked=False, i=finding.identity: self.where_asked.emit(i))
            line.addWidget(button, 0, Qt.AlignmentFlag.AlignTop)
        return row

    def said(self) -> tuple[str, ...]:
        """The sentences shown."""
        return tuple(finding.sentence.replace("**", "") for finding in self._shown or ())
