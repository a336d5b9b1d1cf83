"""Ways to a terminal that is dragged about, beside those that a whole plan finds there."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import pytest

from router.planning import first_looms_mm, make_answer
from router.reading import moved_terminal, read_question
from router.routing import DraggedEnd

EXAMPLES = Path(__file__).parents[3] / "examples"
SHORT_OF_BEST = 0.05
"""The whole plan polishes several ways and takes the best as it is held; a dragged one is the first found."""


def one_run(example, run):
    """Return the question of an example with one of its runs, and how thick its loom is planned."""
    asked = read_question(EXAMPLES / example)
    only = asked.job.run(run)
    alone = replace(only.conductors[0], returns=(), load_a=3.0)
    return replace(asked.job, runs=(replace(only, conductors=(alone,)),)), asked.profile, asked.practice


@pytest.mark.parametrize(
    ("run", "terminal", "by"),
    [
        ("supply", "work lamp", (0.0, 0.0)),
        ("earth", "work lamp", (-60.0, 25.0)),
        ("earth", "rear earth stud", (0, 30)),
    ],
)
def test_a_way_is_nearly_the_one_that_is_planned_there(run, terminal, by):
    job, profile, practice = one_run("work-lamp-rear-battery", run)
    looms_mm = first_looms_mm(job, profile, practice)
    x, y = profile.terminal(terminal).at
    at = (x + by[0], y + by[1])
    end = DraggedEnd(job, profile, practice, terminal, looms_mm)
    end.ways_to((x + 11.0, y - 7.0))  # it was elsewhere before
    (way,) = end.ways_to(at)
    planned = make_answer(job, moved_terminal(profile, terminal, at), practice).runs[0]
    assert planned.loom_diameter_mm == looms_mm[run]
    assert way.effort_mm == pytest.approx(planned.route.effort_mm, rel=SHORT_OF_BEST)
    assert ends(way.points) == ends(planned.route.points)


def ends(points):
    return [(each.space, each.x_mm, each.y_mm, each.z_mm) for each in (points[0], points[-1])]


def test_a_way_goes_from_where_its_run_begins_whichever_end_is_dragged():
    job, profile, practice = one_run("work-lamp-rear-battery", "supply")
    looms_mm = first_looms_mm(job, profile, practice)
    run = job.runs[0]
    (by_start,) = DraggedEnd(job, profile, practice, run.start, looms_mm).ways_to(
        profile.terminal(run.start).at
    )
    (by_end,) = DraggedEnd(job, profile, practice, run.end, looms_mm).ways_to(profile.terminal(run.end).at)
    assert ends(by_start.points) == ends(by_end.points)
    assert by_start.effort_mm == pytest.approx(by_end.effort_mm, rel=SHORT_OF_BEST)


def test_every_run_that_ends_or_may_end_there_has_a_way():
    asked = read_question(EXAMPLES / "work-lamp-rear-battery")
    job = asked.job
    lamp = asked.profile.terminal("work lamp").at
    looms_mm = first_looms_mm(job, asked.profile, asked.practice)
    ways = DraggedEnd(job, asked.profile, asked.practice, "work lamp", looms_mm).ways_to(lamp)
    assert [way.run for way in ways] == ["supply", "earth"]
    several = replace(job.runs[1], end="battery negative", may_end_at=("battery negative", "rear earth stud"))
    either = replace(job, runs=(job.runs[0], several))
    stud = asked.profile.terminal("rear earth stud").at
    (way,) = DraggedEnd(either, asked.profile, asked.practice, "rear earth stud", looms_mm).ways_to(stud)
    assert (way.run, (way.points[-1].x_mm, way.points[-1].y_mm)) == ("earth", stud)


def test_where_no_loom_can_end_what_shuts_it_is_told():
    asked = read_question(EXAMPLES / "work-lamp-rear-battery")
    looms_mm = first_looms_mm(asked.job, asked.profile, asked.practice)
    end = DraggedEnd(asked.job, asked.profile, asked.practice, "work lamp", looms_mm)
    way = end.ways_to((3060.0, 320.0))[0]  # among the jack and tools, which reach up to 600 mm
    assert (way.points, way.effort_mm) == ((), math.inf)
    assert way.shut is not None
    assert (way.shut.terminal, way.shut.by.name) == ("work lamp", "jack and tools")
