"""What the place shows of a job's results, without a window."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.models.hours_axis import Spread
from app.models.hours_ledger import Figures, Head, Paragraph, Pieces, ledger_blocks, ledger_notes, pieces_sentence
from app.models.hours_prospect import Prospect, TenPieces, together_hours
from app.models.hours_scene import Choice, HoursScene, Stroke, axis_end, hours_scene
from app.models.hours_words import answer_words, opening, second_line, short_answer_words, when_together
from app.views.parts import plain
from colourcore.curve.compare import common_time
from colourcore.curve.outcome import Outcome
from colourcore.job.model import Choices
from colourcore.pipeline import Results, answer
from tests.app.hours_stage import LADDER, chest, ladder, results, sample, target

DARK_TARGET = (38.5, 3.2, 10.5)


def scene_of(made: Results, **choice: object) -> HoursScene:
    return hours_scene(made, replace(Choice(), **choice))


def lead_of(scene: HoursScene) -> Prospect:
    assert scene.lead is not None
    assert scene.lead.prospect is not None
    return scene.lead.prospect


def said(scene: HoursScene, hours: float) -> str:
    texts = [
        block.text for block in (*ledger_blocks(scene, hours), *ledger_notes(scene)) if isinstance(block, Paragraph)
    ]
    return plain(" ".join(texts)).replace("\u00a0", " ")


# what leads, and what acts


def test_heartwood_leads_and_sapwood_follows_whatever_order_they_were_read_in() -> None:
    rows = ladder(101, zone="sapwood") + ladder(1)
    zones = [strand.zone for strand in scene_of(results([*rows, target()])).strands]
    assert zones == ["heartwood", "sapwood"]


def test_without_heartwood_sapwood_comes_last_and_with_it_it_comes_second() -> None:
    own = [*ladder(101, zone="sapwood"), *ladder(201, zone="edge"), target()]
    assert [strand.zone for strand in scene_of(results(own)).strands] == ["edge", "sapwood"]
    whole = scene_of(results([*ladder(1), *own]))
    assert [strand.zone for strand in whole.strands] == ["heartwood", "sapwood", "edge"]


def test_strands_are_told_apart_by_line_and_mark() -> None:
    rows = ladder(1) + ladder(101, zone="sapwood") + ladder(201, zone="edge")
    strokes = [strand.stroke for strand in scene_of(results([*rows, target()])).strands]
    assert strokes == [Stroke.SOLID, Stroke.DASHED, Stroke.DOT_DASHED]


def test_the_hours_to_act_on_are_the_pieces_and_not_the_boards() -> None:
    scene = scene_of(chest())
    assert scene.lead is not None
    assert scene.lead.group is not None
    board, found = scene.lead.group.answer, lead_of(scene)
    assert found.due is not None
    assert found.look_from is not None
    assert found.low is not None
    assert board.low is not None
    assert board.look_from is not None
    assert found.look_from < board.look_from
    assert found.low < board.low
    assert f"due at {_down(found.due)}" in plain(opening(scene)).replace("\u00a0", " ")


def _down(hours: float) -> str:
    minutes = math.floor(hours * 12 + 1e-6) * 5
    return f"{minutes // 60} h {minutes % 60:02d}" if minutes % 60 else f"{minutes // 60} h"


def test_a_piece_is_less_sure_than_the_boards_average() -> None:
    scene = scene_of(chest())
    assert scene.lead is not None
    assert scene.lead.group is not None
    found, curve = lead_of(scene), scene.lead.group.answer.curve
    board = np.interp(found.grid, curve.hours, np.subtract(curve.high, curve.low))
    known = found.grid <= curve.hours[-1]
    assert np.all((found.above - found.below)[known] > board[known])


def test_at_look_from_the_odds_are_one_in_ten_and_at_due_one_in_three() -> None:
    found = lead_of(scene_of(chest()))
    assert found.look_from is not None
    assert found.due is not None
    assert found.hours is not None
    assert found.at(found.look_from).odds == pytest.approx(0.1, abs=0.005)
    assert found.at(found.due).odds == pytest.approx(1 / 3, abs=0.005)
    assert found.at(found.hours).odds == pytest.approx(0.5, abs=0.005)


def test_odds_that_were_set_otherwise_move_due_and_are_said_so() -> None:
    rows = [*ladder(1), target()]
    choices = Choices(due_odds=0.5)
    made = Results(photos=(), readings=tuple(rows), groups=answer(rows, choices), choices=choices)
    scene = scene_of(made)
    assert lead_of(scene).due == pytest.approx(lead_of(scene).hours, abs=1e-6)
    assert "When due, one in two is past it" in plain(second_line(scene))


@given(hours=st.floats(0.0, 90.0), later=st.floats(0.0, 90.0))
def test_odds_never_fall_with_the_hours_and_clearly_past_is_never_likelier_than_past(
    hours: float, later: float
) -> None:
    found = lead_of(scene_of(chest()))
    one, two = sorted((hours, later))
    before, after = found.at(one), found.at(two)
    assert before.odds is not None
    assert after.odds is not None
    assert before.odds_clearly is not None
    assert before.odds <= after.odds + 1e-12
    assert before.odds_clearly <= before.odds + 1e-12


# ten pieces


@given(odds=st.floats(0.0, 1.0), share=st.floats(0.0, 1.0))
def test_it_is_never_none_and_never_all(odds: float, share: float) -> None:
    ten = TenPieces.of(odds, odds * share)
    text = plain(pieces_sentence(ten))
    assert "none" not in text
    assert " all " not in text.replace("nearly all", "")
    assert " ten" not in text.replace("Of ten such", "")
    assert 0 <= ten.hardly <= ten.past <= 10


def test_ten_pieces_count_as_the_maker_would() -> None:
    assert TenPieces.of(0.049, 0.0).few
    assert TenPieces.of(0.951, 0.9).many
    assert TenPieces.of(0.05, 0.0).past == 1
    assert pieces_sentence(TenPieces.of(0.1, 0.02)).startswith(
        "Of ten such pieces **one is past** the target, one hardly"
    )
    assert "seven still short" in pieces_sentence(TenPieces.of(0.33, 0.2))


# both boards


def test_together_the_odds_of_both_add_up_to_two_thirds() -> None:
    scene = scene_of(chest(), both=True)
    pair = tuple(strand.prospect for strand in scene.rows if strand.prospect is not None)
    hours = together_hours(pair)
    assert hours is not None
    assert sum(found.at(hours).odds or 0.0 for found in pair) == pytest.approx(2 / 3, abs=0.002)


def test_no_hour_costs_less_than_the_common_one() -> None:
    scene = scene_of(chest(), both=True)
    pair = tuple(strand.prospect for strand in scene.rows if strand.prospect is not None)
    best = together_hours(pair)
    assert best is not None
    hours = np.linspace(0.0, 40.0, 4001)
    odds = sum(np.interp(hours, found.grid, found.odds) for found in pair)
    late = np.concatenate([[0.0], np.cumsum((odds[1:] + odds[:-1]) / 2 * 0.01)])
    early = late[-1] * 0 + np.concatenate([np.cumsum(((2 - odds[1:]) * 0.01)[::-1])[::-1], [0.0]])
    assert abs(hours[int(np.argmin(2 * late + early))] - best) < 0.05


def test_the_common_hour_is_the_one_that_the_report_gives() -> None:
    scene = scene_of(chest(), both=True)
    pair = tuple(strand.prospect for strand in scene.rows if strand.prospect is not None)
    views = {g.name: g.view for s in scene.rows if (g := s.group) is not None and g.view is not None}
    assert together_hours(pair) == pytest.approx(common_time(views).hours, abs=0.15)


def test_together_one_looks_where_the_first_board_has_its_look() -> None:
    scene = scene_of(chest(), both=True)
    common = when_together(scene)
    looks = [strand.prospect.look_from for strand in scene.rows if strand.prospect and strand.prospect.look_from]
    assert common is not None
    assert common[1] <= min(looks) < common[0]


def test_the_sentence_of_both_boards_says_what_it_costs() -> None:
    scene = scene_of(chest(), both=True)
    assert plain(opening(scene)).startswith("Taken out together, both boards cost least at")
    assert "too dark counting double" in second_line(scene)
    apart = scene_of(chest(), both=True, together=False)
    assert plain(opening(apart)).startswith("Apart, board A is due at")
    assert "A run each" in second_line(apart)


def test_of_many_boards_the_two_farthest_apart_are_shown_and_the_others_listed() -> None:
    rows = [*ladder(1, board="A"), *ladder(101, board="B", pace=1.5), *ladder(201, board="C", pace=0.7), target()]
    scene = scene_of(results(rows), both=True)
    assert [strand.board for strand in scene.rows] == ["B", "C"]
    assert [strand.board for strand in scene.others] == ["A"]
    assert "Board A is due at" in said(scene, 9.0)


# what cannot be said


def test_two_samples_cannot_say_the_hours_and_the_places_that_would_tell_are_named() -> None:
    scene = scene_of(results([*ladder(1, (0.0, 24.0)), target()]))
    assert opening(scene) == "Two samples cannot say the hours."
    assert scene.lead is not None
    assert scene.lead.group is not None
    assert scene.lead.group.answer.next_sample is not None
    one, two = scene.lead.wanted_hours
    assert scene.lead.group.answer.next_sample.hours in (one, two)
    assert second_line(scene) == f"Two more would: the dashed places, {one:g} and {two:g} h, would tell the most."
    assert ledger_blocks(scene, 4.0) == ()


def test_many_samples_at_few_hours_cannot_say_either() -> None:
    rows = [sample(i, h) for i, h in enumerate((0.0, 0.0, 6.0, 6.0, 24.0))]
    assert opening(scene_of(results([*rows, target()]))) == "Samples at three hours cannot say the hours."


def test_without_a_target_the_hours_wait_and_the_wood_still_slides() -> None:
    scene = scene_of(results(ladder(1)))
    assert plain(opening(scene)) == "The hours wait for a target."
    figures = [block for block in ledger_blocks(scene, 9.0) if isinstance(block, Figures)]
    assert figures[0].heads == ("heartwood", "")
    assert not any(isinstance(block, Pieces) for block in ledger_blocks(scene, 9.0))


def test_a_target_out_of_reach_is_said_in_cases_and_with_the_nearest_shade() -> None:
    scene = scene_of(results([*ladder(1, zone="sapwood"), target((44.0, 4.0, 12.0))]))
    assert lead_of(scene).outcome is Outcome.NOT_REACHED
    assert "gets there in" in opening(scene)
    assert "nearest shade" in second_line(scene)
    assert short_answer_words(scene) == "not reached"


def test_where_the_wood_hardly_moves_any_hour_of_many_is_said() -> None:
    scene = scene_of(results([*ladder(1, (*LADDER, 48.0)), target(DARK_TARGET)]))
    assert plain(opening(scene)).startswith("Any hour from ")
    assert "the wood hardly moves: one L* is" in second_line(scene)


def test_a_target_lighter_than_raw_wood_is_refused_with_its_reason() -> None:
    scene = scene_of(results([*ladder(1), target((85.0, 5.0, 15.0))]))
    assert plain(opening(scene)) == "For heartwood the hours cannot be said."
    assert "no darker than raw wood" in second_line(scene)


def test_nothing_read_is_said_as_such() -> None:
    scene = hours_scene(None, Choice())
    assert plain(opening(scene)) == "No samples are read, so there are no hours yet."
    assert answer_words(scene) == "none yet"
    assert scene.named_hours == ()
    assert ledger_notes(hours_scene(None, Choice(both=True))) == ()
    assert 0.0 in scene.wanted_hours
    assert len(scene.wanted_hours) == 5


# samples and axis


def test_a_sample_set_aside_is_shown_and_not_counted() -> None:
    sapwood = scene_of(chest()).strands[1]
    assert sapwood.read == 8
    assert [s.set_aside for s in sapwood.samples if s.hours == 9.0] == ["pencil line"]


def test_a_sample_that_the_others_contradict_carries_how_far_it_is_off() -> None:
    rows = ladder(1)
    reading = rows[4].reading
    assert reading is not None
    lightness, a, b = reading.lab
    rows[4] = replace(rows[4], reading=replace(reading, lab=(lightness + 7.0, a, b)))
    strand = scene_of(results([*rows, target()])).strands[0]
    assert [s.hours for s in strand.samples if s.off is not None] == [6.0]
    assert (strand.samples[4].off or 0.0) > 4.0


def test_the_axis_reaches_past_the_last_sample_where_the_answer_lies_beyond_it() -> None:
    near = scene_of(chest())
    beyond = scene_of(results([*ladder(1, (0.0, 1.0, 2.0, 3.0, 4.0, 6.0)), target()]))
    assert axis_end(near) == 24.0
    assert axis_end(beyond) > (lead_of(beyond).due or 0.0) > 6.0


def test_the_slid_board_is_made_of_the_lightest_wood_that_has_a_photo() -> None:
    rows = [*ladder(1, photo=""), *[replace(row, photo="p.jpg") for row in ladder(51, (4.0, 9.0))]]
    strand = scene_of(results([*rows, target()])).strands[0]
    assert strand.raw is not None
    assert strand.raw.hours == 4.0


def test_a_choice_of_a_board_that_is_gone_falls_back_to_the_first() -> None:
    scene = scene_of(chest(), board="Z", spread=Spread.EVEN)
    assert scene.choice.board == "A"
    assert scene.choice.spread is Spread.EVEN


# the ledger


def test_every_number_in_the_ledger_says_how_sure_it_is() -> None:
    figures = [block for block in ledger_blocks(scene_of(chest()), 9.0) if isinstance(block, Figures)]
    assert [row[0] for row in figures[0].rows] == ["L*", "a*", "b*"]
    assert all("±" in row[1] for row in figures[0].rows)


def test_the_difference_is_said_in_numbers_and_words() -> None:
    text = said(scene_of(chest()), 4.0)
    assert "Colour difference" in text
    assert "over 5 ΔE00, large" in text  # CIEDE2000 is meant for less (ISO/CIE 11664-6)
    assert "lighter" in text


def test_a_target_of_lightness_alone_says_so() -> None:
    rows = ladder(1)
    numbers = answer(rows, Choices(), target=(48.0, None, None))
    made = Results(photos=(), readings=tuple(rows), groups=numbers, choices=Choices())
    assert "the colour is not known" in said(scene_of(made), 9.0)


def test_what_the_samples_say_is_said_once_and_the_other_board_after_it() -> None:
    text = said(scene_of(chest()), 9.0)
    assert text.count("The samples say") == 1
    assert text.count("Board B is due at") == 1
    assert "a tannin wash first closes part of that" in text


def test_the_hour_stands_at_the_head_twice_as_said_and_as_a_number() -> None:
    head = ledger_blocks(scene_of(chest()), 7 + 55 / 60)[0]
    assert head == Head(title="At 7\u00a0h\u00a055", aside="7.92\u00a0h", large=True)
