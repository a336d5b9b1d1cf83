"""All runs of a job together: the least effort of the whole job; see `effort` for what counts.

From several starts (each run alone, and the runs one after the other in several orders) every run in turn is
laid again where it adds least to the others, until none gets better: each step is a best answer to the
others, so the job's effort only falls. Then branch points are inserted, as into a Steiner tree: where two
runs part, the point that is best for the three legs that meet there becomes one that one of them must pass,
and the other answers; what is better stays. The end is a plan that no single run and no single branch place
can make better by itself. From the best of them two runs at a time are laid again, all or one are laid as if
some amount were paid already or what it is paid for were shut, and one is led through a place of another for
the others to follow. It need not be the best of all: `job_bound` says what no plan is
below.
Measured against exhaustive search in tests/unit/routing/test_together.py and test_streets.py. Never more than
the sum of the runs' own best. Deterministic.

Runs lie together only where they were told to be planned with one loom diameter, and never with a run that
they must stay apart from: that one's loom is kept out for them.
"""

from __future__ import annotations

import contextlib
import itertools
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import TypeAlias

import shapely

from router.model.job import Job, Run
from router.model.plan import Route
from router.model.practice import Practice
from router.model.vehicle import Profile
from router.routing.closed_bores import ClosedBores, without_bores
from router.routing.effort import LegCosts, job_effort_mm, paid_amounts, route_effort_mm
from router.routing.free_space import LoomOnVehicle, make_world
from router.routing.kept_apart import looms_kept_out
from router.routing.routes import make_route
from router.routing.shut_ends import first_shut_end
from router.search import (
    XY,
    Ask,
    GraphBounds,
    GraphCache,
    GraphWithLaid,
    Key,
    Path,
    SightGraph,
    Step,
    best_once,
    best_path,
    branch_places,
    find_beside,
    find_between,
    find_by_point,
    is_loose,
    rerouted,
    smooth,
    snapped,
)
from router.tolerances import OUT_OF_FREE_MM

STEP_MM = 100.0
"""Longest piece of a border or support without a vertex before the found path is polished."""
LEAST_GAIN_MM = 0.01
"""A change that gains less effort than this is none."""
NO_RAIL = -1
MOST_ROUNDS = 8
"""How often at most all runs are laid again."""
MOST_OF_OWN_EFFORT = 1.5
"""What a run that passes a branch point may add, times its best effort by itself."""
NEAR_BEST_SHARE = 0.03
"""What is found on the way and takes more effort than the best by more than this share is of no use."""
MOST_FOUND = 4
"""How many paths of a job are given at most, the best among them."""
MOST_RUNS_IN_EVERY_ORDER = 3
"""Up to this many runs are tried in every order, and branch points are inserted from each."""
MOST_THINGS = 12
"""Of more things with an amount only those are thought paid, or shut, that some path found so far uses."""
MOST_PLACES = 30
"""Through how many places of others a run is led at most, to see whether they then come along."""
LEAST_TURN_MM2 = 1.0
"""A place where a path turns by less is no bend."""
MOST_BRANCH_POINTS, MOST_BRANCH_POINTS_OF_MANY = 60, 16
"""How many branch points are tried for a job of so few runs, and for one of more: each takes a while."""


@dataclass(frozen=True, slots=True)
class Laid:
    """A run's path, and the graph that it was found on."""

    number: int
    """Which of all that its job's search has laid it is: the same path is the same thing each time."""
    graph_number: int
    loom: LoomOnVehicle
    graph: SightGraph
    costs: LegCosts
    """Of straight pieces of routes in that graph's world."""
    ask: Ask
    """What the run asks of that sight graph."""
    best: Path
    """The best path that the run has by itself."""
    path: Path
    route: Route
    """Its effort is the run's own, as if nobody shared it; its gap is to the best that the run has alone."""


@dataclass(frozen=True, slots=True)
class Together:
    """The paths of all runs, in the job's order; their effort in mm, together and each laid by itself."""

    laid: tuple[Laid, ...]
    effort_mm: float
    apart_effort_mm: float


@dataclass(frozen=True, slots=True)
class _RunGraph:
    """The graph for a run, by its number among those of the job, and what is worked out on it."""

    number: int
    loom: LoomOnVehicle
    graph: SightGraph
    costs: LegCosts
    cache: GraphCache


LaidRuns: TypeAlias = dict[str, Laid]
Sites: TypeAlias = tuple[tuple[int, XY], ...]


