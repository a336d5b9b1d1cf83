"""The three rule sets side by side on one example: where law, voluntary standard and the default differ.

Sources: Code of Federal Regulations, annual edition of 2015 (public domain): Title 33, Part 183, section
183.425 Table 5 with note 1 (10 AWG, 105 degC: 60 A; x 0.85 in an engine space), section 183.455 (150 % of
Table 5; 7 in, 40 in), section 183.435(b) (note 2 from 50 V on); Title 46, Part 183, section 183.340(b)(4)
(supports no more than 24 in apart) and (p) (10 % drop). ABYC E-11, as quoted in trade literature: 3 % drop,
18 in, 72 in from a battery terminal, no more than ampacity, else the next standard size up to 150 %. FAA AC
43.13-1B par. 11-249 (sleeve 25 % over the bundle); NEC (NFPA 70) chapter 9 table 1 (40 % filled). Fuse
ratings: SAE J1888 (50, 60 A), from memory, as the ladder's data says.
"""

from __future__ import annotations

import math

import pytest
from conductor_cases import a_circuit_job, by_name, choose, supply_and_earth

from router.looms import least_bore_mm
from router.model.job import Fuse, Series
from router.model.practice import Status
from router.model.vehicle import SpaceKind
from router.reading import read_practice

FOOT_MM, INCH_MM = 304.8, 25.4
SETS = ("default", "law", "voluntary")
SPACES = {"engine bay": 1.0}


def ten_awg(fuse_a, rule_set, load_a=20.0):
    """Return 10 AWG, 105 degC, in an engine space at 50 degC, behind a fuse, under a rule set."""
    runs = supply_and_earth(load_a, size="10 AWG", earth_size="10 AWG", fuse=Fuse(fuse_a))
    job = a_circuit_job(*runs, series=Series.AWG, ambient_c={"engine bay": 50.0}, drop=0.5)
    return choose(job, 1000.0, spaces=SPACES, practice=read_practice(rule_set))


@pytest.mark.parametrize(("rule_set", "ampacity_a"), [("default", 51.0), ("law", 30.0), ("voluntary", 51.0)])
def test_10_awg_carries_51_a_in_an_engine_space_and_by_law_no_more_than_30_a(rule_set, ampacity_a):
    """60 A x 0.85; NEC (NFPA 70) 240.4(D), which the table of 46 CFR 183.340(p) keeps to: 30 A."""
    assert by_name(ten_awg(30.0, rule_set))["supply"].ampacity_a == pytest.approx(ampacity_a, rel=1e-12)


@pytest.mark.parametrize(
    ("rule_set", "largest_a"),
    [
        ("default", 51.0),  # no more than what it may carry there
        ("law", 90.0),  # 150 % of the table's 60 A; 183.455(c) names no factor
        ("voluntary", 60.0),  # 51 A is between 50 and 60 A; 60 A is within 150 % of it
    ],
)
def test_largest_fuse_over_10_awg(rule_set, largest_a):
    found = [finding for finding in ten_awg(100.0, rule_set).findings if "protect" in finding.what]
    assert {finding.required for finding in found} == {f"{largest_a:g} A or less"}
    assert not [finding for finding in ten_awg(largest_a - 1, rule_set).findings if "protect" in finding.what]


@pytest.mark.parametrize(("rule_set", "share"), [("default", 0.03), ("law", 0.10), ("voluntary", 0.03)])
def test_drop(rule_set, share):
    assert read_practice(rule_set).value("conductor", "drop") == pytest.approx(share)


@pytest.mark.parametrize(("rule_set", "inches"), [("law", 24), ("voluntary", 18)])
@pytest.mark.parametrize("space", ["underfloor", "engine bay", "load area"])
def test_distance_between_supports(rule_set, inches, space):
    rule = read_practice(rule_set).by_space("spacing", SpaceKind(space))
    assert rule.value == pytest.approx(inches * INCH_MM, abs=0.5)


@pytest.mark.parametrize(("rule_set", "inches"), [("default", 72), ("law", 40), ("voluntary", 72)])
def test_distance_of_a_fuse_from_a_battery_terminal_in_a_sheath(rule_set, inches):
    practice = read_practice(rule_set)
    assert practice.value("fuse", "battery sheathed distance") == pytest.approx(inches * INCH_MM, abs=0.5)
    assert practice.value("fuse", "sheathed distance") == pytest.approx(40 * INCH_MM, abs=0.5)
    assert practice.value("fuse", "bare distance") == pytest.approx(7 * INCH_MM, abs=0.5)


@pytest.mark.parametrize("rule_set", SETS)
def test_every_value_of_a_rule_set_is_published_or_says_what_it_is(rule_set):
    rules = read_practice(rule_set).rules.values()
    assert len(rules) > 50
    assert all(rule.status is not Status.SHOP_RULE and rule.source for rule in rules)


def test_law_names_what_it_says_itself_and_leaves_the_rest():
    law, default = read_practice("law"), read_practice("default")
    changed = {name for name, rule in law.rules.items() if rule != default.rules[name]}
    assert {group for group, _ in changed} == {"spacing", "fixing", "fuse", "conductor", "ambient", "loom"}
    assert all("CFR" in law.rules[name].source for name in changed if name[0] != "loom")


@pytest.mark.parametrize(
    ("rule_set", "bore_mm"),
    [
        ("default", math.sqrt(7 * 2.4**2 / 0.40)),  # both rules, the larger decides: 10.04 mm
        ("law", math.sqrt(7 * 2.4**2 / 0.40)),  # NEC (NFPA 70) chapter 9 table 1: 40 % filled
        ("voluntary", 1.25 * 3 * 2.4),  # FAA AC 43.13-1B par. 11-249: 25 % over the bundle, 9.0 mm
    ],
)
def test_loom_over_seven_conductors_by_whoever_rules(rule_set, bore_mm):
    assert least_bore_mm((2.4,) * 7, read_practice(rule_set)) == pytest.approx(bore_mm, rel=1e-5)
