"""What a fleet comes to, of plans written into a store by hand: outliers, kits, orders, cuts. All by hand."""

from contextlib import closing

import pytest
from small_fleets import write_fleet
from small_vehicle import default_practice, practice_with

from router.cutting import CutReel, CuttingPlan, cut_reels
from router.drawing import ROLL_WIDTH_MM, DrawingOptions
from router.fleet.cuts import cut_pieces, plan_cuts
from router.fleet.executors import OtherVersionError
from router.fleet.fleet_page import make_page
from router.fleet.fleet_text import fleet_json, fleet_words, gap_words
from router.fleet.kits import list_kits
from router.fleet.ordering import order_list
from router.fleet.outliers import find_outliers
from router.fleet.report import make_report
from router.fleet.store import Store
from router.fleet.working import PlanOutcome, plan_one
from router.model.fleet import Fleet, FleetVehicle, Reel, Stock
from router.reading import FleetReader

OPTIONS = DrawingOptions("below", "a4", ROLL_WIDTH_MM, scale=None)


def a_plan(key, *, profile="heron", variant="", routed_mm=1000.0, margin_mm=50.0, bill=()):
    head = (key, key, profile, "Heron", 1, variant, "Lamp", "Default", 0.1, "planned", "")
    figures = (routed_mm, routed_mm, 10.0, margin_mm, "silencer", 0, 0, 0)
    run = (
        key,
        1,
        "supply",
        "battery",
        "lamp",
        routed_mm,
        2 * routed_mm,
        5.0,
        routed_mm,
        0.0,
        margin_mm,
        10.0,
        3,
        None,
    )
    rows = tuple((key, number, *line) for number, line in enumerate(bill, start=1))
    return PlanOutcome(key, key, {"plans": ((*head, *figures),), "runs": (run,), "bill": rows}, {})


def a_fleet(vehicles, **parts):
    usual = {
        "name": "Herons", "practice": None, "jobs": (("lamp", "lamp"),), "stock": (), "currency": "",
        "cut_loss_mm": 0.0, "trim_mm": 0.0, "spare": None,
    }  # fmt: skip
    return Fleet(vehicles=tuple(vehicles), **{**usual, **parts})


@pytest.fixture
def stored(tmp_path):
    """Return a store of some plans, each wanted by so many vehicles."""
    opened = []

    def make(*plans, counts=None):
        store = Store(tmp_path / "out")
        opened.append(store)
        counts = counts or [1] * len(plans)
        for plan in plans:
            store.keep(plan)
        names = [f"vehicles {number}" for number in range(len(plans))]
        vehicles = [
            FleetVehicle(name, "heron", None, count, ("lamp",))
            for name, count in zip(names, counts, strict=True)
        ]
        store.want((number, 1, "lamp", plan.key, plan.key) for number, plan in enumerate(plans))
        store.describe(a_fleet(vehicles))
        return store, vehicles

    yield make
    for store in opened:
        store.close()


def wire(length_m, name="supply", size="2.5 mm2", area_mm2=2.5, run="supply"):
    place = f"{run}: {name}, battery (ring M6) to lamp (contact)"
    head = ("conductor, cut", f"{size} red, insulation for 105 degC", length_m, "m", place, False)
    return (*head, size, area_mm2, run, name)


def sleeve(bore_mm):
    size = f"bore {bore_mm:g} mm"
    return ("heat sleeve", size, 1.0, "m", "supply 1-2 m", False, size, bore_mm, None, None)


def ties(count, spec="200 mm"):
    return ("tie", spec, count, "piece", "supply: fixings 1-9", True, *[None] * 4)


# Outliers


def test_one_far_away_is_named_with_its_score(stored):
    """Median of 10, 11, 12, 13, 14, 100 is 12.5, distances 2.5 1.5 0.5 0.5 1.5 87.5, so MAD 1.5 and the score
    0.6745 x 87.5 / 1.5 = 39.3."""
    store, _ = stored(*(a_plan(f"p{each}", routed_mm=each) for each in (10.0, 11.0, 12.0, 13.0, 14.0, 100.0)))
    found = {outlier.measure: outlier for outlier in find_outliers(store)}
    assert set(found) == {"length", "effort"}  # margins are all alike
    assert (found["length"].folder, found["length"].value, found["length"].median) == ("p100.0", 100.0, 12.5)
    assert found["length"].score == pytest.approx(0.6745 * 87.5 / 1.5)