def lay_together(
    job: Job,
    profile: Profile,
    practice: Practice,
    diameters_mm: Mapping[str, float],
    *,
    is_draft: bool = False,
    closed: ClosedBores | None = None,
) -> tuple[Together, ...]:
    """Return the paths of all runs: the best that was found, then others that take little more.

    Parameters
    ----------
    job, profile, practice : records of the model
    diameters_mm : mapping of str to float
        By run: outside of the thickest loom that it lies in. Runs with the same may lie together. [mm]
    is_draft : bool
        Stop at the first start that leads somewhere, to see roughly which runs lie together.
    closed : mapping of str to sequence of Opening and ThroughPass, optional
        By run: what it may not go through.

    Raises
    ------
    NoPathError
        A run has no path, or none that stays apart from another as it must.
    """
    search = JobSearch(job, profile, practice, dict(diameters_mm), closed or {})
    for run in job.runs:
        search.alone(run, {})
    starts = _starts(search, 1 if is_draft else None)
    if is_draft:
        return (search.together(starts[0]),)
    if len(job.runs) > MOST_RUNS_IN_EVERY_ORDER:
        starts = [min(starts, key=search.effort_mm)]
    tried: set[object] = set()
    found = [path for laid_runs in starts for path in _with_branch_points(search, laid_runs, tried)]
    while better := next(_exchanges(search, min(found, key=search.effort_mm)), None):
        found += _with_branch_points(search, better, tried)
    found.sort(key=search.effort_mm)
    kept = found[:1]
    for laid_runs in found[1:]:
        more_mm = search.effort_mm(laid_runs) - search.effort_mm(kept[-1])
        if more_mm > LEAST_GAIN_MM and search.effort_mm(laid_runs) <= (
            1.0 + NEAR_BEST_SHARE
        ) * search.effort_mm(found[0]):
            kept.append(laid_runs)
    return tuple(search.together(laid_runs) for laid_runs in kept[:MOST_FOUND])


def _starts(search: JobSearch, most: int | None) -> list[LaidRuns]:
    """Return local optima, one from each order (or from `most`) that leads somewhere."""
    starts: dict[tuple[int, ...], LaidRuns] = {}
    first: NoPathError | None = None
    for order in _orders(search.job, search):
        try:
            laid = _one_by_one(search, order)
        except NoPathError as no_way:
            first = first or no_way
            continue
        laid_runs = {run.name: laid[run.name] for run in search.job.runs}
        start = search.key(laid_runs)
        if start not in starts:
            starts[start] = _locally_best(search, laid_runs)
        if len(starts) == most:
            break
    if first and not starts:
        raise first
    return list(starts.values())


def _orders(job: Job, search: JobSearch) -> Iterator[tuple[Run, ...]]:
    """Yield the orders in which runs are laid one after the other, each once."""
    if len(job.runs) <= MOST_RUNS_IN_EVERY_ORDER:
        yield from itertools.permutations(job.runs)
        return
    runs = job.runs
    by_effort = tuple(sorted(runs, key=lambda run: -search.alone_mm(run)))
    yield from dict.fromkeys([runs, runs[::-1], by_effort, by_effort[::-1]])


def _one_by_one(search: JobSearch, order: Sequence[Run]) -> LaidRuns:
    laid_runs: LaidRuns = {}
    for run in order:
        laid_runs[run.name] = search.answer(run, laid_runs)
    return laid_runs


def _locally_best(search: JobSearch, laid_runs: LaidRuns) -> LaidRuns:
    """Lay every run again in turn until none gets better."""
    effort_mm = search.effort_mm(laid_runs)
    for _ in range(MOST_ROUNDS):
        before_mm = effort_mm
        for run in search.job.runs:
            others = {name: laid for name, laid in laid_runs.items() if name != run.name}
            try:
                changed = {**laid_runs, run.name: search.answer(run, others)}
            except NoPathError:  # what it must stay apart from has moved to where it was allowed to
                continue
            changed_mm = search.effort_mm(changed)
            if changed_mm < effort_mm - LEAST_GAIN_MM and search.keeps_apart(changed, run):
                laid_runs, effort_mm = changed, changed_mm
        if before_mm - effort_mm <= LEAST_GAIN_MM:
            break
    return laid_runs


