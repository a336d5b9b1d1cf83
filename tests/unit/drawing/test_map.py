"""The map: what is read back from its text must be what the plan says."""

from __future__ import annotations

import itertools
import os
import re
import subprocess
import sys
import xml.etree.ElementTree as ET
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest
from hostile import HOSTILE
from sample_plan import sample_job, sample_plan, sample_profile
from shapely.geometry import LineString, box
from svg_reading import SVG, centre, group, has_group, parse, points, scale, words_of

from router.drawing import draw_map, draw_profile
from router.drawing.paper.frame import PAPERS
from router.model.fixing import FixingKind
from router.reading import read_profile

EXAMPLES = ("dunlin-lwb", "godwit-pickup", "sanderling-estate")


@pytest.fixture(scope="module")
def plan():
    return sample_plan()


@pytest.fixture(scope="module")
def below(plan):
    return draw_map(plan)


@pytest.fixture(scope="module")
def above(plan):
    return draw_map(plan, seen_from="above")


@pytest.fixture(scope="module")
def profile_maps():
    return {name: draw_profile(read_profile(name)) for name in EXAMPLES}


# --- the document -----------------------------------------------------------------------------------------


def test_it_is_svg_with_a_title_and_a_description(below):
    root = parse(below)
    assert root.tag == f"{SVG}svg"
    assert root.get("version") == "1.1"
    assert root.find(f"{SVG}title").text == "Cool box supply: Plover small van"
    assert "supply from battery positive to cool box" in root.find(f"{SVG}desc").text


def test_ids_are_used_once(below):
    ids = [element.get("id") for element in parse(below).iter() if element.get("id")]
    assert len(ids) == len(set(ids)) > 50


def test_only_plain_drawing_elements_are_used(below):
    allowed = {
        "svg",
        "title",
        "desc",
        "metadata",
        "defs",
        "g",
        "path",
        "polyline",
        "polygon",
        "circle",
        "rect",
        "text",
        "clipPath",
    }
    assert {element.tag.removeprefix(SVG) for element in parse(below).iter()} <= allowed


def test_one_unit_is_one_millimetre_of_the_paper(plan):
    # ISO 216: A4 is 210 mm x 297 mm, A3 297 mm x 420 mm; ANSI/ASME Y14.1: A 8.5 in x 11 in, B 11 in x 17 in.
    sizes = {
        "a4": (297, 210),
        "a3": (420, 297),
        "letter": (11 * 25.4, 8.5 * 25.4),
        "tabloid": (17 * 25.4, 11 * 25.4),
    }
    for name, (width, height) in sizes.items():
        root = parse(draw_map(plan, paper=name))
        sheets = sum(1 for element in root if element.get("id", "").startswith("sheet-"))
        box_width, box_height = (float(number) for number in re.split("[ ,]+", root.get("viewBox"))[2:])
        assert box_width == pytest.approx(width, abs=1e-6)
        assert box_height == pytest.approx(height * sheets, abs=1e-6)
        assert root.get("width") == f"{box_width:g}mm"
        assert root.get("height") == f"{box_height:g}mm"


def test_the_same_plan_gives_the_same_bytes_in_another_process(below):
    code = (
        "import sys; sys.path.insert(0, 'tests/support'); import sample_plan; "
        "from router.drawing import draw_map; "
        "sys.stdout.buffer.write(draw_map(sample_plan.sample_plan()).encode())"
    )
    root = Path(__file__).parents[3]
    environment = {**os.environ, "PYTHONHASHSEED": "77"}
    run = subprocess.run(
        [sys.executable, "-c", code], cwd=root, env=environment, capture_output=True, check=True
    )
    assert run.stdout == below.encode()


@pytest.mark.parametrize("arguments", [{"paper": "a5"}, {"paper": "A4"}, {"seen_from": "left"}])
def test_unknown_paper_and_unknown_side_are_refused(plan, arguments):
    with pytest.raises(ValueError, match=r"not known|not a valid"):
        draw_map(plan, **arguments)


# --- geometry read back -----------------------------------------------------------------------------------


def relative(root: ET.Element, place: tuple[float, float], space: str) -> tuple[float, float]:
    """Return where a place on paper lies from the first corner of a space, in mm of the vehicle."""
    corner = points(group(root, f"space-{space}").find(f"{SVG}polygon"))[0]
    return (place[0] - corner[0]) * scale(root), (place[1] - corner[1]) * scale(root)


