"""First fit: each cut from the first reel that still has room for it, the longest cuts first."""

from __future__ import annotations

from collections import Counter

from router.cutting.problem import Pattern, Problem, Solution, cost_of


def fit_first(problem: Problem) -> Solution:
    """Return the cheapest solution of first fit, longest cut first, tried with each kind of reel.

    A kind that is too short for a cut is replaced by the cheapest that holds it; at the end each reel is
    exchanged for the cheapest kind that holds what is cut from it.
    """
    fits = (_with_kind(problem, kind) for kind in range(len(problem.rooms)))
    return min(fits, key=lambda solution: cost_of(problem, solution))


def _with_kind(problem: Problem, kind: int) -> Solution:
    room = problem.rooms[kind]
    on_reels = _Reels(problem.count)
    cut: list[Counter[int]] = []
    for number, (size, demand) in enumerate(zip(problem.sizes, problem.demands, strict=True)):
        for _ in range(demand):
            reel = on_reels.first_with(size)
            if reel is None:
                larger = problem.cheapest_for(size)
                assert larger is not None  # a cut longer than every reel is refused before
                reel = len(cut)
                cut.append(Counter())
                on_reels.set(reel, room if size <= room else problem.rooms[larger])
            on_reels.set(reel, on_reels.room(reel) - size)
            cut[reel][number] += 1
    solution: Counter[Pattern] = Counter()
    for counts in cut:
        solution[cheapest(problem, tuple(sorted(counts.items())))] += 1
    return dict(solution)


def cheapest(problem: Problem, cuts: tuple[tuple[int, int], ...]) -> Pattern:
    """Return the pattern of these cuts on the cheapest reel that holds them."""
    kind = problem.cheapest_for(Pattern(0, cuts).size(problem))
    assert kind is not None  # they came from a reel
    return Pattern(kind, cuts)


class _Reels:
    """The room left on each reel; the first with enough is found in a tree of largest rooms."""

    def __init__(self, most: int) -> None:
        self._leaves = 1
        while self._leaves < most:
            self._leaves *= 2
        self._most = [0] * (2 * self._leaves)

    def room(self, reel: int) -> int:
        return self._most[self._leaves + reel]

    def set(self, reel: int, room: int) -> None:
        node = self._leaves + reel
        self._most[node] = room
        while node > 1:
            node //= 2
            self._most[node] = max(self._most[2 * node], self._most[2 * node + 1])

    def first_with(self, size: int) -> int | None:
        if self._most[1] < size:
            return None
        node = 1
        while node < self._leaves:
            node = 2 * node if self._most[2 * node] >= size else 2 * node + 1
        return node - self._leaves
