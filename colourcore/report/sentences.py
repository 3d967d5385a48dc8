"""What window, report and command line say alike about a job: whole sentences, each number with unit and error.

The board's hours say what the samples say; where an answer carries a part about the piece, the sentences act on the
piece and name the board's hours once.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from colourcore.curve.fit import Target
from colourcore.curve.hours import HoursToShade, Outcome
from colourcore.curve.piece import HourStep, PieceHours
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
    "PIECE_NOT_BOARD",
    "acting_details",
    "acting_outcome",
    "board_sentence",
    "capital",
    "difference_sentence",
    "format_down",
    "group_details",
    "group_notes",
    "group_sentence",
    "hours_text",
    "is_sure",
    "readings_text",
    "spoken_name",
    "target_sentence",
    "what_it_rests_on",
]

BOARD_NOT_PIECE = "These are the board’s hours: what the samples say. Pieces and runs differ by more."

PIECE_NOT_BOARD = (
    "These are the hours of the piece. What the samples say stands further on; looks at the piece narrow it."
)

INVENTED = "Invented example: the wood, the photographs and every figure are made up."

NO_HOURS_YET = "No sample was read, so there are no hours yet."

_SURE_REACH = 0.9


def spoken_name(group: Group) -> str:
    """Return how a board and zone stand in a sentence: "sapwood of board A", "board B", "the samples"."""
    if group.board and group.zone:
        return f"{group.zone} of board {group.board}"
    return group.name


def acting_outcome(answer: HoursToShade) -> Outcome:
    """Return what can be said about reaching the target: by the piece, or by the board where there is no word of it."""
    return answer.outcome if answer.piece is None else answer.piece.outcome


def is_sure(answer: HoursToShade) -> bool:
    """Return whether reaching the target is promised: its odds are nine in ten or better, and it comes due."""
    piece = answer.piece
    chance = answer.p_reach if piece is None else piece.p_reach
    comes_due = piece is None or piece.due is not None
    return acting_outcome(answer) is Outcome.REACHED and comes_due and (chance is None or chance >= _SURE_REACH)


def format_down(hours: float | None) -> str:
    """Return an hour to act on, rounded down to five minutes.

    >>> format_down(7.99)
    '7 h 55'
    """
    return format_hours(hours or 0.0, Rounding.DOWN)


def group_sentence(group: Group) -> str:
    """Return what is to be said first about one board and zone, whatever its outcome."""
    name, answer = capital(spoken_name(group)), group.answer
    outcome = acting_outcome(answer)
    if outcome is Outcome.NOT_REACHED:
        return f"{name} stays short of the target. {_reason(answer)}"
    if outcome is Outcome.CANNOT_SAY:
        return f"For {spoken_name(group)} the hours cannot be said. {_reason(answer)}"
    piece = answer.piece
    if piece is None:
        verb = "reaches" if is_sure(answer) else "may reach"
        return (
            f"{name} {verb} the target after {format_hours(answer.hours or 0.0)}, "
            f"{often_in_words(answer.confidence)} {format_span(answer.low or 0.0, answer.high)}."
        )
    if piece.due is None:
        return f"{name} may not get to the target; it comes due at no hour that was looked at."
    look = "" if piece.look_from is None else f" Look from {format_down(piece.look_from)}."
    doubt = "is" if is_sure(answer) else "may not get to the target; if it does, it is"
    return f"{name} {doubt} due at {format_down(piece.due)}.{look}"


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
        return "The samples by themselves stay short of the target. Pieces and runs differ by more."
    return (
        f"The samples say {format_hours(answer.hours)}, {format_span(answer.low or 0.0, answer.high)}. "
        "Pieces and runs differ by more; looks at the piece narrow it."
    )


def group_details(group: Group) -> tuple[str, ...]:
    """Return what stands below a group's sentence: when to act and what came of it, then what there is to note."""
    return (*acting_details(group), *group_notes(group))


def group_notes(group: Group) -> tuple[str, ...]:
    """Return the notes of a group's answer that its sentence has not said, and the sample that would help most."""
    answer = group.answer
    said = 0 if acting_outcome(answer) is Outcome.REACHED else 1
    help_note = () if answer.next_sample is None else (answer.next_sample.note,)
    return (*answer.notes[said:], *help_note)


