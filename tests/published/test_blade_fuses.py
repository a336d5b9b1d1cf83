"""Fuses: standard ratings and their colours, the voltage and the short-circuit current that they break.

Sources: SAE J1284 (medium blade) and J2077 (mini blade), ISO 8820-3, as quoted in trade literature: ratings
and colours of blade fuses. Scopes of ISO 8820-3:2015 (blade fuse-links: 32 V or 58 V, to 100 A, breaking
capacity 1 000 A), ISO 8820-5:2015 (strip fuse-links: 32 V, 30 A to 500 A, 2 000 A) and ISO 8820-6:2019
(single-bolt fuse-links: 58 V, to 300 A, 2 000 A). The time-current gates are from memory: only their shape is
checked.
"""

from __future__ import annotations

from itertools import pairwise

import pytest

from router.conductors.fuses import clearing_s, fuse_rated, smallest_fuse_for, standard_fuses

COLOURS = {
    1: "black", 2: "grey", 3: "violet", 4: "pink", 5: "tan", 7.5: "brown", 10: "red", 15: "blue",
    20: "yellow", 25: "clear", 30: "green", 35: "blue-green", 40: "orange",
}  # fmt: skip


SCOPES = {  # by family: voltage, breaking capacity, smallest and largest rating of its standard
    "blade": (32, 1000, 0, 100),
    "large blade": (32, 1000, 0, 100),
    "bolt-down M5": (32, 2000, 30, 500),
    "bolt-down M8": (32, 2000, 30, 500),
    "single bolt": (58, 2000, 0, 300),
}


def test_ladder_and_colours():
    assert {fuse.rating_a: fuse.colour for fuse in standard_fuses() if fuse.family == "blade"} == COLOURS


@pytest.mark.parametrize("fuse", standard_fuses(), ids=lambda fuse: f"{fuse.family} {fuse.rating_a:g} A")
def test_every_rating_lies_in_the_scope_of_its_standard_and_says_what_it_breaks(fuse):
    voltage_v, breaking_a, least_a, most_a = SCOPES[fuse.family]
    assert (fuse.voltage.value, fuse.breaking.value) == (voltage_v, breaking_a)
    assert (fuse.voltage.status, fuse.breaking.status) == ("published", "published")
    assert least_a <= fuse.rating_a <= most_a


def test_what_is_above_the_blade_ladder_says_that_it_is_from_memory():
    assert {fuse.status for fuse in standard_fuses() if fuse.family != "blade"} == {"from memory"}
    assert {fuse.status for fuse in standard_fuses() if fuse.family == "blade"} == {"quoted"}
    assert {fuse.clearing_points_status for fuse in standard_fuses()} == {"from memory"}


def test_the_ladder_goes_to_500_a_and_a_higher_voltage_has_a_family_of_its_own():
    assert max(fuse.rating_a for fuse in standard_fuses()) == 500
    assert smallest_fuse_for(500.1) is None
    assert smallest_fuse_for(30, least_v=24).family == "blade"
    assert smallest_fuse_for(30, least_v=48).family == "single bolt"
    assert smallest_fuse_for(30, least_v=58.1) is None
    assert smallest_fuse_for(301, least_v=48) is None


@pytest.mark.parametrize("fuse", standard_fuses(), ids=lambda fuse: f"{fuse.family} {fuse.rating_a:g} A")
def test_a_fuse_clears_faster_the_more_flows_and_never_at_110_percent(fuse):
    assert clearing_s(fuse, 1.1 * fuse.rating_a) is None
    times = [
        clearing_s(fuse, multiple * fuse.rating_a) for multiple in (1.35, 1.6, 2.0, 3.5, 6.0, 10.0, 50.0)
    ]
    assert all(
        later is not None and sooner is not None and later <= sooner for sooner, later in pairwise(times)
    )


def test_beyond_the_last_gate_no_more_heat_goes_through():
    fuse = fuse_rated(10)
    assert fuse is not None
    through = [current_a**2 * clearing_s(fuse, current_a) for current_a in (35.0, 100.0, 1000.0)]
    assert through == pytest.approx([through[0]] * 3)
