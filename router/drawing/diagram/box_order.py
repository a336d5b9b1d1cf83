"""In which order the boxes stand, and the ends in each, so that no line crosses another without need.

Boxes stand in one column. Conductors go round at its right, what is inside a box at its left. Two lines on
one side cross where their ends alternate: a, c, b, d. The order is the one with the fewest crossings that
comes nearest to the course of the current: sources first, earths last.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations, islice, permutations, product

from router.drawing.diagram.circuit_points import Circuit, End
from router.drawing.diagram.line_crossings import crossings
from router.facts import BODY

MOST_TO_TRY_ALL = 5
"""Boxes whose orders are all looked at; of more, one box after the other is moved to where it is best."""

MOST_MOVES = 150
"""Moves that are looked at, so that a plan of many boxes never waits for its drawing."""


@dataclass(frozen=True, slots=True)
class Order:
    """The boxes from top to bottom, and the ends in each."""

    boxes: tuple[str, ...]
    ends: tuple[End, ...]
    crossings: int


def order_of(circuit: Circuit) -> Order:
    """Return the order with the fewest crossings that was found, the nearest to the current's course."""
    wanted = _by_current(circuit)
    best = _best_ends(circuit, wanted)
    if not best.crossings:
        return best
    if len(wanted) <= MOST_TO_TRY_ALL:
        tried = (_best_ends(circuit, boxes) for boxes in permutations(wanted))
        return min(tried, key=lambda order: (order.crossings, _disorder(wanted, order.boxes)))
    return _improved(circuit, wanted, best)


def _improved(circuit: Circuit, wanted: Sequence[str], best: Order) -> Order:
    def rank(order: Order) -> tuple[int, int]:
        return order.crossings, _disorder(wanted, order.boxes)

    left = MOST_MOVES
    while left > 0:
        moved = tuple(islice(_moved(best.boxes), left))
        left -= len(moved)
        tried = min((_best_ends(circuit, boxes) for boxes in moved), key=rank)
        if rank(tried) >= rank(best):
            break
        best = tried
    return best


def _moved(boxes: tuple[str, ...]) -> Iterator[tuple[str, ...]]:
    for box in boxes:
        others = [each for each in boxes if each != box]
        yield from ((*others[:at], box, *others[at:]) for at in range(len(boxes)))


def _disorder(wanted: Sequence[str], boxes: Sequence[str]) -> int:
    places = [wanted.index(box) for box in boxes]
    return sum(one > other for one, other in combinations(places, 2))


def _by_current(circuit: Circuit) -> tuple[str, ...]:
    """Return the boxes as the current meets them: sources, what they feed, what else feeds that, earths."""
    depth = {circuit.box_of(feed.terminal): 0.0 for feed in circuit.network.feeds if feed.is_source}
    ahead = [(start.box, end.box) for start, end in circuit.wires]
    for _ in circuit.boxes:
        for start, end in ahead:
            if start in depth and end not in depth:
                depth[end] = depth[start] + 1
    for start, end in ahead:
        depth.setdefault(start, depth.get(end, 0.0) + 0.5)
    earths = {end.box for end in circuit.all_ends if end.node == BODY}
    last = float(len(circuit.boxes))
    return tuple(sorted(circuit.boxes, key=lambda box: last if box in earths else depth.get(box, last)))


def _best_ends(circuit: Circuit, boxes: tuple[str, ...]) -> Order:
    found = []
    for ways in product((1, -1), repeat=2):
        ends = _ends_in_order(circuit, boxes, *ways)
        found.append(Order(boxes, ends, crossings(circuit, ends)))
    return min(found, key=lambda order: order.crossings)


def _ends_in_order(
    circuit: Circuit, boxes: tuple[str, ...], returns: int, among_returns: int
) -> tuple[End, ...]:
    """Return all ends from top to bottom: in each box what comes from above, bare poles, what goes below.

    Of what comes from above, the nearest box first; of what goes below, the furthest first: so lines of
    different length lie round each other, and those of one length too. Of conductors between the same boxes
    those that bring current back come first or last (1, -1), in the job's order or the other way about.
    """
    place = {box: number for number, box in enumerate(boxes)}

    def rank(end: End) -> tuple[float, ...]:
        if end.wire is None:
            return place[end.box], 1, 0, 0, 0
        other = circuit.wires[end.wire][1 if end.is_start else 0]
        is_return = circuit.network.pieces[end.wire].is_return
        beside = (-returns if is_return else 0, end.wire * (among_returns if is_return else 1))
        if place[other.box] < place[end.box]:
            return place[end.box], 0, -place[other.box], -beside[0], -beside[1]
        is_same = other.box == end.box
        return place[end.box], 2 + is_same, -place[other.box], beside[0], beside[1]

    return tuple(sorted(circuit.all_ends, key=rank))
