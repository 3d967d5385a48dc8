"""Read a folder of chart photographs and print what each way of reading them comes to.

Run with ``python -m tests.simulation.charts FOLDER``. The folder holds the photographs and a table ``charts.csv`` with
the columns photo; dark_skin_x, dark_skin_y, bluish_green_x, bluish_green_y, black_x, black_y, white_x, white_y (the
centres of the four corner patches, in pixels of the file); encoding (``linear`` or anything else); reference (the name
of the published values in colour-science).

Each figure is the mean CIEDE2000 under D50 over the 18 coloured patches, each read by a correction that has not seen
it. *Chosen* is what the program does: the way itself is chosen without the patch, too. *Card (23)* is one grey as a
card, over all patches but that grey.
"""

from __future__ import annotations

import csv
import sys
from collections.abc import Iterable, Mapping
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from colourcore.colour.difference import delta_e_2000
from colourcore.colour.spaces import BRADFORD, WHITE_D50, WHITE_D65, chromatic_adaptation, xyz_to_lab
from colourcore.errors import InputError
from colourcore.image.chart import measure_chart, published_reference
from colourcore.image.chart_finder import find_chart
from colourcore.image.correction import ChartFit, fit_chart, is_whole
from colourcore.image.develop import Photo, declared_linear, open_photo

CORNERS = ("dark_skin", "bluish_green", "black", "white")
COLOURED = range(18)
AIM_CHOICE = 0.2


def _lab_d50(xyz: NDArray[np.float64]) -> NDArray[np.float64]:
    return xyz_to_lab(xyz @ chromatic_adaptation(WHITE_D65, WHITE_D50).T, WHITE_D50)


def _opened(folder: Path, row: Mapping[str, str]) -> Photo:
    photo = open_photo((folder / row["photo"]).read_bytes(), row["photo"])
    return declared_linear(photo) if row["encoding"] == "linear" else photo


def _scores(photo: Photo, row: Mapping[str, str]) -> tuple[ChartFit, float, float]:
    """Return what the whole chart asks for, the mean error as chosen, and one grey's over all patches but itself."""
    corners = [(float(row[f"{name}_x"]), float(row[f"{name}_y"])) for name in CORNERS]
    patches = measure_chart(photo, corners)
    light = np.array([patch.mean for patch in patches])
    reference = published_reference(row["reference"])
    kept = [i for i, patch in enumerate(patches) if is_whole(patch)]
    known, to_xyz = patches[0].linear, patches[0].to_xyz
    whole = fit_chart(light, reference.xyz, to_xyz, kept=kept, known_curve=known)
    errors = []
    for i in COLOURED:
        others = [k for k in kept if k != i]
        fit = fit_chart(light, reference.xyz, to_xyz, kept=others, known_curve=known)
        read = _lab_d50(fit.correction.xyz(light[i]))
        errors.append(float(delta_e_2000(read, _lab_d50(reference.xyz[i]))))
    return whole, float(np.mean(errors)), _one_card(light, reference.xyz, to_xyz, kept)


def _one_card(
    light: NDArray[np.float64], xyz: NDArray[np.float64], to_xyz: NDArray[np.float64], kept: list[int]
) -> float:
    middle = min((i for i in kept if i not in COLOURED), key=lambda i: abs(float(xyz[i, 1]) - 0.18))
    gains = (BRADFORD @ xyz[middle]) / (BRADFORD @ to_xyz @ light[middle])
    matrix = np.linalg.solve(BRADFORD, gains[:, None] * (BRADFORD @ to_xyz))
    others = [i for i in range(24) if i != middle]
    return float(np.mean(delta_e_2000(_lab_d50(light[others] @ matrix.T), _lab_d50(xyz[others]))))


def _found(photo: Photo) -> str:
    try:
        corners = find_chart(photo)
    except InputError as error:
        return f"not found ({error.problem.split(',')[0]})"
    return "found, first patch at " + ", ".join(f"{value:.0f}" for value in corners[0])


def table(folder: Path, rows: Iterable[Mapping[str, str]]) -> float:
    """Print one line for each photo; return how much worse the choice was than the best single way, at most."""
    worst = 0.0
    heads = ("card (23)", "card", "greys", "3×3", "both", "chosen", "over best")
    print(f"{'photo':24}" + "".join(f"{head:>10}" for head in heads) + "  chart finder")
    for row in rows:
        photo = _opened(folder, row)
        fit, chosen, card_all = _scores(photo, row)
        both, matrix, greys, card = fit.errors.values()
        over = chosen - min(fit.errors.values())
        worst = max(worst, over)
        figures = (card_all, card, greys, matrix, both, chosen, over)
        print(f"{row['photo']:24}" + "".join(f"{figure:10.2f}" for figure in figures) + "  " + _found(photo))
    return worst


def main() -> None:
    """Print the table of the folder that the command names, and what the finder makes of its other pictures."""
    if len(sys.argv) != 2:
        sys.exit("expected the folder with charts.csv and its photographs")
    folder = Path(sys.argv[1])
    with (folder / "charts.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    worst = table(folder, rows)
    print(f"the choice is at most {worst:.2f} over the best single way of its row (aim {AIM_CHOICE})")
    named = {row["photo"] for row in rows}
    for path in sorted(folder.iterdir()):
        if path.suffix.lower() in {".png", ".jpg", ".jpeg", ".tif", ".tiff", ".heic"} and path.name not in named:
            print(f"{path.name}: {_found(open_photo(path.read_bytes(), path.name))}")


if __name__ == "__main__":
    main()