def test_just_within_is_none(stored):
    """Of 8, 9, 10, 11, 12 and x: MAD is 1.5 about 10.5, and the edge 3.5 x 1.5 / 0.6745 = 7.78 above."""
    values = [8.0, 9.0, 10.0, 11.0, 12.0]
    inside, _ = stored(*(a_plan(f"p{each}", routed_mm=each) for each in [*values, 10.5 + 7.7]))
    assert find_outliers(inside) == ()


def test_just_beyond_is_one(stored):
    values = [8.0, 9.0, 10.0, 11.0, 12.0]
    store, _ = stored(*(a_plan(f"p{each}", routed_mm=each) for each in [*values, 10.5 + 7.9]))
    assert {outlier.measure for outlier in find_outliers(store)} == {"length", "effort"}


def test_four_plans_are_too_few(stored):
    store, _ = stored(*(a_plan(f"p{each}", routed_mm=each) for each in (10.0, 10.1, 10.2, 500.0)))
    assert find_outliers(store) == ()


def test_where_most_are_alike_the_mean_distance_stands_in(stored):
    """Nine of 10 and one of 20: MAD 0, mean distance 1, score 10 / 1.253314 = 7.98."""
    plans = [a_plan(f"p{number}", routed_mm=10.0) for number in range(9)]
    store, _ = stored(*plans, a_plan("far", routed_mm=20.0))
    (length, _) = find_outliers(store)
    assert length.folder == "far" and length.score == pytest.approx(10 / 1.253314, rel=1e-6)


# Kits


def kits(store, trim_mm=0.0):
    return list(list_kits(store, trim_mm))


def test_vehicles_that_need_the_same_share_one_kit(stored):
    bill = (wire(2.0), ties(7))
    store, _ = stored(a_plan("a", bill=bill), a_plan("b", variant="tow bar", bill=bill), counts=[3, 2])
    ((kit, longer),) = kits(store)
    assert kit.serves_all and kit.vehicles == 5 and longer == ()
    assert [(part.item, part.quantity) for part in kit.parts] == [("conductor, cut", 2.0), ("tie", 7)]


def test_what_one_variant_needs_more_is_an_add_on(stored):
    """Seven ties and nine: seven in the kit, two besides; a clip that only one needs is besides too."""
    clip = ("clip", "edge clip", 1.0, "piece", "", True, *[None] * 4)
    store, _ = stored(
        a_plan("a", bill=(wire(2.0), ties(7))),
        a_plan("b", variant="tow bar", bill=(wire(2.0), ties(9), clip)),
    )
    ((kit, _),) = kits(store)
    assert not kit.serves_all
    assert [(part.item, part.quantity) for part in kit.parts] == [("conductor, cut", 2.0), ("tie", 7)]
    first, second = kit.add_ons
    assert first.parts == () and second.variant == "tow bar"
    assert [(part.item, part.quantity) for part in second.parts] == [("tie", 2), ("clip", 1)]


@pytest.mark.parametrize(("trim_mm", "serves"), [(0.0, False), (249.0, False), (250.0, True)])
def test_a_longer_conductor_serves_both_where_so_much_may_be_trimmed(stored, trim_mm, serves):
    store, vehicles = stored(
        a_plan("a", bill=(wire(2.0),)), a_plan("b", variant="tow bar", bill=(wire(2.25),))
    )
    ((kit, longer),) = kits(store, trim_mm)
    assert kit.serves_all is serves
    assert longer == ((("a", 1, 2250.0),) if serves else ())
    store.set_kit_cuts(longer)
    fleet = a_fleet(vehicles, stock=(Stock("conductor", None, (Reel(10_000.0, None),)),))
    (cut,) = plan_cuts(store, fleet, default_practice())
    assert cut.wanted_mm == (4500 if serves else 4250)  # reels are cut for the kit


def test_a_conductor_of_another_size_is_not_trimmed_to_fit(stored):
    thick = wire(2.0, size="4 mm2", area_mm2=4.0)
    store, _ = stored(a_plan("a", bill=(wire(2.0),)), a_plan("b", variant="tow bar", bill=(thick,)))
    ((kit, _),) = kits(store, 500.0)
    assert kit.parts == () and [len(add_on.parts) for add_on in kit.add_ons] == [1, 1]