@pytest.mark.parametrize(("view", "side"), [("below", 1.0), ("above", -1.0)])
def test_fixings_lie_where_the_plan_says(plan, view, side, request):
    root = parse(request.getfixturevalue(view))
    tolerance = 0.1 * scale(root)
    assert len(plan.runs[0].fixings) > 10
    for fixing in plan.runs[0].fixings:
        corner = plan.profile.space(fixing.space).outline[0]
        drawn = relative(
            root, centre(group(root, f"fixing-supply-{fixing.number}")), fixing.space.replace(" ", "-")
        )
        assert drawn[0] == pytest.approx(fixing.x_mm - corner[0], abs=tolerance)
        assert drawn[1] == pytest.approx(side * (fixing.y_mm - corner[1]), abs=tolerance)


def test_the_route_lies_where_the_plan_says(plan, below):
    root = parse(below)
    lines = [
        points(line)
        for line in group(root, "run-supply").iter(f"{SVG}polyline")
        if line.get("stroke") != "#fff"
    ]
    drawn = {relative(root, place, "underfloor") for line in lines for place in line}
    corner = plan.profile.space("underfloor").outline[0]
    under = [point for point in plan.runs[0].route.points if point.space == "underfloor"]
    assert len(under) == 17  # in SUPPLY_WAY of the sample
    for point in under:
        asked = (point.x_mm - corner[0], point.y_mm - corner[1])
        assert any(abs(a - asked[0]) < 2 and abs(b - asked[1]) < 2 for a, b in drawn), point


def test_terminals_lie_where_the_profile_says(plan, below):
    root = parse(below)
    assert len(plan.profile.terminals) == 5
    for terminal in plan.profile.terminals:
        corner = plan.profile.space(terminal.space).outline[0]
        symbol = group(root, f"terminal-{terminal.name.replace(' ', '-')}")
        drawn = relative(root, centre(symbol), terminal.space.replace(" ", "-"))
        asked = (terminal.at[0] - corner[0], terminal.at[1] - corner[1])
        assert drawn == pytest.approx(asked, abs=0.1 * scale(root))


def test_seen_from_below_the_vehicles_left_is_at_the_top(below, above):
    # Front at the left. Who styles up from below sees the left side where one above sees the right.
    left, right = "terminal-battery-positive", "keep-out-b1-brake-master-cylinder"
    for svg, is_left_higher in ((below, True), (above, False)):
        root = parse(svg)
        left_y = centre(group(root, left))[1]
        right_y = max(
            float(n) for n in re.findall(r"M[\d.]+ ([\d.]+)", group(root, right).find(f"{SVG}path").get("d"))
        )
        assert (left_y < right_y) is is_left_higher
        names = {word.words: word.y0 for word in words_of(group(root, "sides"))}
        assert (names["vehicle's left"] < names["vehicle's right"]) is is_left_higher
        assert f"SEEN FROM {'BELOW (mirrored)' if is_left_higher else 'ABOVE'}" in names


def test_the_check_bar_measures_100_mm_and_the_scale_bar_is_in_metres(below):
    root = parse(below)
    bar = points(group(root, "check-bar").find(f"{SVG}polyline"))
    assert bar[1][0] - bar[0][0] == pytest.approx(100.0, abs=1e-6)
    halves = group(root, "scale-bar").findall(f"{SVG}rect")
    assert float(halves[0].get("width")) * scale(root) == pytest.approx(500.0, abs=0.01 * scale(root))


def outside_windows(element: ET.Element) -> list[ET.Element]:
    """Return every element but those that are shown only within a window."""
    inner = [child for child in element if not child.get("clip-path")]
    return [element, *(found for child in inner for found in outside_windows(child))]


def test_everything_lies_on_the_paper(plan):
    assert len(PAPERS) == 4
    for name, paper in PAPERS.items():
        root = parse(draw_map(plan, paper=name))
        lines = [points(element) for element in outside_windows(root) if element.get("points")]
        assert len(lines) > 10 and len(words_of(root)) > 100
        for x, _ in itertools.chain(*lines):
            assert 4.0 <= x <= paper.width_mm - 4.0
        for word in words_of(root):
            assert word.x0 >= 4.0 and word.x1 <= paper.width_mm - 4.0, word


def test_opening_between_rows_is_joined_straight_up_and_down(below):
    lines = group(parse(below), "openings").findall(f"{SVG}polyline")
    assert lines
    for line in lines:
        (x0, _), (x1, _) = points(line)
        assert x0 == x1


