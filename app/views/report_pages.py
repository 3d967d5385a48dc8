"""Pages of a PDF as pixels. For the background: the PDF library does one thing at a time, whoever asks."""

from __future__ import annotations

import queue
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PySide6.QtGui import QImage

from app.views.preview import image_of

__all__ = ["PageSize", "page_images", "page_sizes", "raster_pages"]

Bytes = NDArray[np.uint8]

_POINTS_PER_INCH = 72.0

_turn: queue.SimpleQueue[None] = queue.SimpleQueue()
_turn.put(None)


@dataclass(frozen=True, slots=True, kw_only=True)
class PageSize:
    """Width and height of a page in points."""

    width: float
    height: float


@contextmanager
def _alone() -> Iterator[None]:
    """Hold the one turn that there is: PDFium must not be used by two threads at once."""
    _turn.get()
    try:
        yield
    finally:
        _turn.put(None)


def page_sizes(pdf: bytes) -> tuple[PageSize, ...]:
    """Return the sizes of a PDF's pages."""
    import pypdfium2

    with _alone():
        document = pypdfium2.PdfDocument(pdf)
        try:
            sizes = [document.get_page_size(number) for number in range(len(document))]
        finally:
            document.close()
    return tuple(PageSize(width=width, height=height) for width, height in sizes)


def raster_pages(pdf: bytes, dots_per_inch: float, check: Callable[[], None]) -> tuple[Bytes, ...]:
    """Return every page as sRGB codes, (rows, columns, 3); `check` is asked between pages and may raise."""
    import pypdfium2

    pages: list[Bytes] = []
    with _alone():
        document = pypdfium2.PdfDocument(pdf)
        try:
            for number in range(len(document)):
                check()
                page = document[number]
                bitmap = page.render(scale=dots_per_inch / _POINTS_PER_INCH, rev_byteorder=True)
                pixels = np.array(bitmap.to_numpy(), dtype=np.uint8)[..., :3]
                bitmap.close()
                page.close()
                pages.append(pixels)
        finally:
            document.close()
    return tuple(pages)


def page_images(pages: tuple[Bytes, ...]) -> tuple[QImage, ...]:
    """Return pages as pictures."""
    return tuple(image_of(pixels) for pixels in pages)