def _with_branch_points(search: JobSearch, laid_runs: LaidRuns, tried: set[object]) -> Iterator[LaidRuns]:
    """Yield every step of inserting branch points, until none makes the job's effort less.

    The most promising come first. `tried` keeps what was asked before, from this start or another one, and is
    not asked again.
    """
    while True:
        yield laid_runs
        moves = itertools.chain(_straighter(search, laid_runs), _branch_moves(search, laid_runs, tried))
        better = next(moves, None)
        if better is None:
            return
        laid_runs = _locally_best(search, better)


def _exchanges(search: JobSearch, laid_runs: LaidRuns) -> Iterator[LaidRuns]:
    """Yield better plans in which two runs, or one through a place of another and all others, are laid again.

    What nobody gains from alone, as a trunk that all would have to move to, is found so; and what an amount
    keeps all from, or keeps all at: they are laid as if it were paid, or what it is paid for were shut.
    """
    below_mm = search.effort_mm(laid_runs) - LEAST_GAIN_MM
    moves = [move(search, laid_runs) for move in (_pairs_again, _with_others_used, _through_places)]
    for changed in itertools.chain.from_iterable(moves):
        if search.effort_mm(changed) < (1.0 + NEAR_BEST_SHARE) * below_mm:
            settled = _locally_best(search, changed)
            if search.effort_mm(settled) < below_mm and _all_apart(search, settled):
                yield settled


def _pairs_again(search: JobSearch, laid_runs: LaidRuns) -> Iterator[LaidRuns]:
    """Yield plans in which two runs are taken out and laid again, the one first or the other."""
    for one, other in itertools.permutations(search.job.runs, 2):
        kept = {name: laid for name, laid in laid_runs.items() if name not in (one.name, other.name)}
        if changed := _answered(search, kept, (one, other)):
            yield changed


def _with_others_used(search: JobSearch, laid_runs: LaidRuns) -> Iterator[LaidRuns]:
    """Yield plans laid as if the amount of a thing were paid, or as if one that is used were shut.

    All runs are laid again, in order or from the last to the first, or only one of them is. Laying further
    runs can only add effort, so that what already takes too much is not looked into.
    """
    runs, enough_mm = search.job.runs, (1.0 + NEAR_BEST_SHARE) * search.effort_mm(laid_runs)
    used = search.used(laid_runs)
    things = search.paid_once()
    if len(things) > MOST_THINGS:
        found = {key for path in search.found_paths() for step in path.steps for key in step.keys}
        things = tuple(key for key in things if key in found)
    for key, is_paid in [*((key, True) for key in things), *((key, False) for key in things if key in used)]:
        for again in dict.fromkeys([runs, runs[::-1], *((run,) for run in runs)]):
            names = {run.name for run in again}
            changed = {name: laid for name, laid in laid_runs.items() if name not in names}
            for run in again:
                laid = search.answer_as_if(run, changed, key, is_paid=is_paid)
                if laid is None:
                    break
                changed[run.name] = laid
                if search.effort_mm(changed) >= enough_mm:
                    break
            else:
                yield {run.name: changed[run.name] for run in runs}


def _through_places(search: JobSearch, laid_runs: LaidRuns) -> Iterator[LaidRuns]:
    """Yield plans in which one run passes a place of another, and the others answer, or all but one do."""
    is_few = len(search.job.runs) <= MOST_RUNS_IN_EVERY_ORDER
    for one in search.job.runs:
        own = {search.site(one.start), search.site(one.end)}
        others = [run for run in search.job.runs if run is one or search.may_share(one.name, run.name)]
        places = dict.fromkeys(search.site(name) for run in others for name in (run.start, run.end))
        paths = [path for run in others for path in (search.alone(run, {}).path, laid_runs[run.name].path)]
        if is_few:
            places |= dict.fromkeys(place for path in paths for place in _bends(path))
            places |= dict.fromkeys(place for path in search.found_paths() for place in _bends(path))
        rest = {name: laid for name, laid in laid_runs.items() if name != one.name}
        for place, kept in itertools.product(list(places)[:MOST_PLACES], (rest, {}) if not one.via else ()):
            with contextlib.suppress(NoPathError):
                through = search.answer_through_branch_point(one, kept, *place) if place not in own else None
                if through and (changed := _answered(search, {**kept, one.name: through})):
                    yield changed


