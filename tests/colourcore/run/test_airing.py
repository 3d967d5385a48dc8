"""What is asked of a room before its airing can be worked out, and what is never promised."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from colourcore.errors import InputError
from colourcore.run.airing import airing, purge_hours, room_ppm


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"air_changes_per_hour": 0.0}, "more than 0 air changes"),
        ({"mixing": 0.5}, "mixing factor from 1 to 10"),
        ({"limit_ppm": 35.0}, "at most 25 ppm"),
        ({"limit_ppm": 0.0}, "more than 0 and at most 25 ppm"),
    ],
)
def test_what_makes_no_airing_is_told(changed: dict[str, float], words: str) -> None:
    with pytest.raises(InputError, match=words):
        airing(28, 51, **{"air_changes_per_hour": 3.0, **changed})


def test_a_room_of_no_volume_is_told() -> None:
    with pytest.raises(InputError, match="room of more than 0 m³"):
        room_ppm(28, 0)


@given(st.floats(1, 5000), st.floats(5, 500), st.floats(0.2, 50), st.floats(1, 10))
def test_more_ammonia_never_airs_sooner(ammonia: float, room: float, changes: float, mixing: float) -> None:
    some = airing(ammonia, room, air_changes_per_hour=changes, mixing=mixing)
    more = airing(2 * ammonia, room, air_changes_per_hour=changes, mixing=mixing)
    assert more.hours >= some.hours
    if some.start_ppm > some.limit_ppm:
        assert some.hours >= purge_hours(some.start_ppm, some.limit_ppm, changes, mixing) - 1e-9