# --- labels -----------------------------------------------------------------------------------------------


def overlapping(root: ET.Element) -> list[tuple[str, str]]:
    found = []
    for element in root.iter(f"{SVG}g"):
        if re.match(r"(strip-|detail-.-)?labels", element.get("id", "")):
            words = words_of(element)
            found += [
                (a.words, b.words) for n, a in enumerate(words) for b in words[n + 1 :] if a.overlaps(b)
            ]
    return found


def test_no_label_overlaps_another_or_the_route(plan, below, above):
    for svg in (below, above, draw_map(plan, paper="letter")):
        root = parse(svg)
        assert overlapping(root) == []
        words = words_of(group(root, "labels"))
        assert len(words) > 60
        for run in ("run-supply", "run-earth"):
            lines = [LineString(points(line)) for line in group(root, run).iter(f"{SVG}polyline")]
            for word in words:
                assert not any(line.intersects(box(word.x0, word.y0, word.x1, word.y1)) for line in lines), (
                    word
                )


def test_no_label_overlaps_another_on_any_shipped_vehicle(profile_maps):
    assert len(profile_maps) == len(EXAMPLES) > 0
    for name, svg in profile_maps.items():
        assert overlapping(parse(svg)) == [], name
        assert len(words_of(group(parse(svg), "labels"))) > 70


def test_every_keep_out_shown_has_its_tag(profile_maps):
    assert len(profile_maps) == len(EXAMPLES) > 0
    for name, svg in profile_maps.items():
        root = parse(svg)
        tags = {
            element.get("id").split("-")[2].upper()
            for element in root.iter(f"{SVG}g")
            if re.match("keep-out-", element.get("id", ""))
        }
        written = {word.words.split()[0] for word in words_of(group(root, "labels"))}
        assert len(tags) >= 50
        assert tags <= written, name


# --- what is shown ----------------------------------------------------------------------------------------


def test_fixings_kinds_differ_by_shape(plan):
    shapes = {"tie": "circle", "clip": "rect", "P-clip": "polygon"}
    kinds = [FixingKind(kind) for kind in shapes]
    first = plan.runs[0]
    fixings = tuple(replace(each, kind=kinds[each.number % 3]) for each in first.fixings)
    assert {fixing.kind for fixing in fixings} == set(kinds)
    root = parse(draw_map(replace(plan, runs=(replace(first, fixings=fixings), *plan.runs[1:]))))
    for fixing in fixings:
        symbol = group(root, f"fixing-supply-{fixing.number}")
        assert symbol.find(SVG + shapes[str(fixing.kind)]) is not None


def test_stations_and_members_and_tightest_places_are_named(below):
    words = {word.words for word in words_of(group(parse(below), "labels"))}
    assert {"1 m", "2 m", "3 m"} <= words
    assert any(word.startswith("over") for word in words)
    assert any(word.startswith("through") for word in words)
    assert "a: 62 (61)" in words
    larger = {word.words for word in words_of(group(parse(below), "detail-a"))}
    assert "c" in words  # shown again in the detail, where there is room for the distance and the least one
    assert "c: 24 (20)" in larger


def test_the_strip_gives_every_fixing_its_station(plan, below):
    assert [run.name for run in plan.runs] == ["supply", "earth"]
    for run in plan.runs:
        assert run.fixings
        words = [word.words for word in words_of(group(parse(below), f"strip-{run.name}"))]
        for fixing in run.fixings:
            assert f"{fixing.station_mm / 1000:.2f}" in words


def test_strip_positions_are_stations_at_its_scale(plan, below):
    strip = group(parse(below), "strip-supply")
    at = float(re.search(r"stations 1:([\d.]+)", " ".join(w.words for w in words_of(strip))).group(1))
    line = max((points(line) for line in strip.iter(f"{SVG}polyline")), key=len)
    route = plan.runs[0].route.points
    assert len(line) == len(route)
    for (x, _), point in zip(line, route, strict=True):
        assert (x - line[0][0]) * at == pytest.approx(point.station_mm, abs=0.1 * at)


