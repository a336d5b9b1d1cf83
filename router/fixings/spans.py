"""What each span of a run rests on between the fixings that hold it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from router.facts import segments_of
from router.fixings.needs import SpanLimits
from router.model.plan import Passage, PassageKind, Route, Span
from router.model.practice import Practice
from router.model.vehicle import Profile

LEAST_NAMED_MM = 1.0
"""What a span rests on for less than this says nothing to a person."""
ON_NOTHING = "nothing"

_MEMBERS = {
    PassageKind.OVER_MEMBER: "over {}",
    PassageKind.THROUGH_MEMBER: "hole of {}",
}


def spans_along(
    route: Route, stations_mm: Sequence[float], profile: Profile, practice: Practice
) -> tuple[Span, ...]:
    """Return the spans of a run between its ends and fixings, by station: what they rest on, which rule.

    A span rests on the support that the route follows there, on a member that it passes over, in the hole
    of one; elsewhere on nothing, and hangs free between what holds it.

    Parameters
    ----------
    route : Route
        The route of the run, stations in true length.
    stations_mm : sequence of float
        Stations of its fixings, rising, from 0 to the routed length. [mm]
    profile : Profile
        The vehicle, for the kinds of its spaces.
    practice : Practice
        Group "spacing", for the longest span.
    """
    allowed = SpanLimits.of(route, profile, practice)
    rests = tuple(_rests(route))
    held_mm = (0.0, *stations_mm, route.routed_mm)
    return tuple(
        Span(before_mm, after_mm, _named(rests, before_mm, after_mm), allowed.rule(before_mm, after_mm))
        for before_mm, after_mm in pairwise(held_mm)
        if after_mm > before_mm
    )


def _rests(route: Route) -> Iterator[tuple[float, float, str]]:
    """Yield stretches of a route in its order with what it rests on there."""
    members = [passage for passage in route.passages if passage.kind in _MEMBERS]
    for segment in segments_of(route):
        cuts = {segment.start.station_mm, segment.end.station_mm}
        for member in members:
            cuts |= {
                station
                for station in (member.from_station_mm, member.to_station_mm)
                if segment.start.station_mm < station < segment.end.station_mm
            }
        for from_mm, to_mm in pairwise(sorted(cuts)):
            passed = _passed(members, (from_mm + to_mm) / 2)
            yield from_mm, to_mm, passed or segment.start.along or ON_NOTHING


def _passed(members: Sequence[Passage], station_mm: float) -> str | None:
    for member in members:
        if member.from_station_mm <= station_mm <= member.to_station_mm:
            return _MEMBERS[member.kind].format(member.name)
    return None


def _named(rests: Sequence[tuple[float, float, str]], before_mm: float, after_mm: float) -> tuple[str, ...]:
    lengths_mm: dict[str, float] = {}
    for from_mm, to_mm, name in rests:
        shared_mm = min(to_mm, after_mm) - max(from_mm, before_mm)
        if shared_mm > 0:
            lengths_mm[name] = lengths_mm.get(name, 0.0) + shared_mm
    named = tuple(name for name, length_mm in lengths_mm.items() if length_mm >= LEAST_NAMED_MM)
    return named or tuple(lengths_mm) or (ON_NOTHING,)
