"""What *Target* says in words."""

from __future__ import annotations

from collections.abc import Sequence

from app.models.hours_words import spoken_hours
from app.models.target_scene import Finished, Reach, reading_of_patch
from app.wording import tr
from colourcore.job.model import Job, Lab, Patch
from colourcore.pipeline import Results
from colourcore.report.phrases import format_error, format_value, odds_in_words

__all__ = [
    "answer",
    "firmness",
    "likeness",
    "opening",
    "pairs_words",
    "plank_words",
    "reach_words",
    "second_line",
    "target_name",
]

NOTHING_LEARNED = (
    "What a finish does to this wood is not known: no sample was read both bare and finished. Finish one or two of "
    "them and read them again."
)
"""Why a raw shade cannot be shown finished."""

_WORN = 1.35  # times the samples' own spread from which an outline holds more than one shade


def target_name(job: Job, target: Patch) -> str:
    """Return how a target is spoken of: by its label, or by where it came from."""
    if target.label:
        return tr("“{label}”", label=target.label)
    if not target.photo:
        return tr("a shade in numbers")
    number = next((n for n, photo in enumerate(job.photos, 1) if photo.name == target.photo), 0)
    return tr("the patch in photo {n}", n=number)


def _lab(results: Results | None, target: Patch) -> Lab | None:
    row = reading_of_patch(results, target.identity)
    if row is None or row.reading is None:
        return target.lab
    lightness, a, b = row.reading.lab
    return (lightness, None, None) if row.reading.colour_lost else (lightness, a, b)


def answer(results: Results | None, target: Patch | None) -> str:
    """Return what stands under the place's name."""
    if target is None:
        return tr("none yet")
    lab = _lab(results, target)
    kind = target.finish or tr("raw")
    return tr("L* {value}, {kind}", value=format_value(lab[0]), kind=kind) if lab else tr("not read yet")


def opening(job: Job, results: Results | None, target: Patch | None) -> str:
    """Return the sentence that opens the place."""
    if target is None:
        return tr("There is **no target yet**: choose where the shade comes from.")
    lab = _lab(results, target)
    name = target_name(job, target)
    if lab is None:
        return tr("The target is {name}; **it is not read yet**.", name=name)
    value = f"**L*\u00a0{format_value(lab[0])}**"
    if target.finish:
        return tr(
            "The target is {name}, {value}, to be matched **under {finish}**.",
            name=name,
            value=value,
            finish=target.finish,
        )
    return tr("The target is {name}, {value}, to be matched by **raw** wood.", name=name, value=value)


def second_line(results: Results | None, target: Patch | None) -> str:
    """Return the quieter line: what the camera's error does to the hours."""
    if target is None:
        return tr(
            "A patch of a photo beside the same card is the surest; numbers and shelf go by the card’s lightness."
        )
    row = reading_of_patch(results, target.identity)
    if not target.photo:
        return tr("Numbers carry no error of their own; that of the samples’ photo falls on the hours whole.")
    frames = {r.set_up for g in (results.groups if results else ()) for r in g.readings}
    if row is not None and row.set_up and row.set_up in frames:
        return tr("Photographed as the samples were, so an error of camera or card falls on both alike.")
    return tr("Photographed in another light or with another camera: what the two may differ by widens the hours.")


def plank_words(lab: Lab | None, error: float | None) -> str:
    """Return the figures under a plank."""
    if lab is None:
        return ""
    lightness, a, b = lab
    said = [f"L*\u00a0{format_value(lightness)}" + (f"\u00a0{format_error(error)}" if error is not None else "")]
    said += [f"{name}\u00a0{format_value(v)}" for name, v in (("a*", a), ("b*", b)) if v is not None]
    return "   ".join(said).replace("± ", "±\u00a0")


def pairs_words(found: Finished) -> str:
    """Return from what the finish was learned."""
    if found.done is None:
        return ""
    if found.guess:
        return tr("a guess from earlier jobs")
    return tr("from one pair of your own") if found.pairs == 1 else tr("from {n} pairs of your own", n=found.pairs)


def reach_words(reach: Reach, *, beyond: bool = False) -> str:
    """Return whether a board and zone gets to the target, with the odds; `beyond` where the rule ends before."""
    odds = odds_in_words(reach.odds) if reach.odds is not None else ""
    if reach.hours is not None:
        told = (
            tr("it vanishes beyond the rule, after {hours}") if beyond else tr("here the cord vanishes, after {hours}")
        )
        said = told.format(hours=spoken_hours(reach.hours))
        sure = reach.odds is None or reach.odds > 0.99
        return said if sure else tr("{said}; gets there: {odds}", said=said, odds=odds)
    stays = tr("it never vanishes: {name} stays {gap} lighter", name=reach.name, gap=format_value(reach.stays))
    return tr("{stays}; gets there: {odds}", stays=stays, odds=odds) if odds else stays


def reach_lines(reaches: Sequence[Reach]) -> str:
    """Return the same of several boards and zones, where there is no room to draw them."""
    told = (tr("{name}: {said}", name=one.name, said=reach_words(one, beyond=True)) for one in reaches)
    lines = "; ".join(text.replace(tr("it vanishes beyond the rule, after"), tr("reached after")) for text in told)
    return tr("**Within reach?** {lines}.", lines=lines) if lines else ""


def firmness(spreads: tuple[float, float] | None) -> tuple[str, bool]:
    """Return what the spread inside the outline does to the hours, and whether it asks for care."""
    if spreads is None:
        return "", False
    own, usual = spreads
    figures = {"own": format_value(own), "usual": format_value(usual)}
    if own > _WORN * usual:
        worn = tr(
            "**A worn patch.** Its lightness wanders by **{own} L*** inside the outline, your samples by {usual}."
        )
        return worn.format(**figures) + " " + tr("A smaller outline on even wood makes the hours firmer."), True
    even = tr("**An even patch.** Its lightness wanders by {own} L* inside the outline, your samples by {usual}.")
    return even.format(**figures), False


def likeness(target: Patch) -> str:
    """Return what the target and the samples must share to be held against each other."""
    if target.finish:
        return tr(
            "**Like with like.** The shade wears {finish}: it is carried back to bare wood.", finish=target.finish
        )
    if not target.photo:
        return tr("**Like with like.** The numbers are taken for bare wood under daylight (D65, 2°).")
    return tr("**Like with like.** Bare wood, like the samples: a patch without polish, wax or dirt.")
