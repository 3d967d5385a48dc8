"""What the bench of *Target* shows of the window's state."""

from __future__ import annotations

from dataclasses import dataclass, field

from app.models.target_scene import (
    Finished,
    Reach,
    face_spreads,
    finished_of,
    reaches_of,
    reading_of_patch,
    served_groups,
)
from app.models.target_words import NOTHING_LEARNED, firmness, likeness, target_name
from app.views.place import Cutout, WindowState
from app.views.target_wishes import lab_of
from app.wording import tr
from colourcore.job.model import Lab, Patch, Role
from colourcore.pipeline.targets import finishes_of

__all__ = ["TargetView", "notices_of", "target_view"]

_REACHES, _FOLDED_REACHES = 4, 2


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TargetView:
    """All that the bench shows.

    Attributes
    ----------
    title, shade
        What the shade is called, and its colour as it was read or given.
    wood
        Its wood as it was photographed, None for numbers.
    grain
        Wood to show other colours in where the shade has none of its own.
    found
        The shade raw and finished.
    reaches
        What of the wood gets there.
    """

    title: str = ""
    shade: Lab | None = None
    wood: Cutout | None = None
    grain: Cutout | None = None
    found: Finished = field(default_factory=Finished)
    reaches: tuple[Reach, ...] = ()


def target_view(state: WindowState, target: Patch) -> TargetView:
    """Return what the bench shows of a target."""
    results = state.results
    groups = served_groups(results, target)
    known = finishes_of([row for row in results.readings if row.accepted]) if results else {}
    most = _FOLDED_REACHES if state.measure.folded else _REACHES
    return TargetView(
        title=_title(state, target),
        shade=lab_of(target, reading_of_patch(results, target.identity)),
        wood=state.cutouts.get(target.identity) if target.photo else None,
        grain=_grain(state),
        found=finished_of(groups, target, known, NOTHING_LEARNED),
        reaches=reaches_of(groups, state.job.choices.pace_spread, most),
    )


def _title(state: WindowState, target: Patch) -> str:
    number = next((n for n, photo in enumerate(state.job.photos, 1) if photo.name == target.photo), 0)
    name = target_name(state.job, target)
    return tr("Photo {n}, {name}", n=number, name=name) if target.photo and target.label else name


def _grain(state: WindowState) -> Cutout | None:
    """Wood to show a shade in that has none of its own: the rawest sample's."""
    samples = [p for p in state.job.patches if p.role is Role.SAMPLE and p.hours is not None]
    samples = [p for p in samples if p.identity in state.cutouts and not p.set_aside]
    rawest = min(samples, key=lambda patch: patch.hours or 0.0, default=None)
    return state.cutouts[rawest.identity] if rawest else None


def notices_of(state: WindowState, target: Patch | None) -> tuple[str, bool, str]:
    """Return how firm the shade is, whether that asks for care, and what it must share with the samples."""
    if target is None:
        return "", False, ""
    firm, care = firmness(face_spreads(state.results, target))
    return firm, care, likeness(target)
