"""How long a run is, how long its conductors are cut, and what was installed beside that."""

from router.lengths.installed import LEAST_VEHICLES, compare_fitted
from router.lengths.measuring import measure_run

__all__ = [
    "LEAST_VEHICLES",
    "compare_fitted",
    "measure_run",
]
