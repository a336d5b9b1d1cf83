"""Fleets: the same jobs on many vehicles, each different plan made once and kept.

content     the key of a plan, made from all that goes into it
working     one question in, rows and files out, wherever it is worked out
executors   in this process, on all cores, or on machines that dask knows
store       fleet.sqlite, and the folders of plans; tables names its tables
running     a few questions at a time, kept as they are answered
kits cuts ordering outliers     what a fleet comes to, from the store
report fleet_page charts lists fleet_text    how that is told
"""

from router.fleet.executors import ExecutorError as FleetError
from router.fleet.fleet_text import fleet_json, fleet_words
from router.fleet.running import FailedPlan, Progress
from router.fleet.whole_fleet import plan_fleet

__all__ = ["FailedPlan", "FleetError", "Progress", "fleet_json", "fleet_words", "plan_fleet"]
