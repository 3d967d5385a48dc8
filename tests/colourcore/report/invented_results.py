"""Invented results for the report's tests: synthetic curves, flat pictures, no wood behind them."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from datetime import datetime
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from colourcore.colour.reading import Reading, matrix3
from colourcore.curve.fit import Target
from colourcore.curve.hours import Curve, HoursToShade, Outcome
from colourcore.curve.piece import PieceHours
from colourcore.image.balance import Balance
from colourcore.image.checks import Check, Level
from colourcore.image.pixels import Outline
from colourcore.job.model import Choices, Job, Patch, PhotoFile, Role
from colourcore.pipeline import Group, PatchReading, PhotoFacts, PhotoReadings, Results

WRITTEN = datetime(2026, 5, 3, 14, 5)
VERSIONS = MappingProxyType({"duskgrain": "0.1.0", "numpy": "2.4.6"})
TARGET = Target(L=48.0, a=4.5, b=13.6, covariance=matrix3(np.diag([0.36, 0.01, 0.01])))
SAMPLE_HOURS = (0.0, 1.0, 2.0, 4.0, 9.0, 24.0)


def lightness(hours: float) -> float:
    """Return an invented L* that falls from 66 to 38 with a time constant of 9 h."""
    return 38.0 + 28.0 * math.exp(-hours / 9.0)


def curve(end_hours: float = 26.0, *, odds: bool = True) -> Curve:
    """Return a curve with a band and odds that rise round 9.27 h."""
    hours = tuple(float(h) for h in np.linspace(0.0, end_hours, 53))
    middle = tuple(lightness(h) for h in hours)
    past = tuple(1.0 / (1.0 + math.exp(-(h - 9.27) / 0.5)) for h in hours)
    return Curve(
        hours=hours,
        L=middle,
        low=tuple(value - 0.8 for value in middle),
        high=tuple(value + 0.8 for value in middle),
        p_past=past if odds else (),
        a=tuple(4.0 for _ in hours),
        b=tuple(14.0 for _ in hours),
    )


def reached(**changes: object) -> HoursToShade:
    """Return an answer that reaches the target after 9 h 15; `changes` replace its parts."""
    parts: dict[str, object] = {
        "outcome": Outcome.REACHED,
        "confidence": 0.9,
        "past_odds": 0.1,
        "hours": 9.27,
        "low": 8.58,
        "high": 10.75,
        "look_from": 8.9,
        "p_reach": 0.996,
        "delta_e": 2.13,
        "curve": curve(),
        "shape": {"half_hours": 6.2, "half_hours_low": 4.9, "half_hours_high": 8.0, "scatter_L": 0.6},
        "notes": ("The wood changes slowly there: 1 L* of error costs about 2.1 h.",),
    }
    return HoursToShade(**(parts | changes))  # type: ignore[arg-type] # parts are checked by the class


def piece(**changes: object) -> PieceHours:
    """Return the hours of a piece that is due at 9 h; `changes` replace their parts."""
    parts: dict[str, object] = {
        "outcome": Outcome.REACHED,
        "scatter": 0.6,
        "pace_spread": 0.12,
        "hours": 9.67,
        "low": 7.5,
        "high": 12.35,
        "look_from": 7.99,
        "due": 9.03,
        "p_reach": 0.99,
        "p_past": tuple(1.0 / (1.0 + math.exp(-(h - 9.67) / 1.0)) for h in curve().hours),
    }
    return PieceHours(**(parts | changes))  # type: ignore[arg-type] # parts are checked by the class


def not_reached() -> HoursToShade:
    """Return an answer that stays short of the target."""
    note = "Not with this wood and charge: within 96 h the odds of reaching it are 4 in 100."
    return reached(
        outcome=Outcome.NOT_REACHED,
        hours=None,
        low=None,
        high=None,
        look_from=None,
        p_reach=0.04,
        delta_e=6.4,
        notes=(note,),
    )


def cannot_say() -> HoursToShade:
    """Return an answer that has nothing to say, and why."""
    return HoursToShade(
        outcome=Outcome.CANNOT_SAY,
        confidence=0.9,
        past_odds=0.1,
        shape={},
        notes=("Hours need samples at four or more different exposures; here is one.",),
    )


def reading(lab: tuple[float, float, float], *, pixels: int = 12345) -> Reading:
    """Return a reading with standard errors of 0.31, 0.05 and 0.04."""
    covariance = matrix3(np.diag([0.31**2, 0.05**2, 0.04**2]))
    return Reading(lab=lab, covariance=covariance, spread=1.7, pixels=pixels)


def group(board: str, zone: str, answer: HoursToShade, target: Target | None = TARGET) -> Group:
    """Return a group of samples that carry out `lightness`."""
    rows = tuple(
        PatchReading(
            photo="chest.jpg",
            role=Role.SAMPLE,
            board=board,
            zone=zone,
            hours=hours,
            identity=number + 2,
            reading=reading((lightness(hours), 4.0, 14.0)),
        )
        for number, hours in enumerate(SAMPLE_HOURS)
    )
    return Group(board=board, zone=zone, n=len(rows), target=target, answer=answer, readings=rows)


def balance() -> Balance:
    """Return a balance that changes nothing."""
    return Balance(
        method="one grey card",
        residual_delta_e=None,
        matrix=np.eye(3),
        gain_covariance=np.zeros((3, 3)),
        light_offset=0.0,
        exposure_gain=1.0,
    )


def job(*, name: str = "Music chest", invented: bool = True, photo: str = "chest.jpg") -> Job:
    """Return a job of one photo: a card, six samples, a target, and one sample set aside."""
    card = Patch(identity=1, photo=photo, role=Role.CARD, outline=Outline(x=20, y=20, width=60, height=60))
    samples = tuple(
        Patch(
            identity=number + 2,
            photo=photo,
            outline=Outline(x=100 * number + 20, y=150, width=80, height=120),
            hours=hours,
            board="A",
            zone="heartwood",
        )
        for number, hours in enumerate(SAMPLE_HOURS)
    )
    aside = Patch(
        identity=20,
        photo=photo,
        outline=Outline(x=500, y=300, width=80, height=80, corners=((500, 310), (580, 300), (580, 370), (500, 380))),
        hours=9.0,
        board="A",
        zone="heartwood",
        set_aside="pencil line",
    )
    target = Patch(
        identity=21, photo=photo, role=Role.TARGET, outline=Outline(x=120, y=20, width=200, height=100), label="arm"
    )
    return Job(
        name=name,
        photos=(PhotoFile(name=photo, sha256="0" * 64),),
        patches=(card, *samples, aside, target),
        invented=invented,
    )


def results(groups: Sequence[Group], *, photo: str = "chest.jpg", checks: tuple[Check, ...] = ()) -> Results:
    """Return results around groups: their rows, a card, a target, one set aside and one refused."""
    rows = [PatchReading(photo=photo, role=Role.CARD, identity=1, reading=reading((49.5, 0.0, 0.0)), label="grey card")]
    rows += [row for one in groups for row in one.readings]
    place = {"photo": photo, "role": Role.SAMPLE, "board": "A", "zone": "heartwood"}
    if groups:
        rows.append(
            PatchReading(
                **place,  # type: ignore[arg-type] # the four parts that name its place
                hours=9.0,
                identity=20,
                set_aside="pencil line",
                reading=reading((44.44, 3.33, 11.11)),
            )
        )
        rows.append(PatchReading(**place, hours=30.0, reading=None, checks=(REFUSAL,)))  # type: ignore[arg-type] # as above
    rows.append(
        PatchReading(photo=photo, role=Role.TARGET, identity=21, label="arm", reading=reading((48.02, 4.51, 13.63)))
    )
    facts = PhotoFacts(width=640, height=400, bits=8, notes=("no colour profile: taken as sRGB",))
    found = (*checks, *(check for row in rows for check in row.checks))
    photos = (PhotoReadings(name=photo, facts=facts, balance=balance(), checks=found, readings=tuple(rows)),)
    return Results(photos=photos, readings=tuple(rows), groups=tuple(groups), choices=Choices())


REFUSAL = Check(code="clipped", level=Level.REFUSE, message="12.0 % of the pixels are clipped: photograph again.")
WARNING = Check(code="light_colour", level=Level.WARN, message="The light is far from what the camera took for white.")


def pictures(photo: str = "chest.jpg") -> Mapping[str, NDArray[np.uint8]]:
    """Return one picture at half size, a seeded grain on brown."""
    grain = np.random.default_rng(7).integers(-12, 12, size=(200, 320, 1))
    return {photo: np.asarray(np.array([140, 110, 80]) + grain, dtype=np.uint8)}
