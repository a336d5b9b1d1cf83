"""Cutting-stock instances from textbooks, each with an optimum that is proven here by hand.

Sources:
V. Chvatal, Linear Programming, Freeman 1983, chapter 13: raws of 100 in, 97 finals of 45 in, 610 of 36 in,
395 of 31 in, 211 of 14 in; optimum 453 raws (numbers from memory, the proof below).
The paper-machine example that encyclopaedias and lecture notes print: master rolls of 5600 mm, 13 widths, 219
rolls wanted; optimum 73 master rolls with 0.401 % waste (numbers from memory, the proof is the material).
W. L. Winston, Operations Research, chapter on column generation: boards of 17 ft, 25 of 3 ft, 20 of 5 ft,
15 of 9 ft (numbers from memory, the proof is the material and the boards written out).
E. Falkenauer, A hybrid grouping genetic algorithm for bin packing, Journal of Heuristics 2 (1996) 5-30:
"triplets", where every bin is filled by three items exactly and first fit does badly; made by that recipe.
"""

import math
from random import Random

import pytest

from router.cutting import cut_reels
from router.cutting.bounds import dual_bound, simple_bound
from router.cutting.problem import make_problem
from router.model.fleet import Reel

CHVATAL = {45: 97, 36: 610, 31: 395, 14: 211}
PAPER = {1380: 22, 1520: 25, 1560: 12, 1710: 14, 1820: 18, 1880: 18, 1930: 20, 2000: 10, 2050: 12, 2100: 14,
         2140: 16, 2150: 18, 2200: 20}  # fmt: skip
WINSTON = {3: 25, 5: 20, 9: 15}


def all_of(demand):
    return [float(length) for length, count in demand.items() for _ in range(count)]


def cut(demand, reel):
    return cut_reels(all_of(demand), [Reel(float(reel), None)])


def test_chvatals_raws():
    """Worth 1/2, 1/2, 1/4 and 0 of a raw: no raw holds more than 1, and all finals are worth 452.25 raws."""
    worth = {45: 0.5, 36: 0.5, 31: 0.25, 14: 0.0}
    for a in range(3):
        for b in range(3):
            for c in range(4):
                if 45 * a + 36 * b + 31 * c <= 100:
                    assert 0.5 * a + 0.5 * b + 0.25 * c <= 1
    assert math.ceil(sum(worth[length] * count for length, count in CHVATAL.items())) == 453
    plan = cut(CHVATAL, 100)
    assert plan.reel_count == 453
    assert plan.bound == 453 * 100 and plan.gap == 0
    problem = make_problem(all_of(CHVATAL), [Reel(100.0, None)], 0.0)
    worths = [int(4 * worth[length]) for length in problem.sizes]
    assert dual_bound(problem, worths, [4]) == 453 * 100


def test_the_paper_machine():
    assert sum(PAPER.values()) == 219
    material = sum(width * count for width, count in PAPER.items())
    assert material == 407_160 and math.ceil(material / 5600) == 73
    plan = cut(PAPER, 5600)
    assert plan.reel_count == 73 and plan.gap == 0
    assert round(100 * plan.waste_mm / plan.bought_mm, 3) == 0.401


def test_winstons_boards():
    """310 ft need 19 boards of 17 ft, and these do: 15 of 9+5+3, 2 of 5+3+3+3+3, 5+5+5, 3+3."""
    boards = [(9, 5, 3)] * 15 + [(5, 3, 3, 3, 3)] * 2 + [(5, 5, 5), (3, 3)]
    assert len(boards) == 19 == math.ceil(310 / 17) and all(sum(board) <= 17 for board in boards)
    assert {size: sum(board.count(size) for board in boards) for size in WINSTON} == WINSTON
    assert cut(WINSTON, 17).reel_count == 19


def triplets(seed, count):
    """Two of each three at random between a quarter and a half of 1000, the third is what is left."""
    rng = Random(seed)
    found = []
    while len(found) < 3 * count:
        first = rng.randint(380, 490)
        second = rng.randint(250, (1000 - first) // 2)
        found += [first, second, 1000 - first - second]
    return [float(each) for each in found]


@pytest.mark.parametrize("seed", range(3))
def test_triplets(seed):
    """The material alone proves that 20 reels are least; first fit needs more."""
    lengths = triplets(seed, 20)
    assert sum(lengths) == 20_000
    plan = cut_reels(lengths, [Reel(1000.0, None)])
    assert plan.bound == 20_000
    assert plan.first_fit_mm > 20_000
    assert plan.reel_count in (20, 21)
    assert plan.reel_count == 20 or plan.gap == pytest.approx(0.05)


def test_long_cuts_that_do_not_go_together():
    """Martello and Toth's bound: three cuts of 60 need three reels of 100, though 180 would fit on two."""
    assert simple_bound(make_problem([60.0] * 3, [Reel(100.0, None)], 0.0)) == 300
