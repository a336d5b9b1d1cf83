"""Why there is no route, in words: the pinch, what stands across, and what single change would open one."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

import shapely
import shapely.ops

from router.errors import Pinch, Relaxation, RelaxationKind
from router.explaining.no_way.pinch_records import (
    COARSE_MM,
    MOST_SUSPECTS,
    Across,
    FoundPinch,
    PinchSide,
    Sites,
)
from router.explaining.no_way.relaxations import (
    DANGERS,
    NO_ADVICE,
    clearances_left,
    fewest_measured,
    fewest_scaled,
    fewest_shields,
)
from router.facts import core_of, tolerance_of
from router.model.job import Run
from router.routing import (
    LoomOnVehicle,
    level_at,
    make_world,
    opening_fits,
    required_in,
)
from router.search import Ask, Path, SightGraph, World, find_path
from router.tolerances import BESIDE_BAND_MM


def pinch_text(loom: LoomOnVehicle, run: Run, pinch: Pinch, found: FoundPinch) -> str:
    """Return in words where the widest route is stopped, between what, how wide it is and must be there."""
    text = f'run "{run.name}": no way from "{run.start}" to "{run.end}"; the widest one is pinched at '
    text += f"x {found.at[0]:.0f}, y {found.at[1]:.0f} in the {pinch.space} "
    if len(pinch.between) == 1:
        text += f"by the bore of {pinch.between[0]}"
    else:
        text += " and ".join(f"{word}" for word in _quoted(found.sides)).join(["between ", ""])
    loom_mm = 2.0 * loom.radius_mm
    text += f": {_down(found.width_mm)} mm wide, where this loom ({loom_mm:.0f} mm) needs "
    text += f"{math.ceil(found.needed_mm)} mm"
    wants = " and ".join(side.wants for side in found.sides if side.wants)
    return f"{text} ({wants} with the measuring tolerance)" if wants else text


def opens_text(
    loom: LoomOnVehicle,
    sites: Sites,
    ask: Ask,
    suspects: tuple[str, ...],
    relaxations: tuple[Relaxation, ...],
) -> str:
    """Return in words which single changes open a route, or which clearances prevent it where none does."""
    if relaxations:
        text = f". One of these opens a way: {'; '.join(relaxation.what for relaxation in relaxations)}"
        if any(relaxation.kind is RelaxationKind.MEASURE for relaxation in relaxations):
            return text
        return text + _measured_text(loom, sites, ask, suspects)
    text = ". No single change that was tried opens a way" + _measured_text(loom, sites, ask, suspects)
    shields = fewest_shields(loom, sites, ask, suspects)
    if shields:
        text += f"; shields on all of these do: {', '.join(shields)}"
    together = fewest_scaled(loom, sites, ask, suspects)
    if not together:
        return text
    left = "; ".join(clearances_left(loom, sites, ask, together))
    hazards = dict.fromkeys(loom.profile.keep_out(name).hazard for name in together)
    dangers = "; ".join(DANGERS[hazard] for hazard in hazards if hazard in DANGERS) or NO_ADVICE
    text += f". No advice, only what it would take: {left} ({dangers})"
    return f"{text}; look for another end or another way first"


def _measured_text(loom: LoomOnVehicle, sites: Sites, ask: Ask, suspects: tuple[str, ...]) -> str:
    """Return in words which assumed keep-outs open a way together once measured; nothing where none do."""
    assumed = [loom.profile.keep_out(name) for name in fewest_measured(loom, sites, ask, suspects)]
    told = ", ".join(f"{each.name} ({tolerance_of(each, loom.profile):.0f} mm)" for each in assumed)
    return f"; all of these measured, and found where they are drawn, open one: {told}" if assumed else ""


def _down(length_mm: float) -> int:
    return math.floor(max(0.0, length_mm))


def _quoted(sides: tuple[PinchSide, ...]) -> list[str]:
    return [f'"{side.name}"' if side.name in (side.keep_out, side.member) else side.name for side in sides]


def share_text(run: Run, across: tuple[Across, ...], alone: tuple[str, ...]) -> str:
    """Return in words what stands across, and what else could be taken away in its place."""
    text = f'run "{run.name}": no way from "{run.start}" to "{run.end}"'
    text += f": {_across_text(across)}" if across else ""
    others = " or ".join(f'"{name}"' for name in alone[:-1][-MOST_SUSPECTS:])
    return f"{text}; without {others} alone there would be one too" if others else text


def short_text(loom: LoomOnVehicle, sites: Sites, ask: Ask, share: float) -> str:
    """Return in words how near the loom would come to what on the widest way, and how near it may come."""
    world = make_world(replace(loom, clearance_factor=share))
    path = find_path(SightGraph(world, sites, COARSE_MM), ask)
    short = sorted(_short_of(loom, world, path)) if path else []
    words = [
        f'{_down(kept_mm)} mm of {asked_mm:.0f} mm from "{name}"' for _, name, kept_mm, asked_mm in short
    ]
    if not words:
        return ""
    return f"; on the widest way the loom would keep {', '.join(words[:MOST_SUSPECTS])}"


def _short_of(loom: LoomOnVehicle, world: World, path: Path) -> Iterator[tuple[float, str, float, float]]:
    """Yield by how much the loom would keep too little from what on a way: share, name, kept and asked."""
    profile = loom.profile
    required = {space.name: dict(required_in(loom, space.name)) for space in profile.spaces}
    for keep_out in profile.keep_outs:
        asked_mm = loom.clearances[keep_out.name].required_mm
        core = core_of(keep_out.shape)
        kept_mm = math.inf
        for step, after in zip(path.steps, path.steps[1:], strict=False):
            space = profile.spaces[step.layer]
            if step.link is not None or keep_out not in required[space.name]:
                continue
            rail = None if step.rail is None else world.layers[step.layer].rails[step.rail].key
            at = (step.x, step.y)
            height_mm = level_at(space, at) if rail is None else profile.support(rail).height_at(at)
            line = shapely.LineString([(step.x, step.y), (after.x, after.y)])
            beside_mm = max(0.0, core.distance(line) - keep_out.shape.reach_mm - loom.radius_mm)
            low_mm, high_mm = keep_out.heights_mm or (height_mm, height_mm)
            above_mm = max(0.0, low_mm - height_mm - loom.radius_mm, height_mm - loom.radius_mm - high_mm)
            kept_mm = min(kept_mm, math.hypot(beside_mm, above_mm))
        if kept_mm < asked_mm - BESIDE_BAND_MM:
            yield kept_mm / asked_mm, keep_out.name, kept_mm, asked_mm


def _across_text(across: tuple[Across, ...]) -> str:
    words = " and ".join(each.what for each in across)
    return f"in the way stand{'s' if len(across) == 1 else ''} {words}"


def not_joined(loom: LoomOnVehicle, run: Run, across: tuple[Across, ...]) -> str:
    """Return in words what keeps the two ends apart even with no clearance at all: what lies across."""
    start, end = loom.profile.terminal(run.start), loom.profile.terminal(run.end)
    small = [o.name for o in loom.profile.openings if not opening_fits(loom, o)]
    text = f'run "{run.name}": no way from "{run.start}" ({start.space}) to "{run.end}" ({end.space})'
    text += " even with every clearance let go: "
    if across:
        text += _across_text(across)
    else:
        other = "other " if run.avoid else ""
        text += f"no {other}member's pass and no {other}opening joins them"
        text += "" if _are_joined(loom, start.space, end.space) else _opening_text(start.space, end.space)
    if run.avoid or run.via:
        text += "; it was told to " + " and ".join(
            [f"avoid {', '.join(run.avoid)}"] * bool(run.avoid)
            + [f"use {', '.join(run.via)}"] * bool(run.via)
        )
    if small:
        text += f"; too small for a loom of {2.0 * loom.radius_mm:.0f} mm: {', '.join(small)}"
    return text


def _are_joined(loom: LoomOnVehicle, start: str, end: str) -> bool:
    """Return whether openings lead from one space to another, whatever their bores."""
    reached = {start}
    for _ in loom.profile.spaces:
        reached |= {name for o in loom.profile.openings if reached & set(o.joins) for name in o.joins}
    return end in reached


def _opening_text(start: str, end: str) -> str:
    return (
        f"; measure an opening that joins the two spaces and add it to the profile, "
        f"e.g. {{name: grommet, joins: [{start}, {end}], at: [.., ..], bore: 30 mm, edge: rubber}}"
    )
