"""Undo and redo: the very states, in whatever order they are asked for."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from colourcore.job.history import History
from colourcore.job.model import Job
from tests.colourcore.job.invented import Act, acts, chest, in_its_own_time


def walked(history: History[Job], all_acts: list[Act]) -> History[Job]:
    for act in all_acts:
        edit = act(history.state)
        history = history.do(edit.name, edit.job)
    return history


@in_its_own_time
@given(st.lists(acts(), max_size=15))
def test_any_edits_and_as_many_undos_return_the_very_start(all_acts: list[Act]) -> None:
    start = chest()
    history = walked(History.begin(start), all_acts)
    for _ in all_acts:
        history = history.undo()
    assert history.state is start
    assert history.undo_name == ""
    assert history.undo() == history


@in_its_own_time
@given(st.lists(acts(), max_size=15))
def test_undoing_all_and_redoing_all_ends_where_it_began(all_acts: list[Act]) -> None:
    done = walked(History.begin(chest()), all_acts)
    history = done
    for _ in all_acts:
        history = history.undo()
    for _ in all_acts:
        history = history.redo()
    assert history == done
    assert history.redo() == done


@in_its_own_time
@given(st.lists(st.sampled_from(["undo", "redo"]) | acts(), max_size=30))
def test_any_order_of_acts_undo_and_redo_agrees_with_two_piles_of_states(moves: list[str | Act]) -> None:
    history, behind, ahead = History.begin(chest()), [chest()], list[Job]()
    for move in moves:
        if move == "undo":
            history = history.undo()
            if len(behind) > 1:
                ahead.append(behind.pop())
        elif move == "redo":
            history = history.redo()
            if ahead:
                behind.append(ahead.pop())
        else:
            assert callable(move)
            edit = move(history.state)
            history = history.do(edit.name, edit.job)
            behind.append(edit.job)
            ahead.clear()
        assert history.state == behind[-1]
        assert bool(history.undo_name) == (len(behind) > 1)
        assert bool(history.redo_name) == bool(ahead)


def test_undo_and_redo_say_the_name_of_the_act() -> None:
    history = History.begin("raw").do("hours of 9 samples", "typed").do("target from photo 2", "chosen").undo()
    assert (history.undo_name, history.redo_name) == ("hours of 9 samples", "target from photo 2")


def test_any_act_in_the_list_can_be_gone_to() -> None:
    history = History.begin("a").do("first", "b").do("second", "c")
    assert history.go_to(0).state == "a"
    with pytest.raises(ValueError, match="position 3 among 3"):
        history.go_to(3)
