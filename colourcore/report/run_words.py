"""The plan of a run in words: what window, sheet, calendar and command line say alike, step by step."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from colourcore.pipeline.plan import Plan, Standing
from colourcore.report.phrases import Rounding, format_hours, odds_in_words
from colourcore.run.cautions import Caution, Moment, cautions_at
from colourcore.run.charge import ChargePlan, Verdict
from colourcore.run.night import Schedule
from colourcore.run.quantities import CUBIC_FEET_PER_M3, FLUID_OUNCES_PER_LITRE, fahrenheit
from colourcore.run.schedule import AIRING_DAYS, Step, StepKind, day_and_clock
from colourcore.run.spill import Opening

__all__ = [
    "StepWords",
    "airing_sentence",
    "charge_sentences",
    "moment_of",
    "plan_second_line",
    "plan_sentence",
    "plan_text",
    "said_litres",
    "said_space",
    "said_warmth",
    "step_words",
]

_MOMENTS: Final = {
    StepKind.SET_UP: Moment.BEFORE_TEST,
    StepKind.DRESS: Moment.POURING,
    StepKind.POUR: Moment.POURING,
    StepKind.RENEW: Moment.POURING,
    StepKind.PART_IN: Moment.POURING,
    StepKind.LOOK: Moment.LOOKING,
    StepKind.PART_OUT: Moment.ENDING,
    StepKind.DUE: Moment.ENDING,
    StepKind.LATEST: Moment.ENDING,
    StepKind.AIRED: Moment.AIRING,
    StepKind.FINISH: Moment.AIRING,
}

_HALF_OF_WHAT_BURNS: Final = (
    "Half of what can burn or more (7.5 % of the air, should all of it evaporate). Pour less: a bigger tent, or new "
    "samples at a quarter, are the way out. No flame, spark, switch, heater or motor anywhere near."
)

_ONLY_THERE: Final = "The hours hold for that charge, that warmth and these boards, and for nothing else."


@dataclass(frozen=True, slots=True, kw_only=True)
class StepWords:
    """A step in words: the bold first ones, what follows, and the cautions that belong to it."""

    lead: str
    text: str
    cautions: tuple[Caution, ...]


def moment_of(kind: StepKind) -> Moment:
    """Return the moment whose cautions belong to a step."""
    return _MOMENTS[kind]


def said_litres(litres: float, *, us: bool = False) -> str:
    """Return a volume of liquid as it is poured.

    >>> said_litres(0.108), said_litres(0.108, us=True)
    ('0.108 litres', '3.65 US fl oz (0.108 litres)')
    """
    metric = f"{litres:.3g} litres"
    return f"{litres * FLUID_OUNCES_PER_LITRE:.3g} US fl oz ({metric})" if us else metric


def said_space(space_m3: float, *, us: bool = False) -> str:
    """Return the volume of a space.

    >>> said_space(1.08), said_space(1.08, us=True)
    ('1.08 m³', '38.1 ft³')
    """
    return f"{space_m3 * CUBIC_FEET_PER_M3:.3g} ft³" if us else f"{space_m3:.3g} m³"


def said_warmth(temperature_c: float, *, us: bool = False) -> str:
    """Return a temperature.

    >>> said_warmth(18), said_warmth(18, us=True)
    ('18 °C', '64 °F')
    """
    return f"{fahrenheit(temperature_c):.0f} °F" if us else f"{temperature_c:.0f} °C"


def _range(low: float, high: float, places: int = 0) -> str:
    ends = f"{low:.{places}f}", f"{high:.{places}f}"
    return ends[0] if ends[0] == ends[1] else f"{ends[0]} to {ends[1]}"


def plan_sentence(plan: Plan) -> str:
    """Return the sentence that opens the plan."""
    if plan.standing is not Standing.PLANNED:
        return plan.reason
    if plan.schedule is not None:
        return _clock_sentence(plan.schedule)
    hours = plan.hours
    if hours is None:
        return "Nothing can be said yet."
    look, due = format_hours(hours.look, Rounding.DOWN), format_hours(hours.due, Rounding.DOWN)
    return f"Look from {look} after pouring, due at {due}."


def _clock_sentence(schedule: Schedule) -> str:
    pour, look, due = (schedule.at(kind) for kind in (StepKind.POUR, StepKind.LOOK, StepKind.DUE))
    first = f"{look:%H:%M}" if look.date() == pour.date() else day_and_clock(look, " from ")
    joint = "look from " if look.date() == pour.date() else "look on "
    last = f"{due:%H:%M}" if due.date() == look.date() else day_and_clock(due)
    return f"Pour on {day_and_clock(pour)}, {joint}{first}, due {last}."


def plan_second_line(plan: Plan) -> str:
    """Return the quieter line beneath it: what the hours rest upon."""
    if plan.charge is None or plan.standing is not Standing.PLANNED:
        return ""
    grams = f"{_range(*plan.charge.grams_per_m3)} g of ammonia to the cubic metre"
    if plan.test is None or not plan.test.pours:
        return f"{grams[:1].upper()}{grams[1:]}. {_ONLY_THERE}"
    if any(one.what == "charge" for one in plan.apart):
        return f"{grams[:1].upper()}{grams[1:]}, and the test had another charge: the hours may not hold."
    return f"As strong as the test, {grams}. {_ONLY_THERE}"


def charge_sentences(charge: ChargePlan, *, stated: bool, us: bool = False) -> tuple[str, ...]:
    """Return what a charge comes to, and how grave that is."""
    share = _range(100 * charge.share_at_balance[0], 100 * charge.share_if_all_evaporates[1], places=1)
    dishes = "one glass or plastic dish" if charge.dishes == 1 else f"{charge.dishes} glass or plastic dishes"
    said = [
        f"{said_litres(charge.litres, us=us)} in {dishes}, a centimetre deep, come to {_range(*charge.grams_per_m3)} g "
        f"of ammonia to the cubic metre: {share} % of the air, from balance to all of it evaporated. Over the dish it "
        "is more."
    ]
    if charge.verdict is Verdict.WARNING:
        said.append(
            "Above a quarter of what can burn (3.75 %): more than is ever proposed here. Leaks, warmth and a second "
            "pour add to it."
        )
    elif charge.verdict is Verdict.STRONG_WARNING:
        said.append(_HALF_OF_WHAT_BURNS)
    elif charge.verdict is Verdict.QUARTER and not stated:
        said.append("That is at most a quarter of what can burn (3.75 %), the most that is proposed here.")
    return (*said, *charge.notes)


def airing_sentence(plan: Plan) -> str:
    """Return the least airing with its reckoning; empty where the room is not known."""
    found, room, charge = plan.airing, plan.room, plan.charge
    if found is None or room is None or charge is None or plan.tent is None:
        return ""
    grams = charge.grams_per_m3[1] * plan.tent.air_m3
    spread = f"All {grams:.0f} g spread in this room is {found.start_ppm:.0f} ppm"
    if found.hours == 0:
        return f"{spread}, under {found.limit_ppm:g} from the start."
    return (
        f"{spread}; down to {found.limit_ppm:g} takes "
        f"{room.mixing:g} · ln({found.start_ppm:.0f} / {found.limit_ppm:g}) / {room.air_changes_per_hour:g} = "
        f"{format_hours(found.hours)} at least."
    )


def _end(plan: Plan) -> str:
    if plan.spill.opening is Opening.BY_HAND:
        return "dressed as for pouring, open the tent, doors open to outside air, and leave the room"
    return "pull the flap open from outside the room, doors open to outside air; nobody goes in"


def _past(chance: float | None) -> str:
    return "" if chance is None else f" Past by now: {odds_in_words(chance)}."


def step_words(plan: Plan, step: Step, *, us: bool = False) -> StepWords:
    """Return a step of a plan in words, with its cautions."""
    lead, text = _said(plan, step, us=us)
    moment = moment_of(step.kind)
    cautions = () if step.kind in (StepKind.FINISH, StepKind.LATEST) else cautions_at(moment)
    if step.kind is StepKind.SET_UP:
        cautions = (*cautions_at(Moment.ALWAYS), *cautions)
    if step.kind is StepKind.DUE and plan.airing is None:
        # the room is not known, so no step of its own ends the airing
        cautions = (*cautions, *cautions_at(Moment.AIRING))
    if step.kind is StepKind.DRESS:
        cautions = tuple(one for one in cautions if one.key in ("protection", "wrong_cartridges"))
    elif step.kind is StepKind.POUR:
        cautions = tuple(one for one in cautions if one.key not in ("protection", "wrong_cartridges"))
    return StepWords(lead=lead, text=text, cautions=cautions)


def _said(plan: Plan, step: Step, *, us: bool) -> tuple[str, str]:
    looks = plan.looks
    alone = looks is not None and looks.odds_again is not None
    match step.kind:
        case StepKind.SET_UP:
            return "Set up.", _set_up(plan)
        case StepKind.DRESS:
            return "Dress.", (
                "Sealed goggles, gloves and sleeves rated for ammonia, type K mask. Water to hand, a second person who "
                "knows."
            )
        case StepKind.POUR:
            first = sum(pour.volume_litres for pour in plan.new_pours if pour.at_hours <= 0)
            amount = f"Pour {said_litres(first, us=us)}, close at once." if first else "Pour, close at once."
            near = "Measured outdoors, doors open: the one moment near liquid. Everyone out; the hours begin."
            grave = plan.charge is not None and plan.charge.verdict is Verdict.STRONG_WARNING
            return amount, f"{_HALF_OF_WHAT_BURNS} {near}" if grave else near
        case StepKind.RENEW:
            return "Renew.", "Dressed as for pouring: open, pour the same again, close at once. Everyone out."
        case StepKind.PART_IN:
            return f"Put in {step.part}.", "Dressed as for pouring: open, put it in, close at once. Everyone out."
        case StepKind.LOOK:
            odds = _past(None if looks is None else looks.odds_at_first)
            return "Look through the film.", (
                "One photo from outside holds the piece, and card and target behind the same film. The hours are "
                f"worked out anew.{odds}"
            )
        case StepKind.PART_OUT:
            return f"Take out {step.part}.", f"It is due before the rest: {_end(plan)}."
        case StepKind.DUE:
            odds = _past(None if looks is None else looks.odds_again)
            return "Due.", (
                "Second look, now or at the hour the first gave. Short: leave it closed. There, or past: "
                f"{_end(plan)}.{odds}"
            )
        case StepKind.LATEST:
            odds = _past(0.5 if alone else None)
            return "Latest.", f"If no look could be taken, the end comes now: {_end(plan)}.{odds}"
        case StepKind.AIRED:
            return "Earliest end of airing,", _aired(plan)
    return "Finish.", (
        f"Not before {AIRING_DAYS} days in moving air (common practice). Then oil, shellac or what the samples had."
    )


def _set_up(plan: Plan) -> str:
    dishes = 1 if plan.charge is None else plan.charge.dishes
    dish = "one glass or plastic dish" if dishes == 1 else f"{dishes} glass or plastic dishes"
    return (
        f"Metal off the piece; {dish}. Piece, card and target stand behind clear film that faces a door or window. The "
        "flap opens to outside air; its cord runs out of the room."
    )


def _aired(plan: Plan) -> str:
    limit = plan.airing.limit_ppm if plan.airing is not None else 20
    return (
        f"counted from the opening when due; opened later, all that much later. {airing_sentence(plan)} The piece "
        f"comes out only after a gas reading under {limit:g} ppm."
    )


def plan_text(plan: Plan, *, us: bool = False) -> str:
    """Return the plan as plain text for a terminal, with a final line break."""
    lines = [plan_sentence(plan)]
    second = plan_second_line(plan)
    lines += [second] if second else []
    if plan.schedule is not None and plan.schedule.sentence:
        lines.append(plan.schedule.sentence)
    lines.append("")
    if plan.charge is not None:
        lines += charge_sentences(plan.charge, stated=plan.stated, us=us)
        lines.append(plan.spill.sentence)
    if plan.way_out is not None:
        lines += plan.way_out.sentences
    lines += [one.sentence for one in plan.apart]
    lines += plan.notes
    lines += () if plan.looks is None else plan.looks.notes
    lines.append("")
    lines += _step_lines(plan, us=us) if plan.schedule is not None else _caution_lines(plan)
    return "\n".join(lines) + "\n"


def _step_lines(plan: Plan, *, us: bool) -> list[str]:
    lines, told = [], set()
    assert plan.schedule is not None  # the only caller has looked
    for step in plan.schedule.steps:
        words = step_words(plan, step, us=us)
        lines.append(f"{day_and_clock(step.at, ' ')}  {words.lead} {words.text}")
        lines += [f"    Take care. {one.lead} {one.sentence}" for one in words.cautions if one.key not in told]
        told |= {one.key for one in words.cautions}
    return lines


def _caution_lines(plan: Plan) -> list[str]:
    airing = airing_sentence(plan)
    lines = [airing] if airing else []
    for moment in Moment:
        lines += [f"    Take care. {one.lead} {one.sentence}" for one in cautions_at(moment)]
    return lines
