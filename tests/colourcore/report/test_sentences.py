"""What is said of an answer: each outcome, the piece before the board, no number without its unit."""

from __future__ import annotations

from dataclasses import replace

import pytest

from colourcore.curve.hours import Outcome
from colourcore.pipeline import Group, Wanted
from colourcore.report.headline import headline
from colourcore.report.sentences import (
    BOARD_NOT_PIECE,
    group_details,
    group_sentence,
    hours_text,
    readings_text,
    spoken_name,
    target_sentence,
)
from tests.colourcore.report.invented_results import (
    TARGET,
    WARNING,
    cannot_say,
    group,
    not_reached,
    piece,
    reached,
    results,
)

HEARTWOOD = group("A", "heartwood", reached())


def test_a_board_that_reaches_the_target_says_when_and_how_sure() -> None:
    assert group_sentence(HEARTWOOD) == (
        "Heartwood of board A reaches the target after 9 h 15, nine times in ten between 8 h 35 and 10 h 45."
    )
    assert "2.1 ΔE00, small" in " ".join(group_details(HEARTWOOD))


def test_a_target_that_is_likely_but_not_sure_is_not_promised() -> None:
    doubtful = group("A", "sapwood", reached(p_reach=0.63, high=None))
    said = group_sentence(doubtful)
    assert said.startswith("Sapwood of board A may reach the target")
    assert "with no upper end" in said
    assert "63 of 100" in " ".join(group_details(doubtful))


def test_a_target_out_of_reach_is_named_with_its_reason_once() -> None:
    short = group("", "sapwood", not_reached())
    said = group_sentence(short)
    assert said.startswith("Sapwood stays short of the target. Not with this wood and charge")
    assert not any("Not with this wood" in line for line in group_details(short))


def test_a_target_out_of_reach_without_a_note_still_says_how_near() -> None:
    short = group("", "sapwood", replace(not_reached(), notes=()))
    assert "fewer than" not in group_sentence(short)
    assert "4 of 100" in group_sentence(short)
    assert "6.4 ΔE00, large" in group_sentence(short)


def test_what_cannot_be_said_says_why() -> None:
    said = group_sentence(group("B", "", cannot_say(), None))
    assert said == (
        "For board B the hours cannot be said. Hours need samples at four or more different exposures; here is one."
    )


def test_the_board_alone_gives_no_hour_to_look_from() -> None:
    said = f"{group_sentence(HEARTWOOD)} {' '.join(group_details(HEARTWOOD))} {hours_text([HEARTWOOD])}"
    assert "look from" not in said.lower()
    assert BOARD_NOT_PIECE in said


def test_with_a_piece_the_sentence_acts_on_the_piece_and_rounds_down() -> None:
    acting = group("A", "heartwood", reached(piece=piece(due=9.08, look_from=7.99)))
    assert group_sentence(acting) == "Heartwood of board A is due at 9 h. Look from 7 h 55."
    details = " ".join(group_details(acting))
    assert "A piece matches after 9 h 40, nine times in ten between 7 h 30 and 12 h 20." in details
    assert details.count("The samples say 9 h 15, between 8 h 35 and 10 h 45.") == 1
    assert "the odds of being past it are" in details
    assert BOARD_NOT_PIECE not in hours_text([acting])


def test_a_piece_that_may_not_get_there_is_not_promised_to_be_due() -> None:
    doubtful = group("A", "sapwood", reached(piece=piece(p_reach=0.7)))
    assert group_sentence(doubtful) == (
        "Sapwood of board A may not get to the target; if it does, it is due at 9 h. Look from 7 h 55."
    )


def test_a_piece_that_never_comes_due_says_so() -> None:
    never = group("A", "sapwood", reached(piece=piece(due=None, p_past=(), p_reach=0.55)))
    assert "comes due at no hour" in group_sentence(never)
    assert "may not get there" in headline([never, HEARTWOOD])


