"""Why a run goes as it does, how else it could go, and why there is no way."""

from router.explaining.explained import Explained, explain_routes
from router.explaining.no_way import find_routes_or_explain
from router.explaining.other_ends import TriedEnds, end_reasons, find_other_ends, no_end_has_an_answer

__all__ = [
    "Explained",
    "TriedEnds",
    "end_reasons",
    "explain_routes",
    "find_other_ends",
    "find_routes_or_explain",
    "no_end_has_an_answer",
]
