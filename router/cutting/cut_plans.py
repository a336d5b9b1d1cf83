"""How to cut all lengths of one item from reels: the best plan found, and its proven gap."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from router.cutting.bounds import simple_bound
from router.cutting.first_fit import fit_first
from router.cutting.problem import (
    PRICE_PARTS,
    Problem,
    Solution,
    cost_of,
    is_solution,
    make_problem,
    whole_mm,
)
from router.cutting.programme import best_patterns
from router.model.fleet import Reel


@dataclass(frozen=True, slots=True)
class CutReel:
    """A number of reels that are cut alike: the lengths from end to end, and what is left."""

    count: int
    reel: Reel
    lengths_mm: tuple[float, ...]
    rest_mm: float


@dataclass(frozen=True, slots=True)
class CuttingPlan:
    """How to cut all lengths of one thing. Costs are prices, or mm where there are none."""

    reels: tuple[CutReel, ...]
    bought_mm: float
    used_mm: float
    """What is cut, without the loss at each cut."""
    cost: float
    bound: float
    """No plan costs less."""
    first_fit_mm: float
    first_fit_cost: float
    is_programmed: bool
    """Whether mixed-integer programming was used; otherwise the plan is that of first fit."""

    @property
    def gap(self) -> float:
        """Return how much dearer than the best possible it may be, as a share."""
        return self.cost / self.bound - 1 if self.bound else 0.0

    @property
    def reel_count(self) -> int:
        """Return how many reels it takes."""
        return sum(reel.count for reel in self.reels)

    @property
    def waste_mm(self) -> float:
        """Return what is bought and not used."""
        return self.bought_mm - self.used_mm


def cut_reels(lengths_mm: Iterable[float], reels: Sequence[Reel], loss_mm: float = 0.0) -> CuttingPlan:
    """Return how to cut some lengths from reels.

    Parameters
    ----------
    lengths_mm : iterable of float
        Every cut, in any order; rounded up to whole mm. [mm]
    reels : sequence of Reel
        What is sold, at least one; all with a price or none.
    loss_mm : float
        Lost at every cut. [mm]

    Raises
    ------
    ValueError
        Where a cut is longer than every reel.
    """
    problem = make_problem(lengths_mm, reels, loss_mm)
    fitted = fit_first(problem)
    bound, chosen, is_programmed = simple_bound(problem), fitted, False
    if problem.sizes and cost_of(problem, fitted) > bound:
        answer = best_patterns(problem, fitted)
        if answer is not None:
            is_programmed = True
            bound = max(bound, answer[1])
            if is_solution(problem, answer[0]) and cost_of(problem, answer[0]) < cost_of(problem, fitted):
                chosen = answer[0]
    else:
        is_programmed = True  # first fit meets the bound: nothing is left to gain
    return _as_plan(problem, reels, loss_mm, chosen, fitted, bound, is_programmed)


def _as_plan(
    problem: Problem,
    reels: Sequence[Reel],
    loss_mm: float,
    chosen: Solution,
    fitted: Solution,
    bound: int,
    is_programmed: bool,
) -> CuttingPlan:
    loss = whole_mm(loss_mm)
    parts = [] if not chosen else sorted(chosen.items(), key=lambda each: (-each[0].size(problem), each[0]))
    cut = []
    for pattern, count in parts:
        lengths = [problem.sizes[number] - loss for number, times in pattern.cuts for _ in range(times)]
        rest = problem.rooms[pattern.kind] - pattern.size(problem)
        reel = reels[pattern.kind]
        cut.append(CutReel(count, reel, tuple(float(each) for each in lengths), float(max(0, rest))))
    scale = 1.0 if reels[0].price is None else 1 / PRICE_PARTS
    return CuttingPlan(
        reels=tuple(cut),
        bought_mm=sum(each.count * each.reel.length_mm for each in cut),
        used_mm=float(sum((s - loss) * d for s, d in zip(problem.sizes, problem.demands, strict=True))),
        cost=cost_of(problem, chosen) * scale,
        bound=bound * scale,
        first_fit_mm=sum(reels[pattern.kind].length_mm * count for pattern, count in fitted.items()),
        first_fit_cost=cost_of(problem, fitted) * scale,
        is_programmed=is_programmed,
    )
