"""The sheet and the readings as CSV: the only door between the user's tables and the job.

A sheet names photos and outlines, readings carry colours. Both are UTF-8 with a header. Every complaint names the
file and the line.
"""

from __future__ import annotations

import csv
import hashlib
import io
import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path, PurePosixPath

from colourcore.colour.spaces import WHITE_D50, WHITE_D65, chromatic_adaptation, lab_to_xyz, xyz_to_lab
from colourcore.errors import InputError
from colourcore.image.pixels import Outline
from colourcore.job.model import GREY_CARD_LAB, CameraFile, Job, Lab, Patch, PhotoFile, Role, group_name

__all__ = [
    "COLUMNS",
    "OPTIONAL_COLUMNS",
    "SheetFile",
    "camera_file",
    "is_sheet",
    "parse_number",
    "read_sheet",
    "read_table",
    "sheet_text",
]

COLUMNS = ("photo", "role", "x", "y", "width", "height", "hours", "board", "zone", "label", "L", "a", "b")
"""The sheet's columns, in order."""

OPTIONAL_COLUMNS = ("set_aside", "piece", "finish", "drawn", "camera", "encoding", "corners", "light")
"""Columns that a sheet may add, by name: reasons for setting a sample aside, repeated photos of one piece, the finish,
when a sample was drawn, the camera's own curve, codes in proportion to light, turned outlines, and the light that
stated L, a, b hold for."""

_NEEDS_OUTLINE = (Role.CARD, Role.SAMPLE, Role.BACKGROUND, Role.NEUTRAL)


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetFile:
    """A sheet as read: the job it says, and the folder that its photos are relative to."""

    job: Job
    folder: Path

    def load(self, photo: str) -> bytes:
        """Return a photo's bytes; InputError where the file cannot be read any more."""
        try:
            return (self.folder / photo).read_bytes()
        except OSError as error:
            raise InputError(f"expected a photo that can be read, got {error.strerror or error}", file=photo) from error


def read_table(path: Path) -> tuple[list[str], list[tuple[int, dict[str, str]]]]:
    """Return a CSV file's header and its rows, each with its line number from 1 and its cells stripped.

    Rows without any text are passed over. Raises InputError for a file that is missing, not UTF-8, without header,
    or whose row has more cells than the header.
    """
    try:
        text = path.read_bytes().decode("utf-8-sig")
    except OSError as error:
        raise InputError(f"expected a CSV file, got {error.strerror or error}", file=path.name) from error
    except UnicodeDecodeError as error:
        raise InputError("expected CSV text in UTF-8, got other bytes", file=path.name) from error
    reader = csv.reader(io.StringIO(text, newline=""))
    header: list[str] = []
    rows: list[tuple[int, dict[str, str]]] = []
    try:
        for cells in reader:
            stripped = [cell.strip() for cell in cells]
            if not any(stripped):
                continue
            if not header:
                header = stripped
                continue
            if len(stripped) > len(header):
                problem = f"expected at most {len(header)} cells as in the header, got {len(stripped)}"
                raise InputError(problem, file=path.name, line=reader.line_num)
            rows.append((reader.line_num, dict(zip(header, stripped, strict=False))))
    except csv.Error as error:
        raise InputError(
            f"expected CSV, got a row that cannot be split ({error})", file=path.name, line=reader.line_num
        ) from error
    if not header:
        raise InputError("expected a header row, got an empty file", file=path.name)
    twice = sorted({name for name in header if name and header.count(name) > 1})
    if twice:
        raise InputError(f"expected each column once, got {twice[0]} twice", file=path.name, line=1)
    return header, rows


def is_sheet(header: Iterable[str]) -> bool:
    """Tell a sheet from readings: a sheet's header has photo, x, y, width and height.

    >>> is_sheet(["photo", "role", "x", "y", "width", "height"]), is_sheet(["role", "hours", "L", "a", "b"])
    (True, False)
    """
    return {"photo", "x", "y", "width", "height"} <= set(header)


def parse_number(text: str, name: str, low: float = -math.inf, high: float = math.inf) -> float:
    """Return a cell's number; InputError where it is none, not finite, or outside its range (both ends belong to it).

    >>> parse_number("4.5", "hours", 0)
    4.5
    """
    try:
        number = float(text)
    except ValueError:
        number = math.nan
    if not math.isfinite(number):
        raise InputError(f"expected a number for {name}, got {text!r}")
    if not low <= number <= high:
        bounds = f"from {low:g} to {high:g}" if math.isfinite(high) else f"of {low:g} or more"
        raise InputError(f"expected {name} {bounds}, got {text}")
    return number


