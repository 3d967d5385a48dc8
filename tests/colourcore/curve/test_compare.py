"""Boards and zones side by side: gaps, one common time, staggered times."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from colourcore.curve.answer import answer_group
from colourcore.curve.compare import CommonTime, common_time, gap, twins
from colourcore.curve.fit import Sample, Target
from colourcore.curve.study import Study
from colourcore.errors import InputError
from tests.colourcore.curve.boards import SCATTER, TARGET, board, darkening


def view(samples: list[Sample], target: Target | None = TARGET) -> Study:
    found = answer_group(samples, target).view
    assert found is not None
    return found


HEART = board(off=SCATTER)
SAP = board(off=SCATTER[::-1], raw=70.0, limit=46.0, tau=14.0)
SHARED = ((1.5, 0.0, 0.0), (0.0, 0.2, 0.0), (0.0, 0.0, 0.2))


def test_sapwood_stays_lighter_by_what_the_curves_say() -> None:
    # common practice, no source: sapwood stays lighter than heartwood for the same time
    found = gap(view(SAP), view(HEART), 6.0)
    truth = darkening(6.0, 70.0, 46.0, 14.0) - darkening(6.0)
    assert found.low < truth < found.high
    assert found.lightness == pytest.approx(truth, abs=1.0)
    assert found.piece_low < found.low < found.high < found.piece_high


def test_a_gap_the_other_way_round_has_the_other_sign() -> None:
    one, two = gap(view(SAP), view(HEART), 6.0), gap(view(HEART), view(SAP), 6.0)
    assert one.lightness == pytest.approx(-two.lightness)
    assert one.low == pytest.approx(-two.high, abs=0.01)


def test_what_one_photo_shares_cancels_between_two_parts() -> None:
    def spread(photos: tuple[str, str]) -> float:
        views = [
            view([replace(s, photo=photo, shared=SHARED) for s in samples])
            for samples, photo in zip((SAP, HEART), photos, strict=True)
        ]
        found = gap(*views, 6.0)
        return found.high - found.low

    assert spread(("one.jpg", "one.jpg")) < 0.6 * spread(("one.jpg", "two.jpg"))


def common(**parts: Study) -> CommonTime:
    return common_time(parts)


def test_one_common_time_lies_between_the_parts_own() -> None:
    found = common(heart=view(HEART, Target(L=52.0)), sap=view(SAP, Target(L=52.0)))
    dues = [part.due for part in found.parts]
    assert dues[0] < found.hours < dues[1]
    assert found.staggered_cost_hours < found.cost_hours


def test_too_dark_counts_double_so_the_common_time_is_where_a_third_of_the_pieces_are_past() -> None:
    found = common(heart=view(HEART, Target(L=52.0)), sap=view(SAP, Target(L=52.0)))
    assert np.mean([part.p_past for part in found.parts]) == pytest.approx(1 / 3, abs=0.05)


def test_parts_that_are_alike_have_their_own_due_hour_in_common() -> None:
    found = common(left=view(HEART), right=view(board(off=SCATTER[::-1])))
    assert found.hours == pytest.approx(np.mean([part.due for part in found.parts]), rel=0.06)


def test_staggered_parts_go_in_by_their_hours_and_come_out_together() -> None:
    found = common(heart=view(HEART, Target(L=52.0)), sap=view(SAP, Target(L=52.0)))
    heart, sap = found.parts
    assert sap.in_after_hours == 0
    assert heart.in_after_hours == pytest.approx(sap.due - heart.due)
    assert found.uneven_at_best < found.uneven
    assert found.uneven_low < found.uneven < found.uneven_high


def test_a_part_that_never_gets_there_is_named_and_leaves_the_rest_uneven() -> None:
    pale = board(hours=(0, 2, 5, 10, 20, 40), raw=70.0, limit=56.0, tau=6.0)
    found = common(heart=view(HEART), sap=view(pale))
    assert found.parts[1].due is None
    assert found.parts[1].in_after_hours is None
    assert "sap would not reach" in found.note
    assert found.uneven_at_best > 5


def test_comparing_needs_two_parts_with_targets() -> None:
    with pytest.raises(InputError, match="two or more parts"):
        common(heart=view(HEART))
    with pytest.raises(InputError, match="target for every part"):
        common(heart=view(HEART), sap=view(SAP, None))
    with pytest.raises(InputError, match="hours of 0 or more"):
        gap(view(HEART), view(SAP), -1.0)


def test_one_board_under_two_names_is_asked_about() -> None:
    notes = twins({"A": HEART, "B": HEART[::-1], "C": SAP})
    assert len(notes) == 1
    assert "A and B have the very same readings" in notes[0]
    assert twins({"A": HEART, "C": SAP}) == ()
