"""How well photographs can be read: simulated cameras, lamps, curves and wood, and what the program makes of them.

Run with ``python -m tests.simulation.readings`` (about three minutes; ``--quick`` takes every third lamp). Seeded: the
same figures every time. Each row prints an aim beside its figure. The simulation (`tests.simulation.optics`) and the
program share no code: photographs are written as PNG files and read back as files.

*Floor* is what Bradford balancing by the card leaves when nothing else is wrong: two cameras do not see as the eye
does, and no card can tell. All colour differences are CIEDE2000 against the spectra's own colour (D65, 2°).
"""

from __future__ import annotations

import io
import sys
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from colourcore.colour.difference import delta_e_2000
from colourcore.colour.reading import Reading
from colourcore.colour.spaces import lab_to_xyz
from colourcore.image.chart import ChartReference
from colourcore.image.develop import declared_linear, open_photo
from colourcore.image.patches import Outline, measure_patch, read_patch
from colourcore.image.pixels import PatchStatistics
from colourcore.image.references import Card, Chart, References, balance_photo
from tests.simulation.optics import (
    CAMERAS,
    CURVES,
    LAMPS,
    STEPS,
    Bench,
    Camera,
    chart_spectra,
    lab,
    neutral,
    oak,
    photograph,
)

Floats = NDArray[np.float64]

SEED = 20
WOODS = np.array([oak(lightness) for lightness in (68, 60, 52, 45, 38, 31)])
WOOD_LAB = lab(WOODS)
GREYS = np.array([neutral(lightness) for lightness in STEPS])
GREY_LAB = lab(GREYS)
MID = 3  # of the greys, the one that stands for a grey card
THREE = (0, MID, 5)  # of the greys, those of the 3-step card
CONTRAST = tuple(name for name in CURVES if name != "plain")
NINETY = 1.645  # standard errors, of a normal distribution


@dataclass(slots=True)
class Row:
    """One line of the table, as it gathers photos."""

    name: str
    floors: list[float] = field(default_factory=list)
    errors: list[float] = field(default_factory=list)
    worst_wood: float = 0.0
    within: list[NDArray[np.bool_]] = field(default_factory=list)

    def add(self, readings: Sequence[Reading], floor: float) -> None:
        found = np.array([reading.lab for reading in readings])
        off = delta_e_2000(found, WOOD_LAB)
        self.floors.append(floor)
        self.errors.append(float(off.mean()))
        self.worst_wood = max(self.worst_wood, float(off.max()))
        stated = np.array([reading.total_errors for reading in readings])
        self.within.append(np.abs(found - WOOD_LAB) < NINETY * stated)

    @property
    def over_floor(self) -> float:
        return float(np.mean(self.errors) - np.mean(self.floors))


def cameras(rng: np.random.Generator, *, quick: bool, stray: float = 0.0) -> Iterator[Camera]:
    """Every camera under every lamp, its own white balance a little off."""
    for sensor in CAMERAS:
        for lamp in LAMPS[::3] if quick else LAMPS:
            red, blue = np.exp(rng.normal(0, 0.04, 2))
            yield Camera(sensor=sensor, lamp=lamp, cast=(float(red), float(blue)), stray=stray)


def floor_of(camera: Camera) -> float:
    return float(delta_e_2000(camera.balanced_lab(WOODS, GREYS[MID], GREY_LAB[MID]), WOOD_LAB).mean())


def measured(bench: Bench, *, linear: bool = False) -> list[PatchStatistics]:
    stream = io.BytesIO()
    Image.fromarray(bench.picture).save(stream, "PNG")
    photo = open_photo(stream.getvalue(), "simulated.png")
    photo = declared_linear(photo) if linear else photo
    return [measure_patch(photo, Outline(x=x, y=y, width=w, height=h)) for x, y, w, h in bench.boxes]


def textured(before: int) -> NDArray[np.bool_]:
    return np.array([False] * before + [True] * len(WOODS))


def card_of(patch: PatchStatistics, grey: int) -> Card:
    lightness, a, b = GREY_LAB[grey]
    return Card(statistics=patch, lab=(float(lightness), float(a), float(b)))


def with_greys(
    row: Row,
    which: Sequence[int],
    curves: Sequence[str | None],
    rng: np.random.Generator,
    *,
    quick: bool,
    stray: float = 0.0,
) -> None:
    """Read the wood by some of the greys, under every camera, lamp and curve."""
    for curve in curves:
        for camera in cameras(rng, quick=quick, stray=stray):
            bench = photograph(np.vstack([GREYS, WOODS]), camera, curve, rng, textured=textured(len(GREYS)))
            patches = measured(bench, linear=curve is None)
            balance = balance_photo(References(cards=tuple(card_of(patches[k], k) for k in which)))
            row.add([read_patch(patch, balance) for patch in patches[len(GREYS) :]], floor_of(camera))


