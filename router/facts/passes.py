"""Where the pass of a member is that a route takes, in words, so that a person finds it. Lengths in mm."""

from __future__ import annotations

from router.facts.along_route import positions_at
from router.model.plan import Passage, PassageKind, Route
from router.model.vehicle import Member, Point, Profile

_NEAREST_MM = 5.0
"""Where a loom crosses a member's top is given as finely as a tape reads."""


def place_in_words(member: Member, at: Point) -> str:
    """Return where a place on a member is: across the vehicle from its middle, else along from its datum.

    >>> across = Member("rear crossmember", "underfloor", ((2300, -650), (2300, 650)), 90, ())
    >>> place_in_words(across, (2300, -400)), place_in_words(across, (2300, 0))
    ('400 mm left of the middle', 'in the middle')
    >>> lengthwise = Member("left side member", "underfloor", ((0, -500), (2600, -500)), 90, ())
    >>> place_in_words(lengthwise, (1200, -500))
    '1200 mm behind the datum'
    """
    (x0_mm, y0_mm), (x1_mm, y1_mm) = member.along[0], member.along[-1]
    if abs(y1_mm - y0_mm) >= abs(x1_mm - x0_mm):
        side = "right" if at[1] > 0 else "left"
        return f"{abs(at[1]):.0f} mm {side} of the middle" if round(at[1]) else "in the middle"
    direction = "behind" if at[0] > 0 else "ahead of"
    return f"{abs(at[0]):.0f} mm {direction} the datum" if round(at[0]) else "at the datum"


def passed_name(profile: Profile, route: Route, passage: Passage) -> str:
    """Return the name of what is passed, and of a member with several passes where it is passed.

    Parameters
    ----------
    profile : Profile
        The vehicle, for its members and their passes.
    route : Route
        The route that passes something.
    passage : Passage
        What is passed, and from which station to which.
    """
    if passage.kind not in (PassageKind.OVER_MEMBER, PassageKind.THROUGH_MEMBER):
        return passage.name
    member = profile.member(passage.name)
    if len(member.passes) < 2:
        return passage.name
    return f"{passage.name} {place_in_words(member, _place(route, passage))}"


def _place(route: Route, passage: Passage) -> Point:
    """Return where a hole is, or where a loom crosses a member's top."""
    if passage.hole:
        return passage.hole.at
    middle_mm = (passage.from_station_mm + passage.to_station_mm) / 2
    at = positions_at(route, (middle_mm,))[0]
    return _NEAREST_MM * round(at.x_mm / _NEAREST_MM), _NEAREST_MM * round(at.y_mm / _NEAREST_MM)
