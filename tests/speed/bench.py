"""How fast the planner is, beside yardsticks measured in the same run: `python tests/speed/bench.py`.

Prints ratios to be read by a person; nothing here passes or fails by time. With the extra `bench` installed
(an environment of its own is best: the peer asks for an older numpy) a general-purpose visibility-graph
library, extremitypathfinder with its compiler warmed up, answers the same questions on the same polygons.

    python tests/speed/bench.py                    everything but the slow peer run at 200 keep-outs
    python tests/speed/bench.py one-factor drag    only these parts
    python tests/speed/bench.py --peer-up-to 200   lets the peer build 200 keep-outs too, which takes a minute
    python tests/speed/bench.py --quick            only the targets, in less than a minute on two processors
    python tests/speed/bench.py --json             only the targets, as JSON; with --quick too

Times are processor time of this process (or of the child process), so that other work on the machine disturbs
them little; read ratios, not milliseconds.
"""

from __future__ import annotations

import argparse
import json
import math
import os
import platform
import statistics
import warnings
from collections.abc import Callable, Iterable
from dataclasses import replace
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import Any

import numpy as np
import shapely
from clocks import ROOT, settle, timed
from dragging import drags_ms
from speed_worlds import Case, make_case, plain_world, varied_world
from targets import QUICK, WHOLE, measured, told

from router.planning import make_plan
from router.reading import read_question
from router.routing.grounds import STEP_MM
from router.search import path_search
from router.search.k_best import best_path
from router.search.path_search import Ask, find_path
from router.search.sight_graph import SightGraph

SIZES = (20, 50, 100, 200, 1_000, 10_000)
FINER_MM = (50.0, 20.0, 10.0)
"""Steps of the grounds on which better ways are looked for; the best path of all counts as the best known."""
REPEATS = 5
MOST_REPEATS = 15
"""How often we build and ask everything, each time from nothing; the least time of each question counts.

Work of a millisecond is disturbed by other work on the machine more than work of many: it takes more rounds
until each question was asked once in peace.
"""
PEER_REPEATS = 3
"""How often the peer is asked everything."""
DRAGS = 60


def main() -> None:
    """Run the parts that are asked for, all by default."""
    parts = {"one-factor": one_factor, "factors": factors, "drag": drag, "targets": targets}
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    options.add_argument("parts", nargs="*", metavar="PART", help=f"of {', '.join(parts)}; default: all")
    options.add_argument("--peer-up-to", type=int, default=100, help="most keep-outs that the peer is given")
    options.add_argument("--up-to", type=int, default=SIZES[-1], help="most keep-outs in any world")
    options.add_argument("--json", action="store_true", help="nothing but the targets, as JSON")
    options.add_argument("--quick", action="store_true", help="only the targets, in less than a minute")
    chosen = options.parse_args()
    if chosen.json or chosen.quick:
        chosen.parts = ["targets"]
    if not chosen.json:
        print_machine()
    for name, part in parts.items():
        if not chosen.parts or name in chosen.parts:
            part(chosen)


def print_machine() -> None:
    """Print what the figures were measured with."""
    names = ("numpy", "shapely", "extremitypathfinder", "numba", "click", "pydantic", "svgwrite", "PyYAML")
    print(f"Python {platform.python_version()} on {platform.machine()}, {os.cpu_count()} processors,")
    print(f"load {os.getloadavg()[0]:.1f}; " + ", ".join(f"{n} {_version(n)}" for n in names))
    print(f"yardstick: sorting 1,000,000 random numbers with numpy takes {yardstick_ms():.1f} ms")


def _version(name: str) -> str:
    try:
        return version(name)
    except PackageNotFoundError:
        return "not installed"


def yardstick_ms() -> float:
    """Return what this machine takes for a fixed piece of numpy's work. [ms]."""
    numbers = np.random.default_rng(1).random(1_000_000)
    return min(timed(lambda: np.sort(numbers))[0] for _ in range(REPEATS))


def verdict(
    what: str, ratio: float, *, at_most: float = math.inf, at_least: float = 0.0, unit: str = ""
) -> None:
    """Print a target beside what was measured."""
    met = "met" if at_least <= ratio <= at_most else "NOT MET"
    target = f"at most {at_most:.4g}" if at_most < math.inf else f"at least {at_least:.4g}"
    print(f"  {what}: {ratio:.4g}{unit}; target {target}{unit}: {met}")


# --- one factor everywhere ---------------------------------------------------------------------------------