def with_chart(row: Row, rng: np.random.Generator, *, quick: bool) -> list[str]:
    """Read the wood by a chart; return, photo by photo, which way the program chose."""
    chosen = []
    chart = chart_spectra()
    reference = ChartReference(name="the chart's own spectra", xyz=lab_to_xyz(lab(chart)))
    for curve in CURVES:
        for camera in cameras(rng, quick=quick):
            bench = photograph(np.vstack([chart, WOODS]), camera, curve, rng, textured=textured(len(chart)))
            patches = measured(bench)
            balance = balance_photo(References(chart=Chart(patches=tuple(patches[:24]), reference=reference)))
            row.add([read_patch(patch, balance) for patch in patches[24:]], floor_of(camera))
            chosen.append(balance.method.split(": ")[-1])
    return chosen


def report_chart(chart: Row, chosen: Sequence[str]) -> None:
    """Print the chart's figures, and apart those photos where the chart's own patches spoke against a matrix."""
    mean, worst = float(np.mean(chart.errors)), max(chart.errors)
    line(chart.name, f"mean {mean:.2f}, worst photo {worst:.2f}", "≤ 1.0 / 1.8", held=mean <= 1.0 and worst <= 1.8)
    for matrix, name in ((True, "with a 3×3 matrix"), (False, "without one")):
        errors = [e for e, way in zip(chart.errors, chosen, strict=True) if ("3×3" in way) == matrix]
        if errors:
            print(f"{'':58} {f'{name}: {len(errors)} photos, worst {max(errors):.2f}':>34}")


GROUND_EVERY = 4  # every fourth cell of the uneven bench is plain ground


def with_uneven_light(even: Row, uneven: Row, left: Row, rng: np.random.Generator, *, quick: bool) -> None:
    """One bench with a 3-step card: in even light, in light falling off by 25 % with plain ground, and without it.

    Curve and light are found together here: the greys lie in unlike light, and the ground shows it through the curve.
    """
    layout: list[tuple[str, int]] = []
    queue = [*[("card", k) for k in THREE], *[("wood", k) for k in range(len(WOODS))]]
    while queue:
        layout.append(("ground", 0) if len(layout) % GROUND_EVERY in (0, 3) else queue.pop(0))
    layout += [("ground", 0)] * (-len(layout) % GROUND_EVERY)
    ground = neutral(60.0)
    spectra = np.array([{"card": GREYS[k % len(GREYS)], "ground": ground}.get(kind, WOODS[k]) for kind, k in layout])
    wooden = np.array([kind == "wood" for kind, _ in layout])
    for number, camera in enumerate(cameras(rng, quick=quick)):
        curve = CONTRAST[number % len(CONTRAST)]
        for rows, fall_off in (((even,), 0.0), ((uneven, left), 0.25)):
            bench = photograph(spectra, camera, curve, rng, textured=wooden, fall_off=fall_off, columns=GROUND_EVERY)
            patches = measured(bench)
            card = tuple(card_of(p, k) for p, (kind, k) in zip(patches, layout, strict=True) if kind == "card")
            grounds = tuple(patch for patch, (kind, _) in zip(patches, layout, strict=True) if kind == "ground")
            wood = [patch for patch, (kind, _) in zip(patches, layout, strict=True) if kind == "wood"]
            used = References(cards=card, backgrounds=grounds), References(cards=card)
            for row, references in zip(rows, used, strict=False):
                balance = balance_photo(references)
                row.add([read_patch(patch, balance) for patch in wood], floor_of(camera))


def lightness_slopes(curve: str | None, rng: np.random.Generator, *, quick: bool, stepped: bool) -> tuple[Floats, int]:
    """The slope of read over true lightness of the wood under 3 % stray light, and how often an offset was named."""
    slopes, named = [], 0
    for camera in cameras(rng, quick=quick, stray=0.03):
        bench = photograph(np.vstack([GREYS, WOODS]), camera, curve, rng, textured=textured(len(GREYS)))
        patches = measured(bench, linear=curve is None)
        which = range(len(GREYS)) if stepped else (MID,)
        balance = balance_photo(References(cards=tuple(card_of(patches[k], k) for k in which)))
        read = [read_patch(patch, balance).lab[0] for patch in patches[len(GREYS) :]]
        slopes.append(np.polyfit(WOOD_LAB[:, 0], read, 1)[0])
        named += balance.tone is not None and bool(np.any(balance.tone.offset > 0))
    return np.array(slopes), named


