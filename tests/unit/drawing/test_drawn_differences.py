"""compare --out: what is gone, new and moved lies where it was and is, by arithmetic from the map's frame."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest
from svg_reading import SVG, group, has_group, parse, points, words_of

from router.drawing import draw_comparison
from router.facts.profile_differences import compare_profiles
from router.model.comparison import Comparison
from router.model.vehicle import Hazard, KeepOut, Shape, ShapeKind
from router.reading import read_profile


@pytest.fixture(scope="module")
def drawn():
    """A van that lost a damper, got a tank, and had a pipe and a plug moved; the drawing, and its frames."""
    before = read_profile("dunlin-lwb")
    pipe = next(each for each in before.keep_outs if each.name == "exhaust front mid pipe")
    plug = before.opening("left load floor plug")
    tank = KeepOut(
        "extra tank",
        "underfloor",
        Hazard.FUEL,
        Shape(ShapeKind.AREA, ((2900.0, -700.0), (3100.0, -700.0), (3100.0, -500.0), (2900.0, -500.0)), 0.0),
        None,
        False,
        None,
    )
    shape = replace(pipe.shape, points=tuple((x, y - 40.0) for x, y in pipe.shape.points))
    kept = [k for k in before.keep_outs if k.name not in ("left rear damper", pipe.name)]
    after = replace(
        before,
        revision=before.revision + 1,
        keep_outs=(*kept, replace(pipe, shape=shape), tank),
        openings=tuple(
            replace(o, at=(o.at[0] + 30.0, o.at[1] + 40.0)) if o is plug else o for o in before.openings
        ),
    )
    comparison = Comparison(before, after, compare_profiles(before, after))
    root = parse(draw_comparison(comparison))
    views = {view["space"]: view for view in json.loads(root.find(f"{SVG}metadata").text)["views"]}
    return comparison, root, views


def on_paper(views, space, x, y):
    view = views[space]
    (ox, oy), scale = view["origin_mm"], view["scale"]
    return ox + x / scale, oy + view["y_sense"] * y / scale


def of_group(root, number):
    return group(root, f"difference-{number}").findall(f"{SVG}polyline")


def test_every_difference_has_its_number_on_the_drawing_and_in_the_list(drawn):
    comparison, root, _ = drawn
    names = [each.name for each in comparison.differences if each.before or each.after]
    assert names == ["left rear damper", "exhaust front mid pipe", "extra tank", "left load floor plug"]
    assert has_group(root, "difference-4") and not has_group(root, "difference-5")
    words = [each.words for each in words_of(root)]
    # 30 and 40 make 50: the plug; straight across: the pipe
    assert {"1 gone", "2 moved 40 mm", "3 new", "4 moved 50 mm"} <= set(words)
    assert any("4 -> 5" in each for each in words)


def test_what_is_gone_is_dashed_and_struck_and_what_is_new_is_not(drawn):
    _, root, _ = drawn
    gone, new = of_group(root, 1), of_group(root, 3)
    assert any(line.get("stroke-dasharray") for line in gone)
    assert group(root, "difference-1").findall(f"{SVG}path")  # the stroke through it
    assert not any(line.get("stroke-dasharray") for line in new)
    assert not group(root, "difference-3").findall(f"{SVG}path")
    assert max(float(line.get("stroke-width")) for line in new) >= 1.0  # bold


def test_the_new_one_lies_in_its_true_place(drawn):
    _, root, views = drawn
    found = {tuple(round(v, 2) for v in p) for line in of_group(root, 3) for p in points(line)}
    for corner in ((2900, -700), (3100, -700), (3100, -500), (2900, -500)):
        assert tuple(round(v, 2) for v in on_paper(views, "underfloor", *corner)) in found


def test_the_arrow_leads_from_the_old_place_to_the_new_one(drawn):
    _, root, views = drawn
    arrows = [points(line) for line in of_group(root, 4) if len(points(line)) == 2]
    start, end = on_paper(views, "underfloor", 2920, -640), on_paper(views, "underfloor", 2950, -600)
    near = [pytest.approx(place, abs=0.01) for place in (start, end)]
    assert any(line[0] == near[0] and line[1] == near[1] for line in arrows)


def test_a_variant_is_drawn_too():
    before, after = read_profile("dunlin-lwb"), read_profile("dunlin-lwb", "battery under seat")
    root = parse(draw_comparison(Comparison(before, after, compare_profiles(before, after))))
    words = {each.words for each in words_of(root)}
    assert {"1 now in cab", "3 new"} <= words
