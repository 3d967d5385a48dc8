"""What *Samples* says in words: the sentence, the answer under its name, and the echo of hours being typed."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta

from app.models.sample_rows import Fit, SampleRow, hours_words
from app.wording import count, tr
from colourcore.errors import InputError
from colourcore.report.phrases import format_value

__all__ = ["drawn_words", "echo", "opening", "parse_drawn", "short_answer", "typed_hours", "under_opening"]

_CLOCK = re.compile(r"(\d+)(?:h|:)(\d{1,2})?(?:min)?", re.IGNORECASE)
_JOINED = re.compile(r"(\d)\s*(h)\s*(?=\d|\W|$)(?:(\d{1,2})(?=\D|$))?(?:\s*min)?", re.IGNORECASE)
_CLOCK_ONLY = re.compile(r"(\d{1,2}):(\d{2})")
_AGES_APART = 24.0  # hours by which samples of one curve may differ in age before it is worth a word


def typed_hours(text: str) -> tuple[list[float], str]:
    """Return hours typed as a run, parted by commas, semicolons or spaces, and what could not be understood.

    Hours may be written 4, 4.5, 4h30, 4 h 30 or 4:30.

    >>> typed_hours("0, 1 2; 4 h 30 6:15"), typed_hours("1, two")
    (([0.0, 1.0, 2.0, 4.5, 6.25], ''), ([1.0], 'two'))
    """
    joined = _JOINED.sub(lambda found: f"{found[1]}h{found[3] or ''} ", text)
    hours: list[float] = []
    for part in re.split(r"[;,\s]+", joined.strip()):
        clock = _CLOCK.fullmatch(part)
        if clock:
            hours.append(int(clock[1]) + int(clock[2] or 0) / 60)
        elif part:
            try:
                hours.append(float(part))
            except ValueError:
                return hours, part
    return hours, ""


def echo(text: str, rows: Sequence[SampleRow], *, chosen: bool) -> tuple[str, bool]:
    """Return what is said beside the field while hours are typed, and whether they fit the samples."""
    hours, odd = typed_hours(text)
    photos = sorted({row.photo_number for row in rows})
    which = tr("chosen samples") if chosen else tr("samples")
    where = tr(" of photo {n}", n=photos[0]) if len(photos) == 1 else ""
    if not rows:
        return tr("no samples yet"), False
    if odd:
        return tr("{text} is no hours: write 4, 4.5 or 4 h 30", text=odd), False
    if not hours:
        return tr("for {m} {which}{where}, in reading order", m=len(rows), which=which, where=where), False
    said = tr("{n} hours for {m} {which}{where}", n=len(hours), m=len(rows), which=which, where=where)
    left = len(rows) - len(hours)
    if left > 0:
        return tr("{said}: {left} to come", said=said, left=left), False
    if left < 0:
        return tr("{said}: {more} too many", said=said, more=-left), False
    return said, True


def opening(rows: Sequence[SampleRow]) -> str:
    """Return the sentence that opens the place."""
    boards = {row.patch.board for row in rows if row.patch.board}
    of = tr(" of {boards}", boards=count(len(boards), "board", "boards").lower()) if boards else ""
    start = tr("{samples}{of}.", samples=count(len(rows), "sample", "samples"), of=of)
    return tr("{start} {state}", start=start, state=_state(rows))


def _state(rows: Sequence[SampleRow]) -> str:
    waiting = [row for row in rows if row.patch.hours is None]
    refused = [row for row in rows if row.refused and not row.patch.set_aside]
    suspects = [row for row in rows if row.fit is Fit.SUSPECT and not row.patch.set_aside]
    aside = [row for row in rows if row.patch.set_aside]
    if waiting:
        verb = tr("has no hours yet") if len(waiting) == 1 else tr("have no hours yet")
        return tr("**{n} {verb}.**", n=_number(waiting), verb=verb)
    if refused:
        verb = tr("is refused") if len(refused) == 1 else tr("are refused")
        return tr("**{n} {verb}:** {name}.", n=_number(refused), verb=verb, name=refused[0].name)
    if suspects:
        row = max(suspects, key=lambda one: one.bad_odds)
        side = tr("lighter") if row.off > 0 else tr("darker")
        gap = format_value(abs(row.off))
        verb = tr("contradicts") if len(suspects) == 1 else tr("contradict")
        number = _number(suspects)
        told = tr("{name} is {gap} L* {side} than its curve", name=row.name, gap=gap, side=side)
        return tr("**{n} {verb} the others:** {told}.", n=number, verb=verb, told=told)
    if aside:
        verb = tr("is set aside") if len(aside) == 1 else tr("are set aside")
        row = aside[0]
        told = tr("{name}, {reason}", name=row.name, reason=row.patch.set_aside)
        return tr("**{n} {verb}:** {told}.", n=_number(aside), verb=verb, told=told)
    if all(row.fit is Fit.UNKNOWN for row in rows):
        return (
            tr("**They are being read.**") if all(row.found is None for row in rows) else tr("Every one has its hours.")
        )
    return tr("**None contradicts the others.**")


def _number(rows: Sequence[SampleRow]) -> str:
    return count(len(rows), "", "").strip()


def under_opening(rows: Sequence[SampleRow]) -> str:
    """Return the quieter line: what to do here, or that samples of one curve differ in age."""
    ages: dict[tuple[str, str], list[float]] = {}
    for row in rows:
        if row.age is not None and row.patch.hours:
            ages.setdefault((row.patch.board, row.patch.zone), []).append(row.age)
    apart = max((max(found) - min(found) for found in ages.values()), default=0.0)
    if apart > _AGES_APART:
        return tr(
            "Samples of one curve differ in age by up to {apart}: wood goes on changing after the vapour.",
            apart=hours_words(float(round(apart))),
        )
    return tr("Type the hours once, in the order the samples lie in the photo. Choose several to say a thing of all.")


def short_answer(rows: Sequence[SampleRow]) -> str:
    """Return what stands under the place's name."""
    if not rows:
        return tr("none yet")
    waiting = sum(row.patch.hours is None for row in rows)
    aside = sum(bool(row.patch.set_aside) for row in rows)
    if waiting:
        return tr("{n}, {m} without hours", n=len(rows), m=waiting)
    if aside:
        return tr("{n}, {m} set aside", n=len(rows), m=aside)
    return tr("{n}, none set aside", n=len(rows))


