"""What covers the conductors: bundle and loom by size, trunks and branches, heat sleeve.

loom_sizes  the loom for a bundle
dressing    the loom over each bundle, and where bundles change
sleeves     the stretches near hot things
"""

from router.looms.dressing import dress_looms, find_breakouts
from router.looms.loom_sizes import LoomSize, least_bore_mm, loom_for
from router.looms.sleeves import heat_sleeves

__all__ = [
    "LoomSize",
    "dress_looms",
    "find_breakouts",
    "heat_sleeves",
    "least_bore_mm",
    "loom_for",
]
