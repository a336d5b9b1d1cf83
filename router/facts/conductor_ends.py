"""Where each conductor's current comes from and where it goes, and the electrical point that each end is.

A conductor comes from what it is `fed_by`, else from a source at one of its ends, else from what the vehicle
has there. One that `returns` others comes from where these end, and goes to an earth.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from router.model.job import Conductor, Job, Run
from router.model.vehicle import Pole, Profile, Terminal, TerminalKind

PLUS, MINUS = "plus", "minus"


@dataclass(frozen=True, slots=True)
class Node:
    """One electrical point: all that is joined to it is joined together.

    A stud and a battery post are one, and so are all earth points and what stands on the vehicle's body. A
    unit with two studs, a lamp and a connector have one for each pole.
    """

    terminal: str
    pole: str
    """ "plus", "minus", a function of a lead, the name of a conductor; empty where nothing says which."""
    is_named: bool = False
    """Whether it is a contact called by what ends there: a conductor called "minus" makes no minus."""

    @property
    def words(self) -> str:
        """Return it in words: "unit plus"."""
        if self == BODY:
            return "the vehicle's body"
        return f"{self.terminal} {self.pole}" if self.pole else self.terminal


BODY = Node("", "body")
"""No terminal has such a name."""


@dataclass(frozen=True)
class ConductorEnds:
    """A job's conductors on a vehicle: near end, far end, and the node of each."""

    job: Job
    profile: Profile

    @cached_property
    def wires(self) -> dict[str, tuple[Run, Conductor]]:
        """Return each conductor with its run, by its name, in the job's order."""
        return {each.name: (run, each) for run in self.job.runs for each in run.conductors}

    @cached_property
    def terminals(self) -> dict[str, Terminal]:
        """Return the vehicle's terminals by their names."""
        return {each.name: each for each in self.profile.terminals}

    @cached_property
    def used(self) -> tuple[str, ...]:
        """Return the terminals at which conductors of the job end, in the job's order."""
        return tuple(dict.fromkeys(end for run, _ in self.wires.values() for end in (run.start, run.end)))

    def ends_of(self, name: str) -> tuple[str, str]:
        """Return the terminals of a conductor as its run has them."""
        run, _ = self.wires[name]
        return run.start, run.end

    def is_return(self, name: str) -> bool:
        """Return whether a conductor only brings current back."""
        return bool(self.wires[name][1].returns)

    def at(self, terminal: str) -> Iterator[str]:
        """Yield the conductors that end at a terminal."""
        return (name for name in self.wires if terminal in self.ends_of(name))

    def partner(self, terminal: str) -> Terminal | None:
        """Return the other pole of the unit or battery that a terminal is one pole of."""
        own = self.terminals.get(terminal)
        if own is None or own.unit is None or own.pole is None:
            return None
        poles = (each for each in self.profile.terminals if each.unit == own.unit and each.pole)
        others = [each for each in poles if each.pole and each.pole.is_minus is not own.pole.is_minus]
        return next((each for each in others if each.name in self.used), others[0] if others else None)

    # which end is which

    @cached_property
    def near(self) -> dict[str, str]:
        """Return by conductor the terminal at which its current comes into it."""
        found: dict[str, str] = {}
        supplies = [name for name in self.wires if not self.is_return(name)]
        for name in supplies:
            self._near_of_supply(name, found, ())
        for name in self.wires:
            self._near_of_return(name, found, ())
        return found

    def far(self, name: str) -> str:
        """Return the terminal at which a conductor's current leaves it."""
        return self._other(name, self.near[name])

    def _other(self, name: str, end: str) -> str:
        start, last = self.ends_of(name)
        return last if end == start else start

    def _near_of_supply(self, name: str, found: dict[str, str], above: tuple[str, ...]) -> str:
        if name in found:
            return found[name]
        run, conductor = self.wires[name]
        near = run.start
        feeder = conductor.fed_by
        if feeder in self.wires and feeder not in above and not self.is_return(feeder):
            shared = [end for end in self.ends_of(name) if end in self.ends_of(feeder)]
            feeder_near = self._near_of_supply(feeder, found, (*above, name))
            near = next((end for end in shared if end != feeder_near), *shared[:1] or [run.start])
        elif feeder is None:
            near = self._near_of_root(name)
        return found.setdefault(name, near)

    def _near_of_root(self, name: str) -> str:
        """Return the end of a conductor fed by no other at which something can feed it."""
        ends = self.ends_of(name)
        for is_such in (self._is_jobs_source, self._is_by_itself_source, self._is_fuse_box):
            for end in ends:
                if is_such(end):
                    return end
        loads = [end for end in ends if any(name in self.wires[each][1].returns for each in self.at(end))]
        if len(loads) == 1:
            return self._other(name, loads[0])
        earths = [end for end in ends if self.is_earth(end)]
        return self._other(name, earths[0]) if len(earths) == 1 else ends[0]

    def _near_of_return(self, name: str, found: dict[str, str], above: tuple[str, ...]) -> str:
        if name in found:
            return found[name]
        ends = self.ends_of(name)
        brought = [each for each in self.wires[name][1].returns if each in self.wires and each not in above]
        fars = {
            each: self._other(each, self._near_of_return(each, found, (*above, name))) for each in brought
        }
        loads = {far for each, far in fars.items() if not self.is_return(each)}
        loads |= {other.name for end in loads if (other := self.partner(end))}
        earths = [end for end in ends if self.is_earth(end) and not self._is_minus_of_unit(end)]
        signs = (
            [end for end in ends if end in loads],
            [end for end in ends if self._is_plus(end)],  # a mistake: nothing comes back to a plus
            [end for end in ends if end in fars.values()],
            [self._other(name, end) for end in earths],
        )
        near = next((sign[0] for sign in signs if len(sign) == 1), ends[0])
        return found.setdefault(name, near)

    # what a terminal is

    def is_earth(self, terminal: str) -> bool:
        """Return whether a terminal is an earth point or a minus: no source feeds anything there."""
        own = self.terminals.get(terminal)
        if terminal == self.job.source.negative_at:
            return True
        return own is not None and (
            own.kind is TerminalKind.EARTH_POINT or (own.pole is not None and own.pole.is_minus)
        )

    def _is_minus_of_unit(self, terminal: str) -> bool:
        own = self.terminals.get(terminal)
        return own is not None and own.pole is Pole.MINUS

    def _is_plus(self, terminal: str) -> bool:
        own = self.terminals.get(terminal)
        is_pole = own is not None and own.pole is not None and not own.pole.is_minus
        return is_pole or terminal == self.job.source.at

    def is_source(self, terminal: str) -> bool:
        """Return whether a terminal can feed what is joined to it; a fuse box that the job feeds cannot."""
        if self._is_jobs_source(terminal) or self._is_by_itself_source(terminal):
            return True
        feeds = (name for name in self.at(terminal) if not self.is_return(name))
        return self._is_fuse_box(terminal) and not any(self.far(name) == terminal for name in feeds)

    def _is_jobs_source(self, terminal: str) -> bool:
        return terminal == self.job.source.at

    def _is_by_itself_source(self, terminal: str) -> bool:
        own = self.terminals.get(terminal)
        if own is None or self.is_earth(terminal):
            return False
        return own.is_source or own.kind is TerminalKind.BATTERY_POST

    def _is_fuse_box(self, terminal: str) -> bool:
        own = self.terminals.get(terminal)
        return own is not None and own.kind is TerminalKind.FUSE_BOX and not own.is_place

    def is_taken_for_earth(self, terminal: str) -> bool:
        """Return whether the profile does not say that a terminal is an earth, and the job takes it for one.

        What brings current back ends there and nothing takes it on; on a connector, nothing else ends there.
        A stud is taken for an earth whatever else ends on it: if a supply does, somebody must look.
        """
        own = self.terminals.get(terminal)
        may_be = (None, TerminalKind.STUD, TerminalKind.CONNECTOR)
        is_known = own is not None and (
            own.kind not in may_be or own.pole is not None or own.studs is not None
        )
        if is_known or self.is_earth(terminal) or self.is_source(terminal):
            return False
        here = list(self.at(terminal))
        backs = [self.far(each) == terminal for each in here if self.is_return(each)]
        has_others = len(backs) < len(here) and not self.is_one_node(terminal)
        return bool(backs) and all(backs) and not has_others

    def is_one_node(self, terminal: str) -> bool:
        """Return whether all that ends at a terminal is joined there, as on a stud."""
        own = self.terminals.get(terminal)
        one = (TerminalKind.STUD, TerminalKind.FUSE_BOX, TerminalKind.BATTERY_POST, TerminalKind.EARTH_POINT)
        if own is None or own.studs is not None:
            return False
        return own.stud is not None or own.pole is not None or own.kind in one

    def node(self, name: str, terminal: str) -> Node:
        """Return the electrical point that a conductor's end at a terminal is.

        Parameters
        ----------
        name, terminal : str
            The conductor, and at which of its ends.
        """
        own = self.terminals.get(terminal)
        if own is not None and own.kind is TerminalKind.EARTH_POINT:
            return BODY
        if self.is_one_node(terminal):
            return self.stud_node(terminal)
        if self.is_return(name):
            return self._node_of_return(name, terminal)
        if (own is not None and own.studs is not None) or self.is_source(terminal):
            return Node(terminal, PLUS)
        return self._contact(name, terminal)

    def stud_node(self, terminal: str) -> Node:
        """Return the one point of a terminal on which all ends meet."""
        if self.is_earth(terminal):
            return Node(terminal, MINUS)
        own = self.terminals[terminal]
        is_plus = own.pole is not None or self.is_source(terminal)
        return Node(terminal, PLUS if is_plus else "")

    def _node_of_return(self, name: str, terminal: str) -> Node:
        run, conductor = self.wires[name]
        if run.lead is not None and conductor.function and self.near[name] == terminal:
            return Node(terminal, conductor.function, is_named=True)
        return Node(terminal, MINUS)

    def _contact(self, name: str, terminal: str) -> Node:
        """Return which contact of a connector a conductor has: the first that comes from a source, plus."""
        function = self.wires[name][1].function
        fed = (each for each in self.at(terminal) if self._is_plus_feed(each, terminal))
        if not function and next(fed, None) == name:
            return Node(terminal, PLUS)
        return Node(terminal, function or name, is_named=True)

    def _is_plus_feed(self, name: str, terminal: str) -> bool:
        if self.is_return(name) or self.wires[name][1].function or self.far(name) != terminal:
            return False
        return self.root(name)[1] and self.is_source(self.near[self.root(name)[0]])

    def root(self, name: str) -> tuple[str, bool]:
        """Return the conductor that a chain of feeding begins with, and whether it has no gap."""
        seen = [name]
        while (feeder := self.wires[seen[-1]][1].fed_by) in self.wires and feeder not in seen:
            if self.near[seen[-1]] not in self.ends_of(feeder):
                return feeder, False
            seen.append(feeder)
        return seen[-1], True


def fused_conductor(run: Run, job: Job) -> Conductor | None:
    """Return the conductor that a run's fuse sits in: its first that carries a load, else its first out."""
    if run.fuse is None:
        return None
    every = [each for other in job.runs for each in other.conductors]
    outs = [each for each in run.conductors if not each.returns]
    return next((each for each in outs if _carries(each, every, ())), outs[0] if outs else None)


def _carries(conductor: Conductor, every: list[Conductor], above: tuple[str, ...]) -> bool:
    """Return whether a load's current flows in a conductor: its own, or that of one that it feeds."""
    fed = (each for each in every if each.fed_by == conductor.name and each.name not in above)
    return conductor.load_a > 0 or any(_carries(each, every, (*above, conductor.name)) for each in fed)