def parse_drawn(text: str, taken: Mapping[str, datetime | None], photo: str) -> str:
    """Return a time out of the vapour as the job keeps it; a clock time alone is that before the photo was taken.

    >>> parse_drawn("8:30", {"a.jpg": datetime(2025, 3, 2, 7, 0)}, "a.jpg"), parse_drawn("2025-03-01 8:05", {}, "")
    ('2025-03-01T08:30', '2025-03-01T08:05')
    """
    said = text.strip()
    if not said:
        return ""
    clock = _CLOCK_ONLY.fullmatch(said)
    seen = taken.get(photo)
    try:
        if clock and seen is not None:
            moment = seen.replace(hour=int(clock[1]), minute=int(clock[2]), second=0, microsecond=0)
            day = moment if moment <= seen else moment - timedelta(days=1)
            return day.replace(tzinfo=None).isoformat(timespec="minutes")
        date, _, hour = said.replace("T", " ").partition(" ")
        hour = hour.strip() or "00:00"
        return datetime.fromisoformat(f"{date} {hour.zfill(5)}").isoformat(timespec="minutes")
    except ValueError:
        pass
    raise InputError(tr("expected a day and time such as 2025-03-01 08:30, got {text}", text=said))


def drawn_words(drawn: str) -> str:
    """Return a kept time as it is typed.

    >>> drawn_words("2025-03-01T08:30")
    '2025-03-01 08:30'
    """
    return drawn.replace("T", " ")
