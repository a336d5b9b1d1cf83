"""How a person asks for a map, as one record that commands and fleets hand on."""

from __future__ import annotations

from dataclasses import asdict, dataclass, replace
from typing import Any


@dataclass(frozen=True, slots=True)
class DrawingOptions:
    """The arguments of `draw_map` that every drawing on any paper takes; see there for what they mean."""

    seen_from: str
    paper: str
    roll_width_mm: float
    scale: float | None

    def for_a_page(self) -> DrawingOptions:
        """Return the options of the same map within a page to print: on sheets, without tiles."""
        return replace(self, paper="a4" if self.paper == "roll" else self.paper, scale=None)

    def keywords(self) -> dict[str, Any]:
        """Return the options as keyword arguments."""
        return asdict(self)
