"""What is true of a rendered job: readings without texture, noise or compression, and the hours to the target."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq

from tests.simulation.camera import CARD_LAB, LAMP, Camera, delta_e_2000
from tests.simulation.chest import SCATTER, Chest, Group, Sample, last_reflectance
from tests.simulation.scene import Outline
from tests.simulation.spectra import spectral_lab

__all__ = ["Seen", "job_truth"]

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """One outline of one photo, what lies in it and the light it gets (the frame's mean is 1)."""

    photo: str
    role: str
    outline: Outline
    group: Group | None
    sample: Sample | None
    light: float
    camera: Camera

    @property
    def label(self) -> str:
        """Return the words that the sheet has for it."""
        if self.group is None or self.sample is None:
            return "underside of the settle arm" if self.role == "target" else "grey card 18 %"
        raw = "raw" if self.sample.hours == 0 else f"{self.sample.hours:g} h"
        return f"{self.group.board} {self.group.zone} {raw}"


def job_truth(seed: int, chest: Chest, seen: list[Seen]) -> dict[str, Any]:
    """Return the truth of a job as it is written to `truth.json`."""
    target = next(item for item in seen if item.role == "target")
    target_lab = target.camera.balanced_lab(last_reflectance(chest.target))
    readings = [_reading(item, chest, seen) for item in seen if item.role != "card"]
    return {
        "what": "Invented job, rendered; no real wood, piece or person. The rate laws are synthetic.",
        "seed": seed,
        "lamp": LAMP,
        "camera_sensitivities": "a measured set of colour-science (tests/simulation/camera.py)",
        "card": _lab(np.asarray(CARD_LAB)),
        "scatter_between_pieces_sd": SCATTER,
        "readings": readings,
        "target": {**_lab(target_lab), "light": "even", "spectral": _lab(spectral_lab(last_reflectance(chest.target)))},
        "groups": [_hours(group, _camera_of(group, seen), float(target_lab[0])) for group in chest.groups],
        "metameric_floor": {
            "what": "spectral D65/2° colour against the card-balanced colour under even light: lamp and camera alone",
            "mean_delta_e_2000": round(float(np.mean([r["metameric_delta_e_2000"] for r in readings])), 4),
            "largest_delta_e_2000": round(max(r["metameric_delta_e_2000"] for r in readings), 4),
        },
    }


def _reading(item: Seen, chest: Chest, seen: list[Seen]) -> dict[str, Any]:
    card = next(other for other in seen if other.photo == item.photo and other.role == "card")
    reflectance = (
        last_reflectance(chest.target) if item.sample is None else item.sample.wood.reflectance(item.sample.hours)
    )
    even = item.camera.balanced_lab(reflectance)
    spectral = spectral_lab(reflectance)
    off = None
    if item.group is not None and item.sample is not None:
        off = round(float(even[0] - item.camera.balanced_lab(item.group.wood.reflectance(item.sample.hours))[0]), 4)
    return {
        "photo": item.photo,
        "role": item.role,
        "board": "" if item.group is None else item.group.board,
        "zone": "" if item.group is None else item.group.zone,
        "hours": None if item.sample is None else item.sample.hours,
        "label": item.label,
        "balanced": _lab(item.camera.balanced_lab(reflectance, item.light / card.light)),
        "balanced_even_light": _lab(even),
        "off_the_board_L": off,
        "spectral": _lab(spectral),
        "light_against_card": round(item.light / card.light, 5),
        "metameric_delta_e_2000": round(float(delta_e_2000(spectral, even)), 4),
    }


def _camera_of(group: Group, seen: list[Seen]) -> Camera:
    return next(item.camera for item in seen if item.group is group)


def _hours(group: Group, camera: Camera, target_lightness: float) -> dict[str, Any]:
    """Return when the average piece's card-balanced L* under even light is the target's, if it ever is."""

    def lightness(hours: float) -> float:
        return float(camera.balanced_lab(group.wood.reflectance(hours))[0])

    raw, last = lightness(0.0), float(camera.balanced_lab(last_reflectance(group.wood))[0])
    horizon = max(48.0, 4.0 * max(sample.hours for sample in group.samples))
    ever = last < target_lightness - 1e-6
    hours = brentq(lambda h: lightness(float(np.expm1(h))) - target_lightness, 0.0, 25.0, xtol=1e-10) if ever else None
    exact = None if hours is None else float(np.expm1(hours))
    law = group.wood.law
    return {
        "board": group.board,
        "zone": group.zone,
        "outcome": "reached" if exact is not None and exact <= horizon else "not_reached",
        "hours": None if exact is None else round(exact, 4),
        "horizon_hours": horizon,
        "raw_L": round(raw, 4),
        "limit_L": round(last, 4),
        "share_of_change": None if exact is None else round((raw - target_lightness) / (raw - last), 4),
        "rate_law": {
            "kind": law.kind,
            "limit": round(law.limit, 5),
            "time_constant_hours": round(law.time_constant_hours, 5),
            "exponent": round(law.exponent, 5),
        },
    }


def _lab(lab: Floats) -> dict[str, float]:
    return {name: round(float(value), 4) for name, value in zip("Lab", lab, strict=True)}
