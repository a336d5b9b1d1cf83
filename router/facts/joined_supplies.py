"""Supplies that meet: which conductors feed one besides that which the job says feeds it."""

from __future__ import annotations

from collections.abc import Mapping

from router.facts.network import Network, Piece
from router.model.job import Conductor, Job


def also_feeding(network: Network, job: Job) -> Mapping[str, tuple[str, ...]]:
    """Return by conductor the others that end where what it is `fed_by` ends, and so feed it too.

    One with a load of its own carries that and no other: what charges a battery, say. In a ring the first
    way round counts.
    """
    conductors = {each.name: each for run in job.runs for each in run.conductors}
    pieces = {piece.conductor: piece for piece in network.pieces}
    found: dict[str, tuple[str, ...]] = {}
    for name, conductor in conductors.items():
        feeder = pieces.get(conductor.fed_by or "")
        if feeder is None or pieces[name].is_return:
            continue
        for other in pieces.values():
            has_load = conductors[other.conductor].load_a > 0
            if has_load or not _is_beside(other, feeder):
                continue
            if name not in _upstream(other.conductor, conductors, found):
                found[name] = (*found.get(name, ()), other.conductor)
    return found


def _is_beside(other: Piece, feeder: Piece) -> bool:
    return other.end == feeder.end and other != feeder and not other.is_return


def _upstream(
    name: str, conductors: Mapping[str, Conductor], also: Mapping[str, tuple[str, ...]]
) -> frozenset[str]:
    """Return a conductor and all that feed it."""
    seen, left = {name}, [name]
    for each in left:
        feeders = (*also.get(each, ()), conductors[each].fed_by or "")
        above = {feeder for feeder in feeders if feeder in conductors}
        left.extend(above - seen)
        seen |= above
    return frozenset(seen)
