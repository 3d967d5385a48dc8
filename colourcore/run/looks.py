"""When to look at the piece, and what to do after a look: leave it closed and wait until an hour, or stop.

Looks go through clear film; a tent is opened for one only where all of it loose in the room stays under what a
cartridge serves for. The odds are those of `curve.look`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from colourcore.curve.look import AfterLooks, Look, after_looks
from colourcore.curve.piece import Acting, PieceHours
from colourcore.curve.settle import UNTOLD_SETTLING, Shift
from colourcore.curve.study import Study
from colourcore.run.mismatch import Mismatch, fastest_pace
from colourcore.run.spill import Opening

__all__ = [
    "ASKED_BESIDE",
    "CHECK_PIECE",
    "LOOKS_PLANNED",
    "PACE_GUARD",
    "Counsel",
    "LookPlan",
    "Next",
    "after_look",
    "counsel",
    "plan_looks",
]

LOOKS_PLANNED: Final = 2
"""Looks that are planned for: most of what looking gains comes with the second (measured in the simulations)."""

ASKED_BESIDE: Final = (
    "The card stands in every look, and beside the piece in the same photo the target, or a raw and a dark sample. "
    "Without them the look may read off by about 1.3 L*, and half of what it gains is lost."
)
"""What a look's photo must hold."""

CHECK_PIECE: Final = (
    "A look at a check piece tells the run’s pace and not the piece’s own shade: "
    "it helps less than a look at the piece itself."
)
"""What is said where only an offcut can be seen."""

PACE_GUARD: Final = 1.25
"""How much earlier than at odds of one in ten the first look comes, so that a run a quarter faster than the test is
still found in time. Without it 7 % of such pieces came out more than 2 L* too dark, and runs at the test's own pace
lose nothing by it (measured in the simulations)."""

_STOP_WITHIN_HOURS: Final = 10 / 60  # due so near is due now
_SAME_HOUR: Final = 5 / 60  # a look so soon after another says nothing new


class Next(StrEnum):
    """What to do now."""

    LOOK_AGAIN = "look again"
    OUT_AT = "out at"
    STOP = "stop"


@dataclass(frozen=True, slots=True, kw_only=True)
class LookPlan:
    """Looks before the first one is taken, in hours since pouring.

    Attributes
    ----------
    first, again
        When to look first, and again where the first look gives no other hour.
    odds_at_first, odds_again
        Odds of the piece being past the target by then; None where the maker stated the hours, and the second also
        where several parts share them.
    opening
        Whether the tent may be opened for it at all.
    notes
        What must be said beside them.
    """

    first: float
    again: float
    odds_at_first: float | None
    odds_again: float | None
    opening: Opening
    notes: tuple[str, ...]


