"""Looks in the run: what they sharpen, and what they must not pretend to know."""

from __future__ import annotations

from typing import Any

import pytest

from colourcore.curve.answer import answer_group
from colourcore.curve.fit import Target
from colourcore.curve.look import AfterLooks, Look, after_looks
from colourcore.curve.piece import Acting
from colourcore.curve.settle import UNTOLD_SETTLING, UNTOLD_SETUP, Shift, age_shift, setup_shift
from colourcore.curve.study import Study
from colourcore.errors import InputError
from tests.colourcore.curve.boards import SCATTER, TARGET, board, darkening, reading

NO_SHIFT = Shift(lightness=0.0, standard_error=0.0)


@pytest.fixture(scope="module")
def view() -> Study:
    found = answer_group(board(off=SCATTER), TARGET).view
    assert found is not None
    return found


def look(hours: float, lightness: float, **more: Any) -> Look:
    return Look(hours=hours, lightness=lightness, variance=0.09, target_lightness=48.0, **more)


def width(after: AfterLooks) -> float:
    assert after.low is not None
    assert after.high is not None
    return after.high - after.low


def test_a_look_at_the_piece_narrows_its_hours(view: Study) -> None:
    before = answer_group(board(off=SCATTER), TARGET).board.piece
    assert before is not None
    after = after_looks(view, [look(7.5, darkening(7.5))], settling=NO_SHIFT)
    assert width(after) < 0.5 * (before.high - before.low)
    assert after.hours == pytest.approx(9.27, rel=0.06)
    assert after.look_from <= after.due <= after.hours
    assert after.notes == ()


def test_a_second_look_narrows_them_further(view: Study) -> None:
    one = [look(6.5, darkening(6.5))]
    assert width(after_looks(view, [*one, look(8.3, darkening(8.3))], settling=NO_SHIFT)) < width(
        after_looks(view, one, settling=NO_SHIFT)
    )


def test_a_piece_darker_than_forecast_is_due_sooner(view: Study) -> None:
    dark, light = (after_looks(view, [look(6.0, darkening(6.0) + d)], settling=NO_SHIFT) for d in (-2.0, 2.0))
    assert dark.due < light.due
    assert dark.pace > 1.0 > light.pace
    assert dark.pace_low < dark.pace < dark.pace_high


def test_a_check_piece_narrows_less_than_the_piece(view: Study) -> None:
    own = after_looks(view, [look(7.5, darkening(7.5))], settling=NO_SHIFT)
    other = after_looks(view, [look(7.5, darkening(7.5), piece="offcut")], settling=NO_SHIFT)
    assert width(own) < 0.8 * width(other)
    assert any("check pieces" in note for note in other.notes)


def test_an_untold_settling_widens_the_hours_and_says_so(view: Study) -> None:
    told = after_looks(view, [look(7.5, darkening(7.5))], settling=NO_SHIFT)
    untold = after_looks(view, [look(7.5, darkening(7.5))])
    assert width(untold) > 1.5 * width(told)
    assert any("fresh from the vapour" in note for note in untold.notes)


def test_a_told_settling_is_taken_into_the_look(view: Study) -> None:
    settles = Shift(lightness=-1.5, standard_error=0.1)
    fresh = after_looks(view, [look(7.5, darkening(7.5) + 1.5)], settling=settles)
    settled = after_looks(view, [look(7.5, darkening(7.5))], settling=NO_SHIFT)
    assert fresh.due == pytest.approx(settled.due, rel=0.02)
    assert fresh.lightness == pytest.approx(settled.lightness, abs=0.1)


def test_the_target_in_the_looks_photo_makes_its_set_up_cancel(view: Study) -> None:
    shifted = Look(hours=7.5, lightness=darkening(7.5) - 2, variance=0.09, target_lightness=46.0)
    plain = look(7.5, darkening(7.5))
    assert after_looks(view, [shifted], settling=NO_SHIFT).due == after_looks(view, [plain], settling=NO_SHIFT).due


