"""What the place *Target* shows of a job: its targets, for which parts, raw and finished, and what reaches them."""

from __future__ import annotations

import math
import statistics
from collections.abc import Sequence
from dataclasses import dataclass

from app.models.hours_prospect import Prospect
from app.wording import tr
from colourcore.curve.finish import FinishShift
from colourcore.curve.fit import Target
from colourcore.curve.outcome import Outcome
from colourcore.job.model import Job, Lab, Patch, Role, group_name
from colourcore.pipeline import Group, PatchReading, Results

__all__ = [
    "Finished",
    "Parts",
    "Reach",
    "active_targets",
    "face_spreads",
    "finished_of",
    "other_patches",
    "parts_of",
    "reaches_of",
    "reading_of_patch",
    "served_groups",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Parts:
    """The boards and zones that samples were cut from, by name."""

    boards: tuple[str, ...] = ()
    zones: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Finished:
    """A target raw and under a finish: what bare wood must come to, and what it is under the finish.

    `finish` is empty where none is known; `reason` says why a side is missing. Errors are one sigma of L*.
    """

    bare: Lab | None = None
    bare_error: float | None = None
    finish: str = ""
    done: Lab | None = None
    done_error: float | None = None
    pairs: int = 0
    guess: bool = False
    reason: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reach:
    """Whether a board and zone gets to the target: `hours` where the odds are even, `stays` how many L* lighter it
    stays where it does not, `odds` that it gets there at all."""

    name: str
    group: Group
    prospect: Prospect
    hours: float | None
    stays: float
    odds: float | None


def active_targets(job: Job) -> tuple[Patch, ...]:
    """Return the targets that count, those for all parts first."""
    found = [patch for patch in job.patches if patch.role is Role.TARGET and not patch.set_aside]
    return tuple(sorted(found, key=lambda patch: (patch.board, patch.zone, patch.identity)))


def other_patches(job: Job) -> tuple[Patch, ...]:
    """Return every area outlined as a target, those that gave way among them, in the order of the photos."""
    order = {photo.name: number for number, photo in enumerate(job.photos)}
    found = [patch for patch in job.patches if patch.role is Role.TARGET and patch.outline is not None]
    return tuple(sorted(found, key=lambda patch: (order.get(patch.photo, 0), patch.identity)))


def parts_of(job: Job) -> Parts:
    """Return the boards and zones that a target may be for."""
    samples = [patch for patch in job.patches if patch.role is Role.SAMPLE]
    boards, zones = {patch.board for patch in samples} - {""}, {patch.zone for patch in samples} - {""}
    return Parts(boards=tuple(sorted(boards)), zones=tuple(sorted(zones)))


def reading_of_patch(results: Results | None, identity: int) -> PatchReading | None:
    """Return what was read of a patch, or given for it in numbers."""
    return next((row for row in results.readings if row.identity == identity), None) if results else None


def served_groups(results: Results | None, target: Patch) -> tuple[Group, ...]:
    """Return the boards and zones that go by this target: those for which no more specific one is there."""
    if results is None:
        return ()
    rivals = [row for row in results.readings if row.role is Role.TARGET and row.accepted]

    def best(group: Group) -> int:
        fitting = [r for r in rivals if r.board in ("", group.board) and r.zone in ("", group.zone)]
        return max(((r.board != "") + (r.zone != "") for r in fitting), default=-1)

    own = (target.board != "") + (target.zone != "")
    return tuple(
        group
        for group in results.groups
        if target.board in ("", group.board) and target.zone in ("", group.zone) and best(group) == own
    )


def face_spreads(results: Results | None, target: Patch) -> tuple[float, float] | None:
    """Return how far L* wanders inside the target's outline, and inside a sample's as a rule; None where unknown."""
    row = reading_of_patch(results, target.identity)
    if results is None or row is None or row.reading is None or not row.photo:
        return None
    faces = [
        other.reading.spread
        for other in results.readings
        if other.role is Role.SAMPLE and other.reading is not None and other.reading.spread > 0
    ]
    return (row.reading.spread, statistics.median(faces)) if faces else None


def finished_of(groups: Sequence[Group], target: Patch, known: dict[str, FinishShift], no_pairs: str) -> Finished:
    """Return the target raw and finished, by the first of the groups that go by it; `known` holds the finishes."""
    group = next((one for one in groups if one.target is not None), groups[0] if groups else None)
    if group is None:
        return Finished(reason=tr("No samples go by this target yet."))
    wanted = group.wanted
    if wanted.bare is None:
        return Finished(finish=target.finish, reason=wanted.reason)
    bare, bare_error = _shade(wanted.bare)
    if wanted.finished is not None and wanted.shift is not None:
        done, done_error = _shade(wanted.finished)
        return Finished(
            bare=bare,
            bare_error=bare_error,
            finish=wanted.finish,
            done=done,
            done_error=done_error,
            pairs=wanted.shift.pairs,
            guess=wanted.shift.guess,
        )
    if not known:
        return Finished(bare=bare, bare_error=bare_error, reason=no_pairs)
    name, shift = next(iter(sorted(known.items())))
    done, done_error = _finish(wanted.bare, shift)
    return Finished(
        bare=bare,
        bare_error=bare_error,
        finish=name,
        done=done,
        done_error=done_error,
        pairs=shift.pairs,
        guess=shift.guess,
    )


def _shade(target: Target) -> tuple[Lab, float | None]:
    """Return a shade and one sigma of its L*, None for numbers, which have none of their own."""
    variance = target.covariance[0][0] + target.shared[0][0]
    return (target.L, target.a, target.b), math.sqrt(variance) if variance > 0 else None


def _finish(bare: Target, shift: FinishShift) -> tuple[Lab, float]:
    """Put a finish on bare wood: the learned shift at its lightness, with its error."""
    place = bare.L - shift.at_lightness
    gains = [one + tilt * place for one, tilt in zip(shift.shift, shift.tilt, strict=True)]
    _, error = _shade(bare)
    variance = shift.shift_covariance[0][0] + place**2 * shift.tilt_covariance[0][0] + (error or 0.0) ** 2
    coloured = bare.a is not None and bare.b is not None
    a, b = ((bare.a or 0.0) + gains[1], (bare.b or 0.0) + gains[2]) if coloured else (None, None)
    return (bare.L + gains[0], a, b), math.sqrt(variance)


def reaches_of(groups: Sequence[Group], pace_spread: float, most: int = 4) -> tuple[Reach, ...]:
    """Return how the groups get to their target, heartwood before sapwood."""
    order = sorted(groups, key=lambda g: (g.board, g.zone != "heartwood", g.zone == "sapwood", g.zone))
    found: list[Reach] = []
    for group in order:
        prospect = Prospect.of(group, pace_spread)
        if prospect is None or group.target is None or len(found) == most:
            continue
        reached = prospect.outcome is Outcome.REACHED
        found.append(
            Reach(
                name=group_name(group.board, group.zone),
                group=group,
                prospect=prospect,
                hours=prospect.hours if reached else None,
                stays=max(0.0, float(prospect.lightness[-1]) - group.target.L),
                odds=prospect.p_reach,
            )
        )
    return tuple(found)
