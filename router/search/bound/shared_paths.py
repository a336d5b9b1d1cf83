"""What the paths of several runs cost together at least, where they may share. No vehicle words.

A stretch of cost c that the runs S lie in counts c f(S): f(S) = 1 + share (|S| - 1), and 0 where S is empty.
Which stretches there are depends on the paths, so that a bound must hold for all.

Take some runs W. Their paths, laid over each other, have stretches that an odd number of them lies in. At a
place that is no end of a run, an even number of such stretches meet; so they join, two and two, the ends
that an odd number of the runs W have (a T-join: J. Edmonds and E. L. Johnson, Math. Programming 5 (1973) 88).
Hence these stretches cost no less than

    d(W) = the cheapest way to pair those ends, each pair joined by the shortest path between them.

Now weigh the sets W by y(W) >= 0 so that for every set S of runs

    sum of y(W) over those W of which S has an odd number <= f(S).                            (1)

Add up y(W) d(W). A stretch that the runs S lie in was added for those W only of which S has an odd number: by
(1) at most f(S) times, which is what it counts. So the stretches of any paths count at least

    sum of y(W) d(W),

and a linear programme finds the best weights. A path that passes a stretch twice counts no less for it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import cache
from typing import Any, TypeAlias

import numpy as np

from router.plane import Floats

NOTHING = 1e-9
"""A weight or a gain below this is none."""

Ends: TypeAlias = tuple[int, int]
Pairing: TypeAlias = tuple[Ends, ...]


def least_together(
    runs: Sequence[Ends], share: float, distance_mm: Callable[[Ends], float]
) -> tuple[float, frozenset[Ends]]:
    """Return what paths between these ends count together at least, and the pairs that this rests on.

    Parameters
    ----------
    runs : sequence of (end, end)
        The numbers of the ends of each run, at most half a dozen runs.
    share : float
        What a further run counts along another, as a share of the stretch's cost; 0 to 1.
    distance_mm : callable
        What a path between two ends, the smaller number first, costs at least. [mm]
    """
    odd, most = _odd_and_most(len(runs), share)
    cheapest = [_cheapest(_odd_ends(runs, chosen), distance_mm) for chosen in range(1, 1 << len(runs))]
    gain = np.array([joined_mm for joined_mm, _ in cheapest])
    weights = best_weights(gain, odd, most)
    used = [pairing for weight, (_, pairing) in zip(weights, cheapest, strict=True) if weight > NOTHING]
    return float(gain @ weights), frozenset(pair for pairing in used for pair in pairing)


@cache
def _odd_and_most(count: int, share: float) -> tuple[Any, Any]:
    """Return by S and W whether S has an odd number of W, and by S what a stretch of it counts."""
    sets = range(1, 1 << count)
    odd = np.array([[(lying & chosen).bit_count() % 2 for chosen in sets] for lying in sets], dtype=float)
    return odd, np.array([1.0 + share * (lying.bit_count() - 1) for lying in sets])


def _odd_ends(runs: Sequence[Ends], chosen: int) -> tuple[int, ...]:
    """Return the ends that an odd number of the chosen runs have; a run is chosen by its bit."""
    ends: set[int] = set()
    for number, (start, end) in enumerate(runs):
        if chosen >> number & 1:
            ends ^= {start} ^ {end}
    return tuple(sorted(ends))


def _cheapest(ends: tuple[int, ...], distance_mm: Callable[[Ends], float]) -> tuple[float, Pairing]:
    return min((sum(map(distance_mm, pairing)), pairing) for pairing in _pairings(ends))


@cache
def _pairings(ends: tuple[int, ...]) -> tuple[Pairing, ...]:
    """Return every way to pair ends."""
    if not ends:
        return ((),)
    first, *rest = ends
    return tuple(
        ((first, other), *pairing)
        for number, other in enumerate(rest)
        for pairing in _pairings((*rest[:number], *rest[number + 1 :]))
    )


def best_weights(gain: Floats, uses: Floats, most: Floats) -> Any:
    """Return the weights y >= 0 with uses y <= most and the greatest gain y: the simplex method.

    Parameters
    ----------
    gain : (n,) array
    uses : (m, n) array
        Not negative, and with something in every column.
    most : (m,) array
        Positive.

    References
    ----------
    .. [1] R. G. Bland, Math. Operations Research 2 (1977) 103, for a choice that never goes in circles.
    """
    rows, columns = uses.shape
    table = np.hstack([uses, np.eye(rows), most[:, None]])
    last = np.concatenate([-gain, np.zeros(rows + 1)])
    basis = np.arange(columns, columns + rows)
    while (last[:-1] < -NOTHING).any():
        enter = int(np.argmax(last[:-1] < -NOTHING))
        column = table[:, enter]
        ratio = np.where(column > NOTHING, table[:, -1] / np.where(column > NOTHING, column, 1.0), np.inf)
        tied = np.flatnonzero(ratio <= ratio.min() + NOTHING)
        row = int(tied[basis[tied].argmin()])
        table[row] /= table[row, enter]
        others = np.arange(rows) != row
        table[others] -= np.outer(column[others], table[row])
        last -= last[enter] * table[row]
        basis[row] = enter
    weights = np.zeros(columns + rows)
    weights[basis] = np.maximum(table[:, -1], 0.0)
    return weights[:columns] / max(1.0, float((uses @ weights[:columns] / most).max()))
