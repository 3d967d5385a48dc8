"""Which hours to give the samples: before anything is read, and the one more that would narrow the answer most."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from colourcore.curve.forecast import covariance_between, forecast, hour_of_odds
from colourcore.curve.piece import Acting, piece_odds
from colourcore.curve.study import Study, target_spread
from colourcore.errors import InputError

__all__ = ["Ladder", "NextSample", "Rung", "first_ladder", "neat_hours", "next_sample"]

Array = NDArray[np.float64]

# readings narrow a piece's hours by less than this: more samples no longer help
_WORTHWHILE = 0.05
_READING_VARIANCE = 0.3**2
_EVERY = 3
_CANDIDATES = 30
_NEAT_MINUTES = ((2.0, 5), (6.0, 15), (24.0, 30), (math.inf, 60))


@dataclass(frozen=True, slots=True, kw_only=True)
class Rung:
    """One sample of a ladder: its exposure, and when it goes in and comes out, in hours after the first goes in.

    Raw wood (0 hours) never goes in: both are the end.
    """

    hours: float
    in_after_hours: float
    out_after_hours: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Ladder:
    """A series of samples put in one after another and drawn all together, so that they share one age and one photo.

    `ratio` is the factor between neighbouring exposures, before they were made neat.
    """

    rungs: tuple[Rung, ...]
    ratio: float


@dataclass(frozen=True, slots=True, kw_only=True)
class NextSample:
    """The sample that would narrow the answer most.

    Attributes
    ----------
    hours
        Its exposure.
    narrows_board, narrows_piece
        By which share it narrows the interval of the board's hours and of the piece's, as expected beforehand; 0 to 1.
    narrows_look_from
        The same for the hour to look from.
    worthwhile
        False where more samples no longer help the piece: what is left is the scatter of pieces and the run's pace.
    note
        The same in a sentence.
    """

    hours: float
    narrows_board: float
    narrows_piece: float
    narrows_look_from: float
    worthwhile: bool
    note: str


def neat_hours(hours: float) -> float:
    """Return hours rounded to what a clock on the wall is set to: 5 minutes for the short, whole hours for the long.

    >>> neat_hours(0.78), neat_hours(3.9), neat_hours(37.4)
    (0.75, 4.0, 37.0)
    """
    minutes = next(step for limit, step in _NEAT_MINUTES if hours < limit)
    return max(minutes, round(hours * 60 / minutes) * minutes) / 60


def first_ladder(guess_hours: float, count: int = 6, *, reach: float = 4.0, raw: bool = True) -> Ladder:
    """Return hours for the first samples, in equal ratios around a guess of the hours that the shade will take.

    Equal ratios spread what is learned more evenly than equal steps, and forgive a poor guess.

    Parameters
    ----------
    guess_hours
        About where the shade is expected, above 0.
    count
        Number of samples, raw wood counted; 3 or more.
    reach
        How many times shorter and longer than the guess the ends of the ladder are, above 1.
    raw
        Whether one of them is raw wood.

    Examples
    --------
    >>> ladder = first_ladder(8.0, 5)
    >>> [(rung.hours, rung.in_after_hours) for rung in ladder.rungs]
    [(0.0, 32.0), (2.0, 30.0), (5.0, 27.0), (12.5, 19.5), (32.0, 0.0)]
    """
    if not (math.isfinite(guess_hours) and guess_hours > 0):
        raise InputError(f"expected a guess of more than 0 hours, got {guess_hours:g}")
    if count < 3:
        raise InputError(f"expected at least 3 samples, got {count}")
    if not (math.isfinite(reach) and reach > 1):
        raise InputError(f"expected a ladder that reaches more than 1 times the guess, got {reach:g}")
    steps = count - 1 if raw else count
    exact = np.geomspace(guess_hours / reach, guess_hours * reach, steps)
    hours = sorted({*([0.0] if raw else []), *(neat_hours(h) for h in exact.tolist())})
    longest = hours[-1]
    rungs = tuple(Rung(hours=h, in_after_hours=longest - h, out_after_hours=longest) for h in hours)
    return Ladder(rungs=rungs, ratio=float(exact[1] / exact[0]))


@dataclass(frozen=True, slots=True)
class _Aim:
    """An hour at which lightness should be known better, and the variance of a piece there beside the curve's."""

    hours: float
    beside: float