def test_conductors_are_told_apart_whatever_is_in_their_names(stored):
    """Runs "left, front" and "left, rear": the words before the first comma are alike in both."""
    bill = (wire(2.0, run="left, front"), wire(3.0, run="left, rear"))
    store, _ = stored(a_plan("a", bill=bill))
    ((kit, _),) = kits(store)
    assert [(part.place, part.quantity) for part in kit.parts] == [
        ("left, front: supply", 2.0), ("left, rear: supply", 3.0)
    ]  # fmt: skip


# Orders and cuts


def test_what_is_cut_comes_in_the_order_of_its_size(stored):
    """By copper and by bore: 14 AWG (2.08 mm2) is thinner than 8 AWG (8.37 mm2), and 8 mm less than 12."""
    thick, thin = wire(1.0, "a", "8 AWG", 8.37), wire(1.0, "b", "14 AWG", 2.08)
    store, vehicles = stored(a_plan("a", bill=(sleeve(12.0), thick, sleeve(8.0), thin)))
    cuts = plan_cuts(store, a_fleet(vehicles), default_practice())
    assert [cut.size for cut in cuts] == ["14 AWG", "8 AWG", "bore 8 mm", "bore 12 mm"]


def test_a_size_in_the_stock_is_the_whole_size(stored):
    """A reel of 2.5 mm2 serves that alone, whatever else a printed line has in it."""
    store, vehicles = stored(a_plan("a", bill=(wire(1.0), wire(1.0, "b", "6 mm2", 6.0))))
    reels = {"2.5 mm2": (Reel(10_000.0, None),), None: (Reel(30_000.0, None),)}
    fleet = a_fleet(vehicles, stock=tuple(Stock("conductor", size, each) for size, each in reels.items()))
    first, second = plan_cuts(store, fleet, default_practice())
    assert [cut.plan.reels[0].reel.length_mm for cut in (first, second)] == [10_000.0, 30_000.0]


def test_spare_comes_once_over_the_fleet(stored):
    """3 x 7 + 2 x 9 = 39 ties, a tenth more 42.9, so 43; by vehicle it would be 3 x 8 + 2 x 10 = 44."""
    store, vehicles = stored(a_plan("a", bill=(ties(7),)), a_plan("b", bill=(ties(9),)), counts=[3, 2])
    (line,) = order_list(store, a_fleet(vehicles), default_practice(), ())
    assert (line.item, line.quantity, line.order) == ("tie", 43, "")
    (line,) = order_list(store, a_fleet(vehicles, spare=0.0), practice_with({("pack", "tie"): 20}), ())
    assert (line.quantity, line.order) == (39, "2 packs of 20 pieces")


def test_pieces_are_named_in_the_order_of_the_fleet(stored):
    """Three of 4 m and two of 3 m from 10 m: 4+4, 4+3, 3 at the least; material 18 m."""
    store, vehicles = stored(a_plan("a", bill=(wire(4.0),)), a_plan("b", bill=(wire(3.0),)), counts=[3, 2])
    fleet = a_fleet(vehicles, stock=(Stock("conductor", "2.5 mm2", (Reel(10_000.0, None),)),))
    (cut,) = plan_cuts(store, fleet, default_practice())
    assert cut.plan is not None and cut.plan.reel_count == 2 and cut.plan.gap == 0
    pieces = list(cut_pieces(store, cut))
    assert sum(piece.pieces for piece in pieces) == 5
    assert {(piece.use.vehicle, piece.length_mm) for piece in pieces} == {
        ("vehicles 0", 4000.0),
        ("vehicles 1", 3000.0),
    }
    by_reel = {}
    for piece in pieces:
        by_reel[piece.reel] = by_reel.get(piece.reel, 0) + piece.pieces * piece.length_mm
    assert sorted(by_reel.values()) == [8000.0, 10_000.0]  # 4+4 and 4+3+3


def test_a_piece_longer_than_every_reel_is_told_and_the_others_are_cut(stored):
    store, vehicles = stored(a_plan("a", bill=(wire(4.0),)), a_plan("b", bill=(wire(12.0),)))
    fleet = a_fleet(vehicles, stock=(Stock("conductor", None, (Reel(10_000.0, None),)),))
    (cut,) = plan_cuts(store, fleet, default_practice())
    assert cut.too_long == 1 and "longer than 10 m" in cut.why
    assert cut.plan is not None and [each.lengths_mm for each in cut.plan.reels] == [(4000.0,)]
    (line,) = order_list(store, fleet, default_practice(), (cut,))
    assert line.order == f"1 reel of 10 m, {cut.why}"


