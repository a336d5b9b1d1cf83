"""The bill: everything installed is in it once, and nothing else. Expected numbers counted by hand."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from small_vehicle import (
    a_choice,
    a_job,
    a_passage,
    a_route,
    a_run,
    a_run_plan,
    a_van,
    default_practice,
    practice_with,
)

from router.bill import make_bill
from router.bill.counting import BillEntry, gather, ranges
from router.bill.holding_items import length_round_mm, tie_for
from router.bill.masses import conductor_kg_per_m, mass_entries
from router.errors import NoAnswerError
from router.facts import bundles_of
from router.fixings import fixings_beside, place_fixings
from router.lengths.measuring import measure_run
from router.looms import dress_looms, find_breakouts
from router.model.conductor_choice import ConductorChoice, FuseChoice
from router.model.fixing import FixingKind
from router.model.job import Run, Series
from router.model.plan import BillLine, HeatSleeve, PassageKind, Route, RunPlan
from router.model.practice import Practice
from router.model.vehicle import (
    Edge,
    Fix,
    Member,
    Opening,
    Profile,
    Support,
    SupportKind,
    Terminal,
    ThroughPass,
)
from router.reading import read_practice
from router.tables import load_table

HEIGHT = 410.0


def terminal(name: str, stud: str | None) -> Terminal:
    return Terminal(name, "underfloor", (0.0, 0.0), HEIGHT, stud)


PROFILE = a_van(
    terminals=(terminal("battery positive", "M6"), terminal("unit", None), terminal("earth stud", "M8")),
    supports=(
        Support("rail", "underfloor", SupportKind.RAIL, ((0, 0), (1000, 0)), HEIGHT, Fix.TIE),
        Support("left flange", "underfloor", SupportKind.FLANGE, ((1100, 0), (2000, 0)), HEIGHT, Fix.CLIP),
    ),
)
SUPPLY = a_route([(0, 0, HEIGHT), (1000, 0, HEIGHT), (3000, 0, HEIGHT)])
FUSE = FuseChoice(
    "supply", "supply", 15.0, "blade", "blue", 120.0, 1829.0, (), "2.5 mm2 or 14 AWG", 2.5, None
)


THICK_LEADS = replace(FUSE, leads="16 mm2", leads_mm2=16.0)


def installed(
    run: Run,
    route: Route,
    *choices: ConductorChoice,
    profile: Profile = PROFILE,
    practice: Practice | None = None,
    before: tuple[RunPlan, ...] = (),
    fuse: FuseChoice | None = None,
    sleeves: tuple[HeatSleeve, ...] = (),
) -> RunPlan:
    rules = practice or default_practice()
    bundles = bundles_of((*(other.route for other in before), route))
    placed = fixings_beside(run.name, {other.name: other.fixings for other in before}, bundles)
    fixings, _ = place_fixings(route, profile, rules, 11.8, placed)
    length = measure_run(run, route, profile, rules)
    chosen = tuple(replace(choice, length_mm=length.cut_mm) for choice in choices or (a_choice(run.name),))
    return a_run_plan(run, route, length, fixings=fixings, conductors=chosen, fuse=fuse, heat_sleeves=sleeves)


def bill_of(
    *plans: RunPlan, profile: Profile = PROFILE, practice: Practice | None = None
) -> tuple[BillLine, ...]:
    rules = practice or default_practice()
    job = a_job(*(a_run(plan.name, plan.start, plan.end) for plan in plans))
    choices = tuple(choice for plan in plans for choice in plan.conductors)
    looms = dress_looms(job, bundles_of([plan.route for plan in plans]), choices, rules)
    return make_bill(job, profile, rules, plans, looms)


def lines(bill: tuple[BillLine, ...], item: str) -> list[BillLine]:
    return [line for line in bill if line.item == item]


def only(bill: tuple[BillLine, ...], item: str) -> BillLine:
    (line,) = lines(bill, item)
    return line


# Conductors


def test_each_cut_is_listed_and_totals_add_up() -> None:
    supply = installed(
        a_run("supply"), SUPPLY, a_choice("supply"), a_choice("supply", "signal", size="1 mm2", area_mm2=1.0)
    )
    earth = installed(a_run("earth", "unit", "earth stud"), SUPPLY_BACK, a_choice("earth", colour="black"))
    bill = bill_of(supply, earth)
    cuts, totals = lines(bill, "conductor, cut"), lines(bill, "conductor, total")
    assert [cut.quantity for cut in cuts] == [plan.length.cut_mm / 1000 for plan in (supply, supply, earth)]
    assert sum(cut.quantity for cut in cuts) == pytest.approx(sum(total.quantity for total in totals))
    assert [total.spec.split(",")[0] for total in totals] == ["1 mm2 red", "2.5 mm2 black", "2.5 mm2 red"]
    ring = "ring M6 (1/4 in), blue, for 2.5 mm2, with its own glue-lined heat-shrink"
    assert f"battery positive ({ring}) to unit (contact of" in cuts[0].where


SUPPLY_BACK = a_route([(3000, 0, HEIGHT), (1000, 0, HEIGHT), (1000, 400, HEIGHT)], run="earth")


def test_equal_conductors_share_a_total() -> None:
    one = installed(a_run("supply"), SUPPLY, a_choice("supply"), a_choice("supply", "second"))
    assert [cut.quantity for cut in lines(bill_of(one), "conductor, cut")] == [one.length.cut_mm / 1000] * 2
    total = only(bill_of(one), "conductor, total")
    assert total.quantity == pytest.approx(2 * one.length.cut_mm / 1000)
    assert total.where.count("supply:") == 2


def test_copper_mass_is_the_sum_of_the_conductors() -> None:
    both = installed(
        a_run("supply"), SUPPLY, a_choice("supply", copper_kg=0.1), a_choice("supply", "b", copper_kg=0.25)
    )
    bill = bill_of(both)
    assert (only(bill, "copper").quantity, only(bill, "copper").unit) == (0.35, "kg")
    assert only(bill, "weight").quantity > 0.35


def test_weight_of_a_metre_by_hand() -> None:
    """Copper 22.4 g a metre; insulation pi/4 3^2 - 2.5 / 0.75 = 3.735 mm2 at 1.4 g/cm3: 5.2 g."""
    assert conductor_kg_per_m(a_choice("supply", copper_kg=0.112)) == pytest.approx(
        0.0224 + 0.00523, abs=1e-5
    )


# Terminals, splices, fuses


@pytest.mark.parametrize(
    ("area_mm2", "colour"),
    [(0.823, "red"), (0.518, "red"), (1.309, "blue"), (2.081, "blue"), (3.309, "yellow"), (5.261, "yellow")],
)
def test_awg_crimp_colours(area_mm2: float, colour: str) -> None:
    """Red 22-18, blue 16-14, yellow 12-10 AWG (MS25036 / SAE AS7928, as quoted in trade literature)."""
    plan = installed(a_run("supply"), SUPPLY, a_choice("supply", area_mm2=area_mm2))
    assert f", {colour}, for" in only(bill_of(plan), "ring terminal").spec


def test_every_common_size_finds_a_colour_and_a_thick_one_a_lug() -> None:
    for area_mm2 in (0.35, 1.0, 1.5, 2.5, 4.0, 6.0):
        bill = bill_of(installed(a_run(), SUPPLY, a_choice("supply", area_mm2=area_mm2)))
        assert "uninsulated" not in only(bill, "ring terminal").spec
    thick = a_choice("supply", area_mm2=16.0, size="16 mm2", outside_mm=7.9)
    spec = only(bill_of(installed(a_run(), SUPPLY, thick)), "ring terminal").spec
    assert spec == "ring M6 (1/4 in), uninsulated, for 16 mm2, with heat-shrink"
    shrink = only(bill_of(installed(a_run(), SUPPLY, thick, fuse=THICK_LEADS)), "heat-shrink")
    # over a barrel of 8.5 mm, on 7.9 mm of insulation: at most 0.9 x 7.9 = 7.1 mm once shrunk
    assert shrink.spec.startswith("adhesive lined, 2:1, 9.5 mm before shrinking and 4.8 mm after")
    assert shrink.quantity == 4  # a ring and two splices, and a tenth more; the contact has its housing
    thin = bill_of(installed(a_run(), SUPPLY, fuse=FUSE))
    assert not lines(thin, "heat-shrink")


def test_every_end_gets_a_label() -> None:
    both = installed(a_run(), SUPPLY, a_choice("supply"), a_choice("supply", "second"))
    assert only(bill_of(both), "label").quantity == 5  # four, and a tenth more


def test_tape_is_for_the_temperature_of_the_insulation() -> None:
    plan = installed(a_run(), SUPPLY)
    job = replace(a_job(a_run()), insulation_c=125.0)
    looms = dress_looms(job, bundles_of((plan.route,)), plan.conductors, default_practice())
    bill = make_bill(job, PROFILE, default_practice(), (plan,), looms)
    assert only(bill, "tape").spec == "harness tape, 19 mm, for 125 degC"
    assert "insulation for 125 degC" in only(bill, "conductor, cut").spec


def test_a_p_clip_says_its_hole() -> None:
    assert "hole 6.6 mm" in only(bill_of(installed(a_run(), SUPPLY)), "screw").spec


def test_weight_is_that_of_everything_fitted_and_says_what_it_leaves_out() -> None:
    """By hand, with the figures of the tables: 3.45 m of 27.6 g, two ends, labels, loom, tape, holders."""
    plan = installed(a_run(), SUPPLY)
    kinds = [fixing.kind.value for fixing in plan.fixings]
    (loom,) = dress_looms(a_job(a_run()), bundles_of((plan.route,)), plan.conductors, default_practice())
    metre_g = 0.112 * 1000 / (plan.length.cut_mm / 1000) + 3.735 * 1.4
    conductor_g = metre_g * plan.length.cut_mm / 1000
    ends_g = (1.0 + 0.5 * 2.5) + (0.5 + 0.3 * 2.5) + 2 * 0.5
    covers_g = {"NW7.5": 16.0, "NW4.5": 9.0}[loom.loom] * 3.0 + 4.5 * 12 * math.pi * loom.outside_mm / 1000
    loops, tied = lines(bill_of(plan), "tie")  # 100 mm round two looms side by side; 370 mm round the rail
    assert (loops.spec.split()[0], tied.spec.split()[0]) == ("100", "370")
    clip_size = float(only(bill_of(plan), "P-clip").spec.split()[0])
    holders_g = 2 * 0.3 + 6.0 * kinds.count("tie") + 5.0 * kinds.count("clip")
    holders_g += (5.0 + 0.6 * clip_size + 8.5) * kinds.count("P-clip")
    line = only(bill_of(plan), "weight")
    assert line.quantity * 1000 == pytest.approx(conductor_g + ends_g + covers_g + holders_g, abs=1.0)
    assert "without spare parts, the unit itself" in line.spec
    assert f"conductors {conductor_g / 1000:.3f} kg" in line.where


def test_a_thing_without_a_figure_is_said_to_be_left_out() -> None:
    odd = (
        BillEntry("bracket", "by the shop", 2, "piece", "here"),
        BillEntry("tie", "any", 1, "piece", "here", kg=0.001),
    )
    *_, weight = mass_entries((), odd)
    assert weight.quantity == pytest.approx(0.001)
    assert "without spare parts, bracket, the unit itself" in weight.spec
    plan = installed(
        a_run(), SUPPLY, fuse=replace(FUSE, rating_a=17.0, family=None, colour="not a standard rating")
    )
    assert "fuse, fuse holder" in only(bill_of(plan), "weight").spec


def test_ring_equals_the_stud_and_connector_ends_get_contacts() -> None:
    bill = bill_of(installed(a_run(), SUPPLY), installed(a_run("earth", "unit", "earth stud"), SUPPLY_BACK))
    assert [line.spec.split(",")[0] for line in lines(bill, "ring terminal")] == [
        "ring M6 (1/4 in)",
        "ring M8 (5/16 in)",
    ]
    contact = only(bill, "connector contact")
    assert contact.quantity == 3  # two, and a tenth more rounded up
    assert contact.spec == "contact of the unit's connector, for 2.5 mm2"
    assert contact.source.startswith("the connector's own data sheet")


def test_a_contact_is_bought_by_the_family_that_the_profile_names() -> None:
    """Tabs of 4.8 and 6.3 mm are widths of IEC 61210; thick conductors get no heat-shrink in a housing."""
    named = replace(
        PROFILE, terminals=tuple(replace(each, contact="4.8 mm tab") for each in PROFILE.terminals)
    )
    bill = bill_of(installed(a_run(), SUPPLY, profile=named), profile=named)
    contact = only(bill, "connector contact")
    assert contact.spec == "contact for a 4.8 mm tab, for 2.5 mm2"
    assert contact.source.startswith("IEC 61210")
    assert "to unit (contact for a 4.8 mm tab, for 2.5 mm2)" in only(bill, "conductor, cut").where
    assert only(bill, "ring terminal").spec.startswith("ring M6 (1/4 in), blue, for 2.5 mm2")
    thick = a_choice("supply", area_mm2=10.0, size="10 mm2", outside_mm=6.0)
    both = (replace(PROFILE.terminals[0], stud=None), *PROFILE.terminals[1:])
    housed = replace(PROFILE, terminals=both)
    assert not lines(
        bill_of(installed(a_run(), SUPPLY, thick, profile=housed), profile=housed), "heat-shrink"
    )


def test_spare_is_a_tenth_and_whole() -> None:
    """50 and 10 % are 55, although 50 x 1.1 is 55.00000000000001 in floating point; 10 are 11, 1 is 2."""
    assert 50 * 1.1 > 55
    for count, fetched in [(50, 55), (10, 11), (1, 2)]:
        (line,) = gather(
            [BillEntry("tie", "any", count, "piece", "here", has_spare=True)],
            default_practice(),
            Series.METRIC,
        )
        assert line.quantity == fetched
        assert line.spare == fetched - count
        assert line.where == f"here; with {fetched - count} spare"
    choices = [a_choice("supply", f"core {n}") for n in range(10)]
    assert only(bill_of(installed(a_run(), SUPPLY, *choices)), "ring terminal").quantity == 11
    none = practice_with({("bill", "spare"): 0.0})
    ring = only(bill_of(installed(a_run(), SUPPLY, *choices), practice=none), "ring terminal")
    assert ring.quantity == 10
    assert "spare" not in ring.where


def test_fuse_comes_with_holder_and_splices() -> None:
    bill = bill_of(installed(a_run(), SUPPLY, fuse=FUSE))
    assert only(bill, "fuse").spec == "blade, 15 A, blue"
    assert only(bill, "fuse").where == "supply: supply, station 0.12 m"
    assert "leads of 2.5 mm2" in only(bill, "fuse holder").spec
    assert only(bill, "splice").spec == "butt, blue, for 2.5 mm2, with its own glue-lined heat-shrink"
    assert "parted for the fuse holder at station 0.12 m" in only(bill, "conductor, cut").where


@pytest.mark.parametrize(
    ("area_mm2", "is_stepped_down"), [(4.0, False), (6.0, False), (10.0, True), (16.0, True)]
)
def test_a_conductor_thicker_than_its_holders_leads_steps_down_to_them(
    area_mm2: float, is_stepped_down: bool
) -> None:
    choice = a_choice("supply", area_mm2=area_mm2, size=f"{area_mm2:g} mm2", outside_mm=7.0)
    leads = replace(FUSE, leads="6 mm2 or 10 AWG", leads_mm2=6.0)
    bill = bill_of(installed(a_run(), SUPPLY, choice, fuse=leads))
    assert only(bill, "fuse holder").spec.endswith(", leads of 6 mm2 or 10 AWG")
    splice = only(bill, "splice").spec
    assert f"for {area_mm2:g} mm2" in splice
    assert ("stepped down to leads of 6 mm2" in splice) is is_stepped_down


def test_a_bolted_fuse_takes_rings_on_its_studs_and_no_splice() -> None:
    bolted = replace(
        FUSE,
        rating_a=150.0,
        family="bolt-down M5",
        colour="no colour code",
        leads=None,
        leads_mm2=None,
        stud="M5",
    )
    choice = a_choice("supply", area_mm2=35.0, size="35 mm2", outside_mm=11.6)
    bill = bill_of(installed(a_run(), SUPPLY, choice, fuse=bolted))
    assert "studs M5, with an insulating cover" in only(bill, "fuse holder").spec
    assert not lines(bill, "splice")
    rings = [line for line in lines(bill, "ring terminal") if "M5" in line.spec]
    assert [(ring.quantity - ring.spare, "for 35 mm2" in ring.spec) for ring in rings] == [(2, True)]


def test_no_fuse_no_holder() -> None:
    items = {line.item for line in bill_of(installed(a_run(), SUPPLY))}
    assert not items & {"fuse", "fuse holder", "splice"}


# Covers


def test_trunk_is_covered_once() -> None:
    """Supply 3000 mm, earth 2000 of it in a trunk and 400 on its own: 1000 + 2000 + 400."""
    bill = bill_of(installed(a_run(), SUPPLY), installed(a_run("earth", "unit", "earth stud"), SUPPLY_BACK))
    assert sum(line.quantity for line in lines(bill, "loom")) == pytest.approx(3.4)
    assert any("supply + earth 1.00-3.00 m" in line.where for line in lines(bill, "loom"))


def test_loom_is_rounded_up_by_piece() -> None:
    route = a_route([(0, 0, HEIGHT), (3001, 0, HEIGHT)])
    assert only(bill_of(installed(a_run(), route)), "loom").quantity == pytest.approx(3.05)


def test_tape_goes_round_both_ends() -> None:
    """Six turns round 7.1 mm at two ends: 267.7 mm, to the next 100 mm."""
    assert only(bill_of(installed(a_run(), SUPPLY)), "tape").quantity == pytest.approx(0.3)


def test_heat_sleeve_of_a_trunk_counts_once_and_fits_over_the_loom() -> None:
    over_trunk = HeatSleeve("supply", 1500.0, 2000.0, "mid pipe")
    again = HeatSleeve("earth", 1000.0, 1500.0, "mid pipe")  # the same place, told from the other end
    supply = installed(a_run(), SUPPLY, sleeves=(over_trunk,))
    earth = installed(a_run("earth", "unit", "earth stud"), SUPPLY_BACK, sleeves=(again,))
    line = only(bill_of(supply, earth), "heat sleeve")
    assert line.quantity == pytest.approx(0.5)
    trunk = next(loom for loom in lines(bill_of(supply, earth), "loom") if "supply + earth" in loom.where)
    outside = {s["name"]: s["outside_mm"] for s in load_table("loom")["metric"]["sizes"]}[
        trunk.spec.split(", ")[1]
    ]
    assert float(line.spec.split()[1]) >= outside
    assert line.spec.endswith("aluminium-faced glass fibre, for 200 degC (200 asked)")


def hole(bore_mm: float) -> ThroughPass:
    return ThroughPass((500, 0), bore_mm, Edge.BARE)


def bare(bore_mm: float) -> Profile:
    holes = (hole(bore_mm), ThroughPass((500, 300), 99.0, Edge.ROLLED))
    member = Member("rear crossmember", "underfloor", ((500, -500), (500, 500)), 90.0, holes)
    plug = Opening("load floor plug", ("underfloor", "load area"), (0, 0), HEIGHT, 38.0, Edge.BARE)
    rubber = Opening("bulkhead plug", ("underfloor", "engine bay"), (0, 0), HEIGHT, 38.0, Edge.RUBBER)
    return replace(PROFILE, members=(member,), openings=(plug, rubber))


def through(bore_mm: float) -> Route:
    passages = (
        a_passage(PassageKind.THROUGH_MEMBER, "rear crossmember", 450.0, 550.0, hole(bore_mm)),
        a_passage(PassageKind.OPENING, "load floor plug", 1500.0, 1500.0),
        a_passage(PassageKind.OPENING, "bulkhead plug", 2000.0, 2000.0),
    )
    return a_route([(0, 0, HEIGHT), (3000, 0, HEIGHT)], passages=passages)


def test_bare_edges_get_a_grommet_once_each() -> None:
    profile = bare(30.0)
    twice = (
        installed(a_run(), through(30.0), profile=profile),
        installed(a_run("earth"), replace(through(30.0), run="earth"), profile=profile),
    )
    grommets = lines(bill_of(*twice, profile=profile), "grommet")
    assert [(line.quantity, line.where) for line in grommets] == [
        (1, "rear crossmember"),
        (1, "load floor plug"),
    ]
    assert grommets[0].spec == "rubber, for a hole of 30 mm, inside 16 mm, loom of 11.8 mm built up with tape"
    assert grommets[1].spec == "rubber, for a hole of 38 mm, inside 22 mm, loom of 11.8 mm built up with tape"


def test_hole_that_no_grommet_fits_gets_edge_guard() -> None:
    """pi x 33.3 mm = 104.6 mm, to the next 10 mm."""
    profile = bare(33.3)
    line = only(bill_of(installed(a_run(), through(33.3), profile=profile), profile=profile), "edge guard")
    assert line.quantity == pytest.approx(0.11)
    assert "33.3 mm" in line.where


# Holders

NO_LOOPS = {("loom", "ties at a service loop"): 0.0}
"""Practice whose only ties are those on supports."""


def test_every_fixing_is_fetched_with_a_tenth_spare() -> None:
    plan = installed(a_run(), SUPPLY)
    bill = bill_of(plan, practice=practice_with(NO_LOOPS))
    kinds = [fixing.kind.value for fixing in plan.fixings]
    for item, kind in [("tie", "tie"), ("clip", "clip"), ("P-clip", "P-clip"), ("screw", "P-clip")]:
        count = kinds.count(kind)
        assert count > 0
        assert sum(line.quantity for line in lines(bill, item)) == -(-11 * count // 10)
    assert "edge clip for a flange" in only(bill, "clip").spec
    assert only(bill, "tie").where.endswith("on rail; with 1 spare")


@pytest.mark.parametrize(
    ("kind", "words"),
    [
        (SupportKind.HOLES, "clip for punched holes, loom of"),
        (SupportKind.STUD_ROW, "clip for a stud row, loom of"),
    ],
)
def test_a_clip_is_named_by_what_it_goes_on(kind: SupportKind, words: str) -> None:
    flange = replace(PROFILE.supports[1], kind=kind)
    profile = replace(PROFILE, supports=(PROFILE.supports[0], flange))
    bill = bill_of(installed(a_run(), SUPPLY, profile=profile), profile=profile)
    assert only(bill, "clip").spec.startswith(words)


def test_shared_fixings_are_fetched_once() -> None:
    supply = installed(a_run(), SUPPLY)
    same = installed(a_run("lamp"), replace(SUPPLY, run="lamp"), before=(supply,))
    rules = practice_with(NO_LOOPS)
    alone, shared = bill_of(supply, practice=rules), bill_of(supply, same, practice=rules)
    for item in ("tie", "clip", "P-clip"):
        assert only(alone, item).quantity == only(shared, item).quantity


def test_tie_goes_round_and_holds() -> None:
    """Way round a circle of diameter d is pi d; a tie needs 30 mm more (common practice, no source)."""
    practice = default_practice()
    for diameter_mm in (10.0, 22.0, 22.4, 38.0, 50.0, 80.0):
        tie = tie_for(math.pi * diameter_mm, 10.0, practice)
        assert (tie["length_mm"] - 30) / math.pi >= diameter_mm
        shorter = [t["length_mm"] for t in load_table("ties")["sizes"] if t["length_mm"] < tie["length_mm"]]
        assert all((length_mm - 30) / math.pi < diameter_mm for length_mm in shorter)


@pytest.mark.parametrize(("pull_n", "holding_n"), [(40.0, 80), (40.1, 130), (65.1, 220), (110.1, 530)])
def test_tie_pulls_no_more_than_half_its_class(pull_n: float, holding_n: float) -> None:
    assert tie_for(60.0, pull_n, default_practice())["holding_n"] == holding_n


def test_a_tie_is_long_enough_for_the_gap_to_its_support() -> None:
    """Loom of 7.1 mm: 22.3 mm round it, 60 mm for the support; 9 across, 12 up: 15 mm there and back.

    112.3 mm in all: with a tail of 30 mm more than 100 mm, as it would be without the gap.
    """
    line = replace(PROFILE.supports[0], kind=SupportKind.LINE)
    rail = replace(line, along=((0, 9), (3000, 9)), height_mm=HEIGHT + 12)
    near = replace(PROFILE, supports=(rail,))
    rules = practice_with(NO_LOOPS)
    plan = installed(a_run(), SUPPLY, profile=near)
    tied = only(bill_of(plan, profile=near, practice=rules), "tie")
    assert length_round_mm(7.1, 15.0, default_practice()) == pytest.approx(math.pi * 7.1 + 60 + 30)
    assert tied.spec.startswith("150 x 3.6 mm")
    wide = practice_with({**NO_LOOPS, ("fixing", "round a support"): 47.6})  # 69.9 mm of 70 without the gap
    on_it = replace(near, supports=(replace(rail, along=((0, 0), (3000, 0)), height_mm=HEIGHT),))
    for profile, length in ((on_it, "100"), (near, "150")):
        plan = installed(a_run(), SUPPLY, profile=profile, practice=wide)
        assert only(bill_of(plan, profile=profile, practice=wide), "tie").spec.startswith(length)


@pytest.mark.parametrize(
    ("kind", "length", "round_mm"),
    [(SupportKind.RAIL, "370", 260), (SupportKind.FLANGE, "200", 100), (SupportKind.LINE, "150", None)],
)
def test_a_tie_goes_round_the_rail_and_not_only_the_loom(
    kind: SupportKind, length: str, round_mm: float | None
) -> None:
    """Loom of 7.1 mm, 22.3 mm round; tail 30 mm. A rail of 50 x 80 mm is 260 mm round: 312.3 mm in all.

    A flange of 100 mm: 152.3 mm, more than 150 mm. Any other with the practice's 60 mm: 112.3 mm.
    """
    on = replace(PROFILE.supports[0], kind=kind, along=((0, 0), (3000, 0)))
    profile = replace(PROFILE, supports=(on,))
    plan = installed(a_run(), SUPPLY, profile=profile)
    spec = only(bill_of(plan, profile=profile, practice=practice_with(NO_LOOPS)), "tie").spec
    assert spec.startswith(f"{length} x")
    asks = f"; reckoned with {round_mm} mm round the {kind} (common practice): measure round it"
    assert spec.endswith(asks if round_mm else "UV resistant")


def test_what_holds_a_loom_is_metal_where_the_rules_ask_for_it_and_what_bundles_it_need_not_be() -> None:
    """46 CFR 183.340(b)(4): metal supports; plastic tie wraps for bundling alone."""
    rules = practice_with({("fixing", "metal"): 1.0})
    plan = installed(a_run(), SUPPLY, practice=rules)
    ties = [line for line in bill_of(plan, practice=rules) if line.item == "tie"]
    holds = {"on" in line.where: "stainless steel" in line.spec for line in ties}
    assert holds == {True: True, False: False}
    assert all(
        "stainless" not in each.spec for each in bill_of(installed(a_run(), SUPPLY)) if each.item == "tie"
    )
    assert read_practice("law").value("fixing", "metal") == 1


def test_every_tie_of_the_farthest_reach_goes_round_its_support() -> None:
    """The reach and the way round belong together: at the reach's end the tie still has its tail."""
    practice = default_practice()
    reach_mm = practice.value("fixing", "reach")
    assert reach_mm == 20.0
    around_mm = length_round_mm(20.0, reach_mm, practice)
    assert tie_for(around_mm, 1.0, practice)["length_mm"] >= math.pi * 20.0 + 60 + 40 + 30


