"""How soon a fuse clears a short, in words: never a figure that no published curve gives."""

from __future__ import annotations

from router.conductors.fuses import StandardFuse, clearing_s
from router.tables import load_table


def clearing_words(fuse: StandardFuse | None, current_a: float) -> str:
    """Return how soon a fuse clears a current: "within 0.5 s", "in under 0.04 s", "not for certain".

    Up to the last gate of its published curve the gate's own time stands, and beyond it that of the last
    gate. Only where the heat of that gate is reached in less than the shortest time that any gate knows,
    that is said.

    >>> from router.conductors.fuses import fuse_rated
    >>> clearing_words(fuse_rated(10.0), 40.0), clearing_words(fuse_rated(10.0), 400.0)
    ('within 0.5 s', 'in under 0.04 s')
    """
    if fuse is None or (seconds := clearing_s(fuse, current_a)) is None:
        return "not for certain"
    shortest_s = float(load_table("fuses")["shortest"]["time_s"])
    if seconds < shortest_s:
        return f"in under {shortest_s:g} s"
    last_s = fuse.clearing_points[-1].within_s
    return f"within {max(seconds, last_s):g} s"
