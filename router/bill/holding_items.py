"""What holds the looms: ties by length and class, clips, P-clips with their screws; a shared fixing once."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from router.bill.counting import BillEntry, InstalledRuns, ranges
from router.bill.masses import conductor_kg_per_m, thing_kg
from router.errors import NoAnswerError
from router.facts import service_loop, stiffest_wire_mm
from router.model.fixing import Fixing, FixingKind
from router.model.job import Job
from router.model.plan import BillItem, Breakout, Loom, RunPlan
from router.model.practice import Practice
from router.model.vehicle import Profile, Screw, SupportKind
from router.plane import core_of, distances_to
from router.tables import load_table
from router.units import tape_m


@dataclass(frozen=True, slots=True)
class _Held:
    """One fixing with its run and the loom that it holds."""

    run: RunPlan
    fixing: Fixing
    loom: Loom


def holder_entries(
    job: Job, profile: Profile, practice: Practice, installed: InstalledRuns
) -> Iterator[BillEntry]:
    """Yield ties, clips, P-clips and screws, shortest and smallest first.

    Parameters
    ----------
    job, profile, practice : records of the model
    installed : InstalledRuns
    """
    held = _held_once(installed)
    ties = [one for one in held if one.fixing.kind is FixingKind.TIE]
    clips = [one for one in held if one.fixing.kind is FixingKind.CLIP]
    p_clips = [one for one in held if one.fixing.kind is FixingKind.P_CLIP]
    tied = _by_spec(BillItem.TIE, [(*_tie(one, profile, practice, installed), one) for one in ties])
    sized = sorted([*tied, *_loose_ties(job, practice, installed)], key=lambda each: each[0])
    sized += _by_spec(BillItem.CLIP, [(*_clip(one, profile, practice), one) for one in clips])
    sized += _by_spec(BillItem.P_CLIP, [(*_p_clip(one), one) for one in p_clips])
    sized += _by_spec(BillItem.SCREW, [(0.0, _screw_spec(one, practice), one) for one in p_clips])
    yield from (entry for _, entry in sized)


def _screw_spec(held: _Held, practice: Practice) -> str:
    hole, specs = held.fixing.hole, load_table("clips")["screw"]["specs"]
    screw = hole.screw if hole else Screw.NUT
    hole_mm = hole.diameter_mm if hole else practice.value("hole", screw.hole_key)
    return f"{specs[screw]}, hole {hole_mm:g} mm"


def _held_once(installed: InstalledRuns) -> list[_Held]:
    return [
        _Held(run, fixing, installed.loom_at(run, fixing.station_mm))
        for run in installed.runs
        for fixing in run.own_fixings
    ]


def _by_spec(item: BillItem, found: Sequence[tuple[float, str, _Held]]) -> Iterator[tuple[float, BillEntry]]:
    """Yield an entry for each spec and run, each with the number of its size, by which they are ordered."""
    groups: dict[tuple[float, str, str], list[_Held]] = {}
    for size, spec, held in found:
        groups.setdefault((size, spec, held.run.name), []).append(held)
    for (size, spec, run_name), group in sorted(groups.items(), key=lambda pair: pair[0][:2]):
        word = "fixing" if len(group) == 1 else "fixings"
        where = f"{run_name}: {word} {ranges(held.fixing.number for held in group)}"
        supports = ", ".join(dict.fromkeys(held.fixing.support for held in group if held.fixing.support))
        where += f" on {supports}" if supports else ""
        kg = _kg(item, len(group), size)
        yield size, BillEntry(item, spec, len(group), "piece", where, has_spare=True, kg=kg)


def _kg(item: BillItem, count: int, size: float) -> float:
    if item == BillItem.TIE:
        grams = {tie["length_mm"]: tie["gram"] for tie in load_table("ties")["sizes"]}
        return float(grams[size]) * count / 1000
    return thing_kg(item, count, size=size)


def _tie(held: _Held, profile: Profile, practice: Practice, installed: InstalledRuns) -> tuple[float, str]:
    gap_mm = gap_to_support_mm(held.fixing, profile)
    kind = _support_kind(held.fixing, profile)
    around_mm = length_round_mm(held.loom.outside_mm, gap_mm, practice, kind)
    tie = tie_for(around_mm, _pull_n(held, profile, practice, installed), practice)
    kind_mm = _kinds_mm().get(kind or "")
    measure = (
        f"; reckoned with {kind_mm:g} mm round the {kind} (common practice): measure round it"
        if kind_mm
        else ""
    )
    return float(tie["length_mm"]), f"{_tie_spec(tie, is_metal=_is_metal(practice))}{measure}"


def _support_kind(fixing: Fixing, profile: Profile) -> SupportKind | None:
    return profile.support(fixing.support).kind if fixing.support else None


def _kinds_mm() -> dict[str, float]:
    return dict(load_table("ties")["round_a_support"]["kinds_mm"])


def _is_metal(practice: Practice) -> bool:
    """Return whether what holds a loom must be metal; what only bundles it need not."""
    return practice.value("fixing", "metal") > 0


def _tie_spec(tie: Mapping[str, Any], *, is_metal: bool = False) -> str:
    made_of = "stainless steel, plastic coated" if is_metal else "black, UV resistant"
    return f"{tie['length_mm']:g} x {tie['width_mm']:g} mm, holding class {tie['holding_n']:g} N, {made_of}"


# Ties round the loom alone, on no support


def _loose_ties(job: Job, practice: Practice, installed: InstalledRuns) -> Iterator[tuple[float, BillEntry]]:
    """Yield the ties at each breakout, on both sides, and at each service loop or swept end, by length."""
    at_breakout = round(practice.value("loom", "ties at a breakout"))
    at_loop = round(practice.value("loom", "ties at a service loop"))
    for run, breakout in _breakouts_once(installed):
        loom_mm = installed.loom_at(run, breakout.station_mm).outside_mm
        where = f"{run.name}: breakout at {tape_m(breakout.station_mm)} m"
        yield from _loose(at_breakout, loom_mm, where, practice)
    for run in installed.runs:
        wire_mm = stiffest_wire_mm(job.run(run.name), run.conductors)
        loom_mm, is_swept = installed.loom_at(run, 0.0).outside_mm, service_loop(wire_mm, practice).is_swept
        word, around_mm = ("swept end", loom_mm) if is_swept else ("service loop", 2 * loom_mm)  # lies double
        yield from _loose(at_loop, around_mm, f"{run.name}: {word}", practice)


def _loose(count: int, loom_mm: float, where: str, practice: Practice) -> Iterator[tuple[float, BillEntry]]:
    if count > 0:
        tie = tie_for(math.pi * loom_mm, 0.0, practice)
        kg = _kg(BillItem.TIE, count, tie["length_mm"])
        entry = BillEntry(BillItem.TIE, _tie_spec(tie), count, "piece", where, has_spare=True, kg=kg)
        yield tie["length_mm"], entry


def _breakouts_once(installed: InstalledRuns) -> Iterator[tuple[RunPlan, Breakout]]:
    """Yield each breakout with the first of the runs that lie there; runs that part there part once."""
    for run in installed.runs:
        for breakout in run.breakouts:
            there = {name for loom in installed.looms_at(run, breakout.station_mm) for name in loom.runs}
            if next(each for each in installed.runs if each.name in there) is run:
                yield run, breakout


# Fixings


def gap_to_support_mm(fixing: Fixing, profile: Profile) -> float:
    """Return how far in space a fixing is from where its loom would lie on its support, 0 without one."""
    if fixing.support is None:
        return 0.0
    support = profile.support(fixing.support)
    in_plan_mm = distances_to(core_of(support.along, is_area=False), fixing.x_mm, fixing.y_mm)
    return math.hypot(float(in_plan_mm), fixing.z_mm - support.height_at((fixing.x_mm, fixing.y_mm)))


def length_round_mm(
    loom_mm: float, gap_mm: float, practice: Practice, kind: SupportKind | None = None
) -> float:
    """Return the way round a loom and its support: there and back over the gap between the two.

    Parameters
    ----------
    loom_mm, gap_mm : float
        The loom's outside diameter, and how far it lies from its support.
    practice : Practice
        "fixing: round a support", which a rail or a flange may exceed by the table of ties.
    kind : SupportKind, optional
        Of the support.
    """
    support_mm = max(practice.value("fixing", "round a support"), _kinds_mm().get(kind or "", 0.0))
    return math.pi * loom_mm + support_mm + 2 * gap_mm


def tie_for(around_mm: float, pull_n: float, practice: Practice) -> dict[str, Any]:
    """Return the shortest tie that goes round and of whose class the pull is no more than its share.

    Parameters
    ----------
    around_mm : float
        The way round what is tied. [mm]
    pull_n : float
        What pulls at it. [N]
    practice : Practice
        "fixing: tie share".

    Raises
    ------
    NoAnswerError
        Where no tie in the table will do.
    """
    table = load_table("ties")
    share = practice.value("fixing", "tie share")
    for tie in table["sizes"]:
        reaches = tie["length_mm"] - table["tail_mm"]["value"] >= around_mm
        if reaches and pull_n <= share * tie["holding_n"]:
            return dict(tie)
    raise NoAnswerError(
        f"no tie goes round {around_mm:.0f} mm and holds {pull_n:.0f} N at {share:.0%} of its class; "
        "shorten the spacing or choose a clip"
    )


def _pull_n(held: _Held, profile: Profile, practice: Practice, installed: InstalledRuns) -> float:
    """Return the pull at a tie: the weight of a longest span, times practice "fixing: shaking"."""
    conductors = [choice for name in held.loom.runs for choice in installed.run(name).conductors]
    kg_per_m = sum(conductor_kg_per_m(choice) for choice in conductors)
    span_m = practice.by_space("spacing", profile.space(held.fixing.space).kind).value / 1000
    gravity = load_table("sundries")["gravity_m_per_s2"]["value"]
    return float(practice.value("fixing", "shaking") * kg_per_m * span_m * gravity)


def _clip(held: _Held, profile: Profile, practice: Practice) -> tuple[float, str]:
    kind = profile.support(held.fixing.support).kind if held.fixing.support else "support"
    word = "edge clip" if kind is SupportKind.FLANGE else "clip"
    made_of = ", metal" if _is_metal(practice) else ""
    where = "punched holes" if kind is SupportKind.HOLES else f"a {kind}"
    return held.loom.outside_mm, f"{word} for {where}, loom of {held.loom.outside_mm:g} mm{made_of}"


def _p_clip(held: _Held) -> tuple[float, str]:
    clip = p_clip_for(held.loom.outside_mm)
    return clip["size_mm"], f"{clip['size_mm']:g} mm, rubber lined, grips to {clip['to_mm']:g} mm"


def p_clip_for(loom_mm: float) -> dict[str, float]:
    """Return the P-clip that grips a loom: the largest that closes to no more than its outside. [mm]

    Raises
    ------
    NoAnswerError
        Where none of the table does.
    """
    rows = load_table("clips")["p_clips"]["sizes"]
    for row in reversed(rows):
        if row["size_mm"] <= loom_mm <= row["to_mm"]:
            return dict(row)
    raise NoAnswerError(
        f"no P-clip grips a loom of {loom_mm:g} mm; those of the table grip "
        f"{rows[0]['size_mm']:g} to {rows[-1]['to_mm']:g} mm"
    )
