"""When to look, and what to do after a look: leave it and look again, leave it until due, or stop."""

from __future__ import annotations

import pytest

from colourcore.curve.answer import GroupAnswer, answer_group
from colourcore.curve.fit import Sample, Target
from colourcore.curve.look import AfterLooks, Look
from colourcore.curve.piece import Acting
from colourcore.errors import InputError
from colourcore.run.looks import PACE_GUARD, Next, after_look, counsel, plan_looks
from colourcore.run.mismatch import Mismatch
from colourcore.run.spill import Opening


def sample(hours: float, lightness: float) -> Sample:
    return Sample(hours=hours, lab=(lightness, 6.0, 16.0), covariance=((0.1, 0, 0), (0, 0.1, 0), (0, 0, 0.1)))


@pytest.fixture(scope="module")
def board() -> GroupAnswer:
    read = ((0, 70), (2, 62), (5, 54), (9, 48.5), (16, 44), (24, 42))
    return answer_group([sample(h, seen) for h, seen in read], Target(L=48.0))


def after(due: float | None, look_from: float | None, now: float = 7.0) -> AfterLooks:
    return AfterLooks(
        now_hours=now, p_past_now=0.05, hours=9, low=8, high=10, look_from=look_from, due=due, p_reach=1,
        axis_hours=(0.0, 5.0, 10.0, 20.0), p_past=(0.0, 0.0, 0.5, 1.0), pace=1, pace_low=0.9, pace_high=1.1,
        lightness=50.1, lightness_error=0.4, surprise=0,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("due", "look_from", "left", "now", "what", "at"),
    [
        (9.0, 8.4, 1, 7.0, Next.LOOK_AGAIN, 8.4),
        (9.0, 8.4, 0, 7.0, Next.OUT_AT, 9.0),
        (9.0, 7.0, 1, 7.0, Next.OUT_AT, 9.0),  # its hour has passed
        (9.0, 8.4, 1, 8.9, Next.STOP, 8.9),  # due in six minutes
        (9.0, 8.4, 1, 9.5, Next.STOP, 9.5),  # due is gone
        (8.2, 8.4, 1, 7.0, Next.LOOK_AGAIN, 8.2),  # never later than due
        (None, 8.4, 1, 7.0, Next.LOOK_AGAIN, 8.4),
        (None, None, 0, 7.0, Next.LOOK_AGAIN, 14.0),
    ],
)
def test_what_to_do_follows_from_the_odds_and_the_looks_left(
    due: float | None, look_from: float | None, left: int, now: float, what: Next, at: float
) -> None:
    said = counsel(after(due, look_from), 48.0, now_hours=now, looks_left=left)
    assert (said.what, said.at_hours) == (what, at)
    assert said.lighter == pytest.approx(2.1)
    assert 0 <= said.odds_then <= 1


def test_odds_that_never_come_due_are_told() -> None:
    said = counsel(after(None, None), 48.0, now_hours=7.0, looks_left=0)
    assert "may never be past the target" in said.notes[-1]


def test_the_first_look_comes_before_the_odds_are_one_in_ten_and_due_stays(board: GroupAnswer) -> None:
    piece = board.board.piece
    assert piece is not None
    assert piece.look_from is not None
    looks = plan_looks(piece, Acting(), Opening.FROM_OUTSIDE, axis_hours=board.board.curve.hours)
    assert looks is not None
    assert looks.first == pytest.approx(piece.look_from / PACE_GUARD)
    assert looks.odds_at_first is not None
    assert looks.odds_at_first < 0.1
    assert looks.again == piece.due
    assert "target, or a raw and a dark sample" in looks.notes[0]


def test_a_run_unlike_its_test_is_looked_at_earlier_and_is_due_when_it_was(board: GroupAnswer) -> None:
    piece = board.board.piece
    assert piece is not None
    warm = Mismatch(what="warmth", sentence="", pace_low=1.0, pace_high=2.0)
    cool = Mismatch(what="warmth", sentence="", pace_low=0.5, pace_high=1.0)
    like, fast, slow = (plan_looks(piece, Acting(), Opening.FROM_OUTSIDE, apart) for apart in ((), (warm,), (cool,)))
    assert like is not None
    assert fast is not None
    assert slow is not None
    assert fast.first == pytest.approx(like.first / 2)
    assert slow.first == like.first
    assert fast.again == slow.again == like.again


def test_a_check_piece_helps_less_and_the_answer_says_so(board: GroupAnswer) -> None:
    view, piece = board.view, board.board.piece
    assert view is not None
    assert piece is not None
    looks = plan_looks(piece, Acting(), Opening.FROM_OUTSIDE, check_piece=True)
    assert looks is not None
    assert any("helps less" in note for note in looks.notes)
    seen = {"hours": 7.0, "lightness": 51.0, "variance": 0.2, "target_lightness": 48.0}
    own, _ = after_look(view, [Look(**seen)], now_hours=7.0, piece=piece)  # type: ignore[arg-type] - numbers
    offcut, said = after_look(view, [Look(**seen, piece="offcut")], now_hours=7.0, piece=piece)  # type: ignore[arg-type] - numbers
    assert said.check_piece
    assert any("check pieces" in note for note in said.notes)
    assert own.low is not None
    assert own.high is not None
    assert offcut.low is not None
    assert offcut.high is not None
    assert own.high - own.low < offcut.high - offcut.low


def test_a_look_without_the_target_beside_it_is_worth_less_and_is_told(board: GroupAnswer) -> None:
    view = board.view
    assert view is not None
    beside = Look(hours=7.0, lightness=51.0, variance=0.2, target_lightness=48.0)
    alone = Look(hours=7.0, lightness=51.0, variance=0.2)
    told, said = after_look(view, [beside], now_hours=7.0)
    untold, warned = after_look(view, [alone], now_hours=7.0)
    assert untold.lightness_error > told.lightness_error
    assert any("Lay the target" in note for note in warned.notes)
    assert not any("Lay the target" in note for note in said.notes)


def test_log_and_forecast_that_disagree_are_told(board: GroupAnswer) -> None:
    view = board.view
    assert view is not None
    _, said = after_look(view, [Look(hours=7.0, lightness=69.0, variance=0.1, target_lightness=48.0)], now_hours=7.0)
    assert any("than the forecast" in note for note in said.notes)


def test_a_look_before_the_start_is_refused() -> None:
    with pytest.raises(InputError, match="a look after more than 0 hours"):
        Look(hours=-0.5, lightness=50.0, variance=0.1)
