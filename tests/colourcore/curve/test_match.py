"""The whole colour: right lightness with a wrong hue is seen, and ΔE00 is used where it is meant to be."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from colourcore.colour.difference import split_difference
from colourcore.curve.answer import answer_group
from colourcore.curve.fit import Target
from colourcore.curve.match import MEANT_FOR, ColourMatch
from colourcore.curve.tolerance import Tolerance, Window
from colourcore.errors import InputError
from tests.colourcore.curve.boards import HOURS, SCATTER, TARGET, board, darkening, reading


def match(target: Target) -> tuple[ColourMatch, tuple[str, ...]]:
    answer = answer_group(board(off=SCATTER), target).board
    assert answer.colour is not None
    return answer.colour, answer.notes


def test_a_target_on_the_curve_is_met_in_all_of_its_colour() -> None:
    found, notes = match(TARGET)
    assert found.when_light_agrees is not None
    assert found.when_light_agrees.delta_e < 1
    assert found.when_light_agrees.low <= found.when_light_agrees.delta_e <= found.when_light_agrees.high
    assert not any("off" in note for note in notes)


def test_a_right_lightness_with_a_wrong_hue_is_warned_about() -> None:
    found, notes = match(Target(L=48.0, a=9.0, b=12.6))
    assert found.when_light_agrees is not None
    assert abs(found.when_light_agrees.lightness) < 0.5
    assert found.when_light_agrees.delta_e > 3
    assert any("When the lightness agrees" in note and "greener by 4" in note for note in notes)


def test_a_finish_that_adds_yellow_is_offered_only_where_yellow_is_short() -> None:
    _, short = match(Target(L=48.0, a=5.0, b=18.0))
    _, rich = match(Target(L=48.0, a=3.5, b=7.5))
    assert any("may close part" in note for note in short)
    assert any("would not mend" in note for note in rich)


def test_ciede2000_is_left_out_where_it_is_not_meant_for() -> None:
    found, _ = match(TARGET)
    assert found.delta_e[0] is None
    near = [value for value in found.delta_e if value is not None]
    assert near
    assert max(near) < MEANT_FOR


def test_the_parts_add_up_to_the_plain_difference_at_every_hour() -> None:
    answer = answer_group(board(off=SCATTER), TARGET).board
    found = answer.colour
    assert found is not None
    for i in range(0, len(found.hours), 7):
        part = split_difference((answer.curve.L[i], answer.curve.a[i], answer.curve.b[i]), (48.0, 4.2, 12.6))
        got = (found.lightness[i], found.chroma[i], found.hue[i])
        assert got == pytest.approx((part.lightness, part.chroma, part.hue), abs=1e-9)


def test_a_colour_that_strays_from_lightness_is_followed_where_the_readings_insist() -> None:
    # a* rises by 4 and falls back while lightness only falls
    bump = [4 * np.exp(-((np.log1p(h) - 1.5) ** 2)) for h in HOURS]
    samples = [
        replace(reading(h, darkening(h)), lab=(darkening(h), 5.0 + d, 15.0)) for h, d in zip(HOURS, bump, strict=True)
    ]
    curve = answer_group(samples, TARGET).board.curve
    at = np.interp(HOURS, curve.hours, curve.a)
    np.testing.assert_allclose(at, 5.0 + np.array(bump), atol=0.6)


def test_a_target_of_lightness_alone_has_no_colour_to_match() -> None:
    assert answer_group(board(), Target(L=48.0)).board.colour is None


def window(target: Target = TARGET, tolerance: Tolerance | None = None) -> Window:
    found = answer_group(board(off=SCATTER), target, tolerance=tolerance).board.window
    assert found is not None
    return found


def test_the_window_holds_the_hours_and_a_wider_tolerance_holds_a_narrower_one() -> None:
    narrow, wide = window(tolerance=Tolerance(delta_e=1.0)), window(tolerance=Tolerance(delta_e=3.0))
    assert wide.from_hours < narrow.from_hours < 9.27 < narrow.to_hours < wide.to_hours
    assert narrow.best_odds < wide.best_odds <= 1
    assert np.all(np.array(narrow.p_within) <= np.array(wide.p_within) + 1e-12)


def test_the_window_of_lightness_is_where_the_curve_says() -> None:
    # two units of the board's own scatter, in L*, off a curve that falls by 28/9·exp(−t/9) an hour
    found = window(tolerance=Tolerance(delta_e=None, scatters=2.0))
    early, late = darkening(found.from_hours) - 48.0, 48.0 - darkening(found.to_hours)
    assert early == pytest.approx(found.half_width, abs=0.5)
    assert late == pytest.approx(found.half_width, abs=0.5)


def test_a_colour_beyond_the_tolerance_has_no_window() -> None:
    found = window(Target(L=48.0, a=12.0, b=25.0), Tolerance(delta_e=2.0))
    assert found.from_hours is None
    assert found.to_hours is None
    assert found.half_width == 0
    assert found.best_odds == 0


def test_a_tolerance_of_nothing_is_refused() -> None:
    with pytest.raises(InputError, match="tolerance above 0"):
        Tolerance(delta_e=0.0)
    with pytest.raises(InputError, match="tolerance above 0"):
        Tolerance(delta_e=None, scatters=-1.0)
