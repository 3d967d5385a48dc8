"""Render the example job: photographs, sheet and truth of an invented oak music chest.

    python -m tests.simulation.example [--seed N] [--small] [-o FOLDER]

The committed pictures in `sample_images` are those of the first seed. The same seed gives the same bytes on the same
machine and library versions. `render_job` does it in memory; small renderings (an eighth of the size, no single pores)
serve the many seeds of `tests.simulation.coverage`.
"""

from __future__ import annotations

import argparse
import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tests.simulation.bench import bench_light, card_light, tag_light
from tests.simulation.camera import CARD_LAB, Camera, jpeg_bytes, measured_camera
from tests.simulation.chest import Chest, Group, Sample, invented_chest
from tests.simulation.scene import Outline, Slab, View, inner_box, light_field, paint, standing_view
from tests.simulation.truth import Seen, job_truth
from tests.simulation.wood import Face, face_light, grown_face

__all__ = ["FIRST_SEED", "SHEET_HEADER", "SHEET_NAME", "RenderedJob", "main", "render_job", "write_job"]

Pixels = NDArray[np.float32]

FIRST_SEED = 1
# Numbers the worlds so that the first one shows every kind of outcome: reached by both heartwoods, late by one sapwood,
# never by the other. It was chosen by the true hours alone, before anything was read.
_WORLD = 421
SHEET_NAME = "music_chest.csv"
SHEET_HEADER = "photo,role,x,y,width,height,hours,board,zone,label,L,a,b"
_FOLDER = Path(__file__).resolve().parents[2] / "sample_images"

_SMALL = 8  # small renderings are this much coarser
_QUALITY = 95
_SAMPLE_MM = (40.0, 62.0, 12.0)
_KERF_MM = 2.5
_CARD_MM = (52.0, 70.0, 1.2)
_ARM_MM = (208.0, 84.0, 20.0)
_ARM_READ_MM = np.array([[-72.0, -31.0], [62.0, -31.0], [62.0, 31.0], [-72.0, 31.0]])  # clear of hole and round end
_SAMPLE_INSET_MM, _CARD_INSET_MM = 5.0, 8.5


