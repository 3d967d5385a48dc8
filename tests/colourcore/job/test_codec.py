"""Values as JSON text: canonical, checked when read, and nothing of a later version dropped."""

from __future__ import annotations

import json
from dataclasses import dataclass, replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from colourcore.image.pixels import Outline
from colourcore.job import edits
from colourcore.job.codec import TextError, from_text, to_text
from colourcore.job.model import Choices, Job, Patch
from tests.colourcore.job.invented import WORDS, chest, in_its_own_time, jobs

JSON = st.recursive(
    st.none() | st.booleans() | st.integers(-(2**40), 2**40) | st.floats(allow_nan=False, allow_infinity=False) | WORDS,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(WORDS, inner, max_size=3),
    max_leaves=8,
)


@in_its_own_time
@given(jobs())
def test_a_job_read_back_from_its_text_is_the_same_job(job: Job) -> None:
    text = to_text(job)
    assert from_text(Job, text) == job
    assert to_text(from_text(Job, text)) == text


def test_equal_jobs_have_equal_text() -> None:
    whole, decimal = Outline(x=1, y=2, width=3, height=4), Outline(x=1.0, y=2.0, width=3.0, height=4.0)
    assert to_text(whole) == to_text(decimal) == '{"corners":null,"height":4,"width":3,"x":1,"y":2}'


@in_its_own_time
@given(st.dictionaries(st.sampled_from(["tent", "looks", "weights"]), JSON, min_size=1))
def test_what_a_later_version_wrote_survives_any_edit(later: dict[str, object]) -> None:
    plain = json.loads(to_text(chest()))
    for place in (plain, plain["choices"], plain["photos"][0], plain["patches"][1], plain["patches"][1]["outline"]):
        place.update(later)
    job = from_text(Job, json.dumps(plain))
    edited = edits.set_board(edits.choose(job, confidence=0.8).job, [2], "C").job
    again = json.loads(to_text(edited))
    expected = json.loads(json.dumps(plain))
    expected["choices"]["confidence"], expected["patches"][1]["board"] = 0.8, "C"
    assert again == expected


@in_its_own_time
@given(JSON)
def test_any_other_json_is_refused_and_never_breaks_the_reader(plain: object) -> None:
    try:
        job = from_text(Job, json.dumps(plain))
    except TextError:
        return
    assert isinstance(job, Job)


@in_its_own_time
@given(st.sampled_from(["photos", "patches", "choices", "name", "invented"]), JSON)
def test_any_value_in_any_place_of_a_job_is_read_or_refused(field: str, value: object) -> None:
    plain = json.loads(to_text(chest())) | {field: value}
    try:
        job = from_text(Job, json.dumps(plain))
    except TextError:
        return
    assert from_text(Job, to_text(job)) == job


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "expected JSON"),
        ("[" * 100_000, "expected JSON"),
        ("1" * 10_000, "expected JSON"),
        ('{"confidence": NaN}', "NaN is no number"),
        ('{"confidence": 1e999}', "confidence: expected a finite number"),
        ('{"confidence": true}', "confidence: expected a number, got true or false"),
        ('{"confidence": null}', "confidence: expected a number, got null"),
        ("[]", "expected an object, got a list"),
    ],
)
def test_text_that_says_no_choices_is_refused_with_what_was_expected(text: str, message: str) -> None:
    with pytest.raises(TextError, match=message):
        from_text(Choices, text)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"identity": 1.5}, "identity: expected a whole number"),
        ({"identity": 2**70}, "identity: expected a whole number"),
        ({"role": "table"}, "role: expected one of card, sample"),
        ({"outline": {"x": 1}}, "outline: .*missing"),
        ({"lab": [1, 2]}, "lab: expected a list of 3, got 2"),
        ({"label": "\ud800"}, "label: expected text, got half a character"),
        ({"extra": [["a"]]}, r"extra\[0\]: expected a list of 2"),
    ],
)
def test_a_patch_that_is_none_is_refused(change: dict[str, object], message: str) -> None:
    with pytest.raises(TextError, match=message):
        from_text(Patch, json.dumps({"identity": 1} | change))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Measurement:
    light: NDArray[np.float32]
    centres: NDArray[np.float64]
    pixels: int


def test_arrays_come_back_bit_for_bit_and_cannot_be_written() -> None:
    light = np.random.default_rng(7).random((4, 3), dtype=np.float32)
    value = Measurement(light=light, centres=np.array([[1.5, -0.0]]), pixels=12)
    back = from_text(Measurement, to_text(value))
    assert back.light.dtype == np.float32
    assert back.light.tobytes() == light.tobytes()
    assert back.centres.shape == (1, 2)
    assert not back.light.flags.writeable


@pytest.mark.parametrize(
    "array",
    [
        {"dtype": "object", "shape": [1], "base64": ""},
        {"dtype": "float64", "shape": [10**9, 10**9], "base64": ""},
        {"dtype": "float64", "shape": [-1], "base64": ""},
        {"dtype": "float64", "shape": [1], "base64": "!"},
        {"dtype": "float64", "shape": [2], "base64": "AAAAAAAAAAA="},
        {"shape": [1]},
        7,
    ],
)
def test_an_array_that_is_none_is_refused(array: object) -> None:
    good = json.loads(to_text(Measurement(light=np.zeros((1, 3), np.float32), centres=np.zeros((1, 2)), pixels=1)))
    with pytest.raises(TextError):
        from_text(Measurement, json.dumps(good | {"light": array}))


def test_a_value_without_a_json_form_is_a_fault_of_ours() -> None:
    with pytest.raises(TypeError):
        to_text(replace(chest(), name=object()))  # type: ignore[arg-type]  # the fault that is tested
