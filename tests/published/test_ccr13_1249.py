"""13 CCR 1249(c): voltage at the bulb.

Source: California Code of Regulations, Title 13, section 1249 Wiring, paragraph (c): voltage at the bulb
sockets when lamps are burning shall be at least 85 % of the design voltage of the bulb, with the engine
running. The design voltage of a lamp is the one for which its sheet gives its figures (UN Regulation 37:
13.5 V).
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from conductor_cases import PLAIN, a_circuit_job, a_return, by_name, choose
from small_vehicle import a_conductor, a_run

from router.errors import NoConductorError
from router.model.job import Job, Lamps, Series
from router.model.plan import Finding, Severity

LEAST_V = 0.85 * 13.5
LAMPS = Lamps(6, "P21W", 2.0, 13.5, "a lamp of 2 A, for round figures", "common practice")


def lamps_at(length_m: float, *, running_v: float | None = None, size: str | None = "2.5 mm2") -> Job:
    """Return 12 A of lamps on IEC 60228 class 5 cable, out and back; 2.5 mm2 resists 7.98 mohm/m."""
    lamp = a_conductor("lamps", load_a=12.0, lamps=(LAMPS,), size=size)
    runs = (
        a_run("lamps", conductors=(lamp,)),
        a_run("earth", "unit", "stud", conductors=(a_return("earth", "lamps", size=size),)),
    )
    job = a_circuit_job(*runs, series=Series.IEC, drop=0.25, ambient_c={"underfloor": 20.0})
    return replace(job, source=replace(job.source, running_v=running_v))


def drop_findings(job: Job, length_m: float) -> list[Finding]:
    return [each for each in choose(job, 1000 * length_m, practice=PLAIN).findings if each.kind == "drop"]


@pytest.mark.parametrize(
    ("length_m", "running_v", "is_told"),
    [
        (5.8, None, False),  # 12 A x 2 x 5.8 m x 7.98 mohm/m = 1.111 V: 11.489 V of 12.6 V are left
        (5.9, None, True),  # 1.130 V: 11.470 V; 11.475 V are asked
        (5.9, 13.8, False),  # measured with the engine running: 12.67 V
        (12.0, 13.8, False),  # 2.298 V: 11.502 V
        (12.2, 13.8, True),  # 2.337 V: 11.463 V
    ],
)
def test_85_percent_of_the_lamps_design_voltage_is_left_at_it(length_m, running_v, is_told):
    source_v = 12.6 if running_v is None else running_v
    left_v = source_v - 12 * 2 * length_m * 0.00798
    assert (left_v < LEAST_V) is is_told
    found = drop_findings(lamps_at(length_m, running_v=running_v), length_m)
    assert [each.severity for each in found] == ([Severity.MUST] if is_told else [])


def test_the_finding_names_the_rule_what_is_left_and_what_to_measure():
    (finding,) = drop_findings(lamps_at(5.9), 5.9)
    assert finding.rule is not None
    assert "13 CCR 1249(c)" in finding.rule.source
    assert "11.5 V are left at its lamps" in finding.what
    assert "source: running" in finding.what
    assert "85 % of the lamp's 13.5 V" in finding.required


@pytest.mark.parametrize("length_m", [3.0, 5.9, 8.0, 12.0])
def test_a_size_that_is_chosen_leaves_it(length_m):
    lost_v = by_name(choose(lamps_at(length_m, size=None), 1000 * length_m, practice=PLAIN))["lamps"].drop_v
    assert 12.6 - lost_v >= LEAST_V


def test_where_no_size_leaves_it_the_refusal_does_not_advise_a_larger_drop():
    with pytest.raises(NoConductorError) as refused:
        choose(lamps_at(5.0, size=None), 5000.0, practice={("conductor", "connection"): 0.05})
    assert "85 % of the lamp's 13.5 V" in refused.value.why
    assert "limits: drop" not in refused.value.why
