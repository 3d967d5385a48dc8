"""The sentence, the second line and the answer of the place *Hours*; `**so**` marks heavier words."""

from __future__ import annotations

from app.models.hours_axis import hour_text, rounded_down
from app.models.hours_prospect import Prospect, TenPieces, together_hours
from app.models.hours_scene import LEAST_HOURS, HoursScene, Strand
from app.wording import count, tr
from colourcore.curve.outcome import Outcome
from colourcore.report.phrases import Rounding, format_hours, odds_in_words, often_in_words, unbroken

__all__ = [
    "answer_words",
    "board_title",
    "opening",
    "second_line",
    "short_answer_words",
    "spoken_down",
    "spoken_hours",
    "strand_title",
    "strand_under",
    "when_together",
]


def spoken_hours(hours: float) -> str:
    """Return hours to the nearest five minutes, with spaces at which no line breaks.

    >>> spoken_hours(9.66)
    '9\\xa0h\\xa040'
    """
    return unbroken(format_hours(hours))


def spoken_down(hours: float) -> str:
    """Return an hour to act on, rounded down to five minutes."""
    return unbroken(format_hours(hours, Rounding.DOWN))


def board_title(board: str) -> str:
    """Return how a board is headed.

    >>> board_title("A"), board_title("")
    ('Board A', 'The board')
    """
    return tr("Board {board}", board=board) if board else tr("The board")


def strand_title(scene: HoursScene, strand: Strand) -> str:
    """Return the name of a row: the zone of the chosen board, or the board where two lie beside each other."""
    if scene.choice.both:
        return board_title(strand.board)
    if strand.zone:
        return strand.zone[:1].upper() + strand.zone[1:]
    return board_title(strand.board) if strand.board else tr("Samples")


def strand_under(scene: HoursScene, strand: Strand) -> str:
    """Return the quieter line under a row's name."""
    read = tr("{n} read", n=strand.read)
    other = strand.zone if scene.choice.both else tr("board {board}", board=strand.board) if strand.board else ""
    return f"{other}, {read}" if other and other.lower() != strand_title(scene, strand).lower() else read


def when_together(scene: HoursScene) -> tuple[float, float] | None:
    """Return the hour at which both boards cost least together and the hour to look from, None where unknown.

    The look comes where the board that is first ahead has its own.
    """
    if not scene.choice.both or not scene.choice.together:
        return None
    prospects = tuple(strand.prospect for strand in scene.rows if strand.prospect is not None)
    if len(prospects) < len(scene.rows):
        return None
    hours = scene.common_hours if scene.common_hours is not None else together_hours(prospects)
    looks = [p.look_from for p in prospects if p.look_from is not None]
    if hours is None or not looks:
        return None
    return rounded_down(hours), rounded_down(min(*looks, hours))


def opening(scene: HoursScene) -> str:
    """Return the sentence that says where the job stands."""
    lead = scene.lead
    if lead is None:
        return tr("No samples are read, so there are **no hours yet**.")
    if scene.choice.both:
        return _opening_of_both(scene)
    name, found = strand_title(scene, lead), lead.prospect
    hours = len(lead.different_hours)
    if hours < LEAST_HOURS:
        return tr("{samples} cannot say the hours.", samples=_samples(lead.read, hours))
    if found is None or found.outcome is Outcome.CANNOT_SAY:
        if lead.target is None:
            return tr("The hours wait for **a target**.")
        return tr("For {name} the hours **cannot be said**.", name=name.lower())
    if found.due is None:
        return tr("{name} gets there in **{cases}** cases.", name=name, cases=_of_hundred(found.p_reach or 0.0))
    slow = found.any_hour(lead.target) if lead.target else None
    if slow is not None:
        end = tr("on") if slow[1] >= found.end else tr("to {end}", end=hour_text(round(slow[1])))
        return tr("Any hour from **{start} {end}** gives this shade.", start=hour_text(round(slow[0])), end=end)
    return _due_sentence(name, found)


def _due_sentence(name: str, found: Prospect) -> str:
    due = tr("{name} is due at **{due}**.", name=name, due=spoken_down(found.due or 0.0))
    look = "" if found.look_from is None else tr(" Look from **{hours}**.", hours=spoken_down(found.look_from))
    return due + look


def _samples(read: int, hours: int) -> str:
    if read == hours:
        return count(read, "sample", "samples")
    return tr("Samples at {hours}", hours=count(hours, "hour", "hours").lower())


def _of_hundred(chance: float) -> str:
    of = round(100 * chance)
    return tr("fewer than 1 of 100") if of < 1 else tr("{n} of 100", n=min(of, 99))


def _opening_of_both(scene: HoursScene) -> str:
    one, two = scene.rows
    due = [strand for strand in (one, two) if strand.prospect and strand.prospect.due is not None]
    if len(due) < 2:
        said = [_alone(strand) for strand in (one, two)]
        return tr("{one}; {two}.", one=said[0], two=said[1][:1].lower() + said[1][1:])
    common = when_together(scene)
    if common is not None:
        hours, look = (spoken_down(h) for h in common)
        return tr(
            "Taken out together, both boards cost least at **{hours}**. Look from **{look}**.", hours=hours, look=look
        )
    first, second = (spoken_down((strand.prospect.due if strand.prospect else 0.0) or 0.0) for strand in due)
    return tr(
        "Apart, {one} is due at **{first}**, {two} at **{second}**.",
        one=_lower(one),
        first=first,
        two=_lower(two),
        second=second,
    )


