"""Joins the hours and the tent: what a maker wants and has, in; the plan of a run, out. No clock, no file."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from enum import StrEnum

from colourcore.curve.outcome import Outcome
from colourcore.curve.piece import Acting
from colourcore.errors import InputError
from colourcore.job.model import Choices
from colourcore.pipeline.answers import Group, Together, acting_of, answer, compare_groups
from colourcore.pipeline.rows import PatchReading
from colourcore.run.airing import Airing, airing
from colourcore.run.charge import (
    ChargePlan,
    Proposal,
    Verdict,
    WayOut,
    match_test,
    plan_charge,
    propose_charge,
    way_out,
)
from colourcore.run.conditions import Conditions, Pour, Room, Strength
from colourcore.run.looks import ASKED_BESIDE, CHECK_PIECE, LookPlan, plan_looks
from colourcore.run.mismatch import ADVICE, Mismatch, fastest_pace, mismatches
from colourcore.run.night import Schedule, make_schedule
from colourcore.run.run_wish import RunWish
from colourcore.run.schedule import Part, RunHours
from colourcore.run.spill import Opening, Spill, spill

__all__ = ["Plan", "Standing", "plan_job", "plan_run"]


class Standing(StrEnum):
    """Whether there is a plan."""

    PLANNED = "planned"
    NO_PLAN = "no_plan"
    CANNOT_SAY = "cannot_say"


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """The plan of a run; what is None could not be worked out, and `reason` or `notes` say why.

    Attributes
    ----------
    standing, reason
        Whether there is a plan, and why not.
    acting
        The odds at which to look and at which it is due.
    tent
        The run's space with every pour since it was last aired, those of the plan included.
    already
        How many of those were in it before the plan.
    stated
        Whether the maker stated the charge.
    charge, proposal, way_out
        What the pours come to; how they carry the test over; what it would take where they are too much.
    test, apart
        The samples' conditions, and where the run differs from them.
    room, spill, airing
        Around the tent; its content loose in the room; the least airing.
    hours, looks, schedule
        Hours since pouring, when to look, clock times.
    notes
        What must be said beside it.
    """

    standing: Standing
    reason: str = ""
    acting: Acting = field(default_factory=Acting)
    tent: Conditions | None = None
    already: int = 0
    stated: bool = False
    charge: ChargePlan | None = None
    proposal: Proposal | None = None
    way_out: WayOut | None = None
    test: Conditions | None = None
    apart: tuple[Mismatch, ...] = ()
    room: Room | None = None
    spill: Spill = field(default_factory=lambda: Spill(ppm=None, opening=Opening.FROM_OUTSIDE))
    airing: Airing | None = None
    hours: RunHours | None = None
    looks: LookPlan | None = None
    schedule: Schedule | None = None
    notes: tuple[str, ...] = ()

    @property
    def new_pours(self) -> tuple[Pour, ...]:
        """The pours of the plan, without those that were in the tent already."""
        return () if self.tent is None else self.tent.pours[self.already :]


@dataclass(slots=True)
class _Draft:
    """What is known while a plan is being drawn up."""

    wish: RunWish
    acting: Acting
    notes: list[str] = field(default_factory=list)
    apart: tuple[Mismatch, ...] = ()
    spill: Spill = field(default_factory=lambda: Spill(ppm=None, opening=Opening.FROM_OUTSIDE))
    looks: LookPlan | None = None


def plan_job(wish: RunWish, readings: Sequence[PatchReading], choices: Choices) -> Plan:
    """Return the plan of a run whose hours follow from readings; raises InputError as `plan_run` does."""
    groups = answer(readings, choices)
    return plan_run(wish, groups, compare_groups(groups, choices), acting_of(choices))


def plan_run(
    wish: RunWish, groups: Sequence[Group] = (), together: Together | None = None, acting: Acting | None = None
) -> Plan:
    """Return the plan of a run.

    Parameters
    ----------
    wish
        What a maker wants and has.
    groups, together
        The hours of the job; not needed where the wish states hours.
    acting
        What the maker has set about acting.

    Raises
    ------
    InputError
        For conditions, hours and moments that cannot be; a part that the job does not have.
    """
    draft = _Draft(wish, Acting() if acting is None else acting)
    chosen = _chosen(wish, groups)
    if wish.tent is None:
        return _without_tent(draft, chosen, together)
    strength = wish.strength or _strength_of_test(wish)
    if strength is None:
        return _short_of(draft, "Say the strength of the liquid: without it nobody knows what a charge comes to.")
    pours, proposal = _pours(draft, strength, chosen)
    if not pours:
        used = "What was poured since the tent was last aired leaves nothing to propose: air it first."
        return _short_of(draft, used)
    tent = replace(wish.tent, pours=(*wish.tent.pours, *pours))
    charge = plan_charge(tent)
    draft.spill = spill(tent, wish.room)
    tent, charge = _without_renewals(draft, tent, charge)
    found = Plan(
        standing=Standing.PLANNED,
        acting=draft.acting,
        tent=tent,
        already=len(wish.tent.pours),
        stated=wish.stated_litres is not None,
        charge=charge,
        proposal=proposal,
        test=wish.test,
        apart=mismatches(wish.test, tent) if wish.test is not None and wish.test.pours else (),
        room=wish.room,
        spill=draft.spill,
    )
    if charge.verdict is Verdict.NO_PLAN:
        said = (
            f"{charge.litres:.3g} litres in {tent.air_m3:.3g} m³ could come to "
            f"{100 * charge.share_if_all_evaporates[1]:.0f} % of the air, should all of it evaporate, and from 15 % it "
            "can burn: no plan is drawn up."
        )
        out = way_out(tent, wish.tent.pours)
        return replace(found, standing=Standing.NO_PLAN, reason=said, way_out=out, notes=tuple(draft.notes))
    return _with_times(draft, found, chosen, together)


def _chosen(wish: RunWish, groups: Sequence[Group]) -> tuple[Group, ...]:
    found = tuple(
        group
        for group in groups
        if (wish.board is None or group.board == wish.board) and (wish.zone is None or group.zone == wish.zone)
    )
    if groups and not found:
        names = "; ".join(group.name for group in groups)
        raise InputError(f"expected one of the job’s parts ({names}), got board {wish.board or 'any'}, "
                         f"zone {wish.zone or 'any'}")  # fmt: skip
    return found


def _strength_of_test(wish: RunWish) -> Strength | None:
    return wish.test.pours[0].strength if wish.test is not None and wish.test.pours else None


def _short_of(draft: _Draft, reason: str) -> Plan:
    wish = draft.wish
    return Plan(
        standing=Standing.CANNOT_SAY,
        reason=reason,
        acting=draft.acting,
        tent=wish.tent,
        already=0 if wish.tent is None else len(wish.tent.pours),
        test=wish.test,
        room=wish.room,
        notes=tuple(draft.notes),
    )


def _without_tent(draft: _Draft, chosen: Sequence[Group], together: Together | None) -> Plan:
    found = _short_of(draft, "Say the tent’s inside: without it nobody knows what a charge comes to.")
    return replace(found, hours=_hours(draft, chosen, together, ()), notes=tuple(draft.notes), looks=draft.looks)


def _pours(draft: _Draft, strength: Strength, chosen: Sequence[Group]) -> tuple[tuple[Pour, ...], Proposal | None]:
    """Return what goes in, and how it carries the test over."""
    wish = draft.wish
    assert wish.tent is not None  # plan_run has returned without one
    proposal = None
    if wish.test is not None and wish.test.pours:
        due = min((g.answer.piece.due for g in chosen if g.answer.piece and g.answer.piece.due), default=None)
        proposal = match_test(wish.test, wish.tent, strength, wish.hours.due if wish.hours else due)
    if wish.stated_litres is not None:
        first = Pour(volume_litres=wish.stated_litres, strength=strength)
        return (first, *(replace(first, at_hours=hours) for hours in wish.renewals)), proposal
    if proposal is not None:
        draft.notes += proposal.notes
        return proposal.pours, proposal
    draft.notes.append(
        "The samples’ own charge was not said. The hours hold only where this run has as many grams of ammonia to the "
        "cubic metre as the samples had."
    )
    pour = propose_charge(wish.tent, strength)
    return (() if pour is None or pour.volume_litres <= 0 else (pour,)), None


def _without_renewals(draft: _Draft, tent: Conditions, charge: ChargePlan) -> tuple[Conditions, ChargePlan]:
    """Leave renewals out where nobody may open the tent for them; a charge without a plan stays as it is."""
    renewed = [pour for pour in tent.pours if pour.at_hours > 0]
    if not renewed or draft.spill.opening is Opening.BY_HAND or charge.verdict is Verdict.NO_PLAN:
        return tent, charge
    draft.notes.append(
        "A renewal would have the tent opened by hand, and that is never planned here. It is left out; samples for "
        "this run are to be made without one."
    )
    kept = replace(tent, pours=tuple(pour for pour in tent.pours if pour.at_hours <= 0))
    draft.spill = spill(kept, draft.wish.room)
    return kept, plan_charge(kept)


def _with_times(draft: _Draft, plan: Plan, chosen: Sequence[Group], together: Together | None) -> Plan:
    wish, tent = draft.wish, plan.tent
    assert tent is not None  # made by plan_run
    if plan.apart:
        draft.notes.append(ADVICE)
    draft.apart = plan.apart
    renewals = tuple(sorted({pour.at_hours for pour in plan.new_pours if pour.at_hours > 0}))
    aired = None
    if wish.room is not None and plan.charge is not None:
        room = wish.room
        aired = airing(
            plan.charge.grams_per_m3[1] * tent.air_m3,
            room.space_m3,
            air_changes_per_hour=room.air_changes_per_hour,
            mixing=room.mixing,
            limit_ppm=room.limit_ppm,
            temperature_c=tent.warmest_c,
        )
    else:
        draft.notes.append(
            "Say the room’s size and its air changes: without them no least time of airing can be named."
        )
    hours = _hours(draft, chosen, together, renewals)
    if hours is None:
        said = _why_no_hours(chosen)
        found = replace(plan, standing=Standing.CANNOT_SAY, reason=said, airing=aired, spill=draft.spill)
        return replace(found, notes=tuple(draft.notes))
    if aired is not None:
        hours = replace(hours, airing=aired.hours)
    schedule = None if wish.when is None else make_schedule(hours, wish.when)
    return replace(
        plan, airing=aired, hours=hours, looks=draft.looks, schedule=schedule, notes=tuple(dict.fromkeys(draft.notes))
    )


def _why_no_hours(chosen: Sequence[Group]) -> str:
    if not chosen:
        return "There are no hours yet: read the samples first, or state the hours to look and due."
    short = [group for group in chosen if not _comes_due(group)]
    others = [group.name for group in chosen if _comes_due(group)]
    names = "; ".join(group.name for group in short)
    said = f"No hour is known at which a piece is due ({names})"
    if others:
        return f"{said}. Give it a run of its own, and plan this one for the others ({'; '.join(others)})."
    notes = [
        group.answer.notes[0] for group in short if group.answer.outcome is Outcome.CANNOT_SAY and group.answer.notes
    ]
    return f"{said}. {notes[0]}" if notes else f"{said}: the odds do not get there. Choose another target."


def _comes_due(group: Group) -> bool:
    piece = group.answer.piece
    return piece is not None and piece.look_from is not None and piece.due is not None


def _hours(
    draft: _Draft, chosen: Sequence[Group], together: Together | None, renewals: tuple[float, ...]
) -> RunHours | None:
    """Return the hours of the run and note down its looks; None where the job has none."""
    wish, faster = draft.wish, fastest_pace(draft.apart)
    if wish.hours is not None:
        given = wish.hours
        notes = (ASKED_BESIDE, CHECK_PIECE) if wish.check_piece else (ASKED_BESIDE,)
        draft.looks = LookPlan(
            first=given.look / faster,
            again=given.due,
            odds_at_first=None,
            odds_again=None,
            opening=draft.spill.opening,
            notes=notes,
        )
        return RunHours(
            look=given.look / faster, due=given.due, latest=given.latest, renewals=_before(renewals, given.due)
        )
    acting = draft.acting
    plans = {
        group.name: looks
        for group in chosen
        if group.answer.piece is not None and (looks := _looks(group, acting, draft)) is not None
    }
    if not plans or len(plans) < len(chosen):
        return None
    if len(chosen) == 1:
        draft.looks = plans[chosen[0].name]
        return _run_hours(draft.looks, chosen, draft.looks.again, renewals)
    return _of_parts(draft, chosen, plans, together, renewals)


def _looks(group: Group, acting: Acting, draft: _Draft) -> LookPlan | None:
    piece = group.answer.piece
    if piece is None or piece.outcome is Outcome.CANNOT_SAY:
        return None
    return plan_looks(
        piece,
        acting,
        draft.spill.opening,
        draft.apart,
        axis_hours=group.answer.curve.hours,
        check_piece=draft.wish.check_piece,
    )


def _before(renewals: tuple[float, ...], due: float) -> tuple[float, ...]:
    return tuple(hours for hours in renewals if hours < due)


def _run_hours(
    looks: LookPlan, chosen: Sequence[Group], due: float, renewals: tuple[float, ...], parts: tuple[Part, ...] = ()
) -> RunHours:
    """Return the hours; the latest is where a piece of the fastest part is as likely past as not."""
    even = [group.answer.piece.hours for group in chosen if group.answer.piece is not None]
    known = [hours for hours in even if hours is not None]
    latest = max(due, min(known)) if len(known) == len(chosen) and not parts else None
    return RunHours(look=min(looks.first, due), due=due, latest=latest, renewals=_before(renewals, due), parts=parts)


def _of_parts(
    draft: _Draft,
    chosen: Sequence[Group],
    plans: dict[str, LookPlan],
    together: Together | None,
    renewals: tuple[float, ...],
) -> RunHours | None:
    """Return the hours of several parts in one tent: at one common time, or one after the other where that may be."""
    time = None if together is None else together.time
    first = min(plans.values(), key=lambda looks: looks.first)
    last = max(looks.again for looks in plans.values())
    if draft.wish.staggered and draft.spill.opening is Opening.BY_HAND:
        parts = tuple(Part(name=name, in_hours=last - looks.again, out_hours=last) for name, looks in plans.items())
        soonest = min(part.in_hours + plans[part.name].first for part in parts)
        draft.looks = replace(first, first=soonest, again=last, odds_again=None)
        return _run_hours(draft.looks, chosen, last, renewals, parts)
    if draft.wish.staggered:
        draft.notes.append(
            "Parts that go in one after the other would have the charged tent opened by hand, and that is never "
            "planned here: these are the times for all of them together. Apart, each takes a run of its own."
        )
    names = {part.name for part in time.parts} if time is not None else set()
    due = time.hours if time is not None and names == set(plans) else min(looks.again for looks in plans.values())
    draft.notes.append("Several parts share this run: they are due at one common time, too dark counting double.")
    draft.looks = replace(first, again=due, odds_again=None)
    return _run_hours(draft.looks, chosen, due, renewals)
