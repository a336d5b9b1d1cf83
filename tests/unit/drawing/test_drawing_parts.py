"""The parts of the map: pen, letters, hatches, clearance lines, colours."""

from __future__ import annotations

import itertools
import math
import re
import xml.etree.ElementTree as ET
from dataclasses import replace

import pytest
import shapely
from contrast import contrast
from sample_plan import sample_plan, sample_profile
from shapely.geometry import LineString, Point, box

from router.drawing import draw_profile
from router.drawing.labels.labelling import Label, LabelBoard
from router.drawing.layers.hazards import HAZARD_STYLES, clearance_outline, hatch
from router.drawing.layers.run_lines import own_stretches
from router.drawing.layers.vehicle_layer import MIDDLE
from router.drawing.paper import inks
from router.drawing.paper.frame import SCALES, Box, Frame, SeenFrom, paper_named, rows_of_spaces
from router.drawing.paper.letters import fit, room_mm, text_width_mm, wrap
from router.drawing.paper.pen import Ink, Pen, plain_text, slug
from router.drawing.sheets.title import SIGNAL_INKS, WORD_MM, draw_cautions, draw_scale_bar
from router.facts import lying_with_earlier
from router.facts.along_route import heading_words
from router.facts.cautions import cautions_on_map
from router.facts.tags import HAZARD_LETTERS, keep_out_tags
from router.model.vehicle import Hazard, KeepOut, Shape, ShapeKind
from router.reading import read_profile


def a_pen() -> Pen:
    return Pen(100.0, 100.0, "title", "description")


# --- cautions ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("count", range(5))
def test_cautions_are_never_cut_off(paper, count):
    profile, width_mm = sample_profile(), paper_named(paper).width_mm
    four = (Hazard.HIGH_VOLTAGE, Hazard.FUEL, Hazard.AIRBAG, Hazard.HOT)
    sets = list(itertools.combinations(four, count))
    assert len(sets) == math.comb(4, count) > 0
    for hazards in sets:
        there = tuple(replace(profile.keep_outs[0], hazard=hazard) for hazard in hazards)
        cautions = cautions_on_map(replace(profile, keep_outs=there))
        pen = Pen(width_mm, 100.0, "title", "description")
        draw_cautions(pen, cautions, Box(8.0, 8.0, width_mm - 16.0, 40.0))
        texts = [each for each in ET.fromstring(pen.finish()).iter() if each.tag.endswith("}text")]
        shorts = [caution.short for caution in cautions]
        written = {each.text: float(each.get("x")) for each in texts if each.text in shorts}
        assert list(written) == shorts
        for words, start_mm in written.items():
            right_mm = min([width_mm - 8.0, *(x - WORD_MM for x in written.values() if x > start_mm)])
            assert start_mm + room_mm(words, MIDDLE) <= right_mm


# --- pen --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("bad", [math.nan, math.inf, -math.inf, 1e9])
def test_numbers_that_cannot_be_drawn_are_refused(bad):
    calls = (
        lambda pen: pen.line([(0, 0), (bad, 1)], Ink("#000")),
        lambda pen: pen.area([(0, 0), (1, bad), (1, 1)], Ink("#000")),
        lambda pen: pen.circle((bad, 0), 1, Ink("#000")),
        lambda pen: pen.circle((0, 0), bad, Ink("#000")),
        lambda pen: pen.box(0, 0, bad, 1, Ink("#000")),
        lambda pen: pen.segments([((0, 0), (bad, 0))], Ink("#000")),
        lambda pen: pen.rings([[(0, 0), (bad, 0), (0, 1), (0, 0)]], Ink("#000")),
        lambda pen: pen.text((bad, 0), "words", size_mm=3),
        lambda pen: pen.text((0, 0), "words", size_mm=bad),
        lambda pen: pen.line([(0, 0), (1, 1)], Ink("#000", bad)),
        lambda pen: pen.line([(0, 0), (1, 1)], Ink("#000", dash=(bad, 1))),
    )
    for call in calls:
        with pytest.raises(ValueError, match="cannot be drawn"):
            call(a_pen())


def test_colours_that_are_no_colours_are_refused():
    with pytest.raises(ValueError, match="does not need"):
        a_pen().line([(0, 0), (1, 1)], Ink('#000" onload="alert(1)'))
    with pytest.raises(ValueError, match="does not need"):
        a_pen().box(0, 0, 1, 1, Ink(fill="url(javascript:alert(1))"))


