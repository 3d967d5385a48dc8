"""From a job and its photos to readings: each photo balanced by all that it offers, each patch read by that balance."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from colourcore.colour.difference import delta_e_76
from colourcore.errors import InputError
from colourcore.image.balance import Balance
from colourcore.image.chart import ChartReference, published_reference
from colourcore.image.checks import Check, check_balance, check_patch, is_refused
from colourcore.image.develop import Photo
from colourcore.image.light_checks import check_light
from colourcore.image.patches import read_patch
from colourcore.image.references import Card, Chart, References, balance_photo, neutral_lightness
from colourcore.image.response import CameraResponse, response_from_text
from colourcore.image.sharpness import check_blur
from colourcore.job.model import GREY_CARD_LAB, Job, Lab, Patch, Role
from colourcore.pipeline.measuring import Measured, MeasuredPhoto, Source
from colourcore.pipeline.rows import PatchReading, PhotoReadings
from colourcore.pipeline.series import age_of, compared

__all__ = ["Progress", "read_job"]

Progress = Callable[[int, int, str], None]
"""Told how many photos are done, how many there are, and which comes next. May raise `Cancelled`."""

_ONE_SET_UP = 3.0  # ΔE*ab of the cards before balance: one camera, one lamp, nothing changed between


def read_job(
    job: Job,
    load: Callable[[str], bytes],
    *,
    measured: Measured | None = None,
    progress: Progress | None = None,
    opened: Callable[[Photo], None] | None = None,
    chart: ChartReference | None = None,
) -> tuple[PhotoReadings, ...]:
    """Return the readings of every patch of every photo.

    `load` gives the bytes of a photo by its name and is asked only for photos with something not yet `measured`;
    each photo that was decoded for it is shown to `opened` once, for pictures. `chart` holds the values of the user's
    own chart, else the published ones count. Raises InputError, naming photo and line, where a file or an outline is at
    fault, and lets `Cancelled` through.
    """
    kept = measured if measured is not None else Measured()
    photos: list[MeasuredPhoto] = []
    for number, file in enumerate(job.photos):
        if progress:
            progress(number, len(job.photos), file.name)
        source = Source(file=file, load=load, kept=kept, opened=opened)
        photos.append(source.measure(job.patches_of(file.name)))
    if progress:
        progress(len(job.photos), len(job.photos), "")
    cameras = {camera.name: response_from_text(camera.text, camera.name) for camera in job.cameras}
    lightness = _assumed_lightness(photos)
    balances = [_balance(photo, cameras, lightness, chart) for photo in photos]
    set_ups = _set_ups(photos, balances)
    pairs = zip(photos, balances, set_ups, strict=True)
    return compared([_read_photo(photo, balance, set_up) for photo, balance, set_up in pairs])


def _of(photo: MeasuredPhoto, role: Role) -> list[Patch]:
    return [patch for patch in photo.patches if patch.role is role and patch.identity in photo.statistics]


def _assumed_lightness(photos: Sequence[MeasuredPhoto]) -> float | None:
    """Return the L* to take for the neutral thing of unknown lightness in all photos: as the first one shows it."""
    for photo in photos:
        for patch in _of(photo, Role.NEUTRAL):
            return neutral_lightness(photo.statistics[patch.identity])
    return None


def _balance(
    photo: MeasuredPhoto,
    cameras: Mapping[str, CameraResponse],
    assumed_lightness: float | None,
    reference: ChartReference | None,
) -> Balance | None:
    """Return the photo's balance, None where nothing in it can be judged by."""
    cards, neutrals = _of(photo, Role.CARD), _of(photo, Role.NEUTRAL)
    charts = [patch for patch in photo.patches if patch.identity in photo.charts]
    judged_by = [*charts, *cards, *neutrals]
    if not judged_by:
        return None
    camera = next((patch.camera for patch in photo.patches if patch.camera), "")
    try:
        if camera and camera not in cameras:
            raise InputError(f"expected the camera's curve {camera}, got no such file")
        return balance_photo(
            References(
                cards=tuple(Card(statistics=photo.statistics[c.identity], lab=_whole_lab(c.lab)) for c in cards),
                chart=Chart(patches=photo.charts[charts[0].identity], reference=reference or published_reference())
                if charts
                else None,
                neutral=photo.statistics[neutrals[0].identity] if neutrals else None,
                assumed_lightness=assumed_lightness,
                backgrounds=tuple(photo.statistics[p.identity] for p in _of(photo, Role.BACKGROUND)),
                response=cameras.get(camera),
            )
        )
    except InputError as error:
        raise error.at(file=photo.file.name, line=judged_by[0].line) from None


