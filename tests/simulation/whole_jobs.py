"""Whole jobs, from samples to the piece that comes out, with the ways to decide when side by side.

The world: pieces of one board scatter by 0.5 L* in raw shade, 2.5 % in depth and 5 % in pace; readings by 0.3 to
0.8 L* (a job's own, and told); the run's pace by 10 % while the fit believes 12 %. All curves are synthetic.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from colourcore.curve.answer import answer_group
from colourcore.curve.fit import Sample, Target
from colourcore.curve.ladder import neat_hours
from colourcore.curve.look import Look, after_looks
from colourcore.curve.piece import Acting, PieceHours
from colourcore.curve.settle import UNTOLD_SETTLING, Shift, age_shift
from colourcore.curve.study import Study
from tests.simulation.rivals import least_squares
from tests.simulation.worlds import KNOWN, World, draw_world, ladder, reading

SETTLED = Shift(lightness=0.0, standard_error=0.0)
_EYE = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """One piece in one run."""

    world: World
    raw: float
    depth: float
    pace: float

    def lightness(self, hours: float) -> float:
        share = float(self.world.share(np.asarray(hours * self.pace)))
        return self.world.raw + self.raw - self.world.depth * self.depth * share


def _piece(world: World, run_pace: float, rng: np.random.Generator) -> Piece:
    return Piece(
        world=world,
        raw=rng.normal(0, 0.5),
        depth=1 + rng.normal(0, 0.025),
        pace=run_pace * np.exp(rng.normal(0, 0.05)),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Bench:
    """A job set up: eight samples that could be read, the target, the piece and a check piece in their run."""

    world: World
    target: Target
    hours: tuple[float, ...]
    error: float
    horizon: float
    piece: Piece
    check: Piece
    seed: int

    def sample(self, hours: float, index: int) -> Sample:
        """Read a fresh offcut of so many hours; the same index gives the same offcut and reading."""
        rng = np.random.default_rng([self.seed, 1, index])
        seen = _piece(self.world, 1.0, rng).lightness(hours) + rng.normal(0, self.error)
        return reading(hours, seen, self.error)

    def samples(self, keep: int) -> list[Sample]:
        chosen = np.unique(np.linspace(0, len(self.hours) - 1, keep).round().astype(int))
        return [self.sample(self.hours[i], int(i)) for i in chosen]

    def noise(self, index: int) -> float:
        return float(np.random.default_rng([self.seed, 2, index]).normal(0, self.error))


def set_up(seed: int) -> Bench:
    rng = np.random.default_rng([seed, 99])
    world = draw_world(KNOWN[seed % len(KNOWN)], rng)
    hours = ladder(world, 8, rng)
    pace = float(np.exp(rng.normal(0, 0.10)))
    return Bench(
        world=world,
        target=Target(L=world.raw - world.depth * rng.uniform(0.3, 0.85)),
        hours=tuple(hours.tolist()),
        error=rng.uniform(0.3, 0.8),
        horizon=max(48.0, 4 * float(hours[-1])),
        piece=_piece(world, pace, rng),
        check=_piece(world, pace, rng),
        seed=seed,
    )


def _out(bench: Bench, *choices: float | None) -> float:
    """The first hour that is known, else as long as was ever tried."""
    return next((hours for hours in choices if hours is not None), max(bench.hours))


def by_eye(bench: Bench) -> float:
    seen = np.array([s.lab[0] for s in bench.samples(8)])
    blur = np.random.default_rng([bench.seed, 3]).normal(0, _EYE, seen.size)
    return bench.hours[int(np.argmin(np.abs(seen + blur - bench.target.L)))]


def by_least_squares(bench: Bench) -> float:
    samples = bench.samples(8)
    hours, lightness = np.array([s.hours for s in samples]), np.array([s.lab[0] for s in samples])
    found = least_squares(hours, lightness, bench.target.L, bench.horizon).hours
    return found if np.isfinite(found) else max(bench.hours)


def known_exactly(bench: Bench) -> float:
    found = bench.world.hours_at(bench.target.L, bench.horizon)
    return found if np.isfinite(found) else bench.horizon


def _answer(samples: Sequence[Sample], bench: Bench, past_odds: float = 0.1) -> tuple[Study, PieceHours]:
    whole = answer_group(samples, bench.target, acting=Acting(past_odds=past_odds))
    assert whole.view is not None
    assert whole.board.piece is not None
    return whole.view, whole.board.piece


def looks(
    bench: Bench, view: Study, piece: PieceHours, *, check: bool = False, drift: float = 0.0, settling: Shift = SETTLED
) -> float:
    """Two looks: at the answer's look-from, and when the odds after it reach one in ten; then out when it is due."""
    looked: list[Look] = []
    drawn = bench.check if check else bench.piece
    look_from, due = piece.look_from, _out(bench, piece.due, piece.hours)
    for index in range(2):
        at = min(due, _out(bench, look_from, due))
        if at <= 0 or (looked and at <= looked[-1].hours + 0.01):
            break
        seen = drawn.lightness(at) + drift + bench.noise(10 * check + index)
        looked.append(
            Look(
                hours=at,
                lightness=seen,
                variance=bench.error**2,
                piece="check" if check else "",
                target_lightness=bench.target.L,
            )
        )
        after = after_looks(view, looked, settling=settling)
        look_from, due = after.look_from, max(at, _out(bench, after.due, after.hours))
    return due


