"""How long to cut the conductors of a run, and how sure that length is.

Routed length plus allowances, each with its place, reason and rule, plus a margin for measuring errors,
rounded up to the shop's step. Rises and drops are part of the routed length and are not added again.

The uncertainty follows the GUM: every measured coordinate of the route is a rectangular quantity of half
width `profile.tolerance_mm`, or as far off as what it lies at is assumed to be; its sensitivity is the change
of the routed length when it moves.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import groupby, pairwise
from statistics import NormalDist

from router.facts import corner_tolerances, positions_at, segments_of, service_loop
from router.model.job import Run
from router.model.plan import Allowance, PassageKind, Route, RoutePoint, RunLength
from router.model.practice import Practice
from router.model.vehicle import Faces, OverPass, Profile
from router.tolerances import LENGTH_ROUNDING_MM

ONE_PLACE_MM = 60.0
"""Corners nearer together are the chords of one bend round one measured place: they move together."""

COVERAGE_FACTOR = 2.0
"""Coverage factor of an expanded uncertainty: about 95 % of a normal distribution."""

_RISE_BEGINS_WITHIN_MM = 300.0
"""How far before a member a route over it may begin to rise."""


def measure_run(
    run: Run, route: Route, profile: Profile, practice: Practice, widest_wire_mm: float = 0.0
) -> RunLength:
    """Return how long to cut each conductor of a run, with every allowance and the uncertainty.

    Parameters
    ----------
    run : Run
        The run, for its two ends.
    route : Route
        Its route; stations in true length. [mm]
    profile : Profile
        The vehicle, for its terminals, its measuring tolerance and what is assumed in it. [mm]
    practice : Practice
        Group "length", "bend" for loops, and "spacing" for the spans.
    widest_wire_mm : float, optional
        Outside of its thickest conductor; 0 where none is chosen yet: it may make the service loop larger.

    Returns
    -------
    RunLength
        `routed_mm + sum of allowances <= cut_mm`, and less than a cut step below it.
    """
    errors = tuple(_errors(route, corner_tolerances(route, profile)))
    standard_mm = combined_uncertainty(rectangular(half_mm) * shift for half_mm, shift in errors)
    loop = _service_loop(run, widest_wire_mm, practice)
    allowances = (*_end_allowances(run, profile, practice), loop, *_along(route, profile, practice))
    needed_mm = route.routed_mm + sum(allowance.length_mm for allowance in allowances)
    margin_mm = margin_against_too_short(standard_mm, practice.value("length", "too-short chance"))
    cut_mm = round_up(needed_mm + margin_mm, practice.value("length", "cut step"))
    chance = chance_too_short(cut_mm - needed_mm, standard_mm)
    margin = Allowance(
        f"measuring errors (standard uncertainty {standard_mm:.1f} mm); chance that the cut is too short: "
        f"{_percent(chance)}",
        margin_mm,
        practice.rule("length", "too-short chance"),
    )
    return RunLength(
        run=run.name,
        routed_mm=route.routed_mm,
        allowances=(*allowances, margin),
        uncertainty_mm=COVERAGE_FACTOR * standard_mm,
        worst_case_mm=_worst_case(errors),
        cut_mm=cut_mm,
    )


def _percent(chance: float) -> str:
    return "under 0.1 %" if chance < 0.001 else f"{100 * chance:.1f} %"


# What is added, and why


def _end_allowances(run: Run, profile: Profile, practice: Practice) -> Iterator[Allowance]:
    for terminal_name in (run.start, run.end):
        yield _end_make_up(terminal_name, practice)
        terminal = profile.terminal(terminal_name)
        if terminal.is_connector and terminal.faces is Faces.UP:
            why = f"drip loop before the upright connector at {terminal_name}"
            yield _by_rule(why, practice, "drip loop")


def _service_loop(run: Run, wire_mm: float, practice: Practice) -> Allowance:
    """Return the slack beside a run's start: a loop as large as its bend radius asks, or a swept end."""
    loop = service_loop(wire_mm, practice)
    why = f"service loop, bundled and secured beside {run.start}"
    if loop.is_swept:
        why = f"swept end beside {run.start}, secured; {loop.words}"
    elif wire_mm > 0:
        why += f": {loop.words}"
    return Allowance(why, loop.slack_mm, practice.rule("length", "service loop"))


