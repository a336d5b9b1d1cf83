"""The circuit that a job makes, judged: shorts, loads without a closed way, sources without a fuse.

Only the job, the vehicle and the lengths of the runs are looked at, so that a job can be judged before it is
planned.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from router.conductors.circuit import Circuit, circuit_of
from router.conductors.dead_shorts import dead_short_findings, is_shorted, return_on_plus_findings
from router.conductors.fuse_loads import load_factors
from router.conductors.returning import ClosedWays
from router.conductors.source_protection import SourceProtection
from router.facts import Load, Network, network_of
from router.model.job import Job
from router.model.plan import Finding, FindingKind, Severity
from router.model.practice import Practice
from router.model.vehicle import Profile, Terminal


def circuit_findings(
    job: Job, profile: Profile, practice: Practice, length_mm: Mapping[str, float] | None = None
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
    """
    network = network_of(job, profile)
    circuit = circuit_of(job, load_factors(practice), ())
    protection = SourceProtection(job, profile, practice, network, length_mm or {})
    return (
        *dead_short_findings(network, profile),
        *return_on_plus_findings(network),
        *protection.findings(),
        *ClosedWays(circuit, network, profile).findings(),
        *_unsaid_findings(network, profile),
        *_no_load_findings(circuit, network),
    )


def _unsaid_findings(network: Network, profile: Profile) -> Iterator[Finding]:
    """Yield a finding for each stud with a load of which nothing says that it is no source itself.

    A battery or a charger there feeds the conductor from that end as well. And where its minus is a stud by
    itself, nothing but the job says that the two belong together.
    """
    told: set[str] = set()
    for load in network.loads:
        terminal = next((each for each in profile.terminals if each.name == load.terminal), None)
        if terminal is None or terminal.name in told:
            continue
        if is_shorted(network, load.plus):
            continue
        is_unsaid = terminal.kind is None and terminal.pole is None and terminal.stud is not None
        if is_unsaid and not _is_fused_there(network, load):
            told.add(terminal.name)
            yield _unsaid_source(load, terminal)
        if load.is_minus_guessed:
            told.add(terminal.name)
            yield _guessed_minus(load)


def _is_fused_there(network: Network, load: Load) -> bool:
    return any(load.plus in piece.fused_at for piece in network.at(load.plus))


def _unsaid_source(load: Load, terminal: Terminal) -> Finding:
    name = terminal.name
    return Finding(
        FindingKind.NO_FUSE,
        Severity.SHOULD,
        load.run,
        None,
        f"no fuse protects {load.conductor} at {name}, and nothing says that {name} is no source",
        "; where it is a battery's post or a charger's output, write kind: battery post or source: true, and "
        f'"fuse-at-both-ends: true" in run "{load.run}"; where it only takes current, write kind: unit',
        "a fuse at every source",
        "a terminal without a kind",
        None,
    )


def _guessed_minus(load: Load) -> Finding:
    plus, minus = load.plus.terminal, load.minus.terminal
    return Finding(
        FindingKind.POLES,
        Severity.NOTE,
        load.run,
        None,
        f"{plus} and {minus} are taken for the poles of one unit, as {load.conductor} comes back there",
        "; write the same unit: at both, with pole: plus and pole: minus; positive and negative of a battery",
        "unit and pole",
        "none",
        None,
    )


def _no_load_findings(circuit: Circuit, network: Network) -> Iterator[Finding]:
    """Yield a finding for each live conductor that is sized and fused as if nothing flowed in it."""
    for feed in network.feeds:
        for piece in network.pieces:
            carrier = circuit.by_name[piece.conductor]
            is_idle = not piece.is_return and carrier.current_a == 0.0
            if is_idle and feed.is_source and piece.start in network.joined(feed.plus):
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
