"""Render the example job: photographs, sheet and truth of an invented oak music chest.

    python -m tests.simulation.example [--seed N] [--small] [-o FOLDER]

The committed pictures in `sample_images` are those of the first seed. The same seed gives the same bytes on the same
machine and library versions. `render_job` does it in memory; small renderings (a tenth of the size, no single pores,
a bare bench) serve the many seeds of `tests.simulation.coverage`.
"""

from __future__ import annotations

import argparse
import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tests.simulation.bench import bench_light, plain_bench_light
from tests.simulation.camera import CARD_LAB, Camera, jpeg_bytes, measured_camera
from tests.simulation.chest import Chest, invented_chest
from tests.simulation.layout import SHOTS, Laid, Session, Shot, laid_out
from tests.simulation.scene import View, light_field, paint, standing_view
from tests.simulation.truth import Seen, job_truth

__all__ = ["FIRST_SEED", "SHEET_HEADER", "SHEET_NAME", "RenderedJob", "main", "render_job", "write_job"]

Pixels = NDArray[np.float32]

FIRST_SEED = 1
# Numbers the worlds so that the first one shows every kind of outcome: reached by both heartwoods, late by one sapwood,
# never by the other. It was chosen by the true hours alone, before anything was read.
_WORLD = 421
SHEET_NAME = "music_chest.csv"
SHEET_HEADER = "photo,role,x,y,width,height,hours,board,zone,label,L,a,b"
_FOLDER = Path(__file__).resolve().parents[2] / "sample_images"

_SMALL = 10  # small renderings are this much coarser
_QUALITY = 95


@dataclass(frozen=True, slots=True, kw_only=True)
class RenderedJob:
    """One job as files would hold it: photos by name as JPEG bytes, the sheet's text and what is true."""

    photos: dict[str, bytes]
    sheet: str
    truth: dict[str, Any]


def render_job(seed: int, *, small: bool = False) -> RenderedJob:
    """Return the job of a seed; small or not, the wood, the light, the layout and the true hours are the same."""
    of_chest, *of_shots = np.random.SeedSequence([_WORLD, seed]).spawn(1 + len(SHOTS))
    chest = invented_chest(np.random.default_rng(of_chest))
    photos: dict[str, bytes] = {}
    seen: list[Seen] = []
    for shot, sequence in zip(SHOTS, of_shots, strict=True):
        photos[shot.name], found = _photograph(shot, chest, sequence, _SMALL if small else 1)
        seen.extend(found)
    return RenderedJob(photos=photos, sheet=_sheet(seen), truth=job_truth(seed, chest, seen))


def _photograph(shot: Shot, chest: Chest, sequence: np.random.SeedSequence, coarser: int) -> tuple[bytes, list[Seen]]:
    """Return one photo's file and what its outlines hold, the card first."""
    setting, detail = (np.random.default_rng(s) for s in sequence.spawn(2))
    full, scale = coarser == 1, shot.scale / coarser
    camera = measured_camera(setting)
    view = standing_view(shot.width_px // coarser, shot.height_px // coarser, scale, setting)
    field = light_field(view, setting)
    laid = laid_out(shot, chest, Session(camera=camera, scale=scale, setting=setting, detail=detail, tags=full))
    if full:
        bench = bench_light(view.height_px, view.width_px, scale, camera, detail)
    else:
        bench = plain_bench_light(view.height_px, view.width_px, camera)
    light = paint(view, bench, [item.slab for item in laid], field, plain=not full)
    picture = camera.expose(light, detail, coarser=coarser)
    outlined = sorted((item for item in laid if item.role), key=lambda item: item.role != "card")
    found = [_seen(shot.name, item, view, field, camera) for item in outlined]
    return jpeg_bytes(picture, quality=_QUALITY, quarter_turned=shot.turned), found


def _seen(photo: str, item: Laid, view: View, field: Pixels, camera: Camera) -> Seen:
    x, y, width, height = outline = item.slab.outline(view)
    return Seen(
        photo=photo,
        role=item.role,
        outline=outline,
        group=item.group,
        sample=item.sample,
        light=float(field[y : y + height, x : x + width].mean(dtype=np.float64)),
        camera=camera,
    )


def _sheet(seen: list[Seen]) -> str:
    """Return the sheet's text."""
    rows = [SHEET_HEADER]
    for item in seen:
        place = ",".join(str(number) for number in item.outline)
        hours = "" if item.sample is None else f"{item.sample.hours:g}"
        board, zone = ("", "") if item.group is None else (item.group.board, item.group.zone)
        stated = ",".join(f"{value:g}" for value in CARD_LAB) if item.role == "card" else ",,"
        rows.append(f"{item.photo},{item.role},{place},{hours},{board},{zone},{item.label},{stated}")
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
    parser.add_argument("--small", action="store_true", help="a tenth of the size, no single pores, a bare bench")
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
