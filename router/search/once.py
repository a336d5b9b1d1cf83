"""The best path that goes by what it must, crosses nothing twice and turns back on no rail.

A path is told to go by something (`via`), and the cheapest answer is often to step over a gate, or through a
link, and straight back, or to ride a rail up to a gate, or just onto the rail, and back again. So of two
crossings of one thing, or of two rides there and back, either is shut by turns, and both questions are asked,
the cheaper answer first, until a path does neither: conflict-based search (G. Sharon, R. Stern, A. Felner,
N. Sturtevant, Artificial Intelligence 219, 2015), its agents the parts of the path between what it goes by.
A path that crosses nothing twice is shut out of one of the two at most, so that none is lost; one that rides
a rail one way in one part and the other way in another, but without turning on it, may be.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from heapq import heappop, heappush
from itertools import pairwise

from router.search.path_search import Ask, Path, Shut, via_left_before
from router.search.world import Crossing, World

MOST_ASKED = 24
"""How many questions are asked at most; after that the best path goes there and back."""


def best_once(world: World, ask: Ask, best: Callable[[Ask], Path | None]) -> tuple[Ask, Path | None]:
    """Return the best path found that does not go there and back, and what was asked for it.

    Where there is none: the best of all, and the question as it was.

    Parameters
    ----------
    world : World
    ask : Ask
    best : callable
        What finds the best path that answers a question, or None.
    """
    first = best(ask)
    if first is None or not ask.via:
        return ask, first
    asked, waiting = 1, [(first.effort_mm, 1, ask, first)]
    while waiting and asked < MOST_ASKED:
        _, _, question, path = heappop(waiting)
        twice = there_and_back(world, path, ask.via)
        if not twice:
            return question, path
        for each in twice:
            asked += 1
            narrower = replace(question, shut=(*question.shut, each))
            found = best(narrower)
            if found is not None:
                heappush(waiting, (found.effort_mm, asked, narrower, found))
    return ask, first


def there_and_back(world: World, path: Path, via: tuple[str, ...]) -> tuple[Shut, ...]:
    """Return two crossings of one gate or link by a path, or rides there and back; () where there are none.

    Parameters
    ----------
    world : World
    path : Path
    via : tuple of str
        What it goes by, which parts it.
    """
    known: dict[Crossing, Shut] = {}
    after: Shut | None = None
    """The ride that the path goes on with."""
    met = len(via)
    for here, there in reversed(list(pairwise(path.steps))):
        met_after, met = met, via_left_before(via, met, here.keys)
        ends = (here.layer, here.x, here.y), (there.layer, there.x, there.y)
        for crossing in world.crossings(*ends, here.link, here.keys):
            own = Shut(crossing, met, met_after)
            if known.setdefault(crossing, own) != own:
                return own, known[crossing]
        ride = None if here.rail is None else world.ride(*ends, here.rail)
        if ride is not None:
            own = Shut(ride, met, met_after)
            if after is not None and after.thing == ride._replace(is_forward=not ride.is_forward):
                return own, after
            after = own
        elif ends[0] != ends[1]:
            after = None
    return ()
