"""The steps of a run as a calendar file with alarms, for the phone: iCalendar, RFC 5545.

Moments are written in UTC, so that no phone has to know the zone; it shows them by its own clock.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from datetime import UTC, datetime, timedelta
from typing import Final

from colourcore.errors import InputError
from colourcore.pipeline.plan import Plan
from colourcore.report.run_words import StepWords, step_words
from colourcore.run.schedule import Step, StepKind

__all__ = ["calendar_bytes"]

_ENDING: Final = "\r\n"
_LONGEST_LINE: Final = 75  # octets, RFC 5545 section 3.1
_MINUTES: Final = {StepKind.SET_UP: 30, StepKind.DRESS: 15}
_ALARMS: Final = {
    StepKind.SET_UP: (0, 30),
    StepKind.LOOK: (0, 15),
    StepKind.RENEW: (0, 15),
    StepKind.PART_IN: (0, 15),
    StepKind.PART_OUT: (0, 15),
    StepKind.DUE: (0, 15),
    StepKind.LATEST: (0, 5),
}
"""Minutes before a step at which it rings; steps that are not named ring when they come."""


def calendar_bytes(plan: Plan, title: str, written: datetime, *, us: bool = False) -> bytes:
    """Return the plan's steps as an iCalendar file; the same input gives the same bytes.

    Parameters
    ----------
    plan
        With clock times; InputError without.
    title
        The job's name.
    written
        The caller's clock, aware.
    us
        Whether amounts are told in US units.
    """
    if plan.schedule is None:
        raise InputError("expected a plan with clock times for a calendar, got hours only")
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//duskgrain//run//EN", "CALSCALE:GREGORIAN"]
    for step in plan.schedule.steps:
        lines += _event(step, step_words(plan, step, us=us), title or "Untitled job", written)
    lines.append("END:VCALENDAR")
    return "".join(_folded(line) + _ENDING for line in lines).encode("utf-8")


def _event(step: Step, words: StepWords, title: str, written: datetime) -> Iterable[str]:
    begins = step.at.astimezone(UTC)
    ends = begins + timedelta(minutes=_MINUTES.get(step.kind, 5))
    told = " ".join(f"{one.lead} {one.sentence}" for one in words.cautions)
    key = hashlib.sha256(f"{title}\n{step.kind}\n{step.part}\n{begins.isoformat()}".encode()).hexdigest()[:32]
    summary = words.lead.rstrip(".,")
    yield "BEGIN:VEVENT"
    yield f"UID:{key}@duskgrain"
    yield f"DTSTAMP:{_moment(written)}"
    yield f"DTSTART:{_moment(begins)}"
    yield f"DTEND:{_moment(ends)}"
    yield f"SUMMARY:{_text(f'{title}: {summary}')}"
    yield f"DESCRIPTION:{_text(f'{words.lead} {words.text}' + (f' Take care. {told}' if told else ''))}"
    yield "TRANSP:TRANSPARENT"
    for minutes in _ALARMS.get(step.kind, (0,)):
        yield from (
            "BEGIN:VALARM",
            "ACTION:DISPLAY",
            f"DESCRIPTION:{_text(summary)}",
            f"TRIGGER:-PT{minutes}M" if minutes else "TRIGGER:PT0S",
            "END:VALARM",
        )
    yield "END:VEVENT"


def _moment(moment: datetime) -> str:
    return f"{moment.astimezone(UTC):%Y%m%dT%H%M%SZ}"


def _text(text: str) -> str:
    """Return text as RFC 5545 section 3.3.11 writes it; control characters are dropped."""
    escaped = text.replace("\\", "\\\\").replace(";", "\\;").replace(",", "\\,")
    return "".join(letter for letter in escaped.replace("\r", "").replace("\n", "\\n") if letter >= " ")


def _folded(line: str) -> str:
    """Return a line cut to 75 octets, each further piece behind a space; never inside a character."""
    pieces, piece, room = [], "", _LONGEST_LINE
    for letter in line:
        size = len(letter.encode("utf-8"))
        if size > room:
            pieces.append(piece)
            piece, room = "", _LONGEST_LINE - 1
        piece, room = piece + letter, room - size
    return f"{_ENDING} ".join([*pieces, piece])