def test_a_piece_short_of_the_target_may_still_have_an_hour_to_look_from() -> None:
    answer = replace(
        not_reached(),
        piece=piece(outcome=Outcome.NOT_REACHED, hours=None, low=None, high=None, due=None, look_from=40.02),
    )
    short = group("A", "sapwood", answer)
    assert group_sentence(short).startswith("Sapwood of board A stays short of the target.")
    assert "is to be looked at from 40 h." in " ".join(group_details(short))


def test_a_target_carried_back_through_a_finish_names_the_finish() -> None:
    carried = replace(HEARTWOOD, wanted=Wanted(bare=TARGET, finish="oil", finished=TARGET))
    assert "under oil" in " ".join(group_details(carried))


@pytest.mark.parametrize(
    ("board", "zone", "name"),
    [("A", "sapwood", "sapwood of board A"), ("", "sapwood", "sapwood"), ("A", "", "board A"), ("", "", "the samples")],
)
def test_boards_and_zones_are_spoken_of_plainly(board: str, zone: str, name: str) -> None:
    assert spoken_name(group(board, zone, reached())) == name


def test_a_target_says_how_sure_it_is_or_that_it_was_stated() -> None:
    assert target_sentence(TARGET) == "L* 48.0 ± 0.6, a* 4.5 ± 0.1, b* 13.6 ± 0.1"
    assert target_sentence(replace(TARGET, a=None, b=None)) == "L* 48.0 ± 0.6"


def several(*answers: tuple[str, str, object]) -> list[Group]:
    return [group(board, zone, answer) for board, zone, answer in answers]  # type: ignore[arg-type] # answers, mixed


def test_no_sample_is_one_sentence_too() -> None:
    assert headline([]) == "No sample was read, so there are no hours yet."
    assert hours_text([]) == "No sample was read, so there are no hours yet.\n"


def test_a_headline_of_two_names_both_with_their_intervals() -> None:
    said = headline(several(("A", "heartwood", reached()), ("B", "heartwood", reached(hours=10.5, high=None))))
    assert said == (
        "Heartwood of board A reaches the target after 9 h 15 (8 h 35 to 10 h 45) and "
        "heartwood of board B after 10 h 30 (8 h 35 or later)."
    )


def test_a_headline_separates_what_is_sure_from_what_is_not() -> None:
    said = headline(
        several(
            ("A", "heartwood", reached()),
            ("A", "sapwood", reached(p_reach=0.6)),
            ("B", "", not_reached()),
            ("C", "", cannot_say()),
        )
    )
    assert said.endswith(
        "Sapwood of board A may not get there; board B stays short of the target; for board C the hours cannot be said."
    )


def test_a_headline_of_many_names_the_first_and_the_last() -> None:
    groups = several(*((f"{number}", "", reached(hours=20.0 - number)) for number in range(9)))
    said = headline(groups)
    assert said.startswith("9 of 9 boards and zones reach the target: board 8 first, after 12 h ")
    assert "board 0 last, after 20 h" in said


def test_a_headline_of_pieces_says_when_each_is_due() -> None:
    said = headline(
        several(("A", "", reached(piece=piece())), ("B", "", reached(piece=piece(due=11.0, look_from=None))))
    )
    assert said == "Board A is due at 9 h (look from 7 h 55) and board B at 11 h."


def test_a_headline_without_any_answer_says_only_that() -> None:
    said = headline(several(("A", "", cannot_say()), ("B", "", not_reached())))
    assert said == "Board B stays short of the target; for board A the hours cannot be said."


def test_the_readings_as_text_hold_every_row_and_every_check() -> None:
    found = results([HEARTWOOD], checks=(WARNING,))
    text = readings_text(found.photos, found.readings)
    lines = text.splitlines()
    assert len(lines) == 1 + len(found.readings) + 1 + len(found.photos[0].checks)
    assert "set aside: pencil line" in text
    assert "refused" in text
    assert WARNING.message in text
    assert "48.0 ± 0.3" in text


def test_no_sentence_is_without_danger_or_without_a_number() -> None:
    for answer in (reached(), reached(piece=piece()), not_reached(), cannot_say()):
        text = hours_text([group("A", "heartwood", answer)])
        assert "nan" not in text.lower()
        assert "None" not in text