def test_attributes_beyond_the_list_are_refused():
    pen = a_pen()
    element = pen._drawing.circle((0, 0), 1)
    element.attribs["onclick"] = "alert(1)"
    with pytest.raises(ValueError, match="onclick"):
        pen._add(element, Ink("#000"))


def test_text_cannot_leave_its_element():
    pen = a_pen()
    with pen.group('a"><script>', "title </title><script>"):
        pen.text((1, 1), "</text><script>alert(1)</script> & \x00\x07\ud800\ufffe\x9b", size_mm=3)
    root = ET.fromstring(pen.finish())
    assert not [element for element in root.iter() if "script" in element.tag]
    assert "</text><script>alert(1)</script> & \ufffd\ufffd\ufffd\ufffd\ufffd" in "".join(root.itertext())


def test_plain_text_keeps_what_people_write():
    assert plain_text("Größe 2.5 mm² – 50 °C, Łódź, 日本") == "Größe 2.5 mm² – 50 °C, Łódź, 日本"
    assert plain_text("a\tb\nc") == "a b c"


def test_numbers_are_rounded_and_never_minus_nought():
    pen = a_pen()
    pen.line([(-0.00001, 1 / 3), (2.0, 1e-9)], Ink("#000"))
    assert 'points="0,0.333 2,0"' in pen.finish()


def test_the_same_name_twice_gives_two_ids():
    pen = a_pen()
    for _ in range(3):
        with pen.group("left sill"):
            pass
    assert re.findall(r'id="([^"]+)"', pen.finish()) == ["left-sill", "left-sill-2", "left-sill-3"]
    assert slug("???") == "unnamed"


# --- letters ----------------------------------------------------------------------------------------------


def test_widths_are_those_of_the_font():
    # Adobe Core 14 font metrics, Helvetica.afm and Helvetica-Bold.afm, WX of single letters.
    regular = {
        " ": 278,
        "0": 556,
        "A": 667,
        "I": 278,
        "M": 833,
        "W": 944,
        "i": 222,
        "m": 833,
        "@": 1015,
        "~": 584,
    }
    bold = {
        " ": 278,
        "0": 556,
        "A": 722,
        "I": 278,
        "M": 833,
        "W": 944,
        "i": 278,
        "m": 889,
        "@": 975,
        "~": 584,
    }
    assert len(regular) == len(bold) == 10
    for widths, is_bold in ((regular, False), (bold, True)):
        for letter, width in widths.items():
            assert text_width_mm(letter, 1000.0, is_bold=is_bold) == width, letter


def test_room_is_kept_for_wider_fonts():
    assert room_mm("Station", 3.0) == pytest.approx(1.15 * text_width_mm("Station", 3.0))


def test_wrapped_and_cut_words_fit():
    words = "the quick brown fox jumps over the extraordinarilylongwordwithoutanyspaces dog"
    lines = wrap(words, 30.0, 2.5)
    assert all(room_mm(line, 2.5) <= 30.0 for line in lines)
    assert " ".join(lines).split()[:4] == words.split()[:4]
    assert fit("left sill flange", 12.0, 2.5).endswith("…")
    assert fit("left", 12.0, 2.5) == "left"


# --- frame ------------------------------------------------------------------------------------------------


def test_from_below_y_keeps_its_sense_and_from_above_it_turns():
    # ISO 4130 axes: x rearward, y to the vehicle's right. Front left on paper; paper's y runs down.
    assert Frame((10.0, 20.0), 25.0, SeenFrom.BELOW).at((250.0, 500.0)) == (20.0, 40.0)
    assert Frame((10.0, 20.0), 25.0, SeenFrom.ABOVE).at((250.0, 500.0)) == (20.0, 0.0)


def test_spaces_above_one_another_come_in_two_rows():
    rows = rows_of_spaces(sample_profile().spaces)
    assert [[space.name for space in row] for row in rows] == [["underfloor", "engine bay"], ["load area"]]


