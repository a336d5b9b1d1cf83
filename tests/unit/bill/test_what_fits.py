"""What is bought fits what it is for: clips that grip, grommets, sleeves by heat, heat-shrink. By hand."""

from __future__ import annotations

from dataclasses import replace

import pytest
from small_vehicle import a_choice, a_job, a_loom, a_run, practice_with
from test_bill import (
    FUSE,
    PROFILE,
    SUPPLY,
    THICK_LEADS,
    bare,
    bill_of,
    installed,
    lines,
    only,
    through,
)

from router.bill.counting import InstalledRuns
from router.bill.holding_items import p_clip_for
from router.bill.loom_items import heat_sleeve_entries
from router.errors import NoAnswerError
from router.facts import heat_shrink_words, lead_outside_mm
from router.model.job import Limits
from router.model.plan import HeatSleeve
from router.tables import load_table


@pytest.mark.parametrize(
    ("loom_mm", "clip_mm"),
    [(7.1, 7), (10.1, 10), (11.8, 11), (13.1, 13), (15.8, 15), (21.2, 20), (28.5, 28), (34.5, 32)],
)
def test_a_clip_closes_to_no_more_than_the_loom_that_it_grips(loom_mm: float, clip_mm: float) -> None:
    """Of bores 5, 6, 7 ... 16, 18, 20, 22, 25, 28, 30, 32, 35 mm the next one down."""
    assert p_clip_for(loom_mm)["size_mm"] == clip_mm


def test_every_loom_that_is_sold_has_a_clip_that_squeezes_it_by_an_eighth_at_most() -> None:
    outsides_mm = [size["outside_mm"] for series in load_table("loom").values() for size in series["sizes"]]
    assert len(outsides_mm) > 15
    assert all(
        0.875 * outside_mm <= p_clip_for(outside_mm)["size_mm"] <= outside_mm for outside_mm in outsides_mm
    )


@pytest.mark.parametrize("loom_mm", [4.9, 60.1])
def test_a_loom_that_no_clip_grips_is_refused(loom_mm: float) -> None:
    with pytest.raises(NoAnswerError, match=f"no P-clip grips a loom of {loom_mm} mm; those of the table"):
        p_clip_for(loom_mm)


def test_the_bill_says_what_a_clip_grips() -> None:
    """One wire of 3.0 mm lies in NW4.5, 7.1 mm outside."""
    assert only(bill_of(installed(a_run(), SUPPLY)), "P-clip").spec == "7 mm, rubber lined, grips to 8 mm"


@pytest.mark.parametrize(("bore_mm", "inside_mm"), [(12.7, 8.0), (16.0, 8.0), (19.0, 10.0), (25.0, 14.0)])
def test_a_grommet_has_the_smallest_inside_that_passes_the_loom(bore_mm: float, inside_mm: float) -> None:
    """A loom of 7.1 mm; in a hole of 25 mm nothing is snug: 14 mm, built up by more than 2 mm."""
    profile = bare(bore_mm)
    bill = bill_of(installed(a_run(), through(bore_mm), profile=profile), profile=profile)
    spec = next(line.spec for line in lines(bill, "grommet") if line.where == "rear crossmember")
    assert spec.startswith(f"rubber, for a hole of {bore_mm:g} mm, inside {inside_mm:g} mm")
    assert spec.endswith("loom of 7.1 mm built up with tape") is (inside_mm - 7.1 > 2)


# Heat sleeve by what it must bear


def sleeve_spec(air_c: float, hot_side_c: float = 200.0) -> str:
    sleeve = HeatSleeve("supply", 1500.0, 2000.0, "mid pipe")
    plan = installed(a_run(), SUPPLY, sleeves=(sleeve,))
    job = replace(a_job(a_run()), limits=Limits(0.03, {"underfloor": air_c}))
    rules = practice_with({("heat sleeve", "hot side"): hot_side_c})
    around = InstalledRuns((plan,), (a_loom(("supply", 0.0, 3000.0)),))
    (entry,) = heat_sleeve_entries(job, PROFILE, rules, around)
    return entry.spec


