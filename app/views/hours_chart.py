"""Paints the lightness curve with its band, the odds that fill up, and the scale of hours beneath them."""

from __future__ import annotations

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen, QPolygonF

from app.models.hours_chart import ChartMark, ChartPlot, chart_plot, clear_stretches, curve_points
from app.models.hours_scene import Strand, Stroke
from app.models.hours_words import spoken_down, spoken_hours, strand_title
from app.views.hours_rows import BenchView, paint_mark, paint_stroke_sign
from app.views.painted import Painted
from app.views.theme import (
    BODY,
    CURVE_LINE,
    EDGE_LINE,
    GRID_LINE,
    REGULAR,
    SECOND_LINE,
    SEMIBOLD,
    SMALL_TEXT,
    font,
    text_width,
)
from app.wording import tr
from colourcore.report.phrases import format_value, odds_in_words, often_in_words

__all__ = ["chart_things", "curve_pen", "hatch_area", "paint_chart", "paint_heading", "plot_of", "small_width"]

_HATCH_STEP = 9.0


def small_width(text: str) -> float:
    """Return how wide a small semibold word is, in logical pixels."""
    return text_width(text, SMALL_TEXT, SEMIBOLD)


def plot_of(view: BenchView) -> ChartPlot:
    """Return the chart's measures."""
    return chart_plot(view.scene, view.layout, view.axis, small_width)


def paint_heading(painter: QPainter, view: BenchView, top: float, title: str, under: str, lines: int = 1) -> None:
    """Paint a name and the quieter words under it, left of the figures."""
    x, room = view.layout.words_x, view.layout.left - view.layout.words_x - 34
    painter.setFont(font(BODY, SEMIBOLD))
    painter.setPen(view.theme.ink)
    painter.drawText(QRectF(x, top, room + 30, 24), title)
    painter.setFont(font(SMALL_TEXT))
    painter.setPen(view.theme.second_ink)
    painter.drawText(QRectF(x, top + 22, room, 22 * lines), Qt.TextFlag.TextWordWrap, under)


def _paint_key(painter: QPainter, view: BenchView) -> None:
    """Name the strands that have a curve and no row."""
    layout, theme = view.layout, view.theme
    y = layout.chart.top() + 72
    for strand in view.scene.strands[2:]:
        if y + 20 > layout.chart.bottom():
            return
        paint_stroke_sign(painter, strand.stroke, QPointF(layout.words_x, y), 40, theme.ink, theme.page)
        painter.setFont(font(SMALL_TEXT))
        painter.setPen(theme.second_ink)
        painter.drawText(QRectF(layout.words_x + 46, y - 11, 50, 22), strand_title(view.scene, strand))
        y += 24


def hatch_area(painter: QPainter, area: QRectF, ink: QColor) -> None:
    """Paint slanting lines into an area: nothing was measured there."""
    painter.save()
    painter.setClipRect(area)
    painter.setPen(QPen(ink, 1.2))
    x = area.left() - area.height()
    while x < area.right():
        painter.drawLine(QPointF(x, area.bottom()), QPointF(x + area.height(), area.top()))
        x += _HATCH_STEP
    painter.restore()


def curve_pen(stroke: Stroke, ink: QColor) -> QPen:
    """Return the pen of a strand's curve."""
    pen = QPen(ink, CURVE_LINE if stroke is Stroke.SOLID else SECOND_LINE)
    if stroke is Stroke.DASHED:
        pen.setDashPattern([5.5, 3.5])
    elif stroke is Stroke.DOT_DASHED:
        pen.setDashPattern([6.0, 3.0, 1.2, 3.0])
    pen.setCapStyle(Qt.PenCapStyle.FlatCap)
    return pen


def paint_chart(painter: QPainter, view: BenchView, plot: ChartPlot) -> None:
    """Paint the lightness curve, or when folded only what stands on the odds: bar, V and words."""
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    if not view.layout.folded:
        paint_heading(painter, view, view.layout.chart.top() + 12, tr("Lightness"), "L*")
        _paint_key(painter, view)
        _paint_grid(painter, view, plot)
        for strand in reversed(view.scene.strands):
            _paint_band(painter, view, plot, strand)
        _paint_target(painter, view, plot)
        for strand in reversed(view.scene.strands):
            _paint_curve(painter, view, plot, strand)
    _paint_drops(painter, view, plot)
    for mark in plot.marks:
        _paint_bar(painter, view, mark)
    for strand in reversed(view.scene.strands) if not view.layout.folded else ():
        _paint_samples(painter, view, plot, strand)
    for mark in plot.marks:
        _paint_v(painter, view, plot, mark)
    _paint_words(painter, view, plot)


