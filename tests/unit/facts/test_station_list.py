"""The station list: what is met, in which words, where; every station by hand from the case's own points."""

from __future__ import annotations

from small_vehicle import a_passage, a_route, a_run

from router.facts.station_list import list_stations
from router.model.conductor_choice import FuseChoice
from router.model.fixing import Fixing, FixingKind
from router.model.plan import HeatSleeve, PassageKind

WAY = [(0, 0, 400), (1000, 0, 400), (1000, 500, 400), (500, 1000, 400)]
"""1000 mm rearward, 500 to the right, then forward and right: bends of 90 and 45 degrees."""


def told(**parts):
    route = a_route(WAY, along=parts.pop("along", {}), passages=parts.pop("passages", ()))
    usual = {"fixings": (), "fuse": None, "heat_sleeves": ()}
    met = list_stations(a_run(), route, **{**usual, **parts})
    return [(each.station_mm, each.what, each.detail) for each in met]


def test_bends_say_how_far_and_whereto():
    # ISO 4130: x rearward, y to the right. The end: 1500 + 500 x sqrt(2) = 2207.1, to the nearest 5: 2205.
    assert told() == [
        (0.0, "start", "battery positive"),
        (1000.0, "bend", "90°, then right"),
        (1500.0, "bend", "45°, then forward and right"),
        (2205.0, "end", "unit"),
    ]


def test_what_is_passed_is_told_at_both_ends():
    passages = (
        a_passage(PassageKind.COVER, "floor panel", 102.4, 398.0),
        a_passage(PassageKind.OPENING, "plug", 703.0, 703.0),
        a_passage(PassageKind.WARM, "warm", 1600.0, 1700.0),
    )
    met = told(passages=passages)
    assert (100.0, "in above cover", "floor panel") in met
    assert (400.0, "out from cover", "floor panel") in met
    assert [each for each in met if "opening" in each[1]] == [(705.0, "through opening", "plug")]
    assert (1600.0, "into warm surroundings", "") in met


def test_fixings_supports_fuse_and_sleeve_come_in_their_order():
    fixings = (
        Fixing(1, 100.0, FixingKind.TIE, "sill", "underfloor", 100, 0, 400, "end", None),
        Fixing(2, 600.0, FixingKind.P_CLIP, None, "underfloor", 600, 0, 400, "span", None),
    )
    fuse = FuseChoice(
        "supply", "supply", 15.0, "blade", "blue", 40.0, 178.0, (), "2.5 mm2 or 14 AWG", 2.5, None
    )
    met = told(
        fixings=fixings, fuse=fuse, heat_sleeves=(HeatSleeve("supply", 300, 520, "pipe"),), along={0: "sill"}
    )
    assert met[:8] == [
        (0.0, "start", "battery positive"),
        (0.0, "follow support", "sill"),
        (40.0, "fuse", "15 A holder"),
        (100.0, "fixing 1", "tie on sill"),
        (300.0, "heat sleeve from", "pipe"),
        (520.0, "heat sleeve to", "pipe"),
        (600.0, "fixing 2", "P-clip on panel, not named"),
        (1000.0, "leave support", "sill"),
    ]
