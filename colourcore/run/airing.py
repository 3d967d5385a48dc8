"""How long a room must be aired at least: a least time by air changes, never a clearance.

A gas reading wins over every figure here, and while dish or liquid is in the room the clock has not begun.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from colourcore.errors import InputError
from colourcore.run.ammonia import AMMONIA_MOLAR_MASS, ATMOSPHERE_KPA, GAS_CONSTANT, ZERO_C

__all__ = ["Airing", "airing", "purge_hours", "room_ppm"]

HIGHEST_LIMIT_PPM: Final = 25.0  # NIOSH REL, ACGIH TLV and UK WEL over 8 h; a user's own limit may only be lower
LONGEST_MIXING: Final = 10.0  # mixing factor K of a poorly mixed room; 1 is perfect


def room_ppm(ammonia_g: float, room_m3: float, temperature_c: float = 20.0) -> float:
    """Return the parts per million by volume that this much NH3 comes to when it is spread in the room.

    Ideal gas at 101.325 kPa. Raises InputError for a room of no volume or a negative amount.

    >>> round(room_ppm(28, 50))
    791
    """
    if room_m3 <= 0 or not math.isfinite(room_m3):
        raise InputError(f"expected a room of more than 0 m³, got {room_m3:g}")
    if ammonia_g < 0 or not math.isfinite(ammonia_g):
        raise InputError(f"expected an amount of ammonia of 0 g or more, got {ammonia_g:g}")
    litres_a_mol = GAS_CONSTANT * (temperature_c + ZERO_C) / ATMOSPHERE_KPA
    return 1e6 * ammonia_g / AMMONIA_MOLAR_MASS * litres_a_mol / (1000 * room_m3)


def purge_hours(start_ppm: float, end_ppm: float, air_changes_per_hour: float, mixing: float = 1.0) -> float:
    """Return the hours in which air changes bring one concentration down to another.

    t = K · ln(C1/C2) / ACH. It assumes that nothing gives off any more, so it is a minimum.
    Raises InputError for air changes of zero, a mixing factor outside 1 to 10, and concentrations of zero or less.
    Source: CDC, MMWR 28 October 1994, 43(RR-13), supplement 3 (table S3-1 is its case K = 1).

    >>> round(60 * purge_hours(100, 1, 6))
    46
    """
    if not 0 < air_changes_per_hour < math.inf:
        raise InputError(f"expected more than 0 air changes an hour, got {air_changes_per_hour:g}")
    if not 1 <= mixing <= LONGEST_MIXING:
        raise InputError(f"expected a mixing factor from 1 to {LONGEST_MIXING:g}, got {mixing:g}")
    if not (0 < start_ppm < math.inf and 0 < end_ppm < math.inf):
        raise InputError(f"expected concentrations of more than 0 ppm, got {start_ppm:g} and {end_ppm:g}")
    return max(0.0, mixing * math.log(start_ppm / end_ppm) / air_changes_per_hour)


@dataclass(frozen=True, slots=True, kw_only=True)
class Airing:
    """The least airing of a room: what it may hold at the start, and the hours to the user's limit.

    `hours` is rounded up to five minutes; it counts from when dish and liquid are out of the room.
    """

    start_ppm: float
    limit_ppm: float
    hours: float


def airing(
    ammonia_g: float,
    room_m3: float,
    *,
    air_changes_per_hour: float,
    mixing: float = 3.0,
    limit_ppm: float = 20.0,
    temperature_c: float = 20.0,
) -> Airing:
    """Return the least airing after all the ammonia poured since the last one is loose in the room.

    `limit_ppm` is the user's own, at most 25. Raises InputError for a higher limit, and as `purge_hours` does.

    >>> found = airing(28, 51, air_changes_per_hour=3)
    >>> round(found.start_ppm), round(found.hours, 2)
    (775, 3.67)
    """
    if not 0 < limit_ppm <= HIGHEST_LIMIT_PPM:
        raise InputError(f"expected a limit of more than 0 and at most {HIGHEST_LIMIT_PPM:g} ppm, got {limit_ppm:g}")
    start = room_ppm(ammonia_g, room_m3, temperature_c)
    least = purge_hours(max(start, limit_ppm), limit_ppm, air_changes_per_hour, mixing)
    return Airing(start_ppm=start, limit_ppm=limit_ppm, hours=math.ceil(12 * least - 1e-9) / 12)
