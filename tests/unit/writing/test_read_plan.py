"""A plan.json that is foreign, broken or changed is refused with its place and what to do."""

from __future__ import annotations

import json
import os
from dataclasses import dataclass

import pytest
from example_plans import EXAMPLES, example_plan

import router
from router.errors import UnreadableError
from router.writing import json_text, plan_data
from router.writing.record_reader import read_record
from router.writing.record_schema import record_schema
from router.writing.records import Form, RecordFormat


@pytest.fixture(scope="module")
def good():
    return json_text(plan_data(example_plan("work-lamp-rear-battery")))


def refused(tmp_path, content):
    path = tmp_path / "plan.json"
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    with pytest.raises(UnreadableError) as caught:
        router.load_plan(path)
    (fault,) = caught.value.faults
    assert fault.file == str(path)
    return f"{fault.line}:{fault.column}: {fault.where}: {fault.what}"


def test_a_file_cut_off(good, tmp_path):
    line = good[: len(good) // 2].count("\n") + 1
    words = refused(tmp_path, good[: len(good) // 2])
    assert words.startswith(f"{line}:")
    assert words.endswith("; was it cut off? Plan the job again")


@pytest.mark.parametrize(
    "content",
    [b"", b"[]", b"1", b'{"format": "review/1"}', b'{"a": NaN}', b"\xff\xfe", b"[" * 100_000, b"profile: x"],
)
def test_what_is_no_plan(content, tmp_path):
    words = refused(tmp_path, content)
    assert "is no plan.json" in words or "is no whole JSON" in words


def test_no_file_and_a_folder(tmp_path):
    for path in (tmp_path / "none.json", tmp_path):
        with pytest.raises(UnreadableError, match="cannot be read"):
            router.load_plan(path)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no pipes with names")
def test_a_pipe_is_not_waited_for(tmp_path):
    os.mkfifo(tmp_path / "pipe.json")
    with pytest.raises(UnreadableError, match="it is a pipe or a device"):
        router.load_plan(tmp_path / "pipe.json")


def test_an_older_version_wrote_less(good, tmp_path):
    data = json.loads(good)
    del data["question"], data["checksum"]
    assert "question: does not hold what was asked" in refused(tmp_path, json.dumps(data))


def test_a_refusal_kept_as_a_file_holds_no_plan(tmp_path):
    with pytest.raises(router.NoRouteError) as caught:
        router.plan(EXAMPLES / "no-way")
    from router.writing import no_route_data

    words = refused(tmp_path, json_text(no_route_data(caught.value)))
    assert "no_route: says why there is no plan" in words


@pytest.mark.parametrize(
    "change",
    [
        lambda data: data["runs"][0].update(cut_mm=data["runs"][0]["cut_mm"] + 1),
        lambda data: data["runs"][0].update(points=[]),
        lambda data: data["question"]["job"].update(name="Another"),
        lambda data: data["runs"].pop(),
        lambda data: data.update(practice="Another"),
    ],
)
def test_a_changed_file_is_refused(change, good, tmp_path):
    data = json.loads(good)
    change(data)
    assert "checksum: does not fit" in refused(tmp_path, json.dumps(data))


def test_another_layout_of_the_same_data_is_read(good, tmp_path):
    path = tmp_path / "plan.json"
    path.write_text(json.dumps(json.loads(good), sort_keys=True), encoding="utf-8")
    assert router.load_plan(path).record == example_plan("work-lamp-rear-battery")


# the reader by itself: every fault at once, each with its path


@dataclass(frozen=True)
class Line:
    """A line."""

    start: tuple[float, float]
    note: str | None = None


@dataclass(frozen=True)
class Disc:
    """A disc."""

    centre: tuple[float, float]
    radius_mm: float


@dataclass(frozen=True)
class Drawing:
    """A drawing."""

    shapes: tuple[Line | Disc, ...]
    count: int
    is_done: bool
    line: Line


FORMAT = RecordFormat({"radius_mm": "radius"}, {Drawing: Form(merged=("line",))})
DRAWING = Drawing((Disc((1.0, 2.5), 3.0), Line((0.0, -0.0), "x")), 2, True, Line((4.0, 5.0)))
DATA = {
    "shapes": [{"centre": [1, 2.5], "radius": 3}, {"start": [0, 0], "note": "x"}],
    "count": 2,
    "is_done": True,
    "start": [4, 5],
    "note": None,
}


def test_records_of_several_classes_and_merged_ones():
    assert json.dumps(FORMAT.write(DRAWING)) == json.dumps(DATA)
    assert read_record(FORMAT, Drawing, DATA, "x") == DRAWING


def test_what_has_a_default_may_be_missing():
    data = {key: value for key, value in DATA.items() if key != "note"}
    assert read_record(FORMAT, Drawing, data, "x") == DRAWING


def test_every_fault_at_once():
    data = {
        "shapes": [{"centre": [1, True, 3], "radius": "3"}, {"middle": 1}, 7],
        "count": 2.0,
        "is_done": 1,
        "start": {"x": 1},
        "strange": 1,
    }
    with pytest.raises(UnreadableError) as caught:
        read_record(FORMAT, Drawing, data, "f.json")
    assert [str(fault) for fault in caught.value.faults] == [
        "f.json:1:1: strange: is a key that is not known here",
        "f.json:1:1: shapes[0].centre: has 3 values; write 2",
        'f.json:1:1: shapes[0].radius: is "3"; write a number',
        "f.json:1:1: shapes[1]: is keys and values; none of what may stand here",
        "f.json:1:1: shapes[2]: is 7; none of what may stand here",
        "f.json:1:1: count: is 2.0; write a whole number",
        "f.json:1:1: is_done: is 1; write true or false",
        "f.json:1:1: start: is keys and values; write a list",
    ]


def test_a_number_beyond_all_sizes_is_a_fault():
    with pytest.raises(UnreadableError, match="radius: is a long text; write a number"):
        read_record(FORMAT, Disc, {"centre": [1, 2], "radius": 10**400}, "x")


def test_no_number_that_is_none_is_written():
    with pytest.raises(ValueError, match="JSON"):
        json_text(FORMAT.write(Disc((1.0, 2.0), float("nan"))))


def test_schema_follows_the_fields():
    schema = record_schema(FORMAT, Drawing)
    assert schema["required"] == ["shapes", "count", "is_done", "start", "note"]
    assert schema["$defs"]["Disc"]["properties"]["radius"] == {"type": "number"}
