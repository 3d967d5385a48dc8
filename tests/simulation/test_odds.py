"""A small share of the simulated jobs, so that a slip in the odds shows before the full table is run."""

from __future__ import annotations

import numpy as np
import pytest

from tests.simulation import board_jobs, whole_jobs
from tests.simulation.worlds import KNOWN, UNKNOWN, draw_world


@pytest.fixture(scope="module")
def records() -> list[board_jobs.Record]:
    return [board_jobs.judge((family, seed, False)) for family in KNOWN for seed in range(12)]


def test_intervals_hold_about_as_often_as_they_say(records: list[board_jobs.Record]) -> None:
    # 60 jobs: three standard errors of a share of 0.9 are 0.12
    assert 0.78 <= np.mean([record.held for record in records]) <= 1.0


def test_few_boards_and_pieces_are_past_the_target_at_their_look_from(records: list[board_jobs.Record]) -> None:
    assert np.mean([record.look_past for record in records]) <= 0.22
    assert 0.02 <= np.mean([record.piece_past for record in records]) <= 0.2


def test_stated_odds_come_true_in_the_middle(records: list[board_jobs.Record]) -> None:
    assert 0.3 <= np.mean([record.rank <= 0.5 for record in records]) <= 0.7


def test_two_looks_at_the_piece_beat_one_shot() -> None:
    misses = np.abs([whole_jobs.miss(seed) for seed in range(12)])
    ways = dict(zip(whole_jobs.WAYS, misses.T, strict=True))
    looked = ways["two looks at the piece, five samples"]
    assert looked.mean() < 0.75 * ways["one shot when due, five samples"].mean()
    assert np.median(looked) < 0.8


@pytest.mark.parametrize("family", [*KNOWN, *UNKNOWN])
def test_an_invented_world_darkens_from_raw_and_never_lightens(family: str) -> None:
    world = draw_world(family, np.random.default_rng(3))
    path = world.lightness(np.linspace(0, 300, 3000))
    assert path[0] == pytest.approx(world.raw)
    assert np.all(np.diff(path) <= 1e-9)
    middle = world.raw - world.depth / 4
    assert world.lightness(world.hours_at(middle, 1e4)) == pytest.approx(middle, abs=1e-6)


def test_the_same_seed_gives_the_same_job() -> None:
    assert board_jobs.judge(("stretched", 3, False)).rank == board_jobs.judge(("stretched", 3, False)).rank