def read_sheet(path: Path) -> SheetFile:
    """Return the job that a sheet says.

    Raises InputError, naming file and line, for anything that is not as the sheet's contract has it, for photos that
    are missing, and for photo paths that leave the sheet's folder.
    """
    header, rows = read_table(path)
    missing = [name for name in COLUMNS if name not in header]
    if missing:
        raise InputError(
            f"expected the columns {','.join(COLUMNS)}, got no {', '.join(missing)}", file=path.name, line=1
        )
    folder = path.parent
    photos: dict[str, PhotoFile] = {}
    cameras: dict[str, CameraFile] = {}
    patches: list[Patch] = []
    seen: dict[tuple[str, Outline], int] = {}
    for line, cells in rows:
        try:
            patch = _patch(cells, identity=len(patches) + 1, line=line)
            if patch.photo and patch.photo not in photos:
                photos[patch.photo] = _photo_file(folder, patch.photo)
            if patch.camera and patch.camera not in cameras:
                cameras[patch.camera] = camera_file(folder, patch.camera)
            _refuse_twins(patch, seen)
        except InputError as error:
            raise error.at(file=path.name, line=line) from None
        patches.append(patch)
    if not patches:
        raise InputError("expected at least one row below the header, got none", file=path.name)
    job = Job(
        name=path.stem.replace("_", " ").replace("-", " "),
        photos=tuple(photos.values()),
        patches=tuple(patches),
        cameras=tuple(cameras.values()),
    )
    _refuse_photos_without_card(job, path.name)
    return SheetFile(job=job, folder=folder)


def _patch(cells: Mapping[str, str], *, identity: int, line: int) -> Patch:
    role = _role(cells.get("role", ""))
    outline = _outline(cells)
    photo = cells.get("photo", "")
    lab = _stated_lab(cells)
    if role is not Role.TARGET and not photo:
        raise InputError(f"expected the photo of this {role}, got an empty cell")
    if role is Role.TARGET and not photo and (lab is None or outline is not None):
        raise InputError("expected a target with a photo and an outline, or with L, a, b and neither, got a mixture")
    if outline is None and (role in _NEEDS_OUTLINE or (role is Role.TARGET and photo)):
        raise InputError(f"expected x, y, width and height of this {role}, got empty cells")
    hours = _hours(cells.get("hours", ""), role)
    known = {*COLUMNS, *OPTIONAL_COLUMNS}
    return Patch(
        identity=identity,
        photo=photo,
        role=role,
        outline=outline,
        hours=hours,
        board=cells.get("board", ""),
        zone=cells.get("zone", ""),
        label=cells.get("label", ""),
        lab=GREY_CARD_LAB if role is Role.CARD and lab is None else lab,
        set_aside=cells.get("set_aside", ""),
        piece=cells.get("piece", ""),
        finish=cells.get("finish", ""),
        drawn=_moment(cells.get("drawn", "")),
        camera=cells.get("camera", ""),
        encoding=_one_of(cells.get("encoding", "").lower(), "encoding", ("", "linear")),
        extra=tuple((name, value) for name, value in cells.items() if name and value and name not in known),
        line=line,
    )


def _role(text: str) -> Role:
    try:
        return Role(text.lower())
    except ValueError:
        raise InputError(f"expected a role out of {', '.join(Role)}, got {text or 'an empty cell'}") from None


def _hours(text: str, role: Role) -> float | None:
    if role is not Role.SAMPLE:
        return parse_number(text, "hours", 0) if text else None
    if not text:
        raise InputError("expected the hours of this sample, 0 for raw wood, got an empty cell")
    return parse_number(text, "hours", 0)


def _outline(cells: Mapping[str, str]) -> Outline | None:
    texts = [cells.get(name, "") for name in ("x", "y", "width", "height")]
    if not any(texts):
        return None
    x, y = parse_number(texts[0], "x"), parse_number(texts[1], "y")
    width, height = parse_number(texts[2], "width", 1), parse_number(texts[3], "height", 1)
    corners = _corners(cells.get("corners", ""))
    return Outline(x=x, y=y, width=width, height=height, corners=corners)


def _moment(text: str) -> str:
    try:
        return text and datetime.fromisoformat(text).isoformat()
    except ValueError:
        raise InputError(f"expected drawn as a date and time like 2026-03-05 08:30, got {text}") from None


def _one_of(text: str, name: str, words: tuple[str, ...]) -> str:
    if text not in words:
        raise InputError(f"expected {name} to be {' or '.join(word for word in words if word)}, got {text}")
    return text


def _corners(text: str) -> tuple[tuple[float, float], ...] | None:
    if not text:
        return None
    numbers = [parse_number(part, "corners") for part in text.split()]
    if len(numbers) != 8:
        raise InputError(f"expected corners as eight numbers, x y from the top left on clockwise, got {len(numbers)}")
    return tuple(zip(numbers[::2], numbers[1::2], strict=True))