def next_sample(view: Study, acting: Acting | None = None, odds: Array | None = None) -> NextSample:
    """Return the sample that narrows the piece's hours and look-from most.

    A new reading's worth at an hour is its squared correlation with the curve's lightness where the answer is read
    off (a Gaussian's variance falls by just that share); weighed over all hypotheses. It works under "cannot say",
    too. `odds` are those of `piece_odds`, where they are at hand.
    """
    acting = Acting() if acting is None else acting
    odds = piece_odds(view, acting.pace_spread) if odds is None else odds
    aims, places = _aims(view, acting, odds), _candidates(view)
    worth, variance = _worth(view, [aim.hours for aim in aims], places)
    best = int(np.argmax(worth.mean(axis=1)))
    left = 1.0 - worth[best]
    board = 1.0 - np.sqrt(left)
    beside = np.array([aim.beside for aim in aims])
    piece = 1.0 - np.sqrt((variance * left + beside) / (variance + beside))
    hours, worthwhile = float(places[best]), bool(piece.max() >= _WORTHWHILE)
    return NextSample(
        hours=hours,
        narrows_board=float(board[-1]),
        narrows_piece=float(piece[-1]),
        narrows_look_from=float(piece[0]),
        worthwhile=worthwhile,
        note=_note(view, hours, board, piece, worthwhile),
    )


def _note(view: Study, hours: float, board: Array, piece: Array, worthwhile: bool) -> str:
    if not worthwhile:
        return (
            f"More samples no longer help much: the best, of {hours:.3g} h, would narrow a piece's hours by "
            f"{100 * piece[-1]:.0f} %. What is left is how pieces scatter and how the run's pace varies; "
            "looks at the piece itself tell more."
        )
    if view.target is None:
        return f"One more sample of {hours:.3g} h would narrow the curve by about {100 * board[-1]:.0f} %."
    return (
        f"One more sample of {hours:.3g} h would narrow the hour to look from by about {100 * piece[0]:.0f} % and a "
        f"piece's best hours by {100 * piece[-1]:.0f} % (the board's own by {100 * board[-1]:.0f} %)."
    )


def _aims(view: Study, acting: Acting, odds: Array | None) -> tuple[_Aim, ...]:
    """Return where the piece's look-from and its best hours lie; the widest place of the curve without a target."""
    if odds is None:
        upto = view.hours <= 1.5 * view.posterior.last_hours
        widest = float(view.hours[int(np.argmax(np.where(upto, view.lightness[2] - view.lightness[0], 0.0)))])
        return (_Aim(widest, _beside(view, widest, acting)),)
    best = hour_of_odds(view.hours, odds, 0.5)
    centre = view.nearest_shade().hours if best is None else best
    look = hour_of_odds(view.hours, odds, acting.past_odds)
    return tuple(_Aim(hours, _beside(view, hours, acting)) for hours in (centre if look is None else look, centre))


def _beside(view: Study, hours: float, acting: Acting) -> float:
    """Return what blurs a piece's lightness at an hour beside the curve: scatter, pace, the target's own error."""
    slope = 1.0 / view.hours_per_lightness(hours)
    return view.posterior.scatter**2 + (acting.pace_spread * hours * slope) ** 2 + target_spread(view)


def _candidates(view: Study) -> Array:
    """Return neat hours from short to twice the last sample's or the answer's, within the horizon."""
    middle = view.hours if view.odds is None else view.hours[view.odds <= 0.75]
    end = min(view.horizon, max(2.0 * view.posterior.last_hours, 1.5 * float(middle[-1]) if middle.size else 0.0))
    spread = np.geomspace(max(0.1, view.posterior.scale / 4.0), max(end, 0.2), _CANDIDATES)
    return np.unique([0.0, *(neat_hours(h) for h in spread.tolist())])


def _worth(view: Study, aims: list[float], places: Array) -> tuple[Array, Array]:
    """Return by which share one more sample at each place lowers the curve's variance at each aim, and that variance.

    (places, aims) and (aims,).
    """
    thin = view.posterior.thinned(_EVERY)
    targets = np.array(aims)
    there = forecast(thin, np.concatenate([places, targets]), view.target)
    within = covariance_between(thin, places, targets, view.target).mean(axis=0)
    off = there.mean - there.mean.mean(axis=0)
    at, aimed = off[:, : places.size], off[:, places.size :]
    together = within + at.T @ aimed / off.shape[0]
    total = there.variance.mean(axis=0) + (off**2).mean(axis=0)
    noise = float((there.scatter**2).mean()) + _READING_VARIANCE
    variance = total[places.size :]
    return np.clip(together**2 / np.outer(total[: places.size] + noise, variance), 0.0, 0.999), variance
