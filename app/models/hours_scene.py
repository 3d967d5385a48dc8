"""What the place *Hours* shows of a job's results: boards and zones as strands, their samples, and which lead."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from enum import Enum

from app.models.hours_axis import Spread
from app.models.hours_prospect import Prospect
from app.models.hours_telling import telling_hours
from colourcore.curve.fit import Target
from colourcore.curve.outcome import Outcome
from colourcore.job.model import Choices, Role
from colourcore.pipeline import Group, PatchReading, Results

__all__ = [
    "LEAST_HOURS",
    "Choice",
    "HoursScene",
    "Strand",
    "StrandSample",
    "Stroke",
    "axis_end",
    "hours_scene",
    "shown_boards",
]

_HEARTWOOD, _SAPWOOD = "heartwood", "sapwood"
_SUSPECT = 0.5
_FIRST_SAMPLES = 5

LEAST_HOURS = 4
"""Different hours, raw wood counted, below which nothing is said of a curve."""


class Stroke(Enum):
    """How a strand is told from the others: its line and its mark, never its colour."""

    SOLID = "solid line, filled dot"
    DASHED = "long dash, ring"
    DOT_DASHED = "dot and dash, square"


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """What the user chose to see.

    Attributes
    ----------
    board
        Whose tab is chosen; None where it is the first, or the only one.
    both
        Two boards beside each other, in place of one board's zones.
    together
        Whether both come out at one hour; else each has a run of its own.
    spread
        How hours are spread along the axis.
    row
        Which of the two rows is shown where there is room for one alone.
    """

    board: str | None = None
    both: bool = False
    together: bool = True
    spread: Spread = Spread.EARLY_WIDE
    row: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class StrandSample:
    """A sample as it stands on its hour.

    `off` is how many L* it lies above the curve where the fit finds that the others contradict it, else None;
    `spread` is the standard deviation of L* over its face.
    """

    key: int
    identity: int | None
    hours: float
    lab: tuple[float, float, float]
    errors: tuple[float, float, float]
    colour_lost: bool
    label: str
    set_aside: str
    off: float | None
    spread: float
    photo: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Strand:
    """One board and zone: its samples by hours, set-aside ones among them, and what is known of its pieces."""

    board: str
    zone: str
    stroke: Stroke
    samples: tuple[StrandSample, ...]
    group: Group | None
    prospect: Prospect | None

    @property
    def different_hours(self) -> tuple[float, ...]:
        """Hours of the samples that count, each once, rising."""
        return tuple(sorted({sample.hours for sample in self.samples if not sample.set_aside}))

    @property
    def wanted_hours(self) -> tuple[float, ...]:
        """Hours of the samples that would tell most, where there are too few to say anything; else none."""
        missing = LEAST_HOURS - len(self.different_hours)
        following = self.group.answer.next_sample if self.group else None
        return telling_hours(self.different_hours, missing, following.hours if following else None)

    @property
    def read(self) -> int:
        """How many of its samples count."""
        return sum(not sample.set_aside for sample in self.samples)

    @property
    def target(self) -> Target | None:
        """The shade wanted of it."""
        return self.group.target if self.group else None

    @property
    def outcome(self) -> Outcome:
        """Whether a piece of it reaches the target."""
        return self.prospect.outcome if self.prospect else Outcome.CANNOT_SAY

    @property
    def raw(self) -> StrandSample | None:
        """The sample that the slid board is made from: the lightest wood with a photo, first the raw one."""
        with_photo = [s for s in self.samples if not s.set_aside and s.photo]
        return min(with_photo, key=lambda s: s.hours, default=None)


@dataclass(frozen=True, slots=True, kw_only=True)
class HoursScene:
    """Everything that is shown, but for the hour of the grip.

    Attributes
    ----------
    strands
        Those shown: the first leads, the first two have rows, further ones a curve only.
    boards
        Names of all boards, by name.
    others
        Leading strands of the boards that are not shown.
    choice
        As chosen, with `board` filled in.
    target
        The shade wanted of the leading strand.
    target_row
        The target's patch, where it was read from a photo.
    choices
        What was set about acting.
    common_hours
        The hour at which the two boards cost least together, where it was worked out with the results.
    notes
        What there is to say of the job as a whole.
    """

    strands: tuple[Strand, ...] = ()
    boards: tuple[str, ...] = ()
    others: tuple[Strand, ...] = ()
    choice: Choice = Choice()
    target: Target | None = None
    target_row: PatchReading | None = None
    choices: Choices = field(default_factory=Choices)
    common_hours: float | None = None
    notes: tuple[str, ...] = ()

    @property
    def lead(self) -> Strand | None:
        """The strand that the sentence speaks of."""
        return self.strands[0] if self.strands else None

    @property
    def rows(self) -> tuple[Strand, ...]:
        """The strands that have a row of photographs."""
        return self.strands[:2]

    @property
    def wanted_hours(self) -> tuple[float, ...]:
        """Hours of the samples that would tell most: the leading strand's, or a first ladder's where there is none."""
        return self.lead.wanted_hours if self.lead is not None else telling_hours((), _FIRST_SAMPLES)

    @property
    def named_hours(self) -> tuple[float, ...]:
        """Hours of the samples in the rows, rising."""
        return tuple(sorted({s.hours for strand in self.rows for s in strand.samples}))


def shown_boards(results: Results | None) -> tuple[str, ...]:
    """Return the names of the boards that have samples with hours and a reading, sorted."""
    if results is None:
        return ()
    return tuple(sorted({row.board for row in results.readings if _stands(row)}))


def _stands(row: PatchReading) -> bool:
    """Tell whether a reading has a place on the axis: a sample whose hours are known and that was not refused."""
    return row.role is Role.SAMPLE and row.hours is not None and row.reading is not None


def hours_scene(results: Results | None, choice: Choice) -> HoursScene:
    """Return what is shown of the results."""
    boards = shown_boards(results)
    if results is None or not boards:
        return HoursScene(choice=replace(choice, both=False))
    strands = {board: _strands_of(results, board) for board in boards}
    board = choice.board if choice.board in boards else boards[0]
    both = choice.both and len(boards) > 1
    if both:
        pair = _farthest_apart([strands[name][0] for name in boards])
        shown = tuple(replace(strand, stroke=stroke) for strand, stroke in zip(pair, Stroke, strict=False))
    else:
        shown = strands[board]
    others = tuple(strands[name][0] for name in boards if name not in {strand.board for strand in shown})
    lead = shown[0]
    return HoursScene(
        strands=shown,
        boards=boards,
        others=others,
        choice=replace(choice, board=board, both=both),
        target=lead.target,
        target_row=_target_row(results, lead),
        choices=results.choices,
        common_hours=_common_hours(results, shown) if both else None,
        notes=results.together.notes,
    )


def _common_hours(results: Results, shown: Sequence[Strand]) -> float | None:
    """The common time of all parts, where these are the only ones."""
    time = results.together.time
    names = {strand.group.name for strand in shown if strand.group}
    return time.hours if time is not None and {part.name for part in time.parts} == names else None


def _strands_of(results: Results, board: str) -> tuple[Strand, ...]:
    zones: dict[str, list[PatchReading]] = {}
    for row in results.readings:
        if row.board == board and _stands(row):
            zones.setdefault(row.zone, []).append(row)
    groups = {group.zone: group for group in results.groups if group.board == board}
    order = _by_weight(zones)
    strokes = [*Stroke, *[Stroke.DOT_DASHED] * len(order)]
    return tuple(
        _strand(board, zone, zones[zone], groups.get(zone), stroke, results.choices.pace_spread)
        for zone, stroke in zip(order, strokes, strict=False)
    )


def _by_weight(zones: Iterable[str]) -> list[str]:
    """Heartwood before sapwood before names of the user's own; without heartwood, sapwood last."""
    named = set(zones)
    sapwood_at = 1 if _HEARTWOOD in named else 3
    places = {_HEARTWOOD: 0, _SAPWOOD: sapwood_at}
    return sorted(named, key=lambda zone: (places.get(zone, 2), zone))


