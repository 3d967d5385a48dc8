"""Time zones by their names, from the system's own tables or the bundled ones."""

from __future__ import annotations

import zoneinfo
from datetime import tzinfo

import tzlocal

from colourcore.errors import InputError

__all__ = ["time_zone"]


def time_zone(name: str | None = None) -> tzinfo:
    """Return a time zone by its name, this machine's own without one. InputError where there is none of that name.

    >>> str(time_zone("Europe/Berlin"))
    'Europe/Berlin'
    """
    try:
        return tzlocal.get_localzone() if name is None else zoneinfo.ZoneInfo(name)
    except (ValueError, OSError, zoneinfo.ZoneInfoNotFoundError) as error:
        raise InputError(f"expected a time zone such as Europe/Berlin, got {name or 'none'}") from error
