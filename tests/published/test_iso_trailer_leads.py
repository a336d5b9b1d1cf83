"""ISO 11446-1 and ISO 1724: trailer connectors.

Sources: ISO 11446-1:2012, Road vehicles - Connectors for the electrical connection of towing and towed
vehicles - Part 1: 13-pole connectors, 12 V; ISO 1724:2003, 7-pole connector type 12 N (normal), 12 V. The
colours of the four-way flat connector as quoted in trade literature: white earth, brown tail, yellow left,
green right; whether SAE J1239 or J2863 has them is from memory.
"""

from __future__ import annotations

import pytest

from router.tables.lamps import trailer_lead

PINS = {
    1: ("left indicator", 1.5, "yellow"),
    2: ("rear fog", 1.5, "blue"),
    3: ("return for pins 1 to 8", 2.5, "white"),
    4: ("right indicator", 1.5, "green"),
    5: ("right tail", 1.5, "brown"),
    6: ("stop", 1.5, "red"),
    7: ("left tail", 1.5, "black"),
    8: ("reversing", 1.5, "pink"),
    9: ("permanent supply", 2.5, "orange"),
    10: ("switched supply", 2.5, "grey"),
    11: ("return for pin 10", 2.5, "white/black"),
    13: ("return for pin 9", 2.5, "white/red"),
}


def test_13_pin():
    found = {
        each.pin: (each.function, each.area_mm2, each.colour) for each in trailer_lead("13-pin").values()
    }
    assert found == PINS


def test_13_pin_returns_cover_every_function_once():
    lead = trailer_lead("13-pin")
    returned = [function for each in lead.values() for function in each.returns]
    assert sorted(returned) == sorted(function for function, each in lead.items() if not each.returns)


def test_7_pin():
    colours = {each.pin: each.colour for each in trailer_lead("7-pin").values()}
    assert colours == {1: "yellow", 2: "blue", 3: "white", 4: "green", 5: "brown", 6: "red", 7: "black"}
    areas = {each.pin: each.area_mm2 for each in trailer_lead("7-pin").values()}
    assert areas == {pin: 2.5 if pin == 3 else 1.5 for pin in range(1, 8)}


def test_4_way():
    colours = {function: each.colour for function, each in trailer_lead("4-way").items()}
    assert colours == {"earth": "white", "tail": "brown", "left": "yellow", "right": "green"}


def test_an_unknown_lead_is_no_lead():
    with pytest.raises(KeyError):
        trailer_lead("5-pin")