def _alone(strand: Strand) -> str:
    name, found = board_title(strand.board), strand.prospect
    if found is not None and found.due is not None:
        return tr("{name} is due at **{due}**", name=name, due=spoken_down(found.due))
    if found is not None and found.outcome is Outcome.NOT_REACHED:
        return tr("{name} gets there in **{cases}** cases", name=name, cases=_of_hundred(found.p_reach or 0.0))
    return tr("for {name} the hours **cannot be said**", name=_lower(strand))


def _lower(strand: Strand) -> str:
    title = board_title(strand.board)
    return title[:1].lower() + title[1:]


def second_line(scene: HoursScene) -> str:
    """Return the quieter line: what proves the sentence, or what would mend it."""
    lead = scene.lead
    if lead is None:
        return tr("Drop photos of your samples in Photos, and say their hours in Samples.")
    if scene.choice.both:
        return _second_of_both(scene)
    notes, found = (lead.group.answer.notes if lead.group else ()), lead.prospect
    hours = lead.different_hours
    if len(hours) < LEAST_HOURS:
        return _more_samples(lead.wanted_hours)
    if found is None or found.outcome is Outcome.CANNOT_SAY or found.due is None:
        return notes[0] if notes else ""
    slow = found.any_hour(lead.target) if lead.target else None
    if slow is not None:
        look = "" if found.look_from is None else tr(" Look from {hours};", hours=spoken_down(found.look_from))
        return tr(
            "So dark, the wood hardly moves: one L* is {each:.1f} h.{look} a look says it best.",
            each=slow[2],
            look=look,
        )
    said = [_matches(found)]
    if found.due is not None:
        past = odds_in_words(scene.choices.due_odds)
        said.append(tr("When due, {past} is past it: too dark costs more than too light.", past=past))
    return " ".join(said)


def _matches(found: Prospect) -> str:
    if found.hours is None:
        return tr("A piece is likelier to stay short of the target than to pass it.")
    hours, low = spoken_hours(found.hours), spoken_hours(found.low or 0.0)
    often = often_in_words(found.confidence)
    if found.high is None:
        return tr("A piece matches after {hours}, {often} after {low}.", hours=hours, often=often, low=low)
    return tr(
        "A piece matches after {hours}, {often} between {low} and {high}.",
        hours=hours,
        often=often,
        low=low,
        high=spoken_hours(found.high),
    )


def _more_samples(wanted: tuple[float, ...]) -> str:
    if len(wanted) == 1:
        return tr("One more would: the dashed place, {hours} h, would tell the most.", hours=hour_text(wanted[0]))
    named = tr(" and ").join([", ".join(hour_text(h) for h in wanted[:-1]), hour_text(wanted[-1])])
    more = count(len(wanted), "more", "more")
    return tr("{more} would: the dashed places, {named} h, would tell the most.", more=more, named=named)


def _second_of_both(scene: HoursScene) -> str:
    known = [(strand, strand.prospect) for strand in scene.rows if strand.prospect and strand.prospect.due is not None]
    if len(known) < 2:
        return tr("One tent has one hour: boards as unlike as these want a run each.")
    apart = tr(" and ").join(
        tr("{board} at {hours}", board=strand.board, hours=spoken_down((found.due if found else 0.0) or 0.0))
        for strand, found in known
    )
    common = when_together(scene)
    if common is None:
        looks = tr(" and ").join(
            spoken_down(found.look_from) for _, found in known if found and found.look_from is not None
        )
        return tr("A run each: nobody opens the tent in between. Look from {looks}.", looks=looks)
    said = []
    for strand, found in known:
        ten = found.at(common[0]).ten if found else None
        said.append(tr("{board} in {ten}", board=_lower(strand), ten=_ten_in_figures(ten) if ten else "?"))
    then = tr("Past the target are then {said} of 10.", said=tr(" and ").join(said))
    return tr("Fewest hours off in all, too dark counting double. {then} Apart: {apart}.", then=then, apart=apart)


def _ten_in_figures(ten: TenPieces) -> str:
    return tr("under 1") if ten.few else tr("nearly 10") if ten.many else str(ten.past)


def answer_words(scene: HoursScene) -> str:
    """Return what stands under the place's name: at most four words."""
    short = short_answer_words(scene)
    found = scene.lead.prospect if scene.lead else None
    if found is None or found.look_from is None or found.due is None or scene.choice.both:
        return short
    return tr("{short}, from {look}", short=short, look=spoken_down(found.look_from))


def short_answer_words(scene: HoursScene) -> str:
    """Return the answer for small windows."""
    if scene.lead is None:
        return tr("none yet")
    common = when_together(scene)
    found = scene.lead.prospect
    due = common[0] if common else found.due if found else None
    if due is not None:
        return tr("due {hours}", hours=spoken_down(rounded_down(due)))
    if found is not None and found.outcome is Outcome.NOT_REACHED:
        return tr("not reached")
    return tr("cannot say yet")
