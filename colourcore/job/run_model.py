"""What the user decided and noted about the run: tent, test, room, times, log, looks, outcome. Metric, never results.

Nothing here is checked against what can be: a job keeps what was typed, and the run room says what is wrong with it.
Moments are ISO 8601 with their offset, as text.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from colourcore.run.happening import Happening

__all__ = [
    "LogRecord",
    "LookRecord",
    "OutcomeRecord",
    "PourRecord",
    "RoomRecord",
    "RunRecord",
    "SurroundingsRecord",
    "TimesRecord",
]

_Unknown = tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PourRecord:
    """Liquid put in: litres, mass fractions of NH3 at both ends of what is known, hours since the vapour began."""

    litres: float
    strength_low: float
    strength_high: float
    at_hours: float = 0.0
    unknown: _Unknown = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class SurroundingsRecord:
    """What stands around the wood, in the samples' test or in the run.

    Attributes
    ----------
    sides_m
        Length, width and height of the inside, empty where only the volume was said.
    space_m3
        Its volume, None where nobody said.
    temperature_c
        Of the air in it.
    pours
        Every pour since it was last aired.
    dish_area_m2
        Area of one dish.
    wood_m3, wood_area_m2
        The wood in it.
    sealed
        Whether it was taped shut, or leaked.
    openings_hours
        When it was opened, in hours since the vapour began.
    """

    sides_m: tuple[float, ...] = ()
    space_m3: float | None = None
    temperature_c: float = 20.0
    pours: tuple[PourRecord, ...] = ()
    dish_area_m2: float = 0.04
    wood_m3: float = 0.0
    wood_area_m2: float = 0.0
    sealed: bool = True
    openings_hours: tuple[float, ...] = ()
    unknown: _Unknown = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomRecord:
    """The room around the tent; `space_m3` None where nobody said."""

    sides_m: tuple[float, ...] = ()
    space_m3: float | None = None
    air_changes_per_hour: float | None = None
    mixing: float = 3.0
    limit_ppm: float = 20.0
    unknown: _Unknown = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class TimesRecord:
    """When the maker can be there: moments as ISO 8601, clock times as 22:00, weekdays from 0, empty where not said."""

    zone: str = ""
    start: str = ""
    start_by: str = ""
    quiet_begins: str = ""
    quiet_ends: str = ""
    days_off: tuple[int, ...] = ()
    unknown: _Unknown = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class LogRecord:
    """One thing that happened in the run."""

    kind: Happening
    at: str
    pour: PourRecord | None = None
    temperature_c: float | None = None
    ppm: float | None = None
    note: str = ""
    unknown: _Unknown = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class LookRecord:
    """A look: the patch that shows the piece, and the patch of the target in the same photo.

    Attributes
    ----------
    at
        When the photo was taken.
    identity, target_identity
        Of the patches; None where the look was given as numbers, or had no target beside it.
    lab, target_lab
        L*, a*, b* given as numbers.
    piece
        Empty for the piece itself, else the check piece's name.
    through_film
        Whether the photo was taken through film.
    """

    at: str
    identity: int | None = None
    target_identity: int | None = None
    lab: tuple[float, float | None, float | None] | None = None
    target_lab: tuple[float, float | None, float | None] | None = None
    piece: str = ""
    through_film: bool = True
    note: str = ""
    unknown: _Unknown = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class OutcomeRecord:
    """How the piece came out: when it was read, by which patch or as which numbers, and the maker's own words."""

    at: str
    identity: int | None = None
    lab: tuple[float, float | None, float | None] | None = None
    note: str = ""
    unknown: _Unknown = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class RunRecord:
    """The run of a job.

    Attributes
    ----------
    tent, test, room
        The run's surroundings, the samples', and the room around the tent.
    strength_low, strength_high
        Mass fractions of NH3 in the liquid at hand; None where nobody said.
    stated_litres
        What the maker pours; None where the plan proposes.
    renewals_hours
        When the same goes in again.
    staggered, check_piece
        Whether parts go in one after the other; whether only an offcut can be seen.
    times
        When the maker can be there.
    log, looks, outcome
        What happened, in any order.
    """

    tent: SurroundingsRecord = field(default_factory=SurroundingsRecord)
    test: SurroundingsRecord = field(default_factory=SurroundingsRecord)
    room: RoomRecord = field(default_factory=RoomRecord)
    strength_low: float | None = None
    strength_high: float | None = None
    stated_litres: float | None = None
    renewals_hours: tuple[float, ...] = ()
    staggered: bool = False
    check_piece: bool = False
    times: TimesRecord = field(default_factory=TimesRecord)
    log: tuple[LogRecord, ...] = ()
    looks: tuple[LookRecord, ...] = ()
    outcome: OutcomeRecord | None = None
    unknown: _Unknown = ()