def plan_looks(
    piece: PieceHours,
    acting: Acting,
    opening: Opening,
    apart: tuple[Mismatch, ...] = (),
    *,
    axis_hours: Sequence[float] = (),
    check_piece: bool = False,
) -> LookPlan | None:
    """Return the looks of a run, None where the piece's answer has no hour at which it is due or to be looked at.

    Parameters
    ----------
    piece
        The piece's answer.
    acting
        What the maker has set about acting.
    opening
        How the tent may be opened.
    apart
        Where run and test differ: the first look comes earlier by the upper end of the rough band; due never moves.
    axis_hours
        The hours at which `piece.p_past` stands, for the odds at the first look; without them the odds set for looking,
        which are never less.
    check_piece
        Whether only an offcut can be seen.
    """
    if piece.look_from is None or piece.due is None:
        return None
    faster = fastest_pace(apart)
    first = min(piece.look_from, piece.due) / PACE_GUARD / faster
    notes = [ASKED_BESIDE]
    if faster > 1:
        notes.append(
            "The run differs from the test, so the first look comes earlier than its odds alone would have it."
        )
    if check_piece:
        notes.append(CHECK_PIECE)
    if opening is Opening.BY_HAND:
        notes.append("Looking through the film still costs nothing; each opening costs gas and exposes somebody.")
    known = len(axis_hours) == len(piece.p_past) and len(axis_hours) > 1
    return LookPlan(
        first=first,
        again=piece.due,
        odds_at_first=_odds_at(axis_hours, piece.p_past, first) if known else acting.past_odds,
        odds_again=acting.due_odds,
        opening=opening,
        notes=tuple(notes),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Counsel:
    """What to do after a look; hours of exposure since pouring.

    Attributes
    ----------
    what
        Leave it closed and look again, leave it until an hour, or stop.
    at_hours
        When: of the next look, of taking it out, or now.
    odds_then
        Odds of the piece being past the target by then.
    due, due_before
        When the piece is due now, and was before the look; None where the odds do not get there.
    looks_left
        Looks still planned for.
    lighter, error
        L* by which the piece is lighter than the target now, as settled samples read (negative: darker), and its SD.
    check_piece
        Whether only check pieces were read.
    notes
        What a maker must know beside it.
    """

    what: Next
    at_hours: float
    odds_then: float
    due: float | None
    due_before: float | None
    looks_left: int
    lighter: float
    error: float
    check_piece: bool
    notes: tuple[str, ...]


def _odds_at(axis: Sequence[float], odds: Sequence[float], hours: float) -> float:
    """Return the odds at an hour, straight between the hours that they stand at."""
    if hours >= axis[-1]:
        return odds[-1]
    late = next(i for i, at in enumerate(axis) if at > hours)
    if late == 0:
        return odds[0]
    part = (hours - axis[late - 1]) / (axis[late] - axis[late - 1])
    return odds[late - 1] + part * (odds[late] - odds[late - 1])


def counsel(
    after: AfterLooks,
    target_lightness: float,
    *,
    now_hours: float,
    looks_left: int,
    due_before: float | None = None,
    check_piece: bool = False,
) -> Counsel:
    """Return what to do after a look.

    Parameters
    ----------
    after
        The odds after all looks.
    target_lightness
        L* of the target, as the samples read.
    now_hours
        Hours of exposure at the moment of asking, not before the last look.
    looks_left
        Looks still planned for.
    due_before
        When the piece was due before this look.
    check_piece
        Whether only check pieces were read.

    "Stop" where due is at most ten minutes off or gone; "look again" while a look is left and its hour lies ahead;
    else "out at" due. Where the odds never reach due, looking goes on, planned or not, and a note says why.
    """
    due, look = after.due, after.look_from
    if due is not None and due - now_hours <= _STOP_WITHIN_HOURS:
        what, at = Next.STOP, now_hours
    elif looks_left > 0 and look is not None and look > now_hours + _SAME_HOUR:
        what, at = Next.LOOK_AGAIN, look if due is None else min(look, due)
    elif due is not None:
        what, at = Next.OUT_AT, due
    else:
        what, at = Next.LOOK_AGAIN, _much_later(after, now_hours)
    return Counsel(
        what=what,
        at_hours=at,
        odds_then=_odds_at(after.axis_hours, after.p_past, at),
        due=due,
        due_before=due_before,
        looks_left=looks_left,
        lighter=after.lightness - target_lightness,
        error=after.lightness_error,
        check_piece=check_piece,
        notes=after.notes if due is not None else (*after.notes, _NEVER_DUE),
    )


_NEVER_DUE: Final = (
    "By these looks the piece may never be past the target within the hours looked at. Look again, and think of a "
    "stronger charge or another target."
)


def _much_later(after: AfterLooks, now_hours: float) -> float:
    """Return an hour to look again where no odds say one: as long again, within the hours looked at."""
    return max(now_hours, min(2 * now_hours, after.axis_hours[-1]))


def after_look(
    view: Study,
    looks: Sequence[Look],
    *,
    now_hours: float,
    acting: Acting | None = None,
    settling: Shift = UNTOLD_SETTLING,
    planned: int = LOOKS_PLANNED,
    piece: PieceHours | None = None,
) -> tuple[AfterLooks, Counsel]:
    """Return the odds after looks and what to do: `curve.look.after_looks` and `counsel` together.

    `piece` is the answer before the first look; `planned` the looks planned for in all.
    """
    found = after_looks(view, looks, acting, settling)
    before: float | None = None if piece is None else piece.due
    ordered = sorted(looks, key=lambda look: look.hours)
    if len(ordered) > 1:
        before = after_looks(view, ordered[:-1], acting, settling).due
    assert view.target is not None  # after_looks has refused a view without one
    said = counsel(
        found,
        view.target.L,
        now_hours=max(now_hours, found.now_hours),
        looks_left=max(0, planned - len(looks)),
        due_before=before,
        check_piece=all(look.piece for look in looks),
    )
    return found, said
