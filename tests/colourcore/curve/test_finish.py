"""Bare and finished: what pairs teach, and a finished target carried back."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from colourcore.curve.answer import answer_group
from colourcore.curve.finish import NO_PAIRS, carry_back, learn_finish
from colourcore.curve.fit import Sample, Target
from colourcore.curve.outcome import Outcome
from colourcore.errors import InputError
from tests.colourcore.curve.boards import SCATTER, board


def finished(bare: Sample, shift: tuple[float, float, float] = (-6.0, 1.5, 4.0), tilt: float = 0.0) -> Sample:
    added = (shift[0] + tilt * (bare.lab[0] - 50), shift[1], shift[2])
    L, a, b = (one + two for one, two in zip(bare.lab, added, strict=True))
    return replace(bare, lab=(L, a, b))


def pairs(count: int, **kinds: float) -> list[tuple[Sample, Sample]]:
    return [(bare, finished(bare, **kinds)) for bare in board(off=SCATTER)[:count]]


def test_pairs_teach_what_the_finish_adds() -> None:
    found = learn_finish(pairs(4))
    np.testing.assert_allclose(found.shift, (-6.0, 1.5, 4.0), atol=0.2)
    assert found.pairs == 4
    assert not found.guess


def test_more_pairs_teach_it_better() -> None:
    one, five = (learn_finish(pairs(n)).shift_covariance[0][0] for n in (1, 5))
    assert five < 0.4 * one


def test_a_finish_that_darkens_dark_wood_less_is_seen_from_pairs_far_apart() -> None:
    found = learn_finish(pairs(6, tilt=0.1))
    assert found.tilt[0] == pytest.approx(0.1, abs=0.03)


@pytest.mark.parametrize("tilt", [0.0, 0.1])
@pytest.mark.parametrize("sample", [0, 3, 5])
def test_a_finished_target_goes_back_to_the_bare_wood_it_came_from(tilt: float, sample: int) -> None:
    bare = board(off=SCATTER)[sample]
    done = finished(bare, tilt=tilt)
    back = carry_back(Target(L=done.lab[0], a=done.lab[1], b=done.lab[2]), learn_finish(pairs(6, tilt=tilt)))
    assert (back.L, back.a, back.b) == pytest.approx(bare.lab, abs=0.3)


def test_the_uncertainty_of_the_finish_widens_the_hours() -> None:
    bare = Target(L=48.0, a=4.2, b=12.6)
    done = Target(L=42.0, a=5.7, b=16.6)
    plain = answer_group(board(off=SCATTER), bare).board
    surer, unsure = (answer_group(board(off=SCATTER), carry_back(done, learn_finish(pairs(n)))).board for n in (6, 1))
    assert surer.hours == pytest.approx(plain.hours, rel=0.05)
    widths = [answer.high - answer.low for answer in (plain, surer, unsure)]
    assert widths[1] > 1.2 * widths[0]
    assert widths[2] > 1.5 * widths[1]


def test_a_finish_from_earlier_jobs_is_a_guess_and_less_sure() -> None:
    own = learn_finish(pairs(3))
    guess = own.from_earlier_job()
    assert guess.guess
    assert guess.shift == own.shift
    assert guess.shift_covariance[0][0] > own.shift_covariance[0][0] + 1


def test_a_target_of_lightness_alone_stays_so() -> None:
    back = carry_back(Target(L=42.0), learn_finish(pairs(3)))
    assert back.a is None
    assert back.b is None


def test_without_pairs_there_is_nothing_to_learn_and_the_answer_says_why() -> None:
    with pytest.raises(InputError, match="both bare and finished"):
        learn_finish([])
    lost = [(replace(bare, colour_lost=True), done) for bare, done in pairs(2)]
    with pytest.raises(InputError, match="both bare and finished"):
        learn_finish(lost)
    answer = answer_group(board(), Target(L=42.0), no_target_because=NO_PAIRS).board
    assert answer.outcome is Outcome.CANNOT_SAY
    assert answer.notes[0] == NO_PAIRS
    assert answer.curve.L


def test_a_finished_target_that_no_bare_wood_has_is_refused() -> None:
    with pytest.raises(InputError, match="bare wood can come to"):
        carry_back(Target(L=99.0), learn_finish(pairs(3)))


def test_a_pair_in_one_photo_is_surer_than_one_in_two() -> None:
    shared = ((1.0, 0.0, 0.0), (0.0, 0.1, 0.0), (0.0, 0.0, 0.1))
    bare, done = pairs(1)[0]
    one = learn_finish([(replace(bare, photo="a", shared=shared), replace(done, photo="a", shared=shared))])
    two = learn_finish([(replace(bare, photo="a", shared=shared), replace(done, photo="b", shared=shared))])
    assert one.shift_covariance[0][0] < 0.5 * two.shift_covariance[0][0]
