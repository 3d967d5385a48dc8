"""The system's own chooser of printers, and finished pages put on paper as they are."""

from __future__ import annotations

from collections.abc import Iterable

from PySide6.QtCore import QMarginsF, QRectF
from PySide6.QtGui import QImage, QPageLayout, QPainter
from PySide6.QtPrintSupport import QPrintDialog, QPrinter
from PySide6.QtWidgets import QWidget

from app.wording import tr

__all__ = ["PRINT_DPI", "choose_printer", "print_pages"]

PRINT_DPI = 300
"""Dots an inch that pages are rasterised at for paper."""


def choose_printer(parent: QWidget, title: str) -> QPrinter | None:
    """Return the printer that the user chose, None where it was called off."""
    printer = QPrinter(QPrinter.PrinterMode.HighResolution)
    printer.setDocName(title)
    dialog = QPrintDialog(printer, parent)
    dialog.setWindowTitle(tr("Print {title}", title=title))
    return printer if dialog.exec() == QPrintDialog.DialogCode.Accepted else None


def print_pages(printer: QPrinter, pages: Iterable[QImage]) -> int:
    """Put pages on paper, each as large as its paper allows and none turned or cut; return how many there were.

    0 where the printer does not take them.
    """
    printer.setFullPage(True)
    printer.setPageMargins(QMarginsF(0, 0, 0, 0), QPageLayout.Unit.Point)
    painter = QPainter()
    if not painter.begin(printer):
        return 0
    count = 0
    for page in pages:
        if count:
            printer.newPage()
        paper = QRectF(printer.pageRect(QPrinter.Unit.DevicePixel))
        size = page.size().toSizeF()
        scale = min(paper.width() / size.width(), paper.height() / size.height())
        width, height = size.width() * scale, size.height() * scale
        box = QRectF((paper.width() - width) / 2, (paper.height() - height) / 2, width, height)
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        painter.drawImage(box, page)
        count += 1
    painter.end()
    return count
