"""A sheet and its photos into a job file, and out of it again, byte for byte."""

from __future__ import annotations

import hashlib
import shutil
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path, PurePosixPath

from colourcore.errors import InputError
from colourcore.job.database import said_plainly
from colourcore.job.files import part_beside
from colourcore.job.model import Choices, Job, Role
from colourcore.job.names import file_name
from colourcore.job.opening import new_job, open_job
from colourcore.job.salvage import told_in_short
from colourcore.job.sheet import SheetFile, read_sheet, sheet_text
from colourcore.job.spoken import counted

__all__ = ["Unpacked", "pack", "unpack"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Unpacked:
    """What came out of a job file: the sheet, how many photos, and what a sheet has no words for, a sentence each."""

    sheet: Path
    photos: int
    notes: tuple[str, ...] = ()


def pack(sheet: Path, target: Path, *, at: str) -> Job:
    """Put a sheet and its photos into a new job file, which appears whole or not at all; return the job.

    `at` is the time, ISO 8601. Raises InputError for whatever is wrong with the sheet or a photo, and where the
    target exists or cannot be written.
    """
    read = read_sheet(sheet)
    patches = tuple(replace(patch, line=None) for patch in read.job.patches)  # a job has no lines to point at
    job = replace(read.job, patches=patches)
    with new_job(target, at=at, job=job, photos=_contents(read)):
        return job


def _contents(sheet: SheetFile) -> Iterator[bytes]:
    taken: set[str] = set()
    for photo in sheet.job.photos:
        content = sheet.load(photo.name)
        if hashlib.sha256(content).hexdigest() != photo.sha256:
            raise InputError("expected a photo that stays as it is, got one that changed meanwhile", file=photo.name)
        if photo.sha256 not in taken:
            taken.add(photo.sha256)
            yield content


def unpack(job_file: Path, folder: Path) -> Unpacked:
    """Write a job's sheet and photos into a folder, which appears whole or not at all.

    The folder must be new or empty. Photos keep their names as far as they stay inside it. Raises InputError where
    a photo is lost or damaged, and where the folder cannot be written.
    """
    with open_job(job_file, read_only=True) as file:
        job = _named_within(file.job)
        with said_plainly(folder.name):
            if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
                raise InputError("expected a folder that is new or empty, got one that is not", file=folder.name)
            part = part_beside(folder.absolute())
            shutil.rmtree(part, ignore_errors=True)
            part.mkdir(parents=True)
            try:
                load = file.load
                for photo, former in zip(job.photos, file.job.photos, strict=True):
                    _write(part / photo.name, load(former.name))
                for camera in job.cameras:
                    _write(part / camera.name, camera.text.encode("utf-8"))
                sheet = _sheet_name(job)
                _write(part / sheet, sheet_text(job).encode("utf-8"))
                if folder.exists():
                    folder.rmdir()
                part.rename(folder)
            except BaseException:
                shutil.rmtree(part, ignore_errors=True)
                raise
        return Unpacked(sheet=folder / sheet, photos=len(job.photos), notes=_notes(file.job, job))


def _write(path: Path, content: bytes) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    with path.open("xb") as file:
        file.write(content)


def _sheet_name(job: Job) -> str:
    taken = {name.casefold() for name in _file_names(job)}
    name = file_name(job.name or "sheet", ".csv")
    return name if name.casefold() not in taken else file_name(f"{job.name} sheet", ".csv")


def _file_names(job: Job) -> list[str]:
    return [*(photo.name for photo in job.photos), *(camera.name for camera in job.cameras)]


def _named_within(job: Job) -> Job:
    """Return the job with every photo and curve under a name that stays inside a folder, and that no other one has."""
    taken: set[str] = set()
    photo_names = {photo.name: _free_within(photo.name, taken) for photo in job.photos}
    camera_names = {camera.name: _free_within(camera.name, taken) for camera in job.cameras}
    return replace(
        job,
        photos=tuple(replace(photo, name=photo_names[photo.name]) for photo in job.photos),
        cameras=tuple(replace(camera, name=camera_names[camera.name]) for camera in job.cameras),
        patches=tuple(
            replace(patch, photo=photo_names.get(patch.photo, ""), camera=camera_names.get(patch.camera, ""))
            for patch in job.patches
        ),
    )


def _free_within(name: str, taken: set[str]) -> str:
    wanted = PurePosixPath(_within(name))
    free, number = wanted, 1
    while str(free).casefold() in taken:
        number += 1
        free = wanted.with_stem(f"{wanted.stem} {number}")
    taken.add(str(free).casefold())
    return str(free)


def _within(name: str) -> str:
    """Return a photo's name with each part made fit for every system, and nothing that climbs out.

    >>> _within("photos/board A.jpg"), _within("../../etc/passwd"), _within("C:\\\\temp\\\\a.jpg")
    ('photos/board A.jpg', 'etc/passwd', 'C/temp/a.jpg')
    """
    parts = [part for part in name.replace("\\", "/").split("/") if part.strip(". ")]
    kept = []
    for part in parts[-8:]:
        stem, dot, ending = part.rpartition(".")
        kept.append(file_name(stem, dot + ending) if stem else file_name(part, ""))
    return "/".join(kept) or "photo"


def _notes(before: Job, after: Job) -> tuple[str, ...]:
    renamed = [old for old, new in zip(_file_names(before), _file_names(after), strict=True) if old != new]
    outlined = {patch.photo for patch in after.patches}
    bare = [photo.name for photo in after.photos if photo.name not in outlined]
    unknown_hours = sum(patch.role is Role.SAMPLE and patch.hours is None for patch in after.patches)
    notes = []
    if renamed:
        notes.append(f"files under another name, fit for any system: {told_in_short(renamed)}")
    if bare:
        notes.append(f"photos without a row, because nothing is outlined in them: {told_in_short(bare)}")
    if unknown_hours:
        notes.append(f"{counted(unknown_hours, 'sample')} without hours: the sheet wants them before it can be read")
    if replace(before.choices, unknown=()) != Choices():
        notes.append("the choices of the fit (confidence, odds and the like) have no column in a sheet")
    return tuple(notes)