def test_without_the_target_in_the_photo_the_look_carries_an_untold_offset(view: Study) -> None:
    bare = Look(hours=7.5, lightness=darkening(7.5), variance=0.09)
    after = after_looks(view, [bare], settling=NO_SHIFT)
    assert width(after) > 1.5 * width(after_looks(view, [look(7.5, darkening(7.5))], settling=NO_SHIFT))
    assert any("another light" in note for note in after.notes)
    known = Look(hours=7.5, lightness=darkening(7.5) - 2, variance=0.09, setup=Shift(lightness=2.0, standard_error=0.2))
    assert after_looks(view, [known], settling=NO_SHIFT).notes == ()


def test_a_piece_past_the_target_is_due_at_once(view: Study) -> None:
    after = after_looks(view, [look(9.0, 45.0)], settling=NO_SHIFT)
    assert after.due == after.now_hours == 9.0
    assert after.p_past_now > 0.95
    assert after.lightness == pytest.approx(45.2, abs=0.5)


def test_a_look_that_nobody_would_expect_is_named(view: Study) -> None:
    after = after_looks(view, [look(5.0, 64.0)], settling=NO_SHIFT)
    assert after.surprise > 3
    assert any("lighter than the forecast" in note for note in after.notes)


def test_the_order_of_looks_does_not_matter(view: Study) -> None:
    looks = [look(6.5, 51.0), look(8.3, 49.2, piece="offcut"), look(7.5, 50.0)]
    assert after_looks(view, looks) == after_looks(view, looks[::-1])


def test_the_makers_own_odds_move_when_it_is_due(view: Study) -> None:
    bold, careful = (after_looks(view, [look(6.0, darkening(6.0))], Acting(due_odds=d), NO_SHIFT) for d in (0.5, 0.1))
    assert careful.due < bold.due == pytest.approx(bold.hours)


def test_a_look_needs_a_target_and_hours(view: Study) -> None:
    with pytest.raises(InputError, match="at least one look"):
        after_looks(view, [])
    with pytest.raises(InputError, match="more than 0 hours"):
        look(0.0, 60.0)
    without = answer_group(board(), None).view
    assert without is not None
    with pytest.raises(InputError, match="a target to compare"):
        after_looks(without, [look(6.0, 52.0)])


def test_a_target_out_of_reach_leaves_the_hours_open() -> None:
    far = answer_group(board(hours=(0, 2, 5, 10, 18, 30, 48)), Target(L=33.0)).view
    assert far is not None
    after = after_looks(
        far, [Look(hours=20.0, lightness=41.0, variance=0.09, target_lightness=33.0)], settling=NO_SHIFT
    )
    assert after.hours is None
    assert after.p_reach < 0.5


def test_pairs_tell_how_far_wood_settles_and_more_pairs_tell_it_better() -> None:
    one = [(reading(6.0, 52.0), reading(6.0, 50.5))]
    shift, surer = age_shift(one), age_shift(one * 4)
    assert -1.5 < shift.lightness < -1.2
    assert surer.standard_error < shift.standard_error < UNTOLD_SETTLING.standard_error
    assert age_shift([]) is UNTOLD_SETTLING


def test_a_raw_and_a_dark_sample_beside_the_look_tell_its_set_up() -> None:
    raw, dark = (reading(0.0, 66.0), reading(0.0, 65.0)), (reading(24.0, 40.0), reading(24.0, 41.0))
    middle = setup_shift([raw, dark], 53.0)
    assert middle.lightness == pytest.approx(0.0, abs=0.1)
    assert setup_shift([raw, dark], 65.0).lightness == pytest.approx(0.9, abs=0.25)
    assert setup_shift([raw, dark], 41.0).lightness == pytest.approx(-0.9, abs=0.25)
    assert middle.standard_error < setup_shift([raw], 53.0).standard_error < UNTOLD_SETUP.standard_error
    assert setup_shift([], 50.0) is UNTOLD_SETUP
