"""What window, report and command line say alike about a job: whole sentences, each number with unit and error.

The board's hours say what the samples say; where an answer carries a part about the piece, the sentences act on the
piece and name the board's hours once.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Protocol

from colourcore.curve.fit import Target
from colourcore.curve.hours import HoursToShade, Outcome
from colourcore.job.model import Role
from colourcore.pipeline import Group, PatchReading, PhotoReadings
from colourcore.report.phrases import (
    Rounding,
    difference_in_words,
    format_error,
    format_hours,
    format_span,
    format_value,
    odds_in_words,
    often_in_words,
)
from colourcore.run.cautions import pinned_cautions

__all__ = [
    "BOARD_NOT_PIECE",
    "INVENTED",
    "NO_HOURS_YET",
    "PieceAnswer",
    "board_sentence",
    "capital",
    "difference_sentence",
    "format_down",
    "group_details",
    "group_sentence",
    "hours_text",
    "is_sure",
    "piece_answer",
    "readings_text",
    "spoken_name",
    "target_sentence",
]

BOARD_NOT_PIECE = "These are the board’s hours: what the samples say. Pieces and runs differ by more."

INVENTED = "Invented example: the wood, the photographs and every figure are made up."

NO_HOURS_YET = "No sample was read, so there are no hours yet."

_SURE_REACH = 0.9


class PieceAnswer(Protocol):
    """What an answer says about the next piece in the run, once it speaks of the piece."""

    @property
    def outcome(self) -> Outcome:
        """Whether a piece reaches the target."""

    @property
    def hours(self) -> float | None:
        """Where the odds of the piece being past the target are one half."""

    @property
    def low(self) -> float | None:
        """Lower end of the piece's interval."""

    @property
    def high(self) -> float | None:
        """Upper end of the piece's interval, None where it is open."""

    @property
    def look_from(self) -> float | None:
        """The hour from which to look."""

    @property
    def due(self) -> float | None:
        """The hour to take the piece out."""

    @property
    def p_past(self) -> Sequence[float]:
        """Odds of the piece being past the target over the curve's hours."""


def piece_answer(answer: HoursToShade) -> PieceAnswer | None:
    """Return the part of an answer that speaks of the piece, or None where it speaks of the board alone."""
    piece: PieceAnswer | None = getattr(answer, "piece", None)
    return piece


def spoken_name(group: Group) -> str:
    """Return how a board and zone stand in a sentence: "sapwood of board A", "board B", "the samples"."""
    if group.board and group.zone:
        return f"{group.zone} of board {group.board}"
    return group.name


def is_sure(answer: HoursToShade) -> bool:
    """Return whether a reached target is promised: its odds are nine in ten or better."""
    chance = answer.p_reach
    return answer.outcome is Outcome.REACHED and (chance is None or chance >= _SURE_REACH)


def format_down(hours: float | None) -> str:
    """Return an hour to act on, rounded down to five minutes.

    >>> format_down(7.99)
    '7 h 55'
    """
    return format_hours(hours or 0.0, Rounding.DOWN)


def group_sentence(group: Group) -> str:
    """Return what is to be said first about one board and zone, whatever its outcome."""
    name, answer = capital(spoken_name(group)), group.answer
    verb = "reaches" if is_sure(answer) else "may reach"
    piece = piece_answer(answer)
    if piece is not None and piece.due is not None:
        look = "" if piece.look_from is None else f" Look from {format_down(piece.look_from)}."
        return f"{name} is due at {format_down(piece.due)}.{look}"
    if answer.outcome is Outcome.REACHED and answer.hours is not None:
        return (
            f"{name} {verb} the target after {format_hours(answer.hours)}, "
            f"{often_in_words(answer.confidence)} {format_span(answer.low or 0.0, answer.high)}."
        )
    if answer.outcome is Outcome.NOT_REACHED:
        return f"{name} stays short of the target. {_reason(answer)}"
    return f"For {spoken_name(group)} the hours cannot be said. {_reason(answer)}"


def _reason(answer: HoursToShade) -> str:
    if answer.notes:
        return answer.notes[0]
    chance = f"Odds of reaching it are {odds_in_words(answer.p_reach or 0.0)}"
    away = f"; the nearest shade is {difference_sentence(answer.delta_e)}" if answer.delta_e is not None else ""
    return f"{chance}{away}."


def difference_sentence(delta_e: float) -> str:
    """Return a colour difference with its unit and its class in words.

    >>> difference_sentence(2.13)
    '2.1 ΔE00, small'
    """
    return f"{format_value(delta_e)} ΔE00, {difference_in_words(delta_e)}"


def board_sentence(answer: HoursToShade) -> str:
    """Return the board's hours beside a piece's, said once: what the samples say."""
    if answer.outcome is not Outcome.REACHED or answer.hours is None:
        return "The samples alone do not reach the target. Pieces and runs differ by more."
    return (
        f"The samples say {format_hours(answer.hours)}, {format_span(answer.low or 0.0, answer.high)}. "
        "Pieces and runs differ by more; looks at the piece narrow it."
    )


