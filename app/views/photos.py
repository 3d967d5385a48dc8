"""The place *Photos*: photos dropped, outlines drawn, and whether they are fit to be measured."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from PySide6.QtCore import Qt
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QBoxLayout, QGridLayout, QVBoxLayout, QWidget

from app.background import Answered, Outcome, Tasks, Ticket
from app.models.outlines import corners_of
from app.pictures import Pictures, View, balance_key, view
from app.views.controls import Button, TextButton
from app.views.layout import BenchAndLedger
from app.views.parts import BenchArea, LedgerHead, Stroke, Words
from app.views.photo_canvas import Outlined
from app.views.photo_checks import PhotoChecks, findings
from app.views.photo_hand import HandledCanvas
from app.views.photo_ledger import OutlineLedger
from app.views.photo_list import PhotoLine, PhotoList
from app.views.photo_painting import LineKind, Tag
from app.views.photo_sharp import SharpParts
from app.views.photo_words import (
    check_word,
    patch_name,
    patch_tag,
    photo_title,
    photo_under,
    reading_of,
    reading_value,
)
from app.views.place import Place, WindowState
from app.views.scrolling import scrolled
from app.views.theme import SMALL_TEXT
from app.wording import count, tr
from colourcore.image.balance import Balance
from colourcore.image.checks import Level
from colourcore.image.pixels import Outline
from colourcore.job import edits
from colourcore.job.model import Job, Patch, Role
from colourcore.job.reading_order import in_reading_order

__all__ = ["PhotosPlace"]

Load = Callable[[str], bytes]

_KINDS = {Role.SAMPLE: LineKind.SAMPLE, Role.TARGET: LineKind.TARGET, Role.BACKGROUND: LineKind.OTHER}
_STROKES = {Level.NOTE: Stroke.NOTE, Level.WARN: Stroke.CARE, Level.REFUSE: Stroke.REFUSED}
_MOST_LINES, _MOST_LINES_CHOSEN = 4.5, 3  # then the list scrolls
_REFERENCES = (Role.CARD, Role.CHART, Role.NEUTRAL)


class PhotosPlace(Place):
    """The photos of the job on the bench, one at a time; the others are lines of the ledger."""

    key = "photos"

    def __init__(
        self, tasks: Tasks, pictures: Pictures, loader: Callable[[], Load], parent: QWidget | None = None
    ) -> None:
        super().__init__(tasks, parent)
        self._pictures, self._loader = pictures, loader
        self._photo = ""
        self._seen: tuple[str, bytes] | None = None
        self.canvas = HandledCanvas()
        self.canvas.setAccessibleName(tr("photo"))
        self.checks = PhotoChecks()
        self.list = PhotoList()
        self.list.setAccessibleName(tr("photos of the job"))
        self.ledger = OutlineLedger()
        self.head = LedgerHead()
        self.next_step = Button(tr("Give the hours"), filled=True)
        self.keys = self._key_buttons()
        self._sharp = SharpParts(self.canvas, tasks, pictures, loader)
        self._lay_out()
        self._connect()

    def title(self) -> str:
        return tr("Photos")

    def _key_buttons(self) -> QWidget:
        holder = QWidget()
        grid = QGridLayout(holder)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setSpacing(6)
        self.key_words = Words(tr("Keys while the photo has the focus"), SMALL_TEXT, second=True)
        grid.addWidget(self.key_words, 0, 0, 1, 2)
        self.new_button, self.remove_button = Button(tr("New outline"), key="O"), Button(tr("Remove"), key=tr("Del"))
        self.nearer_button, self.farther_button = Button(tr("Nearer"), key="+"), Button(tr("Farther"), key="−")
        self.whole_button, self.turn_button = Button(tr("Whole"), key="0"), Button(tr("Turn"), key="R")
        self.hours_button = Button(tr("Type hours"), key=tr("Enter"))
        self.raw_button = Button(tr("As it came"), key=tr("Space"))
        self.raw_button.setCheckable(True)
        buttons = (
            (self.new_button, self.remove_button),
            (self.nearer_button, self.farther_button),
            (self.whole_button, self.turn_button),
            (self.hours_button, self.raw_button),
        )
        for row, pair in enumerate(buttons, 1):
            for column, button in enumerate(pair):
                grid.addWidget(button, row, column)
        return holder

    def _lay_out(self) -> None:
        bench = BenchArea()
        self._on_bench = QBoxLayout(QBoxLayout.Direction.TopToBottom, bench)
        self._on_bench.setContentsMargins(0, 0, 0, 0)
        self._on_bench.setSpacing(0)
        self._on_bench.addWidget(self.canvas, 3)
        self._on_bench.addWidget(self.checks, 2)
        self.body = BenchAndLedger(bench, self.next_step, wide_ledger=True)
        self._lines = scrolled(self.list)
        self.watching = TextButton("")
        self.watching.clicked.connect(self._switch_watch)
        self.body.column.setSpacing(8)
        for widget in (self.head, self._lines, self.watching, self.ledger):
            self.body.column.addWidget(widget)
        self.body.column.addStretch(1)
        self.body.column.addWidget(self.keys)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.addWidget(self.body)

    def _connect(self) -> None:
        canvas = self.canvas
        canvas.drawn_new.connect(self._say_new)
        canvas.moved_to.connect(self._say_moved)
        canvas.choose_asked.connect(self.choose_asked)
        canvas.hours_asked.connect(self._type_hours)
        canvas.remove_asked.connect(self._say_remove)
        self.checks.where_asked.connect(self._show_where)
        self.list.shown.connect(self.show_photo)
        self.list.remove_asked.connect(lambda photo: self.edit_asked.emit(lambda job: edits.remove_photo(job, photo)))
        self.ledger.edit_asked.connect(self.edit_asked)
        self.ledger.finished.connect(self._next_hours)
        self.ledger.focus_photo.connect(self.canvas.setFocus)
        self.new_button.clicked.connect(canvas.new_outline)
        self.hours_button.clicked.connect(self._type_hours)
        self.nearer_button.clicked.connect(lambda: canvas.nearer(1))
        self.farther_button.clicked.connect(lambda: canvas.nearer(-1))
        self.turn_button.clicked.connect(lambda: canvas.turn(1))
        self.whole_button.clicked.connect(lambda: canvas.set_view(canvas.view.as_whole()))
        self.remove_button.clicked.connect(self._say_remove)
        self.raw_button.toggled.connect(canvas.set_as_it_came)
        self.next_step.clicked.connect(lambda: self._go_on())

    def _go_on(self) -> None:
        self.go_asked.emit("samples" if self.state.job.photos else "photos")
        if not self.state.job.photos:
            self.act_asked.emit("add_photos")

    # state in

    def set_state(self, state: WindowState) -> None:
        super().set_state(state)
        self.body.set_measure(state.measure)
        names = [photo.name for photo in state.job.photos]
        if self._photo not in names:
            self._photo = names[0] if names else ""
        chosen = next((p for p in state.job.patches if p.identity in state.chosen and p.photo in names), None)
        if chosen is not None and chosen.photo != self._photo:
            self._photo = chosen.photo
        self._show()

    def show_photo(self, photo: str) -> None:
        """Put another photo of the job on the bench."""
        if photo != self._photo:
            self._photo = photo
            self.choose_asked.emit(())
            self._show()

    def _show(self) -> None:
        state = self.state
        self._show_list()
        self.ledger.show_state(state, self._photo)
        folded = state.measure.folded
        found = findings(state, self._photo)
        self._on_bench.setDirection(QBoxLayout.Direction.LeftToRight if folded else QBoxLayout.Direction.TopToBottom)
        self._on_bench.setStretch(1, 2 if folded else 0)
        self.checks.show_findings(found, beside=folded)
        self.keys.setVisible(bool(self._photo) and not state.measure.folded)
        self.next_step.rename(tr("Give the hours") if state.job.photos else tr("Choose photos"))
        if not self._photo:
            self._seen = None
            self.canvas.show_nothing(tr("Drop photos of your samples here, a grey card in each."))
            return
        self.canvas.setAccessibleName(photo_title(state.job, self._photo))
        self.canvas.set_outlines(self._outlined(), state.chosen)
        self._show_picture()

    def _show_list(self) -> None:
        state = self.state
        self.head.say(count(len(state.job.photos), "photo", "photos"), tr("drop more anywhere"))
        lines = []
        for photo in state.job.photos:
            wood = [
                state.cutouts[patch.identity]
                for patch in in_reading_order(state.job.patches_of(photo.name))
                if patch.role in (Role.SAMPLE, Role.TARGET) and patch.identity in state.cutouts
            ]
            title, under = photo_title(state.job, photo.name), photo_under(state, photo.name, state.troubles)
            lines.append(PhotoLine(photo=photo.name, title=title, under=under, chips=PhotoLine.chips_of(wood)))
        watched = state.watched
        self.watching.rename(
            tr("Stop watching {folder}", folder=watched.name) if watched else tr("Take new photos from a folder")
        )
        self.watching.setToolTip(str(watched) if watched else "")
        self.list.set_lines(lines, self._photo)
        self._lines.setVisible(bool(lines))
        most = _MOST_LINES_CHOSEN if state.chosen else _MOST_LINES
        self._lines.setFixedHeight(PhotoList.height_of(min(len(lines), most)))
        for widget in (self.watching, self.key_words):
            widget.setVisible(not state.chosen)
        self._order_ledger(first=bool(state.chosen) and state.measure.folded)
        self._lines.ensureVisible(0, self.list.focus_rect().center().y(), 0, self.list.focus_rect().height())

    def _order_ledger(self, *, first: bool) -> None:
        """Folded, where little of the ledger is seen, what is chosen stands above the photos."""
        column = self.body.column
        if (column.indexOf(self.ledger) == 0) != first:
            column.removeWidget(self.ledger)
            column.insertWidget(0 if first else column.indexOf(self.keys) - 1, self.ledger)

    def _outlined(self) -> tuple[Outlined, ...]:
        return tuple(self._outlined_patch(patch) for patch in in_reading_order(self.state.job.patches_of(self._photo)))

    def _outlined_patch(self, patch: Patch) -> Outlined:
        row = reading_of(self.state, patch.identity)
        tags = [Tag(text=patch_tag(patch))]
        tags += [Tag(text=check_word(check), stroke=_STROKES[check.level]) for check in (row.checks if row else ())]
        if patch.outline is None:
            raise ValueError(f"patch {patch.identity} of a photo has no outline")
        return Outlined(
            identity=patch.identity,
            corners=corners_of(patch.outline),
            kind=LineKind.REFERENCE if patch.role in _REFERENCES else _KINDS[patch.role],
            tags=tags,
            aside=bool(patch.set_aside),
            name=patch_name(patch),
            value=reading_value(row.reading if row else None),
        )

    # the picture

    def _balance(self) -> Balance | None:
        photos = self.state.results.photos if self.state.results else ()
        return next((read.balance for read in photos if read.name == self._photo), None)

    def _show_picture(self) -> None:
        balance = self._balance()
        key = (self._photo, balance_key(balance))
        self._sharp.look_at(self._file(), balance)
        if key == self._seen or not self.isVisible():
            return
        sha256 = self._file()[0]
        work = partial(_draw, self._pictures, sha256, self._photo, self._loader(), balance)
        self.tasks.start("photos-picture", work, partial(self._drawn, key))

    def _file(self) -> tuple[str, str]:
        return next((photo.sha256, photo.name) for photo in self.state.job.photos if photo.name == self._photo)

    def _drawn(self, key: tuple[str, bytes], outcome: Outcome) -> None:
        if isinstance(outcome, Answered) and key[0] == self._photo:
            shown: View = outcome.value
            same = self._seen is not None and self._seen[0] == key[0]
            self._seen = key
            self.canvas.show_photo(shown, same=same)
        elif key[0] == self._photo and not isinstance(outcome, Answered):
            self._seen = key
            self.canvas.show_nothing(tr("This photo cannot be shown."))

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        if self._photo:
            self._show_picture()

    # wishes out

    def _say_new(self, outline: Outline) -> None:
        photo = self._photo
        patches = self.state.job.patches_of(photo)
        role = Role.SAMPLE if any(patch.role in _REFERENCES for patch in patches) else Role.CARD
        alike = [patch for patch in patches if patch.role is Role.SAMPLE]
        said = {"board": alike[-1].board, "zone": alike[-1].zone} if alike and role is Role.SAMPLE else {}
        identity = max((patch.identity for patch in self.state.job.patches), default=0) + 1
        self.edit_asked.emit(lambda job: edits.add_outline(job, photo, outline, role, **said))
        self.choose_asked.emit((identity,))

    def _say_moved(self, outlines: dict[int, Outline]) -> None:
        self.edit_asked.emit(lambda job: edits.move_outlines(job, outlines))

    def _say_remove(self) -> None:
        identities = self.state.chosen
        if identities:
            self.edit_asked.emit(lambda job: edits.remove_patches(job, identities))

    def _show_where(self, identity: int) -> None:
        self.choose_asked.emit((identity,))
        outline = self.state.job.patch(identity).outline
        if outline is not None:
            right, bottom = outline.x + outline.width, outline.y + outline.height
            self.canvas.set_view(self.canvas.view.showing(outline.x, outline.y, right, bottom))
        self.canvas.setFocus(Qt.FocusReason.OtherFocusReason)

    def _switch_watch(self) -> None:
        self.act_asked.emit("stop_watching" if self.state.watched else "watch_folder")

    def _type_hours(self) -> None:
        if self.ledger.isVisible():
            self.ledger.type_hours()

    def _next_hours(self) -> None:
        """After hours were typed, go to the next sample that has none, or back to the photo."""
        patches = [p for p in in_reading_order(self.state.job.patches_of(self._photo)) if p.role is Role.SAMPLE]
        waiting = [p.identity for p in patches if p.hours is None]
        if len(self.state.chosen) == 1 and waiting and not self.ledger.trouble.isVisible():
            self.choose_asked.emit((waiting[0],))
            self.ledger.type_hours()
        else:
            self.canvas.setFocus(Qt.FocusReason.OtherFocusReason)

    # words

    def answer(self) -> str:
        number = len(self.state.job.photos)
        if not number:
            return tr("none yet")
        worth = sum(1 for finding in self._worth_reading())
        if worth:
            return tr("{n}, {checks} to read", n=number, checks=count(worth, "check", "checks").lower())
        return tr("{n}, being read", n=number) if self.state.reading else str(number)

    def _worth_reading(self) -> list[object]:
        state = self.state
        checks = state.results.checks if state.results else ()
        return [*state.troubles, *(check for check in checks if check.level is not Level.NOTE)]

    def sentence(self) -> str:
        job = self.state.job
        if not job.photos:
            return tr("Nothing lies on the bench yet.")
        patches = job.patches_of(self._photo)
        cards = any(patch.role in _REFERENCES for patch in patches)
        if not cards:
            return tr("Draw an outline on the **grey card** first.")
        samples = sum(1 for patch in patches if patch.role is Role.SAMPLE)
        if not samples:
            return (
                tr("The card is outlined. **Now each sample.**")
                if not _has_target(job, self._photo)
                else tr("The card and the target are outlined.")
            )
        outlined = tr("{samples} and the card are outlined.", samples=count(samples, "sample", "samples"))
        missing = sum(1 for patch in patches if patch.role is Role.SAMPLE and patch.hours is None)
        if missing:
            return outlined + " " + tr("**{n} without hours.**", n=count(missing, "is", "are"))
        grave = [f for f in findings(self.state, self._photo) if f.stroke is not Stroke.NOTE]
        return outlined + (" " + tr("**There is something to read.**") if grave else "")

    def second_line(self) -> str:
        if not self.state.job.photos:
            return tr("Drop photos of your samples here, a grey card in each.")
        if not self.state.job.patches_of(self._photo):
            return tr("Drag across it. Only what lies inside an outline is measured.")
        return tr("Only what lies inside an outline is measured. A double click sets another, as large as the last.")

    def stops(self) -> tuple[QWidget, ...]:
        return (self.canvas, self.list)


def _has_target(job: Job, photo: str) -> bool:
    return any(patch.role is Role.TARGET for patch in job.patches_of(photo))


def _draw(pictures: Pictures, sha256: str, name: str, load: Load, balance: Balance | None, ticket: Ticket) -> View:
    small = pictures.small(sha256, name, load)
    ticket.check()
    return view(small, balance)