def _along(route: Route, profile: Profile, practice: Practice) -> Iterator[Allowance]:
    yield from _turns_into_bores(route, practice)
    yield from _play(route, profile, practice)
    yield from _rises_left_out(route, profile)
    yield from _sag_by_space(route, profile, practice)


def _by_rule(why: str, practice: Practice, key: str) -> Allowance:
    return Allowance(why, practice.value("length", key), practice.rule("length", key))


def _end_make_up(terminal_name: str, practice: Practice) -> Allowance:
    once_mm = practice.value("length", "end make-up")
    times = 1.0 + practice.value("length", "re-terminations")
    why = f"end at {terminal_name}: make-up of {once_mm:g} mm, {times:g} times (now and when made again)"
    return Allowance(why, times * once_mm, practice.rule("length", "re-terminations"))


def _turns_into_bores(route: Route, practice: Practice) -> Iterator[Allowance]:
    for before, after in pairwise(route.points):
        if before.space != after.space:
            yield _by_rule(
                f"turn into the bore from {before.space} to {after.space}", practice, "turn into a bore"
            )


def _play(route: Route, profile: Profile, practice: Practice) -> Iterator[Allowance]:
    """Yield a bow of slack at each opening whose two sides move against each other."""
    rule = practice.rule("length", "play")
    for passage in route.passages:
        if passage.kind is not PassageKind.OPENING:
            continue
        moves_mm = profile.opening(passage.name).moves_mm
        if moves_mm > 0:
            why = f"play at {passage.name}, whose two sides move {moves_mm:g} mm: {rule.value:g} times that"
            yield Allowance(why, rule.value * moves_mm, rule)


def _rises_left_out(route: Route, profile: Profile) -> Iterator[Allowance]:
    """Yield the rise and drop at each member passed over, where the route was drawn level."""
    for passage in route.passages:
        if not isinstance(passage.taken, OverPass):
            continue
        stretch = (
            passage.from_station_mm - _RISE_BEGINS_WITHIN_MM,
            passage.to_station_mm + _RISE_BEGINS_WITHIN_MM,
        )
        ends = positions_at(route, (passage.from_station_mm, passage.to_station_mm))
        heights_mm = [position.z_mm for position in ends]
        heights_mm += [p.z_mm for p in route.points if stretch[0] <= p.station_mm <= stretch[1]]
        missing_mm = passage.taken.rise_mm - (max(heights_mm) - min(heights_mm))
        if missing_mm > profile.tolerance_mm:
            yield Allowance(f"up over {passage.name} and down again, not drawn", 2.0 * missing_mm, None)


def _sag_by_space(route: Route, profile: Profile, practice: Practice) -> Iterator[Allowance]:
    lengths_mm: dict[str, float] = {}  # a shorter span sags less, in proportion: it goes with the length
    for segment in segments_of(route):
        lengths_mm[segment.space] = lengths_mm.get(segment.space, 0.0) + segment.length_mm
    sag_mm = practice.value("length", "sag")
    for space, length_mm in lengths_mm.items():
        span_mm = practice.by_space("spacing", profile.space(space).kind).value
        spans = math.ceil(length_mm / span_mm - 1e-9)
        word = "span" if spans == 1 else "spans"
        why = f"sag of {sag_mm:g} mm at most on {spans} {word} of {span_mm:g} mm in {space}"
        added_mm = spans * sag_excess_mm(min(sag_mm, span_mm / 4), span_mm)
        yield Allowance(why, added_mm, practice.rule("length", "sag"))


def sag_excess_mm(sag_mm: float, span_mm: float) -> float:
    """Return how much longer than its span a shallow parabola is.

    Parameters
    ----------
    sag_mm : float
        Depth at mid span, 0 to a quarter of the span. [mm]
    span_mm : float
        Distance between the fixings, above 0. [mm]

    Raises
    ------
    ValueError
        Outside these ranges: the first term of the series is no longer good enough.

    References
    ----------
    First term of the arc length of a parabola, 8 s^2 / (3 c).

    Examples
    --------
    1/2 in on 24 in (FAA AC 43.13-1B par. 11-96, 11-118) is 1/36 in:

    >>> round(sag_excess_mm(12.7, 609.6), 3)
    0.706
    """
    if not (span_mm > 0 and 0 <= sag_mm <= span_mm / 4):
        raise ValueError(f"sag {sag_mm:g} mm on a span of {span_mm:g} mm is no shallow parabola")
    return 8 * sag_mm**2 / (3 * span_mm)


