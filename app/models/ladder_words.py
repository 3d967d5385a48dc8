"""What the ladder says before there are samples: its sentence, and the start as it is typed and written."""

from __future__ import annotations

import re
from datetime import datetime, timedelta

from app.wording import count, tr
from colourcore.curve.ladder import Ladder
from colourcore.errors import InputError
from colourcore.report.ladder_sheet import clock_time, out_at

__all__ = ["first_start", "ladder_opening", "ladder_under", "parse_start"]

_START = re.compile(r"(?:([a-z]{2,})\.?\s+)?(\d{1,2})[:.](\d{2})", re.IGNORECASE)
_DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")


def first_start(now: datetime) -> datetime:
    """Return the next full half hour.

    >>> first_start(datetime(2025, 3, 1, 12, 41)).isoformat(timespec="minutes")
    '2025-03-01T13:00'
    """
    floor = now.replace(minute=0 if now.minute < 30 else 30, second=0, microsecond=0)
    return floor + timedelta(minutes=30)


def parse_start(text: str, now: datetime) -> datetime:
    """Return a typed start, the next one after `now`: 21:30, Thu 21:30, or 2025-03-06 21:30.

    >>> parse_start("thu 21:30", datetime(2025, 3, 1, 12, 41)).isoformat(timespec="minutes")
    '2025-03-06T21:30'
    """
    said = text.strip()
    found = _START.fullmatch(said)
    try:
        if found is None:
            return datetime.fromisoformat(said)
        start = now.replace(hour=int(found[2]), minute=int(found[3]), second=0, microsecond=0)
        days = [n for n, day in enumerate(_DAYS) if found[1] and found[1].lower().startswith(day)]
        if found[1] and not days:
            raise ValueError
    except ValueError:
        raise InputError(tr("expected a start such as Thu 21:30, got {text}", text=said or tr("nothing"))) from None
    ahead = (days[0] - start.weekday()) % 7 if days else 0
    start += timedelta(days=ahead)
    return start if start >= now else start + timedelta(days=7 if days else 1)


def ladder_opening(ladder: Ladder, start: datetime) -> str:
    """Return the sentence that opens the ladder."""
    exposed = sum(rung.hours > 0 for rung in ladder.rungs)
    return tr(
        "{offcuts} go in from **{start}**, and all come out at **{out}**.",
        offcuts=count(exposed, "offcut", "offcuts"),
        start=clock_time(start).replace(" ", "\u00a0"),
        out=clock_time(out_at(ladder, start)).replace(" ", "\u00a0"),
    )


def ladder_under() -> str:
    """Return the quieter line under it."""
    kept = tr("Cut them from one board, keep one raw.")
    return tr("{kept} Photograph one at once and all when settled, a grey card beside them.", kept=kept)
