"""A trailer-lighting unit's supply is fused at 10 A, at the battery.

Common practice, no source.
"""

from __future__ import annotations

import pytest
from conductor_cases import a_circuit_job, a_return, by_name, choose, fuse_of
from small_vehicle import a_conductor, a_run

from router.model.job import Duty, Fuse


def trailer_job(fuse: Fuse):
    """Tail lamps continuous, stop and turn intermittent, fed by the unit; 21 W and 5 W lamps at 12 V."""
    supply = a_run("supply", end="unit", conductors=(a_conductor("supply", load_a=0.05),), fuse=fuse)
    earth = a_run("earth", "unit", "rear earth stud", conductors=(a_return("earth", "supply"),))
    lead = a_run(
        "lead",
        "unit",
        "trailer socket",
        conductors=(
            a_return("white", "brown", "yellow", "green"),
            a_conductor("brown", colour="brown", load_a=6 * 5 / 12, fed_by="supply"),
            a_conductor(
                "yellow", colour="yellow", load_a=2 * 21 / 12, fed_by="supply", duty=Duty.INTERMITTENT
            ),
            a_conductor("green", colour="green", load_a=21 / 12, fed_by="supply", duty=Duty.INTERMITTENT),
        ),
    )
    return a_circuit_job(supply, earth, lead, drop=0.05)


@pytest.mark.parametrize("fuse", [Fuse(None), Fuse(10.0)])
def test_10_a_at_the_battery(fuse):
    found = choose(trailer_job(fuse), {"supply": 6000.0, "earth": 800.0, "lead": 900.0})
    chosen = fuse_of(found)
    assert (chosen.rating_a, chosen.colour) == (10.0, "red")
    assert chosen.station_mm <= 100.0
    assert not found.findings


def test_every_conductor_of_the_lead_is_protected_by_it():
    choices = by_name(choose(trailer_job(Fuse(None)), {"supply": 6000.0, "earth": 800.0, "lead": 900.0}))
    assert {"white", "brown", "yellow", "green"} <= choices.keys()
    assert all(choice.ampacity_a >= 10.0 for choice in choices.values())
