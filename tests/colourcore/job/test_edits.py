"""What each act does to a job, and what it is called."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given

from colourcore.errors import InputError
from colourcore.image.pixels import Outline
from colourcore.job import edits
from colourcore.job.model import GREY_CARD_LAB, CameraFile, Job, Patch, PhotoFile, Role
from tests.colourcore.job.invented import Act, acts, chest, in_its_own_time, jobs, photo_file

BOX = Outline(x=1, y=2, width=30, height=40)


@in_its_own_time
@given(jobs(), acts())
def test_an_act_leaves_the_job_it_was_given_as_it_was(job: Job, act: Act) -> None:
    before = repr(job)
    act(job)
    assert repr(job) == before


@in_its_own_time
@given(jobs(), acts())
def test_every_act_has_a_name_and_leaves_identities_and_photo_names_unique(job: Job, act: Act) -> None:
    edit = act(job)
    identities = [patch.identity for patch in edit.job.patches]
    names = [photo.name.casefold() for photo in edit.job.photos]
    assert edit.name.strip()
    assert len(set(identities)) == len(identities)
    assert len(set(names)) == len(names)
    assert {patch.photo for patch in edit.job.patches} - {""} <= {photo.name for photo in edit.job.photos}


@in_its_own_time
@given(jobs(), acts())
def test_doing_the_same_twice_in_a_row_changes_nothing_more_where_nothing_is_added(job: Job, act: Act) -> None:
    once = act(job)
    if len(once.job.patches) != len(job.patches) or len(once.job.photos) != len(job.photos):
        return
    if once.name.startswith(("order", "target")):
        return
    assert act(once.job).job is once.job


def test_the_same_photo_is_not_taken_twice() -> None:
    edit = edits.add_photos(chest(), [photo_file("again.jpg", b"front")])
    assert edit.job == chest()


def test_photos_of_one_name_and_different_bytes_are_told_apart() -> None:
    edit = edits.add_photos(
        chest(), [photo_file("FRONT.jpg", b"a"), photo_file("front.jpg", b"b"), photo_file("x", b"c")]
    )
    assert [photo.name for photo in edit.job.photos][2:] == ["FRONT (2).jpg", "front (3).jpg", "x"]
    assert edit.name == "adding 3 photos"


def test_removing_a_photo_takes_its_outlines_along() -> None:
    edit = edits.remove_photo(chest(), "front.jpg")
    assert edit.name == "removal of photo 1"
    assert [patch.identity for patch in edit.job.patches] == [5, 6, 7, 8]


def test_an_outlined_card_without_stated_values_is_an_18_percent_grey() -> None:
    edit = edits.add_outline(chest(), "back.jpg", BOX, Role.CARD)
    assert edit.job.patches[-1].lab == GREY_CARD_LAB
    assert edit.job.patches[-1].identity == 9
    assert edit.name == "outline of the card"


def test_an_outline_in_a_photo_that_is_not_there_is_a_fault_of_the_caller() -> None:
    with pytest.raises(KeyError):
        edits.add_outline(chest(), "lost.jpg", BOX)
    with pytest.raises(KeyError):
        edits.move_outlines(chest(), {99: BOX})


def test_a_moved_sample_is_named_by_its_hours() -> None:
    edit = edits.move_outlines(chest(), {4: BOX})
    assert edit.name == "move of sample 9 h"
    assert edit.job.patch(4).outline == BOX


def test_hours_are_given_in_reading_order_and_not_in_the_order_of_outlining() -> None:
    edit = edits.set_hours_in_order(chest(), [0.5, 1.5, 2.5, 3.5, 4.5])
    assert edit.name == "hours of 5 samples"
    assert [edit.job.patch(identity).hours for identity in (3, 2, 4, 6, 7)] == [0.5, 1.5, 2.5, 3.5, 4.5]


def test_hours_can_be_given_to_some_of_the_samples() -> None:
    edit = edits.set_hours_in_order(chest(), [3, 7], [4, 3])
    assert [edit.job.patch(identity).hours for identity in (3, 4)] == [3, 7]
    assert edit.job.patch(2).hours == 2.0


def test_hours_that_do_not_go_round_are_refused_with_both_counts() -> None:
    with pytest.raises(InputError, match=r"Expected hours for 5 samples, got 1 value\."):
        edits.set_hours_in_order(chest(), [1])


@pytest.mark.parametrize("hours", [-1, float("nan"), float("inf"), 20_000])
def test_impossible_hours_are_refused(hours: float) -> None:
    with pytest.raises(InputError, match="Expected hours from 0 to 10000"):
        edits.set_hours(chest(), {4: hours})


def test_board_and_zone_are_set_for_many_at_once() -> None:
    edit = edits.set_zone(edits.set_board(chest(), [2, 3, 4], " C ").job, [2, 3, 4], "sapwood")
    assert {(edit.job.patch(identity).board, edit.job.patch(identity).zone) for identity in (2, 3, 4)} == {
        ("C", "sapwood")
    }
    assert edit.name == "zone of 3 samples"


def test_a_sample_is_set_aside_with_a_reason_and_taken_back() -> None:
    aside = edits.set_aside(chest(), [4], "knot")
    assert (aside.name, aside.job.patch(4).set_aside) == ("setting aside sample 9 h", "knot")
    back = edits.take_back(aside.job, [4])
    assert (back.name, back.job) == ("taking back sample 9 h", chest())
    with pytest.raises(InputError, match="reason"):
        edits.set_aside(chest(), [4], "  ")


def test_a_target_from_a_patch_replaces_the_target_that_was_there() -> None:
    edit = edits.target_from_patch(chest(), 4)
    chosen, former = edit.job.patch(4), edit.job.patch(8)
    assert edit.name == "target from photo 1"
    assert (chosen.role, chosen.hours, chosen.board, chosen.zone) == (Role.TARGET, None, "", "")
    assert former.set_aside == edits.ANOTHER_TARGET
    again = edits.target_from_patch(edit.job, 8)
    assert (again.job.patch(8).set_aside, again.job.patch(4).set_aside) == ("", edits.ANOTHER_TARGET)


def test_a_target_for_one_board_leaves_the_target_for_all_in_force() -> None:
    edit = edits.target_from_numbers(chest(), (38.0, 6.0, 14.0), board="A")
    assert edit.job.patch(8).set_aside == ""
    assert edit.job.patches[-1] == Patch(identity=9, role=Role.TARGET, lab=(38.0, 6.0, 14.0), board="A")


def test_new_numbers_replace_the_old_ones() -> None:
    first = edits.target_from_numbers(chest(), (38.0, None, None))
    second = edits.target_from_numbers(first.job, (36.0, 5.0, 13.0), label="at 9 h 40")
    numbers = [patch.lab for patch in second.job.patches if patch.role is Role.TARGET and not patch.photo]
    assert (first.name, second.name) == ("target in numbers", "target at 9 h 40")
    assert numbers == [(36.0, 5.0, 13.0)]


@pytest.mark.parametrize(
    "lab", [(101, 0, 0), (50, 0, None), (50, 151, 0), (50, float("nan"), 0), (float("nan"), None, None)]
)
def test_impossible_stated_values_are_refused(lab: tuple[float, float | None, float | None]) -> None:
    with pytest.raises(InputError, match="Expected"):
        edits.set_stated_lab(chest(), [1], lab)


def test_a_sample_made_the_card_loses_its_hours_and_gains_the_grey() -> None:
    edit = edits.set_role(chest(), [4], Role.CARD)
    assert (edit.name, edit.job.patch(4).hours, edit.job.patch(4).lab) == (
        "making sample 9 h the card",
        None,
        GREY_CARD_LAB,
    )
    assert edits.set_role(edit.job, [4], Role.SAMPLE).job.patch(4).lab is None


def test_odds_and_confidence_stay_between_none_and_all() -> None:
    edit = edits.choose(chest(), confidence=0.8, past_odds=0.05)
    assert (edit.job.choices.confidence, edit.job.choices.past_odds) == (0.8, 0.05)
    assert edit.name == "confidence of the interval and odds at look from"
    with pytest.raises(InputError, match="between 0 and 1"):
        edits.choose(chest(), confidence=1.0)


def test_a_camera_s_curve_comes_with_the_photos_that_name_it_and_leaves_with_them() -> None:
    phone, other = CameraFile(name="phone.json", text="{}"), CameraFile(name="other.json", text="{}")
    edit = edits.use_camera(chest(), ["front.jpg"], phone)
    assert edit.name == "camera's curve of photo 1"
    assert {patch.camera for patch in edit.job.patches_of("front.jpg")} == {"phone.json"}
    assert {patch.camera for patch in edit.job.patches_of("back.jpg")} == {""}
    both = edits.use_camera(edit.job, ["back.jpg"], other).job
    assert both.cameras == (phone, other)
    assert edits.use_camera(both, ["front.jpg", "back.jpg"], other).job.cameras == (other,)
    assert edits.use_camera(edit.job, ["front.jpg"], None).job == chest()


def test_a_photo_is_declared_linear_and_not() -> None:
    edit = edits.declare_linear(chest(), ["front.jpg", "back.jpg"], True)
    assert edit.name == "encoding of 2 photos"
    assert {patch.encoding for patch in edit.job.patches} == {"linear"}
    assert edits.declare_linear(edit.job, ["front.jpg", "back.jpg"], False).job == chest()


def test_photos_change_places() -> None:
    edit = edits.order_photos(chest(), ["back.jpg", "front.jpg"])
    assert [photo.name for photo in edit.job.photos] == ["back.jpg", "front.jpg"]
    with pytest.raises(ValueError, match="each photo once"):
        edits.order_photos(chest(), ["back.jpg"])


def test_what_an_act_does_not_name_stays_as_it_was() -> None:
    job = replace(chest(), invented=True)
    edit = edits.set_label(job, 2, "quarter sawn")
    assert replace(edit.job, patches=job.patches) == job
    assert edits.set_label(edit.job, 2, "").job == job


def test_a_photo_with_the_bytes_of_another_just_added_counts_once() -> None:
    twins = [PhotoFile(name="a.jpg", sha256="1"), PhotoFile(name="b.jpg", sha256="1")]
    assert len(edits.add_photos(Job(), twins).job.photos) == 1