def test_without_reels_the_practice_says_them_or_nobody(stored):
    store, vehicles = stored(a_plan("a", bill=(wire(4.0),)))
    (cut,) = plan_cuts(store, a_fleet(vehicles), default_practice())
    assert cut.plan is None and cut.why == "no reel length is stated in the fleet file"
    (cut,) = plan_cuts(store, a_fleet(vehicles), practice_with({("pack", "conductor"): 50_000}))
    assert cut.plan is not None and cut.plan.bought_mm == 50_000


# The store


def test_a_plan_is_kept_once_and_the_first_one_stays(stored):
    store, _ = stored(a_plan("a", routed_mm=10.0))
    store.keep(a_plan("a", routed_mm=99.0))
    assert store.rows("select routed_mm from runs") == [(10.0,)]


def test_another_version_is_left_alone(tmp_path):
    with closing(Store(tmp_path / "out")) as store:
        store.rows("pragma user_version = 99")
    with pytest.raises(OSError, match="of another version of this program; name another folder"):
        Store(tmp_path / "out")


def test_a_worker_of_another_version_refuses(tmp_path):
    reader = FleetReader(write_fleet(tmp_path, 1))
    (asked,) = reader.questions()
    with pytest.raises(OtherVersionError, match="another version"):
        plan_one("0" * 32, asked.question, OPTIONS)


def test_folders_of_no_plan_are_told(stored, tmp_path):
    store, _ = stored(a_plan("a"))
    (tmp_path / "out" / "plans" / "a").mkdir(parents=True)
    assert store.orphaned_folders() == ()
    (tmp_path / "out" / "plans" / "old").mkdir()
    assert store.orphaned_folders() == ("old",)


# Broken must-rules


def broken_plan(key, variant, what):
    plan = a_plan(key, variant=variant)
    head = plan.rows["plans"][0]
    findings = (
        (key, 1, "must", "span", "supply", 2197.4, what),
        (key, 2, "should", "bend", "supply", 1.0, "x"),
    )
    rows = {**plan.rows, "plans": ((*head[:-3], 1, 1, 0),), "findings": findings}
    return PlanOutcome(key, key, rows, {})


def test_a_broken_must_rule_is_named_with_vehicle_job_and_place(stored):
    store, vehicles = stored(a_plan("good"), broken_plan("bad", "long", "span of 305 mm"))
    report = make_report(store, a_fleet(vehicles), default_practice())
    lines = fleet_words(report, "written into out").splitlines()
    assert lines[-3:] == [
        "written into out",
        "must: vehicles 1: heron (long), Lamp, run supply at 2.20 m: span of 305 mm",
        "1 PLAN BREAKS A MUST-RULE: put it right before anything is fitted",
    ]
    page = make_page(report, store, "0.0.0")
    assert "1 plan breaks a must-rule" in page and "span of 305 mm" in page and "vehicles 1" in page
    assert [each["what"] for each in fleet_json(report)["broken_must_rules"]] == ["span of 305 mm"]


def test_a_fleet_without_one_says_nothing_of_it(stored):
    store, vehicles = stored(a_plan("good"))
    report = make_report(store, a_fleet(vehicles), default_practice())
    assert "MUST" not in fleet_words(report, "written into out")
    assert "Must-rules broken" not in make_page(report, store, "0.0.0")


# How near the least a cutting plan is


def test_the_bound_is_told_as_a_share_below_by_hand():
    """A plan of 58 with a bound of 29 EUR: the bound is 1 - 29 / 58 = 50 % below, never over 100 %."""
    reel = Reel(100_000.0, 58.0)
    cut = CutReel(1, reel, (60_000.0,), 40_000.0)
    plan = CuttingPlan((cut,), 100_000.0, 60_000.0, 58.0, 29.0, 100_000.0, 58.0, is_programmed=True)
    words = "Proven: no cutting plan comes to less than 29.00 EUR, 50.0% below this one's 58.00 EUR."
    assert gap_words(plan, "EUR") == words


def test_where_one_reel_must_hold_the_longest_cut_it_is_proven_least():
    """By hand: a cut of 12 m needs the 25 m reel at 62, whatever a metre costs; nothing is cheaper."""
    plan = cut_reels([12_000.0], [Reel(10_000.0, 31.5), Reel(25_000.0, 62.0), Reel(100_000.0, 90.0)])
    assert (plan.cost, plan.bound) == (62.0, 62.0)
    assert gap_words(plan, "EUR") == "Proven: no cutting plan costs less."