def _paint_grid(painter: QPainter, view: BenchView, plot: ChartPlot) -> None:
    area, theme = plot.area, view.theme
    if plot.still is not None:
        painter.fillRect(QRectF(plot.still[0], area.top(), plot.still[1] - plot.still[0], area.height()), theme.band)
    if plot.beyond_x < area.right():
        beyond = QRectF(plot.beyond_x, area.top(), area.right() - plot.beyond_x, area.height())
        hatch_area(painter, beyond, theme.grid)
    painter.setFont(font(SMALL_TEXT))
    for lightness in plot.grid:
        y = round(plot.y(lightness)) + 0.5
        painter.setPen(QPen(theme.grid, GRID_LINE))
        painter.drawLine(QPointF(area.left(), y), QPointF(area.right(), y))
        painter.setPen(theme.second_ink)
        box = QRectF(area.left() - 44, y - 11, 34, 22)
        painter.drawText(box, Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignRight, f"{lightness:g}")


def _paint_band(painter: QPainter, view: BenchView, plot: ChartPlot, strand: Strand) -> None:
    if strand.prospect is None:
        return
    _, above, below = curve_points(strand.prospect, plot, view.axis)
    painter.setPen(QPen(view.theme.line, GRID_LINE))
    painter.setBrush(view.theme.band)
    painter.drawPolygon(QPolygonF([*above, *reversed(below)]))
    painter.setBrush(Qt.BrushStyle.NoBrush)


def _paint_target(painter: QPainter, view: BenchView, plot: ChartPlot) -> None:
    if plot.target_y is None:
        return
    painter.setPen(QPen(view.theme.ink, 1.3))
    for y in (plot.target_y - 2.5, plot.target_y + 2.5):
        painter.drawLine(QPointF(plot.area.left(), y), QPointF(plot.area.right(), y))


def _paint_curve(painter: QPainter, view: BenchView, plot: ChartPlot, strand: Strand) -> None:
    theme = view.theme
    if strand.prospect is not None:
        middle, _, _ = curve_points(strand.prospect, plot, view.axis)
        painter.setPen(curve_pen(strand.stroke, theme.ink))
        painter.drawPolyline(QPolygonF(middle))


def _paint_samples(painter: QPainter, view: BenchView, plot: ChartPlot, strand: Strand) -> None:
    theme = view.theme
    for sample in strand.samples:
        at = QPointF(view.axis.x(sample.hours), plot.y(sample.lab[0]))
        if sample.set_aside:
            paint_mark(painter, Stroke.DASHED, at, theme.ink, theme.page)
            painter.setPen(QPen(theme.ink, SECOND_LINE))
            painter.drawLine(at + QPointF(-7, 7), at + QPointF(7, -7))
        else:
            paint_mark(painter, strand.stroke, at, theme.ink, theme.page)


def _paint_drops(painter: QPainter, view: BenchView, plot: ChartPlot) -> None:
    pen = QPen(view.theme.ink, EDGE_LINE)
    pen.setDashPattern([2.0, 2.6])
    painter.setPen(pen)
    start = max((mark.bar.bottom() for mark in plot.marks), default=plot.area.bottom())
    for x in plot.drops:
        for top, bottom in clear_stretches(start, view.layout.odds.top(), plot.line_gaps(x)):
            painter.drawLine(QPointF(x, top), QPointF(x, bottom))


def _paint_bar(painter: QPainter, view: BenchView, mark: ChartMark) -> None:
    theme = view.theme
    if mark.bar.width() <= 0:
        return
    if mark.outlined:
        painter.setPen(QPen(theme.ink, EDGE_LINE))
        painter.setBrush(theme.page)
        painter.drawRect(mark.bar.adjusted(0.75, 0.75, -0.75, -0.75))
    else:
        painter.fillRect(mark.bar, theme.ink)
    if mark.middle_x is not None:
        painter.setPen(QPen(theme.ink, 2.4))
        painter.drawLine(QLineF(mark.middle_x, mark.bar.top() - 4, mark.middle_x, mark.bar.bottom() + 4))


