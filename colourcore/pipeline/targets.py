"""Which target counts for a board and zone, and what it is as bare wood."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from colourcore.colour.reading import ZERO_COVARIANCE, Matrix3, Reading, matrix3
from colourcore.curve.finish import NO_PAIRS, FinishShift, carry_back, learn_finish
from colourcore.curve.fit import Sample, Target
from colourcore.errors import InputError
from colourcore.job.model import Lab, Patch, Role
from colourcore.pipeline.rows import PatchReading, sample_of

__all__ = ["Wanted", "finishes_of", "numbers_target", "wanted_for"]


_OTHER_SCALE = (
    "The samples or the target were balanced on a neutral thing of unknown lightness, so their colours cannot be held "
    "against each other. Photograph the target in the same photo as the samples, or use a card of known lightness."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """The target of a board and zone as bare wood, or the reason why there is none that can be used.

    Attributes
    ----------
    bare
        What bare wood must come to; None without a target or where a finished one cannot be carried back.
    finish
        The finish it was given in, empty for bare.
    finished
        The target as it was given, where a finish was carried back.
    shift
        The finish's shift that was used, None without.
    reason
        Why there is no usable target, empty where there is one or none was asked for.
    """

    bare: Target | None = None
    finish: str = ""
    finished: Target | None = None
    shift: FinishShift | None = None
    reason: str = ""


def numbers_target(lab: Lab, patch: Patch | None = None) -> PatchReading:
    """Return a target given in numbers as a row of readings; `patch` says for which board, zone and finish."""
    lightness, a, b = lab
    reading = Reading(lab=(lightness, a or 0.0, b or 0.0), colour_lost=a is None or b is None)
    if patch is None:
        return PatchReading(role=Role.TARGET, reading=reading)
    return PatchReading(
        role=Role.TARGET,
        board=patch.board,
        zone=patch.zone,
        label=patch.label,
        line=patch.line,
        identity=patch.identity,
        finish=patch.finish,
        reading=reading,
    )


def finishes_of(
    rows: Sequence[PatchReading], earlier: Mapping[str, FinishShift] | None = None
) -> dict[str, FinishShift]:
    """Return what each finish does, learned from samples read bare and finished: alike in board, zone and hours.

    A finish without pairs of its own takes the shift from `earlier` jobs, if any: a guess, and labelled so.
    """
    found = {name: shift.from_earlier_job() for name, shift in (earlier or {}).items()}
    samples = [row for row in rows if row.role is Role.SAMPLE and row.hours is not None]
    bare: dict[tuple[str, str, float | None], list[PatchReading]] = {}
    for row in samples:
        if not row.finish:
            bare.setdefault((row.board, row.zone, row.hours), []).append(row)
    for finish in sorted({row.finish for row in samples if row.finish}):
        pairs: list[tuple[Sample, Sample]] = []
        for done in (row for row in samples if row.finish == finish):
            pairs += [(sample_of(row), sample_of(done)) for row in bare.get((done.board, done.zone, done.hours), [])]
        if any(not (one.colour_lost or two.colour_lost) for one, two in pairs):
            found[finish] = learn_finish(pairs)
    return found


def wanted_for(
    board: str,
    zone: str,
    targets: Sequence[PatchReading],
    finishes: Mapping[str, FinishShift],
    *,
    absolute: bool = True,
) -> Wanted:
    """Return the most specific target as bare wood: board and zone before one of them before neither; equals averaged.

    Equals of different finishes are each carried back before they are averaged. `absolute` says whether the samples'
    colours mean anything outside their photos: only a target of their own kind can be held against them.
    """
    fitting = [row for row in targets if row.board in ("", board) and row.zone in ("", zone)]
    if not fitting:
        return Wanted()
    fitting = [row for row in fitting if row.absolute is absolute]
    if not fitting:
        return Wanted(reason=_OTHER_SCALE)
    best = max((row.board != "") + (row.zone != "") for row in fitting)
    chosen = [row for row in fitting if (row.board != "") + (row.zone != "") == best]
    names = sorted({row.finish for row in chosen})
    if any(name and name not in finishes for name in names):
        return Wanted(finish=next(name for name in names if name and name not in finishes), reason=NO_PAIRS)
    given = {name: _mean([row for row in chosen if row.finish == name]) for name in names}
    counts = {name: sum(row.finish == name for row in chosen) for name in names}
    try:
        bare = {name: carry_back(one, finishes[name]) if name else one for name, one in given.items()}
    except InputError as error:
        return Wanted(finish=names[-1], reason=str(error))
    whole = next(iter(bare.values())) if len(bare) == 1 else _weighted([(bare[name], counts[name]) for name in names])
    finish = names[-1]
    return Wanted(bare=whole, finish=finish, finished=given[finish] if finish else None, shift=finishes.get(finish))


def _mean(rows: Sequence[PatchReading]) -> Target:
    readings = sorted((row.reading for row in rows if row.reading is not None), key=lambda reading: reading.lab)
    photos = {row.set_up or row.photo for row in rows}
    count = len(readings)
    lightness, a, b = (sum(reading.lab[i] for reading in readings) / count for i in range(3))
    lost = any(reading.colour_lost for reading in readings)
    return Target(
        L=lightness,
        a=None if lost else a,
        b=None if lost else b,
        covariance=_mean_covariance([reading.covariance for reading in readings], independent=True),
        shared=_mean_covariance([reading.shared for reading in readings], independent=len(photos) == count),
        photo=photos.pop() if len(photos) == 1 else "",
    )


def _weighted(parts: Sequence[tuple[Target, int]]) -> Target:
    total = sum(count for _, count in parts)
    coloured = all(one.a is not None and one.b is not None for one, _ in parts)

    def mean(values: Sequence[float]) -> float:
        return sum(value * count for value, (_, count) in zip(values, parts, strict=True)) / total

    return replace(
        parts[0][0],
        L=mean([one.L for one, _ in parts]),
        a=mean([one.a or 0.0 for one, _ in parts]) if coloured else None,
        b=mean([one.b or 0.0 for one, _ in parts]) if coloured else None,
        covariance=_mean_covariance([one.covariance for one, _ in parts], independent=True),
        shared=_mean_covariance([one.shared for one, _ in parts], independent=False),
        photo=parts[0][0].photo if len({one.photo for one, _ in parts}) == 1 else "",
    )


def _mean_covariance(parts: Sequence[Matrix3], *, independent: bool) -> Matrix3:
    """Return the covariance of a mean: divided by the count once, and once more where the parts are independent."""
    if not parts:
        return ZERO_COVARIANCE
    divisor = len(parts) ** (2 if independent else 1)
    return matrix3([[sum(part[i][j] for part in parts) / divisor for j in range(3)] for i in range(3)])
