"""Cautions for working with ammonia, as data: each with the moment it belongs to.

They hold for the samples' test as well as for the run. Figures that other rooms need stand as constants beside the
sentences that use them, with their sources. A sign on the door, eyelids held open, a second person and pouring outdoors
are common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

__all__ = [
    "CARTRIDGE_LIMIT_PPM",
    "CAUTIONS",
    "DANGER_TO_LIFE_PPM",
    "EXPOSURE_LIMITS",
    "FLAMMABLE_HIGH_PERCENT",
    "FLAMMABLE_LOW_PERCENT",
    "Caution",
    "ExposureLimit",
    "Moment",
    "cautions_at",
    "pinned_cautions",
]

FLAMMABLE_LOW_PERCENT: Final = 15.0
"""Share of ammonia in air, % by volume, from which it can burn (NIOSH Pocket Guide; other tables start at 16)."""

FLAMMABLE_HIGH_PERCENT: Final = 28.0
"""Share of ammonia in air, % by volume, up to which it can burn (NIOSH Pocket Guide; other tables end at 25)."""

DANGER_TO_LIFE_PPM: Final = 300.0
"""Immediately dangerous to life or health, ppm by volume (NIOSH IDLH)."""

CARTRIDGE_LIMIT_PPM: Final = 250.0
"""The most that a half-mask with ammonia cartridges serves for, ppm: ten times the NIOSH limit of 25."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ExposureLimit:
    """A limit for ammonia in breathing air.

    Attributes
    ----------
    issuer
        Who set it, and under which name.
    ppm
        Parts per million by volume.
    over
        The time it is averaged over, in words.
    """

    issuer: str
    ppm: float
    over: str


EXPOSURE_LIMITS: Final = (
    ExposureLimit(issuer="EU indicative limit", ppm=20.0, over="8 hours"),
    ExposureLimit(issuer="NIOSH REL", ppm=25.0, over="a working day"),
    ExposureLimit(issuer="ACGIH TLV", ppm=25.0, over="8 hours"),
    ExposureLimit(issuer="UK WEL", ppm=25.0, over="8 hours"),
    ExposureLimit(issuer="NIOSH, ACGIH and UK short-term limits", ppm=35.0, over="15 minutes"),
    ExposureLimit(issuer="OSHA PEL", ppm=50.0, over="8 hours"),
)
"""Limits as their issuers state them, lowest first."""


class Moment(StrEnum):
    """When a caution is to be read."""

    ALWAYS = "always"
    BEFORE_TEST = "before the samples or the piece go in"
    POURING = "pouring"
    LOOKING = "looking"
    ENDING = "ending"
    AIRING = "airing"


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution:
    """One caution.

    Attributes
    ----------
    key
        Its name in code and JSON; never changes.
    lead
        The bold first words.
    sentence
        What follows them, whole.
    pinned
        A shorter wording for the page over the bench; empty where the caution does not stand there.
    moment
        When it is to be read.
    """

    key: str
    lead: str
    sentence: str
    pinned: str = ""
    moment: Moment


