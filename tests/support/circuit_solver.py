"""What a circuit does, by Ohm's and Kirchhoff's laws alone: nothing of the package is used here.

Each battery is 12 V behind 10 mohm, each conductor has 10 mohm, each load the resistance that draws its
current at 12 V. The potentials follow from the sum of the currents at each point being zero (nodal analysis).
"""

from __future__ import annotations

from collections.abc import Iterator

import networkx as nx
import numpy as np

VOLTS, BATTERY_OHM, WIRE_OHM, JOINT_OHM = 12.0, 0.01, 0.01, 0.001
LEAK_OHM = 1e7
"""Ties what is joined to nothing to the body, so that every point has a potential."""


def potentials(circuit) -> dict[str, float]:
    """Return the potential of each point over the body. [V]"""
    edges = [(w.start_point, w.end_point, WIRE_OHM) for w in circuit.wires]
    edges += [(a, b, JOINT_OHM) for a, b in circuit.joints]
    edges += [(plus, minus, VOLTS / amperes) for _, plus, minus, amperes in circuit.loads]
    points = sorted(
        {p for a, b, _ in edges for p in (a, b)} | {p for pair in circuit.batteries for p in pair}
    )
    index = {point: number for number, point in enumerate(points)}
    conductance = np.eye(len(points)) / LEAK_OHM
    current = np.zeros(len(points))

    def join(a: str, b: str, ohm: float) -> None:
        i, j = index[a], index[b]
        if i != j:
            conductance[[i, j], [i, j]] += 1 / ohm
            conductance[[i, j], [j, i]] -= 1 / ohm

    for a, b, ohm in edges:
        join(a, b, ohm)
    for plus, minus in circuit.batteries:
        join(plus, minus, BATTERY_OHM)
        current[index[plus]] += VOLTS / BATTERY_OHM
        current[index[minus]] -= VOLTS / BATTERY_OHM
    return dict(zip(points, np.linalg.solve(conductance, current), strict=True))


def is_shorted(circuit) -> bool:
    """Return whether some battery gives more than three times what all loads together draw, and 100 A."""
    at = potentials(circuit)
    drawn_a = sum(amperes for *_, amperes in circuit.loads)
    given_a = [(VOLTS - (at[plus] - at[minus])) / BATTERY_OHM for plus, minus in circuit.batteries]
    return max(given_a) > max(3 * drawn_a, 100.0)


def dead_loads(circuit) -> set[str]:
    """Return the loads that get less than half of the voltage."""
    at = potentials(circuit)
    return {name for name, plus, minus, _ in circuit.loads if at[plus] - at[minus] < VOLTS / 2}


def let_through_a(circuit, point: str, without: str) -> float:
    """Return the most that fuses let through from all batteries to a point, one wire left out."""
    graph = nx.DiGraph()
    for plus, _ in circuit.batteries:
        graph.add_edge("all batteries", plus)
    for number, wire in enumerate(circuit.wires):
        if wire.returns or wire.name == without:
            continue
        # a point of its own within each wire, as networkx knows one edge between two
        for begin, end in ((wire.start_point, wire.end_point), (wire.end_point, wire.start_point)):
            within = f"within {number} from {begin}"
            graph.add_edge(begin, within, **({"capacity": wire.rating_a} if wire.rating_a else {}))
            graph.add_edge(within, end)
    return nx.maximum_flow_value(graph, "all batteries", point)


def unprotected(circuit, furthest_mm: float, pigtail_mm: float) -> set[tuple[str, str]]:
    """Return battery points with wires on them that no fuse protects near enough."""
    return {
        (plus, name)
        for plus, _ in circuit.batteries
        for name in _unfused(circuit, plus, furthest_mm, pigtail_mm)
    }


def _unfused(circuit, plus: str, furthest_mm: float, pigtail_mm: float) -> Iterator[str]:
    graph = nx.MultiGraph()
    graph.add_node(plus)
    for wire in circuit.wires:
        if not wire.fused:
            graph.add_edge(wire.start_point, wire.end_point, length=wire.length_mm)
    away_mm = nx.single_source_dijkstra_path_length(graph, plus, weight="length")
    loaded = {point for _, *both, _ in circuit.loads for point in both}
    for wire in circuit.wires:
        near = [point for point in (wire.start_point, wire.end_point) if point in away_mm]
        if not near or wire.returns or set(near) & set(wire.fused):
            continue
        far = wire.end_point if near[0] == wire.start_point else wire.start_point
        goes_on_fused = wire.fused or any(far in other.fused for other in circuit.wires)
        most_mm = furthest_mm if goes_on_fused and far not in loaded else pigtail_mm
        if min(away_mm[point] for point in near) + wire.length_mm > most_mm:
            yield wire.name
