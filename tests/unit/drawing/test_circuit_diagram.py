"""The circuit diagram: all that the plan has, at its right place, readable, nothing over anything else."""

import re
from itertools import combinations, pairwise

import pytest
from example_plans import example_plan
from random_circuits import random_plan
from sample_plan import sample_plan
from svg_reading import SVG, parse, points

from router.drawing import draw_circuit
from router.drawing.diagram.box_order import order_of
from router.drawing.diagram.circuit_points import Symbol, circuit_of
from router.drawing.diagram.line_crossings import lanes_of
from router.drawing.paper.letters import CAPITAL_HEIGHT, room_mm

NAMES = (
    "fridge-supply", "market-trailer", "rowing-trailer", "search-lamp", "trailer-socket", "warming-cabinet",
    "work-lamp", "work-lamp-rear-battery",
)  # fmt: skip
RANDOM = 60
DESCENDER = 0.22


def texts_of(root):
    """Return every text with the box that its letters may take; what two sheets share, once."""
    found = {}
    for text in root.iter(f"{SVG}text"):
        x, y, size = (float(text.get(name)) for name in ("x", "y", "font-size"))
        width = room_mm(text.text, size, is_bold=text.get("font-weight") == "bold")
        found[text.text, x, y] = (x, y - CAPITAL_HEIGHT * size, x + width, y + DESCENDER * size)
    return found


def lines_of(root):
    """Return the straight pieces of all that is drawn in lines, each once."""
    pieces = set()
    for line in root.iter(f"{SVG}polyline"):
        corners = points(line)
        pieces |= set(pairwise(corners))
    return pieces


def overlapping(root):
    """Return the pairs of texts that overlap, and the texts that a line goes through."""
    boxes = texts_of(root)
    pairs = [(a, b) for (a, one), (b, other) in combinations(boxes.items(), 2) if meet(one, other)]
    lines = [(min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1)) for (x0, y0), (x1, y1) in lines_of(root)]
    for drawn in (*lines, *symbol_boxes(root)):
        pairs += [(name, drawn) for name, box in boxes.items() if meet(box, drawn)]
    return pairs


def symbol_boxes(root):
    """Return the boxes of symbols, fuses and loads, as wide as their ink, and half a line's ink of air."""
    found = set()
    for box in root.iter(f"{SVG}rect"):
        x, y, width, height = (float(box.get(name, 0)) for name in ("x", "y", "width", "height"))
        if width < 30 and box.get("stroke"):
            air = float(box.get("stroke-width", 0)) / 2 + 0.25
            found.add((x - air, y - air, x + width + air, y + height + air))
    return found


def meet(one, other):
    across = one[0] < other[2] and other[0] < one[2]
    return across and one[1] < other[3] and other[1] < one[3]


def wires_of(root, circuit):
    """Return the lines that go round at the right of all boxes, from their first to their last point."""
    edge = max(float(box.get("x")) + float(box.get("width")) for box in boxes_of(root))
    found = {tuple(points(line)) for line in root.iter(f"{SVG}polyline") if len(points(line)) == 4}
    wires = [each for each in found if each[0][0] == edge == each[3][0] and each[1][0] > edge]
    assert len(wires) == len(circuit.wires)
    return wires


def boxes_of(root):
    return [each for each in root.iter(f"{SVG}rect") if float(each.get("width")) > 30 and each.get("stroke")]


def crossings_of(wires):
    """Return how many of the level pieces of wires go through upright pieces of others."""
    level = [(wire, wire[k], wire[k + 1]) for wire in wires for k in (0, 2)]
    upright = [(wire, *sorted((wire[1], wire[2]), key=lambda at: at[1])) for wire in wires]
    return sum(
        one is not other and min(a[0], b[0]) < top[0] < max(a[0], b[0]) and top[1] < a[1] < foot[1]
        for one, a, b in level
        for other, top, foot in upright
    )


def lying_on_another(wires):
    """Return the wires whose upright piece lies on that of another."""
    upright = [(wire[1][0], *sorted((wire[1][1], wire[2][1]))) for wire in wires]
    return [
        (one, other)
        for one, other in combinations(upright, 2)
        if one[0] == other[0] and one[1] < other[2] and other[1] < one[2]
    ]


@pytest.fixture(scope="module", params=NAMES)
def drawn(request):
    plan = example_plan(request.param)
    return plan, circuit_of(plan), parse(draw_circuit(plan))


def test_nothing_lies_over_a_word_in_any_example(drawn):
    _, _, root = drawn
    assert len(texts_of(root)) > 10
    assert overlapping(root) == []


def test_no_line_crosses_another_in_any_example(drawn):
    _, circuit, root = drawn
    wires = wires_of(root, circuit)
    assert (crossings_of(wires), lying_on_another(wires)) == (0, [])
    assert order_of(circuit).crossings == 0


