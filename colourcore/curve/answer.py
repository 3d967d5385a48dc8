"""The whole answer for one board and zone: what the samples say, what the piece will do, and what would help."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from colourcore.curve.fit import Sample, Target, fit
from colourcore.curve.hours import NO_TARGET, HoursToShade, board_answer, hours_to_shade
from colourcore.curve.ladder import next_sample
from colourcore.curve.match import colour_match
from colourcore.curve.outcome import Outcome
from colourcore.curve.piece import Acting, PieceHours, piece_answer, piece_odds
from colourcore.curve.study import Study, study
from colourcore.curve.tolerance import Tolerance, window

__all__ = ["GroupAnswer", "answer_group"]


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupAnswer:
    """Everything about one board and zone.

    `board` holds what the samples say and, in fields of their own, the piece, the next sample, the whole colour and the
    window; `view` is what it was read off, for looks and comparisons (None with fewer than two different hours).
    """

    board: HoursToShade
    view: Study | None = None


def answer_group(
    samples: Sequence[Sample],
    target: Target | None,
    *,
    confidence: float = 0.9,
    acting: Acting | None = None,
    tolerance: Tolerance | None = None,
    no_target_because: str | None = None,
) -> GroupAnswer:
    """Return everything about one board and zone; the board's part is that of `hours_to_shade`.

    Parameters
    ----------
    samples, target, confidence
        As of `hours_to_shade`.
    acting
        What the maker has set about acting.
    tolerance
        How far off is still right; ΔE00 2 unless given.
    no_target_because
        Why there is no usable target (a finished one without pairs): the note of the "cannot say" that follows.
    """
    acting = Acting() if acting is None else acting
    if no_target_because is not None:
        target = None
    if len({sample.hours for sample in samples}) < 2:
        board = hours_to_shade(samples, target, confidence=confidence, past_odds=acting.past_odds)
        nothing = PieceHours(outcome=Outcome.CANNOT_SAY, scatter=0.0, pace_spread=acting.pace_spread)
        return GroupAnswer(board=replace(board, piece=nothing))
    view = study(fit(samples), target, confidence)
    board = board_answer(view, acting.past_odds, no_target_because or NO_TARGET)
    notes = board.notes
    points = len(board.curve.hours)
    odds = piece_odds(view, acting.pace_spread)
    colour = colour_match(view, points)
    if colour is not None and board.outcome is not Outcome.CANNOT_SAY:
        notes = (*notes, *colour.notes)
    board = replace(
        board,
        notes=notes,
        piece=piece_answer(view, board.outcome, acting, points, odds),
        next_sample=next_sample(view, acting, odds),
        colour=colour,
        window=window(view, Tolerance() if tolerance is None else tolerance, acting, points),
    )
    return GroupAnswer(board=board, view=view)
