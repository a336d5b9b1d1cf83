"""What a newcomer does who puts a cool box into a van: the job says where, the profile stays as it is."""

from __future__ import annotations

import csv
import re

import pytest
from page_reading import Page

import router
from router.facts import compare_profiles
from router.model.plan import FindingKind
from router.reading import read_profile

JOB = """\
job: Cool box
profile: dunlin-lwb
insulation: class C
source: {nominal: 12 V, resting: 12.6 V, at: battery positive}
places:
  - name: cool box
    kind: unit
    space: load area
    at: [2750, 640]
    height: 720 mm
    studs: {plus: M5, minus: M6}
runs:
  - run: supply
    from: battery positive
    to: cool box
    conductors: [{name: supply, colour: red, load: 9 A}]
    fuse: auto
  - run: earth
    from: cool box
    to: rear earth stud
    conductors: [{name: earth, colour: black, returns: supply}]
"""


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    folder = tmp_path_factory.mktemp("cool-box")
    (folder / "job.yaml").write_text(JOB, encoding="utf-8")
    return folder


@pytest.fixture(scope="module")
def plan(folder):
    made = router.plan(folder)
    made.save(folder / "out")
    return made


def test_the_run_ends_where_the_job_says(plan):
    last = plan.runs["supply"].points[-1]
    assert (last.space, last.x_mm, last.y_mm, last.z_mm) == ("load area", 2750.0, 640.0, 720.0)


def test_both_poles_end_on_studs_of_their_own(plan, folder):
    assert "poles" not in {finding.kind for finding in plan.findings}
    with (folder / "out" / "bill.csv").open(encoding="utf-8", newline="") as file:
        rings = {row[4].split(";")[0]: row[1] for row in csv.reader(file) if row[0] == "ring terminal"}
    assert rings["supply: supply at cool box"].startswith("ring M5 ")
    assert rings["earth: earth at cool box"].startswith("ring M6 ")
    sheet = Page(plan.sheet_html()).text
    assert re.search(r"Cool box: ring on its plus stud, M5: supply", sheet)
    assert re.search(r"Cool box: ring on its minus stud, M6: earth", sheet)
    assert "ring M5: cool box, plus" in sheet and "ring M6: cool box, minus" in sheet


def test_sheet_and_map_say_that_it_is_new_and_where_it_goes(plan):
    sheet, drawn = Page(plan.sheet_html()).text, plan.map_svg()
    where = "Cool box (unit, load area, studs M5 plus and M6 minus): 2750 behind, 640 right, 720 high"
    assert where in sheet
    assert "cool box (new)" in drawn and "new: the job brings it along" in drawn
    assert "rear earth stud (new)" not in drawn


def test_the_plan_comes_back_with_its_place(plan, folder):
    assert router.load_plan(folder / "out" / "plan.json") == plan


def test_its_own_route_ends_there_and_the_vehicle_shows_what_was_added(plan, folder):
    judged = router.review(folder, folder / "out" / "route.yaml")
    assert FindingKind.END not in {finding.kind for finding in judged.findings}
    (added,) = compare_profiles(read_profile("dunlin-lwb"), plan.record.profile)
    assert (added.name, added.what) == ("cool box", "only in the second")


def test_a_profile_without_places_draws_none(plan):
    other = router.plan("examples/work-lamp-rear-battery")
    assert "the job brings it along" not in other.map_svg()
