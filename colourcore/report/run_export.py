"""The plan of a run as a finished file: the sheet for the wall, or the calendar with its alarms."""

from __future__ import annotations

from datetime import datetime

from colourcore.errors import InputError
from colourcore.pipeline.plan import Plan
from colourcore.report.calendar import calendar_bytes
from colourcore.report.export import versions
from colourcore.report.pdf import pdf_bytes
from colourcore.report.run_sheet import run_sheet
from colourcore.report.webpage import page_html

__all__ = ["PLAN_ENDINGS", "plan_file"]

PLAN_ENDINGS = (".pdf", ".html", ".ics")
"""The forms a plan can have, by the ending of its file."""


def plan_file(
    plan: Plan, ending: str, title: str, *, written: datetime, us: bool = False, invented: bool = False
) -> bytes:
    """Return a plan in the form that the ending asks for; `written` is the caller's clock, aware.

    Raises InputError for an ending that is none of `PLAN_ENDINGS`, and for a plan without clock times.
    """
    if ending not in PLAN_ENDINGS:
        raise InputError(f"expected a file ending in {', '.join(PLAN_ENDINGS)}, got {ending or 'none'}")
    if ending == ".ics":
        return calendar_bytes(plan, title, written, us=us)
    name, version = next(iter(versions().items()))
    sheet = run_sheet(plan, title, written=written, program=f"{name} {version}", us=us, invented=invented)
    return pdf_bytes(sheet) if ending == ".pdf" else page_html(sheet).encode("utf-8")
