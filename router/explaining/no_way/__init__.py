"""Why there is no way: what shuts it, where, and what would open it."""

from router.explaining.no_way.asking import find_routes_or_explain

__all__ = ["find_routes_or_explain"]
