"""What a fuse counts of loads: for good, in a hot bay, and when they are switched on. Expected figures by
hand.

That a motor counts twice, a heater and electronics 1.25 times, is common practice, no source, as the rules
say.
"""

from __future__ import annotations

import pytest
from conductor_cases import AUTO, BENCH, a_circuit_job, by_name, choose, fuse_of, kinds
from small_vehicle import BATTERY, a_conductor, a_profile, a_run

from router.conductors.fuse_loads import LoadFactors, fuse_load
from router.model.conductor_choice import FuseChoice
from router.model.job import Duty, Fuse, Inverter, LoadKind
from router.model.plan import Electrical, Severity
from router.model.vehicle import Space, SpaceKind

FACTORS = LoadFactors(
    continuous=1.25,
    hot=1.25,
    by_kind={
        LoadKind.MOTOR: 2.0,
        LoadKind.HEATER: 1.25,
        LoadKind.ELECTRONIC: 1.25,
        LoadKind.LED: 1.25,
        LoadKind.FILAMENT: 2.0,
    },
)
SHORT = Duty.INTERMITTENT


def one_fuse(*loads: object, fuse: Fuse = AUTO) -> Electrical:
    """Return the answer for loads that one fused supply feeds."""
    cores = tuple(
        a_conductor(f"load {number}", fed_by="supply", size="10 mm2", **load)
        for number, load in enumerate(loads)
    )
    supply = a_run("supply", conductors=(a_conductor("supply", load_a=0.0, size="25 mm2"),), fuse=fuse)
    return choose(a_circuit_job(supply, a_run("lead", "unit", "loads", conductors=cores), drop=0.3), 1000.0)


@pytest.mark.parametrize(
    ("kind", "counted_a"),
    [(None, 8.0), ("motor", 16.0), ("heater", 10.0), ("electronic", 10.0), ("LED", 10.0), ("filament", 16.0)],
)
def test_a_load_counts_by_its_kind(kind, counted_a):
    load = a_conductor(load_a=8.0, duty=SHORT, kind=LoadKind(kind) if kind else None)
    assert fuse_load([load], FACTORS, is_hot=False).amperes == pytest.approx(counted_a)


def test_a_motor_starts_with_all_else_on_and_a_lamp_lights_up_by_itself():
    """Motor 5 A x 2 + 6 A continuous x 1.25 = 17.5 A; lamp 5 A x 2 = 10 A, less than 5 + 7.5 A for good."""
    fridge = {"load_a": 6.0}
    assert fuse_of(one_fuse({"load_a": 5.0, "duty": SHORT, "kind": LoadKind.MOTOR}, fridge)).rating_a == 20.0
    assert (
        fuse_of(one_fuse({"load_a": 5.0, "duty": SHORT, "kind": LoadKind.FILAMENT}, fridge)).rating_a == 15.0
    )


def test_a_motor_that_runs_for_hours_counts_twice_not_two_and_a_half_times():
    fuse = fuse_of(one_fuse({"load_a": 5.0, "kind": LoadKind.MOTOR}))
    assert fuse.rating_a == 10.0
    (why,) = [reason for reason in fuse.reasons if reason.what.startswith("load counts")]
    assert "motors that start (load 0), which draw 5 A then, x 2" in why.what
    assert "for good it counts 6.25 A" in why.what
    assert why.status == "from memory"  # the weakest of its sources: NEC 210.20(A)


def test_loads_that_are_never_on_together_do_not_start_together():
    both = one_fuse(
        {"load_a": 6.0, "duty": SHORT, "kind": LoadKind.MOTOR, "never_with": ("load 1",)},
        {"load_a": 4.0, "duty": SHORT, "kind": LoadKind.MOTOR},
    )
    assert fuse_of(both).rating_a == 15.0  # 12 A, not 20 A


def test_a_named_fuse_that_a_motor_would_blow_is_a_should_with_the_rule():
    found = one_fuse({"load_a": 8.0, "duty": SHORT, "kind": LoadKind.MOTOR}, fuse=Fuse(10.0))
    (finding,) = [each for each in found.findings if each.kind == "fuse"]
    assert (finding.severity, finding.required) == (Severity.SHOULD, "16 A")
    assert "when the motors of supply come on" in finding.what
    assert finding.rule is not None
    assert finding.rule.name == "fuse: motor load"


