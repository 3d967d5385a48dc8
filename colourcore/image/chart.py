"""The 24-patch colour chart: where its patches lie, what they should read, and what the photo makes of them."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import cv2
import numpy as np
from numpy.typing import ArrayLike, NDArray

from colourcore.colour.spaces import WHITE_D50, WHITE_D65, chromatic_adaptation, lab_to_xyz, xyz_to_lab
from colourcore.errors import InputError
from colourcore.image.develop import Photo
from colourcore.image.pixels import Outline, PatchStatistics, measure_patch

__all__ = [
    "DEFAULT_REFERENCE",
    "NEUTRAL_ROW",
    "ChartReference",
    "chart_outlines",
    "measure_chart",
    "published_reference",
    "reference_from_text",
]

Array = NDArray[np.float64]

DEFAULT_REFERENCE: Final = "ColorChecker24 - After November 2014"
"""The published values that are taken unless others are named, by their name in colour-science."""

ROWS, COLUMNS = 4, 6
NEUTRAL_ROW: Final = slice(18, 24)
"""The patches from white to black."""

_INNER: Final = 0.33  # of the distance between patch centres: the inner 40 % of a patch that fills 0.82 of it
_UNEVEN: Final = 6.0  # L*: more than texture, noise and a small picture's compression do within one patch
_UNLIKE_NEUTRALS: Final = 20.0  # a*, b* between two neutral patches of one photo
_STEP_DOWN: Final = 0.98  # of the light of the next lighter neutral patch


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ChartReference:
    """What the 24 patches should read: name, and XYZ under D65 of shape (24, 3), row by row from the first row."""

    name: str
    xyz: Array


def published_reference(name: str = DEFAULT_REFERENCE) -> ChartReference:
    """Return the published values that colour-science carries under this name.

    They are stated under D50 and carried to D65 by Bradford.

    Raises
    ------
    InputError
        For a name that colour-science does not know as a chart of 24 patches.
    """
    import colour  # takes a second to import: only photos with a chart pay for it

    known = {key: chart for key, chart in colour.CCS_COLOURCHECKERS.items() if len(chart.data) == ROWS * COLUMNS}
    if name not in known:
        raise InputError(f"expected the name of a published chart ({', '.join(sorted(known))}), got {name!r}")
    chart = known[name]
    xyz = np.asarray(colour.xyY_to_XYZ(np.array(list(chart.data.values()))), dtype=np.float64)
    white = np.asarray(colour.xy_to_XYZ(chart.illuminant), dtype=np.float64)
    return ChartReference(name=name, xyz=xyz @ chromatic_adaptation(white, WHITE_D65).T)


def reference_from_text(text: str, name: str) -> ChartReference:
    """Return reference values from a file of the user's: 24 rows under a header with L, a, b, under D50 and 2°.

    The rows stand in the order of the chart, from dark brown along the first row to black at the end of the last.

    Raises
    ------
    InputError
        Names the file and the line that is not as expected.
    """
    rows = list(csv.DictReader(io.StringIO(text)))
    if len(rows) != ROWS * COLUMNS:
        raise InputError(f"expected {ROWS * COLUMNS} rows of chart values, got {len(rows)}", file=name)
    values = []
    for line, row in enumerate(rows, start=2):
        try:
            values.append([float(row[key]) for key in ("L", "a", "b")])
        except (KeyError, TypeError, ValueError) as error:
            raise InputError("expected numbers under L, a and b", file=name, line=line) from error
        if not (np.all(np.isfinite(values[-1])) and 0 <= values[-1][0] <= 100):
            raise InputError(f"expected L from 0 to 100, got {row['L']}", file=name, line=line)
    xyz = lab_to_xyz(np.array(values), WHITE_D50) @ chromatic_adaptation(WHITE_D50, WHITE_D65).T
    return ChartReference(name=name, xyz=xyz)


def chart_outlines(corners: ArrayLike) -> tuple[Outline, ...]:
    """Return where to read the 24 patches.

    Parameters
    ----------
    corners
        Shape (4, 2), pixels of the upright photo: the centres of the four corner patches in the order dark brown,
        blue-green (end of the first row), black, white (start of the last row). A picture taken at an angle is
        allowed for.

    >>> chart_outlines([[0, 0], [50, 0], [50, 30], [0, 30]])[7].x
    8.35
    """
    seen = np.asarray(corners, dtype=np.float32)
    grid = np.array([[0, 0], [COLUMNS - 1, 0], [COLUMNS - 1, ROWS - 1], [0, ROWS - 1]], dtype=np.float32)
    to_photo = cv2.getPerspectiveTransform(grid, seen)
    square = _INNER / 2 * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]])
    outlines = []
    for row in range(ROWS):
        for column in range(COLUMNS):
            flat = np.add(square, (column, row))[None].astype(np.float64)
            points = cv2.perspectiveTransform(flat, to_photo)[0]
            (left, top), (right, bottom) = points.min(axis=0), points.max(axis=0)
            outlines.append(
                Outline(
                    x=round(float(left), 6),
                    y=round(float(top), 6),
                    width=float(right - left),
                    height=float(bottom - top),
                    corners=tuple((float(x), float(y)) for x, y in points),
                )
            )
    return tuple(outlines)


def _file_lab(patch: PatchStatistics) -> Array:
    return xyz_to_lab(np.maximum(patch.sample @ patch.to_xyz.T, 0.0))


def _check_chart(patches: Sequence[PatchStatistics]) -> None:
    spreads = [float(np.std(_file_lab(patch)[:, 0])) for patch in patches]
    worst = int(np.argmax(spreads))
    if spreads[worst] > _UNEVEN:
        raise InputError(
            f"expected a chart of 24 even patches, got one whose patch {worst % COLUMNS + 1} in row "
            f"{worst // COLUMNS + 1} varies by {spreads[worst]:.0f} L*; uncover the whole chart, or drag its corners"
        )
    neutrals = patches[NEUTRAL_ROW]
    light = np.array([patch.to_xyz[1] @ patch.mean for patch in neutrals])
    if np.any(light[1:] > _STEP_DOWN * light[:-1]):
        raise InputError(
            "expected a chart whose last row falls from white to black, got one that does not; uncover the whole "
            "chart, or drag its corners"
        )
    mean = np.array([xyz_to_lab(patch.to_xyz @ patch.mean) for patch in neutrals])
    if np.ptp(mean[:, 1:], axis=0).max() > _UNLIKE_NEUTRALS:
        raise InputError("expected a chart with six neutral patches in its last row, got coloured ones")


def measure_chart(photo: Photo, corners: ArrayLike) -> tuple[PatchStatistics, ...]:
    """Return the statistics of the 24 patches, row by row.

    Parameters
    ----------
    photo, corners
        See `chart_outlines`.

    Raises
    ------
    InputError
        When the chart lies partly outside the photo, or when what lies there is no whole chart: a patch that is not
        even, or a last row that does not fall from white to black.
    """
    points = np.asarray(corners, dtype=np.float64)
    if points.shape != (4, 2) or not np.all(np.isfinite(points)):
        raise InputError("expected four corners of the chart as x, y")
    patches = tuple(measure_patch(photo, outline) for outline in chart_outlines(points))
    _check_chart(patches)
    return patches
