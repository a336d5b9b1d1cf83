"""The page of a fleet, of plans written into a store by hand, in a real browser judged by axe-core."""

import pytest
from browsing import NIGHT, PHONE_PX, WIDE_PX, in_a_browser, judged
from small_vehicle import default_practice
from test_fleet_lists import a_fleet, a_plan, stored, ties, wire

from router.fleet.fleet_page import make_page
from router.fleet.report import make_report
from router.fleet.working import PlanOutcome
from router.model.fleet import FleetVehicle, Reel, Stock

GRAVE = ("serious", "critical")
__all__ = ["stored"]  # a fixture


def a_failure(key):
    head = (
        key,
        key,
        "heron",
        "Heron",
        1,
        "tow bar",
        "Lamp",
        "Default",
        0.1,
        "no answer",
        "no way: <b>wall</b>",
    )
    return PlanOutcome(key, key, {"plans": ((*head, *[None] * 8),)}, {})


@pytest.fixture
def page(stored):
    far = a_plan("far", variant="long", routed_mm=9000.0, bill=(wire(9.0), ties(12)))
    near = [a_plan(f"p{n}", routed_mm=1000.0 + n, bill=(wire(2.0), ties(7))) for n in range(6)]
    store, _ = stored(far, *near, a_failure("none"))
    vehicles = [FleetVehicle(f"v{n}", "heron", None, 1, ("lamp",)) for n in range(8)]
    stock = (Stock("conductor", None, (Reel(10_000.0, 9.5),)), Stock("loom", "NW99", (Reel(10_000.0, 9.5),)))
    report = make_report(store, a_fleet(vehicles, stock=stock, currency="EUR"), default_practice())
    return make_page(report, store, "0.0.0")


def test_it_tells_what_stands_out_what_failed_and_what_is_odd(page):
    assert "no way: &lt;b&gt;wall&lt;/b&gt;" in page
    assert "These have no plan. They are in no order list, no cutting plan and no kit." in page
    assert "NIST/SEMATECH" in page and "heron, long" in page
    assert "loom, NW99 is used by nothing" in page
    assert "1 vehicles have no plan" not in page


@in_a_browser
@pytest.mark.parametrize("night", [(), (NIGHT,)], ids=["day", "night"])
@pytest.mark.parametrize("width_px", [WIDE_PX, PHONE_PX], ids=["wide", "phone"])
def test_nothing_serious_is_found(page, tmp_path, width_px, night):
    result = judged(page, tmp_path, width_px, *night)
    assert [found for found in result["found"] if found[1] in GRAVE] == []
    assert result["passed"] > 10
    assert result["needed"] <= width_px
