"""Finds room for words on a drawing that is already full of lines."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from colourcore.report.drawing import Point, Words
from colourcore.report.lettering import Weight, text_width

__all__ = ["Placing"]

_SIZE = 8.0
_HIGH, _LOW = 6.5, 1.8
_CLEAR = 4.0


@dataclass(slots=True, kw_only=True)
class Placing:
    """Where words may go: inside a box, away from `obstacles`, which every placed word joins."""

    left: float
    right: float
    top: float
    bottom: float
    obstacles: list[Point] = field(default_factory=list)

    def words(self, text: str, places: Iterable[Point], weight: Weight = Weight.BOLD) -> Words:
        """Return the text at the first of the places that is clear of everything, or at the clearest.

        `places` are points on the baseline at the middle of the text.
        """
        wide = text_width(text, _SIZE, weight)
        found: list[tuple[float, float, float]] = []
        for middle, baseline in places:
            y = min(max(baseline, self.top + _HIGH), self.bottom - _LOW)
            start = min(max(middle - wide / 2, self.left), self.right - wide)
            clear = self._clearance(start, y, wide)
            found.append((clear, start, y))
            if clear >= _CLEAR:
                break
        _, start, y = max(found, key=lambda place: min(place[0], _CLEAR))
        self.obstacles += [(start + share * wide, y - _HIGH / 2) for share in (0.0, 0.25, 0.5, 0.75, 1.0)]
        return Words(x=start, y=y, text=text, size=_SIZE, weight=weight)

    def _clearance(self, start: float, y: float, wide: float) -> float:
        def gap(x: float, point_y: float) -> float:
            across = max(start - x, 0.0, x - start - wide)
            down = max(y - _HIGH - point_y, 0.0, point_y - y - _LOW)
            return math.hypot(across, down)

        return min((gap(*point) for point in self.obstacles), default=math.inf)

    def avoid(self, points: Sequence[Point]) -> None:
        """Add a line to keep away from, its points no farther apart than a letter is wide."""
        for (x, y), (next_x, next_y) in itertools.pairwise(points):
            steps = max(1, math.ceil(math.hypot(next_x - x, next_y - y) / 3.0))
            self.obstacles += [
                (x + (next_x - x) * step / steps, y + (next_y - y) * step / steps) for step in range(steps)
            ]
        self.obstacles += points[-1:]