# --- hazards ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("angle", [0, 30, 45, 90, 135, 150])
def test_hatch_lines_are_inside_parallel_and_evenly_apart(angle):
    shape = box(3.3, 4.1, 33.3, 24.1).difference(Point(18, 14).buffer(4))
    pieces = hatch(shape, angle, 1.5)
    assert len(pieces) > 10
    offsets = set()
    for (x0, y0), (x1, y1) in pieces:
        assert shape.buffer(1e-6).contains(LineString([(x0, y0), (x1, y1)]))
        assert math.degrees(math.atan2(-(y1 - y0), x1 - x0)) % 180 == pytest.approx(angle % 180, abs=1e-3)
        turn = math.radians(angle)
        offsets.add(round((x0 * math.sin(turn) + y0 * math.cos(turn)) / 1.5, 4))
    assert all(offset == pytest.approx(round(offset), abs=1e-3) for offset in offsets)
    total = sum(math.dist(*piece) for piece in pieces)
    assert total * 1.5 == pytest.approx(shape.area, rel=0.08)  # 14 lines in a height of 13.3 gaps


def disc(heights: tuple[float, float] | None) -> KeepOut:
    shape = Shape(ShapeKind.DISC, ((0.0, 0.0),), 100.0)
    return KeepOut("disc", "underfloor", Hazard.HOT, shape, heights, False, None)


def test_clearance_line_is_the_hypotenuse_in_plan():
    # A 3-4-5 triangle: 50 mm in space over a vertical gap of 30 mm leave 40 mm in plan; loom 10 mm thick.
    frame = Frame((0.0, 0.0), 1.0, SeenFrom.BELOW)
    line = clearance_outline(disc((0.0, 265.0)), 50.0, 10.0, 300.0, frame)
    reach = [math.hypot(x, y) for x, y in shapely.get_coordinates(line.exterior)]
    assert max(reach) == pytest.approx(100 + 5 + 40, abs=1e-6)
    level = clearance_outline(disc(None), 50.0, 10.0, 300.0, frame)
    assert max(math.hypot(x, y) for x, y in shapely.get_coordinates(level.exterior)) == pytest.approx(155.0)
    assert clearance_outline(disc((0.0, 245.0)), 50.0, 10.0, 300.0, frame) is None


def test_hazards_differ_by_letter_and_by_hatch_not_by_colour_alone():
    assert set(HAZARD_STYLES) == set(HAZARD_LETTERS) == set(Hazard)
    assert len(set(HAZARD_LETTERS.values())) == len(Hazard)
    assert len({(look.hatches, look.dash) for look in HAZARD_STYLES.values()}) == len(Hazard)


def test_hazard_colours_are_safe_for_the_colour_blind():
    # Okabe and Ito, "Color Universal Design": orange, sky blue, green, yellow, blue, vermillion, purple.
    palette = {"#E69F00", "#56B4E9", "#009E73", "#F0E442", "#0072B2", "#D55E00", "#CC79A7"}
    greys = {"#999999", "#bbbbbb"}
    assert {look.colour for look in HAZARD_STYLES.values()} <= palette | greys


def test_every_text_has_contrast():
    assert contrast("#fff", "#000") == pytest.approx(21.0)  # WCAG: the largest there is
    for colour in (inks.BLACK, inks.GREY, inks.GREEN, inks.BLUE):
        assert contrast(colour, "#fff") >= 4.5
    for background, letters in SIGNAL_INKS.values():
        assert contrast(background, letters) >= 4.5
    for look in HAZARD_STYLES.values():
        assert contrast(look.outline, "#fff") >= 4.5  # WCAG asks 3 of shapes


def test_tags_count_from_the_front():
    tags = keep_out_tags(sample_profile())
    assert tags["exhaust manifold"] == "H1"
    assert tags["exhaust tail"] == "H6"
    assert len(set(tags.values())) == len(sample_profile().keep_outs)


# --- labels -----------------------------------------------------------------------------------------------


def test_labels_in_a_crowd_find_places_apart():
    board = LabelBoard(Box(0, 0, 120, 80))
    for number in range(40):
        at = (60 + 12 * math.cos(number), 40 + 8 * math.sin(number * 1.7))
        board.add_obstacle(Point(at).buffer(0.8))
        board.add(Label(f"thing {number}", (at,)))
    placed = board.place()
    assert len(placed) == 40
    boxes = [box(p.box.x, p.box.y, p.box.right, p.box.bottom) for p in placed]
    assert sum(a.intersects(b) for n, a in enumerate(boxes) for b in boxes[n + 1 :]) == 0
    assert sum(b.intersects(o.geometry) for b in boxes for o in board.obstacles) == 0


