"""33 CFR 183.455: overcurrent protection.

Source: Code of Federal Regulations, Title 33, Part 183, Subpart I, section 183.455 Overcurrent Protection:
General, annual edition of 2015: (a) every ungrounded conductor; (b) within 7 inches of the source along the
conductor, within 40 inches where it is in a sheath or enclosure throughout; (c) below 50 V no more than 150
% of Table 5. Public domain. The 72 inches from a battery terminal are ABYC E-11, as quoted in trade
literature.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from conductor_cases import a_circuit_job, choose, fuse_of, supply_and_earth
from small_vehicle import BATTERY, a_profile, default_practice

from router.model.plan import Severity
from router.model.vehicle import TerminalKind


@pytest.mark.parametrize(
    ("rule", "inches"), [("bare distance", 7), ("sheathed distance", 40), ("battery sheathed distance", 72)]
)
def test_distances_are_the_published_ones_and_never_more_than_rounding_over(rule, inches):
    assert default_practice().value("fuse", rule) == pytest.approx(inches * 25.4, abs=0.5)


def test_a_run_from_a_battery_terminal_may_have_its_fuse_72_inches_away():
    fuse = fuse_of(choose(a_circuit_job(*supply_and_earth())))
    assert fuse.furthest_mm == pytest.approx(72 * 25.4, abs=0.5)
    assert fuse.station_mm <= 7 * 25.4


def test_a_run_from_any_other_terminal_may_have_its_fuse_40_inches_away():
    fuse_box = replace(BATTERY, kind=TerminalKind.FUSE_BOX, pole=None)
    found = choose(a_circuit_job(*supply_and_earth()), profile=a_profile(terminals=(fuse_box,)))
    assert fuse_of(found).furthest_mm == pytest.approx(40 * 25.4, abs=0.5)


def test_an_ungrounded_conductor_without_a_fuse_is_a_must_finding():
    found = choose(a_circuit_job(*supply_and_earth(fuse=None)))
    missing = [finding for finding in found.findings if finding.kind == "no fuse"]
    assert [(finding.run, finding.severity) for finding in missing] == [("supply", Severity.MUST)]
    assert missing[0].rule is not None
    assert "183.455(a)" in missing[0].rule.source
