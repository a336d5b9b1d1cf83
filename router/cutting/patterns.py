"""All patterns to cut one reel that leaves no room for another cut, where there are few enough of them."""

from __future__ import annotations

from router.cutting.problem import Cuts, Pattern, Problem

MOST_PATTERNS = 4_000
MOST_STEPS = 200_000


def all_patterns(problem: Problem) -> list[Pattern] | None:
    """Return all full patterns, each on the cheapest reel that holds it; None where there are too many.

    A best solution needs no others: a reel with room for another cut may make that cut once too often.
    """
    found: dict[Pattern, None] = {}
    steps = 0
    for kind, room in enumerate(problem.rooms):
        stack: list[tuple[int, int, Cuts]] = [(0, room, ())]
        while stack:
            steps += 1
            if steps > MOST_STEPS or len(found) > MOST_PATTERNS:
                return None
            number, left, cuts = stack.pop()
            if number < len(problem.sizes):
                size, demand = problem.sizes[number], problem.demands[number]
                for times in range(min(demand, left // size) + 1):
                    more = (*cuts, (number, times)) if times else cuts
                    stack.append((number + 1, left - times * size, more))
            elif cuts and _is_full(problem, left, cuts) and problem.cheapest_for(room - left) == kind:
                found[Pattern(kind, cuts)] = None
    return list(found)


def _is_full(problem: Problem, left: int, cuts: Cuts) -> bool:
    counts = dict(cuts)
    return all(
        size > left or counts.get(number, 0) == demand
        for number, (size, demand) in enumerate(zip(problem.sizes, problem.demands, strict=True))
    )
