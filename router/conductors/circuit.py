"""Which conductor carries which loads, in the worst case: every load of the job that can be on at once.

Where a job says that loads are never on together, each conductor counts the heaviest of its loads that
can be: its own worst case, for ampacity and fuse. The drop to a load counts that load as on, and in every
conductor of its loop the heaviest that can be on beside it, which is no less than any real case.

A load's current flows in its own conductor, in every conductor upstream of it (`fed_by`), and in every
conductor that these come back along (`returns`). Where several supplies meet, each counts all that is fed
there, for ampacity and fuse, as the others' fuses may be blown; the drop is that of the way that `fed_by`
says. Two conductors that return the same one count as in series, never in parallel: that is the heavier
case. Current that no conductor brings back to the source comes back through the vehicle's body.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from functools import cached_property

from router.conductors.fuse_loads import LoadFactors, Surge, fuse_load
from router.conductors.on_at_once import most_together, never_pairs
from router.errors import NoConductorError
from router.model.job import Conductor, Job, Run


@dataclass(frozen=True, slots=True)
class Carrier:
    """One conductor of the job, and the loads whose current flows in it."""

    run: Run
    conductor: Conductor
    loads: frozenset[str]
    """Names of the conductors whose own load flows in this one."""
    current_a: float
    fuse_load_a: float
    """The same current as a fuse sees it: raised for good, or while loads are switched on."""
    steady_fuse_load_a: float
    """What a fuse bears for good, once motors run and filaments are hot."""
    cool_fuse_load_a: float
    """The same where no heat raises it."""
    surge: Surge | None = None
    """What is switched on where that counts more than what it bears for good."""
    may_carry: frozenset[str] = frozenset()
    """Its loads, and those that another supply feeds at the same joint: that one's fuse may be blown."""

    @property
    def name(self) -> str:
        """Return the conductor's name."""
        return self.conductor.name

    @property
    def is_return(self) -> bool:
        """Return whether it only brings current back."""
        return bool(self.conductor.returns)


@dataclass(frozen=True)
class Circuit:
    """Every conductor of a job in the job's order."""

    job: Job
    carriers: tuple[Carrier, ...]

    @cached_property
    def by_name(self) -> dict[str, Carrier]:
        """Return the carriers by their conductors' names."""
        return {carrier.name: carrier for carrier in self.carriers}

    @cached_property
    def loads(self) -> tuple[str, ...]:
        """Return the names of the conductors that have a load of their own."""
        return tuple(carrier.name for carrier in self.carriers if carrier.conductor.load_a > 0)

    def loop(self, load: str) -> tuple[Carrier, ...]:
        """Return every conductor between the source, a load, and the source again."""
        return tuple(carrier for carrier in self.carriers if load in carrier.loads)

    def comes_back_by_body(self, load: str) -> bool:
        """Return whether a load's current ends in the vehicle's body, not at the source's other pole."""
        negative = self.job.source.negative_at
        backs = [carrier for carrier in self.loop(load) if carrier.is_return]
        return negative is None or not any(negative in (back.run.start, back.run.end) for back in backs)

    def current_with_a(self, load: str, carrier: Carrier) -> float:
        """Return the most that flows in a conductor while one of its loads is on."""
        return self._most_with_a(load, carrier.loads)

    def body_current_with_a(self, load: str) -> float:
        """Return the most that the vehicle's body brings back while a load is on."""
        by_body = frozenset(name for name in self.loads if self.comes_back_by_body(name))
        return self._most_with_a(load, by_body)

    def is_every_load_on_with(self, load: str) -> bool:
        """Return whether the drop to a load counts all loads of its loop's conductors at once."""
        beside = frozenset[str]().union(*(carrier.loads for carrier in self.loop(load)))
        return not any(pair <= beside for pair in self._never)

    @cached_property
    def _never(self) -> frozenset[frozenset[str]]:
        return never_pairs(carrier.conductor for carrier in self.carriers)

    def _most_with_a(self, load: str, loads: frozenset[str]) -> float:
        load_a = {name: self.by_name[name].conductor.load_a for name in self.loads if name in loads}
        beside = {
            name: amperes for name, amperes in load_a.items() if frozenset((name, load)) not in self._never
        }
        return most_together(beside, self._never)

    def carrying(self, run: str) -> int:
        """Return how many conductors of a run carry current."""
        return sum(carrier.run.name == run and carrier.current_a > 0 for carrier in self.carriers)


def circuit_of(
    job: Job, factors: LoadFactors, hot: Collection[str], also: Mapping[str, Collection[str]]
) -> Circuit:
    """Return which conductor carries which loads, and what a fuse in it would count.

    Parameters
    ----------
    job : Job
    factors : LoadFactors
        How much more than its current a fuse counts of a load.
    hot : collection of str
        Runs whose fuse lies in a hot place.
    also : mapping of str to collection of str
        By conductor what feeds it besides what it is `fed_by`.

    Raises
    ------
    NoConductorError
        Where conductors feed or return each other in a ring, or name one that the job does not have.
    """
    conductors = {conductor.name: conductor for run in job.runs for conductor in run.conductors}
    loads_in, may_be_in = _loads_in(conductors, {}), _loads_in(conductors, also)
    carriers = []
    for run in job.runs:
        for conductor in run.conductors:
            loads, may_carry = loads_in(conductor.name), may_be_in(conductor.name)
            own = [each for each in conductors.values() if each.name in may_carry]
            current_a = most_together({each.name: each.load_a for each in own}, never_pairs(own))
            counted = fuse_load(own, factors, is_hot=run.name in hot)
            cool_a = fuse_load(own, factors, is_hot=False).steady_a
            figures = (current_a, counted.amperes, counted.steady_a, cool_a, counted.surge)
            carriers.append(Carrier(run, conductor, loads, *figures, may_carry))
    return Circuit(job, tuple(carriers))


def _loads_in(
    conductors: dict[str, Conductor], also: Mapping[str, Collection[str]]
) -> Callable[[str], frozenset[str]]:
    known: dict[str, frozenset[str]] = {}
    open_names: list[str] = []

    def loads_in(name: str) -> frozenset[str]:
        if name in known:
            return known[name]
        if name in open_names:
            ring = " - ".join([*open_names[open_names.index(name) :], name])
            raise NoConductorError(f"conductors feed or return each other in a ring: {ring}")
        if name not in conductors:
            raise NoConductorError(f'no conductor is named "{name}"; the job has {", ".join(conductors)}')
        open_names.append(name)
        upstream_of = [
            each.name
            for each in conductors.values()
            if each.fed_by == name or name in also.get(each.name, ())
        ]
        parts = [loads_in(other) for other in (*upstream_of, *conductors[name].returns)]
        own = {name} if conductors[name].load_a > 0 else set()
        open_names.pop()
        known[name] = frozenset(own.union(*parts))
        return known[name]

    return loads_in
