"""What is asked again and again while the runs of one job are laid together, and what was answered.

`together` says how the runs of a job are laid. Here are the graph that a run's paths are found on, its best
path by itself, the path that adds least to what is laid already, and the effort of them all.

Runs lie together only where they were told to be planned with one loom diameter, and never with a run that
they must stay apart from: that one's loom is kept out for them.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import partial
from typing import NamedTuple

from router.model.job import Job, Run
from router.model.practice import Practice
from router.model.vehicle import Profile
from router.routing.closed_bores import ClosedBores, without_bores
from router.routing.effort import LegCosts, job_effort_mm, paid_amounts, route_effort_mm
from router.routing.grounds import Sites, ground_of
from router.routing.kept_apart import looms_kept_out
from router.routing.laid_runs import Laid, LaidRuns, Together, moved
from router.routing.loom_on_vehicle import LoomOnVehicle
from router.routing.routes import make_route
from router.routing.shut_ends import first_shut_end
from router.search import (
    XY,
    Ask,
    GraphCache,
    GraphWithLaid,
    Key,
    Path,
    SightGraph,
    Step,
    Trunks,
    best_once,
    best_path,
    find_beside,
    find_between,
    find_by_nodes,
    find_by_point,
    smooth,
    snapped,
)
from router.stopping import stop_if_asked

LEAST_GAIN_MM = 0.01
"""A change that gains less effort than this is none."""
MOST_OF_OWN_EFFORT = 1.5
"""What a run that passes a branch point may add, times its best effort by itself."""
MOST_KEPT = 24
"""How many graphs with something laid on them are kept, the last used; more would only fill memory."""


@dataclass(frozen=True, slots=True)
class _RunGraph:
    """The graph for a run, by its number among those of the job, and what is worked out on it."""

    number: int
    loom: LoomOnVehicle
    graph: SightGraph
    costs: LegCosts
    cache: GraphCache


class _LeastAdded(NamedTuple):
    """The path of a run that adds least to what is laid, what the search for it came to, and what it uses."""

    path: Path | None
    met: frozenset[Key]
    used: frozenset[Key]


class NoPathError(Exception):
    """A run has no path beside what is laid: what it asked of which graph, for whoever wants to know why.

    `apart_mm` holds by name how far it must stay from those runs that were laid and kept it away.
    """

    def __init__(
        self, run: Run, loom: LoomOnVehicle, ask: Ask, sites: Sites, apart_mm: Mapping[str, float]
    ) -> None:
        super().__init__(run.name)
        self.run, self.loom, self.ask, self.sites, self.apart_mm = run, loom, ask, sites, apart_mm


class OnePlaceError(NoPathError):
    """A run's two terminals are at one place, so that nothing goes between them."""


