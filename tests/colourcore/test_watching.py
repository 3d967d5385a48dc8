"""A run followed by a camera on a timer: looks by the photos’ own clocks, nothing twice, bad photos passed over."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from colourcore.errors import InputError
from colourcore.image.pixels import Outline
from colourcore.job.model import Patch, Role
from colourcore.pipeline.watching import Followed, follow, read_look
from colourcore.run.conditions import Pour, Strength
from colourcore.run.happening import Happening
from colourcore.run.log import Entry
from tests.colourcore.flat_photos import CARD_LAB, SIDE, flat_photo

START = datetime(2026, 5, 3, 21, 30, tzinfo=UTC)
NOW = START + timedelta(hours=9)
POUR = Pour(volume_litres=0.11, strength=Strength(low=0.28, high=0.28))
LOG = (Entry(kind=Happening.POURED, at=START, pour=POUR),)
OUTLINES = tuple(
    Patch(identity=n + 1, role=role, outline=Outline(x=n * SIDE + 10, y=10, width=40, height=40), lab=lab)
    for n, (role, lab) in enumerate(((Role.CARD, CARD_LAB), (Role.SAMPLE, None), (Role.TARGET, None)))
)


def photo(lightness: float, hours: float, clock: bool = True) -> bytes:
    taken = START + timedelta(hours=hours)
    return flat_photo([(lightness, 6, 16), (48, 6, 15)], taken=f"{taken:%Y:%m:%d %H:%M:%S}" if clock else "")


def after(before: Followed, name: str, data: bytes) -> Followed:
    return follow(before, OUTLINES, name, data, log=LOG, now=NOW, zone=UTC)


def test_a_look_stands_at_the_photo_s_own_clock_beside_its_target() -> None:
    seen = read_look(OUTLINES, "a.png", photo(52.0, 6.5), log=LOG, now=NOW, zone=UTC)
    assert seen.look.hours == pytest.approx(6.5)
    assert seen.look.lightness == pytest.approx(52.0, abs=0.3)
    assert seen.look.target_lightness == pytest.approx(48.0, abs=0.3)
    assert seen.note == ""


def test_a_photo_without_a_clock_is_taken_for_one_of_now_and_says_so() -> None:
    seen = read_look(OUTLINES, "a.png", photo(52.0, 6.5, clock=False), log=LOG, now=NOW, zone=UTC)
    assert seen.look.hours == pytest.approx(9.0)
    assert "no clock" in seen.note


def test_the_same_bytes_are_never_read_twice() -> None:
    once = after(Followed(), "a.png", photo(52.0, 6.5))
    assert after(once, "the same.png", photo(52.0, 6.5)) is once
    assert len(once.looks) == 1


def test_a_broken_photo_is_passed_over_with_a_sentence_and_read_once_it_is_whole() -> None:
    whole = photo(52.0, 6.5)
    broken = after(Followed(), "a.png", whole[: len(whole) // 2])
    assert broken.looks == ()
    assert len(broken.told) == 1
    assert broken.told[0].startswith("a.png")
    assert after(broken, "a.png", whole[: len(whole) // 2]) is broken
    assert [one.photo for one in after(broken, "a.png", whole).looks] == ["a.png"]


def test_looks_stand_in_order_of_time_however_they_come_in() -> None:
    run = Followed()
    for name, level, hours in (("c.png", 50.0, 8.0), ("a.png", 58.0, 3.0), ("b.png", 53.0, 6.0)):
        run = after(run, name, photo(level, hours))
    assert [one.photo for one in run.looks] == ["a.png", "b.png", "c.png"]


def test_a_camera_set_wrong_is_told_and_its_photo_is_no_look() -> None:
    run = after(Followed(), "early.png", photo(52.0, -3.0))
    assert run.looks == ()
    assert "set the camera’s clock" in run.told[0]


def test_a_look_before_the_run_has_begun_is_refused() -> None:
    with pytest.raises(InputError, match="a look before the first pour"):
        read_look(OUTLINES, "a.png", photo(52.0, 6.5), log=(), now=NOW, zone=UTC)
