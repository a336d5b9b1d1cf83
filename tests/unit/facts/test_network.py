"""The circuit that a job makes: which points there are, what joins them, where loads lie."""

from __future__ import annotations

from dataclasses import replace

import pytest
from conductor_cases import a_circuit_job, a_return, supply_and_earth
from small_vehicle import a_conductor, a_profile, a_run

from router.facts import BODY, Node, network_of
from router.model.job import Fuse
from router.model.vehicle import Pole, Profile, Studs, Terminal, TerminalKind

POST = Terminal(
    "battery positive",
    "underfloor",
    (0.0, 0.0),
    0.0,
    "M8",
    kind=TerminalKind.BATTERY_POST,
    pole=Pole.POSITIVE,
)


def a_terminal(name: str, kind: TerminalKind | None = None, **parts: object) -> Terminal:
    return Terminal(name, "underfloor", (0.0, 0.0), 0.0, **{"stud": None, "kind": kind, **parts})  # type: ignore[arg-type]


def a_vehicle(*terminals: Terminal) -> Profile:
    return a_profile(terminals=(POST, *terminals))


UNIT = a_terminal("unit", TerminalKind.UNIT)
EARTH = a_terminal("rear earth stud", TerminalKind.EARTH_POINT, stud="M8")


def test_a_unit_has_a_point_for_each_pole_and_earth_points_are_the_body() -> None:
    network = network_of(a_circuit_job(*supply_and_earth()), a_vehicle(UNIT, EARTH))
    supply, earth = network.pieces
    assert (supply.start, supply.end) == (Node("battery positive", "plus"), Node("unit", "plus"))
    assert (earth.start, earth.end) == (Node("unit", "minus"), BODY)
    assert (supply.fused_at, earth.fused_at) == ((supply.start,), ())
    (load,) = network.loads
    assert (load.plus, load.minus, load.current_a) == (supply.end, earth.start, 9.0)
    assert network.joined(supply.end) == {supply.start, supply.end}
    assert network.joined(BODY) == {BODY, earth.start}


@pytest.mark.parametrize("kind", [TerminalKind.UNIT, TerminalKind.STUD, None])
def test_a_single_stud_is_one_point_whatever_kind_it_is_said_to_be(kind: TerminalKind | None) -> None:
    stud = a_terminal("unit", kind, stud="M8")
    network = network_of(a_circuit_job(*supply_and_earth()), a_vehicle(stud, EARTH))
    assert BODY in network.joined(Node("battery positive", "plus"))


def test_studs_and_terminals_of_one_unit_are_its_two_poles() -> None:
    studs = a_terminal("unit", TerminalKind.UNIT, studs=Studs("M6", "M5"))
    (load,) = network_of(a_circuit_job(*supply_and_earth()), a_vehicle(studs, EARTH)).loads
    assert (load.plus, load.minus) == (Node("unit", "plus"), Node("unit", "minus"))
    supply, earth = supply_and_earth()
    poles = (
        a_terminal("red stud", stud="M8", unit="inverter", pole=Pole.PLUS),
        a_terminal("black stud", stud="M8", unit="inverter", pole=Pole.MINUS),
    )
    job = a_circuit_job(replace(supply, end="red stud"), replace(earth, start="black stud"))
    (load,) = network_of(job, a_vehicle(*poles, EARTH)).loads
    assert (load.plus, load.minus) == (Node("red stud", "plus"), Node("black stud", "minus"))
    assert not load.is_minus_guessed


def test_what_a_unit_feeds_is_joined_inside_it_and_each_output_has_a_contact_of_its_own() -> None:
    supply, earth = supply_and_earth()
    cores = (
        a_conductor("left", load_a=2.0, fed_by="supply"),
        a_conductor("right", load_a=2.0, fed_by="supply"),
        a_return("back", "left", "right"),
    )
    lead = a_run("lead", "unit", "socket", conductors=cores)
    socket = a_terminal("socket", TerminalKind.TRAILER_SOCKET)
    network = network_of(a_circuit_job(supply, earth, lead), a_vehicle(UNIT, EARTH, socket))
    assert {(link.start.pole, link.end.pole) for link in network.links} == {
        ("plus", "left"),
        ("plus", "right"),
    }
    assert [(load.plus.pole, load.minus.pole) for load in network.loads][1:] == [
        (
            "plus",
            "minus",
        ),  # of several contacts the first is plus, and the others are called by what ends there
        ("right", "minus"),
    ]
    assert BODY in network.joined(Node("socket", "minus"))


def test_a_lamp_signal_that_the_job_taps_is_fed_by_the_vehicle() -> None:
    supply, earth = supply_and_earth()
    earth = replace(earth, conductors=(replace(earth.conductors[0], returns=("supply", "sense")),))
    sense = a_run("sense", "unit", "rear lamp", conductors=(a_conductor("sense", load_a=0.05),))
    lamp = a_terminal("rear lamp", TerminalKind.LAMP)
    network = network_of(a_circuit_job(supply, earth, sense), a_vehicle(UNIT, EARTH, lamp))
    assert [(feed.terminal, feed.is_source) for feed in network.feeds] == [
        ("battery positive", True),
        ("rear lamp", False),
    ]
    assert network.loads[1].terminal == "unit"
    brought = replace(lamp, is_place=True)  # nothing of the vehicle is at what the job brings along
    network = network_of(a_circuit_job(supply, earth, sense), a_vehicle(UNIT, EARTH, brought))
    assert [feed.terminal for feed in network.feeds] == ["battery positive"]


def test_a_name_makes_no_pole_and_no_body() -> None:
    """A signal called "minus" has a contact of its own; a stud called after the body is a stud."""
    supply, earth = supply_and_earth()
    signal = a_run("signal", "unit", "switch", conductors=(a_conductor("minus", load_a=0.0),))
    switch = a_terminal("switch", TerminalKind.CONNECTOR)
    network = network_of(a_circuit_job(supply, earth, signal), a_vehicle(UNIT, EARTH, switch))
    assert network.joined(network.pieces[2].start).isdisjoint(network.joined(Node("unit", "minus")))
    body = a_terminal(BODY.words, TerminalKind.UNIT, stud="M8")
    network = network_of(a_circuit_job(replace(supply, end=BODY.words), earth), a_vehicle(UNIT, EARTH, body))
    assert BODY not in network.joined(network.pieces[0].end)


def test_every_battery_charger_and_fuse_box_is_a_source_but_not_a_box_that_the_job_feeds() -> None:
    supply, earth = supply_and_earth(fuse=Fuse(None, is_at_both_ends=True))
    other = a_terminal("unit", TerminalKind.BATTERY_POST, stud="M8", pole=Pole.POSITIVE)
    network = network_of(a_circuit_job(supply, earth), a_vehicle(other, EARTH))
    assert [feed.terminal for feed in network.feeds] == ["battery positive", "unit"]
    (piece, _) = network.pieces
    assert piece.fused_at == (piece.start, piece.end)
    charger = a_terminal("unit", TerminalKind.UNIT, is_source=True)
    assert len(network_of(a_circuit_job(supply, earth), a_vehicle(charger, EARTH)).feeds) == 2
    box = a_terminal("unit", TerminalKind.FUSE_BOX, stud="M6")
    assert len(network_of(a_circuit_job(supply, earth), a_vehicle(box, EARTH)).feeds) == 1
