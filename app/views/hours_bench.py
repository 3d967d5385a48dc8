"""The bench of *Hours* and the figures under it, painted once and kept; a drag paints only what moves."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QPointF, QRect, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QHelpEvent, QMouseEvent, QPainter, QPaintEvent, QPen, QPixmap, QResizeEvent
from PySide6.QtWidgets import QSizePolicy, QToolTip, QWidget

from app.models.hours_axis import Axis
from app.models.hours_chart import ChartPlot, clear_stretches
from app.models.hours_layout import HoursLayout, hours_layout
from app.models.hours_placing import all_stand
from app.models.hours_scene import HoursScene, StrandSample, axis_end
from app.views.hours_chart import chart_things, paint_chart, plot_of
from app.views.hours_odds import paint_odds, paint_scale
from app.views.hours_plank import Plank
from app.views.hours_rows import BenchView, paint_rows, row_things
from app.views.hours_rule import HoursRule, Stops
from app.views.painted import Painted, PaintedWidget
from app.views.parts import bench_palette
from app.views.place import WindowState
from app.views.theme import BODY, SEMIBOLD, Bench, Measure, font
from app.wording import tr

__all__ = ["HoursBench"]

_WORDS_WIDTH = {"full": 138.0, "small": 124.0, "folded": 94.0}
_END_GAP = {"full": 24.0, "small": 8.0, "folded": 16.0}
_LINE = 2.0
_FOOT = 14
_NARROWER = (1.0, 0.97, 0.94, 0.9, 0.86, 0.82, 0.78, 0.74, 0.7)


class HoursBench(PaintedWidget):
    """Rows, rule, plank, chart and odds on one axis.

    `moved` brings the hour that the user asks for, by the rule, the chart or a photograph; `picked` the identity of
    the sample that was clicked; `laid_out` comes when everything has got another place.
    """

    moved = Signal(float)
    picked = Signal(int)
    laid_out = Signal()

    def __init__(self, parent: QWidget | None = None, *, with_chart: bool = True) -> None:
        super().__init__(parent)
        self._with_chart = with_chart
        self._state = WindowState()
        self._scene = HoursScene()
        self._hours = 0.0
        self._view: BenchView | None = None
        self._plot: ChartPlot | None = None
        self._plank: Plank | None = None
        self._still: QPixmap | None = None
        self._dragging = False
        self.rule = HoursRule(self)
        self.rule.setPalette(bench_palette())
        self.rule.moved.connect(self.moved)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setMinimumSize(420, 236)
        self.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        self.setAccessibleName(tr("The bench: samples on their hour, target, curve and odds"))

    def sizeHint(self) -> QSize:
        return QSize(1128, 716)

    def set_scene(self, state: WindowState, scene: HoursScene) -> None:
        """Show another scene."""
        self._state, self._scene = state, scene
        self._forget()

    def set_hours(self, hours: float) -> None:
        """Move to an hour: only what moves with it is painted again."""
        if hours == self._hours:
            return
        if self._view is None:
            self._hours = hours
            return
        before = self._moving_parts()
        self._hours = hours
        for part in (*before, *self._moving_parts()):
            self.update(part)
        self.rule.set_hours(hours)

    @property
    def view(self) -> BenchView:
        """Everything as it is laid out now."""
        if self._view is None:
            self._lay_out()
        assert self._view is not None
        return self._view

    def _forget(self) -> None:
        self._view = self._plot = self._plank = self._still = None
        if self.isVisible():
            self._lay_out()
        self.update()

    def _lay_out(self) -> None:
        measure = self._state.measure
        scene = self._scene
        layout, axis = self._fitted(measure, scene)
        self._view = BenchView(
            scene=scene,
            layout=layout,
            axis=axis,
            theme=self._state.theme,
            ratio=self.devicePixelRatioF(),
            cutouts=self._state.cutouts,
            wanted_hours=scene.wanted_hours,
        )
        self._plot = plot_of(self._view)
        self._plank = None
        found = scene.lead.prospect if scene.lead else None
        stops = Stops(
            samples=scene.named_hours,
            look_from=found.look_from if found else None,
            due=found.due if found else None,
            alive=_alive(scene),
        )
        self.rule.set_view(layout, axis, scene.named_hours, stops)
        self.rule.set_hours(self._hours)
        self.laid_out.emit()

    def _fitted(self, measure: Measure, scene: HoursScene) -> tuple[HoursLayout, Axis]:
        """Layout and axis with photographs as wide as lets all of them stand; full width where no little less would."""
        found = [self._laid_out(measure, scene, narrower) for narrower in _NARROWER]
        for layout, axis in found:
            rows = [[axis.x(s.hours) for s in strand.samples] for strand in scene.rows]
            if all(all_stand(row, layout.photo_width) for row in rows):
                return layout, axis
        return found[0]

    def _laid_out(self, measure: Measure, scene: HoursScene, narrower: float) -> tuple[HoursLayout, Axis]:
        layout = hours_layout(
            self.width(),
            self.height() - (0 if measure.folded else _FOOT),
            margin=measure.margin,
            words_width=_WORDS_WIDTH[measure.name],
            end_gap=_END_GAP[measure.name],
            two_rows=len(scene.rows) > 1,
            folded=measure.folded,
            photo_narrower=narrower,
            remarks_above=self._remarks_above(),
            with_chart=self._with_chart,
        )
        axis = Axis(
            spread=scene.choice.spread,
            last_hours=axis_end(scene, scene.wanted_hours),
            first_x=layout.first_x,
            last_x=layout.last_x,
        )
        return layout, axis

    def _remarks_above(self) -> bool:
        if not self._scene.rows or self._state.measure.folded:
            return False
        return any(s.set_aside or s.off is not None for s in self._scene.rows[0].samples)

    def _ready_plank(self) -> Plank:
        if self._plank is None:
            self._plank = Plank(self.view)
        return self._plank

    def _moving_parts(self) -> list[QRect]:
        """What moves with the hour, here: the board with its ticks, and the line down chart and odds."""
        view = self.view
        x = view.axis.x(self._hours)
        line = QRectF(x - 3, view.layout.plank.bottom(), 6, view.layout.odds.bottom() - view.layout.plank.bottom() + 1)
        return [self._ready_plank().moving_box(self._hours), line.toAlignedRect()]

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._forget()

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() == QEvent.Type.DevicePixelRatioChange:
            self._forget()

    def paintEvent(self, event: QPaintEvent) -> None:
        still = self._painted_still()
        painter = QPainter(self)
        painter.setClipRegion(event.region())
        painter.drawPixmap(0, 0, still)
        plank = self._ready_plank()
        if event.region().intersects(plank.moving_box(self._hours)):
            plank.paint_board(painter, self._hours)
        if self._with_chart and _alive(self.view.scene):
            self._paint_line(painter)
        painter.end()

    def _paint_line(self, painter: QPainter) -> None:
        view, plot = self.view, self._plot
        assert plot is not None
        x = round(view.axis.x(self._hours))
        layout = view.layout
        bench_end = layout.bench.bottom()
        gaps = plot.line_gaps(x)
        painter.setPen(QPen(Bench.INK.colour, _LINE))
        painter.drawLine(QPointF(x, layout.plank.bottom() + 4), QPointF(x, bench_end))
        for top, bottom in clear_stretches(bench_end, layout.odds.bottom(), gaps):
            painter.setPen(QPen(view.theme.ink, _LINE))
            painter.drawLine(QPointF(x, top), QPointF(x, bottom))
        self._paint_line_in_odds(painter, x)

    def _paint_line_in_odds(self, painter: QPainter, x: float) -> None:
        """On the filled part the line takes the filling's text colour, so that it never drowns."""
        view = self.view
        found = view.scene.lead.prospect if view.scene.lead else None
        odds = found.at(self._hours).odds if found else None
        if odds:
            box = view.layout.odds
            painter.setPen(QPen(view.theme.odds_text, _LINE))
            painter.drawLine(QPointF(x, box.bottom() - odds * box.height() + 1), QPointF(x, box.bottom() - 2))

    def _painted_still(self) -> QPixmap:
        ratio = self.devicePixelRatioF()
        if self._still is not None and self._still.devicePixelRatio() == ratio:
            return self._still
        still = QPixmap((QSize(self.width(), self.height()).toSizeF() * ratio).toSize())
        still.setDevicePixelRatio(ratio)
        view, plot = self.view, self._plot
        assert plot is not None
        painter = QPainter(still)
        painter.fillRect(self.rect(), view.theme.page)
        painter.fillRect(view.layout.bench, Bench.BENCH.colour)
        paint_rows(painter, view)
        self._paint_hours_word(painter, view.layout)
        if view.scene.lead is not None:
            self._ready_plank().paint_target(painter)
            if self._with_chart:
                paint_odds(painter, view, plot)
                paint_chart(painter, view, plot)
                paint_scale(painter, view)
        painter.end()
        self._still = still
        return still

    @staticmethod
    def _paint_hours_word(painter: QPainter, layout: HoursLayout) -> None:
        painter.setFont(font(BODY, SEMIBOLD))
        painter.setPen(Bench.INK.colour)
        room = QRectF(layout.words_x, layout.rule.top(), layout.left - layout.words_x, layout.rule.height())
        painter.drawText(room, Qt.AlignmentFlag.AlignVCenter, tr("hours"))

    def painted(self) -> tuple[Painted, ...]:
        return tuple(thing for thing, _ in self._things())

    def _things(self) -> list[tuple[Painted, StrandSample | None]]:
        view = self.view
        things = row_things(view)
        if view.scene.lead is None or self._plot is None:
            return things
        things += [(thing, None) for thing in self._ready_plank().things(self._hours)]
        if self._with_chart:
            things += [(thing, None) for thing in chart_things(view, self._plot)]
        return things

    def _sample_at(self, at: QPointF) -> StrandSample | None:
        for thing, sample in self._things():
            if sample is not None and thing.rect.contains(at.toPoint()):
                return sample
        return None

    def _in_figures(self, at: QPointF) -> bool:
        layout = self.view.layout
        return layout.bench.bottom() < at.y() <= layout.scale.bottom() and layout.left <= at.x() <= layout.right

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() != Qt.MouseButton.LeftButton:
            return
        at = event.position()
        sample = self._sample_at(at)
        if sample is not None:
            self.moved.emit(sample.hours)
            if sample.identity is not None:
                self.picked.emit(sample.identity)
        elif self._in_figures(at) and _alive(self.view.scene):
            self._dragging = True
            self.rule.setFocus(Qt.FocusReason.MouseFocusReason)
            self.rule.ask_x(at.x())

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if self._dragging:
            self.rule.ask_x(event.position().x())

    def mouseReleaseEvent(self, _event: QMouseEvent) -> None:
        self._dragging = False

    def event(self, event: QEvent) -> bool:
        if isinstance(event, QHelpEvent) and event.type() == QEvent.Type.ToolTip:
            self._tip(event)
            return True
        return super().event(event)

    def _tip(self, event: QHelpEvent) -> None:
        for thing, _ in reversed(self._things()):
            if thing.rect.contains(event.pos()):
                QToolTip.showText(event.globalPos(), f"{thing.name}: {thing.value}", self, thing.rect)
                return
        QToolTip.hideText()


def _alive(scene: HoursScene) -> bool:
    """Whether anything is known of any hour, so that there is a grip to move."""
    return any(strand.prospect is not None for strand in scene.rows)
