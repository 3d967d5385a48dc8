"""The wood at any hour, fast enough to follow a hand: one table look-up into a kept picture."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QSize
from PySide6.QtGui import QImage

from app.models.hours_wood import Lab, grain_of, screen_pixel, tables

__all__ = ["Preview", "cover", "image_of", "woven"]

Bytes = NDArray[np.uint8]

_MOST_ENLARGED = 1.6
_WOVEN = 4


def cover(pixels: Bytes, size: QSize, scale: float = 1.0) -> Bytes:
    """Return wood that covers `size` (in device pixels), centred, at the scale its own pixels have on the screen.

    Larger pictures are made smaller only as far as they still cover the length; smaller ones are enlarged a little,
    and then laid beside their mirror image, as a joiner matches veneers.
    """
    width, height = max(1, size.width()), max(1, size.height())
    own_height, own_width = pixels.shape[:2]
    wanted = max(height / own_height, min(max(width / own_width, 0.5 * scale), _MOST_ENLARGED * scale))
    grown = (max(1, round(own_width * wanted)), max(height, round(own_height * wanted)))
    if grown != (own_width, own_height):
        way = cv2.INTER_AREA if wanted < 1 else cv2.INTER_CUBIC
        pixels = np.asarray(cv2.resize(np.ascontiguousarray(pixels), grown, interpolation=way), dtype=np.uint8)
    if pixels.shape[1] < width:
        pair = np.concatenate([pixels, pixels[:, ::-1]], axis=1)
        pixels = np.tile(pair, (1, -(-width // pair.shape[1]), 1))
    left, top = (pixels.shape[1] - width) // 2, (pixels.shape[0] - height) // 2
    return np.ascontiguousarray(pixels[top : top + height, left : left + width])


def image_of(pixels: Bytes) -> QImage:
    """Return a picture of its own of (height, width, 3) RGB codes."""
    height, width = pixels.shape[:2]
    return QImage(np.ascontiguousarray(pixels).data, width, height, 3 * width, QImage.Format.Format_RGB888).copy()


def woven(lab: Lab, size: QSize, ground: tuple[int, int, int], step: int = _WOVEN) -> Bytes:
    """Return a flat swatch with a woven edge, which says that no photo is behind it; (height, width, 3) RGB codes."""
    width, height = max(1, size.width()), max(1, size.height())
    swatch = np.empty((height, width, 3), dtype=np.uint8)
    swatch[:] = screen_pixel(lab)
    across, along = np.arange(width) // step, np.arange(height) // step
    thread = (across[None, :] + along[:, None]) % 2 == 1
    edge = np.zeros((height, width), dtype=bool)
    edge[:step], edge[-step:], edge[:, :step], edge[:, -step:] = True, True, True, True
    swatch[thread & edge] = ground
    return swatch


class Preview:
    """A photo's wood, moved to any colour with its grain kept.

    `pixels` are (height, width, 3) sRGB codes of the lightest wood there is: eight bits darken well and brighten
    badly. The picture that `image` hands out is kept and written anew at every call.
    """

    def __init__(self, pixels: Bytes) -> None:
        self._source: Bytes = np.asarray(cv2.cvtColor(pixels, cv2.COLOR_RGB2BGRA), dtype=np.uint8)
        self._grain = grain_of(pixels)
        self._kept: Bytes = np.empty(self._source.shape, dtype=np.uint8)
        self._table = np.empty((256, 1, 4), dtype=np.uint8)
        self._table[:, 0, 3] = np.arange(256)
        height, width = self._source.shape[:2]
        self._image = QImage(self._kept.data, width, height, 4 * width, QImage.Format.Format_RGB32)

    def codes(self, lab: Lab, contrast: float = 1.0) -> Bytes:
        """Return the wood with its mean at L*, a*, b*: the kept codes, (height, width, 4), blue first."""
        self._table[:, 0, 2::-1] = tables(self._grain, lab, contrast).T
        cv2.LUT(self._source, self._table, self._kept)
        return self._kept

    def image(self, lab: Lab, contrast: float = 1.0) -> QImage:
        """Return the same as a picture that shares the kept codes."""
        self.codes(lab, contrast)
        return self._image
