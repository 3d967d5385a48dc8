"""The invented job: a lidded oak music chest from two boards, and an old settle's arm as the shade to match.

Nothing here is a real piece, person or measurement. What a seed draws: the raw colour of each board and zone, the
kind of rate law, limits and paces, the target's depth, and the scatter of every single sample.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from tests.simulation.spectra import (
    RateLaw,
    Wood,
    chromophore,
    concentration_for_lightness,
    raw_oak,
    reflectance_from_absorption,
    spectral_lab,
)
from tests.simulation.wood import Grain

__all__ = ["HOURS", "SCATTER", "SHORT_HOURS", "Chest", "Group", "Sample", "invented_chest", "last_reflectance"]

HOURS = (0.0, 1.0, 1.5, 2.5, 4.0, 6.0, 10.0, 16.0, 26.0)
SHORT_HOURS = (0.0, 2.5, 6.0, 16.0, 26.0)  # board B had little sapwood

# SD between pieces of one board: raw L*, share of the depth, share of the pace
SCATTER = {"raw_lightness": 0.5, "depth": 0.025, "pace": 0.05}

_TARGET_SHARE = (0.45, 0.80)  # of the change in L* from raw to the limit, heartwood of board A
_TARGET_SHARE_B = (0.25, 0.90)

_GRAINS = {
    ("A", "heartwood"): Grain(
        ring_mm=2.5, pith_y_mm=27, pith_depth_mm=14, depth_slope=0.085, wander_mm=1.0, fleck=0.0, ray_lines_per_mm2=0.05
    ),
    ("A", "sapwood"): Grain(
        ring_mm=2.0, pith_y_mm=112, pith_depth_mm=45, depth_slope=0.06, wander_mm=1.2, fleck=0.0, ray_lines_per_mm2=0.04
    ),
    ("B", "heartwood"): Grain(
        ring_mm=1.8,
        pith_y_mm=-105,
        pith_depth_mm=12,
        depth_slope=0.01,
        wander_mm=0.8,
        fleck=0.13,
        ray_lines_per_mm2=0.0,
    ),
    ("B", "sapwood"): Grain(
        ring_mm=1.6,
        pith_y_mm=-170,
        pith_depth_mm=20,
        depth_slope=0.02,
        wander_mm=0.9,
        fleck=0.05,
        ray_lines_per_mm2=0.01,
    ),
    ("", ""): Grain(
        ring_mm=1.7, pith_y_mm=74, pith_depth_mm=48, depth_slope=0.11, wander_mm=1.4, fleck=0.0, ray_lines_per_mm2=0.05
    ),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Sample:
    """One offcut: its own wood and the hours it spent in the vapour."""

    hours: float
    wood: Wood


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """Samples of one board and zone, the average piece behind them and how the strip was sawn."""

    board: str
    zone: str
    wood: Wood
    grain: Grain
    samples: tuple[Sample, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Chest:
    """The job's wood: four groups of samples, and the settle's arm, whose change is over."""

    groups: tuple[Group, ...]
    target: Wood
    target_grain: Grain


def last_reflectance(wood: Wood) -> NDArray[np.float64]:
    """Return the reflectance that the wood levels off at."""
    return reflectance_from_absorption(wood.raw + wood.law.limit * wood.brown)


def invented_chest(rng: np.random.Generator) -> Chest:
    """Return the wood of one seed."""
    law = _law(rng)
    heart_a = Wood(raw=_raw(rng, (70.0, 6.0, 20.0)), brown=chromophore(_breadth(rng)), law=law)
    heart_b = _relative(heart_a, (68.5, 6.2, 20.6), rng, limit=(0.85, 1.10), slower=(0.80, 1.50))
    sap_a = _relative(heart_a, (76.5, 4.0, 19.0), rng, limit=(0.50, 0.75), slower=(1.10, 1.70))
    sap_b = _relative(heart_b, (75.5, 4.2, 19.6), rng, limit=(0.30, 0.50), slower=(1.10, 1.70))
    woods = {("A", "heartwood"): heart_a, ("A", "sapwood"): sap_a, ("B", "heartwood"): heart_b, ("B", "sapwood"): sap_b}
    groups = tuple(
        Group(
            board=board,
            zone=zone,
            wood=wood,
            grain=_GRAINS[board, zone],
            samples=_samples(wood, SHORT_HOURS if (board, zone) == ("B", "sapwood") else HOURS, rng),
        )
        for (board, zone), wood in woods.items()
    )
    return Chest(groups=groups, target=_settle(heart_a, heart_b, rng), target_grain=_GRAINS["", ""])


def _law(rng: np.random.Generator) -> RateLaw:
    limit, pace = 2.3 * float(np.exp(rng.normal(0.0, 0.10))), float(np.exp(rng.normal(0.0, 0.25)))
    laws = (
        RateLaw(kind="first", limit=limit, time_constant_hours=9.0 * pace),
        RateLaw(kind="stretched", limit=limit, time_constant_hours=9.0 * pace, exponent=float(rng.uniform(0.75, 1.15))),
        RateLaw(kind="second", limit=1.2 * limit, time_constant_hours=7.5 * pace),
    )
    return laws[rng.integers(len(laws))]


def _breadth(rng: np.random.Generator) -> float:
    return float(rng.uniform(270.0, 330.0))


def _raw(rng: np.random.Generator, lab: tuple[float, float, float]) -> NDArray[np.float64]:
    lightness, redness, yellowness = rng.normal(lab, (0.8, 0.25, 0.6))
    return raw_oak(round(float(lightness), 3), round(float(redness), 3), round(float(yellowness), 3))


def _relative(
    of: Wood,
    lab: tuple[float, float, float],
    rng: np.random.Generator,
    *,
    limit: tuple[float, float],
    slower: tuple[float, float],
) -> Wood:
    law = replace(
        of.law,
        limit=of.law.limit * float(rng.uniform(*limit)),
        time_constant_hours=of.law.time_constant_hours * float(rng.uniform(*slower)),
    )
    return Wood(raw=_raw(rng, lab), brown=chromophore(_breadth(rng)), law=law)


def _samples(wood: Wood, hours: tuple[float, ...], rng: np.random.Generator) -> tuple[Sample, ...]:
    return tuple(
        Sample(
            hours=hour,
            wood=wood.piece(
                raw_shift_lightness=float(rng.normal(0.0, SCATTER["raw_lightness"])),
                depth=float(rng.normal(1.0, SCATTER["depth"])),
                pace=float(np.exp(rng.normal(0.0, SCATTER["pace"]))),
            ),
        )
        for hour in hours
    )


def _settle(heart_a: Wood, heart_b: Wood, rng: np.random.Generator) -> Wood:
    """Return the settle's arm: old oak, a little warmer than fumed samples, at a lightness both heartwoods reach."""
    raw, brown = _raw(rng, (66.0, 6.4, 21.0)), chromophore(_breadth(rng) - 25.0)
    while True:
        lightness = _lightness_at_share(heart_a, float(rng.uniform(*_TARGET_SHARE)))
        if _TARGET_SHARE_B[0] <= _share_at_lightness(heart_b, lightness) <= _TARGET_SHARE_B[1]:
            break
    concentration = concentration_for_lightness(raw, brown, lightness)
    return Wood(raw=raw, brown=brown, law=RateLaw(kind="first", limit=concentration, time_constant_hours=1.0))


def _ends(wood: Wood) -> tuple[float, float]:
    return float(spectral_lab(wood.reflectance(0.0))[0]), float(spectral_lab(last_reflectance(wood))[0])


def _lightness_at_share(wood: Wood, share: float) -> float:
    raw, last = _ends(wood)
    return raw - share * (raw - last)


def _share_at_lightness(wood: Wood, lightness: float) -> float:
    raw, last = _ends(wood)
    return (raw - lightness) / (raw - last)
