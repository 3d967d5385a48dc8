"""Jobs on a board whose curve is known: does the interval hold, are the odds what they say, is reach called rightly?"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from colourcore.curve.answer import answer_group
from colourcore.curve.hours import HoursToShade, Outcome, hours_to_shade
from tests.simulation.rivals import Rival, interpolation, least_squares, told_the_family
from tests.simulation.worlds import KNOWN, READING_ERROR, UNKNOWN, Job, draw_job, reading

LEVELS = (0.05, 0.10, 0.25, 0.50, 0.75, 0.90, 0.95)
PIECES = 8
_SCORES = dict(zip(LEVELS, (-1.645, -1.282, -0.674, 0.0, 0.674, 1.282, 1.645), strict=True))


@dataclass(frozen=True, slots=True, kw_only=True)
class Record:
    """One job as judged against the truth. `rank` is the odds of being past that were stated for the true hour."""

    family: str
    rank: float
    held: bool
    look_past: bool
    error: float
    told_error: float
    reached: bool
    far_from_reach: bool
    truly_reached: bool
    piece_past: float
    piece_held: float
    piece_rank: tuple[float, ...]
    rivals: tuple[tuple[bool, bool, float, tuple[bool, ...]], ...]


def _held(answer: HoursToShade, truth: float) -> bool:
    """Whether the interval holds the truth; an answer without one does not."""
    return answer.low is not None and answer.low <= truth <= (np.inf if answer.high is None else answer.high)


def _error(hours: float | None, truth: float) -> float:
    """Size of the error as a share of the truth, by logarithms."""
    if hours is None or not np.isfinite(hours) or not np.isfinite(truth):
        return np.nan
    return float(abs(np.log(max(hours, 0.01) / truth)))


def _rival(rival: Rival, truth: float) -> tuple[bool, bool, float, tuple[bool, ...]]:
    if not (np.isfinite(rival.hours) and np.isfinite(truth)):
        return False, False, np.nan, tuple(False for _ in LEVELS)
    low, high = rival.ends(1.645)
    calls = tuple(truth <= rival.hours + _SCORES[level] * rival.spread for level in LEVELS)
    return low <= truth <= high, truth < rival.ends(1.282)[0], _error(rival.hours, truth), calls


def _piece_hours(job: Job, rng: np.random.Generator) -> float:
    """The clock hour at which one true piece reaches the target in one true run."""
    scatter = float(np.sqrt(max(0.0, job.noise**2 - READING_ERROR**2)))
    offset, pace = rng.normal(0, scatter), np.exp(rng.normal(0, 0.12))
    found = job.world.hours_at(job.target.L - offset, job.horizon * 2) if offset < job.world.raw else np.inf
    return found / pace


def judge(task: tuple[str, int, bool]) -> Record:
    family, seed, out_of_reach = task
    rng = np.random.default_rng([seed, (KNOWN + UNKNOWN).index(family), int(out_of_reach)])
    job = draw_job(family, rng, out_of_reach=out_of_reach)
    whole = answer_group(job.samples, job.target)
    board, piece, view = whole.board, whole.board.piece, whole.view
    assert view is not None
    assert view.odds is not None
    assert piece is not None
    if np.isfinite(job.hours):
        rank = float(np.interp(job.hours, view.hours, view.odds))
    else:
        rank = float(view.odds[-1] + (1 - view.odds[-1]) * rng.uniform())
    pieces = [_piece_hours(job, rng) for _ in range(PIECES)]
    look, low, high = (np.inf if h is None else h for h in (piece.look_from, piece.low, piece.high))
    hours, lightness = (np.array(v) for v in zip(*((s.hours, s.lab[0]) for s in job.samples), strict=True))
    known = family in KNOWN and not out_of_reach
    return Record(
        family=family,
        rank=rank,
        held=_held(board, job.hours),
        look_past=board.look_from is not None and job.hours < board.look_from,
        error=_error(board.hours, job.hours),
        told_error=_error(told_the_family(job), job.hours) if known else np.nan,
        reached=board.outcome is Outcome.REACHED,
        far_from_reach=abs(float(job.world.lightness(job.horizon)) - job.target.L) > 2.0,
        truly_reached=bool(np.isfinite(job.hours)),
        piece_past=float(np.mean([h < look for h in pieces])) if np.isfinite(look) else 0.0,
        piece_held=float(np.mean([low <= h <= high for h in pieces])) if piece.low is not None else np.nan,
        piece_rank=tuple(np.interp(pieces, board.curve.hours, piece.p_past).tolist()),
        rivals=tuple(
            _rival(rival, job.hours)
            for rival in (
                least_squares(hours, lightness, job.target.L, job.horizon),
                interpolation(hours, lightness, job.target.L, job.noise),
            )
        ),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Spoiled:
    """One job clean and again with one exposed sample off by 4 L*."""

    held_clean: bool
    error_clean: float
    held: bool
    error: float
    named: bool
    named_wrongly: bool


def spoil(seed: int) -> Spoiled:
    rng = np.random.default_rng([seed, 77])
    job = draw_job(KNOWN[seed % len(KNOWN)], rng, count=8)
    bad = int(rng.integers(1, len(job.samples)))
    old = job.samples[bad]
    off = old.lab[0] + (4.0 if rng.uniform() < 0.5 else -4.0)
    spoiled = (*job.samples[:bad], replace(old, lab=(off, *old.lab[1:])), *job.samples[bad + 1 :])
    clean, dirty = hours_to_shade(job.samples, job.target), hours_to_shade(spoiled, job.target)
    return Spoiled(
        held_clean=_held(clean, job.hours),
        error_clean=_error(clean.hours, job.hours),
        held=_held(dirty, job.hours),
        error=_error(dirty.hours, job.hours),
        named=dirty.residuals[bad].bad_odds > 0.5,
        named_wrongly=any(residual.bad_odds > 0.5 for residual in clean.residuals),
    )


def narrow(seed: int) -> tuple[float, float]:
    """By how much the next sample was said to narrow the board's interval, and by how much it did (log of widths)."""
    rng = np.random.default_rng([seed, 78])
    job = draw_job(KNOWN[seed % len(KNOWN)], rng, count=5)
    before = answer_group(job.samples, job.target).board
    chosen = before.next_sample
    assert chosen is not None
    seen = float(job.world.lightness(chosen.hours)) + rng.normal(0, job.noise)
    after = hours_to_shade([*job.samples, reading(chosen.hours, seen)], job.target)
    ends = (before.low, before.high, after.low, after.high)
    if any(end is None or end <= 0 for end in ends):
        return np.nan, np.nan
    low, high, new_low, new_high = (float(end or 0.0) for end in ends)
    return 1.0 - chosen.narrows_board, np.log(new_high / new_low) / np.log(high / low)
