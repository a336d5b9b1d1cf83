"""Reel cutting. Expected values by hand or by trying everything; textbooks are in tests/published."""

import sys
from collections import Counter
from itertools import product
from random import Random

import pytest

from router.cutting import cut_reels
from router.cutting.bounds import simple_bound
from router.cutting.first_fit import fit_first
from router.cutting.knapsack import Knapsack
from router.cutting.problem import Pattern, Problem, is_solution, make_problem
from router.cutting.programme import trimmed
from router.model.fleet import Reel

FIFTY, HUNDRED = Reel(50_000.0, None), Reel(100_000.0, None)


def best_by_trying(lengths, reels, loss):
    """Return the least cost of all ways to share the cuts out: each on every reel begun, or on a new one."""
    kinds = [(reel.length_mm, reel.price if reel.price is not None else reel.length_mm) for reel in reels]

    def cheapest(used):
        holding = [cost for length, cost in kinds if used <= length]
        return min(holding, default=None)

    best = [float("inf")]

    def share_out(index, bins):
        if index == len(lengths):
            costs = [cheapest(sum(each) + loss * (len(each) - 1)) for each in bins]
            if None not in costs:
                best[0] = min(best[0], sum(costs))
            return
        for number in range(len(bins)):
            share_out(index + 1, [*bins[:number], [*bins[number], lengths[index]], *bins[number + 1 :]])
        share_out(index + 1, [*bins, [lengths[index]]])

    share_out(0, [])
    return best[0]


def made(plan):
    return Counter(length for reel in plan.reels for length in reel.lengths_mm * reel.count)


@pytest.mark.parametrize("seed", range(60))
def test_against_trying_everything(seed):
    rng = Random(seed)
    lengths = [float(rng.randint(10, 60)) for _ in range(rng.randint(1, 7))]
    reels = [Reel(100.0, None)] if seed % 3 else [Reel(70.0, 5.0), Reel(100.0, 6.5), Reel(130.0, 8.25)]
    loss = float(rng.choice([0, 0, 3]))
    plan, best = cut_reels(lengths, reels, loss), best_by_trying(lengths, reels, loss)
    assert plan.bound <= best + 1e-9
    assert plan.cost == pytest.approx(best)
    assert plan.first_fit_cost >= plan.cost
    assert made(plan) == Counter(lengths)
    for each in plan.reels:
        assert sum(each.lengths_mm) + loss * (len(each.lengths_mm) - 1) <= each.reel.length_mm


def test_a_cut_costs_its_loss_but_for_the_last_one():
    """500 + 500 + 5 is more than 1000; 500 + 495 + 5 is not, and nothing is left to cut off."""
    reel = [Reel(1000.0, None)]
    assert cut_reels([500.0, 500.0], reel, 5.0).reel_count == 2
    assert cut_reels([500.0, 495.0], reel, 5.0).reel_count == 1
    assert cut_reels([500.0, 500.0], reel).reel_count == 1
    (only,) = cut_reels([500.0, 495.0], reel, 5.0).reels
    assert only.rest_mm == 0 and only.lengths_mm == (500.0, 495.0)


def test_first_fit_by_hand():
    """Longest first on 10: 6 alone, 5 on the second, 4 back on the first, 3 on the second, 3 on a third."""
    problem = make_problem([3.0, 6.0, 4.0, 3.0, 5.0], [Reel(10.0, None)], 0.0)
    assert problem.sizes == (6, 5, 4, 3) and problem.demands == (1, 1, 1, 2)
    assert fit_first(problem) == {
        Pattern(0, ((0, 1), (2, 1))): 1,
        Pattern(0, ((1, 1), (3, 1))): 1,
        Pattern(0, ((3, 1),)): 1,
    }


def test_the_last_reel_is_the_cheapest_that_holds_its_cuts():
    """Ten of 12 m: eight on 100 m, two on a short reel of 50 m rather than on another long one."""
    plan = cut_reels([12_000.0] * 10, [FIFTY, HUNDRED])
    assert (plan.bought_mm, plan.used_mm, plan.waste_mm) == (150_000, 120_000, 30_000)
    assert plan.gap == 0


def test_prices_decide_over_lengths():
    """One reel of 100 m at 70 wastes nothing; two of 60 m at 30 cost less."""
    lengths = [50_000.0, 50_000.0]
    assert cut_reels(lengths, [Reel(60_000.0, 30.0), Reel(100_000.0, 70.0)]).cost == 60.0
    assert cut_reels(lengths, [Reel(60_000.0, None), Reel(100_000.0, None)]).bought_mm == 100_000


def test_a_cut_longer_than_every_reel_is_refused():
    with pytest.raises(ValueError, match=r"a cut of 60 m is longer than the longest reel, 50 m"):
        cut_reels([60_000.0], [FIFTY])


def test_without_the_solver_first_fit_stands_with_its_gap(monkeypatch):
    """Chvatal's raws again: 485 by first fit, and the material asks for 435 at least."""
    monkeypatch.setitem(sys.modules, "highspy", None)
    lengths = [45.0] * 97 + [36.0] * 610 + [31.0] * 395 + [14.0] * 211
    plan = cut_reels(lengths, [Reel(100.0, None)])
    assert not plan.is_programmed and plan.cost == plan.first_fit_cost
    assert sum(lengths) == 41_524
    assert plan.bound >= 41_524 and plan.gap == pytest.approx(plan.cost / plan.bound - 1)
    assert plan.gap > 0


def test_the_solver_says_nothing_on_the_screen(capfd):
    cut_reels([45.0] * 97 + [36.0] * 610 + [31.0] * 395, [Reel(100.0, None)])
    assert capfd.readouterr() == ("", "")


def test_the_same_question_has_the_same_answer():
    lengths = [float(Random(5).randint(1000, 7000)) for _ in range(60)]
    assert cut_reels(lengths, [FIFTY, HUNDRED]) == cut_reels(list(reversed(lengths)), [FIFTY, HUNDRED])


def test_the_knapsack_against_trying_everything():
    rng = Random(3)
    for _ in range(40):
        sizes = tuple(sorted({rng.randint(3, 30) for _ in range(4)}, reverse=True))
        demands = tuple(rng.randint(1, 4) for _ in sizes)
        problem = Problem(sizes, demands, (40, 75), (1, 1))
        worths = [rng.randint(0, 9) for _ in sizes]
        assert problem.rooms == (40, 75)
        for room, (most, cuts) in zip(problem.rooms, Knapsack(problem).fill(worths), strict=True):
            ways = product(*(range(demand + 1) for demand in demands))
            fitting = [way for way in ways if sum(n * s for n, s in zip(way, sizes, strict=True)) <= room]
            assert most == max(sum(n * w for n, w in zip(way, worths, strict=True)) for way in fitting)
            assert sum(worths[number] * times for number, times in cuts) == most
            assert sum(sizes[number] * times for number, times in cuts) <= room


def test_surplus_cuts_are_taken_out_and_reels_made_shorter():
    problem = Problem((30, 20), (1, 2), (50, 100), (50, 100))
    whole = {Pattern(1, ((0, 2), (1, 2))): 1, Pattern(1, ((0, 1),)): 1}
    solution = trimmed(problem, whole)
    assert is_solution(problem, solution)
    assert not is_solution(problem, whole)


def test_nothing_to_cut():
    assert simple_bound(make_problem([], [FIFTY], 0.0)) == 0
    assert cut_reels([], [FIFTY]).reel_count == 0
