"""The refusal for a run that has no route: the widest route there is, where it is stopped, what opens it.

The widest route is the one whose clearances are scaled the least: clearances and the loom's own size are all
taken at one share of what is asked, and the largest share at which there is a route is found by halving.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import shapely
import shapely.ops

from router.errors import NoRouteError, Pinch, RelaxationKind
from router.explaining.no_way.ends import explain_end
from router.explaining.no_way.no_way_text import not_joined, opens_text, pinch_text, share_text, short_text
from router.explaining.no_way.pinch import find_pinch
from router.explaining.no_way.pinch_records import COARSE_MM, MOST_SUSPECTS, Across, FoundPinch, Sites
from router.explaining.no_way.relaxations import (
    LEAST_LOOM_MM,
    each_in_the_way,
    fewest_in_the_way,
    find_relaxations,
    without_them,
)
from router.facts import core_of, spaces_of
from router.model.job import Run
from router.model.vehicle import Profile
from router.routing import (
    LoomOnVehicle,
    level_at,
    make_world,
    plan_reach_mm,
    required_in,
)
from router.search import Ask, Path, SightGraph, find_path, is_reached

HALVINGS = 10
"""Halvings of the share of clearance: the widest way is known to 1/1024."""
LEAST_FACTOR = 1e-3
"""A share of clearance that is as good as none."""


def no_route(loom: LoomOnVehicle, run: Run, numbers: tuple[int, int], sites: Sites) -> NoRouteError:
    """Return the error that says why a run has no way: its pinch, or what is not joined at all.

    Parameters
    ----------
    loom : LoomOnVehicle
    run : Run
    numbers : pair of int
        The run's two sites.
    sites : tuple of (layer, (x, y))
    """
    end = explain_end(loom, run)
    if end is not None:
        thinnest = replace(loom, radius_mm=LEAST_LOOM_MM / 2.0)
        return NoRouteError(end, run=run.name, is_for_any_loom=explain_end(thinnest, run) is not None)
    ask = Ask(*numbers, run.via, frozenset(run.avoid))
    shares = _widest_shares(loom, sites, ask)
    found = find_pinch(loom, sites, ask, *shares) if shares else None
    if found is None:
        return _shut_without_narrow_place(loom, run, sites, ask, shares)
    suspects, members = _suspects(loom, found)
    relaxations = find_relaxations(loom, sites, ask, suspects[:MOST_SUSPECTS], members)
    opens = opens_text(loom, sites, ask, suspects, relaxations)
    names = tuple(side.name for side in found.sides)
    space = loom.profile.spaces[found.layer].name
    pinch = Pinch(run.name, space, found.at, names, found.width_mm, found.needed_mm, relaxations)
    return _error(pinch_text(loom, run, pinch, found) + opens, pinch)


def _error(why: str, pinch: Pinch) -> NoRouteError:
    """Return the error; what made the loom so thick matters only where a thinner one would have a way."""
    thinner = any(relaxation.kind is RelaxationKind.LOOM for relaxation in pinch.relaxations)
    return NoRouteError(why, pinch, pinch.run, is_for_any_loom=not thinner)


def _shut_without_narrow_place(
    loom: LoomOnVehicle, run: Run, sites: Sites, ask: Ask, shares: tuple[float, float] | None
) -> NoRouteError:
    """Return the error for a way without a narrow place: what stands across, and near which place."""
    alone = each_in_the_way(loom, sites, ask)
    named = alone or fewest_in_the_way(loom, sites, ask)
    suspects = tuple(k.name for k in loom.profile.keep_outs if k.name in named)[-MOST_SUSPECTS:]
    members = tuple(m.name for m in loom.profile.members if m.name in named)
    relaxations = find_relaxations(loom, sites, ask, suspects, members)
    scaled = {relaxation.name for relaxation in relaxations}
    # keep-outs for which a smaller clearance is enough come last, and are named first
    alone = tuple(sorted(alone, key=lambda name: name in scaled))
    standing = alone[-1:] or named
    if relaxations and not shares:  # what the job asks for shuts the way, and what it may not use is no news
        standing = tuple(name for name in standing if name not in ask.avoid)
        standing = standing if is_reached(make_world(without_them(loom, standing)), sites, ask) else ()
    across = _across(loom, sites, ask, standing)
    why = (
        f"{share_text(run, across, alone)}{short_text(loom, sites, ask, shares[0])}"
        if shares
        else not_joined(loom, run, across)
    )
    layer, at = (across[0].layer, across[0].at) if across else (None, None)
    space = None if layer is None else loom.profile.spaces[layer].name
    pinch = Pinch(run.name, space, at, standing, None, None, relaxations)
    if across or relaxations or shares:
        why += opens_text(loom, sites, ask, suspects, relaxations)
    return _error(why, pinch)


def _across(loom: LoomOnVehicle, sites: Sites, ask: Ask, names: tuple[str, ...]) -> tuple[Across, ...]:
    """Return where a way that is open without some things would meet each of them."""
    without = without_them(loom, names)
    path = find_path(SightGraph(make_world(without), sites, COARSE_MM), ask) if names else None
    if path is None:
        return ()
    profile = loom.profile
    obstacles = [(m.name, m.space, shapely.LineString(m.along)) for m in profile.members if m.name in names]
    obstacles += [
        (k.name, name, core_of(k.shape))
        for k in profile.keep_outs
        if k.name in names
        for name in spaces_of(profile, k, loom.clearances)[:1]
    ]
    found = []
    for name, space, core in obstacles:
        layer = next(n for n, each in enumerate(profile.spaces) if each.name == space)
        line = _line_on(path, layer)
        if line is None:  # the way would not come near it: what it shuts is off the shortest one
            line = core
        x, y = shapely.shortest_line(line, core).coords[0]
        found.append(Across(f'"{name}" near x {x:.0f}, y {y:.0f} in the {space}', layer, (x, y)))
    if found and ask.avoid:
        found[-1] = replace(found[-1], what=found[-1].what + _by_openings(profile, path))
    return tuple(found)


def _by_openings(profile: Profile, path: Path) -> str:
    """Return in words which openings a way goes by: those that are left where others are avoided."""
    names = {opening.name for opening in profile.openings}
    used = list(dict.fromkeys(step.link for step in path.steps if step.link in names))
    return f", on the way by {' and '.join(used)}" if used else ""


def _widest_shares(loom: LoomOnVehicle, sites: Sites, ask: Ask) -> tuple[float, float] | None:
    """Return the largest share of every clearance with a way, and one just without; None: not even at 0."""
    low, high = LEAST_FACTOR, 1.0
    if is_reached(make_world(loom), sites, ask) or not is_reached(
        make_world(replace(loom, clearance_factor=low)), sites, ask
    ):
        return None
    for _ in range(HALVINGS):
        middle = (low + high) / 2.0
        if is_reached(make_world(replace(loom, clearance_factor=middle)), sites, ask):
            low = middle
        else:
            high = middle
    return low, high


def _suspects(loom: LoomOnVehicle, found: FoundPinch) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return what is worth trying changed: keep-outs and members at the pinch or too near to the way."""
    here = [side.keep_out for side in found.sides if side.keep_out]
    short: list[tuple[float, str]] = []
    for layer, space in enumerate(loom.profile.spaces):
        line = _line_on(found.path, layer)
        for keep_out, required_mm in required_in(loom, space.name) if line is not None else ():
            if keep_out.name in here:
                continue
            height_mm = level_at(space, line.coords[0])
            reach_mm = plan_reach_mm(keep_out, required_mm, height_mm, height_mm, loom.radius_mm)
            distance_mm = core_of(keep_out.shape).distance(line)
            if distance_mm < reach_mm:
                short.append((distance_mm - reach_mm, keep_out.name))
    names = tuple(dict.fromkeys([*here, *(name for _, name in sorted(short))]))
    members = tuple(dict.fromkeys(side.member for side in found.sides if side.member))
    return names, members


def _line_on(path: Path, layer: int) -> Any:
    points = [(step.x, step.y) for step in path.steps if step.layer == layer]
    return shapely.LineString(points) if len(points) >= 2 else None
