"""The shade on the bench: its patch as it was photographed, raw beside finished, and what of the wood gets there."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from PySide6.QtCore import QRect, QRectF, Qt
from PySide6.QtGui import QAccessible, QFontMetricsF, QImage, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QWidget

from app.models.hours_axis import Axis
from app.models.target_words import pairs_words, plank_words, reach_words
from app.views.painted import Painted, PaintedWidget
from app.views.parts import bench_palette
from app.views.place import Cutout, WindowState
from app.views.preview import Preview, cover, image_of, woven
from app.views.target_reach import ReachPaint, paint_reach, reach_height
from app.views.target_view import TargetView
from app.views.theme import BODY, SEMIBOLD, SMALL_TEXT, Bench, font
from app.wording import tr
from colourcore.job.model import Lab

__all__ = ["TargetBench"]

_HEAD, _FOOT, _GAP = 30, 30, 18
_LEAST_PATCH, _MOST_PATCH = 84, 250
_LEAST_PLANK, _MOST_PLANK, _LOW = 34, 118, 60
_BEYOND = 1.5  # times the last sample, up to which the rule follows an hour
_GROUND = (0xBD, 0xBD, 0xBD)
_LEFT = Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft


class TargetBench(PaintedWidget):
    """Paints a target; nothing on it moves."""

    accessible_role = QAccessible.Role.Grouping

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setPalette(bench_palette())
        self.setAccessibleName(tr("the shade on the bench"))
        self._view = TargetView()
        self._state = WindowState()
        self._things: tuple[Painted, ...] = ()
        self._pictures: dict[tuple[object, ...], QImage] = {}
        self._preview: tuple[Cutout, Preview] | None = None

    def show_view(self, state: WindowState, view: TargetView) -> None:
        """Show a target."""
        if view.wood is not self._view.wood or view.grain is not self._view.grain:
            self._pictures.clear()
        self._state, self._view = state, view
        boxes = self._boxes()
        self._things = self._told(boxes)
        self.update()

    def resizeEvent(self, _event: object) -> None:
        self._pictures.clear()
        self._things = self._told(self._boxes())

    def painted(self) -> tuple[Painted, ...]:
        return self._things

    # where things lie

    def _boxes(self) -> Mapping[str, QRect]:
        """From the bottom: what gets there, the two planks, and the patch in what is left."""
        width, height, view = self.width(), self.height(), self._view
        if view.shade is None:
            return MappingProxyType({})
        reach = reach_height(len(view.reaches)) + _HEAD if view.reaches else 0
        rest = height - reach - (_GAP if reach else 0) - 4
        planks = _HEAD + _FOOT
        plank = min(_MOST_PLANK, max(_LEAST_PLANK, (rest - planks) // 4 if rest > 300 else rest - planks))
        patch = rest - planks - plank - _GAP - _HEAD
        boxes: dict[str, QRect] = {}
        y = 0
        if patch >= _LEAST_PATCH:
            patch = min(patch, _MOST_PATCH)
            boxes["patch"] = QRect(0, y + _HEAD, width, patch)
            y += _HEAD + patch + _GAP
        half = (width - 20) // 2
        boxes["raw"] = QRect(0, y + _HEAD, half, plank)
        boxes["done"] = QRect(width - half, y + _HEAD, half, plank)
        y += _HEAD + plank + _FOOT + _GAP
        if reach and y + reach <= height + _GAP:
            boxes["reach"] = QRect(0, y, width, reach)
        return MappingProxyType(boxes)

    def _told(self, boxes: Mapping[str, QRect]) -> tuple[Painted, ...]:
        view, found = self._view, self._view.found
        things = []
        if "patch" in boxes and view.shade is not None:
            things.append(Painted(name=view.title, value=plank_words(view.shade, None), rect=boxes["patch"]))
        if "raw" in boxes:
            value = plank_words(found.bare, found.bare_error) or found.reason
            things.append(Painted(name=self._raw_title(), value=value, rect=boxes["raw"]))
            done = plank_words(found.done, found.done_error) or found.reason
            things.append(Painted(name=self._done_title(), value=done, rect=boxes["done"]))
        if "reach" in boxes:
            area = boxes["reach"]
            things += [Painted(name=one.name, value=reach_words(one), rect=area) for one in view.reaches]
        return tuple(things)

    def _raw_title(self) -> str:
        return tr("Raw, to aim for in the tent")

    def _done_title(self) -> str:
        finish = self._view.found.finish
        return tr("The same, under {finish}", finish=finish) if finish else tr("The same, finished")

    # painting

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        boxes, view, found = self._boxes(), self._view, self._view.found
        if not boxes:
            painter.end()
            return
        if "patch" in boxes and view.shade is not None:
            self._head(painter, boxes["patch"], view.title, strong=False)
            painter.drawImage(boxes["patch"], self._wood(boxes["patch"], view.shade, as_it_is=True))
        self._head(painter, boxes["raw"], self._raw_title())
        self._head(painter, boxes["done"], self._done_title())
        self._plank(painter, boxes["raw"], found.bare, plank_words(found.bare, found.bare_error))
        figures = plank_words(found.done, found.done_error)
        under = ", ".join(part for part in (figures, pairs_words(found)) if part)
        self._plank(painter, boxes["done"], found.done, under)
        if "reach" in boxes:
            self._paint_reach(painter, boxes["reach"])
        painter.end()

    def _head(self, painter: QPainter, box: QRect, text: str, *, strong: bool = True) -> None:
        painter.setFont(font(BODY, SEMIBOLD) if strong else font(SMALL_TEXT))
        painter.setPen(Bench.INK.colour if strong else Bench.SECOND_INK.colour)
        area = QRectF(box.left(), box.top() - _HEAD, box.width(), _HEAD - 4)
        cut = QFontMetricsF(painter.font()).elidedText(text, Qt.TextElideMode.ElideRight, area.width())
        painter.drawText(area, _LEFT, cut)

    def _plank(self, painter: QPainter, box: QRect, shade: Lab | None, under: str) -> None:
        if shade is not None:
            painter.drawImage(box, self._wood(box, shade))
            painter.setFont(font(SMALL_TEXT))
            painter.setPen(Bench.INK.colour)
            area = QRectF(box.left(), box.bottom() + 3, box.width(), _FOOT - 4)
            cut = QFontMetricsF(painter.font()).elidedText(under, Qt.TextElideMode.ElideRight, area.width())
            painter.drawText(area, _LEFT, cut)
            return
        if box.height() < _LOW:
            box = box.adjusted(0, 0, 0, _FOOT - 6)  # the words take the place of the figures too
        pen = QPen(Bench.SECOND_INK.colour, 1.5)
        pen.setDashPattern([4.0, 3.0])
        painter.setPen(pen)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawRect(QRectF(box).adjusted(0.75, 0.75, -0.75, -0.75))
        painter.setPen(Bench.INK.colour)
        painter.setFont(font(SMALL_TEXT))
        inner = QRectF(box).adjusted(12, 4, -12, -4)
        wrapped = int(Qt.AlignmentFlag.AlignVCenter) | int(Qt.TextFlag.TextWordWrap)
        painter.drawText(inner, wrapped, self._view.found.reason)

    def _wood(self, box: QRect, shade: Lab, *, as_it_is: bool = False) -> QImage:
        """The shade's own wood, or other wood moved to the shade, or a woven swatch where there is none."""
        key = (box.width(), box.height(), shade, as_it_is)
        if key not in self._pictures:
            self._pictures[key] = self._made(box, shade, as_it_is=as_it_is)
        return self._pictures[key]

    def _made(self, box: QRect, shade: Lab, *, as_it_is: bool) -> QImage:
        ratio = self.devicePixelRatioF()
        size = box.size() * ratio
        view, full = self._view, (shade[0], shade[1] or 0.0, shade[2] or 0.0)
        if as_it_is and view.wood is not None:
            return image_of(cover(view.wood.balanced, size, ratio))
        source = view.wood or view.grain
        if source is None or as_it_is or shade[1] is None:
            return image_of(woven(full, size, _GROUND))
        preview = Preview(cover(source.balanced, size, ratio))
        return preview.image(full).copy()

    def _paint_reach(self, painter: QPainter, box: QRect) -> None:
        view = self._view
        painter.setFont(font(BODY, SEMIBOLD))
        painter.setPen(Bench.INK.colour)
        painter.drawText(QRectF(box.left(), box.top(), box.width(), _HEAD - 6), _LEFT, tr("Within reach?"))
        names = max(QFontMetricsF(font(SMALL_TEXT)).horizontalAdvance(one.name) for one in view.reaches) + 14
        left = min(names, box.width() * 0.3)
        last = max(one.prospect.last_sample for one in view.reaches)
        ends = [last, *(one.hours for one in view.reaches if one.hours is not None and one.hours <= _BEYOND * last)]
        axis = Axis(last_hours=max(max(ends), 0.5), first_x=box.left() + left + 6, last_x=box.right() - 14)
        hours = sorted({row.hours or 0.0 for one in view.reaches for row in one.group.readings})
        paint_reach(
            painter,
            ReachPaint(
                area=box.adjusted(0, _HEAD, 0, 0),
                left=round(left),
                axis=axis,
                named=tuple(hours),
                reaches=view.reaches,
                ratio=self.devicePixelRatioF(),
            ),
        )
