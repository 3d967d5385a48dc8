"""What lies where in the example's four photographs."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tests.simulation.bench import card_light, tag_light
from tests.simulation.camera import Camera
from tests.simulation.chest import Chest, Group, Sample
from tests.simulation.noise import floats
from tests.simulation.scene import Slab, inner_box
from tests.simulation.spectra import Wood
from tests.simulation.wood import Face, face_light, grown_face, knocked

__all__ = ["SHOTS", "Laid", "Session", "Shot", "laid_out"]

_SAMPLE_MM = (40.0, 62.0, 12.0)
_KERF_MM = 2.5
_CARD_MM = (52.0, 70.0, 1.2)
_ARM_MM = (208.0, 84.0, 20.0)
_ARM_READ_MM = np.array([[-72.0, -31.0], [62.0, -31.0], [62.0, 31.0], [-72.0, 31.0]])  # clear of hole and round end
_SAMPLE_INSET_MM, _CARD_INSET_MM = 5.0, 8.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Shot:
    """How one photograph is set up; one without groups shows the settle's arm."""

    name: str
    width_px: int
    height_px: int
    scale: float
    groups: tuple[tuple[str, str], ...] = ()
    rows: int = 2
    pitch_mm: tuple[float, float] = (59.0, 108.0)
    turned: bool = False


SHOTS = (
    Shot(name="board_a_heartwood.jpg", width_px=4032, height_px=3024, scale=13.0, groups=(("A", "heartwood"),)),
    Shot(name="settle_arm.jpg", width_px=3024, height_px=4032, scale=13.2, turned=True),
    Shot(name="board_a_sapwood.jpg", width_px=4032, height_px=3024, scale=12.8, groups=(("A", "sapwood"),)),
    Shot(
        name="board_b.jpg",
        width_px=4032,
        height_px=3024,
        scale=9.6,
        groups=(("B", "heartwood"), ("B", "sapwood")),
        rows=3,
        pitch_mm=(77.0, 101.0),
    ),
)
_COLUMNS = 5


@dataclass(frozen=True, slots=True, kw_only=True)
class Session:
    """One photo being set up: `setting` draws what a small picture shares with a full one, `detail` the rest."""

    camera: Camera
    scale: float
    setting: np.random.Generator
    detail: np.random.Generator
    tags: bool

    def jitter(self, sd: float) -> float:
        """Return how far a hand puts a thing off its place, mm or degrees, at most 2.2 SD."""
        return float(np.clip(self.setting.normal(0.0, sd), -2.2 * sd, 2.2 * sd))


@dataclass(frozen=True, slots=True, kw_only=True)
class Laid:
    """A thing on the bench; `role` is empty where nobody outlines it."""

    slab: Slab
    role: str
    group: Group | None = None
    sample: Sample | None = None


def laid_out(shot: Shot, chest: Chest, session: Session) -> list[Laid]:
    """Return everything that lies on the bench of a photograph."""
    if not shot.groups:
        return _settle(chest, session)
    places = iter(_places(shot))
    laid: list[Laid] = []
    for group in (group for group in chest.groups if (group.board, group.zone) in shot.groups):
        laid += _samples(group, places, session, prefix="sap " if laid else "")
        if group.zone == "heartwood" or len(shot.groups) == 1:
            laid += _card(next(places), f"{group.board} {group.zone.removesuffix('wood')}", session)
    return laid


def _places(shot: Shot) -> list[tuple[float, float]]:
    """Return the middles of the places on the bench, row by row, a little high so that tags find room."""
    across, down = shot.pitch_mm
    rows = [(row - (shot.rows - 1) / 2.0) * down - 8.0 for row in range(shot.rows)]
    return [((column - (_COLUMNS - 1) / 2.0) * across, y) for y in rows for column in range(_COLUMNS)]


def _samples(group: Group, places: Iterator[tuple[float, float]], session: Session, prefix: str) -> list[Laid]:
    """Crosscut a strip into samples and lay them out by their hours; which offcut got which hours was drawn by lot."""
    width, height, thickness = _SAMPLE_MM
    strip = grown_face(len(group.samples) * (width + _KERF_MM), height, session.scale, group.grain, session.detail)
    laid: list[Laid] = []
    for sample, cut in zip(group.samples, session.setting.permutation(len(group.samples)), strict=True):
        place = next(places)
        slab = Slab(
            kind="wood",
            x_mm=place[0] + session.jitter(1.6),
            y_mm=place[1] + session.jitter(2.0),
            turn_deg=session.jitter(1.2),
            width_mm=width,
            height_mm=height,
            thickness_mm=thickness,
            light=_face_light(_offcut(strip, int(cut), session.scale), sample.wood, sample.hours, session),
            read_mm=inner_box(width, height, _SAMPLE_INSET_MM),
        )
        laid.append(Laid(slab=slab, role="sample", group=group, sample=sample))
        laid += _tag(f"{prefix}{sample.hours:g} h", slab, session)
    return laid


