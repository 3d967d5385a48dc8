"""Where the run differs from the samples' test: shown with a rough band, never turned into other hours.

No published law says how fuming goes with warmth, charge or strength. The bands below are rules of thumb, labelled so:
warmth between no effect and threefold for ten degrees, ammonia between no effect and in proportion. They move the first
look earlier, and nothing else.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from colourcore.run.charge import ammonia_per_m3
from colourcore.run.conditions import Conditions

__all__ = ["ADVICE", "Mismatch", "fastest_pace", "mismatches"]

_FOLD_IN_TEN_DEGREES: Final = 3.0  # rule of thumb for chemical pace, upper end; nobody has measured it for fuming
_WARMTH_APART_C: Final = 2.0  # what a room does by itself in a day
_CHARGE_APART: Final = 0.10  # as a share: what measuring and leaks blur
_RANGE_APART: Final = 0.2  # as a share, between the far ends of strengths known as ranges
_STRENGTH_APART: Final = 0.02  # mass fraction
_LOAD_APART: Final = 0.5  # as a share of the surface of wood to the cubic metre

ADVICE: Final = (
    "No law says what that does to the hours, so they stay as the samples told them. The rough band is a rule of thumb "
    "and no measurement: look earlier, or make new samples under the run’s own conditions."
)
"""What is said once beneath any mismatch."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Mismatch:
    """One thing in which run and test differ.

    Attributes
    ----------
    what
        "warmth", "charge", "strength", "renewals", "leak" or "load".
    sentence
        The two values, and the rough band in words.
    pace_low, pace_high
        The rough band of the run's pace against the test's, 1 where it does not matter; nobody has measured it. Both
        None where not even a rule of thumb is known.
    """

    what: str
    sentence: str
    pace_low: float | None = None
    pace_high: float | None = None


def mismatches(test: Conditions, run: Conditions) -> tuple[Mismatch, ...]:
    """Return all in which the run's conditions differ from the test's by more than what is not worth a word.

    Both need at least one pour; raises InputError as `charge.plan_charge` does.
    """
    found = (
        _warmth(test, run),
        _charge(test, run),
        _strength(test, run),
        _renewals(test, run),
        _leak(test, run),
        _load(test, run),
    )
    return tuple(one for one in found if one is not None)


def fastest_pace(found: tuple[Mismatch, ...]) -> float:
    """Return the upper end of all rough bands together, 1 or more: how much earlier to look first.

    >>> fastest_pace(())
    1.0
    """
    pace = 1.0
    for one in found:
        pace *= one.pace_high or 1.0
    return max(1.0, pace)


def _band(low: float, high: float) -> str:
    return f"rough band of its pace {low:.1f} to {high:.1f} times the test’s"


def _warmth(test: Conditions, run: Conditions) -> Mismatch | None:
    cool, warm = test.mean_temperature_c, run.mean_temperature_c
    if abs(warm - cool) <= _WARMTH_APART_C:
        return None
    fold = _FOLD_IN_TEN_DEGREES ** ((warm - cool) / 10)
    low, high = min(1.0, fold), max(1.0, fold)
    side = "warmer" if warm > cool else "cooler"
    sentence = f"The run is {side}, {warm:.0f} °C against {cool:.0f} in the test: {_band(low, high)}."
    return Mismatch(what="warmth", sentence=sentence, pace_low=low, pace_high=high)


def _charge(test: Conditions, run: Conditions) -> Mismatch | None:
    (test_low, test_high), (run_low, run_high) = ammonia_per_m3(test), ammonia_per_m3(run)
    middle = (run_low + run_high) / (test_low + test_high)
    alike = abs(middle - 1) <= _CHARGE_APART
    unsure = run_high / test_low > 1 + _RANGE_APART or run_low / test_high < 1 / (1 + _RANGE_APART)
    if alike and not unsure:
        return None
    low, high = min(1.0, run_low / test_high), max(1.0, run_high / test_low)
    if alike:
        sentence = f"The strengths are known as ranges only, so run and test may differ: {_band(low, high)}."
        return Mismatch(what="charge", sentence=sentence, pace_low=low, pace_high=high)
    side = "more" if middle > 1 else "less"
    grams = f"{(run_low + run_high) / 2:.0f} g to the cubic metre against {(test_low + test_high) / 2:.0f} in the test"
    sentence = f"The run holds {side} ammonia, {grams}: {_band(low, high)}."
    return Mismatch(what="charge", sentence=sentence, pace_low=low, pace_high=high)


def _strongest(conditions: Conditions) -> float:
    return max(pour.strength.middle for pour in conditions.pours)


def _strength(test: Conditions, run: Conditions) -> Mismatch | None:
    then, now = _strongest(test), _strongest(run)
    if abs(now - then) <= _STRENGTH_APART:
        return None
    sentence = (
        f"The liquid has {100 * now:.0f} % against {100 * then:.0f} in the test: the grams may match while the vapour "
        "comes sooner or later, by how much nobody knows."
    )
    return Mismatch(what="strength", sentence=sentence)


def _renewals(test: Conditions, run: Conditions) -> Mismatch | None:
    if len(test.pours) == len(run.pours):
        return None
    sentence = (
        f"Liquid goes in {_times(len(run.pours))} in the run and went in {_times(len(test.pours))} in the test: "
        "what a renewal does to the pace nobody knows."
    )
    return Mismatch(what="renewals", sentence=sentence)


def _times(count: int) -> str:
    return {1: "once", 2: "twice"}.get(count, f"{count} times")


def _leak(test: Conditions, run: Conditions) -> Mismatch | None:
    if test.sealed == run.sealed and len(test.openings_hours) == len(run.openings_hours):
        return None
    if test.sealed != run.sealed:
        tight, loose = ("test", "run") if test.sealed else ("run", "test")
        sentence = f"The {tight} is sealed and the {loose} leaks: the wood saw less there, by how much nobody knows."
    else:
        sentence = (
            f"The tent is opened {_times(len(run.openings_hours)) if run.openings_hours else 'never'} in the run and "
            f"was {_times(len(test.openings_hours)) if test.openings_hours else 'never'} in the test: each time costs "
            "gas, how much nobody knows."
        )
    return Mismatch(what="leak", sentence=sentence)


def _load(test: Conditions, run: Conditions) -> Mismatch | None:
    if not (test.wood_area_m2 > 0 and run.wood_area_m2 > 0):
        return None
    then, now = test.wood_area_m2 / test.air_m3, run.wood_area_m2 / run.air_m3
    if then / (1 + _LOAD_APART) <= now <= then * (1 + _LOAD_APART):
        return None
    sentence = (
        f"There are {now:.1f} m² of wood to the cubic metre of air against {then:.1f} in the test: wood takes up "
        "ammonia, how much nobody knows."
    )
    return Mismatch(what="load", sentence=sentence)
