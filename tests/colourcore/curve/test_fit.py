"""What the readings leave possible: shared errors, pieces read twice, bad samples, priors."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from colourcore.curve.fit import Sample, Target, fit, sorted_samples
from colourcore.curve.forecast import covariance_between, forecast, hour_of_odds
from colourcore.curve.hours import HoursToShade, hours_to_shade
from colourcore.curve.priors import PRIORS, Priors
from colourcore.errors import InputError
from tests.colourcore.curve.boards import SCATTER, TARGET, board, reading

SHARED = ((1.0, 0.0, 0.0), (0.0, 0.2, 0.0), (0.0, 0.0, 0.2))


def width(answer: HoursToShade) -> float:
    assert answer.low is not None
    assert answer.high is not None
    return answer.high - answer.low


def in_photo(samples: list[Sample], photo: str) -> list[Sample]:
    return [replace(s, photo=photo, shared=SHARED) for s in samples]


def test_what_a_photo_shares_cancels_against_a_target_in_the_same_photo() -> None:
    samples = board(off=SCATTER)
    plain = width(hours_to_shade(samples, TARGET))
    same = width(hours_to_shade(in_photo(samples, "one.jpg"), replace(TARGET, photo="one.jpg", shared=SHARED)))
    other = width(hours_to_shade(in_photo(samples, "one.jpg"), replace(TARGET, photo="two.jpg", shared=SHARED)))
    typed = width(hours_to_shade(in_photo(samples, "one.jpg"), TARGET))
    assert same == pytest.approx(plain, rel=0.05)
    assert typed > 1.5 * plain
    assert other > typed


def test_the_hours_against_a_target_in_the_same_photo_do_not_move_when_the_whole_photo_reads_darker() -> None:
    def hours(off: float) -> float | None:
        samples = [replace(s, lab=(s.lab[0] - off, *s.lab[1:])) for s in board(off=SCATTER)]
        target = replace(TARGET, L=TARGET.L - off, photo="one.jpg", shared=SHARED)
        return hours_to_shade(in_photo(samples, "one.jpg"), target).hours

    assert hours(3.0) == pytest.approx(hours(0.0), rel=0.02)


def test_three_photos_of_one_piece_are_not_three_pieces() -> None:
    base = board(off=SCATTER)
    seen = base[3].lab[0]
    once = [*base[:3], replace(base[3], piece="P"), *base[4:]]
    photos = [reading(6.0, seen + d, piece="P") for d in (0.1, -0.1)]
    pieces = [reading(6.0, seen + d) for d in (0.1, -0.1)]

    def spread(samples: list[Sample]) -> float:
        curve = forecast(fit(samples), np.array([6.0]))
        return float(np.sqrt(curve.variance.mean() + curve.mean.var()))

    assert spread([*once, *pieces]) < 0.8 * spread(once)
    assert spread([*once, *photos]) > spread([*once, *pieces]) + 0.3 * (spread(once) - spread([*once, *pieces]))


def test_one_strip_put_back_again_and_again_says_less_about_another_piece() -> None:
    strip = [replace(s, piece="strip") for s in board()]
    assert width(hours_to_shade(strip, TARGET)) > 1.3 * width(hours_to_shade(board(), TARGET))


def test_more_raw_samples_make_the_raw_wood_surer() -> None:
    few, many = fit(board()), fit([*board(), *(reading(0.0, 66 + d) for d in (0.2, -0.3, 0.1))])
    raw = [forecast(p, np.array([0.0])) for p in (few, many)]
    spread = [float(np.sqrt(curve.variance.mean() + curve.mean.var())) for curve in raw]
    assert spread[1] < 0.75 * spread[0]


def test_readings_with_larger_errors_widen_the_hours() -> None:
    sure, unsure = (
        hours_to_shade([replace(s, covariance=((e, 0, 0), (0, e, 0), (0, 0, e))) for s in board(off=SCATTER)], TARGET)
        for e in (0.01, 2.0)
    )
    assert width(unsure) > 1.3 * width(sure)


def test_a_knot_is_named_and_bounded_and_not_dropped() -> None:
    samples = board(hours=(0, 1, 2, 4, 8, 14, 24, 36))
    spoiled = [
        *samples[:4],
        replace(samples[4], lab=(samples[4].lab[0] - 9, *samples[4].lab[1:]), name="B4"),
        *samples[5:],
    ]
    clean, found = hours_to_shade(samples, TARGET), hours_to_shade(spoiled, TARGET)
    assert [r.hours for r in found.residuals if r.bad_odds > 0.5] == [8.0]
    assert any("B4 at 8 h" in note and "darker" in note for note in found.notes)
    assert found.hours == pytest.approx(clean.hours, rel=0.05)
    assert len(found.residuals) == 8
    worse = [*samples[:4], replace(samples[4], lab=(samples[4].lab[0] - 18, *samples[4].lab[1:])), *samples[5:]]
    assert hours_to_shade(worse, TARGET).hours == pytest.approx(clean.hours, rel=0.1)


def test_clean_samples_are_not_named() -> None:
    answer = hours_to_shade(board(off=SCATTER), TARGET)
    assert max(r.bad_odds for r in answer.residuals) < 0.2
    assert sum(answer.shape[key] for key in answer.shape if key.startswith("odds_")) == pytest.approx(1.0)


def test_a_lost_colour_leaves_lightness_its_hours() -> None:
    samples = board(off=SCATTER)
    lost = [replace(s, colour_lost=True, lab=(s.lab[0], 0.0, 0.0)) for s in samples]
    answer = hours_to_shade(lost, TARGET)
    assert answer.hours == hours_to_shade(samples, TARGET).hours
    assert answer.delta_e is None
    assert answer.curve.a == ()


def test_a_prior_that_knows_the_half_time_moves_the_hours_towards_it() -> None:
    few = board(hours=(0, 1, 24, 30))
    free = fit(few).selection.log_half_hours.mean()
    told = fit(few, replace(PRIORS, log_half_hours=(np.log(2.0), 0.05))).selection.log_half_hours.mean()
    assert told == pytest.approx(np.log(2.0), abs=0.1)
    assert free > told + 0.3


def test_shapes_left_out_of_the_prior_do_not_come_up() -> None:
    odds = tuple(1.0 if row < 15 else 0.0 for row in range(67))
    found = fit(board(), Priors(shape_odds=odds))
    assert found.selection.kind_odds[0] == 1.0


def test_the_curve_varies_with_itself_as_it_varies() -> None:
    posterior = fit(board(off=SCATTER))
    hours = np.array([0.0, 2.5, 9.0, 40.0])
    both = covariance_between(posterior, hours, hours)
    np.testing.assert_allclose(np.diagonal(both, axis1=1, axis2=2), forecast(posterior, hours).variance, atol=1e-7)
    np.testing.assert_allclose(both, np.swapaxes(both, 1, 2), atol=1e-9)
    assert np.all(np.linalg.eigvalsh(both) > -1e-8)


def test_samples_are_sorted_by_hours_whatever_they_are() -> None:
    mixed = [reading(3.0, 55.0), replace(reading(0.0, 66.0), colour_lost=True), reading(0.0, 66.0), reading(3.0, 54.0)]
    assert sorted_samples(mixed) == sorted_samples(mixed[::-1])
    assert [s.hours for s in sorted_samples(mixed)] == [0.0, 0.0, 3.0, 3.0]


def test_no_readings_cannot_be_fitted() -> None:
    with pytest.raises(InputError, match="at least one reading"):
        fit([])


@pytest.mark.parametrize(("cell", "words"), [(float("nan"), "that are numbers"), (-0.1, "0 or more")])
def test_errors_that_are_none_are_refused(cell: float, words: str) -> None:
    with pytest.raises(InputError, match=words):
        Sample(hours=1, lab=(60, 5, 15), covariance=((cell, 0, 0), (0, 0.1, 0), (0, 0, 0.1)))
    with pytest.raises(InputError, match="from -200 to 200"):
        Target(L=50.0, a=999.0, b=0.0)


def test_an_hour_of_odds_lies_between_its_neighbours() -> None:
    hours, odds = np.array([0.0, 1.0, 4.0]), np.array([0.0, 0.2, 0.9])
    assert hour_of_odds(hours, odds, 0.95) is None
    found = hour_of_odds(hours, odds, 0.5)
    assert found is not None
    assert 1.0 < found < 4.0
    assert hour_of_odds(hours, np.array([0.3, 0.3, 0.9]), 0.3) == 0.0
