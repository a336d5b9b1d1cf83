"""Where members may be crossed is drawn on every map; what is expected is read from the profile file."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
import yaml
from example_plans import EXAMPLES, example_map, example_plan
from svg_reading import SVG, centre, group, parse, words_of

from router.drawing import ShownRoute, draw_map, draw_offered_routes, draw_profile
from router.reading import read_profile

PROFILE = EXAMPLES.parent / "profiles" / "dunlin-lwb.yaml"


def measured(kind):
    """Return what the file itself says, without our reader: member and pass."""
    members = yaml.safe_load(PROFILE.read_text())["members"]
    return [(member, way) for member in members for way in member.get("passes", ()) if kind in way]


@pytest.fixture(scope="module")
def pictures():
    plan = example_plan("fridge-supply")
    way = ShownRoute("A", plan.runs[0].route)
    return {
        "map": example_map("fridge-supply"),
        "blank": parse(draw_map(plan, is_blank=True)),
        "show": parse(draw_profile(read_profile("dunlin-lwb"))),
        "lesson": parse(draw_offered_routes(plan, [way])),
    }


def named(root, start):
    """Return the groups of the first plan band by what their titles say; details have theirs again."""
    found = [g for g in root.iter(f"{SVG}g") if g.get("id", "").startswith(start)]
    return [g for g in found if g.get("id") != start.rstrip("-") + "s"]


def test_every_hole_and_every_stretch_is_drawn_on_every_kind_of_map(pictures):
    assert len(measured("through")) > 10
    assert len(measured("over")) >= 4
    for kind, root in pictures.items():
        assert len(named(root, "hole-")) == len(measured("through")), kind
        assert len(named(root, "over-")) == len(measured("over")), kind


def test_holes_lie_where_they_were_measured(pictures):
    root = pictures["map"]
    drawn = [centre(hole) for hole in named(root, "hole-")]
    places = [way["through"] for _, way in measured("through")]
    assert len(drawn) == len(places) > 10
    for (a, b), (m, n) in zip(pairwise(drawn), pairwise(places), strict=True):
        # 1:30, the front at the left; seen from below y runs down the paper
        assert (b[0] - a[0], b[1] - a[1]) == pytest.approx(((n[0] - m[0]) / 30, (n[1] - m[1]) / 30), abs=0.02)


def test_a_stretch_is_open_between_ticks_at_its_ends(pictures):
    assert len(measured("over")) >= 4
    for stretch, (member, way) in zip(named(pictures["map"], "over-"), measured("over"), strict=True):
        assert member["name"] in stretch.find(f"{SVG}title").text
        ticks = stretch.findall(f"{SVG}path")[-1].get("d")
        numbers = [float(n) for n in ticks.replace("M", " ").replace("L", " ").replace(",", " ").split()]
        x0, y0, x1, y1, x2, y2, *_ = numbers
        long_mm = math.dist(*way["over"]) / 30
        assert math.dist((x0, y0), (x2, y2)) == pytest.approx(long_mm, abs=0.02)
        width_mm = float(member["width"].split()[0]) / 30
        assert math.dist((x0, y0), (x1, y1)) > width_mm + 1.0  # seen beyond the member's edges


def test_the_legend_says_what_ring_and_gap_mean(pictures):
    assert set(pictures) == {"map", "blank", "show", "lesson"}
    for kind, root in pictures.items():
        words = {word.words for word in words_of(group(root, "legend"))}
        assert {"may be passed over here", "hole in a crossmember, bore"} <= words, kind


def test_the_bore_stands_by_the_hole_that_the_run_goes_through():
    # profiles/dunlin-lwb.yaml: the supply goes along y 700, by holes of 32, 32 and 30 mm
    said = [word.words for word in words_of(example_map("fridge-supply", "a3"))]
    through = [words for words in said if words.startswith("through") and words.endswith(" mm")]
    assert {words.split()[-2] for words in through} == {"32", "30"}