def _whole_lab(lab: Lab | None) -> tuple[float, float, float]:
    lightness, a, b = lab or GREY_CARD_LAB
    return lightness, a or 0.0, b or 0.0


def _set_ups(photos: Sequence[MeasuredPhoto], balances: Sequence[Balance | None]) -> list[str]:
    """Return a name for each photo's set-up: that of the first photo by the same camera with a card seen alike.

    Such photos share what their camera, its curve and the lamp do to the wood.
    """
    names: list[str] = []
    for number, (photo, balance) in enumerate(zip(photos, balances, strict=True)):
        name = photo.file.name
        for earlier in range(number):
            other = balances[earlier]
            if balance is None or other is None or photos[earlier].facts.camera != photo.facts.camera:
                continue
            alike = balance.method == other.method and photos[earlier].facts.bits == photo.facts.bits
            if alike and float(delta_e_76(balance.card_lab, other.card_lab)) <= _ONE_SET_UP:
                name = names[earlier]
                break
        names.append(name)
    return names


def _read_photo(photo: MeasuredPhoto, balance: Balance | None, set_up: str) -> PhotoReadings:
    outlined = [patch for patch in photo.patches if patch.identity in photo.statistics]
    readings = tuple(_read(patch, photo, balance, set_up) for patch in outlined if balance)
    found = (*(check_balance(balance) if balance else ()), *_light(photo, balance), *_blur(photo))
    return PhotoReadings(
        name=photo.file.name,
        facts=photo.facts,
        balance=balance,
        checks=(*found, *(check for row in readings for check in row.checks)),
        readings=readings,
    )


def _light(photo: MeasuredPhoto, balance: Balance | None) -> tuple[Check, ...]:
    cards = [photo.statistics[card.identity] for card in _of(photo, Role.CARD)]
    wood = [photo.statistics[patch.identity] for role in (Role.SAMPLE, Role.TARGET) for patch in _of(photo, role)]
    return check_light(balance, wood, cards[0]) if balance and cards else ()


def _blur(photo: MeasuredPhoto) -> tuple[Check, ...]:
    widths = [photo.statistics[card.identity].edge_width for card in _of(photo, Role.CARD)]
    sides = [min(one.outline.width, one.outline.height) for one in photo.statistics.values()]
    known = [width for width in widths if width is not None]
    return check_blur(min(known), min(sides)) if known else ()


def _read(patch: Patch, photo: MeasuredPhoto, balance: Balance, set_up: str) -> PatchReading:
    statistics = photo.statistics[patch.identity]
    age, clock = age_of(patch.drawn, photo.facts.taken)
    checks = tuple(check.at_line(patch.line) for check in (*check_patch(statistics, balance), *clock))
    return PatchReading(
        photo=patch.photo,
        role=patch.role,
        board=patch.board,
        zone=patch.zone,
        hours=patch.hours,
        label=patch.label,
        line=patch.line,
        identity=patch.identity,
        piece=patch.piece,
        finish=patch.finish,
        set_aside=patch.set_aside,
        age_hours=age,
        set_up=set_up,
        absolute=balance.absolute,
        reading=None if is_refused(checks) else read_patch(statistics, balance),
        statistics=statistics,
        checks=checks,
    )
