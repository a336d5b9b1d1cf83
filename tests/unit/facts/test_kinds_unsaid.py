"""A plan says where it rests on the most careful rule of all kinds."""

from __future__ import annotations

from dataclasses import replace

from small_vehicle import BATTERY, SPACES, a_job, a_profile, a_route, a_run

from router.facts import unsaid_kinds

ROUTE = a_route([(0, 0, 400), (100, 0, 400)], spaces=("underfloor", "zone"))


def test_only_what_lies_on_the_way_and_the_source_are_asked_for():
    unsaid = a_profile(
        spaces=tuple(replace(space, kind=None) for space in SPACES),
        terminals=(replace(BATTERY, kind=None), replace(BATTERY, name="other post", kind=None)),
    )
    told = [
        finding.what.partition(" has no kind")[0] for finding in unsaid_kinds(a_job(a_run()), unsaid, [ROUTE])
    ]
    assert told == ['space "underfloor"', 'space "zone"', 'terminal "battery positive"']


def test_nothing_is_said_where_every_kind_is():
    assert unsaid_kinds(a_job(a_run()), a_profile(terminals=(BATTERY,)), [ROUTE]) == ()
