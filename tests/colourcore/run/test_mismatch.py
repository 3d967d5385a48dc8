"""Where run and test differ: it is shown with a rough band, and no hour is turned into another."""

from __future__ import annotations

from dataclasses import replace

import pytest

from colourcore.run.charge import match_test, way_out
from colourcore.run.conditions import Conditions, Pour, Room, Strength
from colourcore.run.mismatch import ADVICE, fastest_pace, mismatches
from colourcore.run.spill import Opening, spill

STRONG = Strength(low=0.28, high=0.28)
TUB = Conditions(space_m3=0.06, temperature_c=18, pours=(Pour(volume_litres=0.006, strength=STRONG),))
TENT = Conditions(space_m3=1.08, temperature_c=18, pours=(Pour(volume_litres=0.108, strength=STRONG),))


def differing(run: Conditions, test: Conditions = TUB) -> list[str]:
    return [one.what for one in mismatches(test, run)]


def test_a_run_like_its_test_has_nothing_to_tell() -> None:
    assert mismatches(TUB, TENT) == ()
    assert fastest_pace(()) == 1.0


@pytest.mark.parametrize(
    ("changed", "what"),
    [
        ({"temperature_c": 26.0}, "warmth"),
        ({"pours": (Pour(volume_litres=0.06, strength=STRONG),)}, "charge"),
        ({"pours": (Pour(volume_litres=0.28, strength=Strength(low=0.1, high=0.1)),)}, "strength"),
        ({"pours": (TENT.pours[0], Pour(volume_litres=0.001, strength=STRONG, at_hours=8))}, "renewals"),
        ({"sealed": False}, "leak"),
        ({"openings_hours": (4.0,)}, "leak"),
    ],
)
def test_each_difference_is_told(changed: dict[str, object], what: str) -> None:
    assert differing(replace(TENT, **changed)) == [what]  # type: ignore[arg-type] - fields of the value


def test_a_load_that_differs_is_told_where_both_are_known() -> None:
    test, run = replace(TUB, wood_area_m2=0.2), replace(TENT, wood_area_m2=1.0)
    assert differing(run, test) == ["load"]
    assert differing(run) == []


def test_warmth_has_a_rough_band_from_no_effect_on_and_says_what_it_is_worth() -> None:
    (warmer,) = mismatches(TUB, replace(TENT, temperature_c=28.0))
    assert (warmer.pace_low, warmer.pace_high) == (1.0, 3.0)
    assert "rough band of its pace 1.0 to 3.0" in warmer.sentence
    (cooler,) = mismatches(TUB, replace(TENT, temperature_c=8.0))
    assert cooler.pace_high == 1.0
    assert "no measurement" in ADVICE
    assert "hours" in ADVICE


def test_a_strength_known_as_a_range_only_makes_a_band() -> None:
    ranged = Strength(low=0.20, high=0.36)
    (charge,) = mismatches(TUB, replace(TENT, pours=(Pour(volume_litres=0.108, strength=ranged),)))
    assert charge.what == "charge"
    assert "ranges only" in charge.sentence


def test_a_test_within_a_quarter_is_matched_pour_by_pour() -> None:
    renewed = replace(TUB, pours=tuple(Pour(volume_litres=0.002, strength=STRONG, at_hours=h) for h in (0, 8)))
    found = match_test(renewed, Conditions(space_m3=1.08, temperature_c=18), STRONG)
    assert found.matches
    assert [pour.at_hours for pour in found.pours] == [0, 8]
    assert found.pours[0].volume_litres == pytest.approx(0.036, abs=0.001)


def test_a_test_past_a_quarter_is_not_matched_by_the_tool() -> None:
    much = replace(TUB, pours=(Pour(volume_litres=0.012, strength=STRONG),))
    found = match_test(much, Conditions(space_m3=1.08), STRONG, run_hours=9)
    assert not found.matches
    assert found.pours[0].volume_litres < 0.115
    assert found.wanted_pours[0].volume_litres == pytest.approx(0.216, abs=0.002)
    assert "new samples" in found.notes[0]
    assert "renews" in found.notes[1]  # common practice, no source


def test_the_way_out_of_too_much_is_a_bigger_tent_or_less_and_new_samples() -> None:
    much = Conditions(space_m3=1.0, pours=(Pour(volume_litres=0.5, strength=STRONG),))
    found = way_out(much)
    bigger = replace(much, space_m3=found.tent_m3)
    assert way_out(bigger).tent_m3 == pytest.approx(found.tent_m3)
    assert found.tent_m3 == pytest.approx(1.0 * 17.8 / 3.75, rel=0.01)  # all evaporated: 17.8 % (worked out by hand)
    assert "new samples" in found.sentences[1]
    full = way_out(much, earlier=much.pours)
    assert full.litres == 0
    assert "aired" in full.sentences[1]


@pytest.mark.parametrize(
    ("room_m3", "opening"), [(50, Opening.FROM_OUTSIDE), (145, Opening.FROM_OUTSIDE), (200, Opening.BY_HAND)]
)
def test_nobody_opens_by_hand_what_no_cartridge_serves_for(room_m3: float, opening: Opening) -> None:
    found = spill(TENT, Room(space_m3=room_m3, air_changes_per_hour=3))
    assert found.opening is opening
    assert ("by hand only by somebody dressed" in found.sentence) == (opening is Opening.BY_HAND)


def test_an_unknown_room_counts_as_too_small() -> None:
    found = spill(TENT, None)
    assert (found.ppm, found.opening) == (None, Opening.FROM_OUTSIDE)
    assert "not known" in found.sentence


def test_what_is_loose_counts_at_the_strengths_upper_end() -> None:
    room = Room(space_m3=160, air_changes_per_hour=3)
    assert spill(TENT, room).opening is Opening.BY_HAND
    unsure = replace(TENT, pours=(Pour(volume_litres=0.108, strength=Strength(low=0.2, high=0.36)),))
    assert spill(unsure, room).opening is Opening.FROM_OUTSIDE
