"""The place Hours driven as a hand would drive it: mouse and keys on the rule, the chart, the photographs."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import pytest
from PySide6.QtCore import QEvent, QPoint, QRect, QSize, Qt, QTranslator
from PySide6.QtGui import QAccessible, QColor, QHelpEvent, QImage, QPaintEvent, QRegion
from PySide6.QtWidgets import QAbstractButton, QApplication, QToolTip, QWidget
from pytestqt.qtbot import QtBot

from app.background import Tasks
from app.models.hours_ledger import ledger_blocks
from app.models.hours_scene import Choice, hours_scene
from app.views.frame import Frame
from app.views.hours import HoursPlace
from app.views.hours_bench import HoursBench
from app.views.hours_chart import plot_of
from app.views.hours_ledger import LedgerText
from app.views.hours_rule import HoursRule
from app.views.painted import install
from app.views.place import WindowState
from app.views.theme import (
    BUTTONS,
    DARK,
    LIGHT,
    SEMIBOLD,
    Bench,
    Theme,
    load_fonts,
    measure_for,
    palette,
    text_width,
)
from colourcore.pipeline import Results
from tests.app.hours_stage import chest, ladder, results, state, target

FIVE_MINUTES = 5 / 60
Opener = Callable[..., "Stage"]


class Stage:
    """A window with the place Hours alone, and hands to drive it."""

    def __init__(self, qtbot: QtBot, tasks: Tasks, size: tuple[int, int], theme: Theme, kept: list[str]) -> None:
        self.qtbot, self.size, self.theme = qtbot, QSize(*size), theme
        self.place = HoursPlace(tasks, keep_spread=kept.append)
        self.frame = Frame([self.place])
        self.frame.setMinimumSize(720, 450)
        self.frame.setPalette(palette(theme))
        self.frame.setAutoFillBackground(True)
        self.frame.resize(self.size)
        qtbot.addWidget(self.frame)
        with qtbot.waitExposed(self.frame):
            self.frame.show()

    def show(self, made: Results | None = None, *, with_wood: bool = True) -> None:
        shown = state(made, theme=self.theme, measure=measure_for(self.size), with_wood=with_wood)
        self.show_state(shown)

    def show_state(self, shown: WindowState) -> None:
        self.frame.set_state(shown)
        self.qtbot.wait(1)

    def child(self, kind: type[QWidget]) -> QWidget:
        found = self.place.findChild(kind)
        assert found is not None
        return found

    @property
    def rule(self) -> HoursRule:
        found = self.child(HoursRule)
        assert isinstance(found, HoursRule)
        return found

    @property
    def bench(self) -> HoursBench:
        found = self.child(HoursBench)
        assert isinstance(found, HoursBench)
        return found

    @property
    def hours(self) -> float:
        return self.place.hours()

    def x_of(self, hours: float) -> float:
        return self.bench.view.axis.x(hours)

    def press(self, key: Qt.Key, modifier: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
        self.qtbot.keyClick(self.rule, key, modifier)

    def click_bench(self, x: float, y: float) -> None:
        self.qtbot.mouseClick(self.bench, Qt.MouseButton.LeftButton, pos=QPoint(round(x), round(y)))

    def drag_to(self, hours: float) -> None:
        start = self.rule.grip_centre()
        end = QPoint(round(self.x_of(hours) - self.rule.x()), start.y())
        self.qtbot.mousePress(self.rule, Qt.MouseButton.LeftButton, pos=start)
        self.qtbot.mouseMove(self.rule, end)
        self.qtbot.mouseRelease(self.rule, Qt.MouseButton.LeftButton, pos=end)

    def button(self, text: str) -> QAbstractButton:
        named = [b for b in self.frame.findChildren(QAbstractButton) if b.text() == text and b.isVisible()]
        assert len(named) == 1, f"{text}: {[b.text() for b in self.frame.findChildren(QAbstractButton)]}"
        return named[0]

    def click(self, text: str) -> None:
        QApplication.processEvents()
        self.qtbot.mouseClick(self.button(text), Qt.MouseButton.LeftButton)

    def picture(self) -> QImage:
        return self.frame.grab().toImage()

    def on_screen(self) -> QImage:
        """What stands on the screen, painted piece by piece as it came."""
        self.qtbot.wait(20)
        return self.frame.screen().grabWindow(self.frame.winId()).toImage()

    def ledger(self) -> dict[str, str]:
        """Names and values of what the ledger says, as a screen reader hears them."""
        said: dict[str, str] = {}
        for text in self.place.findChildren(LedgerText):
            said |= {thing.name: thing.value for thing in text.painted()}
        return said


@pytest.fixture
def open_hours(qtbot: QtBot) -> Iterator[Opener]:
    load_fonts()
    install()
    tasks = Tasks()

    def opener(size: tuple[int, int] = (1440, 900), theme: Theme = LIGHT, kept: list[str] | None = None) -> Stage:
        return Stage(qtbot, tasks, size, theme, [] if kept is None else kept)

    yield opener
    tasks.close()


@pytest.fixture
def stage(open_hours: Opener) -> Stage:
    opened = open_hours()
    opened.show()
    return opened


def look_and_due(stage: Stage) -> tuple[float, float]:
    lead = stage.bench.view.scene.lead
    assert lead is not None
    assert lead.prospect is not None
    assert lead.prospect.look_from is not None
    assert lead.prospect.due is not None
    return lead.prospect.look_from, lead.prospect.due


# the grip


def test_the_grip_lies_on_due_before_a_hand_was_at_it(stage: Stage) -> None:
    assert 0 <= look_and_due(stage)[1] - stage.hours < FIVE_MINUTES


def test_dragging_the_grip_moves_the_hour_on_five_minutes(stage: Stage) -> None:
    stage.drag_to(4.0)
    assert stage.hours == pytest.approx(4.0, abs=FIVE_MINUTES)
    assert round(stage.hours * 12) == pytest.approx(stage.hours * 12)


def test_a_click_on_the_rule_brings_the_grip_there(stage: Stage) -> None:
    at = QPoint(round(stage.x_of(18.0) - stage.rule.x()), stage.rule.height() // 2)
    stage.qtbot.mouseClick(stage.rule, Qt.MouseButton.LeftButton, pos=at)
    assert stage.hours == pytest.approx(18.0, abs=0.1)


def test_picking_the_grip_up_off_its_middle_does_not_make_it_jump(stage: Stage) -> None:
    before = stage.hours
    at = stage.rule.grip_centre() + QPoint(30, 5)
    stage.qtbot.mousePress(stage.rule, Qt.MouseButton.LeftButton, pos=at)
    stage.qtbot.mouseMove(stage.rule, at)
    stage.qtbot.mouseRelease(stage.rule, Qt.MouseButton.LeftButton, pos=at)
    assert stage.hours == pytest.approx(before, abs=FIVE_MINUTES)


def test_arrows_move_by_five_minutes_and_with_shift_by_an_hour(stage: Stage) -> None:
    stage.place.go_to(9.0)
    stage.press(Qt.Key.Key_Right)
    assert stage.hours == pytest.approx(9 + FIVE_MINUTES)
    stage.press(Qt.Key.Key_Left)
    stage.press(Qt.Key.Key_Left, Qt.KeyboardModifier.ShiftModifier)
    assert stage.hours == pytest.approx(8.0)


def test_page_keys_walk_from_sample_to_sample(stage: Stage) -> None:
    stage.place.go_to(9.0)
    stage.press(Qt.Key.Key_PageUp)
    assert stage.hours == 12.0
    stage.press(Qt.Key.Key_PageDown)
    stage.press(Qt.Key.Key_PageDown)
    assert stage.hours == 6.0


def test_home_is_look_from_and_end_is_due(stage: Stage) -> None:
    look, due = look_and_due(stage)
    stage.press(Qt.Key.Key_Home)
    assert stage.hours == pytest.approx(look)
    stage.press(Qt.Key.Key_End)
    assert stage.hours == pytest.approx(due)


def test_no_key_drives_the_grip_off_the_rule(stage: Stage) -> None:
    stage.place.go_to(0.0)
    stage.press(Qt.Key.Key_Left)
    assert stage.hours == 0.0
    stage.place.go_to(24.0)
    stage.press(Qt.Key.Key_Right, Qt.KeyboardModifier.ShiftModifier)
    stage.press(Qt.Key.Key_PageUp)
    assert stage.hours == 24.0


def test_the_hit_area_of_the_rule_is_56_high(stage: Stage) -> None:
    assert stage.rule.height() == 56


def test_a_click_on_a_photograph_brings_the_grip_to_its_hour_and_chooses_it(stage: Stage) -> None:
    row = stage.bench.view.layout.rows[0]
    with stage.qtbot.waitSignal(stage.place.choose_asked) as chosen:
        stage.click_bench(stage.x_of(4.0), row.photographs.center().y())
    assert stage.hours == 4.0
    assert chosen.args == [(4,)]


def test_a_click_into_the_odds_brings_the_grip_there(stage: Stage) -> None:
    stage.click_bench(stage.x_of(12.0), stage.bench.view.layout.odds.center().y())
    assert stage.hours == pytest.approx(12.0, abs=0.1)
    assert stage.rule.hasFocus()


def test_the_ring_of_the_keys_goes_round_the_grip_and_with_it(stage: Stage) -> None:
    stage.frame.activateWindow()
    stage.rule.setFocus()
    ring = stage.frame.ring
    stage.qtbot.waitUntil(ring.isVisible)
    before = ring.geometry()
    stage.place.go_to(18.0)
    grip = stage.rule.mapTo(stage.frame, stage.rule.grip_centre())
    assert ring.geometry() != before
    assert (ring.geometry().center() - grip).manhattanLength() <= 2


# what moves with it


def test_the_ledger_follows_the_grip(stage: Stage) -> None:
    stage.place.go_to(4.0)
    early = stage.ledger()
    stage.place.go_to(12.0)
    late = stage.ledger()
    assert "At 4\u00a0h" in early
    assert "At 12\u00a0h" in late
    assert early["ten pieces of heartwood"].startswith("0 past")
    assert late["ten pieces of heartwood"] != early["ten pieces of heartwood"]
    assert early["L* of heartwood"] != late["L* of heartwood"]


def test_the_board_slides_along_and_darkens(stage: Stage) -> None:
    def middle(hours: float) -> QColor:
        stage.place.go_to(hours)
        plank = stage.bench.view.layout.plank
        left = min(max(plank.left(), stage.x_of(hours) - stage.bench.view.layout.board_width / 2), plank.right())
        at = stage.bench.mapTo(stage.frame, QPoint(round(left) + 60, round(plank.top()) + 20))
        return stage.picture().copy(at.x(), at.y(), 60, 24).scaled(1, 1).pixelColor(0, 0)

    light, dark = middle(1.0), middle(20.0)
    assert light.lightness() > dark.lightness() + 40


def test_a_drag_paints_only_what_moves(open_hours: Opener, monkeypatch: pytest.MonkeyPatch) -> None:
    painted: list[QRegion] = []
    original = HoursBench.paintEvent

    def watched(bench: HoursBench, event: QPaintEvent) -> None:
        painted.append(event.region())
        original(bench, event)

    monkeypatch.setattr(HoursBench, "paintEvent", watched)
    stage = open_hours()
    stage.show()
    stage.place.go_to(6.0)
    stage.qtbot.wait(20)
    painted.clear()
    monkeypatch.setattr("app.views.hours_bench.paint_rows", lambda *_: pytest.fail("the rows were painted again"))
    stage.place.go_to(6.5)
    stage.qtbot.waitUntil(lambda: bool(painted))
    layout = stage.bench.view.layout
    for region in painted:
        assert not any(region.intersects(row.photographs.toRect()) for row in layout.rows)
        assert not region.contains(layout.chart.topRight().toPoint() + QPoint(-40, 40))


def test_a_long_drag_leaves_nothing_behind(stage: Stage) -> None:
    stage.place.go_to(9.0)
    clean = stage.on_screen()
    for number in range(60):
        stage.place.go_to(0.4 * number)
        QApplication.processEvents()
    assert stage.on_screen() != clean
    stage.place.go_to(9.0)
    assert stage.on_screen() == clean


def test_nothing_below_a_longer_sentence_jumps_while_the_grip_moves(qtbot: QtBot) -> None:
    load_fonts()
    scene = hours_scene(chest(), Choice())
    said = [ledger_blocks(scene, 0.6 * number) for number in range(40)]
    loose, still = LedgerText(), LedgerText()
    jumped = 0
    for text in (loose, still):
        qtbot.addWidget(text)
    still.foresee(said)
    for width in range(200, 300, 9):
        depths: dict[LedgerText, set[int]] = {loose: set(), still: set()}
        for text, found in depths.items():
            text.resize(width, 400)
            for blocks in said:
                text.set_blocks(blocks, LIGHT)
                found.add(text.heightForWidth(width))
        assert len(depths[still]) == 1
        jumped += len(depths[loose]) > 1
    assert jumped  # left to themselves they do


# boards, rows, axis


def test_the_tabs_show_one_board_or_both(stage: Stage) -> None:
    stage.click("Board B")
    assert "due at" in stage.frame.sentence.said()
    due_b = stage.hours
    stage.click("both")
    assert stage.frame.sentence.said().startswith("Taken out together")
    stage.click("apart")
    assert stage.frame.sentence.said().startswith("Apart")
    stage.click("Board A")
    assert stage.hours < due_b


def test_the_axis_is_one_word_away_and_kept(open_hours: Opener) -> None:
    kept: list[str] = []
    stage = open_hours(kept=kept)
    stage.show()
    wide = stage.x_of(1.0)
    stage.click("even")
    assert stage.x_of(1.0) < wide
    assert kept == ["even"]
    again = open_hours(kept=kept)
    again.place.set_spread("even")
    again.place.set_spread("sideways")
    again.show()
    assert again.x_of(1.0) == stage.x_of(1.0)
    assert kept == ["even"]


def test_at_even_hours_photographs_step_up_and_none_touches_another(open_hours: Opener) -> None:
    stage = open_hours()
    stage.place.set_spread("even")
    stage.show()
    boxes = [t.rect for t in stage.bench.painted() if t.name.startswith("Heartwood, ")]
    assert len(boxes) == 9
    assert not any(a.intersects(b) for i, a in enumerate(boxes) for b in boxes[:i])
    assert len({box.height() for box in boxes}) > 1


def test_many_boards_go_by_their_letters(open_hours: Opener) -> None:
    stage = open_hours()
    rows = [*ladder(1, board="A"), *ladder(101, board="B", pace=1.4), *ladder(201, board="C", pace=0.8), target()]
    stage.show(results(rows))
    stage.click("C")
    stage.click("farthest two")
    assert "Taken out together" in stage.frame.sentence.said()


# what cannot be said


def test_with_too_few_samples_there_is_no_grip_and_the_next_step_is_the_samples(open_hours: Opener) -> None:
    stage = open_hours()
    stage.show(results([*ladder(1, (0.0, 24.0)), target()]))
    before = stage.hours
    stage.press(Qt.Key.Key_Right)
    stage.click_bench(stage.x_of(4.0), stage.bench.view.layout.odds.center().y())
    assert stage.hours == before
    assert [t.value for t in stage.bench.painted() if "would tell most" in t.name] == ["not made yet"] * 2
    with stage.qtbot.waitSignal(stage.place.go_asked) as asked:
        stage.click("Look at the samples")
    assert asked.args == ["samples"]


def test_a_target_out_of_reach_leads_back_to_the_target(open_hours: Opener) -> None:
    stage = open_hours()
    stage.show(results([*ladder(1, zone="sapwood"), target((44.0, 4.0, 12.0))]))
    with stage.qtbot.waitSignal(stage.place.go_asked) as asked:
        stage.click("Choose another target")
    assert asked.args == ["target"]


def test_with_hours_the_next_step_is_the_run(stage: Stage) -> None:
    with stage.qtbot.waitSignal(stage.place.go_asked) as asked:
        stage.click("Plan the run")
    assert asked.args == ["run"]


@pytest.mark.parametrize(
    "made",
    [
        results([]),
        results(ladder(1)),
        results([*ladder(1, (4.0,)), target()]),
        results([*ladder(1, photo=""), target(photo="")]),
        results([*ladder(1, (0.0, 1.0, 2.0, 3.0, 4.0, 6.0)), target()]),
        results([*ladder(1), target((38.5, 3.2, 10.5))]),
        results([*ladder(1), *ladder(101, zone="sapwood"), *ladder(201, zone="edge"), target()]),
    ],
    ids=["nothing", "no target", "one sample", "numbers only", "beyond", "hardly moving", "three zones"],
)
@pytest.mark.parametrize("size", [(1440, 900), (1100, 700), (720, 450), (2200, 1300)])
def test_every_state_shows_in_every_window(open_hours: Opener, made: Results, size: tuple[int, int]) -> None:
    stage = open_hours(size, DARK)
    stage.show(made, with_wood=False)
    assert stage.picture().size() == QSize(*size)
    assert stage.frame.sentence.said()
    for thing in stage.bench.painted():
        assert thing.name
        assert stage.bench.rect().contains(thing.rect.center())


# small windows


def test_folded_one_row_is_in_sight_and_the_other_a_word_away(open_hours: Opener) -> None:
    stage = open_hours((720, 450))
    stage.show()
    assert stage.frame.height() == 450
    names = [t.name for t in stage.bench.painted()]
    assert any(name.startswith("Heartwood, ") for name in names)
    assert not any(name.startswith("Sapwood, ") for name in names)
    stage.click("Sapwood")
    names = [t.name for t in stage.bench.painted()]
    assert any(name.startswith("Sapwood, ") for name in names)
    assert not any(name.startswith("Heartwood, ") for name in names)


def test_folded_the_next_step_stays_in_sight(open_hours: Opener) -> None:
    stage = open_hours((720, 450))
    stage.show()
    button = stage.button("Plan the run")
    corner = button.mapTo(stage.frame, button.rect().bottomRight())
    assert stage.frame.rect().contains(corner)


def test_folded_the_axis_is_still_one_word_away(open_hours: Opener) -> None:
    kept: list[str] = []
    stage = open_hours((720, 450), kept=kept)
    stage.show()
    stage.click("even")
    stage.click("early wide")
    assert kept == ["even", "early wide"]


# seen and heard


def test_every_painted_thing_is_a_child_with_name_value_and_place(stage: Stage) -> None:
    interface = QAccessible.queryAccessibleInterface(stage.bench)
    names = {}
    for number in range(len(stage.bench.painted())):
        child = interface.child(number)
        names[child.text(QAccessible.Text.Name)] = child.text(QAccessible.Text.Value)
        assert child.rect().isValid()
    assert "L*" in names["Heartwood, 4 h"]
    assert "set aside: pencil line" in names["Sapwood, 9 h"]
    assert "odds one in three" in names["Heartwood: due"]
    assert "odds one in ten" in names["Heartwood: look from"]
    assert names["target"]
    assert "±" in names["heartwood of the board, slid along the target"]
    assert any(name.startswith("odds of being past the target") for name in names)


def test_the_grip_is_a_slider_that_says_its_hour(stage: Stage) -> None:
    stage.place.go_to(7 + 55 / 60)
    grip = QAccessible.queryAccessibleInterface(stage.rule).child(0)
    assert grip.role() == QAccessible.Role.Slider
    assert grip.text(QAccessible.Text.Value) == "7\u00a0h\u00a055, 7.92 h"


@pytest.mark.parametrize("theme", [LIGHT, DARK], ids=["light", "dark"])
def test_the_bench_is_one_grey_in_both_themes_and_chrome_has_no_hue(open_hours: Opener, theme: Theme) -> None:
    stage = open_hours((1440, 900), theme)
    stage.show()
    picture = stage.picture()
    layout = stage.bench.view.layout
    corner = stage.bench.mapTo(stage.frame, QPoint(6, round(layout.plank.center().y())))
    assert picture.pixelColor(corner) == Bench.BENCH.colour
    figures = stage.bench.mapTo(stage.frame, QPoint(0, round(layout.chart.top())))
    for x in range(0, 1440, 7):
        for y in range(figures.y() + 2, 898, 7):
            pixel = picture.pixelColor(x, y)
            assert pixel.red() == pixel.green() == pixel.blue()


def test_no_line_of_the_grip_runs_through_words(stage: Stage) -> None:
    look, due = look_and_due(stage)
    for hours in (look - 0.3, look, due, due + 0.4):
        stage.place.go_to(hours)
        stage.qtbot.wait(5)
    # words keep clear of the line: what is painted under them is page or ink, never a stroke from top to bottom
    stage.place.go_to(due + 0.4)
    picture = stage.picture()
    x = stage.bench.mapTo(stage.frame, QPoint(round(stage.x_of(due + 0.4)), 0)).x()
    layout = stage.bench.view.layout
    top = stage.bench.mapTo(stage.frame, QPoint(0, round(layout.chart.bottom()) - 25)).y()
    column = [picture.pixelColor(x, y) for y in range(top, top + 20)]
    assert column.count(LIGHT.page) >= 4


def test_figures_that_are_being_worked_out_anew_are_marked_so(stage: Stage) -> None:
    from dataclasses import replace

    stage.show_state(replace(state(), current=False))
    assert stage.frame.second.said().startswith("The last figures; newer ones are on their way.")


def test_a_place_that_is_not_seen_still_answers_and_paints_when_it_is(qtbot: QtBot) -> None:
    load_fonts()
    tasks = Tasks()
    place = HoursPlace(tasks)
    frame = Frame([place])
    frame.setMinimumSize(720, 450)
    qtbot.addWidget(frame)
    frame.set_state(state())
    assert place.answer() == "due 8\u00a0h\u00a040, from 7\u00a0h\u00a040"
    assert place.short_answer() == "due 8\u00a0h\u00a040"
    frame.resize(1440, 900)
    with qtbot.waitExposed(frame):
        frame.show()
    bench = place.findChild(HoursBench)
    assert bench is not None
    assert bench.painted()
    tasks.close()


def test_the_same_state_again_costs_nothing(stage: Stage, monkeypatch: pytest.MonkeyPatch) -> None:
    made = state(chest())
    stage.show_state(made)
    told: list[object] = []
    monkeypatch.setattr(HoursBench, "set_scene", lambda *_: told.append(1))
    stage.show_state(made)
    assert told == []


class Longer(QTranslator):
    """A language whose words are a third longer."""

    def translate(self, _context: str, source: str, _about: str | None = None, _n: int = -1) -> str:
        return source + "n" * (1 + len(source) // 3)


@pytest.fixture
def longer_words(qapp: QApplication) -> Iterator[None]:
    longer = Longer()
    qapp.installTranslator(longer)
    yield
    qapp.removeTranslator(longer)


@pytest.mark.parametrize("size", [(1440, 900), (1250, 640), (1100, 700), (720, 450)])
@pytest.mark.usefixtures("longer_words")
def test_words_a_third_longer_still_keep_off_each_other(open_hours: Opener, size: tuple[int, int]) -> None:
    stage = open_hours(size)
    stage.show()
    view = stage.bench.view
    words = [word.box for word in plot_of(view).words]
    assert len(words) >= 2
    assert not any(a.intersects(b) for i, a in enumerate(words) for b in words[:i])
    assert all(stage.bench.rect().contains(box.toRect()) for box in words)
    shown = [button for button in stage.bench.findChildren(QAbstractButton) if button.isVisible()]
    for button in shown:
        box = QRect(button.mapTo(stage.bench, QPoint(0, 0)), button.size())
        assert box.right() <= view.layout.left
        assert stage.bench.rect().contains(box)
    assert not any(one is not two and _meet(stage.bench, one, two) for one in shown for two in shown)


def _meet(bench: QWidget, one: QWidget, two: QWidget) -> bool:
    boxes = [QRect(each.mapTo(bench, QPoint(0, 0)), each.size()) for each in (one, two)]
    return boxes[0].intersects(boxes[1])


def test_the_longest_hour_fits_into_the_grip(open_hours: Opener) -> None:
    stage = open_hours()
    stage.show(results([*ladder(1, (0.0, 24.0, 72.0, 168.0, 240.0, 336.0), pace=30.0), target()]))
    stage.place.go_to(208 + 55 / 60)
    grip = stage.rule.focus_rect()
    assert grip.width() >= text_width("208 h 55", BUTTONS, SEMIBOLD) + 30
    assert stage.frame.grab().width() == 1440


def test_pointing_at_a_sample_tells_its_hours_and_its_colour(stage: Stage, monkeypatch: pytest.MonkeyPatch) -> None:
    told: list[str] = []
    monkeypatch.setattr(QToolTip, "showText", lambda *said: told.append(said[1]))
    row = stage.bench.view.layout.rows[0]
    at = QPoint(round(stage.x_of(4.0)), round(row.photographs.center().y()))
    QApplication.sendEvent(stage.bench, QHelpEvent(QEvent.Type.ToolTip, at, stage.bench.mapToGlobal(at)))
    assert told[0].startswith("Heartwood, 4 h: L* ")
    assert "±" in told[0]
