from __future__ import annotations

import itertools

from hypothesis import given
from hypothesis import strategies as st

from app.models.hours_axis import Axis, Spread, next_stop, rounded_down, ticks
from app.models.hours_telling import telling_hours

SPREADS = st.sampled_from(list(Spread))
ENDS = st.floats(0.5, 400.0)


def width(text: str, named: bool) -> float:
    return (9.0 if named else 8.0) * len(text)


@given(spread=SPREADS, end=ENDS, share=st.floats(0.0, 1.0))
def test_the_hour_read_off_a_place_is_the_hour_that_stands_there(spread: Spread, end: float, share: float) -> None:
    axis = Axis(spread=spread, last_hours=end, first_x=200.0, last_x=1072.0)
    hours = share * end
    assert abs(axis.hours(axis.x(hours)) - hours) < 1e-9 * max(1.0, end) + 1e-9


@given(spread=SPREADS, end=ENDS)
def test_a_hand_off_the_end_of_the_rule_stays_on_it(spread: Spread, end: float) -> None:
    axis = Axis(spread=spread, last_hours=end, first_x=200.0, last_x=1072.0)
    assert axis.hours(-50.0) == 0.0
    assert axis.hours(5000.0) == end


def test_early_hours_stand_wider_apart_than_late_ones_unless_hours_are_even() -> None:
    wide = Axis(last_hours=24.0, first_x=0.0, last_x=100.0)
    even = Axis(spread=Spread.EVEN, last_hours=24.0, first_x=0.0, last_x=100.0)
    assert wide.x(1.0) - wide.x(0.0) > 3 * (wide.x(24.0) - wide.x(22.0))
    assert abs((even.x(1.0) - even.x(0.0)) - (even.x(24.0) - even.x(23.0))) < 1e-9


@given(spread=SPREADS, end=ENDS, hours=st.lists(st.floats(0.0, 400.0), min_size=1, max_size=12))
def test_no_two_hours_on_the_rule_are_written_into_each_other(spread: Spread, end: float, hours: list[float]) -> None:
    last = max(end, *hours)
    axis = Axis(spread=spread, last_hours=last, first_x=34.0, last_x=872.0)
    found = ticks(axis, hours, 906.0, width)
    spans = sorted((t.x - width(t.label, t.named) / 2, t.x + width(t.label, t.named) / 2) for t in found if t.label)
    assert all(before[1] <= after[0] for before, after in itertools.pairwise(spans))
    assert all(end_x <= 906.0 for _, end_x in spans)


@given(hours=st.lists(st.integers(0, 400), min_size=1, max_size=12))
def test_every_sample_has_its_stroke_and_the_first_and_last_their_names(hours: list[int]) -> None:
    axis = Axis(last_hours=max(1.0, *hours), first_x=34.0, last_x=872.0)
    found = ticks(axis, hours, 906.0, width)
    named = {t.hours for t in found if t.named}
    assert named == {float(h) for h in hours}
    labels = {t.hours for t in found if t.label}
    assert min(hours) in labels
    assert max(hours) in labels or axis.x(max(hours)) - axis.x(min(hours)) < 40


@given(hours=st.floats(0.0, 500.0))
def test_an_hour_to_act_on_is_never_said_too_late(hours: float) -> None:
    said = rounded_down(hours)
    assert said <= hours + 1e-6
    assert hours - said < 5.0 / 60.0 + 1e-6


def test_five_minutes_kept_as_a_binary_fraction_stay_themselves() -> None:
    assert all(round(60 * rounded_down(5 * step / 60)) == 5 * step for step in range(2000))


def test_the_keys_walk_from_sample_to_sample_and_stop_at_the_ends() -> None:
    assert next_stop([0.0, 4.0, 9.0], 4.5, forward=True) == 9.0
    assert next_stop([0.0, 4.0, 9.0], 9.0, forward=True) is None
    assert next_stop([0.0, 4.0, 9.0], 0.0, forward=False) is None


@given(
    present=st.lists(st.sampled_from([0.0, 0.5, 1.0, 2.0, 4.0, 8.0, 24.0, 72.0]), max_size=3), more=st.integers(1, 4)
)
def test_wanted_samples_are_new_hours_and_raw_wood_is_asked_for_first(present: list[float], more: int) -> None:
    found = telling_hours(present, more)
    assert len(found) == more
    assert not set(found) & set(present)
    assert list(found) == sorted(found)
    assert 0.0 in (*present, *found)


def test_what_the_fit_asks_for_comes_first_unless_it_is_there_already() -> None:
    assert 5.5 in telling_hours([0.0, 24.0], 2, 5.5)
    assert 8.0 not in telling_hours([0.0, 8.0, 24.0], 1, 8.0)
    assert telling_hours([0.0, 2.0, 8.0, 24.0], 0, 5.0) == ()
