"""Blade fuses: standard ratings and their colours.

Sources: SAE J1284 (medium blade) and J2077 (mini blade), ISO 8820-3, as quoted in trade literature. ISO
8820-1:1994: blade fuse-links to 30 A and 32 V. The time-current gates of ISO 8820-3 are from memory: only
their shape is checked.
"""

from __future__ import annotations

from itertools import pairwise

import pytest

from router.conductors.fuses import clearing_s, fuse_rated, standard_fuses

COLOURS = {
    1: "black", 2: "grey", 3: "violet", 4: "pink", 5: "tan", 7.5: "brown", 10: "red", 15: "blue",
    20: "yellow", 25: "clear", 30: "green", 35: "blue-green", 40: "orange",
}  # fmt: skip


def test_ladder_and_colours():
    assert {fuse.rating_a: fuse.colour for fuse in standard_fuses() if fuse.rating_a <= 40} == COLOURS


def test_what_is_above_the_blade_ladder_says_that_it_is_from_memory():
    assert {fuse.status for fuse in standard_fuses() if fuse.rating_a > 40} == {"from memory"}
    assert {fuse.clearing_points_status for fuse in standard_fuses()} == {"from memory"}


@pytest.mark.parametrize("fuse", standard_fuses(), ids=lambda fuse: f"{fuse.rating_a:g} A")
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
