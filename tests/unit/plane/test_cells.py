"""Cells: no box that holds a point is missed, by comparison with asking every box."""

from random import Random

import numpy as np
import pytest

from router.plane.cells import make_cells


@pytest.mark.parametrize("seed", range(20))
def test_every_box_that_holds_a_point_is_among_those_near_it(seed):
    rng = Random(seed)
    low = np.array([(rng.uniform(0, 5000), rng.uniform(-900, 900)) for _ in range(rng.choice([1, 7, 300]))])
    high = low + np.array([(rng.uniform(1, 900), rng.uniform(1, 90)) for _ in low])
    cells = make_cells(low[:, 0], low[:, 1], high[:, 0], high[:, 1])
    inside = [(rng.uniform(-100, 6000), rng.uniform(-1000, 1000)) for _ in range(100)]
    for x, y in [*inside, *low.tolist(), *high.tolist()]:  # the corners are where rounding could lose one
        holding = np.flatnonzero(((low <= (x, y)) & (high >= (x, y))).all(axis=1)).tolist()
        assert set(holding) <= set(cells.boxes_near(x, y)), (x, y)


def test_far_from_all_boxes_there_are_none():
    one = np.array([0.0]), np.array([0.0]), np.array([10.0]), np.array([10.0])
    assert make_cells(*one).boxes_near(5.0, 5.0) == [0]
    assert make_cells(*one).boxes_near(50.0, 5.0) == []
    assert make_cells(*one).boxes_near(-50.0, 5.0) == []


def test_few_boxes_are_near_one_point():
    """What cells are for: of 300 small boxes spread out evenly, a handful at most is asked about."""
    x, y = (axis.reshape(-1) for axis in np.meshgrid(np.arange(20.0) * 100, np.arange(15.0) * 100))
    cells = make_cells(x, y, x + 60.0, y + 60.0)
    assert max(len(cells.boxes_near(px, py)) for px, py in zip(x, y, strict=True)) < 20
