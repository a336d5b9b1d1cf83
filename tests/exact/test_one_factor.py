"""One factor everywhere: the found way is the exact Euclidean shortest one.

Two independent references on the same polygons (tests/exact/visibility.py): a plain visibility graph made
with shapely and networkx, and the library extremitypathfinder where it is installed. It pins an old numpy,
so it has an environment of its own; the full study, both references:

    python -m venv ../ref && ../ref/bin/pip install -e '.[test,reference]' && \
        ../ref/bin/python -m pytest tests/exact/test_one_factor.py -m study -rP

Without the library the same line (in the usual environment) compares with the visibility graph alone.
"""

from __future__ import annotations

import importlib.util
import itertools
import math
from dataclasses import dataclass, field
from random import Random

import pytest
import shapely
from grounds import find_points, one_layer
from random_worlds import free_space, random_free_points, random_keep_outs
from visibility import Library, VisibilityGraph, stays_free, way_length_mm

from router.plane.offsets import grow_outside

EQUAL = 1e-9
"""Relative: what equal means on the same polygons."""
TRUE_ARC = 1e-6
"""Relative: what equal means against a closed form, whose arcs are true."""
LIBRARY_LIMIT = 100
"""Most keep-outs that the library is asked about: its building grows with the square and worse."""

HAS_LIBRARY = importlib.util.find_spec("extremitypathfinder") is not None


@dataclass
class Tally:
    """What a comparison over many worlds found."""

    ways: int = 0
    none: int = 0
    worst: float = 0.0
    library_ways: int = 0
    library_set_aside: list[str] = field(default_factory=list)


def compare(seed: int, count: int, tally: Tally, *, ask_library: bool) -> None:
    """Compare three ways through one random world with the references."""
    rng = Random(seed)
    keep_outs = random_keep_outs(rng, count)
    free = free_space(keep_outs)
    points = random_free_points(rng, free, keep_outs, 6)
    ground, graph = one_layer(free, points, step_mm=1000.0), VisibilityGraph(free)
    library = LibraryOf(free, graph.pinches)
    for start in (0, 2, 4):
        way = find_points(ground, start, start + 1)
        shortest_mm = graph.shortest_mm(points[start], points[start + 1])
        where = f"world {seed} of {count}, from {points[start]} to {points[start + 1]}"
        tally.ways += 1
        if way is None or shortest_mm is None:
            assert way is None and shortest_mm is None, where
            tally.none += 1
            continue
        assert stays_free(way, free), where
        length_mm = way_length_mm(way)
        tally.worst = max(tally.worst, abs(length_mm - shortest_mm) / shortest_mm)
        assert length_mm == pytest.approx(shortest_mm, rel=EQUAL), where
        if ask_library:
            library.compare(points[start], points[start + 1], length_mm, tally, where)


class LibraryOf:
    """The library's answers in one free space; each piece of it is built once, when it is asked about."""

    def __init__(self, free, pinches) -> None:
        self.pieces, self.pinches, self.built = shapely.get_parts(free), pinches, {}

    def compare(self, start, goal, length_mm, tally, where) -> None:
        """Compare one way; what the library gets wrong by shapely's judgement is set aside, and counted."""
        tally.library_ways += 1
        path = self._ask(start, goal)
        why = path if isinstance(path, str) else self._what_is_wrong(path)
        library_mm = 0.0 if why else way_length_mm(path)
        if not why and library_mm > length_mm * (1.0 + EQUAL):  # and shapely has judged ours free
            why = f"longer by {library_mm / length_mm - 1.0:.1e}"
        if why:
            tally.library_set_aside.append(f"{where}: {why}")
        else:
            assert library_mm == pytest.approx(length_mm, rel=EQUAL), where

    def _ask(self, start, goal):
        number = next(n for n, piece in enumerate(self.pieces) if piece.covers(shapely.Point(start)))
        try:
            if number not in self.built:
                self.built[number] = Library(self.pieces[number])
            return self.built[number].shortest(start, goal)
        except Exception as error:  # the library falls over at some collinear corners
            return f"fell over: {error}"

    def _what_is_wrong(self, path) -> str:
        if len(path) < 2:
            return "no way"
        if not stays_free(path, self.pieces):
            return "cuts through a keep-out"
        line = shapely.LineString(path)
        slips = any(line.distance(shapely.Point(pinch)) < 1e-9 for pinch in self.pinches)
        return "slips between keep-outs that touch" if slips else ""


@pytest.mark.filterwarnings("ignore:::extremitypathfinder")
def test_ways_equal_the_references_on_a_selection_of_worlds():
    tally = Tally()
    for seed, count in enumerate([5, 6, 8, 10, 12, 15, 20, 25, 30, 40] * 2 + [60, 80]):
        compare(seed, count, tally, ask_library=HAS_LIBRARY and count <= 12)
    assert tally.ways == 66
    assert tally.none < 17


@pytest.mark.study
@pytest.mark.filterwarnings("ignore:::extremitypathfinder")
def test_ways_equal_the_references_on_400_worlds():
    """Print how many ways were compared, the worst difference and what of the library was set aside.

    One line: `pytest tests/exact/test_one_factor.py -m study -rP`
    """
    tally = Tally()
    counts = [5, 7, 10, 14, 20, 28, 40, 57] * 46 + [80] * 12 + [100] * 10 + [140] * 4 + [200] * 6
    for seed, count in enumerate(counts, start=100_000):
        compare(seed, count, tally, ask_library=HAS_LIBRARY and count <= LIBRARY_LIMIT)
    print(f"{len(counts)} worlds, {tally.ways} ways, {tally.none} without one; worst {tally.worst:.1e}")
    print(f"library: {tally.library_ways} ways, set aside {len(tally.library_set_aside)}")
    print("\n".join(tally.library_set_aside))
    assert tally.ways == 3 * len(counts)
    assert len(tally.library_set_aside) <= 0.15 * tally.library_ways  # it falls over, or slips through gaps


