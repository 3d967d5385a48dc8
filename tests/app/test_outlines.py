"""Outlines under the hand: whatever is dragged where, they stay rectangles inside the photo."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.models.outlines import (
    SMALLEST_SIDE,
    Corners,
    Grasp,
    Hold,
    corners_of,
    dragged,
    holds,
    middle_of,
    outline_of,
    rectangle,
    turned_by,
)
from app.models.photo_view import PhotoView

SIZE = (1200, 800)
points = st.tuples(st.floats(-500, 1700), st.floats(-500, 1300))
outlines = st.builds(
    lambda x, y, w, h, angle: turned_by(rectangle((x, y), (x + w, y + h)), angle, SIZE),
    st.floats(300, 500),
    st.floats(250, 400),
    st.floats(20, 200),
    st.floats(20, 150),
    st.floats(-3.1, 3.1),
)


def sides(corners: Corners) -> list[float]:
    return [math.dist(one, two) for one, two in zip(corners, corners[1:] + corners[:1], strict=True)]


def square_corner(corners: Corners) -> float:
    (x0, y0), (x1, y1), _, (x3, y3) = corners
    return (x1 - x0) * (x3 - x0) + (y1 - y0) * (y3 - y0)


@given(outlines, st.sampled_from(Grasp), st.integers(0, 3), points, points)
def test_a_dragged_outline_stays_a_rectangle_inside_its_photo(
    corners: Corners, grasp: Grasp, number: int, at: tuple[float, float], to: tuple[float, float]
) -> None:
    made = dragged(Hold(grasp=grasp, number=number, corners=corners, at=at), to, SIZE)
    assert all(-1e-3 <= x <= SIZE[0] + 1e-3 and -1e-3 <= y <= SIZE[1] + 1e-3 for x, y in made)
    assert abs(square_corner(made)) < 1e-6 * max(sides(made)) ** 2
    assert min(sides(made)) >= SMALLEST_SIDE - 1e-6


@given(outlines, points)
def test_moving_and_turning_leave_the_size_alone(corners: Corners, to: tuple[float, float]) -> None:
    for grasp in (Grasp.INSIDE, Grasp.TURN):
        made = dragged(Hold(grasp=grasp, number=0, corners=corners, at=corners[0]), to, SIZE)
        assert sides(made) == pytest.approx(sides(corners), rel=1e-6)


@given(outlines)
def test_what_the_job_keeps_of_an_outline_stands_where_it_was_drawn(corners: Corners) -> None:
    kept = corners_of(outline_of(corners))
    within = 2.0 if outline_of(corners).corners is None else 0.15  # whole pixels where it stands upright
    for (x, y), (kept_x, kept_y) in zip(corners, kept, strict=True):
        assert math.dist((x, y), (kept_x, kept_y)) < within
    assert holds(kept, middle_of(corners))


def test_the_opposite_edge_stands_still_while_an_edge_is_dragged() -> None:
    corners = rectangle((100, 100), (300, 200))
    made = dragged(Hold(grasp=Grasp.EDGE, number=3, corners=corners, at=(100, 150)), (60, 400), SIZE)
    assert made == ((60, 100), (300, 100), (300, 200), (60, 200))


@given(st.floats(0, 1500), st.floats(0, 1000), st.floats(-4, 12))
def test_the_point_under_the_pointer_stays_there_while_coming_nearer(x: float, y: float, steps: float) -> None:
    view = PhotoView(photo=(6000, 4000), size=(1500, 1000)).nearer(4, (750, 500))
    nearer = view.nearer(steps, (x, y))
    if nearer.zoom in (view.zoom, 8.0) or nearer.whole:
        return
    if nearer.zoom > view.zoom:
        assert nearer.to_photo(x, y) == pytest.approx(view.to_photo(x, y), abs=1e-6)
    left, top = nearer.origin
    assert left <= 1e-9
    assert top <= 1e-9
    assert left + 6000 * nearer.zoom >= 1500 - 1e-6
    assert top + 4000 * nearer.zoom >= 1000 - 1e-6
