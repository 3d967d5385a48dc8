"""Strokes that stay where they belong, and colours as an independent library has them."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from skimage.color import lab2rgb

from colourcore.report.drawing import (
    Area,
    Dot,
    Pen,
    Picture,
    Stroke,
    Words,
    box,
    dashes,
    hatching,
    lab_codes,
    lab_colour,
    shifted,
)


@given(st.floats(0.5, 80), st.floats(0.5, 80), st.floats(2, 9))
def test_hatching_stays_inside_its_box(width: float, height: float, step: float) -> None:
    for stroke in hatching(10.0, 20.0, width, height, pen=Pen(), step=step):
        for x, y in stroke.points:
            assert 10.0 - 1e-9 <= x <= 10.0 + width + 1e-9
            assert 20.0 - 1e-9 <= y <= 20.0 + height + 1e-9


def test_no_room_is_not_hatched() -> None:
    assert not list(hatching(0.0, 0.0, 0.0, 5.0, pen=Pen()))


def test_dashes_cover_the_share_that_their_pattern_says() -> None:
    corner = [(0.0, 0.0), (30.0, 0.0), (30.0, 30.0)]
    pieces = dashes(corner, (4.0, 2.0))
    drawn = sum(math.dist(a, b) for piece in pieces for a, b in pairwise(piece))
    assert drawn == pytest.approx(40.0)
    assert any(len(piece) == 3 for piece in dashes(corner, (7.0, 2.0)))  # a dash goes round the corner


def test_dash_and_dot_alternate() -> None:
    lengths = [round(math.dist(*piece), 6) for piece in dashes([(0.0, 0.0), (36.0, 0.0)], (6.0, 2.0, 1.0, 3.0))]
    assert lengths == [6.0, 1.0, 6.0, 1.0, 6.0, 1.0]


@pytest.mark.parametrize("lab", [(66.0, 6.0, 20.0), (48.0, 4.5, 13.6), (38.0, 3.0, 9.0), (95.0, 0.0, 0.0)])
def test_wood_is_painted_in_the_colour_scikit_image_gives_it(lab: tuple[float, float, float]) -> None:
    expected = 255 * lab2rgb(np.array(lab), illuminant="D65", observer="2")
    assert lab_codes(lab) == pytest.approx(expected, abs=0.75)


def test_colours_outside_the_screen_go_to_its_edge() -> None:
    assert lab_colour((50.0, 0.0, 150.0)).endswith("00")
    assert lab_colour((150.0, 0.0, 0.0)) == "#ffffff"


def test_everything_that_is_moved_moves_alike() -> None:
    pixels = np.zeros((1, 1, 3), dtype=np.uint8)
    marks = [
        Stroke(points=((1.0, 2.0), (3.0, 4.0)), pen=Pen()),
        box(1.0, 2.0, 3.0, 4.0),
        Dot(x=1.0, y=2.0, radius=1.0),
        Words(x=1.0, y=2.0, text="h"),
        Picture(x=1.0, y=2.0, width=1.0, height=1.0, pixels=pixels),
    ]
    for before, after in zip(marks, shifted(marks, 10.0, -1.0), strict=True):
        if isinstance(before, Stroke | Area):
            assert isinstance(after, Stroke | Area)
            assert after.points == tuple((x + 10.0, y - 1.0) for x, y in before.points)
        else:
            assert not isinstance(after, Stroke | Area)
            assert (after.x, after.y) == (before.x + 10.0, before.y - 1.0)
