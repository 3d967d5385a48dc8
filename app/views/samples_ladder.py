"""The ladder, before there are samples: dashed places on the bench, clock times, and what to beware of."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta

from PySide6.QtCore import QRect, QRectF, Qt, Signal
from PySide6.QtGui import QAccessible, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QBoxLayout, QGridLayout, QVBoxLayout, QWidget

from app.models.ladder_words import first_start, parse_start
from app.models.sample_rows import hours_words
from app.views.controls import Button, Field
from app.views.painted import Painted, PaintedWidget
from app.views.parts import Notice, Stroke
from app.views.place import WindowState
from app.views.scrolling import ScrolledBody, scrolled
from app.views.theme import BODY, SEMIBOLD, SMALL_TEXT, Bench, font
from app.wording import tr
from colourcore.curve.ladder import Ladder, Rung, first_ladder
from colourcore.errors import InputError
from colourcore.report.ladder_sheet import EVERY_OPENING, clock_time, ladder_cautions, out_at, put_in_at
from colourcore.report.phrases import unbroken

__all__ = ["LadderView"]

_ROW, _HEAD = 43, 34
_GUESS, _SAMPLES = 8.0, 6
_BAR = 12
_LABEL_ROOM = 74.0


class _Rungs(PaintedWidget):
    """One row for each sample: its dashed place on the bench, its hours, its clock times, and its time as a bar."""

    accessible_role = QAccessible.Role.List

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(tr("ladder of samples"))
        self._ladder = first_ladder(_GUESS, _SAMPLES)
        self._start = datetime.min
        self._state = WindowState()
        self._bench = 330

    def show_ladder(self, state: WindowState, ladder: Ladder, start: datetime) -> None:
        """Show a ladder with its clock times."""
        self._state, self._ladder, self._start = state, ladder, start
        self._bench = {"full": 330, "small": 216}.get(state.measure.name, 122)
        self.setFixedHeight(_HEAD + _ROW * len(ladder.rungs) + 10)
        self.update()

    def _rungs(self) -> list[Rung]:
        return sorted(self._ladder.rungs, key=lambda rung: -rung.hours)

    def _place(self, number: int) -> QRect:
        return QRect(0, _HEAD + number * _ROW, self.width(), _ROW)

    def painted(self) -> tuple[Painted, ...]:
        things = []
        for number, rung in enumerate(self._rungs()):
            value = tr("stays raw, never goes in")
            if rung.hours:
                value = tr("in {start}, out {out}", start=self._in(rung), out=self._out())
            role = QAccessible.Role.ListItem
            things.append(Painted(name=hours_words(rung.hours), value=value, rect=self._place(number), role=role))
        return tuple(things)

    def _in(self, rung: Rung) -> str:
        return clock_time(put_in_at(rung, self._start))

    def _out(self) -> str:
        return clock_time(out_at(self._ladder, self._start))

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.fillRect(QRectF(0, 0, self._bench, self.height()), Bench.BENCH.colour)
        theme, left = self._state.theme, self._bench + 24
        painter.setFont(font(SMALL_TEXT))
        painter.setPen(theme.second_ink)
        for x, text in ((left, tr("hours")), (left + 84, tr("goes in")), (left + 190, tr("comes out"))):
            painter.drawText(QRectF(x, 0, 120, _HEAD - 6), Qt.AlignmentFlag.AlignBottom, text)
        self._paint_clock(painter, left + 300)
        painter.fillRect(QRectF(self._bench, _HEAD - 1, self.width(), 1.5), theme.line)
        for number, rung in enumerate(self._rungs()):
            self._paint_rung(painter, rung, self._place(number), left)
        painter.end()

    def _paint_rung(self, painter: QPainter, rung: Rung, place: QRect, left: int) -> None:
        theme, margin = self._state.theme, self._state.measure.margin
        pen = QPen(Bench.INK.colour, 1.5)
        pen.setDashPattern([4.0, 3.0])
        painter.setPen(pen)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        wood = QRectF(margin, place.top() + 4, self._bench - 2 * margin, place.height() - 8)
        painter.drawRect(wood.adjusted(0.75, 0.75, -0.75, -0.75))
        painter.setFont(font(BODY, SEMIBOLD))
        painter.drawText(wood, Qt.AlignmentFlag.AlignCenter, hours_words(rung.hours) if rung.hours else tr("raw"))

        def text(x: int, said: str, *, strong: bool = False) -> None:
            painter.setPen(theme.ink)
            painter.setFont(font(BODY, SEMIBOLD) if strong else font(BODY))
            painter.drawText(QRectF(x, place.top(), 300, place.height()), Qt.AlignmentFlag.AlignVCenter, said)

        text(left, hours_words(rung.hours), strong=True)
        painter.fillRect(QRectF(self._bench, place.bottom(), place.width(), 1), theme.grid)
        if not rung.hours:
            text(left + 84, tr("stays raw, never goes in"))
            return
        text(left + 84, self._in(rung))
        text(left + 190, self._out())
        begin, end = self._x(rung.in_after_hours, left + 300), self._x(rung.out_after_hours, left + 300)
        if end > begin:
            painter.fillRect(QRectF(begin, place.center().y() - _BAR / 2, end - begin, _BAR), theme.odds)

    def _x(self, hours: float, left: float) -> float:
        longest = max(rung.hours for rung in self._ladder.rungs)
        right = self.width() - self._state.measure.margin - 6
        return left + max(0.0, right - left) * hours / longest

    def _paint_clock(self, painter: QPainter, left: float) -> None:
        """Faint uprights at round clock times, named above."""
        longest = max(rung.hours for rung in self._ladder.rungs)
        room = self._x(longest, left) - left
        if room < 2 * _LABEL_ROOM:
            return
        steps = (1, 2, 3, 6, 12, 24, 48, 96, 240)
        step = next((s for s in steps if room * s / longest >= _LABEL_ROOM), steps[-1])
        midnight = self._start.replace(hour=0, minute=0, second=0, microsecond=0)
        offset = (self._start - midnight).total_seconds() / 3600
        number = int(offset // step) + 1
        while number * step - offset <= longest:
            x = round(self._x(number * step - offset, left))
            moment = midnight + timedelta(hours=number * step)
            painter.fillRect(QRectF(x, _HEAD, 1, self.height() - _HEAD - 10), self._state.theme.grid)
            box = QRectF(x - 40, 0, 80, _HEAD - 6)
            if box.right() < self.width():
                name = clock_time(moment) if moment.hour == 0 or step >= 12 else f"{moment:%H:%M}"
                painter.setPen(self._state.theme.second_ink)
                painter.drawText(box, Qt.AlignmentFlag.AlignHCenter | Qt.AlignmentFlag.AlignBottom, name)
            number += 1


class LadderView(QWidget):
    """The ladder with what the user says of it. `changed` when it did; `print_asked` and `keep_asked` for the sheet."""

    changed = Signal()
    print_asked = Signal()
    keep_asked = Signal()
    photos_asked = Signal()

    def __init__(self, clock: Callable[[], datetime], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._clock = clock
        self._guess, self._samples, self.start = _GUESS, _SAMPLES, first_start(clock())
        self._state = WindowState()
        self.guess = Field(tr("hours that the shade may take, a guess"), unit=tr("hours, a guess"))
        self.samples = Field(tr("samples, one of them raw"), unit=tr("samples, one raw"))
        self.begins = Field(tr("first goes in"), unit=tr("first goes in"))
        self.trouble = Notice(stroke=Stroke.REFUSED)
        self.rungs = _Rungs()
        self.print = Button(tr("Print the sheet for the wall"), filled=True)
        self.keep = Button(tr("Keep the sheet as PDF"))
        self.photos = Button(tr("Add photos of samples"))
        self._lay_out()
        for field in (self.guess, self.samples, self.begins):
            field.entered.connect(self._take)
        self.print.clicked.connect(self.print_asked)
        self.keep.clicked.connect(self.keep_asked)
        self.photos.clicked.connect(self.photos_asked)

    def _lay_out(self) -> None:
        body = ScrolledBody()
        self._fields = QBoxLayout(QBoxLayout.Direction.LeftToRight)
        self._fields.setSpacing(10)
        for field, width in ((self.guess, 190), (self.samples, 200), (self.begins, 230)):
            field.setMaximumWidth(width)
            self._fields.addWidget(field)
        self._fields.addStretch(1)
        self._notices = QGridLayout()
        self._notices.setHorizontalSpacing(36)
        self._notices.setVerticalSpacing(12)
        first = Notice(f"**{tr('Every opening counts:')}** {unbroken(EVERY_OPENING)}", Stroke.CARE)
        told = [Notice(f"**{one.lead}** {unbroken(one.sentence)}", Stroke.CARE) for one in ladder_cautions()]
        self.notices = (first, *told)
        for number, notice in enumerate(self.notices):
            self._notices.addWidget(notice, number, 0, Qt.AlignmentFlag.AlignTop)
        self._column = QVBoxLayout(body)
        self._column.setContentsMargins(0, 0, 0, 12)
        self._column.setSpacing(10)
        self._column.addLayout(self._fields)
        self._column.addWidget(self.trouble)
        self._column.addWidget(self.rungs)
        self._column.addLayout(self._notices)
        self._column.addStretch(1)
        self._foot = QBoxLayout(QBoxLayout.Direction.LeftToRight)
        self._foot.setSpacing(12)
        self._foot.addWidget(self.print)
        self._foot.addWidget(self.keep)
        self._foot.addStretch(1)
        self._foot.addWidget(self.photos)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.setSpacing(0)
        whole.addWidget(scrolled(body), 1)
        whole.addLayout(self._foot)

    def show_state(self, state: WindowState) -> None:
        """Show the ladder in this window."""
        self._state = state
        margin = state.measure.margin
        self._fields.setContentsMargins(margin, 4, margin, 0)
        self._notices.setContentsMargins(margin, 6, margin, 6)
        self._foot.setContentsMargins(margin, 8, margin, 8 if state.measure.folded else 16)
        columns = 1 if state.measure.folded else 2
        half = -(-len(self.notices) // columns)
        for notice in self.notices:
            self._notices.removeWidget(notice)
        for number, notice in enumerate(self.notices):
            self._notices.addWidget(notice, number % half, number // half, Qt.AlignmentFlag.AlignTop)
        self.keep.setVisible(not state.measure.folded)
        self._show()

    def ladder(self) -> Ladder:
        """The ladder as it stands."""
        return first_ladder(self._guess, self._samples)

    def _show(self) -> None:
        self.guess.show_text(f"{self._guess:g}")
        self.samples.show_text(str(self._samples))
        self.begins.show_text(clock_time(self.start))
        self.rungs.show_ladder(self._state, self.ladder(), self.start)

    def _take(self, _text: str) -> None:
        """Take in what was typed; what cannot be understood is said and changes nothing."""
        try:
            guess, samples = _number(self.guess.text()), int(_number(self.samples.text()))
            if not 3 <= samples <= 16:
                raise InputError(tr("expected 3 to 16 samples, got {n}", n=samples))
            first_ladder(guess, samples)
            typed = self.begins.text()
            start = self.start if typed == clock_time(self.start) else parse_start(typed, self._clock())
        except InputError as error:
            self.trouble.say(f"**{tr('The ladder.')}** {error}")
            return
        self.trouble.say("")
        self._guess, self._samples, self.start = guess, samples, start
        self._show()
        self.changed.emit()


def _number(text: str) -> float:
    try:
        return float(text.strip().replace(",", "."))
    except ValueError:
        raise InputError(tr("expected a number, got {text}", text=text or tr("nothing"))) from None
