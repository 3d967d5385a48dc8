"""The place *Target*: where the shade comes from, raw or finished, for which parts, and whether it can be reached."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from functools import partial
from pathlib import Path

from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QBoxLayout, QVBoxLayout, QWidget

from app.background import Answered, Failed, Outcome, Tasks, Ticket
from app.models.hours_prospect import Prospect
from app.models.sample_words import typed_hours
from app.models.target_scene import (
    active_targets,
    other_patches,
    parts_of,
    reading_of_patch,
)
from app.models.target_words import answer, opening, reach_lines, second_line
from app.views.controls import Tabs
from app.views.layout import BenchAndLedger
from app.views.parts import BenchArea, Words
from app.views.place import Place, WindowState
from app.views.scrolling import ScrolledBody, scrolled
from app.views.target_bench import TargetBench
from app.views.target_ledger import TargetLedger
from app.views.target_panel import SourcePanel
from app.views.target_shelf import ShelfKeeper, ShelfList
from app.views.target_sources import Source, SourceBoxes
from app.views.target_view import notices_of, target_view
from app.views.target_wishes import aim_for_numbers, for_parts, lab_of, shade_of
from app.views.theme import BODY, SEMIBOLD
from app.wording import count, duration, tr
from colourcore.colour.munsell import munsell_to_lab, written_munsell
from colourcore.errors import InputError
from colourcore.job import edits
from colourcore.job.model import Lab, Patch, group_name
from colourcore.job.shelf import Shade
from colourcore.pipeline import Group

__all__ = ["TargetPlace"]

_MUNSELL = "target-munsell"


class TargetPlace(Place):
    """The shade to aim for. `shelf_file` is where the user's own shades are kept, `clock` dates them."""

    key = "target"

    def __init__(
        self, tasks: Tasks, shelf_file: Path, clock: Callable[[], datetime], parent: QWidget | None = None
    ) -> None:
        super().__init__(tasks, parent)
        self._shades: tuple[Shade, ...] = ()
        self._at = 0  # which of several targets is shown
        self._adding = False
        self._part = ("", "")  # for which parts a target that is being added is
        self._hour_group = 0
        self._source: Source | None = None
        self._owed, self._shelf_read = False, False
        self.keeper = ShelfKeeper(tasks, shelf_file, clock, self)
        self.sources, self.shelf, self.panel = SourceBoxes(), ShelfList(), SourcePanel()
        self.bench, self.ledger = TargetBench(), TargetLedger()
        self._tabs = Tabs()
        self._lay_out()
        self._connect()

    def _lay_out(self) -> None:
        area = BenchArea()
        side = ScrolledBody()
        column = QVBoxLayout(side)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(12)
        self.shelf_head = Words(tr("My shelf"), BODY, weight=SEMIBOLD)
        for widget in (self.sources, self.shelf_head, self.shelf):
            column.addWidget(widget)
        column.addStretch(1)
        self._side = scrolled(side)
        self._middle = QVBoxLayout()
        self._middle.setSpacing(12)
        self._middle.addWidget(self.panel)
        self._middle.addWidget(self.bench, 1)
        self._on_bench = QBoxLayout(QBoxLayout.Direction.LeftToRight, area)
        self._on_bench.addWidget(self._side)
        self._on_bench.addLayout(self._middle, 1)
        self.body = BenchAndLedger(area, self.ledger.next_step)
        self.body.column.addWidget(self.ledger)
        self.body.column.addStretch(1)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.addWidget(self.body)

    def _connect(self) -> None:
        panel, ledger = self.panel, self.ledger
        self._tabs.chosen.connect(self._choose_target)
        self.sources.chosen.connect(self._choose_source)
        self.shelf.picked.connect(self._take_shade)
        self.keeper.changed.connect(self._show_shades)
        self.keeper.told.connect(self.panel.trouble.say)
        panel.lab_asked.connect(self._take_lab)
        panel.munsell_asked.connect(self._look_up)
        panel.hour_asked.connect(self._take_hour)
        panel.part_chosen.connect(self._choose_curve)
        panel.patch_asked.connect(self._take_patch)
        panel.draw_asked.connect(lambda: self.go_asked.emit("photos"))
        panel.take_off_asked.connect(self._take_off)
        ledger.finish_asked.connect(self._say_finish)
        ledger.part_asked.connect(self._say_part)
        ledger.keep_asked.connect(self._keep)
        ledger.add_asked.connect(self._add)
        ledger.next_asked.connect(self.go_asked)

    def title(self) -> str:
        return tr("Target")

    # state in

    def set_state(self, state: WindowState) -> None:
        before = active_targets(self.state.job)
        super().set_state(state)
        now = active_targets(state.job)
        if now != before:
            new = [n for n, patch in enumerate(now) if patch not in before]
            self._at = new[-1] if new else min(self._at, max(0, len(now) - 1))
            self._adding = self._adding and not new
        chosen = [n for n, patch in enumerate(now) if patch.identity in state.chosen]
        if chosen and now == before and not self._adding:
            self._at = chosen[-1]
        self._owed = True
        if self.isVisible():
            self._show()

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        if not self._shelf_read:
            self._shelf_read = True
            self.keeper.read()
        if self._owed:
            self._show()

    def target(self) -> Patch | None:
        """The target that is shown, None where there is none or another is being added."""
        found = active_targets(self.state.job)
        return found[min(self._at, len(found) - 1)] if found and not self._adding else None

    def _show(self) -> None:
        self._owed = False
        state, measure = self.state, self.state.measure
        self.body.set_measure(measure)
        self._fit()
        targets = active_targets(state.job)
        words = [group_name(t.board, t.zone) if t.board or t.zone else tr("every part") for t in targets]
        if self._adding:
            words.append(tr("another"))
        self._tabs.set_words(words if len(words) > 1 else [], len(words) - 1 if self._adding else self._at)
        self._tabs.setVisible(len(words) > 1)
        self._show_source()
        target = self.target()
        self.bench.setVisible(target is not None)
        if target is not None:
            view = target_view(state, target)
            self.bench.show_view(state, view)
            self.ledger.say_reach(reach_lines(view.reaches) if measure.folded else "")
        said = " ".join(trouble.sentence for trouble in state.troubles if trouble.key == self.key)
        parts = parts_of(state.job)
        self.ledger.show_target(state, target, parts, self._part_of(target), adding=self._adding)
        self.ledger.say(said, *notices_of(state, target))
        self.words_changed.emit()

    def _fit(self) -> None:
        measure = self.state.measure
        folded, margin = measure.folded, measure.margin
        down = QBoxLayout.Direction.TopToBottom
        self._on_bench.setDirection(down if folded else QBoxLayout.Direction.LeftToRight)
        self._on_bench.setContentsMargins(margin, 8 if folded else 18, margin, 6 if folded else 14)
        self._on_bench.setSpacing(8 if folded else margin + 8)
        self.sources.set_measure(measure)
        self._middle.setSpacing(6 if folded else 12)
        if folded:
            self._side.setMaximumWidth(16777215)
            self._side.setMinimumWidth(0)
            self._side.setFixedHeight(36)
        else:
            self._side.setMaximumHeight(16777215)
            self._side.setMinimumHeight(0)
            self._side.setFixedWidth(258 if measure.name == "full" else 200)
        self.shelf_head.setVisible(bool(self._shades) and not folded)
        self.shelf.setVisible(bool(self._shades) and not folded)

    def _show_source(self) -> None:
        target, state = self.target(), self.state
        source = self._shown_source()
        numbers = {photo.name: n for n, photo in enumerate(state.job.photos, 1)}
        patches = other_patches(state.job)
        names = [tr("photo {n}", n=numbers.get(p.photo, 0)) + (f": {p.label}" if p.label else "") for p in patches]
        held = next((n for n, p in enumerate(patches) if target and p.identity == target.identity), -1)
        groups = self._curves()
        self._hour_group = min(self._hour_group, max(0, len(groups) - 1))
        self.panel.show_patches(names, held)
        self.panel.show_hours([group.name for group in groups], self._hour_group)
        self.panel.show_source(source)
        shades = count(len(self._shades), "shade", "shades").lower() if self._shades else tr("no shades")
        under = {
            Source.PATCH: names[held] if held >= 0 else tr("beside the same card"),
            Source.NUMBERS: tr("L*a*b*, sRGB, Munsell"),
            Source.SHELF: tr("{shades} kept", shades=shades),
            Source.HOUR: tr("“like the 9 h sample”"),
        }
        self.sources.show_source(source, under)
        self._show_shelf()

    def _shown_source(self) -> Source:
        if self._source is not None:
            return self._source
        target = self.target()
        return Source.NUMBERS if target is not None and not target.photo else Source.PATCH

    def _show_shelf(self) -> None:
        target = self.target()
        self.shelf.show_shades(self._shades, target.label if target and not target.photo else "")
        self.shelf.setVisible(bool(self._shades) and not self.state.measure.folded)
        shade = self.shelf.current()
        self.panel.take_off.setEnabled(shade is not None)
        told = tr("Choose a shade at the left, or keep this one from the ledger.")
        self.panel.shelf_words.say(told if self._shades else tr("Nothing is kept yet: keep a shade from the ledger."))

    # which target

    def _choose_target(self, number: int) -> None:
        targets = active_targets(self.state.job)
        self._adding = number >= len(targets)
        self._at = min(number, max(0, len(targets) - 1))
        self._source = None
        self._show()

    def _add(self) -> None:
        """Begin another target, for the first part that has none of its own."""
        taken = {(t.board, t.zone) for t in active_targets(self.state.job)}
        parts = parts_of(self.state.job)
        zones, boards = [("", zone) for zone in parts.zones], [(board, "") for board in parts.boards]
        free = [part for part in (*zones, *boards) if part not in taken]
        if free:
            self._part = free[0]
            self._adding, self._source = True, None
            self._show()

    def _choose_source(self, source: Source) -> None:
        self._source = source
        self._show_source()

    def _part_of(self, target: Patch | None) -> tuple[str, str]:
        if target is not None:
            return target.board, target.zone
        return self._part if self._adding else ("", "")

    # wishes out

    def _take_lab(self, lab: Lab, label: str, finish: str | None = None) -> None:
        target = self.target()
        worn = finish if finish is not None else (target.finish if target else "")
        self.edit_asked.emit(aim_for_numbers(lab, label, self._part_of(target), worn))

    def _look_up(self, text: str) -> None:
        self.tasks.start(_MUNSELL, partial(_munsell, text), partial(self._looked_up, text))

    def _looked_up(self, text: str, outcome: Outcome) -> None:
        if isinstance(outcome, Failed):
            self.panel.echo.say("")
            self.panel.trouble.say(f"**{tr('Munsell.')}** {outcome.problem}")
        elif isinstance(outcome, Answered):
            self.panel.echo.say("")
            self._take_lab(outcome.value, tr("Munsell {text}", text=written_munsell(text)))

    def _take_shade(self, shade: Shade) -> None:
        self._source = Source.SHELF
        self._take_lab(shade.lab, shade.name, shade.finish)

    def _take_patch(self, number: int) -> None:
        patch = other_patches(self.state.job)[number]
        board, zone = self._part_of(self.target())
        self._source = None
        self.edit_asked.emit(lambda job: edits.target_from_patch(job, patch.identity, board, zone))

    def _curves(self) -> tuple[Group, ...]:
        groups = self.state.results.groups if self.state.results else ()
        return tuple(group for group in groups if group.view is not None and group.answer.piece is not None)

    def _choose_curve(self, number: int) -> None:
        self._hour_group = number
        self._show_source()

    def _take_hour(self, text: str) -> None:
        groups = self._curves()
        if not groups or not text.strip():
            return
        group = groups[self._hour_group]
        prospect = Prospect.of(group, self.state.job.choices.pace_spread)
        try:
            hours = _hours(text)
            if prospect is None or not 0 <= hours <= prospect.last_sample:
                last = duration(prospect.last_sample) if prospect else tr("the last sample")
                raise InputError(
                    tr("expected an hour up to the last sample’s, {last}, got {text}", last=last, text=text)
                )
        except InputError as error:
            self.panel.trouble.say(f"**{tr('The hour.')}** {error}")
            return
        self.panel.trouble.say("")
        moment = prospect.at(hours)
        self._source = Source.HOUR
        label = tr("{hours} of {name}", hours=duration(hours) if hours else "0 h", name=group.name)
        self._take_lab((moment.L, moment.a, moment.b), label.replace("\u00a0", " "), "")

    def _say_finish(self, finish: str) -> None:
        target = self.target()
        if target is not None and finish != target.finish:
            self.edit_asked.emit(lambda job: edits.set_finish(job, [target.identity], finish))

    def _say_part(self, part: tuple[str, str]) -> None:
        target = self.target()
        if target is None:
            self._part = part
            self._show()
        else:
            self.edit_asked.emit(for_parts(target, part))

    # the shelf

    def _keep(self, name: str) -> None:
        target = self.target()
        lab = lab_of(target, reading_of_patch(self.state.results, target.identity)) if target else None
        if target is None or lab is None:
            return
        if not name.strip():
            self.ledger.complain(tr("**A name first.** It is what you will look for in another job."))
            return
        self.ledger.complain("")
        self.keeper.put(shade_of(target, lab, name, self.state.job))

    def _show_shades(self, shades: tuple[Shade, ...]) -> None:
        self._shades = shades
        if self.isVisible():
            self._fit()
            self._show_source()

    def _take_off(self) -> None:
        shade = self.shelf.current()
        if shade is not None:
            self.keeper.take_off(shade)

    # words

    def answer(self) -> str:
        targets = active_targets(self.state.job)
        said = answer(self.state.results, targets[0] if targets else None)
        return said if len(targets) < 2 else tr("{said}, and {n} more", said=said, n=len(targets) - 1)

    def short_answer(self) -> str:
        targets = active_targets(self.state.job)
        return answer(self.state.results, targets[0] if targets else None)

    def sentence(self) -> str:
        if self._adding:
            return tr("**Another target:** choose where its shade comes from, and for which parts it is.")
        return opening(self.state.job, self.state.results, self.target())

    def second_line(self) -> str:
        line = second_line(self.state.results, self.target())
        return line if self.state.current else tr("The last figures; newer ones are on their way. {line}", line=line)

    def header(self) -> QWidget:
        return self._tabs

    def stops(self) -> tuple[QWidget, ...]:
        boxes = self.sources.boxes
        return (boxes[self._shown_source()], self.ledger.raw, self.ledger.next_step)


def _hours(text: str) -> float:
    hours, odd = typed_hours(text)
    if odd or len(hours) != 1:
        raise InputError(tr("expected an hour such as 9 or 9 h 30, got {text}", text=text))
    return hours[0]


def _munsell(text: str, _ticket: Ticket) -> Lab:
    return munsell_to_lab(text)
