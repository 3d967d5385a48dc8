"""What a maker wants and has for a run, before anything is worked out."""

from __future__ import annotations

from dataclasses import dataclass

from colourcore.run.conditions import Conditions, Room, Strength
from colourcore.run.night import Wish

__all__ = ["GivenHours", "RunWish"]


@dataclass(frozen=True, slots=True, kw_only=True)
class GivenHours:
    """Hours since pouring that the maker states, in place of a job's."""

    look: float
    due: float
    latest: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class RunWish:
    """What a maker wants and has.

    Attributes
    ----------
    tent
        The run's space; its pours are those since it was last aired, still in it. None where nobody said.
    strength
        Of the liquid at hand; None: that of the test.
    stated_litres
        What the maker pours; None: the plan proposes.
    renewals
        Hours at which a stated charge goes in again.
    test
        The samples' conditions, None where nobody said.
    room
        Around the tent, None where nobody said.
    hours
        Stated hours, None: the job's.
    board, zone
        The part that this run is for; None: all.
    staggered
        Whether parts go in one after the other.
    check_piece
        Whether only an offcut can be seen.
    when
        When the maker can be there; None: no clock times.
    """

    tent: Conditions | None = None
    strength: Strength | None = None
    stated_litres: float | None = None
    renewals: tuple[float, ...] = ()
    test: Conditions | None = None
    room: Room | None = None
    hours: GivenHours | None = None
    board: str | None = None
    zone: str | None = None
    staggered: bool = False
    check_piece: bool = False
    when: Wish | None = None
