"""The search: pure geometry and graphs in the plane, without a vehicle word."""

from router.search.beside import (
    find_beside,
    find_between,
    find_by_nodes,
    find_by_point,
    is_loose,
    rerouted,
    smooth,
    snapped,
)
from router.search.bound.distances import Distances, GraphBounds
from router.search.bound.proof import prove, prove_all
from router.search.bound.shared_paths import least_together
from router.search.branches import branch_places
from router.search.k_best import best_path, near_best_paths
from router.search.laid_graph import GraphCache, GraphWithLaid, factor_at
from router.search.once import best_once, there_and_back
from router.search.path_search import Ask, Path, Step, find_path
from router.search.polish import polish
from router.search.reach import Parts, is_reached, parts_of
from router.search.sight_graph import Node, SightGraph
from router.search.trunks import Trunk, Trunks
from router.search.world import XY, Gate, Join, Key, Layer, Link, Rail, World, Zone, may_meet

__all__ = [
    "XY",
    "Ask",
    "Distances",
    "Gate",
    "GraphBounds",
    "GraphCache",
    "GraphWithLaid",
    "Join",
    "Key",
    "Layer",
    "Link",
    "Node",
    "Parts",
    "Path",
    "Rail",
    "SightGraph",
    "Step",
    "Trunk",
    "Trunks",
    "World",
    "Zone",
    "best_once",
    "best_path",
    "branch_places",
    "factor_at",
    "find_beside",
    "find_between",
    "find_by_nodes",
    "find_by_point",
    "find_path",
    "is_loose",
    "is_reached",
    "least_together",
    "may_meet",
    "near_best_paths",
    "parts_of",
    "polish",
    "prove",
    "prove_all",
    "rerouted",
    "smooth",
    "snapped",
    "there_and_back",
]