CAUTIONS: Final = (
    Caution(
        key="first",
        lead="Before anything:",
        sentence=(
            "your product’s safety data sheet, the rules where you live and licensed practice come before every line "
            "here. The samples’ test is the same gas in a smaller box: all of this holds for it too."
        ),
        pinned="your product’s safety data sheet and local rules come before this page, for samples as for the piece.",
        moment=Moment.ALWAYS,
    ),
    Caution(
        key="limits",
        lead="How little is too much:",
        sentence=(
            "limits in breathing air are 20 ppm (EU, over 8 hours), 25 (NIOSH, ACGIH and UK, over a working day), 35 "
            "(the same three, over 15 minutes) and 50 (OSHA, over 8 hours). 300 ppm is a danger to life at once. A "
            "charged tent holds tens of thousands."
        ),
        pinned=(
            "limits in breathing air are 20 to 50 ppm, 300 ppm endangers life, a charged tent holds tens of thousands."
        ),
        moment=Moment.ALWAYS,
    ),
    Caution(
        key="smell",
        lead="Smell is no alarm:",
        sentence=(
            "noses find ammonia somewhere between 5 and 53 ppm and then tire of it, so no smell is no clearance. Only "
            "a gas reading ends the wait."
        ),
        pinned="noses tire. Only a gas reading ends the wait.",
        moment=Moment.ALWAYS,
    ),
    Caution(
        key="eyes",
        lead="Eyes, skin, breath:",
        sentence=(
            "have running water or an eye wash within reach before the bottle is opened. After a splash rinse at "
            "once, 15 to 30 minutes, eyelids held open, and get medical help. After breathing it in: fresh air and "
            "medical help, and watch for 24 to 48 hours, because harm to the lungs can show late."
        ),
        pinned=(
            "water within reach. A splash: rinse at once, 15 to 30 minutes, and medical help. Harm to the lungs can "
            "show a day or two later."
        ),
        moment=Moment.ALWAYS,
    ),
    Caution(
        key="someone",
        lead="Somebody knows:",
        sentence=(
            "a second person knows what is in the tent and until when, stays out of the room and can call for help. A "
            "sign on the door says the same. Nobody works or sleeps in that room."
        ),
        pinned="a second person knows, and a sign hangs on the door. Nobody works or sleeps in that room.",
        moment=Moment.ALWAYS,
    ),
    Caution(
        key="ignition",
        lead="It can burn:",
        sentence=(
            "ammonia burns from 15 to 28 % by volume in air (other tables say 16 to 25 %), and an ordinary charge can "
            "reach that. No flame, spark, switch, heater or motor in or near the tent. If you have read of a fan, a "
            "heat lamp or a warming plate inside or shone into it: leave them out, they can light it."
        ),
        pinned="from 15 to 28 % in air. No flame, spark, switch, heater, lamp, fan or motor in or near the tent.",
        moment=Moment.BEFORE_TEST,
    ),
    Caution(
        key="metal",
        lead="Metal off:",
        sentence=(
            "ammonia attacks copper, brass, bronze, zinc, galvanised steel and aluminium. Take hinges, locks and "
            "handles off; pour into glass or plastic dishes."
        ),
        pinned="it attacks copper, brass, bronze, zinc, galvanised steel and aluminium. Glass or plastic dishes.",
        moment=Moment.BEFORE_TEST,
    ),
    Caution(
        key="air",
        lead="Outside air:",
        sentence=(
            "set the tent up where doors or windows open to outside air and nobody else breathes the room’s air. Plan "
            "the end before the start: a flap that a cord opens from outside the room."
        ),
        moment=Moment.BEFORE_TEST,
    ),
    Caution(
        key="protection",
        lead="Dressed for pouring:",
        sentence=(
            "sealed chemical goggles or a full face mask, gloves and sleeves rated for ammonia, and cartridges "
            "approved for ammonia (type K, green, EN 14387; green in the US too). Type K cartridges: to 250 ppm at "
            "most; they are for a spill while pouring, not for a charged room."
        ),
        pinned=(
            "sealed goggles, gloves, sleeves, type K mask. Type K cartridges: to 250 ppm at most; they are for a "
            "spill while pouring, not for a charged room."
        ),
        moment=Moment.POURING,
    ),
    Caution(
        key="wrong_cartridges",
        lead="Not these:",
        sentence=(
            "organic-vapour or charcoal cartridges and dust masks do not stop ammonia, whatever you have read. No "
            "cartridge makes a charged tent fit to enter."
        ),
        pinned="organic-vapour or charcoal cartridges do not stop ammonia, whatever you have read.",
        moment=Moment.POURING,
    ),
    Caution(
        key="pouring",
        lead="Pour little, close at once:",
        sentence=(
            "measure outdoors, doors open, close the tent and leave. If it spills, leave. If you have read “a "
            "gallon”: a US gallon of 28 % ammonia reaches what can burn in any tent under 9 m³, should all of it "
            "evaporate, and still half of that in 18 m³."
        ),
        moment=Moment.POURING,
    ),
    Caution(
        key="mixing",
        lead="Never mixed:",
        sentence=(
            "with bleach it makes poisonous chloramines; keep it from acids, from chlorine, bromine and iodine, and "
            "from silver salts. Nothing that held one of them holds ammonia."
        ),
        pinned="no bleach, acid, chlorine, iodine or silver salt anywhere near it.",
        moment=Moment.POURING,
    ),
    Caution(
        key="looking",
        lead="Look through clear film:",
        sentence=(
            "never through an opening. Card and target stand behind the same film; camera, lamp, phone and screen "
            "stay outside the tent, and no flash."
        ),
        moment=Moment.LOOKING,
    ),
    Caution(
        key="opening",
        lead="Nobody opens it by hand",
        sentence=(
            "where all its ammonia, loose in the room, would pass 300 ppm or is unknown: no cartridge will do there. "
            "Pull the flap open from outside the room, doors open to outside air, and nobody goes in; or leave it to "
            "supplied air and licensed practice. A sample tub is opened by hand, dressed as for pouring, only where "
            "all of it loose in the room stays under 250 ppm."
        ),
        pinned=(
            "where all of it loose in the room would pass 300 ppm or is unknown: no cartridge will do. Pull the flap "
            "open from outside the room; nobody goes in."
        ),
        moment=Moment.ENDING,
    ),
    Caution(
        key="airing",
        lead="Airing has a least time and no finish line:",
        sentence=(
            "while dish or liquid is in the room the clock has not begun, and the wood keeps giving off. Common "
            "practice airs the room about a day and the piece a couple of days before any finish. A gas reading wins "
            "over every clock."
        ),
        pinned=(
            "the clock has not begun while dish or liquid is in the room, and the wood gives off too. A gas reading "
            "wins over it."
        ),
        moment=Moment.AIRING,
    ),
    Caution(
        key="waste",
        lead="What is left:",
        sentence=(
            "tightly closed, labelled, out of reach, and away by the safety data sheet and local rules. If you have "
            "read that baking soda neutralises ammonia: it does not."
        ),
        moment=Moment.AIRING,
    ),
)
"""All cautions, in the order of the work."""


def cautions_at(moment: Moment) -> tuple[Caution, ...]:
    """Return the cautions of one moment, in order.

    >>> [caution.key for caution in cautions_at(Moment.LOOKING)]
    ['looking']
    """
    return tuple(caution for caution in CAUTIONS if caution.moment is moment)


def pinned_cautions() -> tuple[Caution, ...]:
    """Return the cautions that have a shorter wording for the page over the bench, in order.

    >>> all(caution.pinned for caution in pinned_cautions())
    True
    """
    return tuple(caution for caution in CAUTIONS if caution.pinned)
