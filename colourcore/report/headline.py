"""The one sentence that says where a job of one or many boards and zones stands."""

from __future__ import annotations

from collections.abc import Sequence

from colourcore.curve.hours import Outcome
from colourcore.pipeline import Group
from colourcore.report.phrases import format_hours
from colourcore.report.sentences import (
    NO_HOURS_YET,
    capital,
    format_down,
    group_sentence,
    is_sure,
    piece_answer,
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
    due = [group for group in groups if _due(group) is not None]
    if due:
        return _due_headline(groups, due)
    reached = [group for group in groups if is_sure(group.answer)]
    if not reached:
        return _others(groups)
    said = _reached_list(reached) if len(reached) <= _NAMED else _reached_range(reached, len(groups))
    others = [group for group in groups if not is_sure(group.answer)]
    return f"{capital(said)}." + (f" {_others(others)}" if others else "")


def _reached_list(reached: Sequence[Group]) -> str:
    parts = []
    for number, group in enumerate(reached):
        verb = " reaches the target" if number == 0 else ""
        parts.append(f"{spoken_name(group)}{verb} after {format_hours(group.answer.hours or 0.0)} {_bracket(group)}")
    return _listed(parts)


def _reached_range(reached: Sequence[Group], count: int) -> str:
    ordered = sorted(reached, key=lambda group: group.answer.hours or 0.0)
    first, last = ordered[0], ordered[-1]
    return (
        f"{len(reached)} of {count} reach the target: first {spoken_name(first)} after "
        f"{format_hours(first.answer.hours or 0.0)} {_bracket(first)}, last {spoken_name(last)} after "
        f"{format_hours(last.answer.hours or 0.0)} {_bracket(last)}"
    )


def _bracket(group: Group) -> str:
    answer = group.answer
    if answer.high is None:
        return f"({format_hours(answer.low or 0.0)} or later)"
    return f"({format_hours(answer.low or 0.0)} to {format_hours(answer.high)})"


def _others(groups: Sequence[Group]) -> str:
    """Return a sentence about those of which it is not sure that they reach the target."""
    doubtful = [group for group in groups if group.answer.outcome is Outcome.REACHED]
    short = [group for group in groups if group.answer.outcome is Outcome.NOT_REACHED]
    unsaid = [group for group in groups if group.answer.outcome is Outcome.CANNOT_SAY]
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


def _due(group: Group) -> float | None:
    piece = piece_answer(group.answer)
    return None if piece is None else piece.due


def _due_headline(groups: Sequence[Group], due: Sequence[Group]) -> str:
    ordered = sorted(due, key=lambda group: _due(group) or 0.0)
    named = ordered if len(ordered) <= _NAMED else [ordered[0], ordered[-1]]
    parts = [
        f"{spoken_name(group)}{' is due' if i == 0 else ''} at {format_down(_due(group))}"
        for i, group in enumerate(named)
    ]
    looks = [piece.look_from for group in due if (piece := piece_answer(group.answer)) and piece.look_from is not None]
    look = f" Look from {format_down(min(looks))}." if looks else ""
    others = [group for group in groups if group not in due]
    rest = f" {_others(others)}" if others else ""
    count = "" if len(named) == len(ordered) else f"{len(due)} of {len(groups)} come to the target; "
    return f"{capital(count + _listed(parts))}.{look}{rest}"


def _listed(parts: Sequence[str]) -> str:
    return parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} and {parts[-1]}"
