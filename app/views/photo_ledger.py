"""The part of the *Photos* ledger that says and changes what is outlined: one outline, several, or a whole photo."""

from __future__ import annotations

import re
from collections.abc import Collection
from functools import partial

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QGridLayout, QVBoxLayout, QWidget

from app.views.controls import Field, Tabs
from app.views.parts import LedgerHead, Notice, Stroke, Words
from app.views.photo_words import patch_name, reading_of, spoken_roles
from app.views.place import WindowState
from app.views.theme import SMALL_TEXT
from app.wording import count, tr
from colourcore.errors import InputError
from colourcore.job import edits
from colourcore.job.edits import Edit
from colourcore.job.model import Job, Patch, Role
from colourcore.job.reading_order import in_reading_order

__all__ = ["OutlineLedger", "parse_hours", "parse_run"]

_CLOCK = re.compile(r"(\d+)\s*(?:h|:)\s*(\d{1,2})?\s*(?:min)?", re.IGNORECASE)


def parse_hours(text: str) -> float | None:
    """Return typed hours: 4, 4.5, 4,5, 4 h 30 or 4:30; None for an empty field; InputError for anything else.

    >>> parse_hours("4 h 30"), parse_hours("4,5"), parse_hours(" ")
    (4.5, 4.5, None)
    """
    said = text.strip()
    if not said:
        return None
    clock = _CLOCK.fullmatch(said)
    if clock:
        return int(clock[1]) + int(clock[2] or 0) / 60
    try:
        return float(said.lower().removesuffix("h").replace(",", "."))
    except ValueError:
        raise InputError(tr("expected hours such as 4, 4.5 or 4 h 30, got {text}", text=said)) from None


def parse_run(text: str) -> list[float]:
    """Return hours typed as a run, parted by commas, semicolons or spaces.

    >>> parse_run("0, 1, 2 4.5;6")
    [0.0, 1.0, 2.0, 4.5, 6.0]
    """
    found = [parse_hours(part) for part in re.split(r"[;,\s]+", text.strip())]
    return [hours for hours in found if hours is not None]