def early_looks(bench: Bench) -> float:
    """Two looks at the piece with five samples, the first earlier: the pieces that fared worst were past by then."""
    return looks(bench, *_answer(bench.samples(5), bench, past_odds=0.05))


def _three_and_one(bench: Bench) -> list[Sample]:
    three = bench.samples(3)
    chosen = answer_group(three, bench.target).board.next_sample
    assert chosen is not None
    return [*three, bench.sample(neat_hours(chosen.hours), 50)]


def _pair(bench: Bench, drift: float) -> Shift:
    """One sample photographed at once and again settled, each by a reading of its own."""
    hours = bench.hours[4]
    true = bench.world.lightness(hours)
    fresh = reading(hours, float(true) + drift + bench.noise(30), bench.error)
    return age_shift([(fresh, reading(hours, float(true) + bench.noise(31), bench.error))])


WAYS = (
    "by eye, nearest of eight samples",
    "least-squares exponential, eight samples",
    "one shot at even odds, eight samples",
    "one shot when due, eight samples",
    "one shot when due, five samples",
    "two looks at a check piece, five samples",
    "two looks at the piece, five samples",
    "two looks at the piece, three samples and one chosen",
    "two looks at the piece, eight samples",
    "the curve known exactly, one shot",
    "two looks, the first at odds of one in twenty, five samples",
)
DRIFTS = (0.0, 1.0, 2.0)
DRIFT_WAYS = tuple(
    f"{told}, drift {drift:g} L*"
    for told in ("told by one pair", "not told, an offset allowed for", "taken for none")
    for drift in DRIFTS
)


def miss(seed: int) -> tuple[float, ...]:
    """L* of the piece that comes out minus the target, for each of `WAYS`."""
    bench = set_up(seed)
    five, eight, four = (_answer(s, bench) for s in (bench.samples(5), bench.samples(8), _three_and_one(bench)))
    out = [
        by_eye(bench),
        by_least_squares(bench),
        _out(bench, eight[1].hours, eight[1].due),
        _out(bench, eight[1].due, eight[1].hours),
        _out(bench, five[1].due, five[1].hours),
        looks(bench, *five, check=True),
        looks(bench, *five),
        looks(bench, *four),
        looks(bench, *eight),
        known_exactly(bench),
        early_looks(bench),
    ]
    return tuple(bench.piece.lightness(hours) - bench.target.L for hours in out)


def miss_with_drift(seed: int) -> tuple[float, ...]:
    """The same for two looks at the piece with five samples, where fresh wood reads lighter than settled."""
    bench = set_up(seed)
    five = _answer(bench.samples(5), bench)
    out = [
        looks(bench, *five, drift=drift, settling=settling(bench, drift))
        for settling in (_pair, lambda _, __: UNTOLD_SETTLING, lambda _, __: SETTLED)
        for drift in DRIFTS
    ]
    return tuple(bench.piece.lightness(hours) - bench.target.L for hours in out)
