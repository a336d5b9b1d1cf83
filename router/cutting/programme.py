"""The cheapest patterns by linear and mixed-integer programming, with a bound that is proven exactly.

Column generation (Gilmore and Gomory): patterns are generated one by one, each the one that improves the
continuous problem most; then whole numbers of reels are chosen among them, or among all patterns if these
are few. The bound comes from the dual values, rounded to whole numbers, so that rounding inside the solver
cannot invalidate it; the solver's own claim of optimality is used only if it chose among all patterns.
Nothing depends on a clock: the same question has the same answer.

References
----------
.. [1] P. C. Gilmore, R. E. Gomory, A linear programming approach to the cutting-stock problem, Operations
   Research 9 (1961) 849-859; part II, 11 (1963) 863-888.
"""

from __future__ import annotations

from router.cutting.bounds import dual_bound
from router.cutting.first_fit import cheapest
from router.cutting.knapsack import Knapsack
from router.cutting.patterns import all_patterns
from router.cutting.problem import Pattern, Problem, Solution, cost_of, is_solution
from router.cutting.solver import Model, is_installed

MOST_SIZES = 120
"""With more different lengths than this first fit is used, whose gap is small by then."""
MOST_ROUNDS = 2_000
WORTH_PARTS = 1_000_000
"""Dual values (worths) are rounded to millionths of the dearest reel."""


def best_patterns(problem: Problem, start: Solution) -> tuple[Solution, int] | None:
    """Return a solution and a proven bound; None where there is no solver, or the question is too large.

    Parameters
    ----------
    problem : Problem
        The question.
    start : Solution
        Any solution; its patterns are among those chosen from.
    """
    if len(problem.sizes) > MOST_SIZES or not is_installed():
        return None
    try:
        knapsack = Knapsack(problem)
    except MemoryError:
        return None
    patterns, bound = _generate(problem, knapsack, start)
    every = all_patterns(problem)
    model = Model(problem)
    model.add(patterns if every is None else every)
    whole, is_best = model.whole_reels(bound)
    solution = trimmed(problem, whole)
    if every is not None and is_best and is_solution(problem, solution):
        bound = max(bound, cost_of(problem, solution))
    return solution, bound


def _generate(problem: Problem, knapsack: Knapsack, start: Solution) -> tuple[list[Pattern], int]:
    """Return the patterns that solve the continuous problem, and the best bound found."""
    patterns = list(dict.fromkeys([*_single(problem), *start]))
    known = set(patterns)
    model = Model(problem)
    model.add(patterns)
    bound, scale = 0, WORTH_PARTS / max(problem.costs)
    for _ in range(MOST_ROUNDS):
        worths = [max(0, int(worth * scale)) for worth in model.worths()]
        filled = knapsack.fill(worths)
        bound = max(bound, dual_bound(problem, worths, [most for most, _ in filled]))
        fresh = [
            Pattern(kind, cuts)
            for kind, (most, cuts) in enumerate(filled)
            if most > problem.costs[kind] * scale * (1 + 1e-6) and Pattern(kind, cuts) not in known
        ]
        if not fresh:
            break
        model.add(fresh)
        patterns += fresh
        known.update(fresh)
    return patterns, bound


def _single(problem: Problem) -> list[Pattern]:
    """Return for each size a reel that is cut into nothing else."""
    return [
        Pattern(kind, ((number, min(demand, room // size)),))
        for number, (size, demand) in enumerate(zip(problem.sizes, problem.demands, strict=True))
        for kind, room in enumerate(problem.rooms)
        if room >= size
    ]


def trimmed(problem: Problem, solution: Solution) -> Solution:
    """Return a solution without surplus cuts, each reel the cheapest that still holds its cuts."""
    surplus = [-demand for demand in problem.demands]
    for pattern, times in solution.items():
        for number, each in pattern.cuts:
            surplus[number] += each * times
    result: Solution = {}
    for pattern, times in sorted(solution.items()):
        for _ in range(times):
            cuts = []
            for number, each in pattern.cuts:
                dropped = min(each, max(0, surplus[number]))
                surplus[number] -= dropped
                if each > dropped:
                    cuts.append((number, each - dropped))
            if cuts:
                kept = cheapest(problem, tuple(cuts))
                result[kept] = result.get(kept, 0) + 1
    return result
