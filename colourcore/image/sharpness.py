"""How sharp a photo is, told by the width of the edges around its card."""

from __future__ import annotations

from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from colourcore.image.checks import Check, Level
from colourcore.image.develop import Photo, turned
from colourcore.image.pixels import Outline

__all__ = ["check_blur", "edge_width"]

Array = NDArray[np.float64]

_MARGIN: Final = 0.3  # of the patch's side, looked at beyond its outline
_BAND: Final = 160  # lines across an edge, at most
_LEAST_STEP: Final = 0.08  # of the full code, for an edge to count
_EVERY: Final = 4  # of these lines
_FEWEST_EDGES: Final = 12
_SHARPEST: Final = 0.2  # of the edges: a shadow's edge is wide in the sharpest photo
_NOTED, _WARNED = 0.6, 1.0  # L*
_SHARP: Final = 4.0  # pixels: a photo in focus has edges of 2 to 4
_EDGE_L: Final = 15.0  # L* for an edge as wide as the patch: half of it inside, a quarter mixed, 30 L* to the bench


def edge_width(photo: Photo, outline: Outline) -> float | None:
    """Return how many pixels an edge near the outline takes from 10 to 90 % of its step, or None without an edge.

    A sharp photo has 2 to 4. The outline is that of a card or another thing with plain edges.
    """
    margin_x, margin_y = _MARGIN * outline.width, _MARGIN * outline.height
    left, right = max(0, round(outline.x - margin_x)), min(photo.width, round(outline.x + outline.width + margin_x))
    top, bottom = max(0, round(outline.y - margin_y)), min(photo.height, round(outline.y + outline.height + margin_y))
    codes = turned(photo.codes(left, top, right, bottom)[..., 1], photo.turn)
    full = float(len(photo.encoding.tables[0]) - 1)
    rows, columns = codes.shape
    flat = codes[max(0, rows // 2 - _BAND // 2) : rows // 2 + _BAND // 2]
    upright = codes[:, max(0, columns // 2 - _BAND // 2) : columns // 2 + _BAND // 2].T
    widths = [width for band in (flat, upright) for line in band[::_EVERY] for width in _widths(line / full)]
    return float(np.quantile(widths, _SHARPEST)) if len(widths) >= _FEWEST_EDGES else None


def _widths(line: NDArray[Any]) -> list[float]:
    """Return the widths of the strongest edge in either half of a line of codes on the scale 0 to 1."""
    half = line.size // 2
    found = (_width(np.asarray(part, dtype=np.float64)) for part in (line[:half], line[half:]))
    return [width for width in found if width is not None]


def _width(part: Array) -> float | None:
    if part.size < 16:
        return None
    quarter = part.size // 4
    low, high = float(np.median(part[:quarter])), float(np.median(part[-quarter:]))
    if abs(high - low) < _LEAST_STEP:
        return None
    rise = np.maximum.accumulate(np.convolve((part - low) / (high - low), [0.25, 0.5, 0.25], "valid"))
    begin, end = np.searchsorted(rise, [0.1, 0.9])
    if end >= rise.size or begin == 0:
        return None
    first = begin - (rise[begin] - 0.1) / max(rise[begin] - rise[begin - 1], 1e-9)
    last = end - (rise[end] - 0.9) / max(rise[end] - rise[end - 1], 1e-9)
    return float(last - first)


def check_blur(width: float | None, smallest_side: float) -> tuple[Check, ...]:
    """Return what there is to say about the sharpness of a photo.

    Parameters
    ----------
    width
        What `edge_width` found.
    smallest_side
        The shortest side of the photo's patches, in pixels.
    """
    if width is None:
        return ()
    move = _EDGE_L * width / smallest_side
    if width <= _SHARP or move < _NOTED:
        return ()
    return (
        Check(
            code="blurred",
            level=Level.WARN if move >= _WARNED else Level.NOTE,
            message=f"The photo is not sharp: its edges are {width:.0f} pixels wide. An outline that reaches the edge "
            f"of its sample takes in what lies beside it, up to {move:.1f} L*. Hold the camera still, focus on the "
            "wood, and keep outlines inside the edges.",
        ),
    )