def in_bay(kind: SpaceKind | None, load_a: float, duty: Duty, space: str = "underfloor") -> FuseChoice:
    """Return the fuse of a load whose fuse lies in a space of a kind."""
    run = a_run("supply", conductors=(a_conductor(load_a=load_a, duty=duty),), fuse=AUTO)
    profile = a_profile(spaces=(Space(space, 400.0, (), kind),), terminals=(BATTERY,))
    return fuse_of(choose(a_circuit_job(run, drop=0.3, ambient_c={space: 40.0}), 2000.0, profile=profile))


@pytest.mark.parametrize(
    ("kind", "duty", "rating_a"),
    [
        (SpaceKind.ENGINE_BAY, Duty.INTERMITTENT, 15.0),  # 9 A is 80 % of 11.25 A
        (SpaceKind.ENGINE_BAY, Duty.CONTINUOUS, 15.0),  # 1.25 once, not twice
        (None, Duty.INTERMITTENT, 15.0),  # nobody said what the space is
        (SpaceKind.UNDERFLOOR, Duty.INTERMITTENT, 10.0),
        (SpaceKind.UNDERFLOOR, Duty.CONTINUOUS, 15.0),
    ],
)
def test_a_fuse_in_an_engine_bay_carries_no_more_than_80_percent_at_any_duty(kind, duty, rating_a):
    assert in_bay(kind, 9.0, duty).rating_a == rating_a


def test_the_reason_says_that_the_fuse_lies_in_a_hot_place():
    why = " ".join(reason.what for reason in in_bay(SpaceKind.ENGINE_BAY, 9.0, SHORT).reasons)
    assert "9 A intermittent x 1.25 in a hot place" in why
    assert "hot place" not in " ".join(r.what for r in in_bay(SpaceKind.CABIN, 9.0, SHORT).reasons)


def test_only_where_the_fuse_lies_counts_not_where_the_run_goes():
    run = a_run("supply", conductors=(a_conductor(load_a=9.0, duty=SHORT),), fuse=AUTO)
    job = a_circuit_job(run, drop=0.3, ambient_c={"engine bay": 40.0, "underfloor": 40.0})
    ahead, behind = {"engine bay": 0.5, "underfloor": 0.5}, {"underfloor": 0.5, "engine bay": 0.5}
    assert fuse_of(choose(job, 4000.0, spaces=ahead, profile=BENCH)).rating_a == 15.0
    assert fuse_of(choose(job, 4000.0, spaces=behind, profile=BENCH)).rating_a == 10.0


def test_an_inverter_draws_its_power_over_efficiency_and_lowest_voltage():
    """1000 W / (0.85 x 10.5 V) = 112.04 A; x 1.25 for hours: 140.06 A, the next rating up is 150 A."""
    inverter = Inverter(1000.0, 0.85, 10.5)
    assert inverter.most_a == pytest.approx(112.04, abs=0.01)
    core = a_conductor(load_a=inverter.most_a, inverter=inverter)
    found = choose(a_circuit_job(a_run("supply", conductors=(core,), fuse=AUTO), drop=0.3), 500.0)
    assert fuse_of(found).rating_a == 150.0
    assert by_name(found)["supply"].load_a == pytest.approx(112.04, abs=0.01)


@pytest.mark.parametrize(("rating_a", "told"), [(15.0, False), (20.0, False), (25.0, True)])
def test_the_next_rating_up_is_not_larger_than_needed(rating_a, told):
    """9 A for hours counts 11.25 A: 15 A is the smallest; many a shop takes 20 A (common practice)."""
    run = a_run("supply", conductors=(a_conductor(load_a=9.0, size="10 mm2"),), fuse=Fuse(rating_a))
    assert ("large fuse" in kinds(choose(a_circuit_job(run, drop=0.3), 1000.0))) is told
