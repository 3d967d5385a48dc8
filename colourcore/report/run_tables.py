"""The plan of a run as JSON: the contract that other programs rely on (docs/plan.md)."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any, Final

from colourcore.pipeline.plan import Plan
from colourcore.report.run_words import step_words
from colourcore.run.cautions import CAUTIONS
from colourcore.run.charge import ChargePlan, Verdict, ammonia_per_m3
from colourcore.run.conditions import Conditions
from colourcore.run.schedule import RunHours, Step

__all__ = ["plan_json"]

_VERDICTS: Final = {
    Verdict.QUARTER: "quarter",
    Verdict.WARNING: "warning",
    Verdict.STRONG_WARNING: "strong_warning",
    Verdict.NO_PLAN: "no_plan",
}


def plan_json(plan: Plan) -> dict[str, Any]:
    """Return a plan as its JSON value: all keys of docs/plan.md, always."""
    return {
        "outcome": plan.standing.value,
        "reason": plan.reason or None,
        "tent": None if plan.tent is None else _tent(plan.tent),
        "charge": None if plan.charge is None else _charge(plan, plan.charge),
        "ways_out": None
        if plan.way_out is None
        else {**asdict(plan.way_out), "sentences": list(plan.way_out.sentences)},
        "test": None if plan.test is None else _test(plan, plan.test),
        "mismatch": [asdict(one) for one in plan.apart],
        "room": None if plan.room is None else asdict(plan.room),
        "spill": {
            "ppm": plan.spill.ppm,
            "opening": plan.spill.opening.value,
            "sentence": plan.spill.sentence,
        },
        "airing": None if plan.airing is None else asdict(plan.airing),
        "hours": None if plan.hours is None else _hours(plan.hours),
        "looks": _looks(plan),
        "schedule": _schedule(plan),
        "cautions": [
            {"key": one.key, "lead": one.lead, "sentence": one.sentence, "moment": one.moment.value} for one in CAUTIONS
        ],
        "notes": list(plan.notes),
    }


def _tent(tent: Conditions) -> dict[str, Any]:
    return {
        "space_m3": tent.space_m3,
        "air_m3": tent.air_m3,
        "temperature_c": tent.mean_temperature_c,
        "sealed": tent.sealed,
    }


def _charge(plan: Plan, charge: ChargePlan) -> dict[str, Any]:
    assert plan.tent is not None  # a charge is worked out in a tent
    pours = plan.tent.pours
    low, high = (min(p.strength.low for p in pours), max(p.strength.high for p in pours))
    return {
        "stated": plan.stated,
        "litres": charge.litres,
        "strength": [low, high],
        "pours": [
            {"litres": pour.volume_litres, "at_hours": pour.at_hours, "in_already": number < plan.already}
            for number, pour in enumerate(pours)
        ],
        "dishes": charge.dishes,
        "grams_per_m3": list(charge.grams_per_m3),
        "share_at_balance": list(charge.share_at_balance),
        "share_if_all_evaporates": list(charge.share_if_all_evaporates),
        "verdict": _VERDICTS[charge.verdict],
        "notes": list(charge.notes),
    }


def _test(plan: Plan, test: Conditions) -> dict[str, Any]:
    proposal = plan.proposal
    return {
        "grams_per_m3": list(ammonia_per_m3(test)) if test.pours else None,
        "temperature_c": test.mean_temperature_c,
        "pours": len(test.pours),
        "matched": None if proposal is None or plan.stated else proposal.matches,
    }


def _hours(hours: RunHours) -> dict[str, Any]:
    return {
        "look": hours.look,
        "due": hours.due,
        "latest": hours.latest,
        "renewals": list(hours.renewals),
        "parts": [asdict(part) for part in hours.parts],
    }


def _looks(plan: Plan) -> dict[str, Any] | None:
    looks = plan.looks
    if looks is None:
        return None
    return {
        "first": looks.first,
        "again": looks.again,
        "odds_at_first": looks.odds_at_first,
        "odds_again": looks.odds_again,
        "opening": looks.opening.value,
        "notes": list(looks.notes),
    }


def _schedule(plan: Plan) -> dict[str, Any] | None:
    schedule = plan.schedule
    if schedule is None:
        return None
    return {
        "zone": str(schedule.start.tzinfo),
        "start": schedule.start.isoformat(timespec="minutes"),
        "met": schedule.met,
        "sentence": schedule.sentence or None,
        "steps": [_step(plan, step) for step in schedule.steps],
    }


def _step(plan: Plan, step: Step) -> dict[str, Any]:
    words = step_words(plan, step)
    return {
        "kind": step.kind.value,
        "at": step.at.isoformat(timespec="minutes"),
        "hours": step.hours,
        "part": step.part,
        "lead": words.lead,
        "text": words.text,
        "cautions": [one.key for one in words.cautions],
    }
