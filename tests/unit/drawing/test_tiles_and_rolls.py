"""Maps larger than a sheet: tiles that fit each other, and one long strip for a roll."""

from __future__ import annotations

import json
import re

import pytest
from sample_plan import sample_plan, sample_profile
from svg_reading import SVG, centre, group, has_group, parse, points, words_of

from router.drawing import draw_map, draw_profile

OVERLAP_MM = 12.0


@pytest.fixture(scope="module")
def plan():
    return sample_plan()


@pytest.fixture(scope="module")
def tiled(plan):
    return parse(draw_map(plan, scale=5.0))


def tiles_of(root):
    return json.loads(root.find(f"{SVG}metadata").text)["tiles"]


def test_every_fixing_is_on_a_tile_at_the_scale_that_was_asked_for(plan, tiled):
    assert len(plan.runs[0].fixings) > 10
    for fixing in plan.runs[0].fixings:
        seen = []
        for tile in tiles_of(tiled):
            name = f"tile-{tile['tile'].lower()}-fixing-supply-{fixing.number}"
            if tile["space"] != fixing.space or not has_group(tiled, name):
                continue
            x, y = centre(group(tiled, name))
            (ox, oy), scale = tile["origin_mm"], tile["scale"]
            assert scale == 5.0
            # 0.1 mm of paper; from below, y to the right runs down the paper
            assert (x - ox) * scale == pytest.approx(fixing.x_mm, abs=0.1 * scale)
            assert (y - oy) * scale * tile["y_sense"] == pytest.approx(fixing.y_mm, abs=0.1 * scale)
            left, top, width, height = tile["window_mm"]
            seen.append(left <= x <= left + width and top <= y <= top + height)
        assert any(seen), fixing


def test_neighbours_show_the_same_strip_and_carry_the_same_marks(tiled):
    """A cross in the middle of what two tiles share is the same place on both: cross lies on cross."""
    frames = {tile["tile"]: tile for tile in tiles_of(tiled) if tile["space"] == "underfloor"}
    assert {"A1", "A2"} <= set(frames)
    first, second = frames["A1"], frames["A2"]
    x0 = first["window_mm"][0] + first["window_mm"][2] - OVERLAP_MM / 2
    x1 = second["window_mm"][0] + OVERLAP_MM / 2
    assert x0 - first["origin_mm"][0] == pytest.approx(x1 - second["origin_mm"][0], abs=0.01)
    marks = [
        group(tiled, f"marks-of-tile-{name}").findall(f"{SVG}path")[-1].get("d") for name in ("a1", "a2")
    ]
    for x, d in ((x0, marks[0]), (x1, marks[1])):
        places = {float(number) for number in re.findall(r"[ML]([\d.]+) ", d)}
        assert any(abs(place - x) < 0.01 for place in places)


def test_each_tile_has_its_own_sheet_and_names_its_neighbours(tiled):
    tiles = list(dict.fromkeys(tile["tile"] for tile in tiles_of(tiled)))
    sheets = [element for element in tiled if element.get("id", "").startswith("sheet-")]
    for tile, sheet in zip(tiles, sheets[-len(tiles) :], strict=True):
        words = {word.words for word in words_of(sheet)}
        assert f"TILE {tile}" in words
        assert "1:5 on A4" in words
        if tile == "A1":
            assert "at the right: A2" in words
    first = {word.words for word in words_of(group(tiled, "labels"))}
    assert {f"tile {tile}" for tile in tiles} <= first  # the small map says which tile shows what


def labels_of(root):
    """Return where each label lies on the underfloor's tiles, from the vehicle's origin in mm of paper."""
    where = {}
    for tile in {each["tile"]: each for each in tiles_of(root) if each["space"] == "underfloor"}.values():
        ox, oy = tile["origin_mm"]
        for text in group(root, f"tile-{tile['tile'].lower()}-labels").iter(f"{SVG}text"):
            at = (float(text.get("x")) - ox, float(text.get("y")) - oy)
            where.setdefault(text.text, {}).setdefault(tile["tile"], set()).add(at)
    return where