@pytest.mark.parametrize(
    ("air_c", "hot_side_c", "made_of"),
    [
        (50.0, 100.0, "aluminium-faced polyester, for 125 degC (100 asked)"),
        (105.0, 100.0, "aluminium-faced polyester, for 125 degC (125 asked)"),  # 105 and 20 of the warm band
        (106.0, 100.0, "aluminium-faced glass fibre, for 200 degC (126 asked)"),
        (50.0, 200.0, "aluminium-faced glass fibre, for 200 degC (200 asked)"),
        (50.0, 300.0, "aluminium-faced basalt fibre, for 550 degC (300 asked)"),
    ],
)
def test_a_sleeve_bears_its_hot_side_and_the_air_where_it_lies(air_c, hot_side_c, made_of) -> None:
    assert sleeve_spec(air_c, hot_side_c).endswith(made_of)


def test_heat_that_no_sleeve_bears_is_refused() -> None:
    with pytest.raises(NoAnswerError, match="no heat sleeve bears the 600 degC beside mid pipe"):
        sleeve_spec(50.0, 600.0)


# Heat-shrink


@pytest.mark.parametrize(
    ("size", "area_mm2", "outside_mm", "words"),
    [
        ("10 mm2", 10.0, 6.0, "2:1, 9.5 mm before shrinking and 4.8 mm after"),  # over 6.5, to 5.4 at most
        ("25 mm2", 25.0, 9.4, "2:1, 12.7 mm before shrinking and 6.4 mm after"),  # over 10.5, to 8.46
        (
            "35 mm2",
            35.0,
            10.4,
            "3:1, 19 mm before shrinking and 6 mm after",
        ),  # to 9.36: 19 to 9.5 is too wide
        ("120 mm2", 120.0, 19.7, "2:1, 25.4 mm before shrinking and 12.7 mm after"),  # over 21.5
    ],
)
def test_heat_shrink_passes_over_the_barrel_and_grips_the_insulation(size, area_mm2, outside_mm, words):
    choice = a_choice("supply", size=size, area_mm2=area_mm2, outside_mm=outside_mm)
    assert words in heat_shrink_words(choice)


def test_a_cable_that_none_goes_over_is_refused() -> None:
    thick = a_choice("supply", size="400 mm2", area_mm2=400.0, outside_mm=51.6)
    with pytest.raises(NoAnswerError, match=r"before shrinking it must be 52\.1 mm wide"):
        heat_shrink_words(thick)


def test_an_insulated_crimp_is_not_shrunk() -> None:
    assert heat_shrink_words(a_choice("supply")) == ""


def test_a_splice_that_steps_down_is_gripped_on_both_sides() -> None:
    """25 mm2 (9.4 mm, barrel 10 mm) to leads of 6 mm2 (4.3 mm): over 10.5 mm, to 3.87 mm at most: 4:1."""
    choice = a_choice("supply", size="25 mm2", area_mm2=25.0, outside_mm=9.4)
    leads = replace(FUSE, leads="6 mm2 or 10 AWG", leads_mm2=6.0)
    assert lead_outside_mm(leads, choice) == 4.3
    assert lead_outside_mm(replace(leads, leads_mm2=25.0), choice) is None
    assert "4:1, 12 mm before shrinking and 3 mm after" in heat_shrink_words(choice, 4.3)
    fifty = a_choice("supply", size="50 mm2", area_mm2=50.0, outside_mm=13.5)
    assert heat_shrink_words(fifty, 4.3).endswith("the thinner lead built up first, with shrunk pieces")
    assert "2:1, 19 mm before" in heat_shrink_words(fifty, 4.3)


def test_the_bill_buys_the_shrink_of_ring_and_stepped_splice_apart() -> None:
    choice = a_choice("supply", size="25 mm2", area_mm2=25.0, outside_mm=9.4)
    stepped = replace(THICK_LEADS, leads="6 mm2", leads_mm2=6.0)
    shrink = lines(bill_of(installed(a_run(), SUPPLY, choice, fuse=stepped)), "heat-shrink")
    assert [("2:1" in each.spec, each.quantity - each.spare) for each in shrink] == [(True, 1), (False, 2)]
