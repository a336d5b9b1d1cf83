"""What a leg between two edges costs at least, told by the four legs between their ends. Pure geometry.

Let z(s, t) be the straight leg from one edge's point at share s to another edge's point at share t, and z00,
z10, z11, z01 the legs from end to end: z is linear in s and in t, so it moves in a parallelogram. Sought are
costs c_ij for the legs from end to end such that whoever keeps them at the ends,

    psi(a_i) - psi(b_j) <= c_ij,

and is straight between the ends of each edge, keeps psi(x) - psi(y) <= |z(s, t)| for every leg. Cut the
parallelogram in two along a diagonal. In each half, psi(x) - psi(y) is a mean of its values at the half's
three corners, with the same weights as z is a mean of theirs; so costs will do whose mean is nowhere above
|z|. And |z| >= p . z for every p with |p| <= 1, so that costs with c_ij <= p . z_ij at all three corners will
do, with a p for each half. Two kinds are tried, with p among unit vectors between the corners' directions:

    c_ij = |z_ij| - k            k = max (|z_ij| - p . z_ij)
    c_ij = m + l (|z_ij| - m)    l = min (p . z_ij - m) / (|z_ij| - m), m no more than the least |z|

The first is good for edges far from each other (k is about the edges' length squared over eight times their
distance), the second for edges that meet or nearly meet; l = 0 will always do.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from router.plane import Floats
from router.tolerances import COST_ROUNDING_MM

LOOSE_SHARE = 0.02
"""Pairs whose costs fall short of the distance by more than this share of it are looked at more closely."""
DIRECTIONS_TRIED = 9
"""How many p are tried for them."""
BASES_TRIED = (1.0, 0.8, 0.5, 0.0)
"""The m that are tried, as shares of the least distance."""
DIAGONALS = (((0, 1, 2), (0, 2, 3)), ((0, 1, 3), (1, 2, 3)))
"""The two ways to cut the parallelogram z00, z10, z11, z01 in halves."""


def pair_costs(a0: Floats, a1: Floats, b0: Floats, b1: Floats) -> Any:
    """Return the costs of legs between the ends of pairs of edges.

    Parameters
    ----------
    a0, a1, b0, b1 : (n, 2) arrays
        Both ends of the first and of the second edge of each pair; the two may share an end, but not cross.
        [mm]

    Returns
    -------
    (n, 4) array
        From a0 to b0, a1 to b0, a1 to b1, a0 to b1; no more than the distance, and not negative. [mm]
    """
    z = np.stack([a0 - b0, a1 - b0, a1 - b1, a0 - b1], axis=1)
    length = np.hypot(z[..., 0], z[..., 1])
    angle = _angles(z, length)
    costs = length - _shift(length, angle, 1)[:, None]
    near = np.flatnonzero((costs < (1.0 - LOOSE_SHARE) * length).any(1) | (costs.min(1) <= 0.0))
    ends = [end[near] for end in (a0, a1, b0, b1)]
    costs[near] = _close_costs(length[near], angle[near], _least_distance(*ends))
    return np.maximum(costs - COST_ROUNDING_MM, 0.0)


def spot_costs(at: Floats, b0: Floats, b1: Floats) -> Any:
    """Return the costs of legs from points to both ends of edges, (n, 2), in mm.

    Parameters
    ----------
    at : (n, 2) array
        The points. [mm]
    b0, b1 : (n, 2) arrays
        Both ends of the edge that goes with each point. [mm]
    """
    z = np.stack([at - b0, at - b1], axis=1)
    length = np.hypot(z[..., 0], z[..., 1])
    least = np.hypot(*(at - _nearest(at, b0, b1)).T)
    shift, scales = _shift(length, _angles(z, length), 1), _scales(length, _angles(z, length), least, 1)
    return np.maximum(_best(length, shift, scales, least) - COST_ROUNDING_MM, 0.0)


def _close_costs(length: Floats, angle: Floats, least: Floats) -> Any:
    """Return the best of all kinds of costs that are tried, each half with its own p."""
    is_short = length[:, 0] + length[:, 2] < length[:, 1] + length[:, 3]
    shift, scales = np.zeros(len(length)), np.ones((len(BASES_TRIED), len(length)))
    for rows, halves in zip((np.flatnonzero(is_short), np.flatnonzero(~is_short)), DIAGONALS, strict=True):
        for half in halves:
            own = length[rows][:, half], angle[rows][:, half]
            shift[rows] = np.maximum(shift[rows], _shift(*own, DIRECTIONS_TRIED))
            scales[:, rows] = np.minimum(scales[:, rows], _scales(*own, least[rows], DIRECTIONS_TRIED))
    return _best(length, shift, scales, least)


def _best(length: Floats, shift: Floats, scales: Floats, least: Floats) -> Any:
    """Return those costs whose sum is largest; shifted ones only where none is negative."""
    best = length - shift[:, None]
    worth = np.where(best.min(1) >= 0.0, best.sum(1), -1.0)
    for share, scale in zip(BASES_TRIED, scales, strict=True):
        base = share * least[:, None]
        costs = base + scale[:, None] * (length - base)
        is_better = costs.sum(1) > worth
        best, worth = np.where(is_better[:, None], costs, best), np.maximum(worth, costs.sum(1))
    return best


def _angles(z: Floats, length: Floats) -> Any:
    """Return the directions of z as seen from their middle one; of a z that is nothing, the middle one."""
    middle = z.sum(1)
    none = ~middle.any(1)  # they cancel out: any direction among them will do
    middle[none] = z[none, length[none].argmax(1)]
    mx, my = middle[:, :1], middle[:, 1:]
    across, along = mx * z[..., 1] - my * z[..., 0], mx * z[..., 0] + my * z[..., 1]
    return np.where(length > 0.0, np.arctan2(across, along), 0.0)


def _reaches(length: Floats, angle: Floats, directions: int) -> Any:
    """Yield p . z for unit vectors p spread between the directions of z."""
    low, high = angle.min(1), angle.max(1)
    for number in range(directions):
        turn = low + (high - low) * ((number + 0.5) / directions)
        yield length * np.cos(angle - turn[:, None])


def _shift(length: Floats, angle: Floats, directions: int) -> Any:
    """Return the least k; p = 0 is among what is tried."""
    shift = length.max(1)
    for reach in _reaches(length, angle, directions):
        shift = np.minimum(shift, (length - reach).max(1))
    return shift


def _scales(length: Floats, angle: Floats, least: Floats, directions: int) -> Any:
    """Return the largest l for every m that is tried."""
    scales = np.zeros((len(BASES_TRIED), len(length)))
    for reach in _reaches(length, angle, directions):
        for number, share in enumerate(BASES_TRIED):
            base = share * least[:, None]
            beyond = length - base
            rate = np.where(
                beyond > COST_ROUNDING_MM, (reach - base) / np.maximum(beyond, COST_ROUNDING_MM), 1.0
            )
            rate[(beyond <= COST_ROUNDING_MM) & (reach < base)] = 0.0
            scales[number] = np.maximum(scales[number], rate.min(1))
    return np.clip(scales, 0.0, 1.0)


def _least_distance(a0: Floats, a1: Floats, b0: Floats, b1: Floats) -> Any:
    ends = [a0 - _nearest(a0, b0, b1), a1 - _nearest(a1, b0, b1)]
    ends += [b0 - _nearest(b0, a0, a1), b1 - _nearest(b1, a0, a1)]
    return np.min([np.hypot(*end.T) for end in ends], axis=0)


def _nearest(at: Floats, b0: Floats, b1: Floats) -> Any:
    """Return the nearest places on edges to points."""
    along = b1 - b0
    square = (along**2).sum(1)
    share = np.clip(((at - b0) * along).sum(1) / np.where(square > 0.0, square, 1.0), 0.0, 1.0)
    return b0 + share[:, None] * along