def test_service_loops_and_breakouts_get_ties_of_their_own() -> None:
    """A trunk whose lamp leaves it: two ties there, once, and two round each run's service loop."""
    lamp_way = a_route([(0, 0, HEIGHT), (2000, 0, HEIGHT), (2000, 500, HEIGHT)], run="lamp")
    supply = installed(a_run(), SUPPLY)
    lamp = installed(a_run("lamp"), lamp_way, before=(supply,))
    bundles = bundles_of((SUPPLY, lamp_way))
    both = tuple(replace(each, breakouts=find_breakouts(each.name, bundles)) for each in (supply, lamp))
    whole = practice_with({("bill", "spare"): 0.0})
    bare = practice_with({**NO_LOOPS, ("loom", "ties at a breakout"): 0.0, ("bill", "spare"): 0.0})
    with_them = sum(line.quantity for line in lines(bill_of(*both, practice=whole), "tie"))
    without = sum(line.quantity for line in lines(bill_of(*both, practice=bare), "tie"))
    fixed = [f for run in both for f in run.fixings if f.kind is FixingKind.TIE]
    assert without == len({(f.x_mm, f.y_mm) for f in fixed})
    told = "; ".join(line.where for line in lines(bill_of(*both), "tie"))
    assert told.count("breakout at 2.00 m") == 1
    assert (told.count("supply: service loop"), told.count("lamp: service loop")) == (1, 1)
    assert with_them - without == 2 + 2 * 2