# How sure the length is


def rectangular(half_width: float) -> float:
    """Return the standard uncertainty of a quantity known to lie within +/- `half_width` (GUM 4.3.7)."""
    return half_width / math.sqrt(3)


def combined_uncertainty(contributions: Iterable[float]) -> float:
    """Return the root of the sum of squares of uncorrelated contributions c_i u(x_i) (GUM eq. 10)."""
    return math.sqrt(sum(contribution**2 for contribution in contributions))


def worst_case(half_width: float, sensitivities: Iterable[float]) -> float:
    """Return the change when every quantity is off by its half width in the worse direction."""
    return half_width * sum(abs(sensitivity) for sensitivity in sensitivities)


def margin_against_too_short(standard_mm: float, chance: float) -> float:
    """Return the margin that leaves this chance (above 0, up to 0.5) that a normal error exceeds it."""
    return NormalDist().inv_cdf(1 - chance) * standard_mm


def chance_too_short(spare_mm: float, standard_mm: float) -> float:
    """Return the chance that a normal error of this standard uncertainty exceeds what is spare."""
    if standard_mm == 0:
        return 0.0
    return 1 - NormalDist().cdf(spare_mm / standard_mm)


def round_up(length_mm: float, step_mm: float) -> float:
    """Return the least multiple of the step that is no shorter, a millionth of a millimetre forgiven."""
    return math.ceil((length_mm - LENGTH_ROUNDING_MM) / step_mm) * step_mm


def _errors(
    route: Route, tolerances_mm: Mapping[RoutePoint, tuple[float, float]]
) -> Iterator[tuple[float, float]]:
    """Yield how far off every measured coordinate of a route may be, with d(length)/d(coordinate).

    A place's x and y are shared by the points of a rise there and by the chords of a bend round it; a height
    is shared by all points of one space that lie at it.
    """
    gradients = _gradients(route)
    for place in _places(gradients):
        half_mm = max(tolerances_mm[point][0] for point, _ in place)
        yield half_mm, sum(gradient[0] for _, gradient in place)
        yield half_mm, sum(gradient[1] for _, gradient in place)
    heights: dict[tuple[str, float], tuple[float, float]] = {}
    for point, gradient in gradients:
        level = (point.space, round(point.z_mm, 6))
        half_mm, shift = heights.get(level, (0.0, 0.0))
        heights[level] = max(half_mm, tolerances_mm[point][1]), shift + gradient[2]
    yield from heights.values()


def _worst_case(errors: Sequence[tuple[float, float]]) -> float:
    """Return the change when every coordinate is off by its own half width in the worse direction."""
    halves_mm = sorted({half_mm for half_mm, _ in errors})
    return math.fsum(
        worst_case(mm, (shift for half_mm, shift in errors if half_mm == mm)) for mm in halves_mm
    )


_Gradient = tuple[float, float, float]


def _gradients(route: Route) -> list[tuple[RoutePoint, _Gradient]]:
    """Return each corner with the change of length when it moves: direction in, less direction out."""
    segments = segments_of(route)
    if not segments:
        return []  # both ends are one place
    nothing = (0.0, 0.0, 0.0)
    ways_in = (nothing, *(segment.direction() for segment in segments))
    ways_out = (*(segment.direction() for segment in segments), nothing)
    corners = (segments[0].start, *(segment.end for segment in segments))
    return [
        (corner, (a[0] - b[0], a[1] - b[1], a[2] - b[2]))
        for corner, a, b in zip(corners, ways_in, ways_out, strict=True)
    ]


def _places(
    gradients: list[tuple[RoutePoint, _Gradient]],
) -> Iterator[list[tuple[RoutePoint, _Gradient]]]:
    """Yield groups of corners that belong to one measured point."""
    numbers = [0] * bool(gradients)
    for (before, _), (here, _) in pairwise(gradients):
        is_next = math.dist((before.x_mm, before.y_mm), (here.x_mm, here.y_mm)) >= ONE_PLACE_MM
        numbers.append(numbers[-1] + is_next)
    for _, members in groupby(zip(numbers, gradients, strict=True), key=lambda item: item[0]):
        yield [gradient for _, gradient in members]