def one_factor(chosen: argparse.Namespace) -> None:
    """Print build and query against the peer's, and how both grow."""
    print("\nOne factor: build with the first query, 60 further queries (median, 95th percentile), in ms")
    print("  keep-outs vertices     build    query     95 % | peer:  build    query  differs | ratios")
    peer_ready = _warm_peer()
    own: dict[int, tuple[float, float]] = {}
    shares: dict[int, tuple[float, float]] = {}
    for size in (s for s in SIZES if s <= chosen.up_to):
        case = make_case(size)
        build_ms, query_ms, lengths = _own_one_factor(case)
        own[size] = build_ms, statistics.median(query_ms)
        line = f"  {size:9d} {case.vertices:8d} {build_ms:9.2f} {own[size][1]:8.3f} {_tail(query_ms):8.2f}"
        if peer_ready and size <= chosen.peer_up_to:
            peer_build, peer_query, others = _peer(case)
            shares[size] = build_ms / (peer_build + peer_query), own[size][1] / peer_query
            differs = sum(not math.isclose(a, b, rel_tol=1e-9) for a, b in zip(lengths, others, strict=True))
            line += f" | {peer_build:12.0f} {peer_query:8.2f} {differs:8d}"
            line += f" | 1/{1.0 / shares[size][0]:.0f}, 1/{1.0 / shares[size][1]:.0f}"
        print(line, flush=True)
    _judge_shares(shares)
    _judge_growth(own)


def _judge_shares(shares: dict[int, tuple[float, float]]) -> None:
    if 100 not in shares:
        print("  no peer beside it at 100 keep-outs: install '.[bench]' in an environment of its own")
        return
    print("  differs: answers that are not equal to 1e-9; tests/exact judges who is right then")
    verdict(
        "building and one query at 100 keep-outs: the peer's time by", 1.0 / shares[100][0], at_least=700.0
    )
    verdict("one further query at 100 keep-outs: the peer's time by", 1.0 / shares[100][1], at_least=60.0)


def _judge_growth(own: dict[int, tuple[float, float]]) -> None:
    for few, many in ((100, 1_000), (1_000, 10_000)):
        if many in own:
            power = math.log(own[many][0] / own[few][0]) / math.log(many / few)
            verdict(
                f"building from {few} to {many} keep-outs grows with n to the power of", power, at_most=1.3
            )
            verdict(f"query at {many} keep-outs, times the build", own[many][1] / own[many][0], at_most=1.0)


def _own_one_factor(case: Case) -> tuple[float, list[float], list[float]]:
    """Return build with first query, further queries, and the ways' lengths."""
    world = plain_world(case)
    sites = tuple((0, end) for end in case.pairs[0])

    def build() -> SightGraph:
        graph = SightGraph(world, sites, STEP_MM)
        find_path(graph, Ask(0, 1))
        return graph

    settle()
    repeats = MOST_REPEATS if case.keep_outs <= 200 else REPEATS if case.keep_outs <= 1_000 else 1
    builds, rounds = [], []
    for _ in range(repeats):
        build_ms, graph = timed(build)
        builds.append(build_ms)
        rounds.append([timed(lambda pair=pair, on=graph: _moved(on, *pair)) for pair in case.pairs])
    return min(builds), _least(rounds), [way.effort_mm for _, way in rounds[-1]]


def _least(rounds: list[list[tuple[float, Any]]]) -> list[float]:
    """Return by question the least time of all rounds."""
    return [min(ms for ms, _ in asked) for asked in zip(*rounds, strict=True)]


def _moved(
    graph: SightGraph,
    start: tuple[float, float],
    end: tuple[float, float],
    find: Callable[[SightGraph, Ask], path_search.Path | None] = find_path,
) -> Path:
    graph.move_site(0, *start)
    graph.move_site(1, *end)
    way = find(graph, Ask(0, 1))
    assert way is not None, (start, end)
    return way


def _tail(values: Iterable[float]) -> float:
    return float(np.percentile(list(values), 95))


def _warm_peer() -> bool:
    """Let the peer compile what it compiles; say whether it is there."""
    try:
        _peer(make_case(5, pairs=2))
    except ImportError:
        return False
    return True


def _peer(case: Case) -> tuple[float, float, list[float]]:
    """Return the peer's build, its median query, and the lengths it finds."""
    from extremitypathfinder import PolygonEnvironment

    boundary = list(shapely.geometry.polygon.orient(case.free).exterior.coords)[:-1]
    holes = [list(ring.coords)[:-1] for ring in shapely.geometry.polygon.orient(case.free).interiors]
    environment = PolygonEnvironment()

    def build() -> None:
        environment.store(boundary, holes, validate=False)
        environment.prepare()

    settle()
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        build_ms, _ = timed(build)
    settle()
    rounds = [
        [timed(lambda pair=pair: environment.find_shortest_path(*pair)[1]) for pair in case.pairs]
        for _ in range(PEER_REPEATS)
    ]
    return build_ms, statistics.median(_least(rounds)), [length or math.nan for _, length in rounds[-1]]


# --- different factors -------------------------------------------------------------------------------------


