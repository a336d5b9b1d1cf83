"""What a page is answered: plain data that JSON can carry, and never an error."""

import json

import pytest

from router.measuring import made_data, made_profile, measuring_sheet_of, tape_data, types_data, vehicle_types


def test_types_are_plain_data():
    types = json.loads(json.dumps(types_data()))
    assert [each["key"] for each in types] == [each.key for each in vehicle_types()]
    keys = {"name", "ask", "from", "to", "usual_mm", "least_mm", "most_mm", "needed", "picture"}
    assert {frozenset(one) for each in types for one in each["measurements"]} == {frozenset(keys)}
    assert all(each["picture"].startswith("<svg ") for each in types)


def test_a_profile_is_made_or_each_answer_has_its_fault():
    answers = {"wheelbase": "2600", "battery": ""}
    made = made_data({"type": "estate", "answers": answers, "name": "Ours", "revision": 3})
    assert made == {"text": made_profile("estate", answers, "Ours")}
    assert "Measuring sheet: Ours" in measuring_sheet_of(made["text"], "letter", "in")
    refused = made_data({"type": "estate", "answers": {"wheelbase": "1,650"}, "name": "Ours"})
    assert [each["name"] for each in refused["faults"]] == ["wheelbase"]


@pytest.mark.parametrize(
    "request_",
    [
        {},
        {"type": "estate", "answers": [], "name": "x"},
        {"type": "estate", "answers": {"wheelbase": 2600}, "name": "x"},
        {"type": ["estate"], "answers": {}, "name": "x"},
        {"type": "estate", "answers": {}, "name": None},
        {"type": "estate", "answers": {}, "name": "x", "unit": "furlong"},
        {"type": "../estate", "answers": {}, "name": "x"},
    ],
)
def test_an_odd_request_is_told_its_faults(request_):
    made = made_data(request_)
    assert list(made) == ["faults"]
    assert all(set(each) == {"name", "what"} for each in made["faults"])


def test_a_tape_length_is_read_or_told_what_is_wrong():
    assert tape_data({"text": "5' 6 1/2\"", "unit": "in"}) == {"mm": 1689.1, "says": "66 1/2 in"}
    assert tape_data({"text": "1,5 m"}) == {"mm": 1500.0, "says": "1500 mm"}
    assert set(tape_data({"text": "1,650"})) == {"what"}
    assert set(tape_data({"text": 5})) == set(tape_data({"text": "5", "unit": 1})) == {"what"}
