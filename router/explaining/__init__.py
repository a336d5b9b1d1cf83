"""Why a run goes as it does, how else it could go, and why there is no way."""

from router.explaining.explained import Explained, explain_routes
from router.explaining.no_way import find_routes_or_explain

__all__ = ["Explained", "explain_routes", "find_routes_or_explain"]
