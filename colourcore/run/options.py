"""What a maker types about a run, word by word, and the wish that it comes to. The clock and the zone are arguments."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime, time, timedelta, tzinfo
from typing import Any, Final

from colourcore.errors import InputError
from colourcore.run.conditions import Conditions, Pour, Room, Strength
from colourcore.run.night import Wish
from colourcore.run.quantities import parse_area, parse_grams, parse_litres, parse_space, parse_temperature
from colourcore.run.run_wish import GivenHours, RunWish
from colourcore.run.schedule import Quiet, local_time

__all__ = [
    "OPTIONS",
    "SWITCHES",
    "Option",
    "parse_days_off",
    "parse_hours",
    "parse_moment",
    "parse_quiet",
    "wish_of",
]

_DAYS: Final = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
_LONGEST_HOURS: Final = 10_000.0


def _positive(text: str) -> float:
    try:
        number = float(text.replace(",", "."))
    except ValueError:
        number = float("nan")
    if not 0 < number < _LONGEST_HOURS:
        raise InputError(f"expected a number of more than 0, got {text.strip() or 'nothing'}")
    return number


def parse_hours(text: str) -> tuple[float, ...]:
    """Return hours since pouring, typed with commas between.

    >>> parse_hours("8, 16")
    (8.0, 16.0)
    """
    return tuple(_positive(part) for part in text.split(","))


def _clock(text: str) -> time:
    found = re.fullmatch(r"\s*([0-9]{1,2})(?::([0-9]{2}))?\s*", text)
    if found is None or int(found[1]) > 23 or int(found[2] or 0) > 59:
        raise InputError(f"expected a clock time such as 22:00, got {text.strip() or 'nothing'}")
    return time(int(found[1]), int(found[2] or 0))


def parse_quiet(text: str) -> tuple[time, time]:
    """Return the two ends of quiet hours.

    >>> parse_quiet("22:00-7")
    (datetime.time(22, 0), datetime.time(7, 0))
    """
    begins, dash, ends = text.replace("–", "-").partition("-")
    if not dash:
        raise InputError(f"expected quiet hours such as 22:00-07:00, got {text.strip() or 'nothing'}")
    return _clock(begins), _clock(ends)


def parse_days_off(text: str) -> frozenset[int]:
    """Return weekdays, 0 for Monday, from their first three letters.

    >>> sorted(parse_days_off("Sat, sunday"))
    [5, 6]
    """
    said = [part.strip().lower()[:3] for part in text.split(",")]
    if not all(part in _DAYS for part in said):
        raise InputError(f"expected days such as sat,sun, got {text.strip() or 'nothing'}")
    return frozenset(_DAYS.index(part) for part in said)


def parse_moment(text: str) -> datetime | time:
    """Return a day with a time (ISO 8601, with or without an offset), or a clock time alone.

    >>> parse_moment("2026-05-03T21:30"), parse_moment("14:00")
    (datetime.datetime(2026, 5, 3, 21, 30), datetime.time(14, 0))
    """
    try:
        return _clock(text) if len(text.strip()) <= 5 else datetime.fromisoformat(text.strip())
    except ValueError:
        raise InputError(f"expected a time such as 2026-05-03T21:30 or 14:00, got {text.strip()}") from None


def _weighed(text: str) -> Strength:
    parts = text.split(",")
    if len(parts) != 2:
        raise InputError(f"expected grams and millilitres such as 89.8,100, got {text.strip() or 'nothing'}")
    return Strength.weighed(parse_grams(parts[0]), _positive(parts[1]))


@dataclass(frozen=True, slots=True, kw_only=True)
class Option:
    """One thing to be said: its name, how its text is understood, what stands for it, and what it means."""

    name: str
    parse: Callable[[str], Any]
    stands_for: str
    means: str


def _option(name: str, parse: Callable[[str], Any], stands_for: str, means: str) -> Option:
    return Option(name=name, parse=parse, stands_for=stands_for, means=means)


OPTIONS: Final = (
    _option("tent", parse_space, "SPACE", "inside of the tent: 1.2x1.0x0.9, 1.08 m3, 4x3x3 ft"),
    _option("wood", parse_space, "SPACE", "volume of the wood in it"),
    _option("wood-area", parse_area, "AREA", "surface of the wood in it"),
    _option("warmth", parse_temperature, "T", "of the air in the tent, 18 or 64F (default 20)"),
    _option("strength", Strength.said, "S", "28, 20-30, 26Be or unknown"),
    _option("weighed", _weighed, "G,ML", "the strength from weighing a measured volume"),
    _option("charge", parse_litres, "V", "what you pour: 0.11, 110ml, 3.7floz (default: proposed)"),
    _option("renew", parse_hours, "H,H", "hours at which the same goes in again"),
    _option("poured", parse_litres, "V", "poured since the tent was last aired, still in it"),
    _option("dish", parse_area, "AREA", "area of one dish (default 0.04 m²)"),
    _option("test-tub", parse_space, "SPACE", "the samples' box"),
    _option("test-charge", parse_litres, "V", "what the samples stood over"),
    _option("test-strength", Strength.said, "S", "its strength (default: the run's)"),
    _option("test-warmth", parse_temperature, "T", "of the air in the box (default 20)"),
    _option("test-renew", parse_hours, "H,H", "hours at which it was renewed"),
    _option("room", parse_space, "SPACE", "the room around the tent"),
    _option("air-changes", _positive, "N", "of the room, an hour"),
    _option("mixing", _positive, "K", "1 stirred to 10 dead corners (default 3)"),
    _option("limit", _positive, "PPM", "your own limit, at most 25 (default 20)"),
    _option("look", _positive, "H", "hours to the first look, in place of a job's"),
    _option("due", _positive, "H", "hours to due, in place of a job's"),
    _option("latest", _positive, "H", "the latest hours, in place of a job's"),
    _option("board", str, "B", "the board this run is for"),
    _option("zone", str, "Z", "the zone this run is for"),
    _option("start", parse_moment, "TIME", "pour at 2026-05-03T21:30"),
    _option("start-by", parse_moment, "TIME", "pour at any time until then"),
    _option("quiet", parse_quiet, "HOURS", "22:00-07:00: no step falls into them"),
    _option("days-off", parse_days_off, "DAYS", "sat,sun: no step falls on them"),
)
"""All that a maker may say of a run; each text is understood by its `parse`, which raises InputError."""

SWITCHES: Final = (
    ("leaky", "the tent leaks"),
    ("test-leaky", "the samples' box leaked"),
    ("staggered", "parts go in one after the other and come out together"),
    ("check-piece", "only an offcut can be seen, not the piece"),
    ("no-clock", "hours only, no clock times"),
)
"""What is either so or not."""


def wish_of(said: Mapping[str, Any], before: RunWish, *, now: datetime, zone: tzinfo) -> RunWish:
    """Return the wish that options come to; what is not said stays as it was before.

    Parameters
    ----------
    said
        By an option's name: its parsed value; None or missing where it was not said.
    before
        What a job says already; `RunWish()` without one.
    now, zone
        The caller's clock, aware, and the maker's zone.

    Raises InputError for values that cannot be together.
    """
    strength = said.get("weighed") or said.get("strength") or before.strength
    tent = _tent(said, before.tent, strength)
    return replace(
        before,
        tent=tent,
        strength=strength,
        stated_litres=said.get("charge") or before.stated_litres,
        renewals=said.get("renew") or before.renewals,
        test=_test(said, before.test, strength),
        room=_room(said, before.room),
        hours=_hours(said) or before.hours,
        board=said["board"] if said.get("board") is not None else before.board,
        zone=said["zone"] if said.get("zone") is not None else before.zone,
        staggered=bool(said.get("staggered")) or before.staggered,
        check_piece=bool(said.get("check-piece")) or before.check_piece,
        when=None if said.get("no-clock") else _when(said, before.when, now.astimezone(zone), zone),
    )


def _either(said: Mapping[str, Any], name: str, other: Any) -> Any:
    value = said.get(name)
    return other if value is None else value


def _tent(said: Mapping[str, Any], before: Conditions | None, strength: Strength | None) -> Conditions | None:
    if said.get("tent") is None and before is None:
        return None
    old = before or Conditions(space_m3=said["tent"])
    pours = old.pours
    if said.get("poured") is not None:
        if strength is None:
            raise InputError("expected the strength of what was poured already, got none")
        pours = (Pour(volume_litres=said["poured"], strength=strength),)
    return replace(
        old,
        space_m3=_either(said, "tent", old.space_m3),
        temperature_c=_either(said, "warmth", old.temperature_c),
        pours=pours,
        dish_area_m2=_either(said, "dish", old.dish_area_m2),
        wood_m3=_either(said, "wood", old.wood_m3),
        wood_area_m2=_either(said, "wood-area", old.wood_area_m2),
        sealed=old.sealed and not said.get("leaky"),
    )


def _test(said: Mapping[str, Any], before: Conditions | None, strength: Strength | None) -> Conditions | None:
    if said.get("test-tub") is None and said.get("test-charge") is None:
        return before
    if said.get("test-tub") is None or said.get("test-charge") is None:
        raise InputError("expected the samples’ box and what was poured into it, got one of the two")
    liquid = said.get("test-strength") or strength
    if liquid is None:
        raise InputError("expected the strength of what the samples stood over, got none")
    first = Pour(volume_litres=said["test-charge"], strength=liquid)
    again = tuple(replace(first, at_hours=hours) for hours in said.get("test-renew") or ())
    return Conditions(
        space_m3=said["test-tub"],
        temperature_c=_either(said, "test-warmth", 20.0),
        pours=(first, *again),
        sealed=not said.get("test-leaky"),
    )


def _room(said: Mapping[str, Any], before: Room | None) -> Room | None:
    if before is None and said.get("room") is None:
        return None
    if before is None and said.get("air-changes") is None:
        raise InputError("expected the room’s air changes an hour, got none")
    old = before or Room(space_m3=said["room"], air_changes_per_hour=said["air-changes"])
    return replace(
        old,
        space_m3=_either(said, "room", old.space_m3),
        air_changes_per_hour=_either(said, "air-changes", old.air_changes_per_hour),
        mixing=_either(said, "mixing", old.mixing),
        limit_ppm=_either(said, "limit", old.limit_ppm),
    )


def _hours(said: Mapping[str, Any]) -> GivenHours | None:
    look, due = said.get("look"), said.get("due")
    if look is None and due is None:
        if said.get("latest") is not None:
            raise InputError("expected the hours to look and due beside the latest, got none")
        return None
    if look is None or due is None:
        raise InputError("expected the hours to look and the hours due, got one of the two")
    return GivenHours(look=look, due=due, latest=said.get("latest"))


def _when(said: Mapping[str, Any], before: Wish | None, now: datetime, zone: tzinfo) -> Wish:
    old = before or Wish(now=now)
    quiet = old.quiet
    if said.get("quiet") is not None or said.get("days-off") is not None:
        begins, ends = said.get("quiet") or (time(0), time(0))
        quiet = Quiet(begins=begins, ends=ends, days_off=said.get("days-off") or frozenset())
    start, by = said.get("start"), said.get("start-by")
    if start is not None and by is not None:
        raise InputError("expected one start, or a time to start by, got both")
    fresh = start is not None or by is not None
    return Wish(
        now=now,
        start=_moment(start, now, zone) if fresh else old.start,
        start_by=_moment(by, now, zone) if fresh else old.start_by,
        quiet=quiet,
    )


def _moment(said: datetime | time | None, now: datetime, zone: tzinfo) -> datetime | None:
    """Return the moment that was typed; a clock time alone is the next such hour."""
    if said is None:
        return None
    if isinstance(said, datetime):
        return local_time(said, zone)
    day = now.date() if said > now.time() else now.date() + timedelta(days=1)
    return local_time(datetime.combine(day, said), zone)