def _offcut(strip: Face, cut: int, scale: float) -> Face:
    return strip.cut(round(cut * (_SAMPLE_MM[0] + _KERF_MM) * scale), round(_SAMPLE_MM[0] * scale))


def _face_light(face: Face, wood: Wood, hours: float, session: Session) -> NDArray[np.float32]:
    return face_light(face, wood, hours, session.camera, inset_px=max(1, round(_SAMPLE_INSET_MM * session.scale)))


def _tag(words: str, under: Slab, session: Session) -> list[Laid]:
    """Return a tag below a thing, or nothing where nobody is to look."""
    if not session.tags:
        return []
    width, height = 13.0 + 2.6 * len(words), 11.5
    slab = Slab(
        kind="tag",
        x_mm=under.x_mm + float(session.detail.normal(-4.0, 2.5)),
        y_mm=under.y_mm + under.height_mm / 2.0 + 14.0 + float(session.detail.normal(0.0, 0.8)),
        turn_deg=float(session.detail.normal(0.0, 3.0)),
        width_mm=width,
        height_mm=height,
        thickness_mm=0.5,
        light=tag_light(words, width, height, session.scale, session.camera, session.detail),
        read_mm=inner_box(width, height, 1.0),
    )
    return [Laid(slab=slab, role="")]


def _card(place: tuple[float, float], words: str, session: Session) -> list[Laid]:
    width, height, thickness = _CARD_MM
    slab = Slab(
        kind="card",
        x_mm=place[0] + session.jitter(1.0),
        y_mm=place[1] + session.jitter(1.0),
        turn_deg=session.jitter(1.0),
        width_mm=width,
        height_mm=height,
        thickness_mm=thickness,
        light=card_light(width, height, session.scale, session.camera, session.detail),
        read_mm=inner_box(width, height, _CARD_INSET_MM),
    )
    return [Laid(slab=slab, role="card"), *(_tag(words, slab, session) if words else [])]


def _settle(chest: Chest, session: Session) -> list[Laid]:
    """Lay out the settle's arm, its underside up, and the card below it."""
    width, height, thickness = _ARM_MM
    face = grown_face(width, height, session.scale, chest.target_grain, session.detail)
    light = _face_light(knocked(face, session.scale, session.detail), chest.target, np.inf, session)
    arm = Slab(
        kind="wood",
        x_mm=session.jitter(1.5),
        y_mm=-50.0 + session.jitter(2.0),
        turn_deg=session.jitter(0.8),
        width_mm=width,
        height_mm=height,
        thickness_mm=thickness,
        light=light * _peg_hole(light.shape, session.scale),
        read_mm=_ARM_READ_MM,
        rim_mm=_arm_rim(),
    )
    laid = [Laid(slab=arm, role="target"), *_tag("settle arm", arm, session)]
    return [*laid, *_card((30.0, 80.0), "", session)]


def _arm_rim() -> NDArray[np.float64]:
    """Return the arm's shape: square where the peg went in, a little waisted, rounded where the hand lay."""
    half_w, half_h = _ARM_MM[0] / 2.0, _ARM_MM[1] / 2.0
    x = np.linspace(-half_w, half_w - 34.0, 30)
    waist = half_h - 5.0 * np.sin(np.clip((x + half_w - 30.0) / (2 * half_w - 64.0), 0.0, 1.0) * np.pi) ** 2
    angle = np.linspace(-np.pi / 2, np.pi / 2, 41)[1:-1]
    end = np.stack([half_w - 34.0 + 34.0 * np.cos(angle) ** 0.8, half_h * np.sin(angle)], axis=1)
    return np.concatenate([np.stack([x, -waist], axis=1), end, np.stack([x, waist], axis=1)[::-1]])


def _peg_hole(shape: tuple[int, ...], scale: float) -> NDArray[np.float32]:
    """Return what the hole of an old peg multiplies the light by."""
    y, x = np.indices(shape[:2], dtype=np.float32) / np.float32(scale)
    x, y = x - 15.0, y - _ARM_MM[1] / 2.0
    distance = np.hypot(x, y)
    facing = np.clip((0.56 * x + 0.83 * y) / 6.0, 0.0, 1.0)  # the far wall faces the lamp
    deep = np.clip((6.0 - distance) * scale / 2.0 + 0.5, 0.0, 1.0)
    lit = np.exp(-(((distance - 6.1) / 0.35) ** 2)) * facing
    return floats((1.0 + deep * (0.10 + 0.16 * facing - 1.0) + 0.16 * lit)[..., np.newaxis])
