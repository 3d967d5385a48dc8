"""The cautions, held against the published figures they quote and against what must not be said."""

from __future__ import annotations

import re
from itertools import pairwise

import pytest

from colourcore.run.cautions import (
    CARTRIDGE_LIMIT_PPM,
    CAUTIONS,
    DANGER_TO_LIFE_PPM,
    EXPOSURE_LIMITS,
    FLAMMABLE_HIGH_PERCENT,
    FLAMMABLE_LOW_PERCENT,
    Moment,
    cautions_at,
    pinned_cautions,
)

EVERYTHING = " ".join(f"{one.lead} {one.sentence} {one.pinned}" for one in CAUTIONS)


def caution(key: str) -> str:
    return next(f"{one.lead} {one.sentence}" for one in CAUTIONS if one.key == key)


def test_every_moment_of_the_work_has_a_caution() -> None:
    assert all(cautions_at(moment) for moment in Moment)
    assert sum(len(cautions_at(moment)) for moment in Moment) == len(CAUTIONS)


def test_each_caution_has_a_key_of_its_own_and_whole_sentences() -> None:
    assert len({one.key for one in CAUTIONS}) == len(CAUTIONS)
    for one in CAUTIONS:
        assert one.lead[0].isupper()
        assert one.sentence.endswith(".")
        assert not one.pinned or one.pinned.endswith(".")


def test_nothing_is_declared_to_be_without_danger() -> None:
    assert not re.search(r"\bsafe(ly|r|st)?\b", EVERYTHING, re.IGNORECASE)
    assert "!" not in EVERYTHING


def test_exposure_limits_are_those_their_issuers_state() -> None:
    # EU 2000/39/EC: 20 ppm; NIOSH Pocket Guide: REL 25, STEL 35, OSHA PEL 50, IDLH 300; ACGIH TLV 25/35; EH40: 25/35
    stated = {limit.issuer: limit.ppm for limit in EXPOSURE_LIMITS}
    assert stated == {
        "EU indicative limit": 20.0,
        "NIOSH REL": 25.0,
        "ACGIH TLV": 25.0,
        "UK WEL": 25.0,
        "NIOSH, ACGIH and UK short-term limits": 35.0,
        "OSHA PEL": 50.0,
    }
    assert all(early.ppm <= late.ppm for early, late in pairwise(EXPOSURE_LIMITS))
    assert DANGER_TO_LIFE_PPM == 300.0
    assert all(f"{limit.ppm:g}" in caution("limits") for limit in EXPOSURE_LIMITS)
    assert "300 ppm" in caution("limits")


def test_a_half_mask_serves_to_ten_times_the_limit_and_says_so() -> None:
    # NIOSH assigned protection factor of a half-mask: 10
    assert pytest.approx(10 * 25.0) == CARTRIDGE_LIMIT_PPM
    line = "Type K cartridges: to 250 ppm at most; they are for a spill while pouring, not for a charged room."
    protection = next(one for one in CAUTIONS if one.key == "protection")
    assert line in protection.sentence
    assert line in protection.pinned


def test_no_cartridge_is_promised_where_the_room_could_pass_300_ppm() -> None:
    opening = next(one for one in CAUTIONS if one.key == "opening")
    for text in (opening.sentence, opening.pinned):
        assert "300 ppm or is unknown: no cartridge will do" in text
        assert "from outside the room" in text
        assert "nobody goes in" in text
    assert "under 250 ppm" in opening.sentence


def test_the_flammable_range_is_the_published_one() -> None:
    # NIOSH Pocket Guide: lower 15 %, upper 28 %
    assert (FLAMMABLE_LOW_PERCENT, FLAMMABLE_HIGH_PERCENT) == (15.0, 28.0)
    assert "15 to 28 %" in caution("ignition")
    for source in ("flame", "spark", "switch", "heater", "motor", "fan", "heat lamp"):
        assert source in caution("ignition")


def test_a_gallon_reaches_what_can_burn_below_nine_cubic_metres() -> None:
    # a US gallon is 3.785411784 l (NIST Handbook 44); 28 % ammonia 0.898 kg/l at 20 °C (from memory); ideal gas
    grams = 3.785411784 * 898.0 * 0.28
    cubic_metres = grams / 17.031 * 8.314462618 * 293.15 / 101325.0
    assert cubic_metres / 0.15 == pytest.approx(9.0, abs=0.1)
    assert "under 9 m³" in caution("pouring")
    assert cubic_metres / 18.0 == pytest.approx(0.15 / 2, abs=0.001)


@pytest.mark.parametrize("enemy", ["bleach", "acids", "chlorine", "iodine", "silver salts"])
def test_what_must_never_meet_ammonia_is_named(enemy: str) -> None:
    assert enemy in caution("mixing")


@pytest.mark.parametrize("metal", ["copper", "brass", "bronze", "zinc", "galvanised steel", "aluminium"])
def test_what_ammonia_attacks_is_named(metal: str) -> None:
    assert metal in caution("metal")


@pytest.mark.parametrize(
    ("key", "copied"),
    [
        ("wrong_cartridges", "organic-vapour or charcoal"),
        ("ignition", "a fan, a heat lamp"),
        ("pouring", "a gallon"),
        ("waste", "baking soda"),
    ],
)
def test_advice_that_is_copied_about_and_can_hurt_is_contradicted(key: str, copied: str) -> None:
    assert copied in caution(key).replace("“", "").replace("”", "")
    assert "have read" in caution(key)


def test_the_data_sheet_and_local_rules_come_first() -> None:
    first = CAUTIONS[0]
    assert pinned_cautions()[0] is first
    for text in ("safety data sheet", "rules where you live", "licensed practice", "samples’ test"):
        assert text in first.sentence


def test_the_page_over_the_bench_names_the_gravest() -> None:
    assert {"first", "smell", "ignition", "protection", "opening", "mixing", "airing", "eyes"} <= {
        one.key for one in pinned_cautions()
    }
    assert all(len(one.pinned) <= 160 for one in pinned_cautions())
