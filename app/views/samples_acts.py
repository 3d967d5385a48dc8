"""What is typed in *Samples*: hours as a run above the rows, and beneath them what holds for all that are chosen."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime

from PySide6.QtCore import QRectF, Qt, Signal
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QVBoxLayout, QWidget

from app.models.sample_columns import Columns, LightnessAxis
from app.models.sample_rows import SampleRow
from app.models.sample_words import drawn_words, echo, parse_drawn, typed_hours
from app.views.controls import Button, Field
from app.views.parts import Notice, Stroke, Words
from app.views.theme import BODY, FULL, SEMIBOLD, SMALL_TEXT, Bench, Measure, Theme, font, text_width
from app.wording import tr
from colourcore.errors import InputError
from colourcore.job import edits
from colourcore.job.edits import Edit
from colourcore.job.model import Job

__all__ = ["HoursEntry", "SampleActs", "TableHead"]

_HEAD_HEIGHT, _LOW_HEAD, _NARROW_BENCH = 46, 28, 130


class HoursEntry(QWidget):
    """The field that hours are typed into as a run. `typed` brings text as it grows, `entered` when it is meant."""

    typed = Signal(str)
    entered = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._rows: Sequence[SampleRow] = ()
        self._chosen = False
        self._bench = 330.0
        self.field = Field(tr("hours, in reading order"), unit=tr("hours"))
        self.field.setToolTip(tr("Hours in the vapour, 0 for raw wood: 0, 1, 2 4.5 or 4 h 30. Enter gives them."))
        self.echo = Words("", SMALL_TEXT, second=True)
        self.trouble = Notice(stroke=Stroke.REFUSED)
        self._row = QHBoxLayout()
        self._row.setSpacing(14)
        self._row.addWidget(self.field, 5)
        self._row.addWidget(self.echo, 4)
        self._column = QVBoxLayout(self)
        self._column.setSpacing(6)
        self._column.addLayout(self._row)
        self._column.addWidget(self.trouble)
        self.field.textEdited.connect(self._say)
        self.field.returnPressed.connect(self._enter)

    def show_rows(self, rows: Sequence[SampleRow], *, chosen: bool, measure: Measure, bench: float) -> None:
        """Say for which samples hours would be typed now."""
        self._rows, self._chosen, self._bench = rows, chosen, bench
        left = round(bench) + (24 if measure.name == "full" else 14)
        tight = 2 if measure.folded else 8
        self._column.setContentsMargins(left, tight, measure.margin, tight)
        self.field.setEnabled(bool(rows))
        known = [row.patch.hours for row in rows]
        if not self.field.hasFocus():
            said = ", ".join("?" if hours is None else f"{hours:g}" for hours in known)
            self.field.setText(said if any(hours is not None for hours in known) else "")
        self._tell()
        self.update()

    def _tell(self) -> None:
        said, _ = echo(self.field.text().replace("?", ""), self._rows, chosen=self._chosen)
        self.echo.say(said)

    def _say(self, text: str) -> None:
        self.trouble.say("")
        self._tell()
        self.typed.emit(text)

    def _enter(self) -> None:
        said, fits = echo(self.field.text(), self._rows, chosen=self._chosen)
        if not fits:
            self.trouble.say(f"**{tr('Hours.')}** {said[:1].upper()}{said[1:]}.")
            return
        self.trouble.say("")
        self.entered.emit(typed_hours(self.field.text())[0])

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.fillRect(QRectF(0, 0, self._bench, self.height()), Bench.BENCH.colour)
        painter.setPen(Bench.INK.colour)
        painter.setFont(font(BODY, SEMIBOLD))
        words = tr("Hours, in reading order") if self._bench > 300 else tr("Hours")
        left = 28 if self._bench > 300 else 16
        box = QRectF(left, self.field.y(), self._bench - left, self.field.height())
        painter.drawText(box, Qt.AlignmentFlag.AlignVCenter, words)
        painter.end()


class TableHead(QWidget):
    """The heads of the columns, and the names along the one axis of lightness."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setFixedHeight(_HEAD_HEIGHT)
        self._columns: Columns | None = None
        self._axis: LightnessAxis | None = None
        self._theme: Theme | None = None

    def show_columns(self, columns: Columns, axis: LightnessAxis, theme: Theme) -> None:
        """Stand above these columns."""
        self._columns, self._axis, self._theme = columns, axis, theme
        self.setFixedHeight(_HEAD_HEIGHT if columns.bench > _NARROW_BENCH else _LOW_HEAD)
        self.update()

    def paintEvent(self, _event: QPaintEvent) -> None:
        columns, axis, theme = self._columns, self._axis, self._theme
        if columns is None or axis is None or theme is None:
            return
        painter = QPainter(self)
        painter.fillRect(QRectF(0, 0, columns.bench, self.height()), Bench.BENCH.colour)
        painter.setPen(theme.second_ink)
        painter.setFont(font(SMALL_TEXT))
        low = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignBottom
        named = [(columns.hours, tr("hours")), (columns.where, tr("board, zone")), (columns.L, "L*")]
        named += [(x, name) for x, name in ((columns.a, "a*"), (columns.b, "b*")) if x is not None]
        named.append((columns.remark, tr("remark")))
        for x, name in named:
            painter.drawText(QRectF(x, 0, 150, self.height() - 7), low, name)
        for tick in axis.ticks:
            middle = Qt.AlignmentFlag.AlignHCenter | Qt.AlignmentFlag.AlignBottom
            painter.drawText(QRectF(axis.x(tick) - 20, 0, 40, self.height() - 7), middle, str(tick))
        over = QRectF(axis.left - 10, 0, axis.right - axis.left + 20, 22)
        words = tr("lightness over the face, L*")
        if text_width(words, SMALL_TEXT) > over.width():
            words = tr("over the face")
        if self.height() >= _HEAD_HEIGHT:
            painter.drawText(over, Qt.AlignmentFlag.AlignCenter, words)
        painter.fillRect(QRectF(columns.bench, self.height() - 2, self.width(), 1.5), theme.line)
        painter.end()


