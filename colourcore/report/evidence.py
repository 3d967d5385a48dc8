"""What the first page rests on: answers with their odds, photos, readings, checks, cautions and method."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from functools import partial
from itertools import groupby

from colourcore.image.checks import Check, Level
from colourcore.job.model import Job, Role, group_name
from colourcore.pipeline import Group, PatchReading, PhotoReadings, Results
from colourcore.report.blocks import (
    Block,
    Cell,
    Column,
    Edge,
    Figure,
    Heading,
    NewPage,
    Notice,
    Paragraph,
    Style,
    Table,
)
from colourcore.report.drawing import Anchor, Drawing, lab_colour
from colourcore.report.figures import curve_drawing, curve_height
from colourcore.report.lettering import Weight, plain
from colourcore.report.method import ERRORS_EXPLAINED, METHOD
from colourcore.report.photo_figure import photo_drawing
from colourcore.report.phrases import format_error, format_hours, format_value
from colourcore.report.pinned import boards
from colourcore.report.sentences import (
    BOARD_NOT_PIECE,
    acting_details,
    group_notes,
    group_sentence,
    what_it_rests_on,
)
from colourcore.report.series import Pixels, Series
from colourcore.run.cautions import CAUTIONS, EXPOSURE_LIMITS

__all__ = ["evidence_blocks"]

_EDGES = {Level.NOTE: Edge.NOTE, Level.WARN: Edge.CARE, Level.REFUSE: Edge.REFUSED}
_STEPS = (0.25, 0.5, 1.0, 2.0, 3.0, 4.0, 6.0, 8.0, 12.0, 24.0, 48.0, 96.0, 240.0)
_MOST_COLUMNS = 10
_PHOTO_HEIGHT = 300.0


def evidence_blocks(
    job: Job,
    results: Results,
    series: Sequence[Series],
    pictures: Mapping[str, Pixels],
    versions: Mapping[str, str],
) -> tuple[Block, ...]:
    """Return everything after the first page."""
    return (
        NewPage(),
        *_hours(results, series),
        *_photos(job, results, pictures),
        *_readings(results),
        *_checks(results),
        *_cautions(),
        *_method(versions),
    )


def _hours(results: Results, series: Sequence[Series]) -> Iterable[Block]:
    if not series:
        return
    yield Heading(text="Hours, board by board")
    for board in boards(series):
        name = board[0].group.board
        if len({one.group.board for one in series}) > 1 and name:
            yield Heading(text=f"Board {name}", level=2)
        yield Figure(draw=partial(curve_drawing, board), height=curve_height(board), least=150.0)
        for one in board:
            yield from _one_answer(one)
    together = results.together
    for note in (*(() if together.time is None else (together.time.note,)), *together.notes):
        yield Notice(lead="Together.", text=note)
    if any(one.group.answer.piece is None for one in series):
        yield Paragraph(runs=plain(BOARD_NOT_PIECE), style=Style.SECOND)


def _one_answer(one: Series) -> Iterable[Block]:
    group = one.group
    yield Paragraph(runs=plain(group_sentence(group), Weight.SEMIBOLD), keep=True)
    yield Paragraph(runs=plain(" ".join([what_it_rests_on(group), *acting_details(group)])))
    noted = [*_found(group.answer.shape), *group_notes(group)]
    if noted:
        yield Paragraph(runs=plain(" ".join(noted)))
    table = _odds_table(group)
    if table is not None:
        yield table


def _found(shape: Mapping[str, float | str]) -> list[str]:
    """Return what the fit found, as far as it is said in these words."""
    said = []
    half, low, high = (shape.get(key) for key in ("half_hours", "half_hours_low", "half_hours_high"))
    if isinstance(half, float) and isinstance(low, float) and isinstance(high, float):
        span = f"{format_hours(low)} to {format_hours(high)}"
        said.append(f"Half of the whole change is reached after {format_hours(half)} ({span}, nine times in ten).")
    scatter = shape.get("scatter_L")
    if isinstance(scatter, float):
        said.append(f"Samples scatter around the curve by {format_value(scatter)} L*.")
    return said


def _odds_table(group: Group) -> Table | None:
    """Return shade and odds at round hours where the odds move, None without a curve."""
    answer, curve, piece = group.answer, group.answer.curve, group.answer.piece
    odds = curve.p_past if piece is None or not piece.p_past else piece.p_past
    if len(curve.hours) < 2:
        return None
    hours = _round_hours(curve.hours, odds)
    band = f"{100 * answer.confidence:.3g} % band"
    parts = (
        (f"L*, upper end of the {band}", curve.high),
        ("L*, middle", curve.L),
        (f"L*, lower end of the {band}", curve.low),
    )
    rows = [(label, [format_value(_at(hour, curve.hours, part)) for hour in hours]) for label, part in parts]
    if odds:
        what = "Odds of being past, of 100" if piece is None else "Pieces past, of 100"
        rows.append((what, [_of_hundred(_at(hour, curve.hours, odds)) for hour in hours]))
    columns = (
        Column(heading="after", share=3.2),
        *(Column(heading=format_hours(hour), share=1.0, anchor=Anchor.END) for hour in hours),
    )
    return Table(
        caption=f"Shade and odds by the hour, {group.name}",
        columns=columns,
        rows=tuple((Cell(text=label), *(Cell(text=cell) for cell in cells)) for label, cells in rows),
    )


def _round_hours(hours: Sequence[float], odds: Sequence[float]) -> list[float]:
    pairs = list(zip(hours, odds, strict=False))
    first = max([hour for hour, chance in pairs if chance < 0.02] or [hours[0]])
    last = min([hour for hour, chance in pairs if chance > 0.98] or [hours[-1]])
    if not odds or last <= first:
        first, last = hours[0], hours[-1]
    step = next((step for step in _STEPS if (last - first) / step <= _MOST_COLUMNS - 1), _STEPS[-1])
    start = math.ceil(first / step - 1e-9) * step
    found = [start + number * step for number in range(_MOST_COLUMNS)]
    return [hour for hour in found if hour <= last + 1e-9] or [first]


def _at(hour: float, hours: Sequence[float], values: Sequence[float]) -> float:
    for number in range(1, len(hours)):
        if hour <= hours[number]:
            share = (hour - hours[number - 1]) / (hours[number] - hours[number - 1])
            return values[number - 1] + share * (values[number] - values[number - 1])
    return values[-1]


def _of_hundred(chance: float) -> str:
    if chance < 0.01:
        return "<1"
    return ">99" if chance > 0.99 else f"{100 * chance:.0f}"


def _photos(job: Job, results: Results, pictures: Mapping[str, Pixels]) -> Iterable[Block]:
    shown = [photo for photo in results.photos if photo.name in pictures]
    if not shown:
        return
    yield Heading(text="Photos, as balanced")
    yield Paragraph(
        runs=plain(
            "Only what lies inside an outline is measured. Card dashed, target dotted, samples with their hours."
        ),
        style=Style.SMALL,
        keep=True,
    )
    for photo in shown:
        facts = photo.facts

        def draw(width: float, height: float, photo: PhotoReadings = photo) -> Drawing:
            fitting = min(width, height * photo.facts.width / photo.facts.height)
            return photo_drawing(photo, job.patches_of(photo.name), pictures[photo.name], fitting)

        caption = f"{photo.name}. {facts.width} × {facts.height} pixels, {facts.bits} bits"
        caption += f", {facts.camera}" if facts.camera else ""
        caption += f"; {'; '.join(facts.notes)}" if facts.notes else ""
        yield Figure(draw=draw, height=_PHOTO_HEIGHT, least=150.0, caption=plain(f"{caption}. {_balance(photo)}"))


def _balance(photo: PhotoReadings) -> str:
    balance = photo.balance
    if balance is None:
        return "No card was outlined, so nothing was read."
    if balance.residual_delta_e is None:
        return f"Balanced by {balance.method}; with one grey no residual can be told."
    return (
        f"Balanced by {balance.method}; it leaves {format_value(balance.residual_delta_e)} ΔE00 on its own references."
    )


def _readings(results: Results) -> Iterable[Block]:
    yield Heading(text="Readings")
    yield Paragraph(runs=plain(ERRORS_EXPLAINED), style=Style.SMALL, keep=True)
    if not results.readings:
        yield Paragraph(runs=plain("None."))
    for name, rows in groupby(results.readings, key=lambda row: row.photo):
        columns = (
            Column(heading=name or "given as numbers", share=3.3),
            Column(heading="hours", share=0.75, anchor=Anchor.END),
            *(Column(heading=letter, share=1.45, anchor=Anchor.END) for letter in ("L*", "a*", "b*")),
            Column(heading="spread", share=0.9, anchor=Anchor.END),
            Column(heading="pixels", share=1.0, anchor=Anchor.END),
            Column(heading="remark", share=2.6),
        )
        yield Table(
            caption=f"Readings of {name or 'targets given as numbers'}",
            columns=columns,
            rows=tuple(_reading_row(row) for row in rows),
        )


def _reading_row(row: PatchReading) -> tuple[Cell, ...]:
    what = group_name(row.board, row.zone) if row.role is Role.SAMPLE else str(row.role)
    if row.role is Role.TARGET and (row.board or row.zone):
        what = f"target of {group_name(row.board, row.zone)}"
    hours = f"{row.hours:g}" if row.role is Role.SAMPLE and row.hours is not None else ""
    remarks = [row.label] if row.label else []
    if row.set_aside:
        remarks.append(f"set aside: {row.set_aside}")
    reading = row.reading
    if reading is None:
        remarks.append("refused, no number")
        return (Cell(text=what), Cell(text=hours), *(Cell(text="–"),) * 5, Cell(text=", ".join(remarks)))
    if not row.absolute:
        remarks.append("compares within the series only")
    elif reading.colour_lost:
        remarks.append("lightness only")
    pairs = list(zip(reading.lab, reading.standard_errors, strict=True))
    measured = reading.pixels > 0
    texts = [format_value(value, 2) + (f" {format_error(error, 2)}" if measured else "") for value, error in pairs]
    withheld = 0 if not row.absolute else 1 if reading.colour_lost else 3
    lightness, a, b = [text if number < withheld else "–" for number, text in enumerate(texts)]
    swatch = lab_colour(reading.lab if not reading.colour_lost else (reading.lab[0], None, None))
    return (
        Cell(text=what, swatch=swatch),
        Cell(text=hours, weight=Weight.SEMIBOLD),
        Cell(text=lightness, weight=Weight.SEMIBOLD),
        Cell(text=a),
        Cell(text=b),
        Cell(text=format_value(reading.spread) if measured else ""),
        Cell(text=f"{reading.pixels:,}".replace(",", "\u202f") if measured else ""),
        Cell(text=", ".join(remarks)),
    )


def _checks(results: Results) -> Iterable[Block]:
    yield Heading(text="Checks")
    own = {id(check) for row in results.readings for check in row.checks}
    found: list[tuple[str, Check]] = []
    for photo in results.photos:
        found += [(photo.name, check) for check in photo.checks if id(check) not in own]
        for row in photo.readings:
            what = group_name(row.board, row.zone) if row.role is Role.SAMPLE else str(row.role)
            hours = f", {row.hours:g} h" if row.hours is not None and row.role is Role.SAMPLE else ""
            found += [(f"{photo.name}, {what}{hours}", check) for check in row.checks]
    if not found:
        yield Paragraph(runs=plain("Nothing was found against the photos."))
    for where, check in found:
        yield Notice(lead=f"{where}.", text=check.message, edge=_EDGES[check.level])


def _cautions() -> Iterable[Block]:
    yield Heading(text="Cautions")
    for moment, group in groupby(CAUTIONS, key=lambda one: one.moment):
        yield Heading(text=str(moment).capitalize(), level=2)
        for caution in group:
            yield Notice(lead=caution.lead, text=caution.sentence, edge=Edge.CARE)
    rows = tuple(
        (
            Cell(text=f"{limit.ppm:g} ppm", weight=Weight.SEMIBOLD),
            Cell(text=f"over {limit.over}"),
            Cell(text=limit.issuer),
        )
        for limit in EXPOSURE_LIMITS
    )
    columns = (
        Column(heading="limit", share=1.0),
        Column(heading="averaged", share=1.5),
        Column(heading="set by", share=4.0),
    )
    yield Table(caption="Limits for ammonia in breathing air", columns=columns, rows=rows)


def _method(versions: Mapping[str, str]) -> Iterable[Block]:
    yield Heading(text="Method and versions")
    for lead, text in METHOD:
        yield Notice(lead=lead, text=text)
    if versions:
        rows = tuple((Cell(text=name), Cell(text=version)) for name, version in versions.items())
        columns = (Column(heading="made with", share=1.0), Column(heading="version", share=3.0))
        yield Table(caption="Versions", columns=columns, rows=rows)
