"""Every end of every conductor is listed once, with what its maker and its fitter need."""

import json
import re
from collections import Counter
from dataclasses import replace

import pytest
from example_plans import example_plan
from jsonschema import Draft202012Validator
from sample_plan import sample_plan

from router.facts import Joint, capped_cores, connections_of
from router.facts.network import network_of
from router.model.plan import BillItem
from router.model.vehicle import SpaceKind, Studs
from router.writing import plan_data, plan_schema, read_plan

BOUGHT = {
    Joint.RING: BillItem.RING_TERMINAL,
    Joint.CONTACT: BillItem.CONNECTOR_CONTACT,
    Joint.SPLICE: BillItem.SPLICE,
}


@pytest.fixture(scope="module", params=["trailer-socket", "fridge-supply"])
def plan(request):
    return example_plan(request.param)


def test_each_conductor_has_both_ends_and_a_fused_one_both_sides_of_its_holder(plan):
    connections = connections_of(plan)
    assert len(connections) > 4
    for number, piece in enumerate(network_of(plan.job, plan.profile).pieces, start=1):
        own = [each for each in connections if each.wire == number]
        assert {each.conductor for each in own} == {piece.conductor}
        assert len(own) == (4 if piece.is_fused else 2)
        assert [each.joint is Joint.SPLICE for each in own] == [False, *[True] * (len(own) - 2), False]


def test_a_conductor_that_is_fused_at_both_ends_is_spliced_to_two_holders():
    plan = sample_plan()
    first = plan.runs[0]
    both = replace(first, fuse=replace(first.fuse, second_station_mm=first.route.routed_mm - 150.0))
    joined = [each for each in connections_of(replace(plan, runs=(both, *plan.runs[1:]))) if each.wire == 1]
    assert [each.joint for each in joined] == [Joint.RING, *[Joint.SPLICE] * 4, Joint.CONTACT]
    assert joined[1].joined_to.startswith("15 A holder at 0.12 m, lead towards battery positive")


def test_what_joins_the_ends_is_what_the_bill_fetches(plan):
    assert {each.joint for each in connections_of(plan)} == set(BOUGHT)
    for joint, item in BOUGHT.items():
        fetched = sum(line.quantity - line.spare for line in plan.bill if line.item is item)
        assert sum(each.joint is joint for each in connections_of(plan)) == fetched, joint


def test_only_what_is_tightened_has_a_torque_and_only_a_contact_a_cavity(plan):
    assert len(connections_of(plan)) > 4
    for each in connections_of(plan):
        assert bool(each.torque) is (each.joint is Joint.RING)
        assert bool(each.cavity) is (each.joint is Joint.CONTACT)
        assert each.part and each.seal and each.strip and each.tool


def test_the_pins_of_a_published_lead_are_those_of_its_standard():
    # ISO 11446-1:2012: pin 3 returns pins 1 to 8, pin 9 is the permanent supply, pin 13 its return.
    plan = example_plan("rowing-trailer")
    pins = {each.conductor: each.cavity for each in connections_of(plan)
            if each.joined_to == "trailer socket, connector"}  # fmt: skip
    assert pins["trailer return"] == "pin 3"
    assert (pins["repair box"], pins["repair box return"]) == ("pin 9", "pin 13")
    assert pins["trailer stop"] == "pin 6"
    unit = {each.cavity for each in connections_of(plan) if each.joined_to == "trailer unit, connector"}
    assert unit == {"by its papers"}  # the other end of the lead has no standard's pins


def test_the_cores_that_a_lead_has_and_a_job_does_not_use_are_capped():
    # ISO 11446-1:2012: pin 10 is the switched supply, grey, pin 11 its return; each of 2.5 mm2.
    found = [(each.core, each.size) for each in capped_cores(example_plan("rowing-trailer"))]
    assert found == [
        ("pin 10, switched supply, grey", "2.5 mm2"),
        ("pin 11, return for pin 10, white/black", "2.5 mm2"),
    ]


def test_a_contact_is_sealed_where_it_gets_wet_only():
    plan = sample_plan()
    wet = [replace(each, kind=SpaceKind.UNDERFLOOR) for each in plan.profile.spaces]
    dry = [replace(each, kind=SpaceKind.CABIN) for each in plan.profile.spaces]
    for spaces, words in ((wet, "wire seal"), (dry, "none, it is dry")):
        profile = replace(plan.profile, spaces=tuple(spaces))
        seals = [
            each.seal
            for each in connections_of(replace(plan, profile=profile))
            if each.joint is Joint.CONTACT
        ]
        assert seals and all(seal.startswith(words) for seal in seals)


