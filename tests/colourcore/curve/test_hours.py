"""The board's hours: what they say, and when they refuse to say."""

from __future__ import annotations

import dataclasses
import json
import math

import numpy as np
import pytest

from colourcore.curve.fit import Sample, Target
from colourcore.curve.hours import HoursToShade, Outcome, hours_to_shade
from colourcore.errors import InputError
from tests.colourcore.curve.boards import HOURS, SCATTER, TARGET, board


def numbers(answer: HoursToShade) -> list[float]:
    def walk(value: object) -> list[float]:
        if isinstance(value, dict):
            return [n for part in value.values() for n in walk(part)]
        if isinstance(value, list | tuple):
            return [n for part in value for n in walk(part)]
        return [float(value)] if isinstance(value, int | float) else []

    return walk(dataclasses.asdict(answer))


def test_the_hours_of_a_plain_curve_are_found_and_their_interval_holds_them() -> None:
    answer = hours_to_shade(board(), TARGET)
    truth = 9.0 * math.log(28 / 10)
    assert answer.outcome is Outcome.REACHED
    assert answer.hours == pytest.approx(truth, rel=0.03)
    assert answer.low is not None
    assert answer.high is not None
    assert answer.look_from is not None
    assert answer.low < answer.look_from < answer.hours < answer.high
    assert answer.low < truth < answer.high
    assert not answer.extrapolated
    assert answer.delta_e is not None
    assert answer.delta_e < 0.6


def test_the_order_of_the_samples_does_not_change_a_byte() -> None:
    samples = board(off=SCATTER)
    first = hours_to_shade(samples, TARGET)
    assert repr(first) == repr(hours_to_shade(samples[::-1], TARGET))
    assert repr(first) == repr(hours_to_shade(samples[3:] + samples[:3], TARGET))


def test_an_answer_can_be_written_as_plain_json_without_nan() -> None:
    for target in (TARGET, Target(L=20.0), Target(L=90.0), None):
        answer = hours_to_shade(board(), target)
        json.dumps(dataclasses.asdict(answer), allow_nan=False)
        assert all(math.isfinite(n) for n in numbers(answer))


def test_the_curve_runs_from_raw_to_the_last_sample_and_never_lightens() -> None:
    curve = hours_to_shade(board(off=(0.5, -0.9, 0.8, 0.9, -0.9, 0.9)), TARGET).curve
    assert len(curve.hours) >= 20
    assert curve.hours[0] == 0
    assert curve.hours[-1] >= 24
    assert np.all(np.diff(curve.hours) > 0)
    for line in (curve.L, curve.low, curve.high):
        assert np.all(np.diff(line) <= 0)
    assert np.all(np.diff(curve.p_past) >= 0)
    assert np.all(np.array(curve.low) < curve.L)
    assert np.all(np.array(curve.L) < curve.high)


def test_a_target_below_where_the_wood_levels_off_is_not_reached() -> None:
    answer = hours_to_shade(board(hours=(0, 2, 6, 12, 24, 48)), Target(L=30.0, a=3.0, b=7.0))
    assert answer.outcome is Outcome.NOT_REACHED
    assert (answer.hours, answer.low, answer.high, answer.look_from) == (None,) * 4
    assert answer.p_reach is not None
    assert answer.p_reach < 0.5
    assert answer.delta_e is not None
    assert answer.delta_e > 4
    assert "Not with this wood and charge" in answer.notes[0]


def test_hours_beyond_the_last_sample_are_said_to_be_extrapolated() -> None:
    answer = hours_to_shade(board(hours=(0, 1, 2, 3, 4)), TARGET)
    assert answer.outcome is Outcome.REACHED
    assert answer.extrapolated
    assert any("beyond the last sample" in note for note in answer.notes)


def test_a_tail_that_never_arrives_is_left_open_with_a_note() -> None:
    answer = hours_to_shade(board(hours=(0, 2, 4, 8, 12)), Target(L=39.5))
    assert answer.outcome is Outcome.REACHED
    assert answer.high is None
    assert any("levels off" in note for note in answer.notes)


def test_a_target_as_light_as_the_raw_wood_has_its_low_end_at_the_start() -> None:
    answer = hours_to_shade(board(), Target(L=65.6))
    assert answer.outcome is Outcome.REACHED
    assert answer.low == 0


@pytest.mark.parametrize("count", [0, 1, 2, 3])
def test_fewer_than_four_exposures_cannot_say(count: int) -> None:
    answer = hours_to_shade(board(hours=HOURS[:count]), TARGET)
    assert answer.outcome is Outcome.CANNOT_SAY
    assert answer.p_reach is None
    assert "four or more different" in answer.notes[0]
    assert bool(answer.curve.hours) == (count >= 2)


def test_four_samples_at_three_exposures_cannot_say() -> None:
    assert hours_to_shade(board(hours=(0, 3, 3, 9)), TARGET).outcome is Outcome.CANNOT_SAY


def test_a_target_lighter_than_raw_cannot_say() -> None:
    answer = hours_to_shade(board(), Target(L=72.0))
    assert answer.outcome is Outcome.CANNOT_SAY
    assert "only darkens" in answer.notes[0]


def test_without_a_target_the_curve_is_still_given() -> None:
    answer = hours_to_shade(board(), None)
    assert answer.outcome is Outcome.CANNOT_SAY
    assert answer.curve.L
    assert answer.curve.p_past == ()
    assert "no target" in answer.notes[0]


def test_samples_that_get_lighter_cannot_say() -> None:
    samples = [dataclasses.replace(s, hours=24 - s.hours) for s in board()]
    answer = hours_to_shade(samples, TARGET)
    assert answer.outcome is Outcome.CANNOT_SAY
    assert "lighter" in answer.notes[0]


def test_a_wider_confidence_gives_a_wider_interval_and_moves_nothing_else() -> None:
    samples = board(off=SCATTER)
    narrow, wide = (hours_to_shade(samples, TARGET, confidence=c) for c in (0.5, 0.95))
    assert narrow.hours == wide.hours
    assert narrow.look_from == wide.look_from
    assert narrow.low is not None
    assert wide.low is not None
    assert wide.low < narrow.low


@pytest.mark.parametrize("chance", [0.0, 1.0, -0.1, math.nan])
def test_a_confidence_that_is_no_probability_is_refused(chance: float) -> None:
    with pytest.raises(InputError, match="between 0 and 1"):
        hours_to_shade(board(), TARGET, confidence=chance)


@pytest.mark.parametrize("hours", [-1.0, math.nan, math.inf])
def test_hours_that_are_none_are_refused(hours: float) -> None:
    with pytest.raises(InputError, match="hours of 0 or more"):
        Sample(hours=hours, lab=(60, 5, 15))


@pytest.mark.parametrize("lightness", [-0.1, 100.1, math.nan])
def test_a_lightness_off_the_scale_is_refused(lightness: float) -> None:
    with pytest.raises(InputError, match=r"L\* from 0 to 100"):
        Sample(hours=1, lab=(lightness, 5, 15))
