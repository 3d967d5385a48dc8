"""The one sentence that says where a job of one or many boards and zones stands."""

from __future__ import annotations

from collections.abc import Sequence

from colourcore.curve.hours import Outcome
from colourcore.pipeline import Group
from colourcore.report.phrases import format_hours
from colourcore.report.sentences import (
    NO_HOURS_YET,
    acting_outcome,
    capital,
    format_down,
    group_sentence,
    is_sure,
    spoken_name,
)

__all__ = ["headline"]

_NAMED = 3


def headline(groups: Sequence[Group]) -> str:
    """Return the one sentence that says where the job stands.

    Times stand in it as `format_hours` writes them, so that a reader's eye, or bold type, can find them.
    """
    if not groups:
        return NO_HOURS_YET
    if len(groups) == 1:
        return group_sentence(groups[0])
    reached = [group for group in groups if is_sure(group.answer)]
    if not reached:
        return _others(groups)
    said = _reached_list(reached) if len(reached) <= _NAMED else _reached_range(reached, len(groups))
    others = [group for group in groups if not is_sure(group.answer)]
    return f"{capital(said)}." + (f" {_others(others)}" if others else "")


def _reached_list(reached: Sequence[Group]) -> str:
    parts = []
    for number, group in enumerate(reached):
        verb = f" {_verb(group)}" if number == 0 else ""
        parts.append(f"{spoken_name(group)}{verb} {_hours(group)}")
    return _listed(parts)


def _reached_range(reached: Sequence[Group], count: int) -> str:
    ordered = sorted(reached, key=_acting_hours)
    first, last = ordered[0], ordered[-1]
    return (
        f"{len(reached)} of {count} boards and zones reach the target: {spoken_name(first)} first, {_hours(first)}, "
        f"{spoken_name(last)} last, {_hours(last)}"
    )


def _verb(group: Group) -> str:
    return "reaches the target" if group.answer.piece is None else "is due"


def _acting_hours(group: Group) -> float:
    piece = group.answer.piece
    return (group.answer.hours if piece is None else piece.due) or 0.0


def _hours(group: Group) -> str:
    """Return the hour to act on with the hour to look from, or the board's hours with their interval."""
    answer, piece = group.answer, group.answer.piece
    if piece is not None:
        look = "" if piece.look_from is None else f" (look from {format_down(piece.look_from)})"
        return f"at {format_down(piece.due)}{look}"
    end = "or later" if answer.high is None else f"to {format_hours(answer.high)}"
    return f"after {format_hours(answer.hours or 0.0)} ({format_hours(answer.low or 0.0)} {end})"


def _others(groups: Sequence[Group]) -> str:
    """Return a sentence about those of which it is not sure that they reach the target."""
    doubtful = [group for group in groups if acting_outcome(group.answer) is Outcome.REACHED]
    short = [group for group in groups if acting_outcome(group.answer) is Outcome.NOT_REACHED]
    unsaid = [group for group in groups if acting_outcome(group.answer) is Outcome.CANNOT_SAY]
    said = [f"{_named(doubtful)} may not get there"] if doubtful else []
    if short:
        said.append(f"{_named(short)} {'stays' if len(short) == 1 else 'stay'} short of the target")
    if unsaid:
        said.append(f"for {_named(unsaid)} the hours cannot be said")
    return f"{capital('; '.join(said))}."


def _named(groups: Sequence[Group]) -> str:
    if len(groups) <= _NAMED:
        return _listed([spoken_name(group) for group in groups])
    return f"{len(groups)} boards and zones"


def _listed(parts: Sequence[str]) -> str:
    return parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} and {parts[-1]}"