def _paint_v(painter: QPainter, view: BenchView, plot: ChartPlot, mark: ChartMark) -> None:
    theme, box = view.theme, plot.v_box(mark)
    if box is None:
        return
    point = QPointF(box.center().x(), box.bottom())
    v = QPolygonF([box.topLeft(), point, box.topRight()])
    painter.setBrush(Qt.BrushStyle.NoBrush)
    for ink, width in ((theme.page, 7.0), (theme.ink, 2.6)):
        painter.setPen(QPen(ink, width, Qt.PenStyle.SolidLine, Qt.PenCapStyle.FlatCap, Qt.PenJoinStyle.MiterJoin))
        painter.drawPolyline(v)
    if mark.letter:
        painter.setFont(font(SMALL_TEXT, SEMIBOLD))
        width = small_width(mark.letter)
        x = box.left() - width - 4 if not mark.outlined else box.right() + 4
        painter.setPen(theme.ink)
        painter.drawText(QRectF(x, box.top() - 6, width + 2, 20), mark.letter)


def _paint_words(painter: QPainter, view: BenchView, plot: ChartPlot) -> None:
    for word in plot.words:
        painter.fillRect(word.box.adjusted(-3, 1, 3, 1), view.theme.page)
        painter.setFont(font(SMALL_TEXT, REGULAR if word.quiet else SEMIBOLD))
        painter.setPen(view.theme.second_ink if word.quiet else view.theme.ink)
        painter.drawText(word.box.adjusted(0, 0, 4, 0), Qt.AlignmentFlag.AlignVCenter, word.text)


def chart_things(view: BenchView, plot: ChartPlot) -> list[Painted]:
    """Return what is painted in chart and odds, for screen readers and tips."""
    things = []
    if not view.layout.folded:
        for strand in view.scene.strands:
            if strand.prospect is not None:
                found, name = strand.prospect, strand_title(view.scene, strand)
                first, last = found.at(0.0), found.at(view.axis.last_hours)
                value = tr(
                    "from L* {first} at 0 h to {last} at {end} h, with its band",
                    first=format_value(first.L),
                    last=format_value(last.L),
                    end=f"{last.hours:g}",
                )
                title = tr("{name}: lightness against hours, {stroke}", name=name, stroke=tr(strand.stroke.value))
                things.append(Painted(name=title, value=value, rect=plot.area.toAlignedRect()))
    for mark in plot.marks:
        things += _mark_things(view, plot, mark)
    for word in plot.words[:1] if plot.target_y is not None else ():
        things.append(Painted(name=tr("target"), value=word.text, rect=word.box.toAlignedRect()))
    things.append(
        Painted(
            name=tr("odds of being past the target, of ten such pieces"),
            value=_odds_value(view),
            rect=view.layout.odds.toAlignedRect(),
        )
    )
    return things


def _mark_things(view: BenchView, plot: ChartPlot, mark: ChartMark) -> list[Painted]:
    found = mark.strand.prospect
    assert found is not None
    name = strand_title(view.scene, mark.strand)
    due_odds, past_odds = odds_in_words(view.scene.choices.due_odds), odds_in_words(view.scene.choices.past_odds)
    high = tr("open") if found.high is None else spoken_hours(found.high)
    value = tr(
        "{low} to {high}, middle {hours}",
        low=spoken_hours(found.low or 0.0),
        high=high,
        hours=spoken_hours(found.hours or 0.0),
    )
    title = tr("{name}: hours of a piece, {often}", name=name, often=often_in_words(found.confidence))
    things = [Painted(name=title, value=value, rect=mark.bar.toAlignedRect())]
    box = plot.v_box(mark)
    if box is not None and found.due is not None:
        value = tr("{hours}, odds {odds}", hours=spoken_down(found.due), odds=due_odds)
        things.append(Painted(name=tr("{name}: due", name=name), value=value, rect=box.toAlignedRect()))
    if mark.look_x is not None and found.look_from is not None:
        drop = QRectF(mark.look_x - 4, mark.bar.bottom(), 8, max(8.0, view.layout.odds.top() - mark.bar.bottom()))
        value = tr("{hours}, odds {odds}", hours=spoken_down(found.look_from), odds=past_odds)
        things.append(Painted(name=tr("{name}: look from", name=name), value=value, rect=drop.toAlignedRect()))
    return things


def _odds_value(view: BenchView) -> str:
    found = view.scene.lead.prospect if view.scene.lead else None
    if found is None or found.odds is None:
        return tr("nothing can be said yet")
    choices = view.scene.choices
    said = [
        (odds_in_words(choices.past_odds), found.look_from),
        (odds_in_words(choices.due_odds), found.due),
        (odds_in_words(0.5), found.hours),
    ]
    return ", ".join(tr("{odds} at {hours}", odds=odds, hours=spoken_hours(h)) for odds, h in said if h is not None)
