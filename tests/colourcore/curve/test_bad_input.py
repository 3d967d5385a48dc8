"""What a maker may bring by mistake: one of three outcomes, with a note that says why and what would help."""

from __future__ import annotations

import dataclasses
import json
import math
import warnings

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from colourcore.curve.answer import answer_group
from colourcore.curve.fit import Sample, Target
from colourcore.curve.hours import HoursToShade
from colourcore.curve.outcome import Outcome
from tests.colourcore.curve.boards import TARGET, board, darkening, reading


def answer(samples: list[Sample], target: Target | None = TARGET) -> HoursToShade:
    return answer_group(samples, target).board


def said(found: HoursToShade, words: str) -> bool:
    return any(words in note for note in found.notes)


def test_fewer_than_four_times_cannot_say_and_asks_for_one_more() -> None:
    found = answer(board(hours=(0, 4, 4, 16)))
    assert found.outcome is Outcome.CANNOT_SAY
    assert said(found, "four or more different exposures")
    assert found.next_sample is not None


def test_samples_all_after_the_levelling_off_cannot_say_when_it_came() -> None:
    found = answer(board(hours=(40, 55, 70, 100), off=(0.3, -0.2, 0.2, 0.0)))
    assert found.outcome is Outcome.CANNOT_SAY
    assert said(found, "no raw sample was read")
    assert said(found, "add shorter exposures")


def test_raw_wood_and_samples_after_the_levelling_off_leave_a_wide_guess_that_says_so() -> None:
    found = answer(board(hours=(0, 41, 55, 70, 100), off=(0, 0.3, -0.2, 0.2, 0)))
    assert found.outcome is Outcome.REACHED
    assert found.high > 5 * found.low
    assert said(found, "little more than a guess")


def test_readings_that_rise_beyond_noise_are_named() -> None:
    samples = board(hours=(0, 2, 4, 8, 16, 30))
    swapped = [
        *samples[:3],
        dataclasses.replace(samples[5], hours=8.0),
        samples[4],
        dataclasses.replace(samples[3], hours=30.0),
    ]
    found = answer(swapped)
    assert found.outcome in (Outcome.REACHED, Outcome.NOT_REACHED)
    assert said(found, "Were two swapped")


def test_lightening_instead_of_darkening_cannot_say() -> None:
    found = answer([dataclasses.replace(s, hours=24 - s.hours) for s in board()])
    assert found.outcome is Outcome.CANNOT_SAY
    assert said(found, "in the reverse order")


def test_hours_that_look_like_minutes_are_asked_about_and_not_changed() -> None:
    found = answer(board(hours=(0, 30, 60, 120, 240, 480), tau=200))
    assert said(found, "Are they minutes?")
    assert found.hours == pytest.approx(200 * math.log(2.8), rel=0.06)
    assert not said(answer(board(hours=(0, 2, 5, 10, 20, 40))), "minutes")
    assert said(answer(board(hours=(0, 24, 96, 300, 1000), tau=200)), "Are they minutes?")


def test_a_target_lighter_than_raw_cannot_say() -> None:
    found = answer(board(), Target(L=71.0))
    assert found.outcome is Outcome.CANNOT_SAY
    assert said(found, "only darkens")


def test_samples_that_scatter_by_two_or_more_say_so() -> None:
    found = answer(board(hours=(0, 2, 4, 8, 16, 30), off=(3, -3, 3.5, -3, 2.5, -3)))
    assert found.outcome is Outcome.REACHED
    assert said(found, "The samples scatter by about")
    assert found.high > 1.5 * found.low


def test_a_dark_target_on_the_flat_of_the_curve_is_said_to_cost_many_hours() -> None:
    found = answer(board(hours=(0, 2, 5, 10, 20, 40, 60)), Target(L=38.6))
    assert said(found, "changes slowly")


def test_samples_of_one_shade_and_no_raw_cannot_say() -> None:
    found = answer([reading(h, 50.0) for h in (1.0, 2.0, 3.0, 5.0)], Target(L=50.0))
    assert found.outcome is Outcome.CANNOT_SAY


def test_wood_that_does_not_darken_is_not_reached() -> None:
    found = answer(board(hours=(0, 2, 4, 8, 16, 30), limit=65.8), Target(L=60.0))
    assert found.outcome is Outcome.NOT_REACHED


def test_many_samples_are_answered() -> None:
    hours = [0.0, *(1.1**i for i in range(45))]
    found = answer([reading(h, darkening(h)) for h in hours])
    assert found.hours == pytest.approx(9.27, rel=0.03)


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    st.lists(
        st.tuples(
            st.one_of(st.just(0.0), st.floats(1e-3, 2000)), st.floats(0, 100), st.floats(-100, 100), st.floats(0, 5)
        ),
        max_size=9,
    ),
    st.one_of(st.none(), st.floats(0, 100)),
)
def test_whatever_is_brought_the_answer_is_whole_and_without_nan(
    rows: list[tuple[float, float, float, float]], wanted: float | None
) -> None:
    samples = [
        Sample(hours=h, lab=(L, a, -a), covariance=((e, 0, 0), (0, e, 0), (0, 0, e)), piece="p" if e > 4 else "")
        for h, L, a, e in rows
    ]
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        found = answer(samples, None if wanted is None else Target(L=wanted, a=0.0, b=0.0))
    json.dumps(dataclasses.asdict(found), allow_nan=False)
    if found.outcome is Outcome.REACHED:
        assert 0 <= found.low <= found.hours
        assert found.high is None or found.high >= found.hours
    else:
        assert (found.hours, found.low, found.high, found.look_from) == (None,) * 4
    if found.outcome is not Outcome.REACHED:
        assert found.notes
