"""Readings and hours as rows and JSON: the contract that other programs rely on (docs/command_line.md)."""

from __future__ import annotations

import csv
import io
import json
import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict
from typing import Any

from colourcore.colour.reading import Reading, matrix3
from colourcore.curve.ladder import NextSample
from colourcore.curve.match import ColourMatch
from colourcore.curve.piece import PieceHours
from colourcore.curve.tolerance import Window
from colourcore.errors import InputError
from colourcore.image.checks import Check
from colourcore.job.model import Role
from colourcore.job.sheet import parse_number
from colourcore.pipeline import Group, PatchReading, PhotoReadings, Together, Wanted

__all__ = [
    "READING_KEYS",
    "hours_csv",
    "hours_json",
    "json_text",
    "parse_readings",
    "readings_csv",
    "readings_json",
]

_COVARIANCES = (
    "La_cov",
    "Lb_cov",
    "ab_cov",
    "LL_shared",
    "aa_shared",
    "bb_shared",
    "La_shared",
    "Lb_shared",
    "ab_shared",
)

_RELATIVE = ("L_relative", "a_relative", "b_relative")

READING_KEYS = (
    *("photo", "role", "board", "zone", "hours", "L", "a", "b", "L_se", "a_se", "b_se", "L_sd", "pixels"),
    *("accepted", "label", "line", "piece", "finish", *_COVARIANCES, "age_hours", "set_up", "absolute", *_RELATIVE),
)
"""Keys of a reading in JSON and its columns in CSV, in order. From `piece` on they are appended and optional."""

_NEEDED = ("role", "board", "zone", "hours", "L", "a", "b")


def json_text(value: Mapping[str, Any]) -> str:
    """Return JSON text with a final line break; a number that is not finite is our bug and raises ValueError."""
    return json.dumps(value, ensure_ascii=False, allow_nan=False, indent=1) + "\n"


def readings_json(photos: Iterable[PhotoReadings], readings: Iterable[PatchReading]) -> dict[str, Any]:
    """Return photos with balance and checks, and every reading, as plain values."""
    return {
        "photos": [
            {
                "photo": photo.name,
                "balance": None
                if photo.balance is None
                else {"method": photo.balance.method, "residual_delta_e": photo.balance.residual_delta_e},
                "checks": [_check(check) for check in photo.checks],
                "notes": list(photo.facts.notes),
            }
            for photo in photos
        ],
        "readings": [_reading(row) for row in readings],
    }


def _check(check: Check) -> dict[str, Any]:
    return {"code": check.code, "level": str(check.level), "message": check.message, "line": check.line}


def _reading(row: PatchReading) -> dict[str, Any]:
    cells: dict[str, Any] = dict.fromkeys(READING_KEYS)
    cells |= {
        "photo": row.photo,
        "role": str(row.role),
        "board": row.board,
        "zone": row.zone,
        "hours": row.hours,
        "accepted": row.accepted,
        "label": row.label,
        "line": row.line,
        "piece": row.piece,
        "finish": row.finish,
        "age_hours": row.age_hours,
        "set_up": row.set_up,
        "absolute": row.absolute,
    }
    if row.reading is not None:
        cells |= _colour(row.reading)
    if not row.absolute:
        cells |= {to: cells[name] for to, name in zip(_RELATIVE, "Lab", strict=True)} | dict.fromkeys("Lab")
    return cells


def _colour(reading: Reading) -> dict[str, Any]:
    own, shared, lost = reading.covariance, reading.shared, reading.colour_lost
    lightness, a, b = reading.lab
    errors = reading.standard_errors
    return {
        "L": lightness,
        "a": None if lost else a,
        "b": None if lost else b,
        "L_se": errors[0],
        "a_se": None if lost else errors[1],
        "b_se": None if lost else errors[2],
        "L_sd": reading.spread,
        "pixels": reading.pixels,
        "La_cov": own[0][1],
        "Lb_cov": own[0][2],
        "ab_cov": own[1][2],
        "LL_shared": shared[0][0],
        "aa_shared": shared[1][1],
        "bb_shared": shared[2][2],
        "La_shared": shared[0][1],
        "Lb_shared": shared[0][2],
        "ab_shared": shared[1][2],
    }


