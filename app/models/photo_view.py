"""Where a photo stands in its view: nearer, farther, and moved under the hand. Pure."""

from __future__ import annotations

from dataclasses import dataclass, replace

__all__ = ["PhotoView"]

_NEAREST = 8.0  # screen pixels to a photo pixel
_STEP = 1.25


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoView:
    """A photo of `photo` pixels seen in a view of `size` logical pixels.

    Attributes
    ----------
    photo, size
        Width and height.
    scale
        Logical pixels to a photo pixel; 0 for the whole photo as large as it fits.
    left, top
        Where the photo's top left corner stands in the view.
    """

    photo: tuple[int, int] = (0, 0)
    size: tuple[int, int] = (1, 1)
    scale: float = 0.0
    left: float = 0.0
    top: float = 0.0

    @property
    def whole(self) -> bool:
        """Whether the whole photo is shown."""
        return self.scale == 0.0

    @property
    def zoom(self) -> float:
        """Logical pixels to a photo pixel, as it stands.

        >>> PhotoView(photo=(400, 200), size=(200, 200)).zoom
        0.5
        """
        return self.scale or self._fitting()

    def _fitting(self) -> float:
        width, height = self.photo
        return min(self.size[0] / width, self.size[1] / height) if width and height else 1.0

    @property
    def origin(self) -> tuple[float, float]:
        """Where the photo's top left corner stands: flush left, and in the middle from top to bottom, when whole."""
        if self.whole:
            return 0.0, max(0.0, (self.size[1] - self.photo[1] * self.zoom) / 2)
        return self.left, self.top

    def to_view(self, x: float, y: float) -> tuple[float, float]:
        """Return where a point of the photo stands in the view."""
        left, top = self.origin
        return left + x * self.zoom, top + y * self.zoom

    def to_photo(self, x: float, y: float) -> tuple[float, float]:
        """Return which point of the photo stands at a point of the view.

        >>> PhotoView(photo=(400, 200), size=(200, 100)).to_photo(100, 50)
        (200.0, 100.0)
        """
        left, top = self.origin
        return (x - left) / self.zoom, (y - top) / self.zoom

    def sized(self, width: int, height: int) -> PhotoView:
        """Return the view in another size."""
        return replace(self, size=(max(1, width), max(1, height)))._held()

    def nearer(self, steps: float, at: tuple[float, float]) -> PhotoView:
        """Return the view nearer by steps (farther where negative), the point under `at` staying where it is."""
        wanted = min(self.zoom * _STEP**steps, _NEAREST)
        if wanted <= self._fitting():
            return self.as_whole()
        x, y = self.to_photo(*at)
        return replace(self, scale=wanted, left=at[0] - x * wanted, top=at[1] - y * wanted)._held()

    def moved(self, dx: float, dy: float) -> PhotoView:
        """Return the view with the photo moved under it."""
        return self if self.whole else replace(self, left=self.left + dx, top=self.top + dy)._held()

    def as_whole(self) -> PhotoView:
        """Return the view of the whole photo."""
        return replace(self, scale=0.0, left=0.0, top=0.0)

    def showing(self, left: float, top: float, right: float, bottom: float) -> PhotoView:
        """Return the view near enough to show a box of the photo at a third of the view's size, in the middle."""
        wanted = min(self.size[0] / max(right - left, 1.0), self.size[1] / max(bottom - top, 1.0)) / 3
        if wanted <= self._fitting():
            return self.as_whole()
        wanted = min(wanted, _NEAREST)
        x, y = (left + right) / 2, (top + bottom) / 2
        return replace(
            self, scale=wanted, left=self.size[0] / 2 - x * wanted, top=self.size[1] / 2 - y * wanted
        )._held()

    def _held(self) -> PhotoView:
        if self.whole:
            return self
        if self.scale <= self._fitting():
            return self.as_whole()
        left = _held_place(self.left, self.size[0], self.photo[0], self.scale)
        top = _held_place(self.top, self.size[1], self.photo[1], self.scale)
        return replace(self, left=left, top=top)


def _held_place(place: float, room: int, extent: int, scale: float) -> float:
    """Return where a photo may begin in its view: filling it, or in its middle where it is smaller."""
    if extent * scale < room:
        return (room - extent * scale) / 2
    return min(max(place, room - extent * scale), 0.0)
