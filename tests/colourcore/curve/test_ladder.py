"""Which hours to give the samples."""

from __future__ import annotations

import numpy as np
import pytest

from colourcore.curve.answer import answer_group
from colourcore.curve.fit import Target
from colourcore.curve.ladder import first_ladder, neat_hours
from colourcore.curve.outcome import Outcome
from colourcore.errors import InputError
from tests.colourcore.curve.boards import TARGET, board


def test_a_first_ladder_has_raw_wood_and_equal_ratios_around_the_guess() -> None:
    ladder = first_ladder(8.0, 7)
    hours = [rung.hours for rung in ladder.rungs]
    assert hours[0] == 0
    assert hours[1] < 8.0 < hours[-1]
    ratios = np.array(hours[2:]) / np.array(hours[1:-1])
    np.testing.assert_allclose(ratios, ladder.ratio, rtol=0.12)


def test_samples_go_in_one_after_another_and_come_out_together() -> None:
    ladder = first_ladder(8.0, 6)
    ends = {rung.out_after_hours for rung in ladder.rungs}
    assert len(ends) == 1
    for rung in ladder.rungs:
        assert rung.out_after_hours - rung.in_after_hours == pytest.approx(rung.hours)
    assert min(rung.in_after_hours for rung in ladder.rungs) == 0


def test_a_ladder_can_do_without_raw_wood() -> None:
    assert first_ladder(8.0, 4, raw=False).rungs[0].hours > 0


@pytest.mark.parametrize("hours", [0.03, 0.4, 1.9, 5.2, 23.7, 100.4])
def test_neat_hours_are_whole_minutes_close_by(hours: float) -> None:
    neat = neat_hours(hours)
    assert neat > 0
    assert round(neat * 60, 6) == round(neat * 60)
    assert abs(neat - hours) <= max(1 / 12, 0.06 * hours)


@pytest.mark.parametrize("wrong", [(0.0, 6, 4.0), (8.0, 2, 4.0), (8.0, 6, 1.0), (float("nan"), 6, 4.0)])
def test_a_ladder_without_sense_is_refused(wrong: tuple[float, int, float]) -> None:
    with pytest.raises(InputError, match="Expected"):
        first_ladder(wrong[0], wrong[1], reach=wrong[2])


def test_three_samples_ask_for_the_fourth_near_the_target() -> None:
    answer = answer_group(board(hours=(0, 4, 24)), TARGET).board
    assert answer.outcome is Outcome.CANNOT_SAY
    chosen = answer.next_sample
    assert chosen is not None
    assert 6 <= chosen.hours <= 14
    assert chosen.worthwhile
    assert f"{chosen.hours:.3g} h" in chosen.note


def test_a_gap_around_the_target_is_where_the_next_sample_goes() -> None:
    chosen = answer_group(board(hours=(0, 1, 2, 30, 40)), TARGET).board.next_sample
    assert chosen is not None
    assert 5 < chosen.hours < 20
    assert chosen.narrows_board > 0.4


def test_a_target_out_of_reach_asks_for_a_longer_sample() -> None:
    chosen = answer_group(board(hours=(0, 1, 2, 4, 8)), Target(L=37.0)).board.next_sample
    assert chosen is not None
    assert chosen.hours > 8


def test_a_target_to_come_still_has_a_next_sample() -> None:
    chosen = answer_group(board(hours=(0, 4, 24)), None).board.next_sample
    assert chosen is not None
    assert "curve" in chosen.note


def test_more_samples_no_longer_help_when_pieces_and_runs_are_what_is_left() -> None:
    hours = (0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 12, 14, 18, 24)
    chosen = answer_group(board(hours=hours), TARGET).board.next_sample
    assert chosen is not None
    assert not chosen.worthwhile
    assert "no longer help" in chosen.note
    assert chosen.narrows_piece < 0.05


def test_a_sample_made_as_asked_narrows_the_hours_about_as_said() -> None:
    samples = board(hours=(0, 1.5, 3, 20, 30))
    before = answer_group(samples, TARGET).board
    chosen = before.next_sample
    assert chosen is not None
    after = answer_group([*samples, *board(hours=(chosen.hours,))], TARGET).board
    said = 1 - chosen.narrows_board
    came = np.log(after.high / after.low) / np.log(before.high / before.low)
    assert came == pytest.approx(said, abs=0.2)
