"""What is typed or chosen for a shade: which patch, which numbers, which shade of the shelf, which hour."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QBoxLayout, QHBoxLayout, QStackedWidget, QVBoxLayout, QWidget

from app.models.target_numbers import Notation, lab_from_codes, lab_from_numbers, lab_words
from app.views.controls import Button, Field, Tabs
from app.views.parts import Notice, Stroke, Words
from app.views.target_sources import Source
from app.views.theme import SMALL_TEXT
from app.wording import tr
from colourcore.colour.munsell import written_munsell
from colourcore.errors import InputError
from colourcore.job.model import Lab

__all__ = ["SourcePanel"]

_HEIGHT = 42
_WORDS = {Notation.LAB: "L*a*b*", Notation.SRGB: "sRGB", Notation.MUNSELL: "Munsell"}


class SourcePanel(QWidget):
    """One page for each source.

    `lab_asked` brings L*, a*, b* with a label, `munsell_asked` a notation to be looked up, `hour_asked` an hour as
    it was typed, `patch_asked` the number of a patch, `draw_asked` wants one drawn, `take_off_asked` a shade gone.
    """

    lab_asked = Signal(object, str)
    munsell_asked = Signal(str)
    hour_asked = Signal(str)
    part_chosen = Signal(int)
    patch_asked = Signal(int)
    draw_asked = Signal()
    take_off_asked = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._notation = Notation.LAB
        self.patches, self.draw = Tabs(), Button(tr("Draw one in a photo"), small=True)
        self.patch_words = Words("", SMALL_TEXT, second=True)
        self.notations = Tabs([_WORDS[n] for n in Notation])
        self.numbers = Field(tr("the shade in numbers"))
        self.echo = Words("", SMALL_TEXT, second=True)
        self.shelf_words = Words("", SMALL_TEXT, second=True)
        self.take_off = Button(tr("Take it off the shelf"), small=True)
        self.hour = Field(tr("hour of the curve"), unit=tr("hours"))
        self.hour_parts = Tabs()
        self.hour_words = Words("", SMALL_TEXT, second=True)
        self.trouble = Notice(stroke=Stroke.REFUSED)
        self._stack = QStackedWidget()
        pages = {
            Source.PATCH: (self.patches, self.patch_words, self.draw),
            Source.NUMBERS: (self.notations, self.numbers, self.echo),
            Source.SHELF: (self.shelf_words, self.take_off),
            Source.HOUR: (self.hour, self.hour_parts, self.hour_words),
        }
        for widgets in pages.values():
            self._stack.addWidget(_page(widgets))
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(6)
        self._stack.setFixedHeight(_HEIGHT)
        column.addWidget(self._stack)
        column.addWidget(self.trouble)
        self.numbers.setPlaceholderText(self._notation.value)
        self.numbers.setMinimumWidth(150)
        self.hour.setFixedWidth(150)
        self._connect()

    def _connect(self) -> None:
        self.patches.chosen.connect(self.patch_asked)
        self.draw.clicked.connect(self.draw_asked)
        self.notations.chosen.connect(self._choose_notation)
        self.numbers.textEdited.connect(self._tell)
        self.numbers.entered.connect(self._enter)
        self.hour.entered.connect(self.hour_asked)
        self.hour_parts.chosen.connect(self.part_chosen)
        self.take_off.clicked.connect(self.take_off_asked)

    def show_source(self, source: Source) -> None:
        """Show a source's page."""
        number = list(Source).index(source)
        if number != self._stack.currentIndex():
            self.trouble.say("")
        self._stack.setCurrentIndex(number)

    def show_patches(self, names: Sequence[str], held: int) -> None:
        """Show the patches that may be aimed for; `held` is the number of the one that is, -1 for none."""
        self.patches.set_words(names, held)
        self.patches.setVisible(len(names) > 1 or (bool(names) and held < 0))
        self.patch_words.say("" if names else tr("No patch is outlined as a target yet."))
        self.patch_words.setVisible(not names)

    def show_hours(self, parts: Sequence[str], chosen: int) -> None:
        """Show the curves that an hour may be taken from."""
        self.hour_parts.set_words(parts, chosen)
        self.hour_parts.setVisible(len(parts) > 1)
        self.hour.setEnabled(bool(parts))
        self.hour_words.say(tr("“like the 9 h sample”") if parts else tr("There is no curve yet."))

    def _choose_notation(self, number: int) -> None:
        self._notation = list(Notation)[number]
        self.numbers.setPlaceholderText(self._notation.value)
        self.notations.set_words([_WORDS[n] for n in Notation], number)
        self._tell(self.numbers.text())
        self.numbers.setFocus()

    def _lab(self, text: str) -> Lab | None:
        """The shade typed; None for Munsell notation, which is looked up."""
        if self._notation is Notation.LAB:
            return lab_from_numbers(text)
        if self._notation is Notation.SRGB:
            return lab_from_codes(text)
        written_munsell(text)
        return None

    def _tell(self, text: str) -> None:
        self.trouble.say("")
        if not text.strip():
            self.echo.say("")
            return
        try:
            lab = self._lab(text)
        except InputError:
            self.echo.say(tr("such as {example}", example=self._notation.value))
            return
        self.echo.say(
            tr("{text}, looked up when entered", text=written_munsell(text)) if lab is None else lab_words(lab)
        )

    def _enter(self, text: str) -> None:
        if not text.strip():
            return
        try:
            lab = self._lab(text)
        except InputError as error:
            self.trouble.say(f"**{tr('Numbers.')}** {error}")
            return
        self.trouble.say("")
        if lab is None:
            self.echo.say(tr("{text} is looked up", text=written_munsell(text)))
            self.munsell_asked.emit(text)
        else:
            label = "" if self._notation is Notation.LAB else tr("sRGB {text}", text=text.strip())
            self.lab_asked.emit(lab, label)


def _page(widgets: Sequence[QWidget]) -> QWidget:
    page = QWidget()
    row = QHBoxLayout(page)
    row.setDirection(QBoxLayout.Direction.LeftToRight)
    row.setContentsMargins(0, 0, 0, 0)
    row.setSpacing(16)
    for widget in widgets:
        row.addWidget(widget, 1 if isinstance(widget, Words) else 0)
    row.addStretch(1)
    return page
