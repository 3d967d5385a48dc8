"""What the drawings show: everything inside them, samples at their hours, odds as area, nothing hidden."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from itertools import pairwise

import pytest

from colourcore.curve.fit import Target
from colourcore.pipeline import Group
from colourcore.report.drawing import ODDS, Area, Dot, Drawing, Mark, Picture, Stroke, Words
from colourcore.report.figures import compact_curve_drawing, curve_drawing, curve_height
from colourcore.report.ledger import LEAST_WOOD, ledger_drawing, ledger_height
from colourcore.report.lettering import text_width
from colourcore.report.photo_figure import photo_drawing
from colourcore.report.series import Series, job_series
from tests.colourcore.report.invented_results import (
    TARGET,
    cannot_say,
    group,
    job,
    not_reached,
    pictures,
    piece,
    reached,
    results,
)

WIDTH = 500.0


def box_of(mark: Mark) -> tuple[float, float, float, float]:
    if isinstance(mark, Stroke | Area):
        xs, ys = zip(*mark.points, strict=True)
        return min(xs), min(ys), max(xs), max(ys)
    if isinstance(mark, Dot):
        return mark.x - mark.radius, mark.y - mark.radius, mark.x + mark.radius, mark.y + mark.radius
    if isinstance(mark, Picture):
        return mark.x, mark.y, mark.x + mark.width, mark.y + mark.height
    wide = text_width(mark.text, mark.size, mark.weight)
    left = mark.x - {"start": 0.0, "middle": 0.5, "end": 1.0}[mark.anchor.value] * wide
    return left, mark.y - 0.7 * mark.size, left + wide, mark.y + 0.25 * mark.size


def assert_inside(drawing: Drawing, reach: float = 3.0) -> None:
    for mark in drawing.marks:
        left, top, right, bottom = box_of(mark)
        assert left >= -reach, mark
        assert top >= -reach, mark
        assert right <= drawing.width + reach, mark
        assert bottom <= drawing.height + reach, mark


def series_of(*groups: Group) -> tuple[Series, ...]:
    return job_series(job(), results(groups), pictures())


def texts(drawing: Drawing) -> list[str]:
    return [mark.text for mark in drawing.marks if isinstance(mark, Words)]


FAR = reached(hours=300.0, low=100.0, high=None, p_reach=0.6, extrapolated=True)
CASES = {
    "one": [group("A", "heartwood", reached())],
    "short": [group("A", "heartwood", reached()), group("A", "sapwood", not_reached())],
    "unsaid": [group("", "", cannot_say(), None)],
    "far": [group("A", "heartwood", FAR), group("A", "sapwood", reached(high=None))],
    "piece": [group("A", "heartwood", reached(piece=piece())), group("A", "sapwood", reached(piece=piece(high=None)))],
    "long names": [group("a board " * 9, "a zone " * 9, reached()), group("b" * 80, "", reached())],
    "three": [group("A", zone, reached()) for zone in ("heartwood", "sapwood", "rift")],
    "two targets": [
        group("A", "heartwood", reached()),
        group("A", "sapwood", reached(), replace(TARGET, L=55.0, a=None, b=None)),
    ],
    "extreme target": [
        group("A", "heartwood", reached(), Target(L=0.0)),
        group("A", "sapwood", reached(), Target(L=100.0)),
    ],
}


@pytest.mark.parametrize("case", CASES)
@pytest.mark.parametrize(
    "draw",
    [
        lambda series: ledger_drawing(series, None, WIDTH, 300.0),
        lambda series: curve_drawing(series, WIDTH, curve_height(series)),
        lambda series: compact_curve_drawing(series, series, 240.0, 90.0),
    ],
    ids=["ledger", "curve", "compact"],
)
def test_nothing_is_drawn_outside_its_drawing(case: str, draw: Callable[[Sequence[Series]], Drawing]) -> None:
    drawing = draw(series_of(*CASES[case]))
    assert_inside(drawing)
    assert drawing.description
    assert not any("nan" in text.lower() for text in texts(drawing))


def test_the_ledger_is_never_higher_than_asked_for_where_it_fits() -> None:
    series = series_of(*CASES["three"])
    for height in (ledger_height(3, LEAST_WOOD), 260.0, 900.0):
        assert ledger_drawing(series, None, WIDTH, height).height <= height + 1e-6


def test_samples_stand_on_the_ledger_in_the_order_of_their_hours_and_never_butt() -> None:
    drawing = ledger_drawing(series_of(group("A", "heartwood", reached())), None, WIDTH, 200.0)
    wood = [m for m in drawing.marks if isinstance(m, Picture) and m.described.startswith("wood after")]
    ends = [(mark.x, mark.x + mark.width) for mark in wood]
    by_hours: dict[str, list[tuple[float, float]]] = {}
    for mark, end in zip(wood, ends, strict=True):
        by_hours.setdefault(mark.described, []).append(end)
    assert [len(same) for same in by_hours.values()] == [1, 1, 1, 1, 2, 1]  # one of two at 9 h is set aside
    outer = [(same[0][0], same[-1][1]) for same in by_hours.values()]
    assert all(right < left for (_, right), (left, _) in pairwise(outer))


def test_a_sample_set_aside_has_one_stroke_across() -> None:
    with_stroke = ledger_drawing(series_of(group("A", "heartwood", reached())), None, WIDTH, 200.0)
    bare = job_series(job(), replace(results([group("A", "heartwood", reached())]), readings=()), pictures())
    without = ledger_drawing(bare, None, WIDTH, 200.0)

    def slanted(drawing: Drawing) -> int:
        return sum(
            isinstance(mark, Stroke) and len(mark.points) == 2 and mark.pen.width == 1.0 for mark in drawing.marks
        )

    assert slanted(with_stroke) == slanted(without) + 1


def test_odds_fill_as_area_and_only_where_there_are_odds() -> None:
    def filled(*groups: Group) -> int:
        marks = curve_drawing(series_of(*groups), WIDTH, 260.0).marks
        return sum(isinstance(mark, Area) and mark.fill == ODDS for mark in marks)

    assert filled(group("A", "heartwood", reached())) == 1
    assert filled(group("A", "heartwood", reached()), group("A", "sapwood", not_reached())) == 2
    assert filled(group("A", "heartwood", cannot_say(), None)) == 0


def test_the_targets_words_say_its_error_or_none() -> None:
    drawing = curve_drawing(series_of(group("A", "heartwood", reached())), WIDTH, 260.0)
    assert "target L* 48.0 ± 0.6" in texts(drawing)
    stated = curve_drawing(series_of(group("A", "heartwood", reached(), Target(L=48.0))), WIDTH, 260.0)
    assert "target L* 48.0" in texts(stated)


def test_words_on_the_curve_do_not_cover_each_other() -> None:
    drawing = curve_drawing(series_of(*CASES["piece"]), WIDTH, 260.0)
    boxes = [box_of(mark) for mark in drawing.marks if isinstance(mark, Words)]
    for number, (left, top, right, bottom) in enumerate(boxes):
        for other_left, other_top, other_right, other_bottom in boxes[number + 1 :]:
            apart = right <= other_left or other_right <= left or bottom <= other_top or other_bottom <= top
            assert apart, texts(drawing)


def test_a_board_alone_shows_no_hour_to_look_from_and_a_piece_does() -> None:
    alone = curve_drawing(series_of(group("A", "heartwood", reached())), WIDTH, 260.0)
    assert not any("look" in text for text in texts(alone))
    acting = curve_drawing(series_of(group("A", "heartwood", reached(piece=piece()))), WIDTH, 260.0)
    assert "look from 7 h 55" in texts(acting)
    assert "due 9 h" in texts(acting)


def test_the_ledger_says_each_outcome_in_large_words() -> None:
    groups = [
        group("A", "", reached()),
        group("B", "", not_reached()),
        group("C", "", cannot_say(), None),
        group("D", "", reached(p_reach=0.6)),
        group("E", "", reached(piece=piece())),
    ]
    said = texts(ledger_drawing(series_of(*groups), None, WIDTH, 400.0))
    for words in ("9 h 15", "stays short", "cannot say", "perhaps 9 h 15", "due 9 h"):
        assert words in said


def test_a_photo_shows_every_outline_with_its_words_and_the_scale_of_the_whole_photo() -> None:
    photo = results([group("A", "heartwood", reached())]).photos[0]
    drawing = photo_drawing(photo, job().patches, pictures()["chest.jpg"], 640.0)
    assert drawing.height == pytest.approx(400.0)
    assert_inside(drawing)
    assert {"card", "target", "0 h A heartwood", "24 h A heartwood"} <= set(texts(drawing))
    over = [m for m in drawing.marks if isinstance(m, Stroke) and m.pen.ink == "#ffffff"]
    card = next(mark for mark in over if mark.pen.dash == (5.0, 3.0))
    assert card.points[0] == (20.0, 20.0)
    assert len([mark for mark in over if mark.pen.dash == (1.2, 2.2)]) == 1
    assert "9 outlines, 7 of them samples" in drawing.description
