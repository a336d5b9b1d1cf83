"""Fixings that hold several runs at once: each is fetched, counted and drawn for the first of them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from router.facts.bundles import station_beside
from router.model.fixing import Fixing
from router.model.plan import Bundle
from router.tolerances import SAME_FIXING_MM


def with_shared(
    run: str, fixings: Sequence[Fixing], earlier: Mapping[str, Sequence[Fixing]], bundles: Sequence[Bundle]
) -> tuple[Fixing, ...]:
    """Return the fixings of a run that somebody drew, each with the run whose fixing it is already.

    Parameters
    ----------
    run : str
    fixings : sequence of Fixing
    earlier : mapping of str to sequence of Fixing
        Those of earlier runs, by run in the job's order.
    bundles : sequence of Bundle
        Which runs lie together where.
    """
    beside = [
        (other, station_mm)
        for other, theirs in earlier.items()
        for each in theirs
        if (station_mm := station_beside(bundles, run, other, each.station_mm)) is not None
    ]
    return tuple(
        replace(
            fixing,
            shared_with=next(
                (other for other, mm in beside if abs(mm - fixing.station_mm) <= SAME_FIXING_MM), None
            ),
        )
        for fixing in fixings
    )
