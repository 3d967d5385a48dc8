"""The piece's hours: wider than the board's, and what tells the maker when to act."""

from __future__ import annotations

import numpy as np
import pytest

from colourcore.curve.answer import answer_group
from colourcore.curve.fit import Sample, Target
from colourcore.curve.outcome import Outcome
from colourcore.curve.piece import Acting, PieceHours, paced, paces
from colourcore.errors import InputError
from tests.colourcore.curve.boards import SCATTER, TARGET, board


def piece(samples: list[Sample], target: Target | None = TARGET, **acting: float) -> PieceHours:
    found = answer_group(samples, target, acting=Acting(**acting)).board.piece
    assert found is not None
    return found


def test_a_piece_scatters_more_than_the_boards_curve() -> None:
    answer = answer_group(board(off=SCATTER), TARGET).board
    own = answer.piece
    assert own is not None
    assert own.outcome is Outcome.REACHED
    assert own.low < answer.low
    assert own.high > answer.high
    assert own.look_from < answer.look_from
    assert own.hours == pytest.approx(answer.hours, rel=0.05)


def test_look_from_comes_before_due_and_due_before_even_odds() -> None:
    own = piece(board(off=SCATTER))
    assert own.low < own.look_from < own.due < own.hours < own.high
    at = [float(np.interp(h, answer_hours(), own.p_past)) for h in (own.look_from, own.due, own.hours)]
    assert at == pytest.approx([0.1, 1 / 3, 0.5], abs=0.02)


def answer_hours() -> tuple[float, ...]:
    return answer_group(board(off=SCATTER), TARGET).board.curve.hours


def test_intervals_of_rising_confidence_hold_each_other() -> None:
    own = piece(board(off=SCATTER))
    assert [inside for inside, _, _ in own.intervals] == [0.5, 0.8, 0.9, 0.95]
    lows, highs = [low for _, low, _ in own.intervals], [high for _, _, high in own.intervals]
    assert lows == sorted(lows, reverse=True)
    assert highs == sorted(highs)
    assert own.intervals[2][1:] == (own.low, own.high)


def test_a_steadier_run_narrows_the_piece() -> None:
    steady, loose = (piece(board(off=SCATTER), pace_spread=s) for s in (0.0, 0.3))
    assert steady.high - steady.low < 0.6 * (loose.high - loose.low)


def test_odds_set_by_the_maker_move_when_to_act() -> None:
    bold, careful = (piece(board(off=SCATTER), past_odds=p, due_odds=d) for p, d in ((0.2, 0.5), (0.05, 0.2)))
    assert careful.look_from < bold.look_from
    assert careful.due < bold.due
    assert bold.due == pytest.approx(bold.hours)


def test_the_hour_to_act_stays_where_its_odds_are_reached_though_the_target_is_not() -> None:
    own = piece(board(hours=(0, 2, 5, 10, 18, 30, 48)), Target(L=37.0))
    assert own.outcome is Outcome.NOT_REACHED
    assert own.hours is None
    assert own.low is None
    assert own.p_reach is not None
    assert own.p_reach < 0.5
    assert own.look_from is not None
    assert own.due is not None
    assert own.look_from < own.due


def test_an_hour_more_darkens_and_an_hour_less_is_lighter() -> None:
    step = piece(board(off=SCATTER)).step
    assert step is not None
    # the curve falls by 28/9 · exp(−t/9) L* an hour
    slope = 28 / 9 * np.exp(-step.hours / 9)
    assert step.more_lightness == pytest.approx(-slope, rel=0.25)
    assert step.less_lightness == pytest.approx(slope, rel=0.25)
    assert step.more_delta_e is not None
    assert 0.5 * slope < step.more_delta_e < 1.5 * slope


def test_darkening_slows_where_its_pace_says() -> None:
    slowed = piece(board(hours=(0, 1, 2, 4, 7, 11, 17, 26, 40)), slow_pace=0.5).slowed
    assert slowed is not None
    assert slowed.hours is not None
    # 28/9 · exp(−t/9) falls to 0.5 L* an hour at 9 ln 6.22 = 16.5 h
    assert slowed.low < 16.5 < slowed.high
    assert slowed.hours == pytest.approx(16.5, rel=0.2)
    assert piece(board(hours=(0, 1, 2, 3)), slow_pace=0.001).slowed.hours is None


def test_without_a_target_or_enough_samples_the_piece_cannot_say() -> None:
    for own in (piece(board(), None), piece(board(hours=(0, 3, 9))), piece(board(hours=(3,)))):
        assert own.outcome is Outcome.CANNOT_SAY
        assert (own.hours, own.look_from, own.due, own.p_reach) == (None,) * 4


def test_the_odds_of_the_piece_stand_at_the_hours_of_the_curve() -> None:
    answer = answer_group(board(off=SCATTER), TARGET).board
    assert answer.piece is not None
    assert len(answer.piece.p_past) == len(answer.curve.hours)
    assert np.all(np.diff(answer.piece.p_past) >= 0)


def test_paces_keep_their_median_and_spread() -> None:
    pace, odds = paces(0.2)
    assert odds @ np.log(pace) == pytest.approx(0.0, abs=1e-12)
    assert odds @ np.log(pace) ** 2 == pytest.approx(0.04)
    np.testing.assert_array_equal(paced(np.arange(3.0), np.array([0.0, 0.2, 0.5]), 0.0), [0.0, 0.2, 0.5])


@pytest.mark.parametrize(
    "wrong", [{"past_odds": 0.0}, {"due_odds": 1.0}, {"pace_spread": -0.1}, {"pace_spread": 2.0}, {"slow_pace": 0.0}]
)
def test_settings_out_of_range_are_refused(wrong: dict[str, float]) -> None:
    with pytest.raises(InputError, match="Expected"):
        Acting(**wrong)
