"""From readings to hours: each board and zone on its own, and what can be said of all of them together."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from colourcore.curve.answer import answer_group
from colourcore.curve.compare import CommonTime, common_time, twins
from colourcore.curve.finish import FinishShift
from colourcore.curve.fit import Target
from colourcore.curve.hours import HoursToShade
from colourcore.curve.piece import Acting
from colourcore.curve.study import Study
from colourcore.curve.tolerance import Tolerance
from colourcore.image.series import check_ages
from colourcore.job.model import Choices, Lab, Role, group_name
from colourcore.pipeline.frames import framed
from colourcore.pipeline.rows import PatchReading, sample_of
from colourcore.pipeline.targets import Wanted, finishes_of, numbers_target, wanted_for

__all__ = ["Group", "Together", "acting_of", "answer", "compare_groups"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """A board and zone.

    Attributes
    ----------
    board, zone
        Which.
    n
        Samples that are fitted.
    target
        The target as bare wood, None without a usable one; its errors are those that the hours suffer from.
    wanted
        How the target came about: its finish, if it was a finished one.
    answer
        The board's hours, and within it the piece's, the next sample, the whole colour and the window.
    view
        What it was read off, for looks and comparisons; None with fewer than two different hours.
    readings
        The fitted readings, in sheet order.
    """

    board: str
    zone: str
    n: int
    target: Target | None
    wanted: Wanted = field(default_factory=Wanted)
    answer: HoursToShade
    view: Study | None = None
    readings: tuple[PatchReading, ...]

    @property
    def name(self) -> str:
        """How the group is spoken of."""
        return group_name(self.board, self.zone)


@dataclass(frozen=True, slots=True, kw_only=True)
class Together:
    """What the groups say as one piece: a common time for all that have a target, and notes on the whole."""

    time: CommonTime | None = None
    notes: tuple[str, ...] = ()


def acting_of(choices: Choices) -> Acting:
    """Return what the user has set about acting, as the curve room takes it."""
    return Acting(
        past_odds=choices.past_odds,
        due_odds=choices.due_odds,
        pace_spread=choices.pace_spread,
        slow_pace=choices.slow_pace,
    )


def answer(
    readings: Iterable[PatchReading],
    choices: Choices,
    *,
    target: Lab | None = None,
    earlier: Mapping[str, FinishShift] | None = None,
) -> tuple[Group, ...]:
    """Return each board and zone with its hours, sorted by board and zone.

    Every group is fitted on its own, from bare samples; samples whose hours nobody has said yet wait. `target` in
    numbers replaces all targets among the readings; `earlier` holds shifts of finishes from earlier jobs.
    """
    rows = [row for row in readings if row.accepted]
    targets = [numbers_target(target)] if target else [row for row in rows if row.role is Role.TARGET]
    finishes = finishes_of(rows, earlier)
    samples: dict[tuple[str, str], list[PatchReading]] = {}
    for row in rows:
        if row.role is Role.SAMPLE and row.hours is not None and not row.finish:
            samples.setdefault((row.board, row.zone), []).append(row)
    return tuple(_group(*names, _comparable(samples[names]), targets, finishes, choices) for names in sorted(samples))


def _comparable(rows: Sequence[PatchReading]) -> list[PatchReading]:
    """Return the rows that may share one curve: absolute colours if there are any, else those of the neutral thing."""
    absolute = [row for row in rows if row.absolute]
    return absolute or list(rows)


def _group(
    board: str,
    zone: str,
    rows: Sequence[PatchReading],
    targets: Sequence[PatchReading],
    finishes: Mapping[str, FinishShift],
    choices: Choices,
) -> Group:
    wanted = wanted_for(board, zone, targets, finishes, absolute=rows[0].absolute)
    samples, target = framed([sample_of(row) for row in rows], wanted.bare)
    found = answer_group(
        samples,
        target,
        confidence=choices.confidence,
        acting=acting_of(choices),
        tolerance=Tolerance(delta_e=choices.tolerance_delta_e),
        no_target_because=wanted.reason or None,
    )
    ages = check_ages([row.age_hours for row in rows if row.age_hours is not None])
    board_answer = replace(found.board, notes=(*found.board.notes, *(check.message for check in ages)))
    return Group(
        board=board,
        zone=zone,
        n=len(rows),
        target=target,
        wanted=wanted,
        answer=board_answer,
        view=found.view,
        readings=tuple(rows),
    )


def compare_groups(groups: Sequence[Group], choices: Choices) -> Together:
    """Return what the groups say as one piece. Nothing here changes a group's own hours."""
    notes = twins({group.name: [sample_of(row) for row in group.readings] for group in groups})
    parts = {group.name: group.view for group in groups if group.view is not None and group.target is not None}
    time = common_time(parts, acting_of(choices)) if len(parts) > 1 else None
    return Together(time=time, notes=notes)
