"""What a whole job takes at least, however its runs share their way.

`router.search.bound.shared_paths` bounds what the stretches of all runs take together. What is left out of it
only leaves more paths, so that the bound holds with it: what a run must pass or avoid, and which runs must
stay apart. Clearances and warm areas are those of the thinnest loom. A rise at a terminal is a stretch like
others; rises over members and at steps are left out.

Amounts count once a job. Let U be the things that a plan uses. It pays their amounts, and its stretches keep
off all other things. So the least over all U of

    the amounts of U + what stretches take at least that keep off everything else

bounds every plan. It is found by branching: some run's shortest path uses a thing that is not paid yet;
either it is paid, or all runs keep off it. What is no better than the plan that was found is not looked into.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import partial
from heapq import heappush, heapreplace
from itertools import count
from typing import TypeAlias

import shapely

from router.model.job import Job
from router.model.practice import Practice
from router.model.vehicle import Profile
from router.routing.grounds import STEP_MM, world_of
from router.routing.loom_on_vehicle import LoomOnVehicle
from router.routing.routes import end_effort_mm
from router.search import (
    XY,
    Ask,
    Distances,
    GraphBounds,
    Key,
    Path,
    SightGraph,
    World,
    find_path,
    least_together,
    prove_all,
)
from router.tolerances import ON_LINE_MM

MOST_ROUNDS = 3
"""How often lines are split at most to prove the distance between two ends."""
GAP_OF_A_DISTANCE = 0.02
"""How near to the shortest path found the proof of a distance is to come."""
MOST_RUNS_AT_ONCE = 5
"""How many runs are bounded together; each further one counts as if it lay in a loom all the way."""
MOST_BRANCHES = 24
"""How often at most it is decided about a thing; what is proven then is what is said."""
FREE_MM = 1e-9
"""An amount that is none, but still keeps a support from being joined where it is paid."""

Ends: TypeAlias = tuple[int, int]
Keys: TypeAlias = frozenset[str]
Site: TypeAlias = tuple[int, XY]
Rise: TypeAlias = tuple[Site, float]


def job_least_mm(
    job: Job, profile: Profile, practice: Practice, radius_mm: float, effort_mm: float, gap: float
) -> float:
    """Return an effort that no plan of a job is below, in mm.

    Parameters
    ----------
    job, profile, practice : records of the model
    radius_mm : float
        Of the thinnest loom that some run is planned for.
    effort_mm : float
        Of the plan that was found. [mm]
    gap : float
        The gap wanted: what proves it is not made better.
    """
    stretches = _Stretches(job, profile, practice, radius_mm)
    amounts_mm, ticket = stretches.amounts_mm, count()
    none = Keys()
    waiting = [(stretches.least_mm(none, is_proven=True), next(ticket), none, none)]
    for _ in range(MOST_BRANCHES):
        least_mm, number, paid, shut = waiting[0]
        if least_mm * (1.0 + gap) >= effort_mm:
            break
        paid_mm = math.fsum(amounts_mm[each] for each in paid)  # the same in whatever order
        key = stretches.unpaid(paid, shut)
        if key is None:
            proven_mm = paid_mm + stretches.least_mm(shut, is_proven=True)
            if proven_mm <= least_mm:
                break
            heapreplace(waiting, (proven_mm, number, paid, shut))
            continue
        heapreplace(waiting, (least_mm + amounts_mm[key], next(ticket), paid | {key}, shut))
        own_mm = max(least_mm, paid_mm + stretches.least_mm(shut | {key}))
        heappush(waiting, (own_mm, next(ticket), paid, shut | {key}))
    return min(waiting[0][0], effort_mm)


class _Stretches:
    """What the stretches of a job's runs take at least, amounts left out, when some things are kept off.

    `amounts_mm` has what counts once a job, by the name of the thing.
    """

    def __init__(self, job: Job, profile: Profile, practice: Practice, radius_mm: float) -> None:
        self._share = practice.value("factor", "shared")
        names = list(dict.fromkeys(name for run in job.runs for name in (run.start, run.end)))
        numbers = {space.name: number for number, space in enumerate(profile.spaces)}
        terminals = [profile.terminal(name) for name in names]
        sites = tuple((numbers[terminal.space], terminal.at) for terminal in terminals)
        loom = LoomOnVehicle(profile, practice, radius_mm)
        world = world_of(profile, practice, radius_mm)
        self.amounts_mm = _amounts_mm(world, profile, practice, sites)
        climbs = [(site, end_effort_mm(loom, name)) for site, name in zip(sites, names, strict=True)]
        drops = [
            (site, link.cost_mm - self.amounts_mm[link.key])
            for link in world.links
            if link.layers[0] != link.layers[1]
            for site in zip(link.layers, link.ends, strict=True)
        ]
        self._climbs_mm = [mm - _rise_saved_mm(mm, site, world, drops) for site, mm in climbs]
        self._graph = SightGraph(_without_amounts(world, self.amounts_mm, climbs), sites, STEP_MM)
        self._bounds = GraphBounds(self._graph)
        self._graph.bounds = self._bounds
        ends = [(names.index(run.start), names.index(run.end)) for run in job.runs]
        self._runs = [(min(pair), max(pair)) for pair in ends]
        self._paths: dict[tuple[Ends, Keys], Path | None] = {}
        self._distances_mm: dict[tuple[Ends, Keys], float] = {}
        self._roughly_mm: dict[Keys, tuple[tuple[float, ...], ...]] = {}

    def unpaid(self, paid: Keys, shut: Keys) -> str | None:
        """Return the dearest thing that the runs' shortest paths use and that is not paid, if there is one.

        Of several that are as dear it is the first of the profile.

        Parameters
        ----------
        paid, shut : frozenset of str
            What is paid, and what is kept off.
        """
        used = {key for ends in self._runs for key in self._used(ends, shut)}
        left = [key for key in self.amounts_mm if key in used - paid]  # in the profile's order, not by name
        return max(left, key=self.amounts_mm.__getitem__, default=None)

    def _path(self, ends: Ends, shut: Keys) -> Path | None:
        if (ends, shut) not in self._paths:
            self._paths[ends, shut] = find_path(self._graph, Ask(*ends, (), shut))
        return self._paths[ends, shut]

    def _used(self, ends: Ends, shut: Keys) -> set[Key]:
        path = self._path(ends, shut)
        entered = self._graph.entry_mm(ends[0])[1]
        return {*entered, *(key for step in path.steps for key in step.keys)} if path else set()

    def least_mm(self, shut: Keys, *, is_proven: bool = False) -> float:
        """Return what stretches of all runs take at least that keep off some things; infinite if none do.

        Parameters
        ----------
        shut : frozenset of str
            What is kept off.
        is_proven : bool
            Prove the distances that this rests on as well as can be.
        """
        runs = sorted(self._runs, key=lambda ends: (-self._distance_mm(ends, shut), ends))
        if self._distance_mm(runs[0], shut) == math.inf:
            return math.inf
        together, others = runs[:MOST_RUNS_AT_ONCE], runs[MOST_RUNS_AT_ONCE:]
        while True:
            least_mm, rests_on = least_together(together, self._share, partial(self._distance_mm, shut=shut))
            open_pairs = [ends for ends in rests_on | set(others) if (ends, shut) not in self._distances_mm]
            if not (is_proven and open_pairs):
                return least_mm + self._share * sum(self._distance_mm(ends, shut) for ends in others)
            for start in sorted({start for start, _ in open_pairs}):
                self._prove(start, shut)

    def _distance_mm(self, ends: Ends, shut: Keys) -> float:
        """Return what a path between two terminals takes at least, their rises too."""
        known = [self._distances_mm.get((ends, keys), 0.0) for keys in (Keys(), shut)]
        return max(*known, self._rough_mm(shut)[min(ends)][max(ends)] + self._rises_mm(ends))

    def _rises_mm(self, ends: Ends) -> float:
        return sum(self._climbs_mm[end] for end in ends)

    def _rough_mm(self, shut: Keys) -> tuple[tuple[float, ...], ...]:
        """Return by terminal and terminal what a path between them takes at least, no line split."""
        if shut not in self._roughly_mm:
            distances = Distances(self._bounds.relaxed(), Ask(0, 0, (), shut))
            sites = range(len(self._climbs_mm))
            numbers = [distances.site(site) for site in sites]
            efforts_mm = distances.from_starts(numbers)[:, numbers]
            efforts_mm[[not shut.isdisjoint(self._graph.entry_mm(site)[1]) for site in sites]] = math.inf
            self._roughly_mm[shut] = tuple(tuple(row) for row in efforts_mm.tolist())
        return self._roughly_mm[shut]

    def _prove(self, start: int, shut: Keys) -> None:
        """Prove what paths from a terminal to each further one take at least, if it is not known nearly."""
        bests: dict[Ask, Path] = {}
        for goal in range(start + 1, len(self._climbs_mm)):
            ask, ends = Ask(start, goal, (), shut), (start, goal)
            known_mm, found = self._distance_mm(ends, shut), self._path(ends, shut)
            self._distances_mm[ends, shut] = known_mm if found else math.inf
            if found and found.effort_mm + self._rises_mm(ends) > (1.0 + GAP_OF_A_DISTANCE) * known_mm:
                bests[ask] = found
        if bests:
            relaxed = self._bounds.relaxed()
            for ask, mm in prove_all(self._graph, bests, GAP_OF_A_DISTANCE, MOST_ROUNDS, relaxed).items():
                ends = (ask.start, ask.goal)
                self._distances_mm[ends, shut] = max(
                    self._distances_mm[ends, shut], mm + self._rises_mm(ends)
                )


def _amounts_mm(
    world: World, profile: Profile, practice: Practice, sites: Sequence[Site]
) -> dict[str, float]:
    """Return by name what counts once a job; no cover at whose very edge a path may begin or arrive."""
    member_mm, opening_mm = practice.value("amount", "member"), practice.value("amount", "opening")
    places = [*sites, *(site for link in world.links for site in zip(link.layers, link.ends, strict=True))]
    amounts_mm: dict[str, float] = {}
    for number, layer in enumerate(world.layers):
        here = shapely.MultiPoint([at for on, at in places if on == number])
        for zone in layer.zones:
            is_sure = not shapely.dwithin(zone.area.boundary, here, ON_LINE_MM)
            amounts_mm |= {str(zone.key): zone.amount_mm} if zone.amount_mm and is_sure else {}
    amounts_mm |= {opening.name: opening_mm for opening in profile.openings}
    amounts_mm |= {member.name: member_mm for member in profile.members}
    return amounts_mm


def _without_amounts(world: World, amounts_mm: Mapping[str, float], rises: Sequence[Rise]) -> World:
    """Return a world in which nothing counts but stretches; rises over members and at steps are left out."""
    layers = [
        replace(
            layer,
            zones=tuple(replace(zone, amount_mm=min(zone.amount_mm, FREE_MM)) for zone in layer.zones),
            gates=tuple(replace(gate, amount_mm=FREE_MM) for gate in layer.gates),
        )
        for layer in world.layers
    ]
    links = []
    for link in world.links:
        cost_mm = link.cost_mm - amounts_mm[link.key]
        for site in zip(link.layers, link.ends, strict=True):
            cost_mm -= _rise_saved_mm(cost_mm, site, world, rises)
        links.append(replace(link, cost_mm=max(0.0, cost_mm)))
    return World(tuple(layers), tuple(links))


def _rise_saved_mm(rise_mm: float, site: Site, world: World, rises: Sequence[Rise]) -> float:
    """Return what a rise and the one that follows it at the same place take less than both of them.

    A path that goes down to the lying height and up again at one place goes straight to where it goes.
    """
    number, at = site
    spot = shapely.Point(at)
    rails = [rail for rail in world.layers[number].rails if shapely.dwithin(rail.line, spot, ON_LINE_MM)]
    others_mm = [join.cost_mm for rail in rails for join in rail.joins]
    others_mm += [mm for (on, place), mm in rises if on == number and math.dist(at, place) <= ON_LINE_MM]
    return 2.0 * min(rise_mm, max(others_mm, default=0.0))
