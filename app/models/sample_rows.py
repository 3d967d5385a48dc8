"""What the place *Samples* shows of a job: every sample a row, in the order in which a person reads the photos."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import Enum

from app.models.hours_scene import Stroke
from app.wording import duration, tr
from colourcore.colour.reading import Reading
from colourcore.image.checks import Level
from colourcore.job.model import Job, Patch, group_name
from colourcore.job.reading_order import samples_in_reading_order
from colourcore.pipeline import Group, PatchReading, Results
from colourcore.report.phrases import format_value, of_ten_in_words

__all__ = ["Fit", "SampleRow", "SampleSection", "age_hours", "hours_words", "remark_of", "sample_sections"]

_SUSPECT = 0.5
_TOLD_FROM = 1.0  # L* off the curve, below which a sample is not worth a word


class Fit(Enum):
    """How a sample stands to the others of its board and zone."""

    UNKNOWN = "not fitted"
    GOOD = "agrees"
    OFF = "lies off the curve"
    SUSPECT = "contradicts the others"


@dataclass(frozen=True, slots=True, kw_only=True)
class SampleRow:
    """One sample.

    Attributes
    ----------
    patch
        The sample as the user outlined and described it.
    photo_number
        Its photo's number in the job, from 1.
    stroke
        The line style of its zone on its board.
    found
        What was read there, None before it was.
    refused
        Why there is no reading, empty where there is one.
    fit, off, bad_odds
        How it stands to the others: L* above the curve, and the odds that it is a bad reading.
    age
        Hours between its leaving the vapour and its photo, None where either is not known.
    """

    patch: Patch
    photo_number: int
    stroke: Stroke
    found: PatchReading | None
    refused: str
    fit: Fit
    off: float
    bad_odds: float
    age: float | None

    @property
    def reading(self) -> Reading | None:
        """Its colour, None where there is none."""
        return self.found.reading if self.found else None

    @property
    def name(self) -> str:
        """How it is spoken of."""
        where = group_name(self.patch.board, self.patch.zone)
        return tr("{hours}, {where}", hours=hours_words(self.patch.hours), where=where)


@dataclass(frozen=True, slots=True, kw_only=True)
class SampleSection:
    """Samples of one photo, board and zone that lie together, under one heading."""

    title: str
    rows: tuple[SampleRow, ...]


def hours_words(hours: float | None) -> str:
    """Return how a sample's hours are written.

    >>> hours_words(None), hours_words(0.0).replace("\\u00a0", " "), hours_words(1.5).replace("\\u00a0", " ")
    ('no hours', '0 h', '1 h 30')
    """
    return tr("no hours") if hours is None else duration(hours) if hours else "0\u00a0h"


def age_hours(drawn: str, taken: datetime | None) -> float | None:
    """Return hours from leaving the vapour to the photo; None where either is unknown or cannot be understood.

    Both are clock times where the wood was: a time zone in one of them is left aside.

    >>> age_hours("2025-03-01T08:00", datetime(2025, 3, 2, 10, 30))
    26.5
    """
    if not drawn or taken is None:
        return None
    try:
        left = datetime.fromisoformat(drawn)
    except ValueError:
        return None
    return (taken.replace(tzinfo=None) - left.replace(tzinfo=None)).total_seconds() / 3600


def sample_sections(job: Job, results: Results | None) -> tuple[SampleSection, ...]:
    """Return every sample of the job, photo by photo in reading order, headed where board or zone change."""
    rows = {row.identity: row for row in results.readings} if results else {}
    taken = {photo.name: photo.facts.taken for photo in results.photos} if results else {}
    residuals = _residuals(results.groups) if results else {}
    numbers = {photo.name: number for number, photo in enumerate(job.photos, 1)}
    samples = samples_in_reading_order(job)
    strokes = _strokes(samples)
    sections: list[SampleSection] = []
    for patch in samples:
        found = rows.get(patch.identity)
        off, bad_odds = residuals.get(patch.identity, (0.0, -1.0))
        made = SampleRow(
            patch=patch,
            photo_number=numbers[patch.photo],
            stroke=strokes[patch.board, patch.zone],
            found=found,
            refused=_refusal(found),
            fit=_fit(off, bad_odds),
            off=off,
            bad_odds=max(0.0, bad_odds),
            age=age_hours(patch.drawn, taken.get(patch.photo)),
        )
        last = sections[-1].rows[-1] if sections else None
        if last is not None and _together(last.patch, patch):
            sections[-1] = SampleSection(title=sections[-1].title, rows=(*sections[-1].rows, made))
        else:
            sections.append(SampleSection(title=_title(made), rows=(made,)))
    return tuple(sections)


def _together(one: Patch, two: Patch) -> bool:
    return (one.photo, one.board, one.zone) == (two.photo, two.board, two.zone)


def _title(row: SampleRow) -> str:
    name = group_name(row.patch.board, row.patch.zone)
    if not row.patch.board and not row.patch.zone:
        name = tr("no board or zone yet")
    elif row.patch.board and row.patch.zone:
        name = tr("{zone} of board {board}", zone=row.patch.zone, board=row.patch.board)
    return tr("{name}, photo {n}", name=name[:1].upper() + name[1:], n=row.photo_number)


def _strokes(samples: Sequence[Patch]) -> Mapping[tuple[str, str], Stroke]:
    """Heartwood, or a board's first zone, solid; sapwood, or the second, dashed; further ones dotted and dashed."""
    found: dict[tuple[str, str], Stroke] = {}
    for board in {patch.board for patch in samples}:
        zones = sorted(
            {p.zone for p in samples if p.board == board}, key=lambda z: (z != "heartwood", z == "sapwood", z)
        )
        for number, zone in enumerate(zones):
            stroke = Stroke.DASHED if zone == "sapwood" else list(Stroke)[min(number, 2)]
            found[board, zone] = stroke
    return found