def same_photo_differences(rng: np.random.Generator, *, quick: bool) -> list[float]:
    """ΔE00 of each wood after the error that all woods of its photo share is taken off."""
    rest = []
    for curve in CURVES:
        for camera in cameras(rng, quick=quick):
            bench = photograph(np.vstack([GREYS, WOODS]), camera, curve, rng, textured=textured(len(GREYS)))
            patches = measured(bench)
            balance = balance_photo(References(cards=tuple(card_of(patches[k], k) for k in range(len(GREYS)))))
            read = np.array([read_patch(patch, balance).lab for patch in patches[len(GREYS) :]])
            rest.append(float(delta_e_2000(read - (read - WOOD_LAB).mean(axis=0), WOOD_LAB).mean()))
    return rest


def line(name: str, figure: str, aim: str, *, held: bool) -> None:
    print(f"{name:58} {figure:>34}   {aim:22} {'held' if held else 'MISSED'}")


def report(row: Row, aim: float) -> None:
    floor, error = np.mean(row.floors), np.mean(row.errors)
    figure = f"{error:.2f} − floor {floor:.2f} = {row.over_floor:+.2f}"
    line(row.name, figure, f"over the floor ≤ {aim}", held=row.over_floor <= aim)
    print(f"{'':58} {'worst photo ' + format(max(row.errors), '.2f') + ', wood ' + format(row.worst_wood, '.2f'):>34}")


def coverage(rows: Sequence[Row]) -> None:
    print("\nshare of the stated 90 % intervals that hold the true value (absolute colour)")
    for row in rows:
        held = np.concatenate(row.within).mean(axis=0)
        every = float(np.concatenate(row.within).mean())
        figure = "  ".join(f"{name} {100 * share:.0f} %" for name, share in zip("Lab", held, strict=True))
        line(row.name, f"{figure}  all {100 * every:.0f} %", "85 to 95 %", held=0.85 <= every <= 0.95)


def main() -> None:
    """Print every aim beside its figure."""
    quick = "--quick" in sys.argv
    rng = np.random.default_rng(SEED)
    print(f"{len(CAMERAS)} cameras: {', '.join(CAMERAS)}\n{len(LAMPS)} lamps: {', '.join(LAMPS)}")
    print(f"curves: {', '.join(CURVES)}; wood: oak of L* {', '.join(f'{value:.0f}' for value in WOOD_LAB[:, 0])}\n")
    plain, every = Row("one grey card, plain curve"), Row("one grey card, every curve")
    six, three = Row("step card of 6 greys, contrast curves"), Row("step card of 3 greys, contrast curves")
    with_greys(plain, (MID,), ("plain",), rng, quick=quick)
    report(plain, 0.1)
    with_greys(every, (MID,), tuple(CURVES), rng, quick=quick)
    report(every, float("inf"))
    with_greys(six, range(6), CONTRAST, rng, quick=quick)
    report(six, 0.2)
    with_greys(three, THREE, CONTRAST, rng, quick=quick)
    report(three, 0.8)
    chart = Row("24-patch chart, every curve")
    report_chart(chart, with_chart(chart, rng, quick=quick))
    even, uneven, left = (
        Row("even light"),
        Row("light falling off by 25 %, plain ground"),
        Row("the same, ground unused"),
    )
    with_uneven_light(even, uneven, left, rng, quick=quick)
    added = float(np.mean(uneven.errors) - np.mean(even.errors))
    unused = float(np.mean(left.errors) - np.mean(even.errors))
    line(uneven.name, f"adds {added:+.2f} (unused {unused:+.2f})", "adds ≤ 0.3", held=added <= 0.3)
    stray_rows: tuple[tuple[str, str | None, Callable[[int, int], bool]], ...] = (
        ("3 % stray light, linear file, 6 greys", None, lambda named, of: named == of),
        ("3 % stray light, plain curve not known, 6 greys", "plain", lambda named, _: named == 0),
    )
    for name, curve, right in stray_rows:
        slopes, named = lightness_slopes(curve, rng, quick=quick, stepped=True)
        alone, _ = lightness_slopes(curve, rng, quick=quick, stepped=False)
        low, high = slopes.min(), slopes.max()
        held = bool(low >= 0.97 and high <= 1.03) and right(named, slopes.size)
        figure = f"slope {low:.3f} to {high:.3f} (one card {alone.mean():.2f})"
        line(name, figure, "0.97 to 1.03", held=held)
        print(f"{'':58} {f'offset named in {named} of {slopes.size}':>34}")
    rest = same_photo_differences(rng, quick=quick)
    line("differences within a photo, 6 greys", f"{np.mean(rest):.2f}", "≤ 0.5", held=float(np.mean(rest)) <= 0.5)
    coverage([every, six, three, chart, uneven])


if __name__ == "__main__":
    main()
