"""Sharper parts of a photo that is looked at closely, drawn in the background for what is seen."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from PySide6.QtCore import QObject, QRectF, QTimer
from PySide6.QtGui import QImage

from app.background import Answered, Outcome, Tasks, Ticket
from app.pictures import REDUCED_SIDE, Pictures, Pixels, balance_key, tile
from app.views.photo_canvas import PhotoCanvas, image_of
from colourcore.image.balance import Balance

__all__ = ["SharpParts"]

_REST_MS = 120  # the hand must rest that long
_AROUND = 0.15  # of what is seen, drawn beyond its edges

Load = Callable[[str], bytes]


class SharpParts(QObject):
    """Watches a canvas and gives it the part that is seen, as sharp as the file is, once the hand rests."""

    def __init__(self, canvas: PhotoCanvas, tasks: Tasks, pictures: Pictures, loader: Callable[[], Load]) -> None:
        super().__init__(canvas)
        self._canvas, self._tasks, self._pictures, self._loader = canvas, tasks, pictures, loader
        self._file: tuple[str, str] | None = None
        self._balance: Balance | None = None
        self._rest = QTimer(self)
        self._rest.setSingleShot(True)
        self._rest.setInterval(_REST_MS)
        self._rest.timeout.connect(self._draw)
        canvas.view_changed.connect(self._rest.start)

    def look_at(self, file: tuple[str, str], balance: Balance | None) -> None:
        """Say which photo is seen, by SHA-256 and name, and how it is balanced."""
        if (file, balance_key(balance)) != (self._file, balance_key(self._balance)):
            self._file, self._balance = file, balance
            self._rest.start()

    def _draw(self) -> None:
        canvas, view = self._canvas, self._canvas.view
        if self._file is None or not canvas.has_photo or not canvas.isVisible():
            return
        kept = min(1.0, REDUCED_SIDE / max(view.photo))
        pixels = view.zoom * canvas.devicePixelRatioF()
        if pixels <= kept * 1.2:
            canvas.set_sharp(())
            return
        box = self._seen_box()
        step = max(1, int(1 / pixels))
        balance = None if canvas.as_it_came else self._balance
        sha256, name = self._file
        work = partial(_part, self._pictures, sha256, name, self._loader(), balance, box, step)
        self._tasks.start("photos-sharp", work, partial(self._drawn, box, sha256))

    def _seen_box(self) -> tuple[int, int, int, int]:
        view = self._canvas.view
        left, top = view.to_photo(0, 0)
        right, bottom = view.to_photo(*view.size)
        dx, dy = (right - left) * _AROUND, (bottom - top) * _AROUND
        width, height = view.photo
        return (
            max(0, int(left - dx)),
            max(0, int(top - dy)),
            min(width, int(right + dx) + 1),
            min(height, int(bottom + dy) + 1),
        )

    def _drawn(self, box: tuple[int, int, int, int], sha256: str, outcome: Outcome) -> None:
        if isinstance(outcome, Answered) and self._file is not None and self._file[0] == sha256:
            left, top, right, bottom = box
            picture: QImage = image_of(outcome.value)
            self._canvas.set_sharp([(QRectF(left, top, right - left, bottom - top), picture)])


def _part(
    pictures: Pictures,
    sha256: str,
    name: str,
    load: Load,
    balance: Balance | None,
    box: tuple[int, int, int, int],
    step: int,
    ticket: Ticket,
) -> Pixels:
    photo = pictures.full(sha256, name, load)
    ticket.check()
    return tile(photo, balance, box, step)
