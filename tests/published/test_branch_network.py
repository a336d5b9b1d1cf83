"""Branches: drops against a resistor network solved by general-purpose libraries.

Reference: Kirchhoff's current law as the weighted Laplacian of a graph, built with networkx (Hagberg,
Schult, Swart, Exploring network structure, dynamics, and function using NetworkX, SciPy 2008) and solved
with numpy.linalg.solve (Harris et al., Array programming with NumPy, Nature 585, 2020). Resistances by IEC
60228:2004 class 5 at 20 degC. The network below is drawn from nodes and resistors alone; it shares nothing
with the code that it checks.
"""

from __future__ import annotations

import random

import networkx
import numpy
import pytest
from conductor_cases import a_circuit_job, a_return, by_name, choose
from small_vehicle import a_conductor, a_run

from router.model.job import Series

MOHM_PER_M = {"1.5 mm2": 13.3, "2.5 mm2": 7.98, "4 mm2": 4.95, "6 mm2": 3.30, "10 mm2": 1.91}
JOINT_OHM, BODY_OHM, CRIMP_M = 0.002, 0.007, 0.12
PRACTICE = {
    ("conductor", "self-heating"): 0.0,
    ("conductor", "connection"): JOINT_OHM,
    ("conductor", "crimp length"): 1000 * CRIMP_M,
    ("conductor", "body return"): BODY_OHM,
}


class Network:
    """Resistors between named nodes, and loads that draw a current from one node into another."""

    def __init__(self) -> None:
        self.graph = networkx.Graph()
        self.loads: dict[str, tuple[str, str, float]] = {}

    def conductor(self, start: str, end: str, size: str, length_m: float) -> None:
        ohm = MOHM_PER_M[size] / 1000 * (length_m + 2 * CRIMP_M) + 2 * JOINT_OHM
        self.graph.add_edge(start, end, weight=1 / ohm)

    def drops_v(self) -> dict[str, float]:
        """Return what every load misses of the source's voltage, both of its poles held at 0."""
        nodes = [node for node in self.graph if node not in ("plus", "minus")]
        adjacency = networkx.to_numpy_array(self.graph, nodelist=[*nodes, "plus", "minus"])
        laplacian = numpy.diag(adjacency.sum(axis=1)) - adjacency
        inward = numpy.zeros(len(nodes))
        for positive, negative, amperes in self.loads.values():
            inward[nodes.index(positive)] -= amperes
            inward[nodes.index(negative)] += amperes
        solved = numpy.linalg.solve(laplacian[: len(nodes), : len(nodes)], inward)
        volts = dict(zip(nodes, solved, strict=True))
        return {
            name: volts[negative] - volts[positive] for name, (positive, negative, _) in self.loads.items()
        }


def random_tree(seed: int):
    """Return a job of feeds that branch at random, some with an earth of their own, and its network."""
    rng = random.Random(seed)
    network = Network()
    network.graph.add_edge("body", "minus", weight=1 / BODY_OHM)
    runs, lengths, earthed = [], {}, []
    outs: list[str] = []
    for number in range(rng.randint(1, 7)):
        name, feeder = f"out {number}", rng.choice([None, *outs]) if outs else None
        size, length_m, load_a = rng.choice(list(MOHM_PER_M)), rng.uniform(0.2, 9.0), rng.uniform(0.1, 5.0)
        conductor = a_conductor(name, load_a=load_a, size=size, fed_by=feeder)
        runs.append(
            a_run(f"run {name}", feeder or "battery positive", f"end {name}", conductors=(conductor,))
        )
        lengths[f"run {name}"] = length_m * 1000
        network.conductor(feeder or "plus", name, size, length_m)
        network.loads[name] = (name, "body", load_a)
        outs.append(name)
    leaves = [name for name in outs if not any(run.conductors[0].fed_by == name for run in runs)]
    earthed = rng.sample(leaves, rng.randint(0, len(leaves)))
    if earthed:  # one earth for all of them, and a second piece that returns the first one's current
        for name, returns, start, end in (
            ("earth", tuple(earthed), "common", "joint"),
            ("earth 2", ("earth",), "joint", "body"),
        ):
            size, length_m = rng.choice(list(MOHM_PER_M)), rng.uniform(0.2, 3.0)
            runs.append(a_run(f"run {name}", start, end, conductors=(a_return(name, *returns, size=size),)))
            lengths[f"run {name}"] = length_m * 1000
            network.conductor(start, end, size, length_m)
        for name in earthed:
            network.loads[name] = (name, "common", network.loads[name][2])
    job = a_circuit_job(*runs, series=Series.IEC, ambient_c={"underfloor": 20.0}, drop=1.0)
    return job, lengths, network, leaves


@pytest.mark.parametrize("seed", range(60))
def test_drop_of_every_load_is_the_networks(seed):
    job, lengths, network, leaves = random_tree(seed)
    choices = by_name(choose(job, lengths, practice=PRACTICE))
    reference = network.drops_v()
    assert leaves
    for name in leaves:
        assert choices[name].drop_v == pytest.approx(reference[name], rel=1e-9)


@pytest.mark.parametrize("seed", range(60))
def test_a_trunks_drop_is_the_worst_of_its_loads(seed):
    job, lengths, network, _ = random_tree(seed)
    choices = by_name(choose(job, lengths, practice=PRACTICE))
    reference = network.drops_v()
    worst = max(reference.values())
    assert max(choice.drop_v for choice in choices.values()) == pytest.approx(worst, rel=1e-9)


def test_the_references_themselves_agree_with_a_ladder_by_hand():
    network = Network()
    network.graph.add_edge("body", "minus", weight=1 / BODY_OHM)
    network.conductor("plus", "node", "10 mm2", 2.0)
    network.loads["lamp"] = ("node", "body", 10.0)
    by_hand_v = 10.0 * (0.00191 * 2.24 + 2 * JOINT_OHM + BODY_OHM)
    assert network.drops_v()["lamp"] == pytest.approx(by_hand_v, rel=1e-12)