class OutlineLedger(QWidget):
    """Head, reading and fields of what is chosen. `edit_asked` carries edits, `finished` that hours were typed."""

    edit_asked = Signal(object)
    finished = Signal()
    focus_photo = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._job, self._photo = Job(), ""
        self._ids: tuple[int, ...] = ()
        self._roles = list(spoken_roles())
        self.head = LedgerHead()
        self.values = Words()
        self.remark = Words(size=SMALL_TEXT, second=True)
        self.trouble = Notice(stroke=Stroke.REFUSED)
        self.role = Tabs(list(spoken_roles().values()), columns=3)
        self.hours = Field(tr("hours"), unit=tr("hours"))
        self.board, self.zone = Field(tr("board"), unit=tr("board")), Field(tr("zone"), unit=tr("zone"))
        self.card = Field(tr("lightness of the card"), unit=tr("L* of the card"))
        self._lay_out()
        self._connect()

    def _lay_out(self) -> None:
        fields = QGridLayout()
        fields.setSpacing(8)
        fields.addWidget(self.hours, 0, 0, 1, 2)
        fields.addWidget(self.card, 1, 0, 1, 2)
        fields.addWidget(self.board, 2, 0)
        fields.addWidget(self.zone, 2, 1)
        fields.setColumnStretch(0, 2)
        fields.setColumnStretch(1, 3)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(6)
        column.addWidget(self.head)
        column.addWidget(self.values)
        column.addWidget(self.remark)
        column.addWidget(self.role, 0, Qt.AlignmentFlag.AlignLeft)
        column.addLayout(fields)
        column.addWidget(self.trouble)
        self.setTabOrder(self.hours, self.board)

    def _connect(self) -> None:
        self.role.chosen.connect(self._say_role)
        self.hours.entered.connect(self._say_hours)
        self.hours.returnPressed.connect(self.finished)
        self.board.entered.connect(partial(self._say, edits.set_board))
        self.zone.entered.connect(partial(self._say, edits.set_zone))
        self.board.returnPressed.connect(self.focus_photo)
        self.zone.returnPressed.connect(self.focus_photo)
        self.card.entered.connect(self._say_card)

    # state in

    def show_state(self, state: WindowState, photo: str) -> None:
        """Show what is chosen in this photo, or the photo's samples together where nothing is."""
        self._job, self._photo = state.job, photo
        patches = state.job.patches_of(photo) if photo else ()
        chosen = [patch for patch in patches if patch.identity in state.chosen]
        shown = chosen or [patch for patch in patches if patch.role is Role.SAMPLE]
        self._ids = tuple(patch.identity for patch in shown)
        self.setVisible(bool(shown))
        if not shown:
            return
        one = chosen[0] if len(chosen) == 1 else None
        self._show_head(state, chosen, shown)
        self._show_reading(state, one)
        self._show_fields(shown, one)

    def _show_head(self, state: WindowState, chosen: list[Patch], shown: list[Patch]) -> None:
        number = [photo.name for photo in state.job.photos].index(self._photo) + 1
        if len(chosen) == 1:
            aside = tr("chosen, photo {n}", n=number) if state.current else tr("being read")
            self.head.say(patch_name(chosen[0]), aside)
        elif chosen:
            self.head.say(count(len(chosen), "outline", "outlines"), tr("chosen"))
        else:
            self.head.say(count(len(shown), "sample", "samples"), tr("of photo {n}", n=number))

    def _show_reading(self, state: WindowState, patch: Patch | None) -> None:
        row = reading_of(state, patch.identity) if patch else None
        self.values.setVisible(patch is not None)
        self.remark.setVisible(patch is not None)
        if patch is None:
            return
        reading = row.reading if row else None
        if reading is None:
            refused = row is not None
            self.values.say(tr("**Refused**: see beneath the photo.") if refused else tr("Not read yet."))
            self.remark.say("")
            return
        parts = list(zip(("L*", "a*", "b*"), reading.lab, reading.standard_errors, strict=True))
        few = parts[: 1 if reading.colour_lost else 3]
        self.values.say(
            "\N{EM SPACE}".join(f"{name} **{value:.1f}** ± {max(error, 0.05):.1f}" for name, value, error in few)
        )
        self.remark.say(
            tr("Spread over the face {spread:.1f} L*, {n:,} pixels.", spread=reading.spread, n=reading.pixels)
        )

    def _show_fields(self, shown: list[Patch], one: Patch | None) -> None:
        samples = all(patch.role is Role.SAMPLE for patch in shown)
        card = one is not None and one.role is Role.CARD
        self.hours.setVisible(samples)
        self.card.setVisible(card)
        for field in (self.board, self.zone):
            field.setVisible(not card)
        self.role.setVisible(one is not None)
        if one is not None:
            number = self._roles.index(one.role) if one.role in self._roles else 0
            self.role.set_words(list(spoken_roles().values()), number)
        self.hours.show_text(self._hours_text(shown))
        self.hours.setToolTip(tr("Hours in the vapour, 0 for raw wood. Several: in reading order, parted by commas."))
        for field, values in (
            (self.board, {patch.board for patch in shown}),
            (self.zone, {patch.zone for patch in shown}),
        ):
            field.show_text(values.pop() if len(values) == 1 else "")
            field.setPlaceholderText(tr("several") if len(values) > 0 else "")
        if card and one is not None and one.lab is not None:
            self.card.show_text(f"{one.lab[0]:g}")

    def _hours_text(self, shown: list[Patch]) -> str:
        hours = [patch.hours for patch in in_reading_order(shown)]
        return (
            ", ".join("?" if value is None else f"{value:g}" for value in hours)
            if any(h is not None for h in hours)
            else ""
        )

    def typing(self) -> bool:
        """Whether one of the fields has the focus."""
        return any(field.hasFocus() for field in (self.hours, self.board, self.zone, self.card))

    def type_hours(self) -> None:
        """Put the cursor into the hours."""
        self.hours.setFocus(Qt.FocusReason.ShortcutFocusReason)
        self.hours.selectAll()

    # wishes out

    def _say(self, edit: object, text: str) -> None:
        identities: Collection[int] = self._ids
        assert callable(edit)
        self.edit_asked.emit(lambda job: edit(job, identities, text))

    def _say_role(self, number: int) -> None:
        identities, role = self._ids, self._roles[number]
        if role is Role.TARGET and len(identities) == 1:
            self.edit_asked.emit(lambda job: edits.target_from_patch(job, identities[0]))
        else:
            self.edit_asked.emit(lambda job: edits.set_role(job, identities, role))

    def _say_hours(self, text: str) -> None:
        self.trouble.say("")
        try:
            self.edit_asked.emit(self._hours_edit(text))
        except InputError as error:
            self.trouble.say(f"**{tr('Hours.')}** {error}")

    def _hours_edit(self, text: str) -> object:
        identities = self._ids
        if len(identities) == 1:
            hours = parse_hours(text)
            return lambda job: edits.set_hours(job, {identities[0]: hours})
        run = parse_run(text)
        if len(run) != len(identities):
            raise InputError(tr("expected {m} values, one for each sample, got {n}", m=len(identities), n=len(run)))

        def change(job: Job) -> Edit:
            return edits.set_hours_in_order(job, run, identities)

        return change

    def _say_card(self, text: str) -> None:
        self.trouble.say("")
        identities = self._ids
        try:
            lightness = float(text.replace(",", "."))
        except ValueError:
            self.trouble.say(tr("**The card’s lightness.** Expected a number from 5 to 100, got {text}.", text=text))
            return
        self.edit_asked.emit(lambda job: edits.set_stated_lab(job, identities, (lightness, 0.0, 0.0)))