def _bends(path: Path) -> list[tuple[int, XY]]:
    """Return where a path turns, or joins or leaves a rail."""
    around = zip(path.steps, path.steps[1:], path.steps[2:], strict=False)
    return [
        (here.layer, (round(here.x, 6), round(here.y, 6)))
        for before, here, after in around
        if before.rail != here.rail or abs(_turn_mm2(before, here, after)) > LEAST_TURN_MM2
    ]


def _turn_mm2(before: Step, here: Step, after: Step) -> float:
    """Return twice the area between three places; 0 where they lie on a line."""
    first, last = (here.x - before.x, here.y - before.y), (after.x - here.x, after.y - here.y)
    return first[0] * last[1] - first[1] * last[0]


def _answered(search: JobSearch, kept: LaidRuns, first: Sequence[Run] = ()) -> LaidRuns | None:
    """Return the runs with those that are not kept laid again in turn, some first; None where one cannot."""
    laid_runs = dict(kept)
    waiting = [run for run in (*first, *search.job.runs) if run.name not in kept]
    try:
        for run in dict.fromkeys(waiting):
            laid_runs[run.name] = search.answer(run, laid_runs)
    except NoPathError:
        return None
    return {run.name: laid_runs[run.name] for run in search.job.runs}


def _all_apart(search: JobSearch, laid_runs: LaidRuns) -> bool:
    return all(search.keeps_apart(laid_runs, run) for run in search.job.runs)


def _branch_moves(search: JobSearch, laid_runs: LaidRuns, tried: set[object]) -> Iterator[LaidRuns]:
    most = (
        MOST_BRANCH_POINTS if len(search.job.runs) <= MOST_RUNS_IN_EVERY_ORDER else MOST_BRANCH_POINTS_OF_MANY
    )
    for one, other, place in _branch_points(search, laid_runs):
        for kept in _may_stay(laid_runs, one, other):
            key = (one.name, other.name, place, *(laid.number for laid in kept.values()))
            if key in tried or len(tried) >= most:
                continue
            tried.add(key)
            changed_runs = _with_branch_point(
                search, kept, (one, other), place, search.effort_mm(laid_runs) - LEAST_GAIN_MM
            )
            if changed_runs:
                yield changed_runs


def _straighter(search: JobSearch, laid_runs: LaidRuns) -> Iterator[LaidRuns]:
    """Yield runs with a bend cut short that only a branch made, and that all runs there share."""
    for run in search.job.runs:
        own = laid_runs[run.name].path
        for i in range(1, len(own.steps) - 1):
            if not is_loose(own, i):
                continue
            cut = search.cut_short(run, own.steps[i - 1], own.steps[i + 1])
            around = [(step.layer, step.x, step.y) for step in own.steps[i - 1 : i + 2]]
            changed = dict(laid_runs)
            for other in search.job.runs:
                found = rerouted(laid_runs[other.name].path, around, cut) if cut else None
                if found and search.may_share(run.name, other.name):
                    changed[other.name] = search.relaid(other, laid_runs[other.name], found)
            is_apart = all(search.keeps_apart(changed, each) for each in search.job.runs)
            if cut and is_apart and search.effort_mm(changed) < search.effort_mm(laid_runs) - LEAST_GAIN_MM:
                yield changed


def _branch_points(search: JobSearch, laid_runs: LaidRuns) -> list[tuple[Run, Run, tuple[int, XY]]]:
    """Return which two runs could part better, and where; what promises most first."""
    paths = [laid.path for laid in laid_runs.values()]
    found = [
        (-gain_mm, place, one, other)
        for one, other in itertools.permutations(search.job.runs, 2)
        if not one.via and search.may_share(one.name, other.name)
        for gain_mm, place in branch_places(
            laid_runs[one.name].path, laid_runs[other.name].path, paths, search.share
        )
    ]
    found.sort(key=lambda pull: (round(pull[0], 3), pull[1]))
    return [(one, other, place) for _, place, one, other in found]


def _may_stay(laid_runs: LaidRuns, one: Run, other: Run) -> list[LaidRuns]:
    """Return what may stay laid while a branch point of two runs is inserted: all others, or nobody."""
    rest = {name: laid for name, laid in laid_runs.items() if name not in (one.name, other.name)}
    return [rest, {}] if rest else [rest]


