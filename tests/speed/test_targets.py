"""Every target is told, as JSON of one shape; what was measured is put in by the test, no time is judged."""

import json

import pytest
from growth_worlds import grown_question
from targets import KEEP_OUTS, RUNS, TARGETS, Figure, Target, grown, moved, told

from router.reading import read_question


def figures(share: float, **others: Figure) -> dict[str, Figure]:
    """Return for every target a figure that is this share of it, but for others."""
    return {target.key: Figure(share * target.most) for target in TARGETS} | others


def test_every_target_is_told_in_the_shape_that_programs_read():
    read = json.loads(json.dumps(told(figures(1.0)), allow_nan=False))
    assert list(read) == ["targets"]
    assert len(read["targets"]) == len(TARGETS) == 17
    assert {tuple(each) for each in read["targets"]} == {("name", "value", "target", "met")}
    assert [each["target"] for each in read["targets"]] == [target.most for target in TARGETS]
    assert len({each["name"] for each in read["targets"]}) == 17


@pytest.mark.parametrize(("share", "is_met"), [(0.5, True), (1.0, True), (1.01, False)])
def test_a_target_is_met_up_to_its_figure(share, is_met):
    assert {each["met"] for each in told(figures(share))["targets"]} == {is_met}


def test_what_was_stopped_or_not_measured_is_never_met_and_says_so():
    stopped, none = Figure(1.0, "stopped then", is_whole=False), Figure(None, "no time", is_whole=False)
    two = (Target("one", "plan", 2.0), Target("two", "move", 2.0))
    told_two = told({"one": stopped, "two": none}, two)["targets"]
    assert told_two == [
        {"name": "plan (stopped then)", "value": 1.0, "target": 2.0, "met": False},
        {"name": "move (no time)", "value": None, "target": 2.0, "met": False},
    ]


def test_a_target_that_nobody_measured_is_not_left_out_in_silence():
    with pytest.raises(KeyError, match="sheet"):
        told({key: figure for key, figure in figures(1.0).items() if key != "sheet"})


def test_growth_is_the_slope_between_logarithms():
    squares = [(f"keep-outs {n}", n**2.0, False) for n in KEEP_OUTS]
    found = grown([*squares, ("memory 480", 200.0, False)], [(f"runs {n}", 5.0 * n, False) for n in RUNS])
    assert found["keep-outs"].value == pytest.approx(2.0)
    assert found["runs"].value == pytest.approx(1.0)
    assert found["fewer runs"].value == pytest.approx(3 / 4)
    assert all(figure.is_whole for figure in found.values())


def test_fewer_runs_that_are_dearer_are_found():
    times_ms = dict.fromkeys(RUNS, 100.0) | {3: 130.0}
    found = grown([], [(f"runs {n}", ms, False) for n, ms in times_ms.items()])
    assert found["fewer runs"].value == pytest.approx(1.3)


def test_growth_of_the_smallest_sizes_says_which():
    found = grown(
        [("keep-outs 60", 1.0, False), ("memory 60", 90.0, False), ("keep-outs 120", 9.0, True)],
        [("runs 1", 1.0, False), ("runs 2", 2.0, False), ("runs 3", 9.0, True)],
    )
    assert found["keep-outs"] == Figure(None, "only at 60", is_whole=False)
    assert found["memory"] == Figure(90.0, "only at 60", is_whole=False)
    assert (found["runs"].how, found["runs"].is_whole) == ("only at 1, 2", False)


def test_of_moves_the_95th_percentile_counts():
    whole = moved([("moved", float(ms), False) for ms in range(101)])
    assert (whole.value, whole.is_whole) == (pytest.approx(95.0), True)
    assert not moved([("moved", 1.0, True)]).is_whole
    assert not moved([]).is_whole


def test_worlds_that_grow_can_be_read_and_are_as_large_as_asked():
    job, profile = grown_question(60, 4)
    question = read_question(job, None, profile)
    assert len(question.profile.keep_outs) == 60
    assert len(question.job.runs) == 4