def _csv_cell(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    return repr(value) if isinstance(value, float) else str(value)


def readings_csv(readings: Iterable[PatchReading]) -> str:
    """Return every reading as CSV with the JSON keys as columns, unrounded; `parse_readings` takes it back."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(READING_KEYS)
    writer.writerows([_csv_cell(value) for value in _reading(row).values()] for row in readings)
    return out.getvalue()


def parse_readings(
    header: Sequence[str], rows: Iterable[tuple[int, Mapping[str, str]]], file: str
) -> tuple[PatchReading, ...]:
    """Return the readings of a table that `read_table` gave.

    Raises InputError, naming file and line, for missing columns, numbers that are none, L outside 0 to 100, negative
    standard errors, and accepted samples without hours. Rows with `accepted` false need no numbers.
    """
    missing = [name for name in _NEEDED if name not in header]
    if missing:
        raise InputError(f"expected the columns {','.join(_NEEDED)}, got no {', '.join(missing)}", file=file, line=1)
    parsed = []
    for line, cells in rows:
        try:
            parsed.append(_parsed(cells, line))
        except InputError as error:
            raise error.at(file=file, line=line) from None
    if not parsed:
        raise InputError("expected at least one row below the header, got none", file=file)
    return tuple(parsed)


def _parsed(cells: Mapping[str, str], line: int) -> PatchReading:
    try:
        role = Role(cells["role"].lower())
    except ValueError:
        raise InputError(f"expected a role out of {', '.join(Role)}, got {cells['role'] or 'an empty cell'}") from None
    accepted, absolute = (_is_true(cells, name) for name in ("accepted", "absolute"))
    hours = parse_number(cells["hours"], "hours", 0) if cells.get("hours") else None
    if accepted and role is Role.SAMPLE and hours is None:
        raise InputError("expected the hours of this sample, 0 for raw wood, got an empty cell")
    return PatchReading(
        photo=cells.get("photo", ""),
        role=role,
        board=cells.get("board", ""),
        zone=cells.get("zone", ""),
        hours=hours,
        label=cells.get("label", ""),
        line=line,
        piece=cells.get("piece", ""),
        finish=cells.get("finish", ""),
        age_hours=parse_number(cells["age_hours"], "age_hours", 0) if cells.get("age_hours") else None,
        set_up=cells.get("set_up", ""),
        absolute=absolute,
        reading=_parsed_colour(cells if absolute else _relative_as_absolute(cells)) if accepted else None,
    )


def _is_true(cells: Mapping[str, str], name: str) -> bool:
    word = cells.get(name, "").lower() or "true"
    if word not in ("true", "false"):
        raise InputError(f"expected {name} to be true or false, got {word}")
    return word == "true"


def _relative_as_absolute(cells: Mapping[str, str]) -> dict[str, str]:
    return {**cells, **{name: cells.get(to, "") for to, name in zip(_RELATIVE, "Lab", strict=True)}}


def _parsed_colour(cells: Mapping[str, str]) -> Reading:
    lost = not cells.get("a") and not cells.get("b")
    a, b = (0.0, 0.0) if lost else (parse_number(cells.get(name, ""), name, -150, 150) for name in "ab")
    number = {
        name: parse_number(cells[name], name) if cells.get(name) else 0.0 for name in ("L_sd", "pixels", *_COVARIANCES)
    }
    own = [
        parse_number(cells[name], name, 0, 100) ** 2 if cells.get(name) else 0.0 for name in ("L_se", "a_se", "b_se")
    ]
    return Reading(
        lab=(parse_number(cells.get("L", ""), "L", 0, 100), a, b),
        covariance=_symmetric(own, number["La_cov"], number["Lb_cov"], number["ab_cov"]),
        shared=_symmetric(
            [number["LL_shared"], number["aa_shared"], number["bb_shared"]],
            number["La_shared"],
            number["Lb_shared"],
            number["ab_shared"],
        ),
        colour_lost=lost,
        spread=number["L_sd"],
        pixels=int(number["pixels"]),
    )


def _symmetric(diagonal: Sequence[float], la: float, lb: float, ab: float) -> Any:
    one, two, three = diagonal
    return matrix3([[one, la, lb], [la, two, ab], [lb, ab, three]])


def _plain(value: Any) -> Any:
    """Return tuples as lists and numbers as plain ones, so that JSON takes them; NaN is refused later."""
    if isinstance(value, Mapping):
        return {str(key): _plain(item) for key, item in value.items()}
    if isinstance(value, (list, tuple)):
        return [_plain(item) for item in value]
    if isinstance(value, float) and math.isinf(value):
        return None
    return value


def hours_json(groups: Sequence[Group], together: Together, confidence: float) -> dict[str, Any]:
    """Return every board and zone with its hours, and what they say as one piece, as plain values."""
    return {
        "confidence": confidence,
        "groups": [_group(group) for group in groups],
        "together": None if together.time is None else _plain(asdict(together.time)),
        "notes": list(together.notes),
    }


def _group(group: Group) -> dict[str, Any]:
    found, target = group.answer, group.target
    curve = found.curve
    return {
        "board": group.board,
        "zone": group.zone,
        "n": group.n,
        "target": None if target is None else {"L": target.L, "a": target.a, "b": target.b},
        "outcome": str(found.outcome),
        "hours": found.hours,
        "low": found.low,
        "high": found.high,
        "look_from": found.look_from,
        "p_reach": found.p_reach,
        "extrapolated": found.extrapolated,
        "delta_e": found.delta_e,
        "curve": {
            "hours": list(curve.hours),
            "L": list(curve.L),
            "low": list(curve.low),
            "high": list(curve.high),
            "p_past": list(curve.p_past),
        },
        "shape": _plain(found.shape),
        "notes": list(found.notes),
        **{name: _part(getattr(found, name)) for name in ("piece", "next_sample", "colour", "window")},
        "finish": _finish(group.wanted),
        "residuals": [_plain(asdict(residual)) for residual in found.residuals],
    }


def _part(part: PieceHours | NextSample | ColourMatch | Window | None) -> dict[str, Any] | None:
    return None if part is None else dict(_plain(asdict(part)))


def _finish(wanted: Wanted) -> dict[str, Any] | None:
    if not wanted.finish:
        return None
    given, shift = wanted.finished, wanted.shift
    return {
        "name": wanted.finish,
        "target": None if given is None else {"L": given.L, "a": given.a, "b": given.b},
        "shift": None if shift is None else list(shift.shift),
        "shift_se": None if shift is None else [shift.shift_covariance[i][i] ** 0.5 for i in range(3)],
        "pairs": None if shift is None else shift.pairs,
        "guess": shift is not None and shift.guess,
    }


def hours_csv(groups: Sequence[Group]) -> str:
    """Return one row for each board and zone: the target and the answer, unrounded, empty for null."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\n")
    rows = [_hours_row(group) for group in groups]
    writer.writerow(_HOURS_COLUMNS)
    writer.writerows([_csv_cell(row[name]) for name in _HOURS_COLUMNS] for row in rows)
    return out.getvalue()


_HOURS_COLUMNS = (
    *("board", "zone", "n", "target_L", "target_a", "target_b", "outcome", "hours", "low", "high"),
    *("look_from", "p_reach", "extrapolated", "delta_e"),
)


def _hours_row(group: Group) -> dict[str, Any]:
    told = _group(group)
    target = told["target"] or dict.fromkeys("Lab")
    return told | {f"target_{name}": value for name, value in target.items()}