def _with_branch_point(
    search: JobSearch, kept: LaidRuns, pair: tuple[Run, Run], place: tuple[int, XY], below_mm: float
) -> LaidRuns | None:
    """Return the runs with one laid through a branch point; who is not kept answers, the other one first.

    Return None as soon as the effort reaches `below_mm`: laying further runs can only add to it.
    """
    one, other = pair
    waiting = [run for run in search.job.runs if run.name not in kept and run not in pair]
    try:
        through = search.answer_through_branch_point(one, kept, *place)
        if through is None:
            return None
        laid_runs = {**kept, one.name: through}
        for run in (other, *waiting):
            if search.effort_mm(laid_runs) >= below_mm:
                return None
            laid_runs[run.name] = search.answer(run, laid_runs)
    except NoPathError:
        return None
    if not all(search.keeps_apart(laid_runs, run) for run in search.job.runs):
        return None
    changed_runs = {run.name: laid_runs[run.name] for run in search.job.runs}
    return changed_runs if search.effort_mm(changed_runs) < below_mm else None


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
        self._found: dict[tuple[object, ...], Laid] = {}
        self._efforts: dict[tuple[int, ...], float] = {}
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
            graph = SightGraph(make_world(loom), self._sites(), STEP_MM)
            graph.bounds = GraphBounds(graph)
            costs = LegCosts(graph.world, self.practice)
            self._graphs[key] = _RunGraph(len(self._graphs), loom, graph, costs, GraphCache())
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
        with_laid = self._graph_with_laid(run, others, ())
        if is_paid:
            with_laid.paid = {**with_laid.paid, key: math.inf}
        else:
            with_laid.avoid |= frozenset({str(key)})
        path = find_beside(with_laid, alone.ask, math.inf)
        return self._laid(alone, run, path) if path else None

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
        with_laid = self._graph_with_laid(run, others, ((layer, at),))
        path = find_by_point(with_laid, self._ask(run), layer, at, MOST_OF_OWN_EFFORT * alone.route.effort_mm)
        return self._laid(alone, run, path) if path else None

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
        own = self.graph(run, others)
        laid = [
            path
            for name, other in others.items()
            if self.may_share(run.name, name)
            for path in _moved(other, own.graph)
        ]
        costs = {other.route.run: other.costs for other in others.values()}
        paid = paid_amounts([other.route for other in others.values()], costs, self.practice)
        return GraphWithLaid(own.graph, laid, self.share, paid, frozenset(run.avoid), points, own.cache)

    def keeps_apart(self, laid_runs: LaidRuns, run: Run) -> bool:
        """Return whether the paths of those that a run must stay apart from are still free."""
        for name, laid in laid_runs.items():
            if self.job.apart_mm(run.name, name) is not None:
                others = {other: each for other, each in laid_runs.items() if other != name}
                if len(_moved(laid, self.graph(self.job.run(name), others).graph)) > 1:
                    return False
        return True

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


def _moved(laid: Laid, graph: SightGraph) -> list[Path]:
    """Return what of a path is free on another graph for the same loom, rails by that graph's numbers."""
    if laid.graph is graph:
        return [laid.path]
    steps = []
    for step in laid.path.steps:
        rail = step.rail
        if rail is not None:
            key = laid.graph.world.layers[step.layer].rails[rail].key
            rails = graph.world.layers[step.layer].rails
            rail = next((n for n, own in enumerate(rails) if own.key == key), NO_RAIL)
        steps.append(replace(step, rail=rail))
    blocked = [i + 1 for i, (a, b) in enumerate(itertools.pairwise(steps)) if not _is_free(a, b, graph)]
    paths = []
    for first, end in itertools.pairwise([0, *blocked, len(steps)]):
        part = [*steps[first : end - 1], replace(steps[end - 1], rail=None, link=None, keys=())]
        paths.append(Path(tuple(part), 0.0, laid.path.nodes[first:end]))
    return paths


def _is_free(here: Step, there: Step, graph: SightGraph) -> bool:
    """Return whether what leads from one place of a path to the next is free on a sight graph."""
    layer = graph.world.layers[here.layer]
    if here.link is not None:
        return any(link.key == here.link and (here.x, here.y) in link.ends for link in graph.world.links)
    leg = shapely.LineString([(here.x, here.y), (there.x, there.y)])
    if here.rail is None:
        return bool(shapely.covers(shapely.buffer(layer.free, OUT_OF_FREE_MM), leg))
    if here.rail == NO_RAIL:
        return False
    return bool(shapely.dwithin(layer.rails[here.rail].ride, leg.centroid, OUT_OF_FREE_MM))
