"""Purge times against the published table."""

from __future__ import annotations

import pytest

from colourcore.run.airing import purge_hours

# CDC, MMWR 28 October 1994, 43(RR-13), table S3-1: air changes an hour, then minutes for 90, 99 and 99.9 % at K = 1
PURGE_TABLE = [
    (1, 138, 276, 414),
    (2, 69, 138, 207),
    (4, 35, 69, 104),
    (6, 23, 46, 69),
    (10, 14, 28, 41),
    (12, 12, 23, 35),
    (15, 9, 18, 28),
    (20, 7, 14, 21),
    (50, 3, 6, 8),
]


@pytest.mark.parametrize(("changes", "to_10", "to_1", "to_a_tenth"), PURGE_TABLE)
def test_every_whole_minute_of_the_published_table_comes_out(
    changes: float, to_10: int, to_1: int, to_a_tenth: int
) -> None:
    minutes = [round(60 * purge_hours(100, left, changes)) for left in (10, 1, 0.1)]
    assert minutes == [to_10, to_1, to_a_tenth]


def test_a_poorly_mixed_room_takes_as_many_times_longer_as_its_factor() -> None:
    assert purge_hours(100, 1, 4, 10) == pytest.approx(10 * purge_hours(100, 1, 4))
