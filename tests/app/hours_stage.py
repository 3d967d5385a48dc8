"""An invented job for the place *Hours*: readings made up, hours worked out from them by the real fit, wood drawn."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from functools import cache
from types import MappingProxyType

import cv2
import numpy as np
from numpy.typing import NDArray

from app.models.hours_wood import grain_of, tables
from app.views.place import Cutout, WindowState
from app.views.theme import FULL, LIGHT, Measure, Theme
from colourcore.colour.reading import Reading, matrix3
from colourcore.job.model import Choices, Job, Role
from colourcore.pipeline import PatchReading, Results, answer

LADDER = (0.0, 1.0, 2.0, 4.0, 6.0, 9.0, 12.0, 18.0, 24.0)
TARGET = (48.0, 4.5, 13.6)
_COVARIANCE = matrix3(np.diag([0.16, 0.01, 0.04]))
_WOBBLE = (0.3, -0.2, 0.4, -0.6, 0.5, 0.1, -0.3, 0.2, -0.1)


def shade(hours: float, *, zone: str = "heartwood", pace: float = 1.0) -> tuple[float, float, float]:
    """An invented path: no wood is known to follow it."""
    raw, deep, half = ((72.0, 34.5, 5.6), (75.0, 52.0, 6.0))[zone == "sapwood"]
    share = (hours / (half * pace)) ** 1.15 / (1.0 + (hours / (half * pace)) ** 1.15)
    lightness = raw - (raw - deep) * share
    # heartwood passes the target's own colour on its way
    return lightness, 9.5 - 7.6 * share, 24.0 - 16.2 * share


def sample(
    identity: int,
    hours: float,
    *,
    board: str = "A",
    zone: str = "heartwood",
    pace: float = 1.0,
    aside: str = "",
    photo: str = "ladder.jpg",
) -> PatchReading:
    lightness, a, b = shade(hours, zone=zone, pace=pace)
    wobble = _WOBBLE[identity % len(_WOBBLE)]
    return PatchReading(
        photo=photo,
        role=Role.SAMPLE,
        board=board,
        zone=zone,
        hours=hours,
        identity=identity,
        set_aside=aside,
        reading=Reading(lab=(lightness + wobble, a, b), covariance=_COVARIANCE, spread=1.6, pixels=9000),
    )


def ladder(
    first: int,
    hours: Sequence[float] = LADDER,
    *,
    board: str = "A",
    zone: str = "heartwood",
    pace: float = 1.0,
    aside: Mapping[float, str] = MappingProxyType({}),
    photo: str = "ladder.jpg",
) -> list[PatchReading]:
    return [
        sample(first + i, h, board=board, zone=zone, pace=pace, aside=aside.get(h, ""), photo=photo)
        for i, h in enumerate(hours)
    ]


def target(lab: tuple[float, float, float] = TARGET, *, photo: str = "old settle.jpg") -> PatchReading:
    reading = Reading(lab=lab, covariance=matrix3(np.diag([0.3, 0.02, 0.05])), spread=1.2, pixels=9000)
    return PatchReading(photo=photo, role=Role.TARGET, identity=900, reading=reading)


def results(rows: Sequence[PatchReading]) -> Results:
    return Results(photos=(), readings=tuple(rows), groups=answer(rows, Choices()), choices=Choices())


@cache
def chest() -> Results:
    """Two boards, heartwood and sapwood of the first, one sample set aside, a target from a photo."""
    rows = ladder(1) + ladder(101, zone="sapwood", aside={9.0: "pencil line"}) + ladder(201, board="B", pace=1.14)
    return results([*rows, target()])


@cache
def drawn_wood(seed: int, width: int = 420, height: int = 300) -> NDArray[np.uint8]:
    """Grain drawn from noise: long along, short across, with darker lines."""
    random = np.random.default_rng(seed)
    along = cv2.GaussianBlur(random.normal(size=(height, width)), (0, 0), sigmaX=22, sigmaY=1.1)
    pores = cv2.GaussianBlur((random.random((height, width)) > 0.996).astype(float), (0, 0), sigmaX=9, sigmaY=0.7)
    waves = np.sin(np.linspace(0, 5, height)[:, None] * 7 + 1.5 * np.sin(np.linspace(0, 3, width))[None, :] + seed)
    grain = 0.055 * along / along.std() - 1.6 * pores + 0.018 * waves
    light = np.clip(0.45 * np.exp(grain)[..., None] * np.array([1.0, 0.8, 0.6]), 0.0, 1.0)
    return np.asarray(np.rint(255 * light ** (1 / 2.2)), dtype=np.uint8)


@cache
def cutout(seed: int, lab: tuple[float, float, float], *, width: int = 420, height: int = 300) -> Cutout:
    wood = drawn_wood(seed, width, height)
    moved = np.stack([table[wood[..., c]] for c, table in enumerate(tables(grain_of(wood), lab))], axis=-1)
    return Cutout(raw=moved, balanced=moved)


def _cutouts_of(made: Results) -> Mapping[int, Cutout]:
    cutouts = {}
    for row in made.readings:
        if row.identity is None or row.reading is None or not row.photo:
            continue
        wide = row.role is Role.TARGET
        size = {"width": 900, "height": 240} if wide else {}
        cutouts[row.identity] = cutout(row.identity, row.reading.lab, **size)
    return MappingProxyType(cutouts)


def state(
    made: Results | None = None, *, theme: Theme = LIGHT, measure: Measure = FULL, with_wood: bool = True
) -> WindowState:
    shown = made if made is not None else chest()
    return WindowState(
        job=Job(name="Music chest", invented=True),
        results=shown,
        cutouts=_cutouts_of(shown) if with_wood else MappingProxyType({}),
        theme=theme,
        measure=measure,
        kept="all kept 12:41",
    )


def geometric(count: int, last: float) -> tuple[float, ...]:
    """Raw wood and hours in equal ratios up to the last."""
    return (0.0, *(round(last * math.pow(0.62, count - 2 - i), 2) for i in range(count - 1)))
