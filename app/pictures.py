"""Pictures for the screen: reduced photos, the wood inside outlines, and sharp parts of a photo looked at closely.

Numbers are never taken from here. Everything is a pure function of a decoded photo, except `Pictures`, which keeps
what was reduced already; it is filled in the background and only ever grows by whole values.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from app.models.outlines import corners_of
from app.views.place import Cutout
from colourcore.image.balance import Balance, balanced_codes
from colourcore.image.develop import Photo, open_photo, screen_codes, turned
from colourcore.image.encoding import codes_to_light
from colourcore.image.pixels import Outline
from colourcore.job.model import Job

__all__ = ["CUTOUT_SIDE", "REDUCED_SIDE", "Pictures", "Small", "View", "balance_key", "cutout", "tile", "view"]

REDUCED_SIDE = 2560
"""Longest side of the reduced photos that are kept: enough for a whole photo on a large screen."""

CUTOUT_SIDE = 900
"""Longest side of the wood cut out of an outline."""

_FULL_KEPT = 1  # a photo of 50 megapixels is 150 MB

Pixels = NDArray[np.uint8]

_PROBES = np.array([(0.02, 0.02, 0.02), (0.2, 0.1, 0.05), (0.6, 0.6, 0.6), (0.1, 0.5, 0.9)])


@dataclass(frozen=True, slots=True, kw_only=True)
class Small:
    """A reduced photo, and the width and height of the whole one."""

    photo: Photo
    width: int
    height: int


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """A whole photo for the screen: RGB codes of shape (height, width, 3), as it came and balanced; its full size."""

    raw: Pixels
    balanced: Pixels | None
    width: int
    height: int


def balance_key(balance: Balance | None) -> bytes:
    """Return what tells two balances apart that make a photo look different: what they do to a few lights."""
    return b"" if balance is None else balance.xyz(_PROBES).tobytes()


def _rgb(photo: Photo, balance: Balance | None, codes: NDArray[Any]) -> Pixels:
    light = codes_to_light(np.ascontiguousarray(codes), photo.encoding)
    return screen_codes(light, photo.encoding.to_xyz) if balance is None else balanced_codes(light, balance)


def _upright(photo: Photo) -> NDArray[Any]:
    pixels = photo.pixels
    if photo.colourless:
        grey = pixels if pixels.ndim == 2 else pixels[..., 0]
        pixels = np.repeat(grey[..., None], 3, axis=2)
    return turned(pixels[..., :3], photo.turn)


def view(small: Small, balance: Balance | None) -> View:
    """Return a reduced photo for the screen."""
    codes = _upright(small.photo)
    balanced = None if balance is None else _rgb(small.photo, balance, codes)
    return View(raw=_rgb(small.photo, None, codes), balanced=balanced, width=small.width, height=small.height)


def tile(photo: Photo, balance: Balance | None, box: tuple[int, int, int, int], step: int) -> Pixels:
    """Return a part of a whole photo, every `step` pixels made one: RGB codes for the screen.

    `box` is left, top, right, bottom in pixels of the upright photo.
    """
    left, top, right, bottom = box
    codes = np.ascontiguousarray(_upright(photo)[top:bottom, left:right])
    if step > 1:
        size = (max(1, (right - left) // step), max(1, (bottom - top) // step))
        codes = np.asarray(cv2.resize(codes, size, interpolation=cv2.INTER_AREA))
    return _rgb(photo, balance, codes)


def cutout(small: Small, outline: Outline, balance: Balance | None) -> Cutout:
    """Return the wood inside an outline, straightened, from a reduced photo."""
    codes = _upright(small.photo)
    scale = codes.shape[1] / small.width
    points = np.asarray(corners_of(outline), dtype=np.float32) * np.float32(scale)
    across = float(np.linalg.norm(points[1] - points[0]))
    down = float(np.linalg.norm(points[3] - points[0]))
    shrink = min(1.0, CUTOUT_SIDE / max(across, down, 1.0))
    width, height = max(2, round(across * shrink)), max(2, round(down * shrink))
    corners = np.asarray([(0, 0), (width, 0), (width, height), (0, height)], dtype=np.float32)
    straight = cv2.getPerspectiveTransform(points, corners)
    part = np.asarray(cv2.warpPerspective(codes, straight, (width, height), flags=cv2.INTER_LINEAR))
    raw = _rgb(small.photo, None, part)
    made = Cutout(raw=raw, balanced=raw if balance is None else _rgb(small.photo, balance, part))
    for pixels in (made.raw, made.balanced):
        pixels.setflags(write=False)
    return made


class Pictures:
    """The photos that were reduced already, by SHA-256, and the one full photo that was looked at last."""

    def __init__(self) -> None:
        self._small: dict[str, Small] = {}
        self._full: OrderedDict[str, Photo] = OrderedDict()
        self._cutouts: dict[tuple[str, Outline, bytes], Cutout] = {}

    def take(self, sha256: str, photo: Photo) -> None:
        """Keep a photo that was just decoded, reduced."""
        if sha256 not in self._small:
            small = photo.reduced(REDUCED_SIDE)
            self._small[sha256] = Small(photo=small, width=photo.width, height=photo.height)

    def has(self, sha256: str) -> bool:
        """Whether the photo was reduced already."""
        return sha256 in self._small

    def small(self, sha256: str, name: str, load: Callable[[str], bytes]) -> Small:
        """Return the reduced photo, decoding it where it is not kept yet; raises what `open_photo` raises."""
        if sha256 not in self._small:
            self.take(sha256, open_photo(load(name), name))
        return self._small[sha256]

    def full(self, sha256: str, name: str, load: Callable[[str], bytes]) -> Photo:
        """Return the whole photo, decoding it where it is not the one looked at last."""
        found = self._full.get(sha256)
        if found is None:
            found = open_photo(load(name), name)
            self._full[sha256] = found
            while len(self._full) > _FULL_KEPT:
                self._full.popitem(last=False)
        return found

    def forget(self, kept: Iterable[str]) -> None:
        """Drop what belongs to photos other than these."""
        wanted = set(kept)
        self._small = {sha: photo for sha, photo in self._small.items() if sha in wanted}
        self._cutouts = {key: made for key, made in self._cutouts.items() if key[0] in wanted}
        for sha in [sha for sha in self._full if sha not in wanted]:
            self._full.pop(sha, None)

    def cutouts(self, job: Job, balances: dict[str, Balance | None]) -> MappingProxyType[int, Cutout]:
        """Return the wood of the job's patches, by identity, of those photos that were reduced already."""
        files = {photo.name: photo.sha256 for photo in job.photos}
        found: dict[int, Cutout] = {}
        for patch in job.patches:
            sha256 = files.get(patch.photo)
            if patch.outline is None or sha256 is None or sha256 not in self._small:
                continue
            balance = balances.get(patch.photo)
            key = (sha256, patch.outline, balance_key(balance))
            if key not in self._cutouts:
                self._cutouts[key] = cutout(self._small[sha256], patch.outline, balance)
            found[patch.identity] = self._cutouts[key]
        return MappingProxyType(found)
