"""What is measured in a photo's pixels, before anything is judged by it. What was measured once is kept."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime

from colourcore.errors import InputError
from colourcore.image.chart import chart_outlines, measure_chart
from colourcore.image.chart_finder import find_chart
from colourcore.image.develop import Photo, declared_linear, open_photo
from colourcore.image.pixels import Outline, PatchStatistics, measure_patch
from colourcore.image.sharpness import edge_width
from colourcore.job.model import Patch, PhotoFile, Role

__all__ = ["LINEAR", "Measured", "MeasuredPhoto", "PhotoFacts", "Source"]

LINEAR = "linear"
"""What the column `encoding` says of a photo whose codes are in proportion to light although it does not say so."""

Corners = tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoFacts:
    """What is known of a photo without its pixels: upright size, bits a channel, the camera's clock (without zone).

    `notes` say what was used to understand the file: its colour profile, a missing one, its turn.
    """

    width: int
    height: int
    bits: int
    notes: tuple[str, ...] = ()
    taken: datetime | None = None
    camera: str = ""
    seconds: float | None = None


@dataclass(slots=True)
class Measured:
    """What was measured already: facts of photos by key, statistics of patches and charts found by key and outline.

    The key of a photo is its SHA-256, with a mark where the user declares its codes linear. A result depends on
    nothing else, so entries never go stale within one version of the method.
    """

    facts: dict[str, PhotoFacts] = field(default_factory=dict)
    statistics: dict[tuple[str, Outline], PatchStatistics] = field(default_factory=dict)
    charts: dict[tuple[str, Outline | None], Corners] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasuredPhoto:
    """A photo's facts, its outlined patches, the statistics of each by identity, and its charts' 24 patches."""

    file: PhotoFile
    facts: PhotoFacts
    patches: tuple[Patch, ...]
    statistics: Mapping[int, PatchStatistics]
    charts: Mapping[int, tuple[PatchStatistics, ...]]


@dataclass(slots=True, kw_only=True)
class Source:
    """A photo that is decoded when something of it is not known yet, and only then."""

    file: PhotoFile
    load: Callable[[str], bytes]
    kept: Measured
    opened: Callable[[Photo], None] | None = None
    linear: bool = False
    _decoded: Photo | None = None

    def measure(self, patches: Sequence[Patch]) -> MeasuredPhoto:
        """Return what the photo holds inside these patches. InputError, with file and line, where one is at fault."""
        self.linear = any(patch.encoding == LINEAR for patch in patches)
        facts = self._facts()
        statistics: dict[int, PatchStatistics] = {}
        charts: dict[int, tuple[PatchStatistics, ...]] = {}
        for patch in patches:
            try:
                if patch.role is Role.CHART:
                    charts[patch.identity] = self._chart(patch)
                elif patch.outline is not None:
                    statistics[patch.identity] = self._patch(patch.outline, edged=patch.role is Role.CARD)
            except InputError as error:
                raise error.at(file=self.file.name, line=patch.line) from None
        return MeasuredPhoto(file=self.file, facts=facts, patches=tuple(patches), statistics=statistics, charts=charts)

    def _key(self) -> str:
        return f"{self.file.sha256} {LINEAR}" if self.linear else self.file.sha256

    def _photo(self) -> Photo:
        if self._decoded is None:
            photo = open_photo(self.load(self.file.name), self.file.name)
            self._decoded = declared_linear(photo) if self.linear else photo
            if self.opened:
                self.opened(self._decoded)
        return self._decoded

    def _facts(self) -> PhotoFacts:
        if self._key() not in self.kept.facts:
            photo = self._photo()
            self.kept.facts[self._key()] = PhotoFacts(
                width=photo.width,
                height=photo.height,
                bits=photo.bits,
                notes=photo.notes,
                taken=photo.taken,
                camera=photo.camera,
                seconds=photo.exposure.seconds,
            )
        return self.kept.facts[self._key()]

    def _patch(self, outline: Outline, *, edged: bool) -> PatchStatistics:
        """Return a patch's statistics; of a card, whose edges are plain, with how wide they are in the photo."""
        key = (self._key(), outline)
        if key not in self.kept.statistics:
            found = measure_patch(self._photo(), outline)
            width = edge_width(self._photo(), outline) if edged else None
            self.kept.statistics[key] = replace(found, edge_width=width)
        return self.kept.statistics[key]

    def _chart(self, patch: Patch) -> tuple[PatchStatistics, ...]:
        """Return the 24 patches of a chart: by its dragged corners, or found inside its outline."""
        key = (self._key(), patch.outline)
        corners = self.kept.charts.get(key)
        if corners is None and patch.outline is not None:
            corners = patch.outline.corners
        if corners is None:
            found = find_chart(self._photo(), patch.outline)
            corners = tuple((float(x), float(y)) for x, y in found)
        self.kept.charts[key] = corners
        keys = [(self._key(), outline) for outline in chart_outlines(corners)]
        if any(one not in self.kept.statistics for one in keys):
            self.kept.statistics.update(zip(keys, measure_chart(self._photo(), corners), strict=True))
        return tuple(self.kept.statistics[one] for one in keys)
