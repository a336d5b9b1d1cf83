"""Blank maps: the same frame as the full one, and nothing in it that tells the answer. Dates on both."""

from __future__ import annotations

import pytest
from sample_plan import sample_plan
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
    told = ("runs", "shared-ways", "clearance-lines", "other-ways", "tightest-places", "stations-supply")
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
