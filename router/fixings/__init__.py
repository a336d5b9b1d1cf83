"""Where a run is fixed: the fewest fixings that meet every rule, then the best held, then the most even.

spots       where something can be fixed, and how
holes       where a hole may be drilled, and what lies behind it
needs       stretches that must have a fixing, and the spans that are allowed
fewest      the fewest places that meet both; pure numbers
spans       what each span rests on
"""

from router.fixings.placing import place_fixings
from router.fixings.spans import spans_along
from router.fixings.spots import AvoidedSupport, PlacedFixing, fixings_beside, holds_at, supports_avoided

__all__ = [
    "AvoidedSupport",
    "PlacedFixing",
    "fixings_beside",
    "holds_at",
    "place_fixings",
    "spans_along",
    "supports_avoided",
]
