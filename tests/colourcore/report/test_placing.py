"""Words that find room, or the clearest place there is."""

from __future__ import annotations

from colourcore.report.lettering import Weight, text_width
from colourcore.report.placing import Placing


def free() -> Placing:
    return Placing(left=0.0, right=200.0, top=0.0, bottom=100.0)


def test_the_first_place_is_taken_where_nothing_is_in_the_way() -> None:
    words = free().words("9 h 15", [(50.0, 50.0), (150.0, 50.0)])
    assert abs(words.x + text_width("9 h 15", 8.0, Weight.BOLD) / 2 - 50.0) < 1e-9


def test_a_place_on_a_line_is_passed_over() -> None:
    placing = free()
    placing.avoid([(0.0, 48.0), (100.0, 48.0)])
    assert placing.words("9 h 15", [(50.0, 50.0), (50.0, 70.0)]).y == 70.0


def test_where_every_place_is_taken_the_clearest_wins() -> None:
    placing = free()
    placing.avoid([(0.0, 48.0), (200.0, 48.0)])
    assert placing.words("9 h", [(50.0, 50.0), (50.0, 57.0), (50.0, 50.5)]).y == 57.0


def test_a_placed_word_is_in_the_way_of_the_next() -> None:
    placing = free()
    first = placing.words("9 h 15", [(50.0, 50.0)])
    second = placing.words("9 h 20", [(50.0, 50.0), (50.0, 80.0)])
    assert (first.y, second.y) == (50.0, 80.0)


def test_words_stay_inside_the_box() -> None:
    words = free().words("look from 9 h 15", [(500.0, -50.0)])
    assert words.x + text_width(words.text, 8.0, Weight.BOLD) <= 200.0 + 1e-9
    assert words.y >= 6.0
