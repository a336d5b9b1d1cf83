"""Blank maps: the same frame as the full one, and nothing in it that tells the answer. Dates on both."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest
from sample_plan import sample_plan, sample_profile
from svg_reading import SVG, centre, group, has_group, parse, points, words_of

from router.drawing import draw_map


@pytest.fixture(scope="module")
def maps():
    plan = sample_plan()
    full = draw_map(plan, date="2026-03-20")
    return plan, parse(full), parse(draw_map(plan, is_blank=True, date="2026-03-20"))


def test_a_blank_map_lies_on_the_full_one(maps):
    plan, full, blank = maps
    assert blank.get("viewBox") == full.get("viewBox")
    for space in plan.profile.spaces:
        name = f"space-{space.name.replace(' ', '-')}"
        assert points(group(blank, name).find(f"{SVG}polygon")) == points(
            group(full, name).find(f"{SVG}polygon")
        )
    for terminal in plan.profile.terminals:
        name = f"terminal-{terminal.name.replace(' ', '-')}"
        assert centre(group(blank, name)) == centre(group(full, name))


def test_a_blank_map_tells_nothing_of_the_route(maps):
    plan, full, blank = maps
    told = ("runs", "shared-routes", "clearance-lines", "other-routes", "tightest-places", "stations-supply")
    for name in told:
        assert has_group(full, name), name
        assert not has_group(blank, name), name
    ids = [element.get("id") or "" for element in blank.iter()]
    assert not [name for name in ids if name.startswith(("fixing-", "detail-"))]
    words = " ".join(word.words for word in words_of(blank))
    for run in plan.runs:
        assert f"{run.length.routed_mm / 1000:.2f} m" not in words
        assert f"{run.length.cut_mm / 1000:.2f} m" not in words
        assert f"RUN {run.name}: {run.start} to {run.end}" in words  # what is asked stays


def test_names_are_not_written_larger_because_a_route_uses_them(maps):
    plan, full, blank = maps
    ends = {name for run in plan.runs for name in (run.start, run.end)}

    def bold(root):
        return {
            text.text
            for text in group(root, "labels").iter(f"{SVG}text")
            if text.get("font-weight") == "bold"
        }

    named = {thing.name for thing in (*plan.profile.supports, *plan.profile.openings)}
    assert named & bold(full)
    assert not (named - ends) & bold(blank)


def test_the_date_is_the_callers_or_a_line(maps):
    _, full, blank = maps
    for root in (full, blank):
        assert "2026-03-20" in {word.words for word in words_of(group(root, "title-block-1"))}
    undated = {word.words for word in words_of(group(parse(draw_map(sample_plan())), "title-block-1"))}
    assert "Date" in undated
    assert any(set(words) == {"_"} for words in undated)


# --- the way back from paper to vehicle ---------------------------------------------------------------------


def map_data(root):
    return json.loads(root.find(f"{SVG}metadata").text)


@pytest.mark.parametrize(("seen_from", "paper"), [("below", "a4"), ("above", "a3")])
def test_the_metadata_lead_from_every_corner_of_a_space_back_to_the_vehicle(seen_from, paper):
    plan = sample_plan()
    for is_blank in (True, False):
        root = parse(draw_map(plan, seen_from=seen_from, paper=paper, is_blank=is_blank))
        data = map_data(root)
        assert data["format"] == "map/1"
        assert data["is_blank"] is is_blank
        for view in data["views"]:
            drawn = points(group(root, f"space-{view['space'].replace(' ', '-')}").find(f"{SVG}polygon"))
            ox, oy = view["origin_mm"]
            back = [((x - ox) * view["scale"], (y - oy) * view["scale"] * view["y_sense"]) for x, y in drawn]
            outline = plan.profile.space(view["space"]).outline
            for (x, y), (asked_x, asked_y) in zip(back, outline, strict=True):
                assert (x, y) == pytest.approx((asked_x, asked_y), abs=0.1)  # mm of the vehicle
            x, y, width, height = view["box_mm"]
            xs, ys = zip(*drawn, strict=True)
            assert (min(xs), min(ys)) == pytest.approx((x, y), abs=0.001)
            assert (max(xs), max(ys)) == pytest.approx((x + width, y + height), abs=0.002)


def test_a_blank_map_has_an_empty_group_to_draw_in_for_every_space(maps):
    plan, full, blank = maps
    views = map_data(blank)["views"]
    assert [view["space"] for view in views] == [space.name for space in plan.profile.spaces]
    for view in views:
        drawing = group(blank, view["draw_in"])
        assert view["draw_in"] == f"draw-{view['space'].replace(' ', '-')}"
        assert [child.tag for child in drawing] == [f"{SVG}title"]
        assert not has_group(full, view["draw_in"])


def test_the_metadata_of_a_detail_lead_back_too(maps):
    plan, full, blank = maps
    assert "details" not in map_data(blank)
    detail = map_data(full)["details"][0]
    ox, oy = detail["origin_mm"]
    inside = {f"detail-a-fixing-supply-{f.number}": f for f in plan.runs[0].fixings}
    drawn = {name: f for name, f in inside.items() if has_group(full, name)}
    assert drawn
    for name, fixing in drawn.items():
        x, y = centre(group(full, name))
        back = ((x - ox) * detail["scale"], (y - oy) * detail["scale"] * detail["y_sense"])
        assert back == pytest.approx((fixing.x_mm, fixing.y_mm), abs=1.0)


def test_data_about_hostile_names_stay_data():
    profile = replace(sample_profile(), name='</metadata><script>alert(1)</script>"\x00]]>')
    root = parse(draw_map(sample_plan(profile), is_blank=True))
    assert map_data(root)["profile"]["name"].startswith("</metadata><script>")
    assert not list(root.iter(f"{SVG}script"))
