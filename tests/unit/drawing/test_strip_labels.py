"""Words of the strip band: numbers as on the map, names by their own bars, nothing cut off, bores."""

from __future__ import annotations

import re

import pytest
from example_plans import example_map, example_plan
from shapely.geometry import LineString, box
from svg_reading import SVG, group, has_group, words_of

from router.facts.tags import keep_out_tags

NAMES = ("fridge-supply", "trailer-socket")
JUST_BESIDE_MM = 4.0
"""So near to a name on paper its leader ends."""


@pytest.fixture(scope="module", params=NAMES)
def drawn(request):
    plan = example_plan(request.param)
    return plan, example_map(request.param)


def said(root):
    return [word.words for word in words_of(root)]


def test_fixings_have_the_same_numbers_in_the_strip_as_in_the_plan_band(drawn):
    plan, root = drawn
    assert len(plan.runs) > 1
    for number, run in enumerate(plan.runs, start=1):
        words = set(said(group(root, f"strip-{run.name.replace(' ', '-')}")))
        asked = {f"{number}-{f.number}" if number > 1 else str(f.number) for f in run.fixings}
        assert asked <= words, run.name


def test_no_words_of_a_strip_are_cut_off(drawn):
    plan, root = drawn
    assert len(plan.runs) > 1
    for run in plan.runs:
        words = said(group(root, f"strip-{run.name.replace(' ', '-')}"))
        assert words
        cut = [each for each in words if "…" in each and not each.startswith("routed")]
        assert cut == [], run.name


def test_what_lies_near_the_way_is_named_in_full():
    words = said(example_map("fridge-supply"))
    assert "exposed: right front wheel spray" in words
    assert "above cover: right rear corner trim" in words


def test_a_members_name_lies_on_its_own_bar_or_is_led_to_it_and_on_no_other():
    root = example_map("fridge-supply")
    strip = group(root, "strip-supply")
    bars = [
        box(x, y, x + w, y + h)
        for rect in strip.findall(f"{SVG}rect")
        for x, y, w, h in [[float(rect.get(key)) for key in ("x", "y", "width", "height")]]
        if h > 20  # as high as the plot
    ]
    labels = group(root, "strip-labels-supply")
    names = [w for w in words_of(labels) if "crossmember" in w.words]
    leaders = [
        LineString([[float(part) for part in at.split(",")] for at in line.get("points").split()])
        for line in labels.findall(f"{SVG}polyline")
    ]
    assert len(bars) == len(names) == 3
    for word, bar in zip(
        sorted(names, key=lambda w: w.x0), sorted(bars, key=lambda b: b.bounds), strict=True
    ):
        label = box(word.x0, word.y0, word.x1, word.y1)
        mine = [leader for leader in leaders if leader.distance(label) < JUST_BESIDE_MM]
        assert label.intersects(bar) or any(leader.intersects(bar) for leader in mine), word.words
        assert not any(label.intersects(other) for other in bars if other is not bar), word.words


def test_openings_that_a_run_uses_have_their_bore_on_paper():
    # profiles/dunlin-lwb.yaml: right toe-board grommet, bore 40 mm; right load floor plug, bore 38 mm
    root = example_map("fridge-supply")
    for words in ("right toe-board grommet, 40 mm", "right load floor plug, 38 mm"):
        assert words in said(group(root, "labels"))
        assert words in said(group(root, "strip-labels-supply"))


def test_other_ways_carry_their_runs_name_where_there_is_more_than_one(drawn):
    plan, root = drawn
    ways = [words for words in said(group(root, "labels")) if re.search(r"\bother( route)? \d", words)]
    assert ways
    assert len(ways) == len(set(ways))
    assert all(any(words.startswith(f"{run.name} ") for run in plan.runs) for words in ways)
    assert has_group(root, "other-routes")


def test_every_fuse_holder_stands_on_map_and_strip_with_its_rating(drawn):
    plan, root = drawn
    fused = [run for run in plan.runs if run.fuse]
    assert fused
    for run in fused:
        rating = f"{run.fuse.rating_a:g} A"
        assert rating in said(group(root, "labels"))
        assert rating in said(group(root, f"strip-labels-{run.name.replace(' ', '-')}"))
    assert "fuse holder, with its rating" in said(group(root, "legend"))


@pytest.mark.parametrize("paper", ["a4", "letter", "a3", "tabloid"])
@pytest.mark.parametrize("name", [*NAMES, "work-lamp"])
def test_every_keep_out_near_a_run_is_named_under_its_strip(name, paper):
    plan = example_plan(name)
    root, tags = example_map(name, paper), keep_out_tags(plan.profile)
    near = {
        run.name: {
            tags[check.keep_out] for check in run.clearances if check.margin_mm < 120.0
        }  # as on the map
        for run in plan.runs
    }
    assert any(near.values())
    for run, tags_near in near.items():
        words = said(group(root, f"strip-labels-{run.replace(' ', '-')}-near")) if tags_near else []
        assert {each.split()[0] for each in words} == tags_near, run


def test_what_is_read_at_arms_length_is_3_mm_high(drawn):
    """Common practice, no source: 3 mm of type is read at arm's length, 2.5 mm not by everyone."""
    plan, root = drawn
    numbers = re.compile(r"\d+(-\d+)?|\d+\.\d\d")
    texts = group(root, f"strip-{plan.runs[0].name.replace(' ', '-')}").findall(f"{SVG}text")
    fixings = [text for text in texts if numbers.fullmatch(text.text or "")]
    legend = [text for text in group(root, "legend").findall(f"{SVG}text") if text.text != "A"]  # of a fuse
    assert len(fixings) > 40 and len(legend) > 20
    assert min(float(text.get("font-size")) for text in (*fixings, *legend)) >= 3.0