def test_the_comparison_can_fail():
    """A way along a keep-out's hull in place of into its pocket's mouth is longer, and is told so."""
    free = free_space([shapely.box(2000.0, 500.0, 3000.0, 1500.0)])
    reference_mm = VisibilityGraph(free).shortest_mm((1000.0, 1000.0), (4000.0, 1000.0))
    longer_mm = way_length_mm([(1000.0, 1000.0), (2000.0, 1501.0), (3000.0, 1501.0), (4000.0, 1000.0)])
    assert reference_mm is not None
    assert longer_mm != pytest.approx(reference_mm, rel=EQUAL)
    assert not stays_free([(1000.0, 1000.0), (4000.0, 1000.0)], free)


def test_a_way_does_not_slip_between_keep_outs_that_touch_in_one_point():
    """Two boxes corner to corner shut the ground: both references and the search say so."""
    wall = [shapely.box(2000.0, 0.0, 2500.0, 950.0), shapely.box(2500.0, 950.0, 3000.0, 1900.0)]
    free = free_space(wall)
    ends = [(1000.0, 950.0), (4000.0, 950.0)]
    assert find_points(one_layer(free, ends), 0, 1) is None
    assert VisibilityGraph(free).shortest_mm(*ends) is None


# Closed forms: elementary geometry of tangents to circles.


def round_one_disc_mm(a_mm: float, b_mm: float, angle_rad: float, radius_mm: float) -> float:
    """Two tangents and the arc between them; ends at a and b from the middle, seen `angle` apart."""
    arc_rad = angle_rad - math.acos(radius_mm / a_mm) - math.acos(radius_mm / b_mm)
    return math.sqrt(a_mm**2 - radius_mm**2) + math.sqrt(b_mm**2 - radius_mm**2) + radius_mm * arc_rad


@pytest.mark.parametrize("quarter_steps", [1500])
@pytest.mark.parametrize(("radius_mm", "goal"), [(400.0, (4000.0, 950.0)), (700.0, (3100.0, 1400.0))])
def test_one_disc(radius_mm, goal, quarter_steps):
    middle, start = (2500.0, 950.0), (1200.0, 1100.0)
    free = free_space([grow_outside(shapely.Point(middle), radius_mm, quarter_steps=quarter_steps)])
    way = find_points(one_layer(free, [start, goal], step_mm=5000.0), 0, 1)
    a_rad, b_rad = (math.atan2(p[1] - middle[1], p[0] - middle[0]) for p in (start, goal))
    angle_rad = abs(math.remainder(a_rad - b_rad, 2.0 * math.pi))
    expected_mm = round_one_disc_mm(math.dist(start, middle), math.dist(goal, middle), angle_rad, radius_mm)
    assert way_length_mm(way) == pytest.approx(expected_mm, rel=TRUE_ARC)


def zigzag_mm(start, goal, circles) -> float:
    """Return the length of the taut way that passes circles on alternating sides, by inner tangents.

    `circles` are (x, y, radius, side): side +1 where the way has the circle on its left. Each leg is the
    tangent between two circles (a point is a circle of radius 0); on each circle there is an arc from where
    one leg arrives to where the next one leaves.
    """
    chain = [(*start, 0.0, 1), *circles, (*goal, 0.0, 1)]
    total_mm, headings = 0.0, []
    for (ax, ay, a_mm, a_side), (bx, by, b_mm, b_side) in itertools.pairwise(chain):
        apart_mm = math.dist((ax, ay), (bx, by))
        across_mm = b_side * b_mm - a_side * a_mm
        total_mm += math.sqrt(apart_mm**2 - across_mm**2)
        headings.append(math.atan2(by - ay, bx - ax) - math.asin(across_mm / apart_mm))
    for (_, _, radius_mm, side), (before, after) in zip(circles, itertools.pairwise(headings), strict=True):
        turn_rad = math.remainder(after - before, 2.0 * math.pi)
        assert turn_rad * side > 0.0, "not taut: choose other circles"
        total_mm += radius_mm * abs(turn_rad)
    return total_mm


def zigzag_ground(circles, quarter_steps: int):
    """Return free ground in which every circle is joined to the wall behind it."""
    keep_outs = []
    for x, y, radius_mm, side in circles:
        keep_outs.append(grow_outside(shapely.Point(x, y), radius_mm, quarter_steps=quarter_steps))
        wall_y = (y, 1900.0) if side > 0 else (0.0, y)
        keep_outs.append(shapely.box(x - 1.0, wall_y[0], x + 1.0, wall_y[1]))
    return free_space(keep_outs)


TWO_DISCS = [(1700.0, 1000.0, 350.0, 1), (3300.0, 900.0, 420.0, -1)]
CORRIDOR = [
    (900.0, 1000.0, 150.0, 1), (1500.0, 800.0, 200.0, -1), (2200.0, 1100.0, 180.0, 1),
    (2900.0, 850.0, 160.0, -1), (3500.0, 1050.0, 220.0, 1), (4200.0, 900.0, 140.0, -1),
]  # fmt: skip


@pytest.mark.parametrize("circles", [TWO_DISCS, CORRIDOR], ids=["two discs", "corridor of discs"])
def test_discs_on_alternating_sides(circles):
    start, goal = (300.0, 1000.0), (4800.0, 950.0)
    ground = one_layer(zigzag_ground(circles, 700), [start, goal], step_mm=5000.0)
    way = find_points(ground, 0, 1)
    assert way_length_mm(way) == pytest.approx(zigzag_mm(start, goal, circles), rel=TRUE_ARC)
