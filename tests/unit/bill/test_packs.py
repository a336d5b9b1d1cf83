"""Packs and reels to order. Expected numbers by hand."""

import pytest
from small_vehicle import a_line, default_practice, practice_with

from router.bill.packs import pack_lines

TIES = a_line("tie", "200 mm", 101.0, "piece", "supply")
CUT = a_line("conductor, cut", "4 mm2 red", 5.5, "m", "supply")
TOTAL = a_line("conductor, total", "4 mm2 red", 50.0, "m", "supply")


def ordered(*lines, **sizes):
    practice = practice_with({("pack", key): value for key, value in sizes.items()})
    return [(line.spec, line.quantity, line.unit, line.where) for line in pack_lines(lines, practice)]


def test_a_shop_that_states_no_size_has_no_lines():
    assert list(pack_lines([TIES, TOTAL], default_practice())) == []


@pytest.mark.parametrize(("size", "packs", "left"), [(100, 2, 99), (101, 1, 0), (25, 5, 24)])
def test_packs_are_whole(size, packs, left):
    where = f"101 piece wanted, {left} left over"
    assert ordered(TIES, tie=size) == [(f"tie, 200 mm: pack of {size} pieces", packs, "pack", where)]


def test_reels_count_totals_and_not_cuts():
    found = ordered(CUT, TOTAL, conductor=50_000)
    where = "50 m wanted, 0 left over"
    assert found == [("conductor, 4 mm2 red: reel of 50 m", 1, "reel", where)]