class SampleActs(QWidget):
    """What is said of all chosen samples at once. `edit_asked` carries the edits; `photo_asked` shows one's photo."""

    edit_asked = Signal(object)
    photo_asked = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._rows: Sequence[SampleRow] = ()
        self._taken: Mapping[str, datetime | None] = {}
        self.who = Words("", weight=SEMIBOLD)
        self.board, self.zone = Field(tr("board"), unit=tr("board")), Field(tr("zone"), unit=tr("zone"))
        self.finish = Field(tr("finish"), unit=tr("finish"))
        self.drawn = Field(tr("out of the vapour"), unit=tr("out of vapour"))
        self.reason = Field(tr("reason for setting aside"))
        self.reason.setPlaceholderText(tr("reason, such as a pencil line"))
        self.aside = Button(tr("Set aside"), small=True)
        self.photo = Button(tr("Show in the photo"), small=True)
        self.trouble = Notice(stroke=Stroke.REFUSED)
        self.finish.setPlaceholderText(tr("bare"))
        self.drawn.setToolTip(tr("When they left the vapour: 2025-03-01 08:30, or 08:30 before the photo was taken"))
        self._grid = QGridLayout(self)
        self._grid.setSpacing(8)
        for widget in self._everything():
            widget.setParent(self)  # also before it is laid out for the first time
        self._measure: Measure | None = None
        self.set_measure(FULL)
        self.board.entered.connect(lambda text: self._emit(lambda job, ids: edits.set_board(job, ids, text)))
        self.zone.entered.connect(lambda text: self._emit(lambda job, ids: edits.set_zone(job, ids, text)))
        self.finish.entered.connect(lambda text: self._emit(lambda job, ids: edits.set_finish(job, ids, _bare(text))))
        self.drawn.entered.connect(self._say_drawn)
        self.reason.returnPressed.connect(self._set_aside)
        self.aside.clicked.connect(self._set_aside)
        self.photo.clicked.connect(self.photo_asked)

    def _fields(self) -> tuple[QWidget, ...]:
        return (self.board, self.zone, self.finish, self.drawn, self.reason, self.aside, self.photo)

    def _everything(self) -> tuple[QWidget, ...]:
        return (self.who, self.trouble, *self._fields())

    def set_measure(self, measure: Measure) -> None:
        """Lay the fields out for the window's size: one line, or two."""
        if measure is self._measure:
            return
        self._measure = measure
        for widget in self._everything():
            self._grid.removeWidget(widget)
        fields = self._fields()
        for column in range(8):
            self._grid.setColumnStretch(column, 0)
        tight = 4 if measure.folded else 12
        self._grid.setContentsMargins(measure.margin, tight, measure.margin, tight)
        if measure.name == "full":
            for column, (widget, stretch) in enumerate(zip((self.who, *fields), (0, 3, 4, 4, 6, 6, 0, 0), strict=True)):
                self._grid.addWidget(widget, 0, column)
                self._grid.setColumnStretch(column, stretch)
            self.who.setFixedWidth(112)
        else:
            first: tuple[QWidget, ...] = (self.who, self.board, self.zone, self.finish)
            second: tuple[QWidget, ...] = (self.photo, self.drawn, self.reason, self.aside)
            for row, widgets in enumerate((first, second)):
                for column, widget in enumerate(widgets):
                    self._grid.addWidget(widget, row, column)
                    self._grid.setColumnStretch(column, (0, 3, 4, 3)[column])
            self.who.setFixedWidth(158)
        self._grid.addWidget(self.trouble, 2, 0, 1, 8)

    def height_wanted(self) -> int:
        """How high it likes to be: its lines of fields, and what there is to complain of."""
        lines = 1 if self._measure is not None and self._measure.name == "full" else 2
        margins = self._grid.contentsMargins()
        trouble = 44 if self.trouble.words.said() else 0
        return margins.top() + margins.bottom() + 36 * lines + 8 * (lines - 1) + trouble

    def show_rows(self, rows: Sequence[SampleRow], taken: Mapping[str, datetime | None]) -> None:
        """Show what is said of these samples, the chosen ones; `taken` says when each photo was taken."""
        self._rows, self._taken = rows, taken
        n = len(rows)
        self.who.say(tr("{n} chosen", n=n) if n else tr("None chosen"))
        for widget in (self.board, self.zone, self.finish, self.drawn, self.reason, self.aside):
            widget.setEnabled(n > 0)
        self.photo.setEnabled(n > 0)
        for field, values in (
            (self.board, {row.patch.board for row in rows}),
            (self.zone, {row.patch.zone for row in rows}),
            (self.finish, {row.patch.finish for row in rows}),
            (self.drawn, {drawn_words(row.patch.drawn) for row in rows}),
            (self.reason, {row.patch.set_aside for row in rows}),
        ):
            field.show_text(next(iter(values)) if len(values) == 1 else "")
        several = len({row.patch.finish for row in rows}) > 1
        self.finish.setPlaceholderText(tr("several") if several else tr("bare"))
        self.aside.rename(tr("Take back") if self._all_aside() else tr("Set aside"))

    def _all_aside(self) -> bool:
        return bool(self._rows) and all(row.patch.set_aside for row in self._rows)

    def _emit(self, edit: object) -> None:
        identities = tuple(row.patch.identity for row in self._rows)
        self.trouble.say("")
        if identities:
            assert callable(edit)
            self.edit_asked.emit(lambda job: edit(job, identities))

    def _set_aside(self) -> None:
        reason = self.reason.text()
        if self._all_aside() and self.sender() is self.aside:
            self._emit(edits.take_back)
        elif not reason.strip():
            self.trouble.say(tr("**A reason first.** It stands beside the sample, in the report and in the record."))
            self.reason.setFocus(Qt.FocusReason.OtherFocusReason)
        else:
            self._emit(lambda job, ids: edits.set_aside(job, ids, reason))

    def _say_drawn(self, text: str) -> None:
        try:
            drawn = {row.patch.identity: parse_drawn(text, self._taken, row.patch.photo) for row in self._rows}
        except InputError as error:
            self.trouble.say(f"**{tr('Out of the vapour.')}** {error}")
            return
        self.trouble.say("")

        def change(job: Job) -> Edit:
            made = Edit(name="", job=job)
            for value in dict.fromkeys(drawn.values()):
                same = [identity for identity, time in drawn.items() if time == value]
                made = edits.set_drawn(made.job, same, value)
            return Edit(name=edits.set_drawn(job, tuple(drawn), "").name, job=made.job)

        if drawn:
            self.edit_asked.emit(change)


def _bare(text: str) -> str:
    """Whoever types "bare" means no finish."""
    return "" if text.strip().lower() == tr("bare") else text
