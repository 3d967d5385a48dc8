"""A camera's own tone curve, from photos of one grey card at different shutter times."""

from __future__ import annotations

from collections.abc import Callable

from colourcore.errors import InputError
from colourcore.image.response import CameraResponse, CardExposure, response_from_exposures
from colourcore.job.model import Job, Role
from colourcore.pipeline.measuring import Measured, Source

__all__ = ["camera_curve"]


def camera_curve(job: Job, load: Callable[[str], bytes]) -> CameraResponse:
    """Return the tone curve of the camera that took the job's photos, each with the same card outlined in it.

    Raises InputError where photos are by different cameras, or as `response_from_exposures` does: fewer than three
    photos, no shutter times in them, too little between darkest and brightest.
    """
    exposures: list[CardExposure] = []
    cameras: dict[str, str] = {}
    for file in job.photos:
        photo = Source(file=file, load=load, kept=Measured()).measure(job.patches_of(file.name))
        cameras.setdefault(photo.facts.camera, file.name)
        exposures += [
            CardExposure(card=photo.statistics[patch.identity], seconds=photo.facts.seconds, photo=file.name)
            for patch in photo.patches
            if patch.role is Role.CARD
        ]
    if len(cameras) > 1:
        (one, _), (two, name) = list(cameras.items())[:2]
        raise InputError(
            f"expected photos by one camera, got {two or 'none named'} after {one or 'none named'}", file=name
        )
    return response_from_exposures(exposures, next(iter(cameras), ""))