def acting_details(group: Group) -> tuple[str, ...]:
    """Return what a group's answer says about the finish, the piece, its colour, and the odds of getting there."""
    answer, piece = group.answer, group.answer.piece
    outcome = acting_outcome(answer)
    said = [*_finish_details(group)]
    if piece is not None and outcome is not Outcome.CANNOT_SAY:
        said += _piece_details(answer, piece)
    if outcome is Outcome.REACHED:
        if answer.delta_e is not None and answer.outcome is Outcome.REACHED:
            whose = "Its colour then" if piece is None else "Where the samples match it in lightness, their colour"
            said.append(f"{whose} differs from the target by {difference_sentence(answer.delta_e)}.")
        chance = answer.p_reach if piece is None else piece.p_reach
        if chance is not None:
            said.append(f"Odds that this wood gets there at all: {odds_in_words(chance)}.")
    return tuple(said)


def _finish_details(group: Group) -> Iterable[str]:
    wanted = group.wanted
    if wanted.finished is not None:
        shade = target_sentence(wanted.finished)
        yield f"The target was given under {wanted.finish} ({shade}) and carried back to bare wood."
        if wanted.shift is not None and wanted.shift.guess:
            yield "What that finish does is a guess from earlier jobs."


def _piece_details(answer: HoursToShade, piece: PieceHours) -> list[str]:
    said = []
    if piece.outcome is Outcome.REACHED and piece.hours is not None:
        said.append(
            f"A piece matches after {format_hours(piece.hours)}, {often_in_words(answer.confidence)} "
            f"{format_span(piece.low or 0.0, piece.high)}."
        )
    elif piece.look_from is not None:
        due = "" if piece.due is None else f" and is due at {format_down(piece.due)}"
        said.append(f"A piece that runs fast is to be looked at from {format_down(piece.look_from)}{due}.")
    past = None if piece.due is None else _odds_at(answer.curve.hours, piece.p_past, piece.due)
    if past is not None:
        odds = odds_in_words(past)
        said.append(f"When due, the odds of being past it are {odds}: too dark costs more than too light.")
    if piece.step is not None:
        said.append(_step_sentence(piece.step))
    return [*said, board_sentence(answer)]


def _step_sentence(step: HourStep) -> str:
    more, less = format_value(abs(step.more_lightness)), format_value(abs(step.less_lightness))
    return f"At {format_down(step.hours)} an hour more is {more} L* darker, an hour less {less} L* lighter."


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


def what_it_rests_on(group: Group) -> str:
    """Return the target a group is held against and how many samples count."""
    count = f"{group.n} sample{'' if group.n == 1 else 's'} {'counts' if group.n == 1 else 'count'}"
    return f"No target yet; {count}." if group.target is None else f"Target {target_sentence(group.target)}; {count}."


def hours_text(groups: Sequence[Group]) -> str:
    """Return the hours of every board and zone as plain text for a terminal, with a final line break."""
    if not groups:
        return f"{NO_HOURS_YET}\n"
    lines = []
    for group in groups:
        lines.append(group_sentence(group))
        lines.append(f"  {what_it_rests_on(group)}")
        lines += [f"  {line}" for line in group_details(group)]
        lines.append("")
    if any(group.answer.piece is None for group in groups):
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
        lines.append(f"{photo.name}: {'; '.join([_balanced_by(photo), *photo.facts.notes])}.")
        lines += [f"  {check.message}" for check in photo.checks]
    return "\n".join(lines) + "\n"


def _balanced_by(photo: PhotoReadings) -> str:
    if photo.balance is None:
        return "no card, so nothing was read"
    left = photo.balance.residual_delta_e
    return f"balanced by {photo.balance.method}" + ("" if left is None else f", {left:.1f} ΔE00 on what was held back")


def _text_row(row: PatchReading) -> list[str]:
    hours = "" if row.hours is None or row.role is not Role.SAMPLE else f"{row.hours:g}"
    return [row.photo, str(row.role), row.board, row.zone, hours, *_text_colour(row), _remark(row)]


def _text_colour(row: PatchReading) -> tuple[str, str, str]:
    if row.reading is None or not row.absolute:
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
    elif not row.absolute:
        said.append("compares within the series only")
    elif row.reading.colour_lost:
        said.append("lightness only")
    return ", ".join(said)


def capital(text: str) -> str:
    """Return text with a capital first letter.

    >>> capital("sapwood of board A")
    'Sapwood of board A'
    """
    return text[:1].upper() + text[1:]
