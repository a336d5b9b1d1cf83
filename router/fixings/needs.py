"""What the practice asks of the fixings of a run: stretches that must have one, and the longest spans."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise

from router.facts import Segment, segments_of
from router.model.plan import PassageKind, Route
from router.model.practice import Practice, Rule
from router.model.vehicle import Profile

BEND_STRETCH_MM = 50.0
"""Turns within this length add up to one bend: an arc drawn in short steps is as sharp as a corner."""

_STRAIGHT_DEG = 1e-6
BEND = "bend"
"""Why a stretch beside a bend asks for a fixing."""

_EDGES = {
    PassageKind.OPENING: ("near an opening", "opening"),
    PassageKind.OVER_MEMBER: ("near a member", "member"),
    PassageKind.THROUGH_MEMBER: ("near a member", "member"),
}


@dataclass(frozen=True, slots=True)
class Need:
    """A closed stretch of stations that must have a fixing, what asks for it, where, and by which rule."""

    from_mm: float
    to_mm: float
    at_mm: float
    why: str
    rule: Rule

    def holds(self, station_mm: float) -> bool:
        """Return whether a station lies in the stretch."""
        return self.from_mm <= station_mm <= self.to_mm


@dataclass(frozen=True, slots=True)
class SpanLimits:
    """The rule for the longest span, space by space along one route."""

    stretches: tuple[tuple[float, float, Rule], ...]

    @classmethod
    def of(cls, route: Route, profile: Profile, practice: Practice) -> SpanLimits:
        """Return the spans allowed along a route."""
        return cls(
            tuple(
                (
                    segment.start.station_mm,
                    segment.end.station_mm,
                    practice.by_space("spacing", profile.space(segment.space).kind),
                )
                for segment in segments_of(route)
            )
        )._joined()

    def rule(self, from_mm: float, to_mm: float) -> Rule:
        """Return the strictest rule of the spaces that a span lies in."""
        touched = [rule for start, end, rule in self.stretches if start < to_mm and from_mm < end]
        return min(touched, key=lambda rule: rule.value)

    def longest_mm(self, from_mm: float, to_mm: float) -> float:
        """Return the longest span allowed between two stations."""
        return self.rule(from_mm, to_mm).value

    def _joined(self) -> SpanLimits:
        joined: list[tuple[float, float, Rule]] = []
        for start, end, rule in self.stretches:
            if joined and joined[-1][2] == rule:
                joined[-1] = (joined[-1][0], end, rule)
            else:
                joined.append((start, end, rule))
        return SpanLimits(tuple(joined))


def needs_of(route: Route, practice: Practice) -> tuple[Need, ...]:
    """Return every stretch of a route that must have a fixing, as far as the route there exists.

    A fixing keeps its own width away from ends, openings and members (practice "fixing: clear of an edge");
    a stretch that holds no more than that between an edge and the run's end is held by the end itself, and
    one that lies all in such an edge is held by what is asked for on both sides of it.
    """
    edge_mm = practice.value("fixing", "clear of an edge")
    first_mm, last_mm = edge_mm, route.routed_mm - edge_mm
    edges = closed_stretches(route, practice)
    asked = (*_at_ends(route, practice), *_at_passages(route, practice), *_at_bends(route, practice))
    clipped = (
        replace(need, from_mm=max(first_mm, need.from_mm), to_mm=min(last_mm, need.to_mm)) for need in asked
    )
    return tuple(
        need
        for need in clipped
        if need.from_mm <= need.to_mm and not any(a < need.from_mm and need.to_mm < b for a, b in edges)
    )


def closed_stretches(route: Route, practice: Practice) -> tuple[tuple[float, float], ...]:
    """Return the open stretches of stations round openings and members where nothing can be fixed."""
    edge_mm = practice.value("fixing", "clear of an edge")
    passed = sorted(
        (passage.from_station_mm - edge_mm, passage.to_station_mm + edge_mm)
        for passage in route.passages
        if passage.kind in _EDGES
    )
    joined: list[tuple[float, float]] = []
    for start, end in passed:
        if joined and start < joined[-1][1]:
            joined[-1] = (joined[-1][0], max(end, joined[-1][1]))
        else:
            joined.append((start, end))
    return tuple(joined)


def _at_ends(route: Route, practice: Practice) -> Iterator[Need]:
    rule = practice.rule("fixing", "near an end")
    yield Need(0.0, rule.value, 0.0, "end", rule)
    yield Need(route.routed_mm - rule.value, route.routed_mm, route.routed_mm, "end", rule)


def _at_passages(route: Route, practice: Practice) -> Iterator[Need]:
    edge_mm = practice.value("fixing", "clear of an edge")
    for passage in route.passages:
        if passage.kind in _EDGES:
            key, word = _EDGES[passage.kind]
            stretch = (passage.from_station_mm, passage.to_station_mm)
            yield from _both_sides(stretch, f"{word} {passage.name}", practice.rule("fixing", key), edge_mm)


def _at_bends(route: Route, practice: Practice) -> Iterator[Need]:
    rule = practice.rule("fixing", "near a bend")
    for bend in sharp_bends(route, practice):
        yield from _both_sides(bend, BEND, rule)


def _both_sides(stretch: tuple[float, float], why: str, rule: Rule, edge_mm: float = 0.0) -> Iterator[Need]:
    from_mm, to_mm = stretch
    yield Need(from_mm - rule.value, from_mm - edge_mm, from_mm, why, rule)
    yield Need(to_mm + edge_mm, to_mm + rule.value, to_mm, why, rule)


def sharp_bends(route: Route, practice: Practice) -> tuple[tuple[float, float], ...]:
    """Return from and to station of each bend that turns by more than practice "fixing: sharp bend".

    A corner that is sharp by itself is a bend of its own, however near milder ones are, which add up. A rise
    or drop shorter than practice "fixing: near a bend" is laid as a slope and is no bend.
    """
    limit_deg = practice.value("fixing", "sharp bend")
    shortest_mm = practice.value("fixing", "near a bend")
    legs = [
        segment for segment in segments_of(route) if not (segment.is_rise and segment.length_mm < shortest_mm)
    ]
    corners = [
        (before.end.station_mm, after.start.station_mm, turn_deg(before, after))
        for before, after in pairwise(legs)
    ]
    bends: list[tuple[float, float]] = []
    first = 0
    while first < len(corners):
        last = _last_of_bend(corners, first, limit_deg)
        if last is not None:
            bends.append((corners[first][0], corners[last][1]))
            first = last
        first += 1
    return tuple(bends)


def _last_of_bend(corners: list[tuple[float, float, float]], first: int, limit_deg: float) -> int | None:
    """Return the corner at which the turn from corner `first` on exceeds the limit, if it soon does."""
    turned_deg = 0.0
    for index in range(first, len(corners)):
        station_mm, _, own_deg = corners[index]
        is_another = index > first and own_deg > limit_deg + _STRAIGHT_DEG
        if is_another or station_mm - corners[first][0] > BEND_STRETCH_MM:
            return None
        turned_deg += own_deg
        if turned_deg > limit_deg + _STRAIGHT_DEG:
            return index
    return None


def turn_deg(before: Segment, after: Segment) -> float:
    """Return the angle by which the direction changes, 0 to 180 degrees, exact for small turns too."""
    half_chord = math.dist(before.direction(), after.direction()) / 2
    return math.degrees(2 * math.asin(min(1.0, half_chord)))
