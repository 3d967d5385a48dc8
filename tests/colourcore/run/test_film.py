"""A look through clear film: veil and tint are taken off by the card behind it, and bad panes are refused."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from colourcore.colour.spaces import lab_to_xyz, xyz_to_lab
from colourcore.errors import InputError
from colourcore.run.film import Film, GreyBehind, film_of, seen_through

Lab = tuple[float, float, float]
STEPS = (20.0, 35.0, 50.0, 65.0, 81.0, 96.0)
WHITE = lab_to_xyz(np.array([100.0, 0.0, 0.0]))


def behind(lab: Lab, veil: tuple[float, ...], gain: tuple[float, ...]) -> Lab:
    """What an instrument reads through a film that scatters `veil` of white and passes `gain` of the light."""
    light = np.array(veil) * WHITE + np.array(gain) * lab_to_xyz(np.array(lab))
    found = xyz_to_lab(light)
    return float(found[0]), float(found[1]), float(found[2])


def card(veil: tuple[float, ...], gain: tuple[float, ...], steps: tuple[float, ...] = STEPS) -> Film:
    stated: list[Lab] = [(step, 0.0, 0.0) for step in steps]
    return film_of([GreyBehind(stated=lab, read=behind(lab, veil, gain)) for lab in stated])


@settings(deadline=None)  # the machine may be busy
@given(
    st.floats(0, 0.09),
    st.tuples(st.floats(0.6, 1.0), st.floats(0.6, 1.0), st.floats(0.6, 1.0)),
    st.tuples(st.floats(25, 85), st.floats(-5, 20), st.floats(0, 30)),
)
def test_wood_behind_hazy_and_tinted_film_comes_back_as_it_is(veil: float, gain: tuple[float, ...], wood: Lab) -> None:
    film = card((veil,) * 3, gain)
    found, _ = seen_through(film, behind(wood, (veil,) * 3, gain), 0.1)
    assert found == pytest.approx(wood, abs=0.05)


def test_the_interval_is_wider_through_film_and_wider_the_hazier_it_is() -> None:
    spreads = []
    for veil in (0.0, 0.03, 0.08):
        film = card((veil,) * 3, (1 - veil,) * 3)
        spreads.append(seen_through(film, behind((48.0, 6.0, 15.0), (veil,) * 3, (1 - veil,) * 3), 0.1)[1])
    assert 0.1 < spreads[0] < spreads[1] < spreads[2]


def test_two_greys_tell_the_film_and_leave_streaks_untold() -> None:
    film = card((0.03,) * 3, (0.9,) * 3, (20.0, 81.0))
    assert film.veil[1] == pytest.approx(0.03, abs=1e-6)
    assert not film.checked
    assert "third" in film.sentence
    assert "3.0 % of white" in card((0.03,) * 3, (0.9,) * 3).sentence


def test_one_grey_cannot_tell_a_film() -> None:
    with pytest.raises(InputError, match="two greys or more"):
        card((0.03,) * 3, (0.9,) * 3, (50.0,))


@pytest.mark.parametrize(("veil", "gain"), [(0.15, 0.8), (0.02, 0.4)])
def test_a_fogged_pane_is_refused(veil: float, gain: float) -> None:
    with pytest.raises(InputError, match="got a fogged pane"):
        card((veil,) * 3, (gain,) * 3)


def test_a_streaked_pane_is_refused() -> None:
    greys = [GreyBehind(stated=(step, 0, 0), read=(step, 0, 0)) for step in STEPS]
    greys[3] = GreyBehind(stated=(65.0, 0, 0), read=(72.0, 0, 0))
    with pytest.raises(InputError, match="the pane is streaked"):
        film_of(greys)


def test_wood_darker_than_the_veil_is_refused() -> None:
    with pytest.raises(InputError, match="fogged there"):
        seen_through(card((0.08,) * 3, (0.9,) * 3), (15.0, 0.0, 0.0), 0.1)
