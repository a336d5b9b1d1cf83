"""Whether a loom can leave a terminal: it stands 100 mm above where looms lie, and a body may be between.

The loom is 10 mm thick and leaves straight down from 500 to 400 mm; a body keeps its clearance of 20 mm, so
that one straight under or over the terminal shuts it between 375 and 525 mm.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from small_vehicle import a_profile, a_run, box, disc, plain_practice, rectangle

from router.model.vehicle import Hazard, KeepOut, Member, OverPass, Space, SpaceKind, Step, Terminal
from router.routing import first_shut_end
from router.routing.loom_on_vehicle import LoomOnVehicle

FLOOR = Space("floor", 400.0, rectangle(0, 0, 2000, 1000), SpaceKind.UNDERFLOOR)
ENDS = (
    Terminal("post", "floor", (300.0, 500.0), 500.0, None),
    Terminal("lamp", "floor", (1700.0, 500.0), 400.0, None),
)
RUN = a_run("lamp", "post", "lamp")


def a_body(shape, *heights):
    return KeepOut("body", None, Hazard.SOLID, shape, heights, False, 20.0)


def shut_end(*, run=RUN, space=FLOOR, **parts):
    profile = a_profile(tolerance_mm=0.0, spaces=(space,), terminals=ENDS, **parts)
    return first_shut_end(LoomOnVehicle(profile, plain_practice(), 5.0), run)


@pytest.mark.parametrize(
    ("low_mm", "high_mm", "is_shut"),
    [
        (440.0, 460.0, True),  # half-way down: clear of the terminal and of where looms lie
        (524.0, 600.0, True),  # 19 mm over the loom at the terminal
        (526.0, 600.0, False),
        (300.0, 376.0, True),  # 19 mm under the loom where it lies
        (300.0, 374.0, False),
    ],
)
def test_a_body_in_the_way_of_the_drop_shuts_the_end(low_mm, high_mm, is_shut):
    found = shut_end(keep_outs=(a_body(box(250, 450, 350, 550), low_mm, high_mm),))
    assert (found is not None) == is_shut
    if found is not None:
        assert (found.terminal, found.by.name, found.heights_mm) == ("post", "body", (400.0, 500.0))


@pytest.mark.parametrize(("away_mm", "is_shut"), [(24.0, True), (26.0, False)])
def test_a_body_beside_the_drop_shuts_it_within_its_clearance(away_mm, is_shut):
    """Half-way down, its rim so far from the middle of the loom: 20 mm are asked, and 5 of the loom."""
    beside = a_body(disc(300.0, 500.0 + 50.0 + away_mm, 50.0), 440.0, 460.0)
    assert (shut_end(keep_outs=(beside,)) is not None) == is_shut


def test_an_end_at_the_height_where_looms_lie_has_no_drop():
    """The same body at the lamp, which is down there: 40 mm over the loom, less 5."""
    over = a_body(box(1650, 450, 1750, 550), 440.0, 460.0)
    assert shut_end(keep_outs=(over,)) is None
    assert shut_end(keep_outs=(over,), run=a_run("lamp", "lamp", "post")) is None
    low = replace(over, heights_mm=(424.0, 460.0))
    found = shut_end(keep_outs=(low,))
    assert found is not None and (found.terminal, found.heights_mm) == ("lamp", (400.0, 400.0))


def test_on_a_step_the_drop_ends_at_the_height_of_the_step():
    """The step lies at 470 mm: the body at 440 to 460 mm is then under the loom, by 5 mm, or by 25."""
    stepped = replace(FLOOR, steps=(Step(rectangle(200, 300, 400, 700), 470.0),))
    under = a_body(box(250, 450, 350, 550), 430.0, 450.0)
    found = shut_end(space=stepped, keep_outs=(under,))
    assert found is not None and found.heights_mm == (470.0, 500.0)
    assert shut_end(space=stepped, keep_outs=(replace(under, heights_mm=(430.0, 440.0)),)) is None


def test_an_end_over_a_member_is_shut_but_in_a_pass_of_it():
    """The member is 60 mm wide: with the loom, 35 mm to each side are its own."""
    across = ((334.0, 0.0), (334.0, 1000.0))
    member = Member("wall", "floor", across, 60.0, ())
    found = shut_end(members=(member,))
    assert found is not None and (found.terminal, found.by.name) == ("post", "wall")
    assert shut_end(members=(replace(member, along=((336.0, 0.0), (336.0, 1000.0))),)) is None
    over = OverPass((334.0, 400.0), (334.0, 600.0), 20.0)
    assert shut_end(members=(replace(member, passes=(over,)),)) is None
    assert shut_end(members=(replace(member, space="load area"),)) is None
