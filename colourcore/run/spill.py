"""What comes loose in the room when a tent is opened, and how it may be opened then."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from colourcore.run.airing import room_ppm
from colourcore.run.cautions import CARTRIDGE_LIMIT_PPM, DANGER_TO_LIFE_PPM
from colourcore.run.charge import ammonia_per_m3
from colourcore.run.conditions import Conditions, Room

__all__ = ["Opening", "Spill", "spill"]


class Opening(StrEnum):
    """How a tent may be opened.

    By hand only where its whole content, loose in the room, stays under what a cartridge serves for; that is stricter
    than the danger to life, because between the two no cartridge serves either.
    """

    BY_HAND = "by hand"
    FROM_OUTSIDE = "from outside"


@dataclass(frozen=True, slots=True, kw_only=True)
class Spill:
    """All the ammonia of a tent loose in its room: ppm by volume at the strength's upper end, None where unknown."""

    ppm: float | None
    opening: Opening

    @property
    def sentence(self) -> str:
        """What follows from it, in plain words."""
        outside = "nobody opens the tent by hand; the flap is pulled open from outside the room"
        if self.ppm is None:
            return f"The room is not known, so what would be loose in it is not either: {outside}."
        if self.opening is Opening.BY_HAND:
            return (
                f"All of it loose in this room is {self.ppm:.0f} ppm, under the {CARTRIDGE_LIMIT_PPM:g} that type K "
                "cartridges serve for: it is opened by hand only by somebody dressed as for pouring."
            )
        if self.ppm < DANGER_TO_LIFE_PPM:
            return (
                f"All of it loose in this room is {self.ppm:.0f} ppm, past the {CARTRIDGE_LIMIT_PPM:g} that any "
                f"cartridge serves for: {outside}."
            )
        limit = f"{DANGER_TO_LIFE_PPM:g}"
        return f"All of it loose in this room is {self.ppm:.0f} ppm. Past {limit} no cartridge will do: {outside}."


def spill(tent: Conditions, room: Room | None) -> Spill:
    """Return what the tent holds at most, loose in the room: every pour since it was last aired.

    >>> from colourcore.run.conditions import Pour, Strength
    >>> tent = Conditions(space_m3=1.08, pours=(Pour(volume_litres=0.11, strength=Strength.said("28")),))
    >>> found = spill(tent, Room(space_m3=50, air_changes_per_hour=3))
    >>> round(found.ppm), found.opening.value
    (781, 'from outside')
    """
    if room is None:
        return Spill(ppm=None, opening=Opening.FROM_OUTSIDE)
    grams = ammonia_per_m3(tent)[1] * tent.air_m3
    ppm = room_ppm(grams, room.space_m3, tent.warmest_c)
    return Spill(ppm=ppm, opening=Opening.BY_HAND if ppm < CARTRIDGE_LIMIT_PPM else Opening.FROM_OUTSIDE)
