"""Where jobs and the user's own things live on this machine."""

from __future__ import annotations

import contextlib
from datetime import date
from pathlib import Path

import platformdirs

from colourcore.job.files import free_name
from colourcore.job.names import file_name

__all__ = ["ENDING", "claims_folder", "dated_path", "jobs_folder", "named_path", "shelf_path"]

ENDING = ".duskgrain"
"""The ending of a job file's name."""


def jobs_folder() -> Path:
    """Return the folder in which new jobs begin: the user's documents, or their home where there are none."""
    with contextlib.suppress(OSError):
        documents = platformdirs.user_documents_path()
        if documents.is_dir():
            return documents
    return Path.home()


def dated_path(folder: Path, day: date) -> Path:
    """Return a free path for a job begun on a day.

    >>> dated_path(Path("nowhere"), date(2026, 5, 9)).name
    'Job 2026-05-09.duskgrain'
    """
    return free_name(folder / f"Job {day.isoformat()}{ENDING}")


def named_path(path: Path, name: str) -> Path:
    """Return a free path beside a job file, named in the user's words; the very path where the name stays.

    >>> named_path(Path("nowhere/Job 2026-05-09.duskgrain"), "Lidded chest: front").name
    'Lidded chest front.duskgrain'
    """
    wanted = path.with_name(file_name(name, ENDING))
    return path if wanted == path else free_name(wanted)


def shelf_path() -> Path:
    """Return where the user's own shelf lies, in their data folder; the folder is made where it is missing."""
    return platformdirs.user_data_path("duskgrain", appauthor=False, ensure_exists=True) / "shelf.sqlite"


def claims_folder() -> Path:
    """Return where windows note which jobs they have open."""
    return platformdirs.user_data_path("duskgrain", appauthor=False) / "open"
