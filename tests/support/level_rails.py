"""Rails for worlds of pure geometry: level ones, joined at one cost wherever they may be joined."""

from __future__ import annotations

from typing import Any

from router.search.world import Join, Rail


def level_rail(key: str, line: Any, ride: Any, join: Any, factor: float, join_mm: float) -> Rail:
    """Return a rail that lies as high all along."""
    return Rail(key, line, ride, (Join(join, join_mm),), factor, (1.0,) * (len(line.coords) - 1))