def group_details(group: Group) -> tuple[str, ...]:
    """Return what stands below a group's sentence: colour, odds of getting there, the piece, and its notes."""
    answer, piece = group.answer, piece_answer(group.answer)
    said = []
    if piece is not None and piece.due is not None:
        said += _piece_details(answer, piece)
    if answer.outcome is Outcome.REACHED:
        if answer.delta_e is not None:
            said.append(f"Its colour then differs from the target by {difference_sentence(answer.delta_e)}.")
        if answer.p_reach is not None:
            said.append(f"Odds that this wood gets there at all: {odds_in_words(answer.p_reach)}.")
    used = 1 if answer.outcome is not Outcome.REACHED and not (piece and piece.due is not None) else 0
    return (*said, *answer.notes[used:])


def _piece_details(answer: HoursToShade, piece: PieceAnswer) -> list[str]:
    said = []
    if piece.outcome is Outcome.REACHED and piece.hours is not None:
        said.append(
            f"A piece matches after {format_hours(piece.hours)}, {often_in_words(answer.confidence)} "
            f"{format_span(piece.low or 0.0, piece.high)}."
        )
    else:
        said.append("A piece is likelier to stay short of the target than to pass it.")
    past = _odds_at(answer.curve.hours, piece.p_past, piece.due or 0.0)
    if past is not None:
        said.append(f"When due, {odds_in_words(past)} is past it: too dark costs more than too light.")
    return [*said, board_sentence(answer)]


def _odds_at(hours: Sequence[float], odds: Sequence[float], at_hours: float) -> float | None:
    if len(hours) != len(odds) or not hours or not hours[0] <= at_hours <= hours[-1]:
        return None
    for i in range(1, len(hours)):
        if at_hours <= hours[i]:
            share = (at_hours - hours[i - 1]) / (hours[i] - hours[i - 1])
            return odds[i - 1] + share * (odds[i] - odds[i - 1])
    return odds[-1]


def target_sentence(target: Target | None) -> str:
    """Return the target in numbers, with its standard errors as absolute colour where it was read.

    >>> target_sentence(Target(L=48.0, a=4.5, b=13.6))
    'L* 48.0, a* 4.5, b* 13.6, as stated'
    >>> target_sentence(None)
    'no target yet'
    """
    if target is None:
        return "no target yet"
    errors = [(target.covariance[i][i] + target.shared[i][i]) ** 0.5 for i in range(3)]
    parts = [
        f"{name} {format_value(value)}" + (f" {format_error(error)}" if any(errors) else "")
        for name, value, error in zip(("L*", "a*", "b*"), (target.L, target.a, target.b), errors, strict=True)
        if value is not None
    ]
    return ", ".join(parts) + ("" if any(errors) else ", as stated")


def hours_text(groups: Sequence[Group]) -> str:
    """Return the hours of every board and zone as plain text for a terminal, with a final line break."""
    if not groups:
        return f"{NO_HOURS_YET}\n"
    lines = []
    for group in groups:
        lines.append(group_sentence(group))
        lines.append(f"  Target {target_sentence(group.target)}; {group.n} samples.")
        lines += [f"  {line}" for line in group_details(group)]
        lines.append("")
    if any(piece_answer(group.answer) is None for group in groups):
        lines.append(BOARD_NOT_PIECE)
    first = pinned_cautions()[0]
    lines.append(f"{first.lead} {first.pinned} The report holds the cautions.")
    return "\n".join(lines) + "\n"


def readings_text(photos: Iterable[PhotoReadings], readings: Iterable[PatchReading]) -> str:
    """Return every reading as a table in plain text for a terminal, and under it what was found in the photos."""
    rows = [["photo", "role", "board", "zone", "hours", "L*", "a*", "b*", "remark"]]
    rows += [_text_row(row) for row in readings]
    widths = [max(len(row[i]) for row in rows) for i in range(len(rows[0]))]
    lines = ["  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip() for row in rows]
    for photo in photos:
        method = photo.balance.method if photo.balance else "no card, so nothing was read"
        lines.append(f"{photo.name}: balanced by {method}." if photo.balance else f"{photo.name}: {method}.")
        lines += [f"  {check.message}" for check in photo.checks]
    return "\n".join(lines) + "\n"


def _text_row(row: PatchReading) -> list[str]:
    hours = "" if row.hours is None or row.role is not Role.SAMPLE else f"{row.hours:g}"
    return [row.photo, str(row.role), row.board, row.zone, hours, *_text_colour(row), _remark(row)]


def _text_colour(row: PatchReading) -> tuple[str, str, str]:
    if row.reading is None:
        return "–", "–", "–"
    pairs = zip(row.reading.lab, row.reading.standard_errors, strict=True)
    lightness, a, b = (f"{format_value(value)} {format_error(error)}" for value, error in pairs)
    return (lightness, "–", "–") if row.reading.colour_lost else (lightness, a, b)


def _remark(row: PatchReading) -> str:
    said = [row.label] if row.label else []
    if row.set_aside:
        said.append(f"set aside: {row.set_aside}")
    if row.reading is None:
        said.append("refused")
    elif row.reading.colour_lost:
        said.append("lightness only")
    return ", ".join(said)


def capital(text: str) -> str:
    """Return text with a capital first letter.

    >>> capital("sapwood of board A")
    'Sapwood of board A'
    """
    return text[:1].upper() + text[1:]
