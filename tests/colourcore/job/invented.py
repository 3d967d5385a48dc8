"""Invented jobs and acts for the tests of this room, as hypothesis strategies and as plain values."""

from __future__ import annotations

import hashlib
from collections.abc import Callable

from hypothesis import settings
from hypothesis import strategies as st

from colourcore.image.pixels import Outline
from colourcore.job import edits
from colourcore.job.edits import Edit
from colourcore.job.model import Job, Lab, Patch, PhotoFile, Role

in_its_own_time = settings(deadline=None, max_examples=50)
"""No test here is about time: the machine may be busy."""

WORDS = st.text(st.characters(codec="utf-8", exclude_categories=["Cs"]), max_size=12)
HOURS = st.floats(0, 500)
COORDINATES = st.floats(-10, 9000)
SIZES = st.floats(1, 4000)
UNIT = st.floats(0.01, 0.99)

OUTLINES = st.builds(
    Outline,
    x=COORDINATES,
    y=COORDINATES,
    width=SIZES,
    height=SIZES,
    corners=st.none() | st.tuples(*[st.tuples(COORDINATES, COORDINATES)] * 4),
)
LABS = st.one_of(
    st.tuples(st.floats(0, 100), st.floats(-150, 150), st.floats(-150, 150)),
    st.tuples(st.floats(0, 100), st.none(), st.none()),
)
PHOTOS = st.builds(
    lambda number, name: PhotoFile(name=f"{name}{number}.jpg", sha256=digest(b"%d" % number)),
    st.integers(0, 9),
    st.sampled_from(["oak", "OAK", "photos/board A "]),
)


def digest(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()


def photo_file(name: str, content: bytes) -> PhotoFile:
    return PhotoFile(name=name, sha256=digest(content))


def chest() -> Job:
    """An invented lidded chest: two photos, a card in each, five samples and a target."""
    photos = (photo_file("front.jpg", b"front"), photo_file("back.jpg", b"back"))
    boxes = [Outline(x=100.0 * column, y=50, width=80, height=60) for column in range(6)]
    patches = [
        Patch(identity=1, photo="front.jpg", role=Role.CARD, outline=boxes[0], lab=(49.5, 0.0, 0.0)),
        Patch(identity=2, photo="front.jpg", outline=boxes[2], hours=2.0, board="A", zone="heartwood"),
        Patch(identity=3, photo="front.jpg", outline=boxes[1], hours=0.0, board="A", zone="heartwood"),
        Patch(identity=4, photo="front.jpg", outline=boxes[3], hours=9.0, board="A", zone="heartwood"),
        Patch(identity=5, photo="back.jpg", role=Role.CARD, outline=boxes[0], lab=(49.5, 0.0, 0.0)),
        Patch(identity=6, photo="back.jpg", outline=boxes[1], hours=0.0, board="B", zone="sapwood"),
        Patch(identity=7, photo="back.jpg", outline=boxes[2], hours=9.0, board="B", zone="sapwood"),
        Patch(identity=8, photo="back.jpg", role=Role.TARGET, outline=boxes[3], label="the old lid"),
    ]
    return Job(name="music chest", photos=photos, patches=tuple(patches))


Act = Callable[[Job], Edit]


@st.composite
def acts(draw: st.DrawFn) -> Act:
    """One act of any kind; where it needs a photo or a patch it takes the job's, by a drawn number."""
    number, word, hours = draw(st.integers(0, 50)), draw(WORDS), draw(HOURS)
    outline, role, lab, unit = draw(OUTLINES), draw(st.sampled_from(Role)), draw(LABS), draw(UNIT)
    photo, kind = draw(PHOTOS), draw(st.integers(0, 17))

    def act(job: Job) -> Edit:
        if kind == 0 or not job.photos:
            return edits.add_photos(job, [photo])
        name = job.photos[number % len(job.photos)].name
        if kind == 1 or not job.patches:
            return edits.add_outline(job, name, outline, role)
        if kind == 2:
            return edits.target_from_numbers(job, lab, label=word, board=word)
        patch = job.patches[number % len(job.patches)]
        return _act_on_a_patch(
            job, patch, name, kind, word=word, hours=hours, outline=outline, role=role, lab=lab, unit=unit
        )

    return act


def _act_on_a_patch(
    job: Job,
    patch: Patch,
    photo: str,
    kind: int,
    *,
    word: str,
    hours: float,
    outline: Outline,
    role: Role,
    lab: Lab,
    unit: float,
) -> Edit:
    some = [patch.identity]
    if kind == 3 and patch.photo:
        return edits.target_from_patch(job, patch.identity, zone=word)
    plain: dict[int, Callable[[], Edit]] = {
        4: lambda: edits.move_outlines(job, {patch.identity: outline}),
        5: lambda: edits.remove_patches(job, some),
        6: lambda: edits.set_role(job, some, role),
        7: lambda: edits.set_hours(job, {patch.identity: hours}),
        8: lambda: edits.set_zone(job, some, word),
        9: lambda: edits.set_label(job, patch.identity, word),
        10: lambda: edits.set_piece(job, some, word),
        11: lambda: edits.set_finish(job, some, word),
        12: lambda: edits.set_aside(job, some, f"knot {word}"),
        13: lambda: edits.take_back(job, some),
        14: lambda: edits.set_stated_lab(job, some, lab),
        15: lambda: edits.choose(job, confidence=unit),
        16: lambda: edits.remove_photo(job, photo),
        17: lambda: edits.order_photos(job, [file.name for file in reversed(job.photos)]),
    }
    return plain.get(kind, lambda: edits.name_job(job, word))()


@st.composite
def jobs(draw: st.DrawFn) -> Job:
    """A job as some acts leave it."""
    job = Job(name=draw(WORDS))
    for act in draw(st.lists(acts(), max_size=12)):
        job = act(job).job
    return job