class JobSearch:
    """What is asked again and again while the runs of one job are laid, and what was answered."""

    def __init__(
        self,
        job: Job,
        profile: Profile,
        practice: Practice,
        diameters_mm: dict[str, float],
        closed: ClosedBores,
    ) -> None:
        self.job, self.profile, self.practice, self.diameters_mm = job, profile, practice, diameters_mm
        self.closed = closed
        self.share = practice.value("factor", "shared")
        self.names = list(dict.fromkeys(name for run in job.runs for name in (run.start, run.end)))
        self._graphs: dict[tuple[object, ...], _RunGraph] = {}
        self._alone: dict[tuple[str, int], Laid] = {}
        self._answers: dict[tuple[object, ...], Laid] = {}
        self._as_if: dict[tuple[object, ...], Laid | None] = {}
        self._least: dict[tuple[object, ...], _LeastAdded] = {}
        self._with_laid: dict[tuple[object, ...], GraphWithLaid] = {}
        self._through: dict[tuple[object, ...], Laid | None] = {}
        self._found: dict[tuple[object, ...], Laid] = {}
        self._efforts: dict[tuple[int, ...], float] = {}
        self._trunks: dict[int, Trunks] = {}
        self._numbers = itertools.count()

    def graph(self, run: Run, others: LaidRuns) -> _RunGraph:
        """Return the graph for a run: by its diameter, without the looms that it must stay apart from."""
        diameter_mm = self.diameters_mm[run.name]
        apart = {name: o for name, o in others.items() if self.job.apart_mm(run.name, name) is not None}
        closed = tuple(self.closed.get(run.name, ()))
        key = (diameter_mm, closed, run.name if apart else None, *(laid.number for laid in apart.values()))
        if key not in self._graphs:
            routes = {name: (laid.route, self.diameters_mm[name]) for name, laid in apart.items()}
            kept_out = tuple(looms_kept_out(self.job, run, routes, self.profile, self.practice))
            profile = replace(self.profile, keep_outs=(*self.profile.keep_outs, *kept_out))
            loom = LoomOnVehicle(without_bores(profile, closed), self.practice, diameter_mm / 2.0)
            ground = ground_of(loom.profile, self.practice, loom.radius_mm, self._sites())
            own = (ground.graph, ground.costs, ground.cache)
            self._graphs[key] = _RunGraph(len(self._graphs), loom, *own)
        return self._graphs[key]

    def _sites(self) -> Sites:
        numbers = {space.name: number for number, space in enumerate(self.profile.spaces)}
        terminals = [self.profile.terminal(name) for name in self.names]
        return tuple((numbers[terminal.space], terminal.at) for terminal in terminals)

    def _ask(self, run: Run) -> Ask:
        ends = (self.names.index(run.start), self.names.index(run.end))
        return Ask(*ends, run.via, frozenset(run.avoid))

    def site(self, terminal_name: str) -> tuple[int, XY]:
        """Return the layer of a terminal, and where it is."""
        return self._sites()[self.names.index(terminal_name)]

    def alone(self, run: Run, others: LaidRuns) -> Laid:
        """Return a run's best path by itself; others only keep it away.

        Raises
        ------
        NoPathError
            There is none.
        """
        own = self.graph(run, others)
        loom, graph, key = own.loom, own.graph, (run.name, own.number)
        if key not in self._alone:
            ask, path = self._ask(run), None
            if first_shut_end(loom, run) is None:
                ask, path = best_once(graph.world, ask, partial(best_path, graph))
            if path is None:
                raise self._no_path(run, loom, others)
            route = make_route(loom, graph.world, run, path, 0.0)
            if not route.routed_mm:
                raise OnePlaceError(run, loom, ask, self._sites(), {})
            number = next(self._numbers)
            self._alone[key] = Laid(number, own.number, loom, graph, own.costs, ask, path, path, route)
        return self._alone[key]

    def alone_mm(self, run: Run) -> float:
        """Return the effort of a run's best path by itself, in mm."""
        return self.alone(run, {}).route.effort_mm

    def _no_path(self, run: Run, loom: LoomOnVehicle, others: LaidRuns) -> NoPathError:
        apart_mm = {name: self.job.apart_mm(run.name, name) for name in others}
        kept_mm = {name: mm for name, mm in apart_mm.items() if mm is not None}
        return NoPathError(run, loom, self._ask(run), self._sites(), kept_mm)

    def _laid(self, alone: Laid, run: Run, path: Path) -> Laid:
        """Return a path found beside others, with the effort and the gap that it has by itself."""
        key = (run.name, alone.graph_number, path.steps, path.nodes)
        if key not in self._found:
            self._found[key] = self._made(alone, run, path)
        return self._found[key]

    def _made(self, alone: Laid, run: Run, path: Path) -> Laid:
        stop_if_asked()
        route = make_route(alone.loom, alone.graph.world, run, path, 0.0)
        effort_mm = route_effort_mm(route, alone.costs, self.practice)
        gap = effort_mm * (1.0 + alone.route.gap) / alone.route.effort_mm - 1.0
        route = replace(route, effort_mm=effort_mm, gap=max(alone.route.gap, gap))
        return replace(alone, number=next(self._numbers), path=path, route=route)

    def may_share(self, one: str, other: str) -> bool:
        """Return whether two runs may lie in one loom."""
        is_one_size = self.diameters_mm[one] == self.diameters_mm[other]
        return is_one_size and self.job.apart_mm(one, other) is None

    def answer(self, run: Run, others: LaidRuns) -> Laid:
        """Return where a run adds least to what is laid.

        Raises
        ------
        NoPathError
            It has no path.
        """
        key = (run.name, *sorted((name, laid.number) for name, laid in others.items()))
        if key not in self._answers:
            self._answers[key] = self._find_answer(run, others)
        return self._answers[key]

    def _find_answer(self, run: Run, others: LaidRuns) -> Laid:
        alone = self.alone(run, others)
        if not others:
            return alone
        with_laid, ask = self._graph_with_laid(run, others, ()), alone.ask
        base_mm = self.effort_mm(others)
        alone_adds_mm = self.effort_mm({**others, run.name: alone}) - base_mm
        path = find_beside(with_laid, ask, alone_adds_mm - LEAST_GAIN_MM)
        if path is None:
            return alone
        best = self._laid(alone, run, snapped(with_laid, smooth(with_laid, path)))
        if self.effort_mm({**others, run.name: best}) - base_mm > path.effort_mm + LEAST_GAIN_MM:
            unsmoothed = self._laid(alone, run, path)  # sliding went past the end of what is laid
            best = min([best, unsmoothed, alone], key=lambda laid: self.effort_mm({**others, run.name: laid}))
        return best

    def answer_as_if(self, run: Run, others: LaidRuns, key: Key, *, is_paid: bool) -> Laid | None:
        """Return where a run would add least to what is laid if a thing were paid, or else were shut.

        Parameters
        ----------
        run : Run
        others : LaidRuns
            What is laid.
        key : Key
            What has an amount.
        is_paid : bool
            As if its amount were paid; otherwise as if nobody could use it.

        Returns
        -------
        Laid or None
            None where there is no path.
        """
        asked = (run.name, key, is_paid, *sorted((name, laid.number) for name, laid in others.items()))
        if asked not in self._as_if:
            self._as_if[asked] = self._find_as_if(run, others, key, is_paid=is_paid)
        return self._as_if[asked]

    def _find_as_if(self, run: Run, others: LaidRuns, key: Key, *, is_paid: bool) -> Laid | None:
        try:
            alone = self.alone(run, others)
        except NoPathError:
            return None
        path, met, used = self._least_added(alone, run, others)
        if key in (met if is_paid else used):
            with_laid, ask = self._graph_with_laid(run, others, ()), alone.ask
            if is_paid:
                with_laid = with_laid.as_if_paid(key)
            else:
                ask = replace(ask, avoid=ask.avoid | {str(key)})
            path = find_beside(with_laid, ask, math.inf)
        return self._laid(alone, run, path) if path else None

    def _least_added(self, alone: Laid, run: Run, others: LaidRuns) -> _LeastAdded:
        """Return the path that adds least to what is laid, and which keys could lead to another one.

        If the amount of a thing were paid that the search did not come to, or a thing were shut that the path
        does not use, the search would go the same way to the same path.
        """
        key = (run.name, *((name, laid.number) for name, laid in others.items()))
        if key not in self._least:
            with_laid = self._graph_with_laid(run, others, ())
            met: set[Key] = set()
            path = find_beside(with_laid, alone.ask, math.inf, met)
            used = frozenset(key for step in path.steps for key in step.keys) if path else frozenset[Key]()
            self._least[key] = _LeastAdded(path, frozenset(met), used)
        return self._least[key]

    def found_paths(self) -> list[Path]:
        """Return every path that some run was ever laid on."""
        return [laid.path for laid in self._found.values()]

    def paid_once(self) -> tuple[Key, ...]:
        """Return what counts an amount once a job: covers, members and openings."""
        worlds = [own.graph.world for own in self._graphs.values()]
        zones = [z.key for world in worlds for layer in world.layers for z in layer.zones if z.amount_mm]
        gates = [gate.key for world in worlds for layer in world.layers for gate in layer.gates]
        keys = [*zones, *gates, *(link.key for world in worlds for link in world.links)]
        return tuple(dict.fromkeys(key for key in keys if isinstance(key, str)))  # a step is paid each time

    def used(self, laid_runs: LaidRuns) -> set[Key]:
        """Return what of that some run uses."""
        return {key for laid in laid_runs.values() for step in laid.path.steps for key in step.keys}

    def answer_through_branch_point(self, run: Run, others: LaidRuns, layer: int, at: XY) -> Laid | None:
        """Return where a run through a branch point adds least to what is laid; None where it cannot.

        Parameters
        ----------
        run : Run
            Without `via`.
        others : LaidRuns
            What is laid.
        layer : int
        at : (x, y)
            The branch point. [mm]
        """
        alone = self.alone(run, others)
        key = (run.name, layer, at, *((name, laid.number) for name, laid in others.items()))
        if key not in self._through:
            with_laid = self._graph_with_laid(run, others, ((layer, at),))
            most_mm = MOST_OF_OWN_EFFORT * alone.route.effort_mm
            path = find_by_point(with_laid, self._ask(run), layer, at, most_mm)
            self._through[key] = self._laid(alone, run, path) if path else None
        return self._through[key]

    def along_trunks(self, one: Run, other: Run, below_mm: float) -> Iterator[Laid]:
        """Yield where one of two runs lies if they share their best trunk, either way along it.

        Parameters
        ----------
        one, other : Run
            Without `via`; they may share.
        below_mm : float
            What both must take less than, by the places of the sight graph.
        """
        own = self.graph(one, {})
        if own.number not in self._trunks:
            self._trunks[own.number] = Trunks(own.graph, self.share)
        asks = (self._ask(one), self._ask(other))
        for other_ask in (asks[1], replace(asks[1], start=asks[1].goal, goal=asks[1].start)):
            trunk = self._trunks[own.number].best(asks[0], other_ask, below_mm)
            if trunk is None:
                continue
            for run, ask, is_turned in ((one, asks[0], False), (other, asks[1], other_ask is not asks[1])):
                ends = (trunk.last, trunk.first) if is_turned else (trunk.first, trunk.last)
                path = find_by_nodes(self._graph_with_laid(run, {}, ()), ask, ends)
                if path:
                    yield self._laid(self.alone(run, {}), run, path)

    def cut_short(self, run: Run, here: Step, there: Step) -> Path | None:
        """Return a run's best path by itself between two places of one layer.

        Parameters
        ----------
        run : Run
        here, there : Step
            The two places.
        """
        ends = ((here.layer, (here.x, here.y)), (there.layer, (there.x, there.y)))
        with_laid = self._graph_with_laid(run, {}, ends)
        return find_between(with_laid, *ends, frozenset(run.avoid))

    def relaid(self, run: Run, laid: Laid, path: Path) -> Laid:
        """Return a run on another way of the same sight graph.

        Parameters
        ----------
        run : Run
        laid : Laid
            How it is laid now.
        path : Path
            The other path.
        """
        alone = self._alone[run.name, laid.graph_number]
        return self._laid(alone, run, path)

    def _graph_with_laid(
        self, run: Run, others: LaidRuns, points: tuple[tuple[int, XY], ...]
    ) -> GraphWithLaid:
        stop_if_asked()
        own = self.graph(run, others)
        key = (run.name, points, *((name, laid.number) for name, laid in others.items()))
        known = self._with_laid.pop(key, None)
        if known is None:
            laid = [
                path
                for name, other in others.items()
                if self.may_share(run.name, name)
                for path in moved(other, own.graph)
            ]
            costs = {other.route.run: other.costs for other in others.values()}
            paid = paid_amounts([other.route for other in others.values()], costs, self.practice)
            avoid = frozenset(run.avoid)
            known = GraphWithLaid(own.graph, laid, self.share, paid, avoid, points, own.cache)
        self._with_laid[key] = known
        if len(self._with_laid) > MOST_KEPT:
            del self._with_laid[next(iter(self._with_laid))]
        return known

    def keeps_apart(self, laid_runs: LaidRuns, run: Run) -> bool:
        """Return whether the paths of those that a run must stay apart from are still free."""
        for name, laid in laid_runs.items():
            if self.job.apart_mm(run.name, name) is not None:
                others = {other: each for other, each in laid_runs.items() if other != name}
                if len(moved(laid, self.graph(self.job.run(name), others).graph)) > 1:
                    return False
        return True

    def are_apart(self, laid_runs: LaidRuns) -> bool:
        """Return whether all runs stay apart from those that they must stay apart from."""
        return all(self.keeps_apart(laid_runs, run) for run in self.job.runs)

    def together(self, laid_runs: LaidRuns) -> Together:
        """Return what was found."""
        alone_mm = sum(self.alone_mm(run) for run in self.job.runs)
        return Together(
            tuple(laid_runs[run.name] for run in self.job.runs), self.effort_mm(laid_runs), alone_mm
        )

    def key(self, laid_runs: LaidRuns) -> tuple[int, ...]:
        """Return what tells what is laid from anything else that is."""
        return tuple(sorted(laid.number for laid in laid_runs.values()))

    def effort_mm(self, laid_runs: LaidRuns) -> float:
        """Return the effort of what is laid together, in mm."""
        key = self.key(laid_runs)
        if key not in self._efforts:
            routes = [laid.route for laid in laid_runs.values()]
            costs = {laid.route.run: laid.costs for laid in laid_runs.values()}
            self._efforts[key] = job_effort_mm(routes, costs, self.practice)
        return self._efforts[key]
