"""The rows of *Samples*: wood and its numbers in one line, lightness over each face on one axis, several chosen."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from PySide6.QtCore import QPoint, QRect, QRectF, Qt, Signal
from PySide6.QtGui import QAccessible, QHelpEvent, QImage, QKeyEvent, QMouseEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QScrollArea, QToolTip, QWidget

from app.models.sample_columns import columns_for, lightness_axis
from app.models.sample_rows import SampleRow, SampleSection
from app.views.painted import Painted, PaintedWidget
from app.views.place import Cutout, WindowState
from app.views.preview import cover, image_of, woven
from app.views.samples_painting import RowPaint, paint_heading, paint_row, paint_target, row_value
from app.views.theme import Bench, Theme
from app.wording import tr
from colourcore.image.patches import Hill

__all__ = ["SamplesTable"]

_ROW, _HEADING, _WOOD_INSET = {"full": 39, "small": 39, "folded": 34}, 38, 2
_GROUND = (0xBD, 0xBD, 0xBD)
_SHIFT, _CONTROL = Qt.KeyboardModifier.ShiftModifier, Qt.KeyboardModifier.ControlModifier


class SamplesTable(PaintedWidget):
    """All samples. `choose_asked` brings the identities that a hand or key chose; `hours_asked` wants to type hours."""

    choose_asked = Signal(object)
    hours_asked = Signal()
    focus_moved = Signal()
    columns_changed = Signal()
    accessible_role = QAccessible.Role.List

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName(tr("samples"))
        self._state = WindowState()
        self._sections: tuple[SampleSection, ...] = ()
        self._rows: list[SampleRow] = []
        self._places: list[QRect] = []
        self._headings: list[tuple[str, QRect]] = []
        self._hills: Mapping[int, Hill] = {}
        self._targets: tuple[float, ...] = ()
        self._typed: Mapping[int, str] = {}
        self._wood: dict[int, tuple[Cutout | None, QRect, QImage]] = {}
        self._current, self._anchor = 0, 0
        self.columns = columns_for(1440, 28, "full")
        self.axis = lightness_axis((), self.columns.hill_left, self.columns.hill_right)

    # state in

    def show_rows(self, state: WindowState, sections: Sequence[SampleSection], targets: Sequence[float]) -> None:
        """Show these samples and the L* of the targets."""
        self._state, self._sections, self._targets = state, tuple(sections), tuple(targets)
        self._rows = [row for section in sections for row in section.rows]
        self._current = min(self._current, max(0, len(self._rows) - 1))
        chosen = [n for n, row in enumerate(self._rows) if row.patch.identity in state.chosen]
        if chosen and self._current not in chosen:
            self._current = self._anchor = chosen[-1]
        self._lay_out()

    def show_hills(self, hills: Mapping[int, Hill]) -> None:
        """Show how lightness is spread over the faces."""
        self._hills = hills
        self._lay_out()

    def show_typed(self, typed: Mapping[int, str]) -> None:
        """Show hours that are being typed where they would go; none are kept by it."""
        self._typed = typed
        self.update()

    def _lay_out(self) -> None:
        measure = self._state.measure
        self.columns = columns_for(self.width(), measure.margin, measure.name)
        held = [v for hill in self._hills.values() for v in (hill.lightness[2], hill.lightness[-3])]
        held += [row.reading.lab[0] for row in self._rows if row.reading]
        held += self._targets if held else ()
        self.axis = lightness_axis(held, self.columns.hill_left, self.columns.hill_right)
        height, y = _ROW[measure.name], 0
        self._places, self._headings = [], []
        for section in self._sections:
            self._headings.append((section.title, QRect(0, y, self.width(), _HEADING)))
            y += _HEADING
            for _ in section.rows:
                self._places.append(QRect(0, y, self.width(), height))
                y += height
        self.setMinimumHeight(y + 12)
        self.columns_changed.emit()
        self.focus_moved.emit()
        self.update()

    def resizeEvent(self, _event: object) -> None:
        self._lay_out()

    # what others ask

    @property
    def theme(self) -> Theme:
        """The greys it is painted in."""
        return self._state.theme

    def current(self) -> SampleRow | None:
        """The row that the keys stand at."""
        return self._rows[self._current] if self._rows else None

    def focus_rect(self) -> QRect:
        """Where the ring goes: around the row that the keys stand at."""
        if not self._places:
            return self.rect()
        return self._places[self._current].adjusted(8, 4, -8, -4)

    def painted(self) -> tuple[Painted, ...]:
        things = []
        for row, place in zip(self._rows, self._places, strict=True):
            chosen = tr("chosen, ") if row.patch.identity in self._state.chosen else ""
            value = f"{chosen}{row_value(row)}"
            things.append(Painted(name=row.name, value=value, rect=place, role=QAccessible.Role.ListItem))
        for title, place in self._headings:
            things.append(Painted(name=title, rect=place, role=QAccessible.Role.StaticText))
        return tuple(things)

    # painting

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        columns, theme = self.columns, self._state.theme
        painter.fillRect(QRectF(0, 0, columns.bench, self.height()), Bench.BENCH.colour)
        self._paint_grid(painter)
        for title, place in self._headings:
            if place.intersects(event.rect()):
                paint_heading(painter, columns, theme, title, place)
        shown = [(r, p) for r, p in zip(self._rows, self._places, strict=True) if p.intersects(event.rect())]
        for row, place in shown:
            paint_row(painter, self._look(row, place))
        if self._places and self._targets:
            top, bottom = self._places[0].top(), self._places[-1].bottom()
            for lightness in self._targets:
                paint_target(painter, self.axis.x(lightness), top, bottom, theme)
        painter.end()

    def _paint_grid(self, painter: QPainter) -> None:
        for tick in self.axis.ticks:
            x = round(self.axis.x(tick))
            for section in self._section_spans():
                painter.fillRect(QRectF(x, section.top(), 1, section.height()), self._state.theme.grid)

    def _section_spans(self) -> list[QRect]:
        spans, number = [], 0
        for section in self._sections:
            first, last = self._places[number], self._places[number + len(section.rows) - 1]
            spans.append(first.united(last))
            number += len(section.rows)
        return spans

    def _look(self, row: SampleRow, place: QRect) -> RowPaint:
        identity = row.patch.identity
        return RowPaint(
            row=row,
            place=place,
            columns=self.columns,
            axis=self.axis,
            theme=self._state.theme,
            wood=self._wood_image(row, place),
            hill=self._hills.get(identity),
            typed=self._typed.get(identity, ""),
            chosen=identity in self._state.chosen,
            current=self._state.current,
        )

    def _wood_image(self, row: SampleRow, place: QRect) -> QImage | None:
        identity = row.patch.identity
        found = self._state.cutouts.get(identity)
        width = round(self.columns.bench - 2 * self.columns.wood + 4)
        box = QRect(0, 0, width, place.height() - 2 * _WOOD_INSET)
        kept = self._wood.get(identity)
        if kept is not None and kept[0] is found and kept[1] == box:
            return kept[2]
        size = box.size() * self.devicePixelRatioF()
        if found is not None:
            image = image_of(cover(found.balanced, size, self.devicePixelRatioF()))
        elif row.reading is not None:
            image = image_of(woven(row.reading.lab, size, _GROUND))
        else:
            return None
        self._wood[identity] = (found, box, image)
        return image

    # hands and keys

    def _at(self, y: float) -> int | None:
        return next((n for n, place in enumerate(self._places) if place.top() <= y <= place.bottom()), None)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        number = self._at(event.position().y())
        if event.button() != Qt.MouseButton.LeftButton or number is None:
            return
        modifiers = event.modifiers()
        self._go(number, extend=bool(modifiers & _SHIFT), add=bool(modifiers & _CONTROL))

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        number = self._at(event.position().y())
        if event.buttons() & Qt.MouseButton.LeftButton and number is not None and number != self._current:
            self._go(number, extend=True)

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        if self._at(event.position().y()) is not None:
            self.hours_asked.emit()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        key, shift = Qt.Key(event.key()), bool(event.modifiers() & _SHIFT)
        last = len(self._rows) - 1
        steps = {
            Qt.Key.Key_Up: -1,
            Qt.Key.Key_Down: 1,
            Qt.Key.Key_PageUp: -8,
            Qt.Key.Key_PageDown: 8,
            Qt.Key.Key_Home: -last,
            Qt.Key.Key_End: last,
        }
        if not self._rows:
            super().keyPressEvent(event)
        elif key in steps:
            first = not shift and not self._state.chosen
            self._go(min(max(self._current + (0 if first else steps[key]), 0), last), extend=shift)
        elif key == Qt.Key.Key_A and event.modifiers() & _CONTROL:
            self.choose_asked.emit(tuple(row.patch.identity for row in self._rows))
        elif key == Qt.Key.Key_Space:
            self._go(self._current, add=True)
        elif key == Qt.Key.Key_Escape and self._state.chosen:
            self.choose_asked.emit(())
        elif key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.hours_asked.emit()
        else:
            super().keyPressEvent(event)

    def _go(self, number: int, *, extend: bool = False, add: bool = False) -> None:
        self._current = number
        identity = self._rows[number].patch.identity
        if extend:
            low, high = sorted((self._anchor, number))
            chosen = tuple(row.patch.identity for row in self._rows[low : high + 1])
        elif add:
            self._anchor = number
            others = tuple(i for i in self._state.chosen if i != identity)
            chosen = others if identity in self._state.chosen else (*others, identity)
        else:
            self._anchor = number
            chosen = (identity,)
        self._show_current()
        self.choose_asked.emit(chosen)
        self.tell_chosen(number)
        self.focus_moved.emit()
        self.update()

    def _show_current(self) -> None:
        view = self.parentWidget()
        area = view.parentWidget() if view else None
        if isinstance(area, QScrollArea) and self._places:
            place = self._places[self._current]
            area.ensureVisible(0, place.center().y(), 0, place.height())

    def event(self, event: object) -> bool:
        if isinstance(event, QHelpEvent):
            number = self._at(event.pos().y())
            self._tip(event.globalPos(), self._rows[number] if number is not None else None)
            return True
        return super().event(event)  # type: ignore[arg-type]  # any event of Qt's

    def _tip(self, where: QPoint, row: SampleRow | None) -> None:
        text = "" if row is None else "\n".join((row.name, *row_value(row).split("; ")))
        QToolTip.showText(where, text, self)
