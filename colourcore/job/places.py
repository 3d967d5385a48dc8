"""The names that job files get: dated when they begin, in the user's words when they are renamed."""

from __future__ import annotations

from datetime import date
from pathlib import Path

from colourcore.job.files import free_name
from colourcore.job.names import file_name

__all__ = ["ENDING", "dated_path", "named_path"]

ENDING = ".duskgrain"
"""The ending of a job file's name."""


def dated_path(folder: Path, day: date, name: str = "") -> Path:
    """Return a free path for a job begun on a day; the name may hold whatever a maker types.

    >>> dated_path(Path("nowhere"), date(2026, 5, 9), "Chest: left/right").name
    '2026-05-09 Chest left right.duskgrain'
    """
    return free_name(folder / file_name(f"{day.isoformat()} {name.strip() or 'job'}", ENDING))


def named_path(path: Path, name: str) -> Path:
    """Return a free path beside a job file, named in the user's words; the very path where the name stays.

    >>> named_path(Path("nowhere/2026-05-09 job.duskgrain"), "Lidded chest: front").name
    'Lidded chest front.duskgrain'
    """
    wanted = path.with_name(file_name(name, ENDING))
    return path if wanted == path else free_name(wanted)