def factors(chosen: argparse.Namespace) -> None:
    """Print cost against the one-factor case, and effort against the best known way."""
    print(
        f"\nDifferent factors: zones and two supports, a vertex every {STEP_MM:g} mm, near ways polished [ms]"
    )
    print("  keep-outs  build + 1 query    query | one factor: build + 1 query    query")
    for size in (s for s in SIZES[:4] if s <= chosen.up_to):
        case = make_case(size)
        plain_ms, plain_query, _ = _own_one_factor(case)
        build_ms, query_ms, _ = _own_factors(case, STEP_MM)
        line = f"  {size:9d} {build_ms:16.1f} {query_ms:8.2f} |"
        print(f"{line} {plain_ms:27.2f} {statistics.median(plain_query):8.3f}", flush=True)
    _judge_steps(make_case(100))


def _judge_steps(case: Case) -> None:
    """Print cost and effort by the spacing of vertices on borders and supports."""
    plain_ms, *_ = _own_one_factor(case)
    own = {step: _own_factors(case, step) for step in (STEP_MM, *FINER_MM)}
    best = np.min([efforts for *_, efforts in own.values()], axis=0)
    print(
        "  at 100 keep-outs: vertex every   build + 1 query, times one factor   over the best: median, worst"
    )
    for step, (build_ms, _, efforts) in own.items():
        excess = (np.array(efforts) / best - 1.0) * 100.0
        ratio = f"{build_ms:10.1f} {build_ms / plain_ms:21.2f}"
        print(f"  {step:25.0f} mm {ratio} {np.median(excess):25.4f} %, {excess.max():.4f} %")
    build_ms, _, efforts = own[STEP_MM]
    worst = float((np.array(efforts) / best - 1.0).max() * 100.0)
    verdict("effort over the best known, worst of 60 pairs", worst, at_most=0.05, unit=" %")
    verdict("building and one query, times one factor", build_ms / plain_ms, at_most=2.0)


def _own_factors(case: Case, step_mm: float) -> tuple[float, float, list[float]]:
    """Return build with first query and median further query in ms, and all efforts."""
    world = varied_world(case)
    sites = tuple((0, end) for end in case.pairs[0])

    def build() -> SightGraph:
        graph = SightGraph(world, sites, step_mm)
        best_path(graph, Ask(0, 1))
        return graph

    built = [timed(build) for _ in range(1 if step_mm < STEP_MM else REPEATS)]
    graph = built[-1][1]
    asked = [timed(lambda pair=pair: _moved(graph, *pair, best_path)) for pair in case.pairs]
    return (
        min(ms for ms, _ in built),
        statistics.median(ms for ms, _ in asked),
        [w.effort_mm for _, w in asked],
    )


# --- dragging ----------------------------------------------------------------------------------------------


def drag(_: argparse.Namespace) -> None:
    """Print what it takes to answer while an end is dragged about on the largest shipped profile."""
    examples = [path.parent for path in sorted((ROOT / "examples").glob("*/job.yaml"))]
    questions = [(path.name, read_question(path)) for path in examples if path.name != "no-way"]
    name, question = max(questions, key=lambda pair: _things(pair[1].profile))
    print(f"\nDragging an end: {question.profile.name}, example {name}, {_things(question.profile)} things")
    plan = make_plan(question.job, question.profile, question.practice)
    drawn = drags_ms(question, plan.loom_diameter_mm, DRAGS)
    answered = [ms for ms in drawn if ms is not None]
    print(
        f"  way, polish and route in space at {len(answered)} of {len(drawn)} places; the others are not free"
    )
    median_ms = statistics.median(answered)
    ratio = median_ms / yardstick_ms()
    print(f"  95th percentile {_tail(answered):.1f} ms; the median is {ratio:.2f} times the yardstick")
    verdict("median", median_ms, at_most=30.0, unit=" ms")


def _things(profile: Any) -> int:
    return sum(
        len(part)
        for part in (profile.keep_outs, profile.members, profile.supports, profile.covers, profile.openings)
    )


# --- targets -----------------------------------------------------------------------------------------------


def targets(chosen: argparse.Namespace) -> None:
    """Print every target of whole plans, growth and cold starts; with --json nothing but that, as data."""
    figures = told(measured(_factor_ratio, QUICK if chosen.quick else WHOLE))
    if chosen.json:
        print(json.dumps(figures, indent=2))
        return
    print("\nTargets: processor time where nothing else is said")
    for each in figures["targets"]:
        met = "met" if each["met"] else "NOT MET"
        value = "not measured" if each["value"] is None else f"{each['value']:g}"
        print(f"  {each['name']}: {value}; target at most {each['target']:g}: {met}")


def _factor_ratio() -> float:
    """Return what building and one query takes with different factors, times one factor, at 100 keep-outs."""
    case = make_case(100)
    case = replace(case, pairs=case.pairs[:1])
    return _own_factors(case, STEP_MM)[0] / _own_one_factor(case)[0]


if __name__ == "__main__":
    main()
