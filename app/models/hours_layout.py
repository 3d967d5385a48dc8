"""Where everything of the place *Hours* stands, from the size of its bench. Logical pixels."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QRectF

__all__ = ["GRIP_HEIGHT", "GRIP_HIT", "GRIP_WIDTH", "HoursLayout", "RowPlace", "hours_layout"]

GRIP_WIDTH, GRIP_HEIGHT, GRIP_HIT = 92.0, 42.0, 56.0

_PHOTO_SHAPE, _FOLDED_SHAPE = 68.0 / 92.0, 0.95
_BOARD_SHARE = 232.0 / 906.0
_BOARD_LEAST = 130.0


@dataclass(frozen=True, slots=True, kw_only=True)
class RowPlace:
    """A row of photographs: they stand on `lath` where `hanging` is false, and hang below it where it is true."""

    photographs: QRectF
    lath: QRectF
    hanging: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class HoursLayout:
    """Places of the parts.

    Attributes
    ----------
    bench
        The grey ground, from the left edge of the place.
    words_x, left, right
        Where row names begin, and the ends of laths, rule, plank and chart.
    photo_width
        Width of a photograph with room around it.
    rows
        One or two rows of photographs.
    rule
        The strip of the rule.
    remark_above_y, remark_y
        Middles of the lines of remarks above the first row, and between the rows and the plank.
    plank
        The target.
    board_width
        Width of the board slid along the plank.
    chart
        Ground of the curve; without height when folded.
    marks
        Folded, the line of words for look-from and due; else without height, as they stand in the chart.
    odds
        The strip that fills up.
    scale
        The hours beneath.
    """

    bench: QRectF
    words_x: float
    left: float
    right: float
    photo_width: float
    rows: tuple[RowPlace, ...]
    rule: QRectF
    remark_above_y: float
    remark_y: float
    plank: QRectF
    board_width: float
    chart: QRectF
    marks: QRectF
    odds: QRectF
    scale: QRectF
    folded: bool

    @property
    def height(self) -> float:
        """How deep all of it is."""
        return self.scale.bottom()

    @property
    def first_x(self) -> float:
        """Where hour 0 stands: the raw sample ends flush with the lath."""
        return self.left + self.photo_width / 2

    @property
    def last_x(self) -> float:
        """Where the last hour stands."""
        return self.right - self.photo_width / 2


@dataclass(frozen=True, slots=True)
class _Band:
    """A band's least and wanted depth, and its share of what is left over."""

    name: str
    least: float
    wanted: float
    share: float = 0.0


_FULL_BANDS = (
    _Band("top", 8, 12),
    _Band("photos", 44, 92, 0.2),
    _Band("lath", 14, 22),
    _Band("rule", 30, 36),
    _Band("lath below", 14, 22),
    _Band("photos below", 44, 92, 0.2),
    _Band("remark", 22, 26),
    _Band("plank", 56, 104, 0.2),
    _Band("bottom", 12, 18),
    _Band("chart", 104, 172, 0.32),
    _Band("odds", 40, 66, 0.08),
    _Band("scale", 30, 38),
)
_BELOW = {"lath below", "photos below"}
_CHART = {"chart", "marks", "odds", "scale"}
_FOLDED_BANDS = (
    _Band("top", 4, 8),
    _Band("photos", 36, 78, 0.3),
    _Band("lath", 10, 16),
    _Band("rule", 30, 34),
    _Band("remark", 10, 16),
    _Band("plank", 46, 84, 0.3),
    _Band("bottom", 9, 12),
    _Band("marks", 24, 26),
    _Band("odds", 38, 60, 0.1),
    _Band("scale", 28, 32),
)


def _depths(bands: tuple[_Band, ...], height: float) -> dict[str, float]:
    """Share a height out: between least and wanted alike for all, what is left over by share."""
    least, wanted = sum(b.least for b in bands), sum(b.wanted for b in bands)
    part = min(1.0, max(0.0, (height - least) / (wanted - least)))
    over = max(0.0, height - wanted)
    weight = sum(b.share for b in bands)
    return {b.name: b.least + part * (b.wanted - b.least) + over * b.share / weight for b in bands}


def hours_layout(
    width: float,
    height: float,
    *,
    margin: float,
    words_width: float,
    end_gap: float,
    two_rows: bool,
    folded: bool,
    photo_narrower: float = 1.0,
    remarks_above: bool = False,
    with_chart: bool = True,
) -> HoursLayout:
    """Return the places for a bench of this size.

    Parameters
    ----------
    width, height
        What there is; folded, the height that is wanted at most, as the ledger scrolls beneath.
    margin, words_width
        Where row names begin and how much room they take.
    end_gap
        Free bench right of the laths.
    two_rows
        Whether there is a second row of photographs.
    folded
        Whether the chart joins the odds.
    photo_narrower
        Width of the photographs against the wanted one.
    remarks_above
        Whether a line of remarks stands above the first row.
    with_chart
        Whether chart, odds and scale are there at all.
    """
    bands: tuple[_Band, ...] = _FOLDED_BANDS if folded else _FULL_BANDS
    if not two_rows or folded:
        bands = tuple(band for band in bands if band.name not in _BELOW)
    if not with_chart:
        bands = tuple(band for band in bands if band.name not in _CHART)
    if remarks_above:
        bands = (_Band("top", 26, 30), *bands[1:])
    depths = _depths(bands, height)
    left, right = margin + words_width, width - end_gap
    tops: dict[str, float] = {}
    y = 0.0
    for name, depth in depths.items():
        tops[name] = y
        y += depth

    def strip(name: str) -> QRectF:
        if name not in depths:
            return QRectF(left, round(y), right - left, 0)
        return QRectF(left, round(tops[name]), right - left, round(tops[name] + depths[name]) - round(tops[name]))

    rows = [RowPlace(photographs=strip("photos"), lath=strip("lath"), hanging=False)]
    if "lath below" in depths:
        rows.append(RowPlace(photographs=strip("photos below"), lath=strip("lath below"), hanging=True))
    bench_end = round(tops["bottom"] + depths["bottom"])
    photo_width = round(
        photo_narrower * min(depths["photos"] * (_FOLDED_SHAPE if folded else _PHOTO_SHAPE), (right - left) / 9.0)
    )
    return HoursLayout(
        bench=QRectF(0, 0, width, bench_end),
        words_x=margin,
        left=left,
        right=right,
        photo_width=photo_width,
        rows=tuple(rows),
        rule=strip("rule"),
        remark_above_y=depths["top"] / 2,
        remark_y=tops["remark"] + depths["remark"] / 2,
        plank=strip("plank"),
        board_width=max(_BOARD_LEAST, round((right - left) * _BOARD_SHARE)),
        chart=strip("chart"),
        marks=strip("marks"),
        odds=strip("odds"),
        scale=strip("scale"),
        folded=folded,
    )
