"""The circuit that a job makes, judged: shorts, loads without a closed way, sources without a fuse.

Only the job, the vehicle and the lengths of the runs are looked at, so that a job can be judged before it is
planned.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from router.conductors.circuit import Circuit, circuit_of
from router.conductors.circuit_rules.crossed_poles import crossing_findings, crossings_of
from router.conductors.circuit_rules.dead_shorts import (
    dead_short_findings,
    return_on_plus_findings,
    shorts_of,
)
from router.conductors.circuit_rules.joined_circuits import joined_circuit_findings
from router.conductors.circuit_rules.minus_findings import earth_on_post_findings, open_minus_findings
from router.conductors.circuit_rules.returning import ClosedWays
from router.conductors.circuit_rules.source_protection import SourceProtection
from router.conductors.circuit_rules.unsaid_poles import unsaid_findings
from router.conductors.fuse_loads import load_factors
from router.facts import Network, also_feeding, network_of
from router.model.job import Job
from router.model.plan import Finding, FindingKind, Severity
from router.model.practice import Practice
from router.model.vehicle import Profile


def circuit_findings(
    job: Job,
    profile: Profile,
    practice: Practice,
    length_mm: Mapping[str, float] | None = None,
    ampacity_a: Mapping[str, float] | None = None,
) -> tuple[Finding, ...]:
    """Return what is wrong with the circuit that a job makes, the most dangerous first.

    Parameters
    ----------
    job : Job
    profile : Profile
        The vehicle, with the places that the job brings along.
    practice : Practice
        How far off a fuse may be.
    length_mm : mapping of str to float, optional
        The length of each run by its name; one that is not given is longer than any rule allows.
    ampacity_a : mapping of str to float, optional
        What each conductor may carry by its name; one that is not given carries nothing.
    """
    network = network_of(job, profile)
    circuit = circuit_of(job, load_factors(practice), (), also_feeding(network, job))
    crossings = crossings_of(network, job, profile)
    misplaced = [other.conductor for each in crossings for other in each.others]
    known = (length_mm or {}, misplaced, ampacity_a or {})
    protection = SourceProtection(job, profile, practice, network, *known)
    crossed = frozenset[str]().union(*(each.conductors for each in crossings))
    shorted = [name for short in shorts_of(network) for name in short.conductors]
    return (
        *dead_short_findings(network, profile, crossings),
        *joined_circuit_findings(network, job, profile),
        *crossing_findings(crossings, shorted),
        *return_on_plus_findings(network, crossed),
        *protection.findings(),
        *ClosedWays(circuit, network, profile, crossed).findings(),
        *open_minus_findings(network, job, profile),
        *earth_on_post_findings(network, job, profile),
        *unsaid_findings(network, profile, crossed),
        *_no_load_findings(circuit, network),
    )


def _no_load_findings(circuit: Circuit, network: Network) -> Iterator[Finding]:
    """Yield a finding for each live conductor that is sized and fused as if nothing flowed in it."""
    live = [network.joined(feed.plus) for feed in network.feeds if feed.is_source]
    for piece in network.pieces:
        is_idle = not piece.is_return and circuit.by_name[piece.conductor].current_a == 0.0
        if is_idle and any(piece.start in joined for joined in live):
            yield Finding(
                FindingKind.NO_LOAD,
                Severity.SHOULD,
                piece.run,
                None,
                f"{piece.conductor} has no load and is live all the same",
                "; where something draws current there, write how much: size and fuse follow it",
                "a load",
                "0 A",
                None,
            )