def _refusal(found: PatchReading | None) -> str:
    if found is None or found.reading is not None:
        return ""
    return next((check.message for check in found.checks if check.level is Level.REFUSE), tr("it could not be read"))


def _fit(off: float, bad_odds: float) -> Fit:
    if bad_odds < 0:
        return Fit.UNKNOWN
    if bad_odds >= _SUSPECT:
        return Fit.SUSPECT
    return Fit.OFF if abs(off) >= _TOLD_FROM else Fit.GOOD


def _residuals(groups: Iterable[Group]) -> Mapping[int, tuple[float, float]]:
    """Return L* above the curve and the odds of a bad reading, by sample.

    The fit names its readings by hours and label; of those named alike the lightest lies highest above the curve.
    """
    found: dict[int, tuple[float, float]] = {}
    for group in groups:
        named: dict[tuple[str, float], list[PatchReading]] = {}
        for row in group.readings:
            hours = row.hours or 0.0
            name = f"{hours:g} h" + (f" ({row.label})" if row.label else "")
            named.setdefault((name, hours), []).append(row)
        for key, rows in named.items():
            offs = sorted((r.lightness_off, r.bad_odds) for r in group.answer.residuals if (r.name, r.hours) == key)
            rows.sort(key=lambda row: row.reading.lab[0] if row.reading else 0.0)
            for row, said in zip(rows, offs, strict=False):
                if row.identity is not None:
                    found[row.identity] = said
    return found


def remark_of(row: SampleRow) -> tuple[str, bool]:
    """Return what there is to say of a sample, the weightiest first, and whether it is more than a note."""
    patch, said = row.patch, []
    heavy = True
    if patch.set_aside:
        said.append(tr("set aside: {reason}", reason=patch.set_aside))
    elif row.refused:
        said.append(tr("refused: {reason}", reason=row.refused))
    elif row.fit is Fit.SUSPECT:
        ten = of_ten_in_words(row.bad_odds)
        said.append(tr("{gap}, odds {ten} of ten it misleads", gap=_gap(row.off), ten=ten))
    else:
        heavy = False
    if patch.finish:
        said.append(tr("under {finish}", finish=patch.finish))
    if row.fit is Fit.OFF and not patch.set_aside:
        said.append(_gap(row.off))
    if row.age is not None:
        said.append(_age(row.age))
    if patch.hours == 0 and not said:
        said.append(tr("raw"))
    if row.fit is Fit.GOOD and not said:
        said.append(tr("on the curve"))
    return "; ".join(said), heavy


def _gap(off: float) -> str:
    side = tr("above") if off > 0 else tr("below")
    return tr("{gap} L* {side} the curve", gap=format_value(abs(off)), side=side)


def _age(hours: float) -> str:
    if hours < 0:
        return tr("photographed before it came out: look at both times")
    said = tr("{days} days", days=round(hours / 24)) if hours >= 72 else duration(hours) if hours else "0\u00a0h"
    return tr("{age} after the vapour", age=said)
