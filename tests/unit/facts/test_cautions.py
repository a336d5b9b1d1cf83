"""What is done to a vehicle, not only what was drawn of it, decides which cautions its plan opens with."""

from dataclasses import replace

import pytest
from sample_plan import sample_plan

from router.facts.cautions import MOST_FIRST, Work, cautions_for, first_cautions, work_of
from router.model.fixing import FixingKind
from router.model.plan import PassageKind
from router.tables import load_table

ALWAYS = ("stands", "battery", "eyes", "who decides", "fault codes", "waiting", "sensors")


def bare(plan):
    """Return a plan that neither drills nor opens anything in a vehicle of nothing."""
    terminals = tuple(replace(each, kind="earth point", is_place=False) for each in plan.profile.terminals)
    profile = replace(plan.profile, keep_outs=(), terminals=terminals)
    runs = tuple(replace(run, fixings=(), route=replace(run.route, passages=())) for run in plan.runs)
    return replace(plan, profile=profile, runs=runs)


def keys(plan):
    return {caution.key for caution in cautions_for(plan.profile, plan)}


def with_first_run(plan, **changes):
    return replace(plan, runs=(replace(plan.runs[0], **changes), *plan.runs[1:]))


@pytest.fixture(scope="module")
def plan():
    return sample_plan()


def test_a_plan_that_does_nothing_to_a_vehicle_of_nothing_warns_of_what_always_holds(plan):
    assert work_of(bare(plan)) == ()
    assert keys(bare(plan)) == set(ALWAYS)


def test_a_plan_that_drills_warns_of_all_that_may_lie_behind_though_nothing_was_drawn(plan):
    clip = replace(plan.runs[0].fixings[0], kind=FixingKind.P_CLIP, hole=None)
    drilled = with_first_run(bare(plan), fixings=(clip,))
    assert work_of(drilled) == (Work.DRILLING,)
    assert keys(drilled) - set(ALWAYS) == {"behind", "vapour", "structure", "sealing"}
    words = " ".join(each.text for each in cautions_for(drilled.profile, drilled)).lower()
    for what in (
        "brake and fuel lines", "tank", "high-voltage battery", "airbags", "fuel vapour", "spark", "member",
        "high-strength steel", "primed and sealed", "radar", "parking sensor", "fault codes", "coded", "wait",
    ):  # fmt: skip
        assert what in words, what


def test_a_tie_round_a_support_drills_nothing(plan):
    tie = replace(plan.runs[0].fixings[0], kind=FixingKind.TIE, hole=None)
    assert work_of(with_first_run(bare(plan), fixings=(tie,))) == ()


def test_a_unit_that_the_job_brings_along_is_screwed_to_something(plan):
    nothing = bare(plan)
    terminals = tuple(replace(each, is_place=True) for each in nothing.profile.terminals)
    mounted = replace(nothing, profile=replace(nothing.profile, terminals=terminals))
    assert work_of(mounted) == (Work.MOUNTING,)
    assert {"behind", "structure", "sealing"} <= keys(mounted)


@pytest.mark.parametrize("kind", ["battery post", None])
def test_work_at_a_battery_warns_of_its_gas_and_of_the_sensor_on_its_post(plan, kind):
    nothing = bare(plan)
    terminals = tuple(replace(each, kind=kind) for each in nothing.profile.terminals)
    at_battery = replace(nothing, profile=replace(nothing.profile, terminals=terminals))
    assert keys(at_battery) - set(ALWAYS) == {"gas", "battery sensor"}


@pytest.mark.parametrize("kind", ["lamp", "trailer socket"])
def test_who_taps_a_lamp_or_feeds_a_trailer_hears_of_vehicles_that_watch_their_lamps(plan, kind):
    nothing = bare(plan)
    terminals = tuple(replace(each, kind=kind) for each in nothing.profile.terminals)
    tapped = replace(nothing, profile=replace(nothing.profile, terminals=terminals))
    assert work_of(tapped) == (Work.LAMPS,)
    assert keys(tapped) - set(ALWAYS) == {"watched lamps"}


def test_an_opening_is_sealed(plan):
    passage = next(each for each in plan.runs[0].route.passages if each.kind is PassageKind.OPENING)
    route = replace(plan.runs[0].route, passages=(passage,))
    assert keys(with_first_run(bare(plan), route=route)) - set(ALWAYS) == {"sealing"}


def test_no_more_than_six_come_first_the_worst_of_them_and_who_decides(plan):
    cautions = cautions_for(plan.profile, plan)
    first = first_cautions(cautions)
    assert len(first) == MOST_FIRST == 6 < len(cautions)
    assert first == tuple(caution for caution in cautions if caution in first)
    assert {"high voltage", "stands", "battery", "who decides"} <= {each.key for each in first}
    later = [each for each in cautions if each not in first]
    free = [each for each in first if not each.opens]
    assert cautions.index(free[-1]) < cautions.index(later[0])


def test_every_caution_says_where_it_comes_from_and_is_short():
    rows = load_table("cautions")["cautions"]
    assert len({row["key"] for row in rows}) == len(rows) > 15
    for row in rows:
        assert row["source"] and row["status"] in ("published", "common practice", "from memory")
        assert len(row["text"].split()) <= 55, row["key"]
    assert sum(bool(row.get("opens")) for row in rows) < MOST_FIRST
