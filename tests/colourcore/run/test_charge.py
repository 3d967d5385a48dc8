"""What may be proposed, what is only computed, and where there is no plan."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from colourcore.errors import InputError
from colourcore.run.ammonia import FLAMMABLE_FROM, liquid_density
from colourcore.run.charge import (
    PROPOSED_SHARE,
    Verdict,
    ammonia_per_m3,
    most_litres,
    plan_charge,
    propose_charge,
)
from colourcore.run.conditions import Conditions, Pour, Strength

STRONG = Strength(low=0.28, high=0.28)


def poured(litres: float, space_m3: float = 1.0, strength: Strength = STRONG) -> Conditions:
    return Conditions(space_m3=space_m3, pours=(Pour(volume_litres=litres, strength=strength),))


@pytest.mark.parametrize(
    ("litres", "verdict"),
    [
        (0.10, Verdict.QUARTER),  # 3.6 % if all evaporates
        (0.12, Verdict.WARNING),  # 4.3 %
        (0.22, Verdict.STRONG_WARNING),  # 7.8 %
        (0.43, Verdict.NO_PLAN),  # 15.3 %
    ],
)
def test_a_stated_charge_is_shown_for_what_it_is(litres: float, verdict: Verdict) -> None:
    assert plan_charge(poured(litres)).verdict is verdict


def test_pours_since_the_last_airing_add_up() -> None:
    twice = Conditions(
        space_m3=1.0,
        pours=(Pour(volume_litres=0.1, strength=STRONG), Pour(volume_litres=0.1, strength=STRONG, at_hours=8)),
    )
    once = plan_charge(poured(0.2))
    assert plan_charge(twice).share_if_all_evaporates == pytest.approx(once.share_if_all_evaporates)


def test_a_range_of_strength_counts_at_its_upper_end() -> None:
    ranged = plan_charge(poured(0.11, strength=Strength(low=0.10, high=0.30)))
    assert ranged.verdict is Verdict.WARNING
    assert ranged.grams_per_m3[0] < 0.4 * ranged.grams_per_m3[1]


def test_the_wood_takes_its_room_from_the_air() -> None:
    full = Conditions(space_m3=1.0, wood_m3=0.5, pours=poured(0.1).pours)
    assert plan_charge(full).grams_per_m3[1] == pytest.approx(2 * plan_charge(poured(0.1)).grams_per_m3[1])
    with pytest.raises(InputError, match="tent larger than the piece"):
        plan_charge(Conditions(space_m3=0.4, wood_m3=0.5, pours=full.pours))


@given(
    st.floats(0.05, 30),
    st.floats(0.02, 0.4),
    st.floats(1, 2),
    st.floats(0, 45),
    st.one_of(st.none(), st.floats(1, 500)),
    st.floats(0, 0.05),
)
def test_no_proposal_passes_a_quarter_of_what_can_burn(
    space: float, low: float, ratio: float, temperature: float, wanted: float | None, before: float
) -> None:
    strength = Strength(low=low, high=min(0.4, low * ratio))
    pours = (Pour(volume_litres=before * space, strength=strength),) if before > 1e-4 else ()
    tent = Conditions(space_m3=space, temperature_c=temperature, pours=pours)
    pour = propose_charge(tent, strength, wanted)
    if pour is None or pour.volume_litres <= 0:
        return
    plan = plan_charge(Conditions(space_m3=space, temperature_c=temperature, pours=(*pours, pour)))
    assert plan.share_if_all_evaporates[1] <= PROPOSED_SHARE * (1 + 1e-6)
    assert plan.verdict is Verdict.QUARTER


def test_the_tests_own_grams_are_carried_over_where_they_may_be() -> None:
    tub = poured(0.006, 0.06)
    grams = ammonia_per_m3(tub)[1]
    pour = propose_charge(Conditions(space_m3=1.08), STRONG, grams)
    assert pour is not None
    run = Conditions(space_m3=1.08, pours=(pour,))
    assert ammonia_per_m3(run)[1] == pytest.approx(grams, rel=0.01)


def test_nothing_is_proposed_once_the_quarter_is_used_up() -> None:
    assert propose_charge(poured(0.2), STRONG) is None
    assert most_litres(Conditions(space_m3=1.0), STRONG, poured(0.2).pours) == 0


def test_a_weak_bottle_is_told_with_the_way_to_judge_it() -> None:
    (note,) = plan_charge(poured(0.1, 0.1, Strength(low=0.05, high=0.05))).notes
    assert "too weak" in note  # common practice, no source
    assert "4.5 kPa" in note  # Pátek, Klomfar 1995 at 20 °C


def test_a_weighed_volume_tells_the_strength_as_a_range() -> None:
    density = liquid_density(0.2)
    found = Strength.weighed(100 * density, 100.0, grams_error=0.5)
    assert found.low < 0.2 < found.high


@pytest.mark.parametrize(("low", "high"), [(0.0, 0.1), (0.3, 0.45), (0.3, 0.2)])
def test_strengths_that_cannot_be_are_told(low: float, high: float) -> None:
    with pytest.raises(InputError, match="a strength of more than 0 and at most 40 %"):
        Strength(low=low, high=high)


def test_the_upper_bound_is_a_share_of_the_limit_itself() -> None:
    plan = plan_charge(poured(0.43))
    assert plan.share_if_all_evaporates[1] >= FLAMMABLE_FROM
    assert plan.share_at_balance[1] < plan.share_if_all_evaporates[1]


def test_a_large_pour_takes_more_dishes() -> None:
    assert plan_charge(poured(0.3, 10)).dishes == 1
    assert plan_charge(poured(1.0, 10)).dishes == 3