def test_a_space_that_no_run_enters_is_left_out_where_it_lies_above_the_main_view(plan):
    only_earth = replace(plan, runs=plan.runs[1:])
    only_supply_below = replace(plan, profile=replace(plan.profile, spaces=plan.profile.spaces))
    assert has_group(parse(draw_map(only_supply_below)), "space-load-area")
    assert has_group(parse(draw_map(only_earth)), "space-load-area")
    stays = [point for point in plan.runs[0].route.points if point.space != "load area"]
    short = replace(
        plan.runs[0],
        route=replace(plan.runs[0].route, points=tuple(stays), passages=()),
        end="left rear lamp",
    )
    drawn = parse(draw_map(replace(plan, runs=(short,))))
    assert not has_group(drawn, "space-load-area")
    assert has_group(drawn, "space-engine-bay")


def test_legend_shows_just_what_is_there(plan, below):
    def said(svg: str) -> str:
        return " ".join(word.words for word in words_of(group(parse(svg), "legend"))).lower()

    assert "high-voltage" in said(below)
    kept = tuple(k for k in plan.profile.keep_outs if k.hazard != "high-voltage")
    without = draw_map(replace(plan, profile=replace(plan.profile, keep_outs=kept, covers=())))
    assert "high-voltage" not in said(without)
    assert "cover" in said(below)
    assert "cover" not in said(without)


def test_shared_way_is_drawn_once_with_the_second_run_inside_it(below):
    root = parse(below)
    inlaid = group(root, "shared-routes").findall(f"{SVG}polyline")
    assert inlaid
    assert all(line.get("stroke") == "#fff" for line in inlaid)
    earth = sample_plan().runs[1]
    assert {fixing.shared_with for fixing in earth.fixings} == {None, "supply"}
    for fixing in earth.fixings:  # a fixing of the first run's holds both
        assert has_group(root, f"fixing-earth-{fixing.number}") is (fixing.shared_with is None)


# --- hostile text -----------------------------------------------------------------------------------------


def test_hostile_names_stay_text():
    profile = sample_profile()
    named = [replace(k, name=f"{k.name}{HOSTILE}") if n == 0 else k for n, k in enumerate(profile.keep_outs)]
    profile = replace(profile, name=HOSTILE, variant=HOSTILE, keep_outs=tuple(named))
    job = replace(sample_job(), name=HOSTILE)
    for svg in (draw_map(sample_plan(profile, job)), draw_profile(profile)):
        svg.encode("utf-8")
        root = parse(svg)
        assert not list(root.iter(f"{SVG}script"))
        for element in root.iter():
            assert not any(name.lower().startswith("on") or "href" in name for name in element.attrib)
        assert "<script>alert(1)</script>" in "".join(root.itertext())


# --- details ----------------------------------------------------------------------------------------------


def test_a_crowded_place_is_shown_again_at_1_to_10(plan, below):
    root = parse(below)
    detail = group(root, "detail-a")
    window = detail.find(f"{SVG}defs/{SVG}clipPath/{SVG}rect")
    x, y, width, height = (float(window.get(name)) for name in ("x", "y", "width", "height"))
    inside = [
        fixing
        for fixing in plan.runs[0].fixings
        if has_group(detail, f"detail-a-fixing-supply-{fixing.number}")
    ]
    drawn = {f.number: centre(group(detail, f"detail-a-fixing-supply-{f.number}")) for f in inside}
    seen = [f for f in inside if x < drawn[f.number][0] < x + width and y < drawn[f.number][1] < y + height]
    assert len(seen) >= 3
    for one, other in pairwise(seen):  # 1 mm of paper is 10 mm of the vehicle
        assert (drawn[other.number][0] - drawn[one.number][0]) * 10 == pytest.approx(
            other.x_mm - one.x_mm, abs=1.0
        )
        assert (drawn[other.number][1] - drawn[one.number][1]) * 10 == pytest.approx(
            other.y_mm - one.y_mm, abs=1.0
        )
    assert detail.get("clip-path") == f"url(#{detail.find(f'{SVG}defs/{SVG}clipPath').get('id')})"
    assert "detail A" in {word.words for word in words_of(group(root, "labels"))}
    assert overlapping(detail) == []


def test_a_parted_legend_too_shows_just_what_is_there(profile_maps):
    hazards = {str(keep_out.hazard) for keep_out in read_profile("dunlin-lwb").keep_outs}
    legend = [word.words for word in words_of(group(parse(profile_maps["dunlin-lwb"]), "legend"))]
    signs = {words[2:] for words in legend if re.fullmatch(r"[A-Z] [a-z-]+", words)}
    assert "high-voltage" not in hazards
    assert signs == hazards