@dataclass(frozen=True, slots=True, kw_only=True)
class RenderedJob:
    """One job as files would hold it: photos by name as JPEG bytes, the sheet's text and what is true."""

    photos: dict[str, bytes]
    sheet: str
    truth: dict[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Shot:
    """How one photograph is set up."""

    name: str
    width_px: int
    height_px: int
    scale: float
    pitch_mm: tuple[float, float]
    columns: int = 5
    turned: bool = False


_SHOTS = (
    _Shot(name="board_a_heartwood.jpg", width_px=4032, height_px=3024, scale=13.0, pitch_mm=(59.0, 108.0)),
    _Shot(name="settle_arm.jpg", width_px=3024, height_px=4032, scale=13.2, pitch_mm=(0.0, 0.0), turned=True),
    _Shot(name="board_a_sapwood.jpg", width_px=4032, height_px=3024, scale=12.8, pitch_mm=(59.0, 108.0)),
    _Shot(name="board_b.jpg", width_px=4032, height_px=3024, scale=9.6, pitch_mm=(77.0, 101.0)),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Layer:
    """The things of one photo with what each outlined one is, in the sheet's order."""

    slabs: list[Slab]
    outlined: list[tuple[Slab, Group | None, Sample | None]]


def render_job(seed: int, *, small: bool = False) -> RenderedJob:
    """Return the job of a seed; small or not, the wood, the light and the true hours are the same."""
    root = np.random.SeedSequence([_WORLD, seed])
    of_chest, *of_shots = root.spawn(1 + len(_SHOTS))
    chest = invented_chest(np.random.default_rng(of_chest))
    photos: dict[str, bytes] = {}
    seen: list[Seen] = []
    for shot, sequence in zip(_SHOTS, of_shots, strict=True):
        photos[shot.name], found = _photograph(shot, chest, sequence, _SMALL if small else 1)
        seen.extend(found)
    return RenderedJob(photos=photos, sheet=_sheet(seen), truth=job_truth(seed, chest, seen))


def _photograph(shot: _Shot, chest: Chest, sequence: np.random.SeedSequence, coarser: int) -> tuple[bytes, list[Seen]]:
    """Return one photo's file and what its outlines hold; the setting is drawn before anything that hangs on size."""
    setting, detail = (np.random.default_rng(s) for s in sequence.spawn(2))
    scale = shot.scale / coarser
    camera = measured_camera(setting)
    view = standing_view(shot.width_px // coarser, shot.height_px // coarser, scale, setting)
    field = light_field(view, setting)
    layer = (
        _settle_photo(chest, camera, scale, setting, detail)
        if shot.pitch_mm == (0.0, 0.0)
        else _sample_photo(shot, [g for g in chest.groups if _on(shot, g)], camera, scale, setting, detail)
    )
    bench = bench_light(view.height_px, view.width_px, scale, camera, detail)
    light = paint(view, bench, layer.slabs, field)
    picture = camera.expose(light, detail, coarser=coarser)
    found = [_seen(shot.name, item, view, field, camera) for item in layer.outlined]
    return jpeg_bytes(picture, quality=_QUALITY, quarter_turned=shot.turned), found


def _on(shot: _Shot, group: Group) -> bool:
    return {"A heartwood": "board_a_heartwood.jpg", "A sapwood": "board_a_sapwood.jpg"}.get(
        f"{group.board} {group.zone}", "board_b.jpg"
    ) == shot.name


def _sample_photo(
    shot: _Shot,
    groups: list[Group],
    camera: Camera,
    scale: float,
    setting: np.random.Generator,
    detail: np.random.Generator,
) -> _Layer:
    """Lay out the samples row by row, the card in the tenth place, a tag under each."""
    places = iter(_places(shot, 10 if len(groups) == 1 else 15))
    slabs: list[Slab] = []
    outlined: list[tuple[Slab, Group | None, Sample | None]] = []
    for group in groups:
        strip = _strip(group, scale, detail)
        order = setting.permutation(len(group.samples))  # offcuts were dealt to the hours by lot
        for sample, cut in zip(group.samples, order, strict=True):
            slab = _sample_slab(sample, _offcut(strip, int(cut), scale), next(places), camera, scale, setting)
            words = (
                f"{sample.hours:g} h" if group.zone == "heartwood" or len(groups) == 1 else f"sap {sample.hours:g} h"
            )
            slabs += [slab, _tag(words, slab, camera, scale, setting, detail)]
            outlined.append((slab, group, sample))
        if group is groups[0]:
            card = _card(next(places), camera, scale, setting, detail)
            name = f"{group.board} {'heart' if group.zone == 'heartwood' else 'sap'}"
            slabs += [card, _tag(name, card, camera, scale, setting, detail)]
            outlined.append((card, None, None))
    return _Layer(slabs=slabs, outlined=outlined)


def _places(shot: _Shot, count: int) -> list[tuple[float, float]]:
    """Return the middles of the places on the bench, row by row, a little above the middle so that tags find room."""
    rows = count // shot.columns
    return [
        (
            (i % shot.columns - (shot.columns - 1) / 2) * shot.pitch_mm[0],
            (i // shot.columns - (rows - 1) / 2) * shot.pitch_mm[1] - 8.0,
        )
        for i in range(count)
    ]


def _strip(group: Group, scale: float, detail: np.random.Generator) -> Face:
    length = len(group.samples) * (_SAMPLE_MM[0] + _KERF_MM)
    return grown_face(length, _SAMPLE_MM[1], scale, group.grain, detail)


def _offcut(strip: Face, cut: int, scale: float) -> Face:
    return strip.cut(round(cut * (_SAMPLE_MM[0] + _KERF_MM) * scale), round(_SAMPLE_MM[0] * scale))


def _sample_slab(
    sample: Sample, face: Face, place: tuple[float, float], camera: Camera, scale: float, setting: np.random.Generator
) -> Slab:
    light = face_light(face, sample.wood, sample.hours, camera, inset_px=max(1, round(_SAMPLE_INSET_MM * scale)))
    return Slab(
        kind="wood",
        x_mm=place[0] + float(setting.normal(0.0, 1.6)),
        y_mm=place[1] + float(setting.normal(0.0, 2.0)),
        turn_deg=float(np.clip(setting.normal(0.0, 1.2), -3.0, 3.0)),
        width_mm=_SAMPLE_MM[0],
        height_mm=_SAMPLE_MM[1],
        thickness_mm=_SAMPLE_MM[2],
        light=light,
        read_mm=inner_box(*_SAMPLE_MM[:2], _SAMPLE_INSET_MM),
    )


def _tag(
    words: str, under: Slab, camera: Camera, scale: float, setting: np.random.Generator, detail: np.random.Generator
) -> Slab:
    width, height = 13.0 + 2.6 * len(words), 11.5
    return Slab(
        kind="tag",
        x_mm=under.x_mm + float(setting.normal(0.0, 2.5)) - 4.0,
        y_mm=under.y_mm + under.height_mm / 2.0 + 14.0 + float(setting.normal(0.0, 0.8)),
        turn_deg=float(setting.normal(0.0, 3.0)),
        width_mm=width,
        height_mm=height,
        thickness_mm=0.5,
        light=tag_light(words, width, height, scale, camera, detail),
        read_mm=inner_box(width, height, 1.0),
    )


def _card(
    place: tuple[float, float], camera: Camera, scale: float, setting: np.random.Generator, detail: np.random.Generator
) -> Slab:
    return Slab(
        kind="card",
        x_mm=place[0] + float(setting.normal(0.0, 1.0)),
        y_mm=place[1] + float(setting.normal(0.0, 1.0)),
        turn_deg=float(np.clip(setting.normal(0.0, 1.0), -3.0, 3.0)),
        width_mm=_CARD_MM[0],
        height_mm=_CARD_MM[1],
        thickness_mm=_CARD_MM[2],
        light=card_light(_CARD_MM[0], _CARD_MM[1], scale, camera, detail),
        read_mm=inner_box(*_CARD_MM[:2], _CARD_INSET_MM),
    )


def _settle_photo(
    chest: Chest, camera: Camera, scale: float, setting: np.random.Generator, detail: np.random.Generator
) -> _Layer:
    """Lay out the settle's arm with the card below it."""
    face = grown_face(_ARM_MM[0], _ARM_MM[1], scale, chest.target_grain, detail)
    light = face_light(face, chest.target, np.inf, camera, inset_px=max(1, round(_SAMPLE_INSET_MM * scale)))
    arm = Slab(
        kind="wood",
        x_mm=float(setting.normal(0.0, 1.5)),
        y_mm=-66.0 + float(setting.normal(0.0, 2.0)),
        turn_deg=float(np.clip(setting.normal(0.0, 0.8), -2.0, 2.0)),
        width_mm=_ARM_MM[0],
        height_mm=_ARM_MM[1],
        thickness_mm=_ARM_MM[2],
        light=light * _peg_hole(light.shape, scale),
        read_mm=_ARM_READ_MM,
        rim_mm=_arm_rim(),
    )
    tag = _tag("settle arm", arm, camera, scale, setting, detail)
    card = _card((34.0, 66.0), camera, scale, setting, detail)
    return _Layer(slabs=[arm, tag, card], outlined=[(arm, None, None), (card, None, None)])


def _arm_rim() -> NDArray[np.float64]:
    """Return the arm's shape: square where the peg went in, a little waisted, rounded where the hand lay."""
    half_w, half_h = _ARM_MM[0] / 2.0, _ARM_MM[1] / 2.0
    x = np.linspace(-half_w, half_w - 34.0, 30)
    waist = half_h - 5.0 * np.sin(np.clip((x + half_w - 30.0) / (2 * half_w - 64.0), 0.0, 1.0) * np.pi) ** 2
    angle = np.linspace(-np.pi / 2, np.pi / 2, 41)[1:-1]
    end = np.stack([half_w - 34.0 + 34.0 * np.cos(angle) ** 0.8, half_h * np.sin(angle)], axis=1)
    return np.concatenate([np.stack([x, -waist], axis=1), end, np.stack([x, waist], axis=1)[::-1]])


def _peg_hole(shape: tuple[int, ...], scale: float) -> Pixels:
    """Return what the hole of an old peg multiplies the light by."""
    y, x = np.indices(shape[:2], dtype=np.float32) / np.float32(scale)
    x, y = x - 15.0, y - _ARM_MM[1] / 2.0
    distance = np.hypot(x, y)
    deep = np.clip((6.0 - distance) * scale / 2.0 + 0.5, 0.0, 1.0)
    lit = np.exp(-(((distance - 6.1) / 0.35) ** 2)) * np.clip((0.56 * x + 0.83 * y) / 6.0, 0.0, 1.0)
    floor = 0.10 + 0.16 * np.clip((0.56 * x + 0.83 * y) / 6.0, 0.0, 1.0)
    return np.asarray((1.0 + deep * (floor - 1.0) + 0.16 * lit)[..., np.newaxis], dtype=np.float32)


def _seen(
    photo: str,
    item: tuple[Slab, Group | None, Sample | None],
    view: View,
    field: Pixels,
    camera: Camera,
) -> Seen:
    slab, group, sample = item
    outline = slab.outline(view)
    role = "card" if slab.kind == "card" else "sample" if sample is not None else "target"
    return Seen(
        photo=photo,
        role=role,
        outline=outline,
        group=group,
        sample=sample,
        light=_mean_light(field, outline),
        camera=camera,
    )


def _mean_light(field: Pixels, outline: Outline) -> float:
    x, y, width, height = outline
    return float(field[y : y + height, x : x + width].mean(dtype=np.float64))


def _sheet(seen: list[Seen]) -> str:
    """Return the sheet's text, the card of each photo first."""
    rows = [SHEET_HEADER]
    for item in sorted(seen, key=lambda s: ([shot.name for shot in _SHOTS].index(s.photo), s.role != "card")):
        place = ",".join(str(v) for v in item.outline)
        if item.group is not None and item.sample is not None:
            rows.append(
                f"{item.photo},sample,{place},{item.sample.hours:g},{item.group.board},{item.group.zone},{item.label},,,"
            )
        elif item.role == "card":
            rows.append(f"{item.photo},card,{place},,,,grey card 18 %,{CARD_LAB[0]:g},{CARD_LAB[1]:g},{CARD_LAB[2]:g}")
        else:
            rows.append(f"{item.photo},target,{place},,,,{item.label},,,")
    return "\n".join(rows) + "\n"


def write_job(job: RenderedJob, folder: Path) -> None:
    """Write photos, sheet and truth into a folder."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, content in job.photos.items():
        (folder / name).write_bytes(content)
    (folder / SHEET_NAME).write_bytes(job.sheet.encode("utf-8"))
    text = json.dumps(job.truth, indent=1, ensure_ascii=False, allow_nan=False) + "\n"
    (folder / "truth.json").write_bytes(text.encode("utf-8"))


def main(arguments: list[str] | None = None) -> int:
    """Render one seed and write it."""
    parser = argparse.ArgumentParser(prog="python -m tests.simulation.example", description="Render the example job.")
    parser.add_argument("--seed", type=int, default=FIRST_SEED, help="the committed pictures are seed %(default)s")
    parser.add_argument("--small", action="store_true", help="an eighth of the size, no single pores")
    parser.add_argument("-o", "--output", type=Path, default=_FOLDER, help="folder to write to")
    options = parser.parse_args(arguments)
    job = render_job(options.seed, small=options.small)
    write_job(job, options.output)
    for name, content in job.photos.items():
        print(f"{name}: {len(content) / 1e6:.2f} MB")
    for group in job.truth["groups"]:
        hours = "not reached" if group["hours"] is None else f"{group['hours']:.2f} h"
        print(f"board {group['board']} {group['zone']}: {hours}")
    floor = job.truth["metameric_floor"]["mean_delta_e_2000"]
    print(f"metameric floor of lamp and camera: mean ΔE00 {floor:.2f}")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
