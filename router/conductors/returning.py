"""Whether every load's current gets back: some conductor brings it, and the path has no gap."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from router.conductors.circuit import Carrier, Circuit
from router.conductors.protection import way_out
from router.facts import poles_at
from router.model.plan import Finding, FindingKind, Severity


def no_return_findings(circuit: Circuit) -> Iterator[Finding]:
    """Yield a finding for each run with loads whose current no conductor of the job brings back."""
    for run in circuit.job.runs:
        own = [each for each in circuit.carriers if each.run is run and each.conductor.load_a > 0]
        names = [each.name for each in own if not each.is_return and not _is_brought_back(circuit, each)]
        if names:
            listed = names[0] if len(names) == 1 else f"[{', '.join(names)}]"
            advice = (
                f': add a run with a conductor that says "returns: {listed}"; leave it so only where the '
                "unit is earthed by its own body"
            )
            yield Finding(
                FindingKind.NO_RETURN,
                Severity.SHOULD,
                run.name,
                None,
                f"nothing brings the current of {', '.join(names)} back",
                advice,
                "a way back",
                "none in this job",
                None,
            )


def broken_return_findings(circuit: Circuit) -> Iterator[Finding]:
    """Yield a finding for each load that the job says is brought back, by conductors that do not meet.

    Current flows in a closed circuit only (Kirchhoff's current law). The conductors that bring a load's
    current back must lead from the load to the source's other pole, to a terminal that no supply ends on (an
    earth), or, of a load fed by nothing in the job, to where its feed comes from.
    """
    for load in circuit.carriers:
        if load.conductor.load_a <= 0 or load.is_return or not _is_brought_back(circuit, load):
            continue
        backs = [each for each in circuit.loop(load.name) if each.is_return]
        reached = _reached(_far_ends(circuit, load), backs)
        if not any(_is_arrived(circuit, load, terminal) for terminal in reached):
            lost, advice = _gap_words(circuit, load, backs, reached)
            yield Finding(
                FindingKind.BROKEN_RETURN,
                Severity.MUST,
                load.run.name,
                None,
                lost,
                advice,
                "a closed circuit",
                "a gap",
                None,
            )


def _is_brought_back(circuit: Circuit, load: Carrier) -> bool:
    """Return whether a conductor returns a load by name, or what feeds it from the load's far end on."""
    far = _far_ends(circuit, load)
    backs = [each for each in circuit.loop(load.name) if each.is_return]
    return any(load.name in each.conductor.returns or far & _ends(each) for each in backs)


def _ends(carrier: Carrier) -> frozenset[str]:
    return frozenset({carrier.run.start, carrier.run.end})


def _far_ends(circuit: Circuit, load: Carrier) -> frozenset[str]:
    """Return where a load's unit may be: both ends of its conductor where nothing tells them apart."""
    far = _ends(load) - {circuit.job.source.at}
    if load.conductor.fed_by:
        far -= _ends(circuit.by_name[load.conductor.fed_by])
    return far or _ends(load)


def _reached(begin: frozenset[str], backs: Iterable[Carrier]) -> frozenset[str]:
    """Return every terminal that conductors lead to from where they begin."""
    reached, left = begin, list(backs)
    while touching := [each for each in left if reached & _ends(each)]:
        reached = reached.union(*map(_ends, touching))
        left = [each for each in left if each not in touching]
    return reached


def _is_arrived(circuit: Circuit, load: Carrier, terminal: str) -> bool:
    job = circuit.job
    if terminal in (job.source.negative_at, job.source.at):  # on the plus it is a short: told elsewhere
        return True
    root = way_out(circuit, load)[0]
    if job.source.at not in _ends(root) and terminal in _ends(root):
        return True
    return not poles_at(job, terminal).plus


def _gap_words(
    circuit: Circuit, load: Carrier, backs: list[Carrier], reached: frozenset[str]
) -> tuple[str, str]:
    """Return what is lost, and why with what to do."""
    far = _far_ends(circuit, load)
    unit, gap = _any_of(circuit, far), _any_of(circuit, reached - far)
    lost = f"no current of {load.name} gets back from {unit}"
    names = [each.name for each in backs if reached & _ends(each)]
    if not names:
        others = ", ".join(f"{each.name} ({each.run.start} to {each.run.end})" for each in backs)
        begins = _any_of(circuit, _ends(backs[0]))
        return lost, (
            f": no end of {others} is there; add a conductor from {unit} to {begins} that says "
            f'"returns: {load.name}"'
        )
    more = [
        each.name
        for each in circuit.carriers
        if each.is_return and each not in backs and reached & _ends(each)
    ]
    change = (
        f'write {load.name} into "returns" of {more[0]}'
        if more
        else f'add a conductor from {gap} to an earth that says "returns: {load.name}"'
    )
    return lost, f": {', '.join(names)} ends at {gap}, and nothing takes it on there; {change}"


def _any_of(circuit: Circuit, terminals: frozenset[str]) -> str:
    """Return some terminals in words, in the order in which the job's runs end at them."""
    ends = dict.fromkeys(name for run in circuit.job.runs for name in (run.start, run.end))
    return " or ".join(name for name in ends if name in terminals)
