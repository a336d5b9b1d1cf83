"""Studs with a load of which the profile does not say what they are: a source perhaps, one pole of a unit."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from router.conductors.circuit_rules.dead_shorts import is_shorted
from router.facts import Load, Network
from router.model.plan import Finding, FindingKind, Severity
from router.model.vehicle import Profile, Terminal


def unsaid_findings(network: Network, profile: Profile, crossed: Collection[str]) -> Iterator[Finding]:
    """Yield a finding for each stud with a load of which nothing says that it is no source itself.

    A battery or a charger there feeds the conductor from that end as well. And where its minus is a stud by
    itself, nothing but the job says that the two belong together. Of crossed poles another finding says more.
    """
    told: set[str] = set()
    for load in network.loads:
        terminal = next((each for each in profile.terminals if each.name == load.terminal), None)
        if terminal is None or terminal.name in told:
            continue
        if load.conductor in crossed or is_shorted(network, load.plus):
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
