"""Legs of the bound by where they begin, against plain loops over the same legs."""

from random import Random

import numpy as np
import pytest

from router.plane import end_to_end
from router.search.bound.bound_layers import _by_origin, _cheapest, _key

PLACES = 9


@pytest.mark.parametrize("seed", range(20))
def test_each_leg_leads_both_ways_once_at_its_least_cost(seed):
    random = Random(seed)
    legs = [
        (random.randrange(PLACES), random.randrange(PLACES), random.random())
        for _ in range(random.choice((0, 1, 5, 60)))
    ]
    least = {}
    for one, other, cost in legs:
        for pair in ((one, other), (other, one)):
            least[pair] = min(cost, least.get(pair, cost))
    one, other = (np.array([leg[end] for leg in legs], dtype=np.int32) for end in (0, 1))
    first, there, cost = _by_origin(
        *_cheapest([_key(one, other, PLACES)], [np.array([leg[2] for leg in legs], dtype=float)]), PLACES
    )
    origin = np.repeat(np.arange(PLACES), np.diff(first))
    found = list(zip(zip(origin.tolist(), there.tolist(), strict=True), cost.tolist(), strict=True))
    assert found == sorted(least.items())


def test_places_of_a_large_world_are_told_apart():
    """Of 3,000,000 places, pair numbers need more than 32 bits."""
    places = np.array([2_999_999, 5], dtype=np.int32)
    assert _key(places, places[::-1], 3_000_000).tolist() == [5 * 3_000_000 + 2_999_999] * 2


def test_one_filled_array_is_not_copied():
    filled, empty = np.arange(3.0), np.zeros(0)
    assert end_to_end([empty, filled]) is filled
    assert end_to_end([filled, filled]).tolist() == [0.0, 1.0, 2.0, 0.0, 1.0, 2.0]
    assert end_to_end([empty, empty]).tolist() == []