@pytest.mark.parametrize(
    ("kind", "is_wet"),
    [
        (SpaceKind.ENGINE_BAY, True),
        (SpaceKind.UNDERFLOOR, True),
        (SpaceKind.WHEEL_HOUSE, True),
        (SpaceKind.OUTSIDE, True),
        (SpaceKind.CABIN, False),
        (SpaceKind.LOAD_AREA, False),
        (SpaceKind.BOOT, False),
    ],
)
def test_every_ring_and_splice_is_sealed_where_it_gets_wet(kind, is_wet):
    """Common practice, no source: spray and salt creep into an open barrel, whatever its size."""
    plan = sample_plan()
    spaces = tuple(replace(each, kind=kind) for each in plan.profile.spaces)
    wetted = replace(plan, profile=replace(plan.profile, spaces=spaces))
    crimps = [each for each in connections_of(wetted) if each.joint is not Joint.CONTACT]
    assert {each.joint for each in crimps} == {Joint.RING, Joint.SPLICE}
    assert {"heat-shrink" in each.seal for each in crimps} == {is_wet}
    assert {"glue-lined heat-shrink" in each.part for each in crimps} == {is_wet}
    assert {"hot-air gun" in each.tool for each in crimps} == {is_wet}


def test_a_thick_lug_is_shrunk_wherever_it_is():
    plan = sample_plan()
    spaces = tuple(replace(each, kind=SpaceKind.BOOT) for each in plan.profile.spaces)
    runs = tuple(
        replace(
            run,
            conductors=tuple(
                replace(c, area_mm2=16.0, size="16 mm2", outside_mm=7.9) for c in run.conductors
            ),
        )
        for run in plan.runs
    )
    thick = replace(plan, profile=replace(plan.profile, spaces=spaces), runs=runs)
    crimps = [each for each in connections_of(thick) if each.joint is Joint.RING]
    assert crimps and all(each.seal.startswith("heat-shrink, adhesive lined") for each in crimps)


def test_the_bill_buys_the_crimps_that_the_list_names(plan):
    """As many of each, sealed or not: a fuse holder's splices, and every ring with its stud and colour."""
    listed = Counter(each.part.split(" (")[0] for each in connections_of(plan) if each.joint is Joint.RING)
    listed_sealed = sum("glue-lined" in each.part for each in connections_of(plan))
    items = (BillItem.RING_TERMINAL, BillItem.SPLICE)
    bought = [line for line in plan.bill if line.item in items]
    assert sum(line.quantity - line.spare for line in bought if "glue-lined" in line.spec) == listed_sealed
    rings = Counter()
    for line in bought:
        if line.item is BillItem.RING_TERMINAL:
            rings[re.sub(r" \(.*?\)", "", line.spec)] += line.quantity - line.spare
    assert rings == listed


def test_a_place_of_the_job_is_tightened_by_its_own_maker():
    plan = sample_plan()
    terminals = tuple(
        replace(each, stud=None, studs=Studs("M6", "M5"), is_place=True) if each.name == "cool box" else each
        for each in plan.profile.terminals
    )
    profile = replace(plan.profile, terminals=terminals)
    own = [
        each
        for each in connections_of(replace(plan, profile=profile))
        if each.joined_to.startswith("cool box")
    ]
    assert [(each.joined_to, each.torque) for each in own] == [
        ("cool box, stud M6", "its own instructions"), ("cool box, stud M5", "its own instructions"),
    ]  # fmt: skip
    assert "vehicle maker's manual" in {each.torque for each in connections_of(plan)}


def test_plan_json_holds_them_and_its_schema_knows_them(plan, tmp_path):
    data = json.loads(json.dumps(plan_data(plan)))
    Draft202012Validator(plan_schema()).validate(data)
    assert len(data["connections"]) == len(connections_of(plan))
    assert {"wire", "joined_to", "joint", "part", "cavity", "seal", "strip", "torque", "tool"} <= set(
        data["connections"][0]
    )
    (tmp_path / "plan.json").write_text(json.dumps(data), encoding="utf-8")
    assert read_plan(tmp_path / "plan.json") == plan
