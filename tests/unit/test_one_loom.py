"""Two runs side by side are one loom to every part, or two to every part.

The case, by hand: supply goes 2000 mm rearward; lamp goes beside it for 1500 mm, then leaves to the left.
Lines 0.4 mm apart are one loom; 1.5 mm and 5 mm apart they are two (`ONE_LOOM_MM`, 0.5 mm).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cache

import pytest
from sample_plan import sample_plan
from small_vehicle import (
    a_choice,
    a_conductor,
    a_job,
    a_profile,
    a_route,
    a_run,
    a_run_plan,
    default_practice,
)

from router.bill import make_bill
from router.conductors import choose_conductors
from router.drawing import draw_map
from router.drawing.layers.judged_route import as_drawn
from router.explaining.reasons import explain_way
from router.facts import bundles_of
from router.fitting import RouteSizes
from router.fixings import fixings_beside, place_fixings
from router.judging import judge_route
from router.lengths import measure_run
from router.looms import dress_looms, find_breakouts
from router.model.job import Job, Series
from router.model.plan import Electrical, Plan, Route
from router.model.review import DrawnRoute, DrawnRun
from router.model.vehicle import Fix, Profile, Space, SpaceKind, Support, SupportKind, Terminal
from router.routing import LoomOnVehicle, make_world
from router.sheet.along_run import along_table
from router.writing.summary import summarise

HEIGHT_MM = 340.0
NAMES = ("supply", "lamp")


def routes(apart_mm: float) -> tuple[Route, Route]:
    y = -540.0 + apart_mm
    return (
        a_route([(500, -540, HEIGHT_MM), (2500, -540, HEIGHT_MM)]),
        a_route([(500, y, HEIGHT_MM), (2000, y, HEIGHT_MM), (2000, 100, HEIGHT_MM)], run="lamp"),
    )


def a_terminal(name: str, x: float, y: float) -> Terminal:
    return Terminal(name, "underfloor", (x, y), HEIGHT_MM, "M6")


PROFILE: Profile = a_profile(
    spaces=(
        Space(
            "underfloor", HEIGHT_MM, ((0, -900), (3000, -900), (3000, 900), (0, 900)), SpaceKind.UNDERFLOOR
        ),
    ),
    terminals=(
        a_terminal("battery positive", 500, -540),
        a_terminal("unit", 2500, -540),
        a_terminal("lamp", 2000, 100),
    ),
    supports=(
        Support("sill", "underfloor", SupportKind.RAIL, ((0, -545), (3000, -545)), HEIGHT_MM, Fix.TIE),
        Support(
            "cross rail", "underfloor", SupportKind.RAIL, ((2000, -530), (2000, 400)), HEIGHT_MM, Fix.TIE
        ),
    ),
)


@dataclass(frozen=True)
class Case:
    """The two runs with all that the trades make of them, as planning puts it together."""

    job: Job
    routes: tuple[Route, Route]
    sizes: RouteSizes
    plan: Plan


@cache
def case(apart_mm: float) -> Case:
    pairs = {
        name: tuple(a_conductor(f"{name} {n}", load_a=1.0, size="14 AWG") for n in "ab") for name in NAMES
    }
    runs = (a_run(conductors=pairs["supply"]), a_run("lamp", end="lamp", conductors=pairs["lamp"]))
    job, practice, both = a_job(*runs, series=Series.AWG), default_practice(), routes(apart_mm)
    job = replace(job, limits=replace(job.limits, drop_fraction=0.2, ambient_c={"underfloor": 30.0}))
    bundles = bundles_of(both)
    lengths = tuple(measure_run(*each, PROFILE, practice) for each in zip(runs, both, strict=True))
    # conductors are tested by themselves below; the looms go over plain ones
    choices = tuple(a_choice(name) for name in NAMES)
    looms = dress_looms(job, bundles, choices, practice)
    held: dict[str, tuple] = {}
    for route in both:
        placed = fixings_beside(route.run, held, bundles)
        held[route.run], _ = place_fixings(route, PROFILE, practice, 10.0, placed)
    made = tuple(
        a_run_plan(
            run,
            route,
            length,
            fixings=held[run.name],
            conductors=(a_choice(run.name, length_mm=length.cut_mm),),
            breakouts=find_breakouts(run.name, bundles),
        )
        for run, route, length in zip(runs, both, lengths, strict=True)
    )
    sample = sample_plan()
    bill = make_bill(job, PROFILE, practice, made, looms)
    plan = replace(
        sample, job=job, profile=PROFILE, practice=practice, runs=made, looms=looms, bill=bill, findings=()
    )
    return Case(job, both, RouteSizes(bundles, lengths, Electrical((), (), ()), looms), plan)


def by_looms(each: Case) -> bool:
    return any(loom.runs == NAMES for loom in each.plan.looms)


def by_breakouts(each: Case) -> bool:
    return any("supply" in breakout.leave for breakout in each.plan.runs[1].breakouts)


def by_ampacity(each: Case) -> bool:
    """35 A for two conductors; 0.60 times that for the four of two runs (46 CFR and 33 CFR 183.425)."""
    sizes = each.sizes
    found = choose_conductors(
        each.job, PROFILE, default_practice(), each.routes, sizes.bundles, sizes.lengths
    )
    ampacity_a = {choice.name: choice.ampacity_a for choice in found.conductors}
    assert {ampacity_a["supply a"], ampacity_a["lamp a"]} in ({35.0}, {0.6 * 35.0})
    return ampacity_a["lamp a"] < 35.0


def by_fixings(each: Case) -> bool:
    return any(fixing.shared_with == "supply" for fixing in each.plan.runs[1].fixings)


def by_summary(each: Case) -> bool:
    return "shared" in summarise(each.plan)


def by_bill_looms(each: Case) -> bool:
    return any("supply + lamp" in line.where for line in each.plan.bill if line.item == "loom")


def by_bill_ties(each: Case) -> bool:
    """A trunk is tied at its breakout; two looms part nowhere."""
    return any("breakout" in line.where for line in each.plan.bill if line.item == "tie")


def by_map(each: Case) -> bool:
    drawing = draw_map(each.plan)
    shared = drawing[drawing.index("Where a run shares the route of an earlier one") :]
    return "<polyline" in shared[: shared.index("</g>")]


def by_sheet(each: Case) -> bool:
    return "in the loom of supply" in along_table(each.plan, each.plan.runs[1])


def by_reasons(each: Case) -> bool:
    loom = LoomOnVehicle(PROFILE, default_practice(), 5.0)
    run = each.job.run("lamp")
    reasons = explain_way(loom, make_world(loom), run, each.routes[1], each.sizes.bundles)
    return any(reason.why == "leaves the loom of run supply" for reason in reasons)


def by_judged_map(each: Case) -> bool:
    drawn = tuple(DrawnRun(run.route, run.fixings, None, ()) for run in each.plan.runs)
    judgement = judge_route(each.job, PROFILE, default_practice(), DrawnRoute("by hand", drawn, None))
    lamp = as_drawn(judgement).runs[1]
    shared = any(fixing.shared_with == "supply" for fixing in lamp.fixings)
    assert shared is any(loom.runs == NAMES for loom in as_drawn(judgement).looms)
    return shared


PARTS = (
    by_looms,
    by_breakouts,
    by_ampacity,
    by_fixings,
    by_summary,
    by_bill_looms,
    by_bill_ties,
    by_map,
    by_sheet,
    by_reasons,
    by_judged_map,
)


@pytest.mark.parametrize(("apart_mm", "is_one"), [(0.0, True), (0.4, True), (1.5, False), (5.0, False)])
@pytest.mark.parametrize("part", PARTS, ids=lambda part: part.__name__)
def test_two_runs_are_one_loom_or_two_to_every_part_alike(
    part: Callable[[Case], bool], apart_mm: float, is_one: bool
) -> None:
    assert part(case(apart_mm)) is is_one
