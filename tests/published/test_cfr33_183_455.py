"""33 CFR 183.455: overcurrent protection.

Source: Code of Federal Regulations, Title 33, Part 183, Subpart I, section 183.455 Overcurrent Protection:
General, annual edition of 2015: (a) every ungrounded conductor; (b) within 7 inches of the source along the
conductor, within 40 inches where it is in a sheath or enclosure throughout; (c) below 50 V no more than 150
% of Table 5; (d) a voltage rating of no less than the circuit's nominal voltage. Public domain. The 72
inches from a battery terminal are ABYC E-11, as quoted in trade literature.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from conductor_cases import a_circuit_job, choose, fuse_of, supply_and_earth
from small_vehicle import BATTERY, a_profile, default_practice

from router.errors import NoConductorError
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


@pytest.mark.parametrize("nominal_v", [6.0, 12.0, 24.0, 36.0, 48.0, 58.0])
@pytest.mark.parametrize("load_a", [1.0, 20.0, 90.0])
def test_no_fuse_is_made_for_less_than_the_circuits_voltage(nominal_v, load_a):
    """Paragraph (d); which family breaks how much stands in the scopes of ISO 8820-3, -5 and -6."""
    most_v = {"blade": 32, "large blade": 32, "bolt-down M5": 32, "bolt-down M8": 32, "single bolt": 58}
    job = a_circuit_job(*supply_and_earth(load_a), drop=0.3)
    job = replace(job, source=replace(job.source, nominal_v=nominal_v, resting_v=nominal_v))
    family = fuse_of(choose(job, 1000.0)).family
    assert family is not None
    assert most_v[family] >= nominal_v


def test_above_every_fuses_voltage_there_is_no_answer():
    job = a_circuit_job(*supply_and_earth(), drop=0.3)
    job = replace(job, source=replace(job.source, nominal_v=59.0, resting_v=59.0))
    with pytest.raises(NoConductorError, match="no fuse fits"):
        choose(job, 1000.0)


def test_an_ungrounded_conductor_without_a_fuse_is_a_must_finding():
    found = choose(a_circuit_job(*supply_and_earth(fuse=None)))
    missing = [finding for finding in found.findings if finding.kind == "no fuse"]
    assert [(finding.run, finding.severity) for finding in missing] == [("supply", Severity.MUST)]
    assert missing[0].rule is not None
    assert "183.455(a)" in missing[0].rule.source
