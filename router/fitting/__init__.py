"""What lies along routes that are given, planned or drawn: looms, lengths, conductors, and their review.

sized_routes    who lies together, how long, which conductors, in how thick a loom
crowded_bores   what is too narrow for all looms through it
reviewed_runs   one run reviewed, every trunk as thick as it is
"""

from router.fitting.crowded_bores import CrowdedBore, crowded_bores
from router.fitting.reviewed_runs import with_trunks
from router.fitting.sized_routes import (
    RouteSizes,
    alike,
    measure_runs,
    own_looms_mm,
    size_routes,
    straight_route,
    widest_wires_mm,
)

__all__ = [
    "CrowdedBore",
    "RouteSizes",
    "alike",
    "crowded_bores",
    "measure_runs",
    "own_looms_mm",
    "size_routes",
    "straight_route",
    "widest_wires_mm",
    "with_trunks",
]
