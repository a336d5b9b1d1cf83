"""Which single change opens a way where there is none: each one is tried.

Looked for are, for the keep-outs and members that stand in the way: that it is measured where it is only
assumed, a shield, the practice's clearance in place of a larger one of its own, a lower clearance, a longer
place to cross; and for the job: a smaller loom, a larger bore, what it was told to avoid or to go by. How
much is needed is found by halving, to a whole millimetre on the side that opens.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

from router.errors import Relaxation, RelaxationKind
from router.facts import clearance_of, tolerance_of
from router.model.vehicle import Edge, Hazard, KeepOut, Member, OverPass, Profile, ThroughPass
from router.routing import LoomOnVehicle, make_world
from router.search import XY, Ask, is_reached

LEAST_LOOM_MM = 1.0
LONGER_MM = 500.0
"""By how much at most a place to cross is made longer at each end."""

Sites = tuple[tuple[int, XY], ...]

ORDER = {RelaxationKind.MEASURE: -1, RelaxationKind.LOOM: 1, RelaxationKind.CLEARANCE: 2}
"""What is said before all other changes: to measure, which changes nothing. And what is said after them: a
thinner loom, for it may not carry its load, and less clearance."""
NO_ADVICE = "less than the rule asks"
DANGERS = {
    Hazard.HOT: "less than the rule asks, near heat: WARNING, a loom there can burn",
    Hazard.FUEL: "less than the rule asks, near fuel: WARNING, a chafed cable there sets fire",
    Hazard.BRAKE: "less than the rule asks, near brakes: WARNING, a brake line there can be damaged",
    Hazard.MOVING: "less than the rule asks, near a moving part: WARNING, a loom there can be caught",
    Hazard.HIGH_VOLTAGE: "less than the rule asks, near high voltage: WARNING, mortal danger",
    Hazard.AIRBAG: "less than the rule asks, near an airbag's parts: WARNING, it can fire or fail",
}
"""What it means to keep less than the required clearance: said wherever such a change is named."""


def find_relaxations(
    loom: LoomOnVehicle, sites: Sites, ask: Ask, keep_outs: Sequence[str], members: Sequence[str]
) -> tuple[Relaxation, ...]:
    """Return the single changes that open a way.

    Parameters
    ----------
    loom : LoomOnVehicle
    sites : the places that can be asked for
    ask : Ask
        The question that has no answer.
    keep_outs, members : names
        What stands in the way: what is changed one at a time.
    """

    def opens(changed: LoomOnVehicle) -> bool:
        return is_reached(make_world(changed), sites, ask)

    found = [*_asked_otherwise(loom, sites, ask)]
    for name in keep_outs:
        found += _about_keep_out(loom, loom.profile.keep_out(name), opens)
    for name in members:
        found += _longer_passes(loom, loom.profile.member(name), opens)
    found += _larger_bores(loom, opens)
    found += _smaller_loom(loom, opens)
    return tuple(sorted(found, key=lambda each: ORDER.get(each.kind, 0)))


def fewest_scaled(loom: LoomOnVehicle, sites: Sites, ask: Ask, keep_outs: Sequence[str]) -> tuple[str, ...]:
    """Return a minimal set of keep-outs whose clearances must all be reduced for a route to exist.

    They are reduced to the measuring tolerance; the loom still may not lie on them.

    Parameters
    ----------
    loom : LoomOnVehicle
    sites : tuple of (layer, (x, y))
    ask : Ask
    keep_outs : sequence of str
        Names of those that may be among them.
    """

    def opens(names: tuple[str, ...]) -> bool:
        changed = tuple(
            replace(k, clearance_mm=0.0) if k.name in names else k for k in loom.profile.keep_outs
        )
        scaled = replace(loom, profile=replace(loom.profile, keep_outs=changed))
        return is_reached(make_world(scaled), sites, ask)

    return _fewest(tuple(keep_outs), opens)


def fewest_shields(loom: LoomOnVehicle, sites: Sites, ask: Ask, keep_outs: Sequence[str]) -> tuple[str, ...]:
    """Return hot keep-outs that open a way once all of them have a shield; none where that is no help.

    Parameters
    ----------
    loom : LoomOnVehicle
    sites : tuple of (layer, (x, y))
    ask : Ask
    keep_outs : sequence of str
        Names of those that may be among them.
    """
    bare = tuple(name for name in keep_outs if _takes_shield(loom.profile.keep_out(name)))

    def opens(names: tuple[str, ...]) -> bool:
        changed = tuple(
            replace(k, is_shielded=True) if k.name in names else k for k in loom.profile.keep_outs
        )
        scaled = replace(loom, profile=replace(loom.profile, keep_outs=changed))
        return is_reached(make_world(scaled), sites, ask)

    return _fewest(bare, opens) if bare else ()


def fewest_measured(loom: LoomOnVehicle, sites: Sites, ask: Ask, keep_outs: Sequence[str]) -> tuple[str, ...]:
    """Return assumed keep-outs that open a way once all of them are measured, and lie where they are drawn.

    Parameters
    ----------
    loom : LoomOnVehicle
    sites : tuple of (layer, (x, y))
    ask : Ask
    keep_outs : sequence of str
        Names of those that may be among them.
    """
    assumed = tuple(name for name in keep_outs if is_assumed(loom.profile.keep_out(name), loom.profile))

    def opens(names: tuple[str, ...]) -> bool:
        changed = tuple(replace(k, assumed_mm=None) if k.name in names else k for k in loom.profile.keep_outs)
        scaled = replace(loom, profile=replace(loom.profile, keep_outs=changed))
        return is_reached(make_world(scaled), sites, ask)

    return _fewest(assumed, opens) if assumed else ()


def is_assumed(keep_out: KeepOut, profile: Profile) -> bool:
    """Return whether a keep-out keeps looms further off because nobody measured it yet."""
    return keep_out.assumed_mm is not None and keep_out.assumed_mm > profile.tolerance_mm


def clearances_left(loom: LoomOnVehicle, sites: Sites, ask: Ask, keep_outs: Sequence[str]) -> tuple[str, ...]:
    """Return in words what is left of clearances that all shrink by one share, the least that opens a way.

    Parameters
    ----------
    loom : LoomOnVehicle
    sites : tuple of (layer, (x, y))
    ask : Ask
    keep_outs : sequence of str
        Names of those that shrink.
    """
    now_mm = {
        name: clearance_of(loom.profile.keep_out(name), loom.practice, 0.0).required_mm for name in keep_outs
    }

    def opens(share: float) -> bool:
        changed = tuple(
            replace(k, clearance_mm=share * now_mm[k.name]) if k.name in now_mm else k
            for k in loom.profile.keep_outs
        )
        scaled = replace(loom, profile=replace(loom.profile, keep_outs=changed))
        return is_reached(make_world(scaled), sites, ask)

    percent = _most(100.0, lambda each: opens(each / 100.0)) or 0.0
    return tuple(
        less_room(loom.profile.keep_out(name), mm, math.floor(mm * percent / 100.0))
        for name, mm in now_mm.items()
    )


def less_room(keep_out: KeepOut, now_mm: float, then_mm: float) -> str:
    """Return a smaller clearance in words: "137 mm in place of 200 mm from silencer"."""
    return f"{then_mm:.0f} mm in place of {now_mm:.0f} mm from {keep_out.name}"


def _takes_shield(keep_out: KeepOut) -> bool:
    return keep_out.hazard is Hazard.HOT and not keep_out.is_shielded and keep_out.clearance_mm is None


def each_in_the_way(loom: LoomOnVehicle, sites: Sites, ask: Ask) -> tuple[str, ...]:
    """Return keep-outs and members each of which opens a way if it alone were gone."""
    return tuple(name for name in _movable(loom) if _opens_without(loom, sites, ask, (name,)))


def fewest_in_the_way(loom: LoomOnVehicle, sites: Sites, ask: Ask) -> tuple[str, ...]:
    """Return keep-outs and members that would have to be gone altogether; none where that is no help."""
    return _fewest(_movable(loom), lambda names: _opens_without(loom, sites, ask, names))


def _movable(loom: LoomOnVehicle) -> tuple[str, ...]:
    members = (member.name for member in loom.profile.members)
    return (*members, *(keep_out.name for keep_out in loom.profile.keep_outs))


def _opens_without(loom: LoomOnVehicle, sites: Sites, ask: Ask, names: tuple[str, ...]) -> bool:
    return is_reached(make_world(without_them(loom, names)), sites, ask)


def without_them(loom: LoomOnVehicle, names: tuple[str, ...]) -> LoomOnVehicle:
    """Return the need on a vehicle that has no keep-outs and members of these names."""
    profile = replace(
        loom.profile,
        keep_outs=tuple(k for k in loom.profile.keep_outs if k.name not in names),
        members=tuple(m for m in loom.profile.members if m.name not in names),
    )
    return replace(loom, profile=profile)


def _fewest(names: tuple[str, ...], opens: Callable[[tuple[str, ...]], bool]) -> tuple[str, ...]:
    """Return names that open together, none of which can be left out; of the later ones as few as can be."""
    if not opens(names):
        return ()
    size = len(names)
    while size > 0:
        for last in range(len(names), 0, -size):
            fewer = names[: max(0, last - size)] + names[last:]
            if opens(fewer):
                names = fewer
        size = size // 2 if size > 1 else 0
    return names


_Opens = Callable[[LoomOnVehicle], bool]


def _asked_otherwise(loom: LoomOnVehicle, sites: Sites, ask: Ask) -> Iterator[Relaxation]:
    if not (ask.avoid or ask.via):
        return
    world, profile = make_world(loom), loom.profile
    sections = (profile.supports, profile.openings, profile.members, profile.covers)
    for name in (thing.name for section in sections for thing in section if thing.name in ask.avoid):
        if is_reached(world, sites, replace(ask, avoid=ask.avoid - {name})):
            yield Relaxation(RelaxationKind.ALLOW, name, None, None, f"not to avoid {name}")
    for name in ask.via:
        if is_reached(world, sites, replace(ask, via=tuple(v for v in ask.via if v != name))):
            yield Relaxation(RelaxationKind.WITHOUT_VIA, name, None, None, f"not to go by {name}")


def _about_keep_out(loom: LoomOnVehicle, keep_out: KeepOut, opens: _Opens) -> Iterator[Relaxation]:
    def with_it(changed: KeepOut) -> LoomOnVehicle:
        all_of_them = tuple(changed if k.name == keep_out.name else k for k in loom.profile.keep_outs)
        return replace(loom, profile=replace(loom.profile, keep_outs=all_of_them))

    if is_assumed(keep_out, loom.profile) and opens(with_it(replace(keep_out, assumed_mm=None))):
        from_mm, to_mm = tolerance_of(keep_out, loom.profile), loom.profile.tolerance_mm
        what = f"{keep_out.name} measured, and found where it is drawn: {to_mm:.0f} mm in place of the"
        what += f" {from_mm:.0f} mm that it is assumed to be off"
        yield Relaxation(RelaxationKind.MEASURE, keep_out.name, from_mm, to_mm, what)
    now_mm = clearance_of(keep_out, loom.practice, 0.0).required_mm
    shielded = replace(keep_out, is_shielded=True)
    if _takes_shield(keep_out):
        then_mm = clearance_of(shielded, loom.practice, 0.0).required_mm
        if then_mm < now_mm and opens(with_it(shielded)):
            yield Relaxation(
                RelaxationKind.SHIELD, keep_out.name, now_mm, then_mm, f"a shield on {keep_out.name}"
            )
    if keep_out.clearance_mm is not None:
        usual = replace(keep_out, clearance_mm=None)
        then_mm = clearance_of(usual, loom.practice, 0.0).required_mm
        if then_mm < now_mm and opens(with_it(usual)):
            what = (
                f"the practice's {then_mm:.0f} mm in place of the {now_mm:.0f} mm that {keep_out.name} asks"
            )
            yield Relaxation(RelaxationKind.PRACTICE_CLEARANCE, keep_out.name, now_mm, then_mm, what)
    lower_mm = _most(now_mm, lambda mm: opens(with_it(replace(keep_out, clearance_mm=mm))))
    if lower_mm is not None:
        what = less_room(keep_out, now_mm, lower_mm) + f" ({DANGERS.get(keep_out.hazard, NO_ADVICE)})"
        yield Relaxation(RelaxationKind.CLEARANCE, keep_out.name, now_mm, lower_mm, what)


def _most(above_mm: float, is_enough: Callable[[float], bool], least_mm: float = 0.0) -> float | None:
    """Return the largest whole number of mm below `above_mm` that is enough; None: not even the least."""
    if above_mm <= least_mm or not is_enough(least_mm):
        return None
    low, high = int(least_mm), math.ceil(above_mm)
    while high - low > 1:
        middle = (low + high) // 2
        if is_enough(float(middle)):
            low = middle
        else:
            high = middle
    return float(low)


def _longer_passes(loom: LoomOnVehicle, member: Member, opens: _Opens) -> Iterator[Relaxation]:
    def with_longer(number: int, by_mm: float) -> LoomOnVehicle:
        passes = list(member.passes)
        over = passes[number]
        if isinstance(over, OverPass):
            passes[number] = _lengthened(over, by_mm)
        changed = replace(member, passes=tuple(passes))
        return replace(loom, profile=_with_member(loom.profile, changed))

    for number, over in enumerate(member.passes):
        if not isinstance(over, OverPass):
            continue
        left_mm = _most(LONGER_MM, lambda mm, n=number: opens(with_longer(n, LONGER_MM - mm)))  # type: ignore[misc]
        if left_mm is not None:
            now_mm = math.dist(over.start, over.end)
            then_mm = now_mm + 2.0 * (LONGER_MM - left_mm)
            what = f"{then_mm:.0f} mm in place of {now_mm:.0f} mm where {member.name} may be crossed"
            yield Relaxation(RelaxationKind.PASS, member.name, now_mm, then_mm, what)


def _lengthened(over: OverPass, by_mm: float) -> OverPass:
    (ax, ay), (bx, by) = over.start, over.end
    length_mm = math.dist(over.start, over.end)
    ux, uy = (bx - ax) / length_mm * by_mm, (by - ay) / length_mm * by_mm
    return replace(over, start=(ax - ux, ay - uy), end=(bx + ux, by + uy))


def _with_member(profile: Profile, changed: Member) -> Profile:
    members = tuple(changed if member.name == changed.name else member for member in profile.members)
    return replace(profile, members=members)


def _larger_bores(loom: LoomOnVehicle, opens: _Opens) -> Iterator[Relaxation]:
    """Yield every opening and hole that is too small for the loom, made just large enough."""
    for opening in loom.profile.openings:
        wanted_mm = bore_needed_mm(loom, opening.edge)
        if opening.bore_mm < wanted_mm:
            larger = replace(opening, bore_mm=wanted_mm)
            openings = tuple(larger if o.name == opening.name else o for o in loom.profile.openings)
            if opens(replace(loom, profile=replace(loom.profile, openings=openings))):
                yield _larger(opening.name, opening.bore_mm, wanted_mm)
    for member in loom.profile.members:
        for number, hole in enumerate(member.passes):
            if not isinstance(hole, ThroughPass):
                continue
            wanted_mm = bore_needed_mm(loom, hole.edge)
            if hole.bore_mm < wanted_mm:
                passes = list(member.passes)
                passes[number] = replace(hole, bore_mm=wanted_mm)
                changed = _with_member(loom.profile, replace(member, passes=tuple(passes)))
                if opens(replace(loom, profile=changed)):
                    yield _larger(member.name, hole.bore_mm, wanted_mm)


def bore_needed_mm(loom: LoomOnVehicle, edge: Edge) -> float:
    """Return the least bore that the loom goes through, in whole mm, with the grommet of a bare edge."""
    wall_mm = loom.practice.value("opening", "grommet wall") if edge is Edge.BARE else 0.0
    return float(math.ceil(2.0 * loom.radius_mm + 2.0 * wall_mm))


def _larger(name: str, now_mm: float, then_mm: float) -> Relaxation:
    what = f"a bore of {then_mm:.0f} mm in place of {now_mm:.0f} mm at {name}"
    return Relaxation(RelaxationKind.BORE, name, now_mm, then_mm, what)


def _smaller_loom(loom: LoomOnVehicle, opens: _Opens) -> Iterator[Relaxation]:
    now_mm = 2.0 * loom.radius_mm
    then_mm = _most(now_mm, lambda mm: opens(replace(loom, radius_mm=mm / 2.0)), LEAST_LOOM_MM)
    if then_mm is not None:
        what = f"a loom of at most {then_mm:.0f} mm in place of {now_mm:.0f} mm"
        yield Relaxation(RelaxationKind.LOOM, "", now_mm, then_mm, what)
