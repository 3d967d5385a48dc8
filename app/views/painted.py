"""What is painted, told to screen readers: every painted thing is a child with name, value and place.

A widget that paints things derives from `PaintedWidget` and says in `painted()` what they are; nothing else is
needed. `install()` must have been called once, before the first such widget is asked.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from PySide6.QtCore import QObject, QPoint, QRect
from PySide6.QtGui import QAccessible, QAccessibleEvent, QAccessibleInterface
from PySide6.QtWidgets import QAccessibleWidget, QWidget

__all__ = ["Painted", "PaintedWidget", "install"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Painted:
    """One painted thing: what it is, its value in words, and where it is in its widget."""

    name: str
    value: str = ""
    rect: QRect = field(default_factory=QRect)
    role: QAccessible.Role = QAccessible.Role.Graphic


class PaintedWidget(QWidget):
    """A widget whose painted things are children for screen readers."""

    accessible_role = QAccessible.Role.Client
    interface: QAccessibleInterface | None = None

    def painted(self) -> tuple[Painted, ...]:
        """What is painted, in reading order."""
        return ()

    def tell_chosen(self, number: int) -> None:
        """Tell screen readers that the painted thing of that number has the focus now."""
        event = QAccessibleEvent(self, QAccessible.Event.Focus)
        event.setChild(number)
        QAccessible.updateAccessibility(event)

    def tell_changed(self) -> None:
        """Tell screen readers that names or values changed."""
        QAccessible.updateAccessibility(QAccessibleEvent(self, QAccessible.Event.NameChanged))


class _Thing(QAccessibleInterface):
    def __init__(self, owner: PaintedWidget, number: int) -> None:
        super().__init__()
        self._owner, self._number = owner, number

    def _painted(self) -> Painted | None:
        things = self._owner.painted()
        return things[self._number] if self._number < len(things) else None

    def isValid(self) -> bool:
        return self._painted() is not None

    def object(self) -> Any:
        return None

    def window(self) -> Any:
        return self._owner.window().windowHandle()

    def parent(self) -> QAccessibleInterface:
        return QAccessible.queryAccessibleInterface(self._owner)

    def child(self, _index: int) -> Any:
        return None

    def childAt(self, _x: int, _y: int) -> Any:
        return None

    def childCount(self) -> int:
        return 0

    def indexOfChild(self, _child: QAccessibleInterface) -> int:
        return -1

    def text(self, kind: QAccessible.Text) -> str:
        painted = self._painted()
        if painted is None:
            return ""
        return {QAccessible.Text.Name: painted.name, QAccessible.Text.Value: painted.value}.get(kind, "")

    def setText(self, kind: QAccessible.Text, text: str) -> None:
        """Nothing painted can be renamed from outside."""

    def rect(self) -> QRect:
        painted = self._painted()
        return painted.rect.translated(self._owner.mapToGlobal(QPoint(0, 0))) if painted else QRect()

    def role(self) -> QAccessible.Role:
        painted = self._painted()
        return painted.role if painted else QAccessible.Role.NoRole

    def state(self) -> QAccessible.State:
        return QAccessible.State()

    def interface_cast(self, _kind: QAccessible.InterfaceType) -> Any:
        return None


class _PaintedParent(QAccessibleWidget):
    def __init__(self, widget: PaintedWidget) -> None:
        super().__init__(widget, widget.accessible_role, widget.accessibleName())
        self._owner = widget
        self._things: list[_Thing] = []

    def _count(self) -> int:
        return len(self._owner.painted())

    def childCount(self) -> int:
        return super().childCount() + self._count()

    def child(self, index: int) -> QAccessibleInterface:
        count = self._count()
        if index >= count:
            return super().child(index - count)
        while len(self._things) < count:
            self._things.append(_Thing(self._owner, len(self._things)))
        return self._things[index]

    def indexOfChild(self, child: QAccessibleInterface) -> int:
        if isinstance(child, _Thing):
            return self._things.index(child) if child in self._things else -1
        inner = super().indexOfChild(child)
        return inner + self._count() if inner >= 0 else -1

    def childAt(self, x: int, y: int) -> Any:
        for number in range(self._count()):
            thing = self.child(number)
            if thing.rect().contains(x, y):
                return thing
        return super().childAt(x, y)


_installed: list[object] = []


def _make(_key: str, widget: QObject) -> QAccessibleInterface | None:
    if not isinstance(widget, PaintedWidget):
        return None
    # kept by its widget: Qt holds no reference to what Python made
    widget.interface = _PaintedParent(widget)
    return widget.interface


def install() -> None:
    """Make Qt ask this module for the children of painted widgets; once in each program."""
    if not _installed:
        QAccessible.installFactory(_make)
        _installed.append(_make)