def test_a_label_keeps_off_what_it_must_and_may_lie_on_its_own():
    board = LabelBoard(Box(0, 0, 60, 60))
    board.add_obstacle(box(20, 20, 40, 40), owner="tank")
    board.add(Label("tank", ((30, 30),), owner="tank", may_lie_on=True))
    board.add(Label("other", ((30, 30),)))
    own, other = board.place()
    assert box(20, 20, 40, 40).contains(box(own.box.x, own.box.y, own.box.right, own.box.bottom))
    assert not box(20, 20, 40, 40).intersects(
        box(other.box.x, other.box.y, other.box.right, other.box.bottom)
    )
    assert other.leader is not None


def test_without_room_words_get_short_or_are_left_out():
    board = LabelBoard(Box(0, 0, 14, 6))
    board.add(Label("H1 exhaust manifold", ((7, 3),), short="H1", may_lie_on=True))
    board.add(Label("a name that is not needed", ((7, 3),), is_needed=False))
    assert [placed.label.words for placed in board.place()] == ["H1"]


# --- runs -------------------------------------------------------------------------------------------------


def test_shared_and_own_stretches_make_up_the_whole_run():
    plan = sample_plan()
    supply, earth = plan.runs
    shared = lying_with_earlier(plan.bundles, earth.name)
    own = own_stretches(earth.route, shared)
    parting = 121.9 + 1040.0  # 80 by 90 by 20 mm to the rail, along it from x 1700 to 2740 where they part
    assert [station for stretch in shared for station in stretch] == pytest.approx([0.0, parting], abs=30)
    assert sum(b - a for a, b in (*shared, *own)) == pytest.approx(earth.route.routed_mm)
    assert lying_with_earlier(plan.bundles, supply.name) == ()


@pytest.mark.parametrize(
    ("direction", "words"),
    [
        ((1, 0, 0), "rearward"),
        ((-1, 0.1, 0), "forward"),
        ((0, 1, 0), "right"),
        ((0.7, -0.7, 0), "rearward and left"),
    ],
)
def test_directions_are_the_vehicles_own(direction, words):
    assert heading_words(direction) == words  # ISO 4130: x rearward, y to the right


# --- scales -----------------------------------------------------------------------------------------------


def test_scales_are_those_of_iso_5455_and_none_leaves_more_than_half_the_sheet_free():
    """ISO 5455:1979: reductions 1:2, 1:5, 1:10, 1:20, 1:50, 1:100, 1:200 are recommended, 1:1 is full size.

    Of vehicles 2 m to 10 m long, which need about 1:10 to 1:50 on A4, a next scale 1.5 times smaller at most
    leaves at least 1 / 1.5 squared, 44 %, of what the largest would cover.
    """
    assert {1, 2, 5, 10, 20, 50, 100, 200} <= set(SCALES)
    assert list(SCALES) == sorted(SCALES)
    for larger, smaller in itertools.pairwise(scale for scale in SCALES if 10 <= scale <= 75):
        assert smaller <= 1.5 * larger


@pytest.mark.parametrize(("share", "wanted"), [(0.6, 15), (0.5, 15), (1.5, 40)])
def test_a_small_and_a_large_vehicle_use_the_sheet(share, wanted):
    """The estate is drawn at 1:25; 0.6, 0.5 or 1.5 times as large it fits at 1:15, 1:12.5, 1:37.5.

    The next scales are 1:15 and 1:40; before these, 1:20 and 1:50 were.
    """
    profile = read_profile("sanderling-estate")
    spaces = [
        replace(space, outline=tuple((x * share, y * share) for x, y in space.outline))
        for space in profile.spaces
    ]
    nothing = dict.fromkeys(
        ("keep_outs", "members", "supports", "covers", "exposed", "openings", "terminals"), ()
    )
    drawing = draw_profile(replace(profile, spaces=tuple(spaces), **nothing))
    assert f"scale 1:{wanted} on A4" in drawing


@pytest.mark.parametrize(
    ("scale", "part_mm", "count"), [(25, 500, 5), (10, 500, 2), (5, 100, 5), (1, 10, 10)]
)
def test_the_scale_bar_has_parts_at_every_scale(scale, part_mm, count):
    """100 mm of paper hold so many parts: 100 x 25 / 500, 100 x 10 / 500, 100 x 5 / 100, 100 x 1 / 10."""
    pen = a_pen()
    draw_scale_bar(pen, float(scale), Box(0, 0, 100, 6))
    root = ET.fromstring(pen.finish())
    widths = [float(rect.get("width")) for rect in root.iter("{http://www.w3.org/2000/svg}rect")]
    assert widths == pytest.approx([part_mm / scale] * count)
