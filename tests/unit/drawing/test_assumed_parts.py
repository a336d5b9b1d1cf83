"""What nobody measured yet is drawn so: two dots in its line, a mark at its name, and what that means."""

from __future__ import annotations

from copy import deepcopy

import pytest
from assumed_vehicle import JOB, VEHICLE, measured
from svg_reading import SVG, group, parse, words_of

import router
from router.drawing import draw_map, draw_profile
from router.drawing.paper import inks
from router.facts import compare_profiles
from router.model.vehicle import Fix

MEANING = "two dots in a line, ? at a name:"


@pytest.fixture(scope="module")
def plans():
    return {name: router.plan(JOB, profile=data).record for name, data in vehicles().items()}


def vehicles():
    return {"assumed": VEHICLE, "measured": measured(VEHICLE)}


@pytest.fixture(scope="module")
def maps(plans):
    return {name: parse(draw_map(plan)) for name, plan in plans.items()}


def dashes(root, start):
    """Return the dashes of the last line in each group whose name begins so."""
    groups = [each for each in root.iter(f"{SVG}g") if (each.get("id") or "").startswith(start)]
    assert groups, start
    lines = [
        [each for each in part.iter() if each.get("stroke") not in (None, "none")][-1] for part in groups
    ]
    return [line.get("stroke-dasharray") for line in lines]


def numbers(dash):
    return tuple(float(number) for number in dash.replace(",", " ").split())


def test_a_keep_out_that_is_assumed_has_two_dots_in_its_outline(maps):
    assert [numbers(each) for each in dashes(maps["assumed"], "keep-out-")] == [
        (3.4, 0.8, 0.5, 0.8, 0.5, 0.8)
    ] * 2
    assert dashes(maps["measured"], "keep-out-") == [None, None]


def test_a_support_keeps_its_own_dashes_and_has_the_dots_besides(maps):
    """The left and the right rail are assumed, the post and the edge of the deck are not."""
    found = {name: [numbers(each) for each in dashes(root, "support-")] for name, root in maps.items()}
    both = [mine != other for mine, other in zip(found["assumed"], found["measured"], strict=True)]
    assert both == [True, True, False, False]
    assert found["assumed"][0] == (3.0, 0.8, 0.5, 0.8, 0.5, 1.0)


def test_points_and_heights_have_a_mark_behind_their_names(maps):
    said = {name: {word.words for word in words_of(root)} for name, root in maps.items()}
    assert {"lamp ?", "plug, 38 mm ?"} <= said["assumed"]
    assert not any(words.endswith("?") for words in said["measured"])
    assert not any(words.startswith("post plus ?") for words in said["assumed"])


def test_a_height_that_is_assumed_is_marked():
    data = measured(VEHICLE)
    data["spaces"]["underfloor"]["assumed"] = "60 mm"
    said = {word.words for word in words_of(parse(draw_map(router.plan(JOB, profile=data).record)))}
    assert "UNDERFLOOR: loom at 400 mm ?" in said


def test_the_legend_says_what_it_means_where_something_is_assumed(maps, plans):
    for name, root in maps.items():
        words = [word.words for word in words_of(group(root, "legend"))]
        assert (MEANING in words) is (name == "assumed")
    shown = [word.words for word in words_of(group(parse(draw_profile(plans["assumed"].profile)), "legend"))]
    assert MEANING in shown


def test_the_legend_does_not_speak_of_what_is_not_drawn():
    data = measured(VEHICLE)
    data["panels"][0]["assumed"] = "60 mm"  # a floor does not show in plan
    shown = parse(draw_profile(router.plan(JOB, profile=data).record.profile))
    assert MEANING not in [word.words for word in words_of(group(shown, "legend"))]


def test_the_title_of_a_keep_out_says_how_far_off_it_may_be(maps):
    titles = [each.text or "" for each in maps["assumed"].iter(f"{SVG}title")]
    assert sum(each.endswith("fuel, assumed to 60 mm") for each in titles) == 2


def test_the_title_block_says_first_how_much_nobody_measured(maps):
    said = {
        name: [word.words for word in words_of(shown) if "to 10 mm" in word.words]
        for name, shown in maps.items()
    }
    assert set(said["assumed"]) == {"7 only assumed, rest to 10 mm"}
    assert set(said["measured"]) == {"2026-03-14, to 10 mm"}


def test_every_line_that_is_assumed_differs_from_every_line_that_was_measured():
    """In black and white too: by its dashes. A line that nothing is fixed to has a keep-out round it."""
    solid = (inks.OUTLINE, inks.MEMBER, inks.PANEL)
    dashed = (inks.STEP, inks.COVER, inks.SUPPORTS[Fix.TIE], inks.SUPPORTS[Fix.CLIP])
    known = {ink.dash for ink in (*solid, *dashed, *inks.SUPPORTS.values(), inks.CLEARANCE, inks.ALTERNATIVE)}
    known |= set(inks.RUN_DASHES)
    assumed = {inks.as_assumed(ink).dash for ink in (*solid, *dashed)}
    assert len(assumed) == 5  # one for all solid lines, one for each dashed one
    assert not assumed & known


def test_compared_vehicles_tell_that_a_part_was_measured():
    before = router.plan(JOB, profile=VEHICLE).record.profile
    data = deepcopy(VEHICLE)
    del data["keep-outs"][0]["assumed"]
    after = router.plan(JOB, profile=data).record.profile
    assert [each.what for each in compare_profiles(before, after)] == ["assumed 60 -> none"]
