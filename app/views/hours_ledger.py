"""The ledger of *Hours*: blocks one under the other, painted so that they follow the grip without a stumble."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from PySide6.QtCore import QRect, QRectF, QSize, Qt
from PySide6.QtGui import QAccessible, QPainter, QPaintEvent, QPalette, QResizeEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.models.hours_ledger import Block, Head, Line, Paragraph, Pieces
from app.views.hours_blocks import block_height, block_things, paint_block, piece_size
from app.views.painted import Painted, PaintedWidget
from app.views.theme import BOLD, LEDGER_HEAD, LIGHT, Theme, text_width

__all__ = ["LedgerText"]

_GAP, _LINE_GAP = 8.0, 12.0
_WIDE, _WIDE_PIECES = 430.0, 250.0


@dataclass(frozen=True, slots=True, kw_only=True)
class _Laid:
    """A block and where it lies."""

    block: Block
    box: QRectF


class LedgerText(PaintedWidget):
    """Blocks of the ledger, one under the other; as high as they need for the width they are given."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._blocks: tuple[Block, ...] = ()
        self._theme = LIGHT
        self._laid: tuple[_Laid, ...] = ()
        self._foreseen: tuple[tuple[Block, ...], ...] = ()
        self._least: dict[int, tuple[float, ...]] = {}
        policy = QSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Minimum)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)
        self.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)

    def set_blocks(self, blocks: Iterable[Block], theme: Theme) -> None:
        """Show these blocks; those that stay as they are are not painted again."""
        new = tuple(blocks)
        if new == self._blocks and theme is self._theme:
            return
        same_theme, before = theme is self._theme, self._laid
        deep = self.heightForWidth(self.width())
        self._blocks, self._theme = new, theme
        self._laid = self._arranged(self.width())
        if self.heightForWidth(self.width()) != deep:
            self.updateGeometry()
        if same_theme:
            self._update_changed(before)
        else:
            self.update()
        if QAccessible.isActive():
            self.tell_changed()

    def _update_changed(self, before: tuple[_Laid, ...]) -> None:
        for number, one in enumerate(self._laid):
            was = before[number] if number < len(before) else None
            if was is None or was.block != one.block or was.box != one.box:
                self.update(one.box.adjusted(-2, -2, 2, 2).toAlignedRect())
        end = int(self._laid[-1].box.bottom()) if self._laid else 0
        self.update(QRect(0, end, self.width(), max(0, self.height() - end)))

    def foresee(self, coming: Iterable[tuple[Block, ...]]) -> None:
        """Keep room for what may come while the grip moves, so that nothing below a longer sentence jumps."""
        self._foreseen = tuple(coming)
        self._least = {}
        self._laid = self._arranged(self.width())
        self.updateGeometry()
        self.update()

    def _room(self, width: int) -> tuple[float, ...]:
        """The deepest that each block in turn gets; nothing where they are not of one kind."""
        if width not in self._least:
            kinds = {tuple(type(block) for block in blocks) for blocks in self._foreseen}
            depths = [[block_height(block, width) for block in blocks] for blocks in self._foreseen]
            deepest = (max(column) for column in zip(*depths, strict=True)) if len(kinds) == 1 else ()
            self._least[width] = tuple(deepest)
        return self._least[width]

    def _arranged(self, width: int) -> tuple[_Laid, ...]:
        least = self._room(width)
        if len(least) != len(self._blocks):
            least = (0.0,) * len(self._blocks)
        y, laid = 0.0, list[_Laid]()
        for number, block in enumerate(self._blocks):
            before = self._blocks[number - 1] if number else None
            if isinstance(block, Pieces) and isinstance(before, Head) and before.large and width >= _WIDE:
                laid.append(_Laid(block=block, box=_beside_head(before, laid[-1].box)))
                continue
            y += _space(before, block)
            height = max(block_height(block, width), least[number])
            laid.append(_Laid(block=block, box=QRectF(0, y, width, height)))
            y += height
        return tuple(laid)

    def hasHeightForWidth(self) -> bool:
        return True

    def heightForWidth(self, width: int) -> int:
        laid = self._laid if width == self.width() else self._arranged(width)
        return round(laid[-1].box.bottom()) + 2 if laid else 0

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._laid = self._arranged(event.size().width())

    def sizeHint(self) -> QSize:
        return QSize(220, self.heightForWidth(self.width()))

    def minimumSizeHint(self) -> QSize:
        return QSize(120, 0)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setClipRegion(event.region())
        painter.fillRect(event.rect(), self.palette().color(QPalette.ColorRole.Window))
        for one in self._laid:
            if event.region().intersects(one.box.adjusted(-2, -2, 2, 2).toAlignedRect()):
                paint_block(painter, one.block, one.box, self._theme)
        painter.end()

    def painted(self) -> tuple[Painted, ...]:
        things: list[Painted] = []
        for one in self._laid:
            things += block_things(one.block, one.box)
        return tuple(things)


def _beside_head(head: Head, box: QRectF) -> QRectF:
    """Where ten pieces lie in a wide ledger: in the line of the hour."""
    left = max(96.0, text_width(head.title, LEDGER_HEAD, BOLD)) + 26
    return QRectF(left, box.top() + 4, _WIDE_PIECES, piece_size(_WIDE_PIECES)[1] + 2)


def _space(before: Block | None, block: Block) -> float:
    if before is None:
        return 4.0
    if isinstance(block, Line):
        return _LINE_GAP
    if isinstance(before, Line):
        return _LINE_GAP / 2
    if isinstance(block, Paragraph) and block.noted:
        return _LINE_GAP
    return _GAP if isinstance(before, Head | Pieces) else 4.0
