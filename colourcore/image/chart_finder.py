"""Finding the 24-patch chart in a photo: OpenCV's own finder, believed only when the chart bears it out."""

from __future__ import annotations

from typing import Final

import cv2
import numpy as np
from numpy.typing import NDArray

from colourcore.errors import InputError
from colourcore.image.chart import COLUMNS, ROWS, measure_chart
from colourcore.image.develop import Photo
from colourcore.image.pixels import Outline

__all__ = ["find_chart"]

Array = NDArray[np.float64]

_SIDE: Final = 1600  # pixels of the picture that is searched
_LARGEST: Final = 2600
_ENLARGED: Final = (1, 2, 3)  # small charts are found only when enlarged
_DEAREST: Final = 0.03  # the finder's cost: 0.0015 to 0.004 where it was right, 0.06 to 0.09 on wrong boxes
_NOT_FOUND: Final = "expected a whole 24-patch chart that can be found, got none; drag its four corners"


def find_chart(photo: Photo, within: Outline | None = None) -> Array:
    """Return where the chart lies: the centres of its four corner patches, shape (4, 2), as `measure_chart` takes them.

    Parameters
    ----------
    photo
        The photo to search.
    within
        Where to search; the whole photo without it.

    Raises
    ------
    InputError
        When no chart is found, or what is found is not a whole chart: its patches not even, its last row not falling
        from white to black.
    """
    picture, origin, scale = _picture(photo, within)
    reason = InputError(_NOT_FOUND)
    for times in _ENLARGED:
        if times > 1 and max(picture.shape) * times > _LARGEST:
            break
        box = _box(picture, times)
        if box is None:
            continue
        corners = _corner_patches(box / scale + origin)
        try:
            measure_chart(photo, corners)
        except InputError as error:
            reason = error
            continue
        return corners
    raise reason


def _picture(photo: Photo, within: Outline | None) -> tuple[NDArray[np.uint8], Array, float]:
    """Return the picture to search, where it begins in the photo, and how many of its pixels one pixel is."""
    side = max(photo.width, photo.height) if within is None else max(within.width, within.height)
    longest = max(photo.width, photo.height)
    shown = photo.preview(min(longest, round(_SIDE * longest / side)))
    scale = max(shown.shape[:2]) / longest
    if within is None:
        return shown, np.zeros(2), scale
    left, top = max(0, round(within.x * scale)), max(0, round(within.y * scale))
    part = shown[top : round((within.y + within.height) * scale), left : round((within.x + within.width) * scale)]
    if min(part.shape[:2]) < ROWS * COLUMNS:
        raise InputError(_NOT_FOUND)
    return part, np.array([left, top]) / scale, scale


def _box(picture: NDArray[np.uint8], times: int) -> Array | None:
    """Return the corners of the best chart that OpenCV finds, in pixels of the picture, or None."""
    searched = np.ascontiguousarray(picture[..., ::-1])
    if times > 1:
        size = (searched.shape[1] * times, searched.shape[0] * times)
        searched = np.asarray(cv2.resize(searched, size, interpolation=cv2.INTER_CUBIC), dtype=np.uint8)
    finder = cv2.mcc.CCheckerDetector.create()
    finder.setUseDnnModel(False)
    finder.setColorChartType(cv2.mcc.MCC24)
    if not finder.process(searched, 1):
        return None
    chart = finder.getBestColorChecker()
    if chart.getCost() > _DEAREST:
        return None
    return np.asarray(chart.getBox(), dtype=np.float64) / times


def _corner_patches(box: Array) -> Array:
    """Return the centres of the corner patches of a chart whose outer corners are given, in the chart's own order."""
    grid = np.array([[0, 0], [COLUMNS, 0], [COLUMNS, ROWS], [0, ROWS]], dtype=np.float32)
    to_photo = cv2.getPerspectiveTransform(grid, box.astype(np.float32))
    far = (COLUMNS - 0.5, ROWS - 0.5)
    centres = np.array([[(0.5, 0.5), (far[0], 0.5), far, (0.5, far[1])]], dtype=np.float64)
    return np.asarray(cv2.perspectiveTransform(centres, to_photo)[0], dtype=np.float64)