def test_no_tie_will_do() -> None:
    with pytest.raises(NoAnswerError, match="no tie goes round 900 mm"):
        tie_for(900.0, 1.0, default_practice())


def test_ranges_as_a_person_writes_them() -> None:
    assert ranges([5, 1, 2, 3, 9]) == "1-3, 5, 9"
    assert ranges([]) == ""


# The whole


def test_same_plan_same_bill_in_the_order_of_the_work() -> None:
    plans = (
        installed(a_run(), SUPPLY, fuse=FUSE),
        installed(a_run("earth", "unit", "earth stud"), SUPPLY_BACK),
    )
    bill = bill_of(*plans)
    assert bill == bill_of(*plans)
    assert list(dict.fromkeys(line.item for line in bill)) == [
        "conductor, cut", "conductor, total", "fuse", "fuse holder", "ring terminal", "connector contact",
        "splice", "label", "loom", "tape", "tie", "clip", "P-clip", "screw", "copper", "weight",
    ]  # fmt: skip
    assert all(line.where and line.quantity > 0 for line in bill)
    assert len({(line.item, line.spec) for line in bill if line.item != "conductor, cut"}) == len(
        [line for line in bill if line.item != "conductor, cut"]
    )


def test_every_line_says_where_its_size_comes_from() -> None:
    """Sizes of ties, loom and cable are from memory, and the bill says so."""
    thick = a_choice("supply", area_mm2=16.0, size="16 mm2", outside_mm=7.9)
    sleeve = HeatSleeve("supply", 1500.0, 2000.0, "mid pipe")
    profile = bare(33.3)
    bill = bill_of(
        installed(a_run(), through(33.3), thick, profile=profile, fuse=FUSE, sleeves=(sleeve,)),
        profile=profile,
    )
    status = {line.item: line.status for line in bill}
    assert all(
        line.source and line.status in {"published", "quoted", "common practice", "from memory"}
        for line in bill
    )
    assert [status[item] for item in ("tie", "loom", "conductor, cut", "ring terminal")] == [
        "from memory"
    ] * 4
    assert [status[item] for item in ("fuse", "edge guard", "heat sleeve")] == [
        "quoted", "common practice", "common practice",
    ]  # fmt: skip
    packs = practice_with({("pack", "tie"): 100.0})
    ordered = lines(bill_of(installed(a_run(), SUPPLY), practice=packs), "to order")
    assert all(line.source for line in ordered)


TABLES = ("ties", "clips", "terminals", "heat_sleeve", "grommets", "sundries", "loom", "masses")


@pytest.mark.parametrize("name", TABLES)
def test_every_table_says_where_its_values_come_from(name: str) -> None:
    table = load_table(name)
    blocks = [table] if "source" in table else [block for block in table.values() if isinstance(block, dict)]
    assert blocks
    for block in blocks:
        assert block["source"]
        assert block["status"] in {"published", "quoted", "common practice", "from memory"}


def test_tables_grow_from_line_to_line() -> None:
    columns = [
        [tie["length_mm"] for tie in load_table("ties")["sizes"]],
        [size["size_mm"] for size in load_table("clips")["p_clips"]["sizes"]],
        load_table("heat_sleeve")["bores_mm"],
        [size["hole_mm"] for size in load_table("grommets")["sizes"]],
        [row["to_mm2"] for row in load_table("terminals")["crimps"]["colours"]],
    ]
    assert min(len(column) for column in columns) >= 3
    assert all(column == sorted(column) for column in columns)
    assert all(size["insides_mm"][-1] < size["hole_mm"] for size in load_table("grommets")["sizes"])
