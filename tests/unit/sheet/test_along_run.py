"""The table to work from along a run: a trunk is written once, with the stations of all that lie in it.

The case: supply goes 3000 mm rearward; the branch starts where it ends, goes back 1000 mm in its loom, then
500 mm to the right. So the branch's 1.00 m is supply's 2.00 m, and what holds supply at 2.50 m holds both.
"""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from sample_plan import sample_plan
from small_vehicle import a_fixing, a_loom, a_route

from router.model.plan import HeatSleeve
from router.sheet.along_run import along_table
from router.sheet.document import css_text
from router.sheet.figures import station
from router.sheet.trunk_text import shared_stretches
from router.writing.summary import summarise

TRUNK = [(0, 0, 400), (2000, 0, 400), (3000, 0, 400)]
BACK = [(3000, 0, 400), (2000, 0, 400), (2000, 500, 400)]
ALONG = [(2000, 0, 400), (3000, 0, 400), (3000, 500, 400)]


def fixing(number, station_mm, x, y, shared_with=None):
    return a_fixing(number, station_mm, (x, y, 400.0), shared_with=shared_with)


def a_plan(branch_way, branch_fixings, trunk, branch_loom, sleeves=()):
    plan = sample_plan()
    empty = replace(plan.runs[0], stations=(), clearances=(), conductors=(), fuse=None, heat_sleeves=())
    runs = []
    for name, way, fixings in (
        ("supply", TRUNK, (fixing(1, 2500.0, 2500.0, 0.0),)),
        ("branch", branch_way, branch_fixings),
    ):
        route = a_route(way, run=name)
        length = replace(plan.runs[0].length, run=name, routed_mm=route.routed_mm)
        runs.append(
            replace(empty, name=name, route=route, length=length, fixings=fixings, start="one", end="other")
        )
    runs[0] = replace(runs[0], heat_sleeves=sleeves)
    looms = (a_loom(("supply", 0, 2000)), a_loom(("supply", 2000, 3000), trunk), branch_loom)
    return replace(plan, runs=tuple(runs), looms=looms)


@pytest.fixture
def back():
    fixings = (fixing(1, 500.0, 2500.0, 0.0, "supply"), fixing(2, 1250.0, 2000.0, 250.0))
    return a_plan(BACK, fixings, ("branch", 1000, 0), a_loom(("branch", 1000, 1500)))


def rows(table):
    body = table[table.index("<tbody>") :]
    cells = [re.findall(r"<td[^>]*>(.*?)</td>", row) for row in re.findall(r"<tr>(.*?)</tr>", body)]
    return [tuple(re.sub(r"<[^>]+>", "", cell) for cell in row) for row in cells]


def test_a_run_that_goes_back_along_another_is_told_in_the_stations_of_both(back):
    supply, branch = back.runs
    assert shared_stretches(back, supply) == ()
    (stretch,) = shared_stretches(back, branch)
    assert stretch.is_against
    stations = (stretch.from_mm, stretch.to_mm, stretch.first_from_mm, stretch.first_to_mm)
    assert stations == pytest.approx((1000, 0, 2000, 3000))
    assert [each.number for each in branch.own_fixings] == [2]


def test_the_trunk_says_who_joins_and_the_branch_says_what_holds_it(back):
    supply, branch = back.runs
    assert rows(along_table(back, supply)) == [
        ("0.00", "", "start: one; loom NW10 from here"),
        ("2.00", "", "branch joins the loom (its 1.00 m); loom NW20 from here"),
        ("2.50", "1", "tie on sill"),
        ("3.00", "", "end: other"),
    ]
    words = "start: one; to 1.00 in the loom of supply (its 3.00 to 2.00 m), held by its fixing 1"
    assert rows(along_table(back, branch)) == [
        ("0.00", "", words),
        ("1.00", "", "loom NW10 from here"),
        ("1.25", "2-2", "tie on sill"),
        ("1.50", "", "end: other"),
    ]


def test_a_run_that_goes_with_another_leaves_it_at_its_end():
    plan = a_plan(
        ALONG,
        (fixing(1, 500.0, 2500.0, 0.0, "supply"),),
        ("branch", 0, 1000),
        a_loom(("branch", 1000, 1500)),
    )
    (stretch,) = shared_stretches(plan, plan.runs[1])
    assert not stretch.is_against
    stations = (stretch.from_mm, stretch.to_mm, stretch.first_from_mm, stretch.first_to_mm)
    assert stations == pytest.approx((0, 1000, 2000, 3000))
    assert "to 1.00 in the loom of supply (its 2.00 to 3.00 m)" in along_table(plan, plan.runs[1])


def test_sleeves_that_touch_are_one():
    sleeves = (HeatSleeve("supply", 500, 800, "pipe"), HeatSleeve("supply", 800, 900, "box"))
    plan = a_plan(BACK, (), ("branch", 1000, 0), a_loom(("branch", 1000, 1500)), sleeves)
    told = [row for row in rows(along_table(plan, plan.runs[0])) if "sleeve" in row[2]]
    assert told == [("0.50", "", "heat sleeve over the loom, to 0.90 (pipe, box)")]


@pytest.mark.parametrize(
    "station_mm, words", [(0.0, "0.00"), (2.4, "0.00"), (2.6, "0.005"), (4673.0, "4.675"), (12000.0, "12.00")]
)
def test_stations_are_what_a_tape_can_tell(station_mm, words):
    assert station(station_mm) == words


@pytest.mark.parametrize(
    "hostile", ['"}</style><script>alert(1)</script>', "\\", "a\nb", "\x00", "{}; @import"]
)
def test_no_name_breaks_out_of_the_line_on_each_page(hostile):
    """CSS syntax level 3, 4.3.5 and 4.3.7: a backslash and hexadecimal digits stand for any character."""
    written = css_text(hostile)
    assert re.fullmatch(r'"(?:[A-Za-z0-9 .,:-]|\\[0-9a-f]+ )*"', written)
    read = re.sub(r"\\([0-9a-f]+) ", lambda digits: chr(int(digits[1], 16)), written[1:-1])
    assert read == hostile.replace("\x00", "\ufffd")


def test_the_summary_counts_a_shared_fixing_once_as_the_sheet_does(back):
    # the branch has two fixings, the first of them the supply's at 2.5 m: one of its own
    supply, branch = back.runs
    lines = [line.split(";")[0] for line in summarise(back).splitlines() if line.startswith("  fixings")]
    assert lines == [f"  fixings     {len(supply.fixings)}", "  fixings     1, and 1 shared"]
    assert len(branch.fixings) == 2
