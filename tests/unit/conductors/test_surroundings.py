"""What conductors lie in: near heat, in the vehicle's own loom, and how warm their copper gets. By hand."""

from __future__ import annotations

from dataclasses import replace

import pytest
from conductor_cases import (
    BENCH,
    PLAIN,
    a_circuit_job,
    by_name,
    choose,
    straight,
    supply_and_earth,
    with_ends,
)
from small_vehicle import BATTERY, a_conductor, a_profile, a_route, a_run, practice_with

from router.conductors import choose_conductors
from router.conductors.ampacity import ampacities_along, small_conductor_a
from router.conductors.resistance import awg_area_mm2
from router.conductors.surroundings import Stretch, Surroundings
from router.facts import bundles_of
from router.model.conductor_choice import ConductorChoice
from router.model.job import Job, Series
from router.model.plan import Passage, PassageKind, Route
from router.model.practice import Practice
from router.model.vehicle import Fix, Profile, Support, SupportKind


def choices_on(
    job: Job, routes: tuple[Route, ...], profile: Profile = BENCH, practice: Practice | None = None
) -> dict[str, ConductorChoice]:
    _, lengths = straight(job, {route.run: route.routed_mm for route in routes})
    rules = practice or practice_with({})
    return by_name(
        choose_conductors(job, with_ends(profile, job), rules, routes, bundles_of(routes), lengths)
    )


def past_heat(from_mm: float, to_mm: float, rise_c: float = 20.0) -> ConductorChoice:
    """Return 10 AWG, 5 A, 4 m in 50 degC, past something hot from station to station."""
    job = a_circuit_job(
        *supply_and_earth(5.0, size="10 AWG", earth_size="10 AWG"),
        series=Series.AWG, ambient_c={"underfloor": 50.0}, drop=0.2,
    )  # fmt: skip
    routes, _ = straight(job, 4000.0)
    warm = Passage(PassageKind.WARM, "", from_mm, to_mm, None)
    routes = (replace(routes[0], passages=(warm,)), routes[1])
    practice = practice_with({**PLAIN, ("warm", "rise"): rise_c})
    return choices_on(job, routes, practice=practice)["supply"]


def test_a_stretch_in_the_warm_band_is_warmer_and_decides_ampacity():
    """60 A x sqrt((105 - 70) / 75); 33 CFR 183.425 Table 5 and NEC table 310.15(B)(1)."""
    supply = past_heat(1000.0, 1500.0)
    assert supply.ampacity_a == pytest.approx(60 * (35 / 75) ** 0.5, rel=1e-12)
    why = next(reason for reason in supply.reasons if "may carry" in reason.what)
    assert "in underfloor, near something hot, at 70 degC" in why.what
    assert "heat sleeve keeps radiant heat off" in why.source


def test_only_the_length_in_the_band_is_warmer():
    """Copper as its surroundings: 3.5 m at 50, 0.5 m at 70 degC; 10 AWG has 3.277 x 1.02 mohm/m."""
    ohm = 3.277e-3 * 1.02 * (3.5 * (234.5 + 50) + 0.5 * (234.5 + 70)) / 254.5
    assert past_heat(1000.0, 1500.0).own_drop_v == pytest.approx(5 * ohm, rel=1e-3)
    assert past_heat(-10.0, 9000.0).own_drop_v == pytest.approx(
        5 * 3.277e-3 * 1.02 * 4 * 304.5 / 254.5, rel=1e-3
    )


def tied_to(kind: SupportKind) -> ConductorChoice:
    """Return 14 AWG, one conductor, along a support of a kind."""
    job = a_circuit_job(
        a_run("lamp", conductors=(a_conductor("lamp", load_a=1.0, size="14 AWG"),)), series=Series.AWG
    )
    row = Support("row", "underfloor", kind, ((0.0, 0.0), (3000.0, 0.0)), 400.0, Fix.TIE)
    profile = a_profile(terminals=(BATTERY,), supports=(row,))
    route = a_route([(0, 0, 400), (3000, 0, 400)], run="lamp", along={0: "row"})
    return choices_on(job, (route,), profile)["lamp"]


def test_a_conductor_tied_to_the_vehicles_own_loom_counts_as_bundled_with_it():
    """One with six of the vehicle's: 0.50 for 7 to 24 (33 CFR 183.425 Table 5 note 2); 35 A by itself."""
    assert tied_to(SupportKind.EXISTING_LOOM).ampacity_a == pytest.approx(35 * 0.5)
    assert tied_to(SupportKind.FLANGE).ampacity_a == pytest.approx(35)
    (why,) = [reason for reason in tied_to(SupportKind.EXISTING_LOOM).reasons if "may carry" in reason.what]
    assert "x 0.50 with 7 together, those of row too" in why.what


METAL_ONLY = {("conductor", key): 0.0 for key in ("connection", "crimp length", "body return")}


def test_copper_warms_by_the_square_of_its_current():
    """40 A in 4 mm2 (counts as 12 AWG, 45 A at 105 degC): 30 + 75 x (40/45)^2 = 89.3 degC."""
    job = a_circuit_job(
        *supply_and_earth(40.0, size="4 mm2", earth_size="4 mm2", fuse=None), series=Series.IEC, drop=0.3
    )
    found = by_name(choose(job, 2150.0, practice=METAL_ONLY))
    copper_c = 30 + 75 * (40 / 45) ** 2
    by_hand_v = 40 * 2 * 2.15 * 0.00495 * (234.5 + copper_c) / 254.5
    assert found["supply"].drop_v == pytest.approx(by_hand_v, rel=1e-9)
    assert any("up to 89 degC" in reason.what for reason in found["supply"].reasons)


def test_insulation_between_two_columns_holds_the_lower_columns_current_in_warmer_air():
    """100 degC insulation, the 90 degC column: 30 A holds up to 40 degC, then 30 x sqrt((100 - Ta) / 60)."""
    for ambient_c, amperes in ((30.0, 30.0), (40.0, 30.0), (85.0, 15.0), (100.0, 0.0)):
        where = Surroundings("lamp", (Stretch("underfloor", 1000.0, ambient_c, False, 1),), 1000.0)
        (found,) = ampacities_along(awg_area_mm2(14), 100.0, where, is_bundling_counted=True)
        assert found.amperes == pytest.approx(amperes, abs=1e-9)


@pytest.mark.parametrize(
    ("copper_mm2", "most_a"),
    [(1.31, 15), (2.5, 15), (3.31, 20), (4.0, 20), (5.27, 30), (6.0, 30), (8.4, float("inf"))],
)
def test_small_conductors_by_nec_240_4_d(copper_mm2, most_a):
    assert small_conductor_a(copper_mm2) == most_a
