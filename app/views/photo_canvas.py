"""A photo with its outlines, under the hand: nearer, farther, outlines drawn, moved, resized and turned.

The canvas shows what it is given and says what the hand did; it never waits for a reading. While a drag is under way
the outline follows the hand here alone, and the job learns of it when the hand lets go.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRect, QRectF, QSize, QSizeF, Qt, Signal
from PySide6.QtGui import QColor, QFocusEvent, QImage, QPainter, QPaintEvent, QPalette, QPen, QPixmap, QResizeEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.models.outlines import Corners
from app.models.photo_view import PhotoView
from app.pictures import Pixels, View
from app.views.painted import Painted, PaintedWidget
from app.views.parts import bench_palette
from app.views.photo_painting import (
    Drawn,
    LineKind,
    Tag,
    paint_feet_and_grips,
    paint_outline,
    paint_tags,
)

__all__ = ["Outlined", "PhotoCanvas", "image_of"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Outlined:
    """An outline to show: whose it is, where, how its line is drawn, its tags, and how it is told to screen readers."""

    identity: int
    corners: Corners
    kind: LineKind
    tags: Sequence[Tag] = ()
    aside: bool = False
    name: str = ""
    value: str = ""


def image_of(pixels: Pixels) -> QImage:
    """Return RGB codes of shape (height, width, 3) as a picture that keeps its own bytes."""
    height, width = pixels.shape[:2]
    return QImage(pixels.tobytes(), width, height, 3 * width, QImage.Format.Format_RGB888).copy()


def _levels(image: QImage) -> tuple[QImage, ...]:
    """Return a picture in half its size and as it is: the smaller one is painted faster, and better, from far away."""
    half = image.scaled(
        image.size() / 2, Qt.AspectRatioMode.IgnoreAspectRatio, Qt.TransformationMode.SmoothTransformation
    )
    return half, image


class PhotoCanvas(PaintedWidget):
    """Shows one photo and its outlines.

    `view_changed` follows zooming and panning, so that sharper parts can be asked for. `focus_moved` follows the
    chosen outline.
    """

    view_changed = Signal()
    own_focus = True  # draws its ring itself, inside: it lies flush with the window's edge

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setPalette(bench_palette())
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        self.view = PhotoView()
        self.outlines: tuple[Outlined, ...] = ()
        self.chosen: tuple[int, ...] = ()
        self.in_hand: dict[int, Corners] = {}
        self.being_drawn: Corners | None = None
        self.as_it_came = False
        self._raw: tuple[QImage, ...] = ()
        self._balanced: tuple[QImage, ...] = ()
        self._sharp: list[tuple[QRectF, QImage]] = []
        self._empty = ""
        self._layer: QPixmap | None = None
        self._layer_key: tuple[object, ...] = ()

    def minimumSizeHint(self) -> QSize:
        return QSize(240, 120)

    # what it is given

    def show_nothing(self, words: str) -> None:
        """Show no photo, but these words in its place."""
        self._raw = self._balanced = ()
        self._sharp, self._empty = [], words
        self.view = PhotoView(size=self.view.size)
        self.set_outlines((), ())

    def show_photo(self, shown: View, *, same: bool) -> None:
        """Show a photo; where it is the same as before, the view stays where it is."""
        self._raw = _levels(image_of(shown.raw))
        self._balanced = _levels(image_of(shown.balanced)) if shown.balanced is not None else ()
        self._sharp = []
        if not same:
            self.view = PhotoView(photo=(shown.width, shown.height), size=self.view.size)
        self.view_changed.emit()
        self.update()

    def set_outlines(self, outlines: Sequence[Outlined], chosen: Sequence[int]) -> None:
        """Show these outlines; the chosen ones with what they are held by."""
        self.outlines, self.chosen = tuple(outlines), tuple(chosen)
        self.tell_changed()
        self.update()

    def set_sharp(self, parts: Sequence[tuple[QRectF, QImage]]) -> None:
        """Show sharper parts over the photo; their places in photo pixels."""
        self._sharp = list(parts)
        self.update()

    def set_view(self, view: PhotoView) -> None:
        """Look at the photo in another way."""
        if view != self.view:
            self.view = view
            self.view_changed.emit()
            self.update()

    def set_as_it_came(self, as_it_came: bool) -> None:
        """Show the file as it came, or balanced."""
        if as_it_came != self.as_it_came:
            self.as_it_came = as_it_came
            self._sharp = []
            self.view_changed.emit()
            self.update()

    @property
    def has_photo(self) -> bool:
        """Whether there is a photo to see."""
        return bool(self._raw)

    # where things stand

    def corners(self, outlined: Outlined) -> Corners:
        """Return an outline's corners in photo pixels, as the hand has them now."""
        return self.in_hand.get(outlined.identity, outlined.corners)

    def points(self, corners: Corners) -> tuple[QPointF, ...]:
        """Return corners in the view's logical pixels."""
        return tuple(QPointF(*self.view.to_view(*point)) for point in corners)

    def painted(self) -> tuple[Painted, ...]:
        return tuple(
            Painted(name=outlined.name, value=outlined.value, rect=self._rect(outlined)) for outlined in self.outlines
        )

    def _rect(self, outlined: Outlined) -> QRect:
        points = self.points(self.corners(outlined))
        left, top = min(p.x() for p in points), min(p.y() for p in points)
        right, bottom = max(p.x() for p in points), max(p.y() for p in points)
        return QRectF(left, top, right - left, bottom - top).toAlignedRect()

    # painting

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        levels = self._raw if self.as_it_came or not self._balanced else self._balanced
        if not levels:
            painter.fillRect(event.rect(), self.palette().window())
            self._paint_empty(painter)
        else:
            painter.drawPixmap(0, 0, self._layered(levels))
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            self._paint_outlines(painter)
        if self.hasFocus():
            self._paint_focus(painter)
        painter.end()

    def _paint_empty(self, painter: QPainter) -> None:
        painter.setPen(self.palette().windowText().color())
        painter.setFont(self.font())
        inner = self.rect().adjusted(28, 28, -28, -28)
        painter.drawText(inner, Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap, self._empty)

    def _layered(self, levels: tuple[QImage, ...]) -> QPixmap:
        """Return the photo as it is seen now, painted once: a dragged outline paints nothing of it again."""
        ratio = self.devicePixelRatioF()
        wanted = self.view.photo[0] * self.view.zoom * ratio
        image = next((level for level in levels if level.width() >= wanted), levels[-1])
        key = (self.view, ratio, image.cacheKey(), tuple(part.cacheKey() for _, part in self._sharp))
        if self._layer is None or key != self._layer_key:
            self._layer = QPixmap((QSizeF(self.size()) * ratio).toSize())
            self._layer.setDevicePixelRatio(ratio)
            self._layer.fill(self.palette().color(QPalette.ColorRole.Window))
            painter = QPainter(self._layer)
            self._paint_photo(painter, image)
            painter.end()
            self._layer_key = key
        return self._layer

    def _paint_photo(self, painter: QPainter, image: QImage) -> None:
        left, top = self.view.origin
        zoom = self.view.zoom
        width, height = self.view.photo
        shown = QRectF(left, top, width * zoom, height * zoom).intersected(QRectF(self.rect()))
        share = image.width() / width
        x, y = self.view.to_photo(shown.left(), shown.top())
        source = QRectF(x * share, y * share, shown.width() / zoom * share, shown.height() / zoom * share)
        smooth = zoom * self.devicePixelRatioF() < 2 * share
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform, smooth)
        painter.drawImage(shown, image, source)
        for place, part in self._sharp:
            corner = QPointF(*self.view.to_view(place.left(), place.top()))
            painter.drawImage(QRectF(corner.x(), corner.y(), place.width() * zoom, place.height() * zoom), part)

    def _drawn(self, outlined: Outlined) -> Drawn:
        return Drawn(
            points=self.points(self.corners(outlined)),
            kind=outlined.kind,
            tags=outlined.tags,
            chosen=outlined.identity in self.chosen,
            aside=outlined.aside,
        )

    def _paint_outlines(self, painter: QPainter) -> None:
        room = QRectF(self.rect())
        all_drawn = sorted((self._drawn(outlined) for outlined in self.outlines), key=lambda drawn: drawn.chosen)
        for drawn in all_drawn:
            paint_outline(painter, drawn)
        for drawn in all_drawn:
            paint_tags(painter, drawn, room)
        if len(self.chosen) == 1:
            for drawn in all_drawn:
                if drawn.chosen:
                    paint_feet_and_grips(painter, drawn.points)
        if self.being_drawn is not None:
            paint_outline(painter, Drawn(points=self.points(self.being_drawn), kind=LineKind.SAMPLE))

    def _paint_focus(self, painter: QPainter) -> None:
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        box = QRectF(self.rect()).adjusted(5, 5, -5, -5)
        for colour, width in ((QColor("#f8f8f8"), 7.0), (QColor("#141414"), 3.0)):
            painter.setPen(QPen(colour, width))
            painter.drawRoundedRect(box, 3, 3)

    def resizeEvent(self, event: QResizeEvent) -> None:
        self.view = self.view.sized(event.size().width(), event.size().height())
        self.view_changed.emit()

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self.update()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        self.update()
