"""How often lines cross in a column of boxes, conductors at the right and what is inside boxes at the left.

Each end has a row. Lines on one side lie round each other in lanes, the shorter ones inside.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

from router.drawing.diagram.circuit_points import Circuit, End, minus_nets

Span = tuple[int, int]


def crossings(circuit: Circuit, ends: Sequence[End]) -> int:
    """Return how often lines cross, conductors at the right and what is inside boxes at the left."""
    at = {end: number for number, end in enumerate(ends)}
    wires = [_span(at[start], at[end]) for start, end in circuit.wires]
    right = sum(_alternate(one, other) for one, other in combinations(wires, 2))
    return right + _left_crossings(circuit, at)


def _left_crossings(circuit: Circuit, at: dict[End, int]) -> int:
    """Return how often the line of an end crosses a net that it does not belong to."""
    joined = nested([[at[end] for end in net] for net in circuit.nets])
    minus = nested([[at[end] for end in net] for net in minus_nets(circuit)])
    through = {at[item.end] for item in circuit.items} | {row for net in minus for row in net}
    count = _stubs_across(joined, through)
    return count + _stubs_across(minus, set())


def _stubs_across(nets: Sequence[Sequence[int]], through: set[int]) -> int:
    """Return the crossings of nets, inner ones first, and of the rows that go on past all of them."""
    lanes = lanes_of([(min(net), max(net)) for net in nets])
    count = 0
    for net, lane in zip(nets, lanes, strict=True):
        inside = range(min(net) + 1, max(net))
        further = {row for other, beyond in zip(nets, lanes, strict=True) if beyond > lane for row in other}
        count += len(((further | through) & set(inside)) - set(net))
    return count


def nested(nets: Sequence[Sequence[int]]) -> list[list[int]]:
    """Return nets by their length, the shortest first: the longer ones lie round them."""
    return sorted((sorted(set(net)) for net in nets), key=lambda net: (net[-1] - net[0], net))


def lanes_of(spans: Sequence[Span]) -> list[int]:
    """Return the lane of each span, given shortest first: outside of all that it touches."""
    lanes: list[int] = []
    for number, (low, high) in enumerate(spans):
        touched = [
            lanes[k] for k, (first, last) in enumerate(spans[:number]) if first <= high and low <= last
        ]
        lanes.append(1 + max(touched, default=-1))
    return lanes


def _span(one: int, other: int) -> Span:
    return min(one, other), max(one, other)


def _alternate(one: Span, other: Span) -> bool:
    first, second = sorted((one, other))
    return first[0] < second[0] < first[1] < second[1]
