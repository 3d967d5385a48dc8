"""What is remembered from one start to the next: how things are shown, and which jobs were opened. Never the job."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import Any

from colourcore.errors import InputError
from colourcore.job.files import write_whole

__all__ = ["Preferences", "load_preferences", "save_preferences"]

_MOST_RECENT = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class Preferences:
    """How things are shown and what was opened.

    Attributes
    ----------
    theme
        "light", "dark", or empty for what the system says.
    units
        "metric" or "us".
    spread
        How the hours were spread on their axis the last time, in the place's own word.
    watched
        The folder that was watched for new photos the last time.
    recent
        Paths of jobs and sheets opened before, the last one first.
    started
        Whether the program was used before: the first start shows the invented example.
    """

    theme: str = ""
    units: str = "metric"
    spread: str = ""
    watched: str = ""
    recent: tuple[str, ...] = ()
    started: bool = False

    def with_recent(self, path: Path) -> Preferences:
        """Return the same with a path that was just opened."""
        others = [other for other in self.recent if other != str(path)]
        return replace(self, recent=(str(path), *others)[:_MOST_RECENT])


def load_preferences(path: Path) -> Preferences:
    """Return what is remembered; the defaults where nothing is, or where it cannot be read."""
    try:
        said: Any = json.loads(path.read_text("utf-8"))
    except (OSError, ValueError):
        return Preferences()
    if not isinstance(said, dict):
        return Preferences()
    theme, units, recent = said.get("theme"), said.get("units"), said.get("recent")
    spread, watched = (said.get(name) if isinstance(said.get(name), str) else "" for name in ("spread", "watched"))
    return Preferences(
        theme=theme if theme in ("light", "dark") else "",
        units=units if units in ("metric", "us") else "metric",
        spread=str(spread),
        watched=str(watched),
        recent=tuple(str(entry) for entry in recent)[:_MOST_RECENT] if isinstance(recent, list) else (),
        started=said.get("started") is True,
    )


def save_preferences(path: Path, preferences: Preferences) -> None:
    """Remember; a disk that takes nothing is passed over in silence, the job does not depend on it."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        write_whole(path, json.dumps(asdict(preferences), indent=2).encode("utf-8"))
    except (OSError, InputError):
        return
