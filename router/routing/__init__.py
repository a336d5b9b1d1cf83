"""Plans the way of every run of a job: vehicle words on this side, the search's geometry behind it."""

from router.routing.closed_bores import ClosedBores
from router.routing.dragged_ends import DraggedEnd, DraggedWay
from router.routing.effort import LegCosts, job_effort_mm
from router.routing.end_choices import FixedEnds, fixed_ends
from router.routing.free_space import (
    band_half_mm,
    corridor,
    free_between,
    make_world,
    opening_fits,
)
from router.routing.gaps import proven_job_gap, with_proven_gaps
from router.routing.ground_costs import IN_WORDS, GroundZone
from router.routing.job_routes import Routing, effort_as_held_mm, find_routes, further_from_best, near_best
from router.routing.job_search import NoPathError, OnePlaceError
from router.routing.levels import Level, level_at, levels_of
from router.routing.loom_on_vehicle import (
    LoomOnVehicle,
    blocked_each,
    plan_reach_mm,
    required_in,
)
from router.routing.routes import make_route
from router.routing.searched_jobs import as_searched, run_as_searched
from router.routing.shut_ends import first_shut_end
from router.routing.wide_bends import with_wide_bends

__all__ = [
    "IN_WORDS",
    "ClosedBores",
    "DraggedEnd",
    "DraggedWay",
    "FixedEnds",
    "GroundZone",
    "LegCosts",
    "Level",
    "LoomOnVehicle",
    "NoPathError",
    "OnePlaceError",
    "Routing",
    "as_searched",
    "band_half_mm",
    "blocked_each",
    "corridor",
    "effort_as_held_mm",
    "find_routes",
    "first_shut_end",
    "fixed_ends",
    "free_between",
    "further_from_best",
    "job_effort_mm",
    "level_at",
    "levels_of",
    "make_route",
    "make_world",
    "near_best",
    "opening_fits",
    "plan_reach_mm",
    "proven_job_gap",
    "required_in",
    "run_as_searched",
    "with_proven_gaps",
    "with_wide_bends",
]
