"""Paints the odds of being past the target as an area that fills up along the hours, and the hours beneath it."""

from __future__ import annotations

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QPainter, QPainterPath, QPen, QPolygonF

from app.models.hours_axis import ticks
from app.models.hours_chart import ChartPlot, odds_points
from app.models.hours_scene import Strand
from app.views.hours_chart import curve_pen, hatch_area, paint_heading
from app.views.hours_rows import BenchView
from app.views.hours_scale import label_width, paint_labels, paint_strokes
from app.views.theme import BODY, EDGE_LINE, REGULAR, SEMIBOLD, SMALL_TEXT, font, text_width
from app.wording import tr

__all__ = ["paint_odds", "paint_scale"]

_FROM_ODDS, _PAST_ODDS = 0.02, 0.9
_TALL = 60.0


def paint_odds(painter: QPainter, view: BenchView, plot: ChartPlot) -> None:
    """Paint the odds of being past the target as an area that fills up along the hours, with words in it."""
    box, theme = view.layout.odds, view.theme
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    tall = box.height() >= _TALL and not view.layout.folded
    paint_heading(
        painter, view, box.top() - 6, tr("Odds"), tr("of ten such pieces") if tall else tr("of ten"), 2 if tall else 1
    )
    painter.fillRect(box, theme.well)
    if plot.beyond_x < box.right():
        hatch_area(painter, QRectF(plot.beyond_x, box.top(), box.right() - plot.beyond_x, box.height()), theme.grid)
    shown = view.scene.rows if view.scene.choice.both else view.scene.strands[:1]
    for number, strand in enumerate(shown):
        if strand.prospect is not None and strand.prospect.odds is not None:
            _paint_filling(painter, view, strand, second=number > 0)
    painter.setPen(QPen(theme.ink, EDGE_LINE))
    painter.drawRect(box.adjusted(0.75, 0.0, -0.75, -0.75))
    _paint_odds_words(painter, view)
    if not view.layout.folded:
        painter.setFont(font(SMALL_TEXT))
        painter.setPen(theme.second_ink)
        for text, y in (("10", box.top() + 8), ("5", box.center().y()), ("0", box.bottom() - 6)):
            if text != "5" or tall:
                align = Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignRight
                painter.drawText(QRectF(box.left() - 44, y - 11, 34, 22), align, text)


def _paint_filling(painter: QPainter, view: BenchView, strand: Strand, *, second: bool) -> None:
    assert strand.prospect is not None
    box, theme = view.layout.odds, view.theme
    points = odds_points(strand.prospect, box, view.axis)
    if not second:
        path = QPainterPath(points[0])
        for point in points[1:]:
            path.lineTo(point)
        path.lineTo(points[-1].x(), box.bottom())
        path.closeSubpath()
        painter.fillPath(path, theme.odds)
        return
    line = QPolygonF(points)
    painter.setPen(QPen(theme.well, 4.5))
    painter.drawPolyline(line)
    painter.setPen(curve_pen(strand.stroke, theme.ink))
    painter.drawPolyline(line)


def _paint_odds_words(painter: QPainter, view: BenchView) -> None:
    box, theme = view.layout.odds, view.theme
    found = view.scene.lead.prospect if view.scene.lead else None
    painter.setFont(font(BODY))
    if found is None or found.odds is None:
        painter.setPen(theme.second_ink)
        painter.drawText(box, Qt.AlignmentFlag.AlignCenter, tr("nothing can be said yet"))
        return
    start, end = _odds_x(view, _FROM_ODDS), _odds_x(view, _PAST_ODDS)
    short = QRectF(box.left(), box.top(), min(start, box.right()) - box.left(), box.height())
    past = QRectF(end, box.top(), box.right() - end, box.height())
    for area, text, ink, weight in (
        (short, tr("still short of the target"), theme.ink, REGULAR),
        (past, tr("past it, for good"), theme.odds_text, SEMIBOLD),
    ):
        width = text_width(text, BODY, weight)
        if area.width() > width + 16:
            painter.setFont(font(BODY, weight))
            painter.setPen(ink)
            whole = area.width() >= box.width()
            near = area.right() - width - 70 if area is short else area.left() + 60
            near = area.center().x() - width / 2 if whole else near
            left = min(max(near, area.left() + 8), area.right() - width - 8)
            painter.drawText(QRectF(left, area.top(), width + 4, area.height()), Qt.AlignmentFlag.AlignVCenter, text)


def _odds_x(view: BenchView, odds: float) -> float:
    """Where the leading odds, and those of a second board, are past a value."""
    xs = []
    for strand in view.scene.rows if view.scene.choice.both else view.scene.strands[:1]:
        found = strand.prospect
        hours = found.hours_of_odds(odds) if found else None
        xs.append(view.layout.right if hours is None else view.axis.x(hours))
    return min(xs) if odds < 0.5 else max(xs)


def paint_scale(painter: QPainter, view: BenchView) -> None:
    """Paint the hours beneath the odds."""
    box, ink = view.layout.scale, view.theme.ink
    strokes = ticks(view.axis, view.scene.named_hours, view.layout.right, label_width)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
    paint_strokes(painter, strokes, 0.0, box.top(), ink, down=True)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    paint_labels(painter, strokes, 0.0, QRectF(box.left(), box.top() + 8, box.width(), 24), ink)
