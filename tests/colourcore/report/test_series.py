"""Samples at their hours, with the wood that lies inside their outline."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from colourcore.image.pixels import Outline
from colourcore.report.series import HourAxis, job_series, patch_pixels, shared_axis
from tests.colourcore.report.invented_results import (
    SAMPLE_HOURS,
    group,
    job,
    not_reached,
    pictures,
    reached,
    results,
)


def test_the_wood_is_cut_from_where_the_outline_lies() -> None:
    picture = np.zeros((100, 200, 3), dtype=np.uint8)
    picture[20:40, 60:90] = 200
    found = patch_pixels(picture, Outline(x=120, y=40, width=60, height=40), 400)
    assert found.shape == (20, 30, 3)
    assert (found == 200).all()


def test_a_turned_outline_is_cut_upright() -> None:
    picture = np.zeros((100, 100, 3), dtype=np.uint8)
    picture[:, 50:] = 200
    # a quarter turn: the corner called top left lies at the photo's top right
    outline = Outline(x=20, y=20, width=60, height=40, corners=((80, 20), (80, 60), (20, 60), (20, 20)))
    found = patch_pixels(picture, outline, 100)
    assert found.shape == (60, 40, 3)
    assert (found[:29] == 200).all()
    assert (found[31:] == 0).all()


def test_an_outline_at_the_photos_edge_finds_pixels_all_the_same() -> None:
    assert patch_pixels(np.zeros((10, 10, 3), np.uint8), Outline(x=990, y=990, width=10, height=10), 1000).size


def test_samples_stand_in_the_order_of_their_hours_and_those_set_aside_are_kept() -> None:
    one = group("A", "heartwood", reached())
    series = job_series(job(), results([one]), pictures())[0]
    assert [view.hours for view in series.samples] == sorted([*SAMPLE_HOURS, 9.0])
    assert [view.set_aside for view in series.samples].count(True) == 1
    assert all(view.pixels is not None for view in series.samples)
    assert series.last_hours == 24.0


def test_without_the_photo_the_sample_keeps_its_colour() -> None:
    series = job_series(job(), results([group("A", "heartwood", reached())]), {})[0]
    assert all(view.pixels is None for view in series.samples)
    assert series.samples[0].lab[0] == pytest.approx(66.0)


def test_zones_are_told_apart_by_line_and_shape() -> None:
    groups = [group("A", zone, reached()) for zone in ("heartwood", "rift", "sapwood")]
    found = {one.group.zone: one.style for one in job_series(job(), results(groups), {})}
    assert (found["heartwood"].sample, found["sapwood"].sample, found["rift"].sample) == ("dot", "ring", "square")
    assert not found["heartwood"].dash
    assert len(found["rift"].dash) == 4
    only_sapwood = job_series(job(), results([group("A", "sapwood", reached())]), {})
    assert only_sapwood[0].style.sample == "dot"


def test_the_axis_holds_every_sample_and_an_answer_not_too_far_beyond() -> None:
    late = group("A", "sapwood", reached(hours=30.0, high=33.0))
    never = group("A", "heartwood", reached(hours=300.0, high=None))
    for one, end in ((late, 33.0), (never, 24.0 * 1.6), (group("A", "", not_reached()), 24.0)):
        axis = shared_axis(job_series(job(), results([one]), {}), 0.0, 400.0)
        assert end <= axis.end_hours <= end * 1.05


def test_an_axis_of_raw_wood_alone_has_a_length() -> None:
    series = job_series(job(), results([group("A", "", reached())]), {})
    raw_only = replace(series[0], last_hours=0.0, group=group("A", "", not_reached()))
    assert shared_axis([raw_only], 0.0, 100.0).end_hours > 0


def test_labels_of_hours_keep_their_distance_and_samples_come_first() -> None:
    axis = HourAxis(end_hours=26.0, left=10.0, right=300.0)
    ticks = axis.ticks([0.0, 1.0, 1.1, 26.0])
    places = [axis.at(hours) for hours, _ in ticks]
    assert all(late - early >= 15.0 for early, late in pairwise(places))
    assert (26.0, True) in ticks
    assert (1.0, True) in ticks
    assert 1.1 not in dict(ticks)
