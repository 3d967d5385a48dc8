"""Where the photographs stand: each on its hour, none touching another, none with a line across it."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

__all__ = ["Placed", "Standing", "all_stand", "place_photographs"]

_GAP = 4.0
_LEADER_CLEAR = 3.0
_LEVELS = 3
_NARROWEST = 10.0
_NARROWER = 0.88


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """A photograph that wants a place: which one, and where its hour stands."""

    key: int
    x: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """Where a photograph stands.

    Attributes
    ----------
    key
        Which one.
    x
        Where its hour stands.
    left, width
        Its place along the axis.
    near, far
        Its place away from the lath, as shares of the row's depth: `near` 0 stands on the lath.
    leader
        Whether a line leads from it to the lath, because it stands off it.
    """

    key: int
    x: float
    left: float
    width: float
    near: float
    far: float
    leader: bool

    @property
    def right(self) -> float:
        """Its right edge."""
        return self.left + self.width


def place_photographs(standing: Sequence[Standing], width: float, depth: float) -> tuple[Placed, ...]:
    """Return a place for every photograph, `width` wide and `depth` deep where there is room.

    Those at one and the same hour share its width as strips. Where two would come closer than 4 px the later one
    steps off the lath, up to three steps deep, and all of that crowd get less deep; where that is not enough, all of
    the crowd get narrower.
    """
    groups: dict[float, list[int]] = {}
    for one in sorted(standing, key=lambda s: s.x):
        groups.setdefault(round(one.x, 2), []).append(one.key)
    placed: list[Placed] = []
    for crowd in _crowds(sorted(groups), width):
        placed.extend(_place_crowd(crowd, groups, width, depth))
    return tuple(placed)


def all_stand(centres: Sequence[float], width: float) -> bool:
    """Return whether photographs this wide all stand on the lath, none stepping off it.

    >>> all_stand([0.0, 72.0, 144.0], 68.0), all_stand([0.0, 71.0], 68.0)
    (True, False)
    """
    rising = sorted({round(x, 2) for x in centres})
    return all(after - before >= width + _GAP for before, after in itertools.pairwise(rising))


def _crowds(centres: Sequence[float], width: float) -> list[list[float]]:
    crowds: list[list[float]] = []
    for x in centres:
        if crowds and x - crowds[-1][-1] < width + _GAP:
            crowds[-1].append(x)
        else:
            crowds.append([x])
    return crowds


def _place_crowd(centres: Sequence[float], groups: dict[float, list[int]], width: float, depth: float) -> list[Placed]:
    narrow = width
    levels = _levels(centres, narrow)
    while levels is None and narrow > _NARROWEST:
        narrow = max(_NARROWEST, narrow * _NARROWER)
        levels = _levels(centres, narrow)
    levels = levels or [number % _LEVELS for number in range(len(centres))]
    steps = max(levels) + 1
    clear = _GAP / depth
    share = (1.0 - clear * (steps - 1)) / steps
    placed: list[Placed] = []
    for x, level in zip(centres, levels, strict=True):
        near = level * (share + clear)
        strip = narrow / len(groups[x])
        placed.extend(
            Placed(
                key=key,
                x=x,
                left=x - narrow / 2 + number * strip,
                width=strip,
                near=near,
                far=near + share,
                leader=level > 0,
            )
            for number, key in enumerate(groups[x])
        )
    return placed


def _levels(centres: Sequence[float], width: float) -> list[int] | None:
    """How far off the lath each steps so that neither wood nor leader meets wood; None where no step is enough."""
    levels: list[int] = []
    for number, x in enumerate(centres):
        for level in range(_LEVELS):
            if all(_clear(x, level, centres[i], levels[i], width) for i in range(number)):
                levels.append(level)
                break
        else:
            return None
    return levels


def _clear(x: float, level: int, other_x: float, other: int, width: float) -> bool:
    apart = abs(x - other_x)
    if level == other:
        return apart >= width + _GAP
    # the higher one's leader passes beside the lower one's wood
    return apart >= width / 2 + _LEADER_CLEAR
