"""Plans how an accessory cable runs under a vehicle; the layers are drawn in DEVELOPERS.md.

For programs: `plan`, `Planner`, `load_plan`, `review`, `check` and `profiles`, the records that they answer
with, and the errors that they raise. Each is imported when it is first asked for: `import router` itself
reads in next to nothing.
"""

from typing import TYPE_CHECKING

from router.lazy_names import lazy_names
from router.version import __version__

if TYPE_CHECKING:
    from router.api import Plan, PlannedRun, Review, check, load_plan, plan, profiles, review
    from router.errors import (
        Fault,
        NoAnswerError,
        NoConductorError,
        NoRouteError,
        Pinch,
        Relaxation,
        UnreadableError,
    )
    from router.model.conductor_choice import ConductorChoice, FuseChoice
    from router.model.fixing import Fixing
    from router.model.plan import (
        Allowance,
        BillLine,
        ClearanceCheck,
        Finding,
        Loom,
        Passage,
        RoutePoint,
        Severity,
        Station,
    )
    from router.model.practice import Rule
    from router.planner import Planner
    from router.stopping import PlanStoppedError

__all__ = [
    "Allowance",
    "BillLine",
    "ClearanceCheck",
    "ConductorChoice",
    "Fault",
    "Finding",
    "Fixing",
    "FuseChoice",
    "Loom",
    "NoAnswerError",
    "NoConductorError",
    "NoRouteError",
    "Passage",
    "Pinch",
    "Plan",
    "PlanStoppedError",
    "PlannedRun",
    "Planner",
    "Relaxation",
    "Review",
    "RoutePoint",
    "Rule",
    "Severity",
    "Station",
    "UnreadableError",
    "__version__",
    "check",
    "load_plan",
    "plan",
    "profiles",
    "review",
]

_HOMES = {
    "api": ("Plan", "PlannedRun", "Review", "check", "load_plan", "plan", "profiles", "review"),
    "errors": (
        "Fault",
        "NoAnswerError",
        "NoConductorError",
        "NoRouteError",
        "Pinch",
        "Relaxation",
        "UnreadableError",
    ),
    "model.fixing": ("Fixing",),
    "model.plan": (
        "Allowance",
        "BillLine",
        "ClearanceCheck",
        "ConductorChoice",
        "Finding",
        "FuseChoice",
        "Loom",
        "Passage",
        "RoutePoint",
        "Severity",
        "Station",
    ),
    "model.practice": ("Rule",),
    "planner": ("Planner",),
    "stopping": ("PlanStoppedError",),
}

if not TYPE_CHECKING:  # a checker of types must find a misspelt name
    __getattr__ = lazy_names(__name__, _HOMES)


def __dir__() -> list[str]:
    return sorted(__all__)
