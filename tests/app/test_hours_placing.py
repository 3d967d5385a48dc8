from __future__ import annotations

import itertools

from hypothesis import given
from hypothesis import strategies as st

from app.models.hours_axis import Axis, Spread
from app.models.hours_placing import Placed, Standing, all_stand, place_photographs

WIDTH, DEPTH = 68.0, 92.0
HOURS = st.lists(st.floats(0.0, 48.0).map(lambda h: round(h, 1)), min_size=1, max_size=12)


def placed(hours: list[float], spread: Spread = Spread.EARLY_WIDE) -> tuple[Placed, ...]:
    axis = Axis(spread=spread, last_hours=max(1.0, *hours), first_x=34.0, last_x=872.0)
    return place_photographs([Standing(key=i, x=axis.x(h)) for i, h in enumerate(hours)], WIDTH, DEPTH)


def meet(one: Placed, two: Placed) -> bool:
    along = one.left < two.right - 1e-6 and two.left < one.right - 1e-6
    away = one.near < two.far - 1e-6 and two.near < one.far - 1e-6
    return along and away


@given(hours=HOURS, spread=st.sampled_from(list(Spread)))
def test_no_photograph_lies_on_another(hours: list[float], spread: Spread) -> None:
    found = placed(hours, spread)
    assert sorted(one.key for one in found) == list(range(len(hours)))
    crowded = [one for one in found if one.width < 10.0]
    if crowded:  # more samples than a row can hold: strips are as narrow as they get
        return
    assert not any(meet(a, b) for a, b in itertools.combinations(found, 2) if a.x != b.x)


@given(hours=HOURS, spread=st.sampled_from(list(Spread)))
def test_every_photograph_stands_over_its_own_hour(hours: list[float], spread: Spread) -> None:
    for one in placed(hours, spread):
        repeats = [other for other in placed(hours, spread) if other.x == one.x]
        assert min(r.left for r in repeats) <= one.x <= max(r.right for r in repeats)
        assert 0.0 <= one.near < one.far <= 1.0 + 1e-9


def test_where_all_stand_apart_all_stand_on_the_lath() -> None:
    assert not any(one.leader for one in placed([0.0, 1.0, 2.2, 4.0, 6.0, 9.0, 12.0, 18.0, 24.0]))
    assert all(one.near == 0.0 for one in placed([0.0, 4.0, 24.0]))
    assert all(one.far == 1.0 for one in placed([0.0, 4.0, 24.0]))


def test_of_two_that_would_touch_the_later_steps_up_and_both_get_less_deep() -> None:
    low, high = placed([1.0, 1.6, 24.0])[:2]
    assert not low.leader
    assert high.leader
    assert high.near > low.far
    assert abs((low.far - low.near) - (high.far - high.near)) < 1e-9
    assert low.far - low.near < 0.5


@given(hours=HOURS, spread=st.sampled_from(list(Spread)))
def test_a_leader_passes_beside_the_wood_below_it(hours: list[float], spread: Spread) -> None:
    found = placed(hours, spread)
    for high in (one for one in found if one.leader and one.width > 10.0):
        for low in (one for one in found if one.near < high.near and one.x != high.x and one.width > 10.0):
            assert not low.left < high.x < low.right


def test_two_samples_minutes_apart_step_up_without_a_line_across_the_first() -> None:
    low, high = placed([4.0, 4.3, 24.0])[:2]
    assert high.leader
    assert low.right < high.x


def test_samples_of_one_hour_share_its_width_as_strips() -> None:
    repeats = [one for one in placed([0.0, 6.0, 6.0, 6.0, 24.0]) if one.key in (1, 2, 3)]
    assert [round(one.width, 6) for one in repeats] == [round(WIDTH / 3, 6)] * 3
    assert [round(a.right - b.left, 6) for a, b in itertools.pairwise(sorted(repeats, key=lambda p: p.left))] == [0, 0]


def test_photographs_a_little_narrower_may_all_stand() -> None:
    assert not all_stand([0.0, 70.0, 140.0], WIDTH)
    assert all_stand([0.0, 70.0, 140.0], 0.9 * WIDTH)
