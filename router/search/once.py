"""The best path that goes by what it must and crosses nothing twice.

A path is told to go by something (`via`), and the cheapest answer is often to step over a gate, or through a
link, and straight back. So of two crossings of one thing either is shut by turns, and both questions are
asked, the cheaper answer first, until one crosses nothing twice: conflict-based search (G. Sharon, R. Stern,
A. Felner, N. Sturtevant, Artificial Intelligence 219, 2015), its agents the parts of the path between what
it goes by. A path that crosses nothing twice is shut out of one of the two at most, so that none is lost.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from heapq import heappop, heappush
from itertools import pairwise

from router.search.path_search import Ask, Path, ShutCrossing, via_left_before
from router.search.world import Crossing, World

MOST_ASKED = 24
"""How many questions are asked at most; after that the best path goes there and back."""


def best_once(world: World, ask: Ask, best: Callable[[Ask], Path | None]) -> tuple[Ask, Path | None]:
    """Return the best path found that crosses nothing twice, and what was asked for it.

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
        twice = crossed_twice(world, path, ask.via)
        if not twice:
            return question, path
        for each in twice:
            asked += 1
            narrower = replace(question, shut=(*question.shut, each))
            found = best(narrower)
            if found is not None:
                heappush(waiting, (found.effort_mm, asked, narrower, found))
    return ask, first


def crossed_twice(world: World, path: Path, via: tuple[str, ...]) -> tuple[ShutCrossing, ...]:
    """Return two crossings of one gate or link by a path, in two parts of it; () where there are none.

    Parameters
    ----------
    world : World
    path : Path
    via : tuple of str
        What it goes by, which parts it.
    """
    known: dict[Crossing, ShutCrossing] = {}
    met = len(via)
    for here, there in reversed(list(pairwise(path.steps))):
        met_after, met = met, via_left_before(via, met, here.keys)
        ends = (here.layer, here.x, here.y), (there.layer, there.x, there.y)
        for crossing in world.crossings(*ends, here.link, here.keys):
            own = ShutCrossing(crossing, met, met_after)
            if known.setdefault(crossing, own) != own:
                return own, known[crossing]
    return ()