def _strand(
    board: str, zone: str, rows: Sequence[PatchReading], group: Group | None, stroke: Stroke, pace: float
) -> Strand:
    off = {
        (residual.name, residual.hours): residual.lightness_off
        for residual in (group.answer.residuals if group else ())
        if residual.bad_odds >= _SUSPECT
    }
    samples = sorted((_sample(key, row, off) for key, row in enumerate(rows)), key=lambda s: s.hours)
    counting = {sample.hours for sample in samples if not sample.set_aside}
    return Strand(
        board=board,
        zone=zone,
        stroke=stroke,
        samples=tuple(samples),
        group=group,
        prospect=Prospect.of(group, pace) if group and len(counting) >= LEAST_HOURS else None,
    )


def _sample(key: int, row: PatchReading, off: Mapping[tuple[str, float], float]) -> StrandSample:
    assert row.reading is not None
    hours = row.hours or 0.0
    name = f"{hours:g} h" + (f" ({row.label})" if row.label else "")
    return StrandSample(
        key=key,
        identity=row.identity,
        hours=hours,
        lab=row.reading.lab,
        errors=row.reading.total_errors,
        colour_lost=row.reading.colour_lost,
        label=row.label,
        set_aside=row.set_aside,
        off=off.get((name, hours)),
        spread=row.reading.spread,
        photo=row.photo,
    )


def _farthest_apart(leads: Sequence[Strand]) -> tuple[Strand, Strand]:
    """The two boards due farthest apart, by name; those without hours come last."""
    timed = sorted(
        (lead for lead in leads if lead.prospect and lead.prospect.due is not None),
        key=lambda lead: (lead.prospect.due if lead.prospect else 0.0) or 0.0,
    )
    untimed = [lead for lead in leads if lead not in timed]
    pair = [timed[0], timed[-1]] if len(timed) > 1 else [*timed, *untimed][:2]
    one, two = sorted(pair, key=lambda lead: lead.board)
    return one, two


def _target_row(results: Results, strand: Strand) -> PatchReading | None:
    """The target's patch: the most specific one that fits and lies in a photo."""
    fitting = [
        row
        for row in results.readings
        if row.role is Role.TARGET
        and row.accepted
        and row.photo
        and row.board in ("", strand.board)
        and row.zone in ("", strand.zone)
    ]
    return max(fitting, key=lambda row: (row.board != "") + (row.zone != ""), default=None)


def axis_end(scene: HoursScene, wanted_hours: Sequence[float] = ()) -> float:
    """Return the last hour that the axis is made for: the last sample's, or where what is acted on lies, if later."""
    last = max((s.hours for strand in scene.rows for s in strand.samples), default=24.0)
    wanted = max(last, *wanted_hours) if wanted_hours else last
    for strand in scene.rows if scene.choice.both else scene.strands[:1]:
        found = strand.prospect
        if found is None or found.outcome is not Outcome.REACHED or found.hours is None:
            continue
        needed = max(found.due or 0.0, min(found.high or 1.5 * found.hours, 1.5 * found.hours))
        wanted = max(wanted, min(needed, found.end))
    return max(wanted, 0.5)