def test_all_is_on_the_paper_and_large_enough_for_a_telephone(drawn):
    _, _, root = drawn
    width, height = (float(each) for each in root.get("viewBox").split(",")[2:])
    for x0, y0, x1, y1 in texts_of(root).values():
        assert min(x0, y0) >= 0 and y1 <= height and x1 <= width
    smallest = min(float(text.get("font-size")) for text in root.iter(f"{SVG}text"))
    assert smallest * 362.0 / width >= 9.0  # CSS pixels, of a screen 390 wide with its margins
    assert width <= 190.0  # A4 upright, less its margins


def test_every_conductor_goes_from_its_start_to_its_end_and_says_what_it_is(drawn):
    plan, circuit, root = drawn
    texts = texts_of(root)
    words = " ".join(text for text, _, _ in sorted(texts, key=lambda each: each[2]))
    tops = sorted(
        (float(box.get("y")), float(box.get("y")) + float(box.get("height"))) for box in boxes_of(root)
    )
    places = dict(zip(order_of(circuit).boxes, dict.fromkeys(tops), strict=True))
    by_ends = sorted(tuple(sorted((a[1], d[1]))) for a, _, _, d in wires_of(root, circuit))
    wanted = []
    for number, (start, end) in enumerate(circuit.wires, start=1):
        label = f"{number} "
        ys = [y for text, _, y in texts if text.startswith(label)]
        spans = [places[each.box] for each in (start, end)]
        assert all(any(top <= y <= foot for y in ys) for top, foot in spans), label
        wanted.append(spans)
    assert len(wanted) == len(by_ends)
    for choice in (choice for run in plan.runs for choice in run.conductors):
        assert choice.size in words
    for run in plan.runs:
        if run.fuse:
            assert f"fuse {run.fuse.rating_a:g} A {run.fuse.family}" in words


def test_the_source_stands_first_and_the_earth_after_what_it_serves(drawn):
    _, circuit, root = drawn
    boxes = order_of(circuit).boxes
    assert boxes[0] == circuit.plan.job.source.at
    heads = [text for text, _, _ in sorted(texts_of(root), key=lambda each: each[2])]
    assert heads.index("battery positive") < 4


def test_sources_loads_and_earths_are_there(drawn):
    _, circuit, _ = drawn
    kinds = [item.symbol for item in circuit.items]
    assert kinds.count(Symbol.BATTERY) == 1
    assert kinds.count(Symbol.LOAD) + kinds.count(Symbol.LAMP) == len(circuit.network.loads) > 0
    assert {"rear earth stud", "boot earth stud"} & set(order_of(circuit).boxes) or "earth" in str(
        circuit.boxes
    )


@pytest.mark.parametrize("seed", range(RANDOM))
def test_nothing_lies_over_a_word_in_random_circuits(seed):
    plan = random_plan(seed)
    circuit, root = circuit_of(plan), parse(draw_circuit(plan))
    assert overlapping(root) == []
    wires = wires_of(root, circuit)
    assert crossings_of(wires) <= order_of(circuit).crossings
    assert lying_on_another(wires) == []


def test_the_sheets_of_a_long_diagram_part_no_word():
    root = parse(draw_circuit(example_plan("rowing-trailer")))
    sheets = [each for each in root.iter(f"{SVG}g") if re.fullmatch(r"circuit-sheet-\d+", each.get("id", ""))]
    height = float(root.get("viewBox").split(",")[3]) / len(sheets)
    assert len(sheets) > 1
    for _, y0, _, y1 in texts_of(root).values():
        assert y0 // height == y1 // height


def test_a_fuse_is_among_what_no_word_may_touch():
    root = parse(draw_circuit(sample_plan()))
    assert len(symbol_boxes(root)) > 1


def test_a_lead_is_told_to_be_one_cable():
    # ISO 11446-1:2012 has 12 conductors; the job names 10 of them, its tenth to its nineteenth.
    words = [text for text, _, _ in texts_of(parse(draw_circuit(example_plan("rowing-trailer"))))]
    assert "10-19: one 13-pin cable, 2 cores capped" in words


def test_it_is_black_and_white():
    colours = {
        each.get(name) for each in parse(draw_circuit(sample_plan())).iter() for name in ("fill", "stroke")
    }
    assert len(colours) > 2
    for colour in colours - {None, "none"}:
        red, green, blue = (
            int(2 * part, 16) if len(part) == 1 else int(part, 16) for part in parts_of(colour)
        )
        assert red == green == blue, colour


def parts_of(colour):
    step = (len(colour) - 1) // 3
    return [colour[1 + k * step : 1 + (k + 1) * step] for k in range(3)]


def test_the_same_plan_gives_the_same_bytes():
    assert draw_circuit(sample_plan()) == draw_circuit(sample_plan())


def test_longer_lines_lie_outside_of_shorter_ones():
    assert lanes_of([(1, 2), (4, 5), (0, 3), (3, 6)]) == [0, 0, 1, 2]