def test_labels_lie_in_the_same_place_on_all_tiles(tiled):
    """What two neighbours in a row or a column both show lies in one place; each with its halo."""
    twice = {words: tiles for words, tiles in labels_of(tiled).items() if len(tiles) == 2}
    near = {words: tiles for words, tiles in twice.items() if len({ord(tile[0]) for tile in tiles}) == 1
            or abs(ord(min(tiles)[0]) - ord(max(tiles)[0])) == 1}  # fmt: skip
    assert len(near) > 4
    for words, tiles in near.items():
        ((one,), (other,)) = tiles.values()
        assert one == pytest.approx(other, abs=0.01), words


def test_tags_of_keep_outs_lie_on_the_middle_of_their_bodies(tiled):
    """By hand from the sample's drawing at 1:5; half a letter, 1 mm of paper, either way."""
    middles_mm = {"M3": (1350, 0), "H1": (-115, 160), "B1": (115, 470), "V1": (1100, 350), "M2": (30, 345)}
    labels = labels_of(tiled)
    assert middles_mm.keys() <= labels.keys()
    for tag, (x_mm, y_mm) in middles_mm.items():
        for at in set.union(*labels[tag].values()):
            assert at == pytest.approx((x_mm / 5, y_mm / 5), abs=1.5), tag


def test_blank_tiles_have_a_group_to_draw_in_for_every_space(plan):
    root = parse(draw_map(plan, scale=5.0, is_blank=True))
    assert len(tiles_of(root)) > 2
    for tile in tiles_of(root):
        assert [child.tag for child in group(root, tile["draw_in"])] == [f"{SVG}title"]


def test_a_scale_that_fits_the_sheet_makes_no_tiles(plan):
    root = parse(draw_map(plan, scale=50.0))
    assert "tiles" not in json.loads(root.find(f"{SVG}metadata").text)
    assert "scale 1:50 " in root.find(f"{SVG}desc").text


@pytest.mark.parametrize("scale", [7.0, 0.0, -10.0, float("nan")])
def test_scales_that_are_on_no_ruler_are_refused(plan, scale):
    with pytest.raises(ValueError, match="is not known"):
        draw_map(plan, scale=scale)


def test_a_roll_is_one_strip_as_high_as_the_roll_is_wide(plan):
    root = parse(draw_map(plan, paper="roll", roll_width_mm=610.0))
    assert root.get("height") == "610mm"
    width = float(root.get("width").removesuffix("mm"))
    assert sum(1 for element in root if element.get("id", "").startswith("sheet-")) == 1
    for run in plan.runs:
        assert has_group(root, f"strip-{run.name}")
    for word in words_of(root):
        assert word.x0 >= 4.0 and word.x1 <= width - 4.0, word
        assert word.y0 >= 4.0 and word.y1 <= 606.0, word


def test_the_scale_on_a_roll_is_the_largest_that_fits_across(plan):
    spaces = sample_profile().spaces
    across_mm = sum(
        max(y for _, y in space.outline) - min(y for _, y in space.outline)
        for space in spaces
        if space.name
        in ("underfloor", "load area")  # one row each; the engine bay lies before the underfloor
    )
    root = parse(draw_profile(sample_profile(), paper="roll", roll_width_mm=914.0))
    scale = float(re.search(r"scale 1:(\d+)", root.find(f"{SVG}desc").text).group(1))
    assert across_mm / scale < 914.0
    assert (
        across_mm / {10.0: 5.0, 5.0: 2.0}[scale] > 914.0 - 150.0
    )  # the next larger has no room for the head


def test_the_check_bar_measures_100_mm_on_a_roll_too(plan):
    bar = points(group(parse(draw_map(plan, paper="roll")), "check-bar").find(f"{SVG}polyline"))
    assert bar[1][0] - bar[0][0] == pytest.approx(100.0, abs=1e-6)