def _stated_lab(cells: Mapping[str, str]) -> Lab | None:
    texts = [cells.get(name, "") for name in ("L", "a", "b")]
    if not any(texts):
        return None
    lightness = parse_number(texts[0], "L", 0, 100)
    a, b = (parse_number(text, name, -150, 150) if text else None for text, name in zip(texts[1:], "ab", strict=True))
    if (a is None) != (b is None):
        raise InputError("expected both a and b, or neither, got one of them")
    light = _one_of(cells.get("light", "").upper(), "light", ("", "D65", "D50"))
    if light != "D50":
        return lightness, a, b
    if a is None or b is None:
        raise InputError("expected L, a and b together under D50, got L alone")
    under_d65 = chromatic_adaptation(WHITE_D50, WHITE_D65) @ lab_to_xyz([lightness, a, b], WHITE_D50)
    converted = xyz_to_lab(under_d65)
    return float(converted[0]), float(converted[1]), float(converted[2])


def _inside(folder: Path, name: str, what: str) -> Path:
    """Return the path of a file that a sheet names, refusing what leaves the sheet's folder."""
    relative = PurePosixPath(name.replace("\\", "/"))
    leaves = relative.is_absolute() or ".." in relative.parts or ":" in name
    if leaves or not (folder / name).resolve().is_relative_to(folder.resolve()):
        raise InputError(f"expected a {what} inside the sheet's folder, got {name}")
    return folder / name


def _photo_file(folder: Path, name: str) -> PhotoFile:
    path = _inside(folder, name, "photo")
    try:
        with path.open("rb") as file:
            return PhotoFile(name=name, sha256=hashlib.file_digest(file, "sha256").hexdigest())
    except FileNotFoundError:
        raise InputError(f"expected the photo {name} beside the sheet, got no such file") from None
    except OSError as error:
        raise InputError(f"expected the photo {name}, got {error.strerror or error}") from error


def camera_file(folder: Path, name: str) -> CameraFile:
    """Return a camera's curve by its name relative to a folder. InputError where it cannot be read as text."""
    try:
        return CameraFile(name=name, text=_inside(folder, name, "camera's curve").read_text("utf-8"))
    except OSError as error:
        raise InputError(f"expected the camera's curve {name}, got {error.strerror or error}") from error
    except UnicodeDecodeError as error:
        raise InputError(f"expected the camera's curve {name} as text, got other bytes") from error


def _refuse_twins(patch: Patch, seen: dict[tuple[str, Outline], int]) -> None:
    if patch.role is not Role.SAMPLE or patch.outline is None:
        return
    first = seen.setdefault((patch.photo, patch.outline), patch.line or 0)
    if first != patch.line:
        raise InputError(f"expected each sample once, got the same photo and outline as line {first}")


def _refuse_photos_without_card(job: Job, file: str) -> None:
    for photo in job.photos:
        patches = job.patches_of(photo.name)
        measured = [patch for patch in patches if patch.role in (Role.SAMPLE, Role.TARGET)]
        if measured and not any(patch.role in (Role.CARD, Role.CHART, Role.NEUTRAL) for patch in patches):
            first = measured[0]
            what = group_name(first.board, first.zone) if first.role is Role.SAMPLE else "the target"
            raise InputError(
                f"expected a card row for {photo.name}, got {what} without one", file=file, line=first.line
            )


def _cell(value: float | str | None) -> str:
    if isinstance(value, float):
        return repr(int(value)) if value.is_integer() else repr(value)
    return value or ""


def sheet_text(job: Job) -> str:
    """Return the job as a sheet's CSV text; `read_sheet` of it gives back all that a sheet can say.

    Optional columns stand only where a row uses them; unknown columns are written as they came.
    """
    extras = sorted({name for patch in job.patches for name, _ in patch.extra})
    rows = [_row(patch) for patch in job.patches]
    used = [name for name in OPTIONAL_COLUMNS if any(row.get(name) for row in rows)]
    out = io.StringIO(newline="")
    writer = csv.DictWriter(out, [*COLUMNS, *used, *extras], restval="", extrasaction="ignore", lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return out.getvalue()


def _row(patch: Patch) -> dict[str, str]:
    outline, (lightness, a, b) = patch.outline, patch.lab or (None, None, None)
    geometry = {"x": outline.x, "y": outline.y, "width": outline.width, "height": outline.height} if outline else {}
    corners = (
        " ".join(_cell(float(number)) for point in outline.corners for number in point)
        if outline and outline.corners
        else ""
    )
    return {
        "photo": patch.photo,
        "role": str(patch.role),
        **{name: _cell(float(number)) for name, number in geometry.items()},
        "hours": _cell(patch.hours),
        "board": patch.board,
        "zone": patch.zone,
        "label": patch.label,
        "L": _cell(lightness),
        "a": _cell(a),
        "b": _cell(b),
        "set_aside": patch.set_aside,
        "piece": patch.piece,
        "finish": patch.finish,
        "drawn": patch.drawn,
        "camera": patch.camera,
        "encoding": patch.encoding,
        "corners": corners,
        **dict(patch.extra),
    }
