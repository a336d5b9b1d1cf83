"""The name of an opening that a run goes through stands once in the plan band, near one of its rings."""

from __future__ import annotations

import math
import re

import pytest
from example_plans import example_map, example_plan
from svg_reading import SVG, centre, group, parse, words_of

from router.drawing import draw_map
from router.model.plan import PassageKind

NAMES = ("fridge-supply", "trailer-socket", "work-lamp")
ARM_MM = 14.0
"""Of paper: a name further off than this is not seen to belong to its ring."""


def passed(plan):
    passages = [passage for run in plan.runs for passage in run.route.passages]
    names = {passage.name for passage in passages if passage.kind is PassageKind.OPENING}
    return [opening for opening in plan.profile.openings if opening.name in names]


def rings(root, words):
    found = [g for g in group(root, "openings").iter(f"{SVG}g") if (g.findtext(f"{SVG}title") or "") == words]
    return [centre(each) for each in found]


@pytest.mark.parametrize("seen_from", ["below", "above"])
@pytest.mark.parametrize("name", NAMES)
def test_each_opening_that_is_passed_is_named_once_near_its_ring(name, seen_from):
    plan, root = example_plan(name), example_map(name, seen_from=seen_from)
    assert passed(plan)
    for opening in passed(plan):
        said = f"{opening.name}, {opening.bore_mm:.0f} mm"
        words = [word for word in words_of(group(root, "labels")) if word.words == said]
        assert len(words) == 1, said
        (word,) = words
        places = rings(root, f"{opening.name}, bore {opening.bore_mm:.0f} mm")
        assert len(places) in (1, 2)
        away = [
            math.hypot(max(word.x0 - x, x - word.x1, 0.0), max(word.y0 - y, y - word.y1, 0.0))
            for x, y in places
        ]
        assert min(away) <= ARM_MM, said


def test_on_tiles_both_rings_have_the_name():
    """At 1:10 the two rings of the plug lie on different tiles, where nobody sees both at once."""
    plan = example_plan("fridge-supply")
    root = parse(draw_map(plan, scale=10.0))
    (opening,) = (each for each in passed(plan) if each.name == "right load floor plug")
    said = f"{opening.name}, {opening.bore_mm:.0f} mm"
    tiles = [g for g in root.iter(f"{SVG}g") if re.fullmatch(r"tile-[a-z]\d+", g.get("id") or "")]
    ringed = [g for g in tiles if rings_in(g, f"{opening.name}, bore {opening.bore_mm:.0f} mm")]
    assert len(ringed) >= 2
    assert all(any(word.words == said for word in words_of(g)) for g in ringed)


def rings_in(element, words):
    return [g for g in element.iter(f"{SVG}g") if (g.findtext(f"{SVG}title") or "") == words]
