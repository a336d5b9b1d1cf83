"""Good routes with one random fault each, and whether the review finds it.

`python tests/study/fault_study.py 1000 40` breaks runs of the examples and of 40 random vehicles and prints
a table.
"""

from __future__ import annotations

import signal
import sys
from collections import Counter
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from random import Random

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "support")]  # run as a script, it finds what pytest does

from random_vehicles import random_job, random_vehicle, with_panels  # noqa: E402
from small_vehicle import a_job, a_run, default_practice  # noqa: E402

from router.errors import NoAnswerError  # noqa: E402
from router.judging import judge_route  # noqa: E402
from router.lessons.broken import FAULT_MAKERS, Broken, GoodRun  # noqa: E402
from router.model.job import Apart, Job  # noqa: E402
from router.model.plan import Plan  # noqa: E402
from router.model.review import DrawnRoute, Judgement  # noqa: E402
from router.model.vehicle import Profile  # noqa: E402
from router.planning import make_plan  # noqa: E402
from router.reading import read_question  # noqa: E402
from router.writing import planned_route  # noqa: E402

EXAMPLES = ROOT / "examples"
APART_MM = 20.0
_HARMLESS = ("no fuse", "no return")
"""Findings of a plan that say nothing against its routes."""
ROUNDING_MM = 2.0
"""A finding may say a station this far beside the fault: a fixing's span, a bend's corner."""


@dataclass(frozen=True)
class Good:
    """One run of a plan that nothing is wrong with, in the question that it answers."""

    name: str
    plan: Plan
    good: GoodRun

    def judged(self, broken: Broken | None = None) -> Judgement:
        """Return what the review says of the run, broken or as it is."""
        drawn = broken.drawn if broken else self.good.drawn
        plan = self.plan
        return judge_route(plan.job, plan.profile, plan.practice, DrawnRoute("study", (drawn,), None), plan)


def example_goods(names: Sequence[str]) -> list[Good]:
    """Return the good runs of some shipped examples."""
    goods = []
    for name in names:
        question = read_question(EXAMPLES / name)
        goods += goods_of(name, make_plan(question.job, question.profile, question.practice))
    return goods


def random_goods(seeds: Sequence[int], seconds: int = 60) -> list[Good]:
    """Return the good runs of random vehicles; one that takes longer to plan is left out."""
    goods = []
    for seed in seeds:
        rng = Random(seed)
        profile = with_panels(random_vehicle(rng), rng)
        for job in (random_job(rng, profile), _two_runs_apart(profile)):
            try:
                with _within(seconds):
                    plan = make_plan(job, profile, default_practice())
            except (NoAnswerError, TimeoutError):
                continue
            goods += goods_of(f"random {seed}", plan)
    return goods


def goods_of(name: str, plan: Plan) -> list[Good]:
    """Return the runs of a plan as good ones, if the planner itself has nothing against it."""
    if any(finding.kind not in _HARMLESS and finding.severity != "note" for finding in plan.findings):
        return []
    wishful = replace(plan, job=_with_wishes(plan))
    goods = []
    for run, drawn in zip(wishful.job.runs, planned_route(plan).runs, strict=True):
        loom_mm = drawn.loom_diameter_mm or 0.0
        apart = tuple(
            (other.route, APART_MM, other.loom_diameter_mm)
            for other in plan.runs
            if wishful.job.apart_mm(run.name, other.name) is not None
        )
        good = GoodRun(drawn, run, plan.profile, plan.practice, loom_mm, apart)
        goods.append(Good(f"{name}, {run.name}", wishful, good))
    return goods


def study(goods: Sequence[Good], count: int, seed: int) -> Iterator[tuple[Good, Broken, Judgement]]:
    """Give `count` runs with one random fault each, every kind as often as others, and their judgements."""
    rng, kinds, made = Random(seed), list(FAULT_MAKERS), 0
    while made < count and kinds:
        for kind in tuple(kinds):
            for good in rng.sample(goods, len(goods)):
                broken = FAULT_MAKERS[kind](good.good, rng)
                if broken:
                    yield good, broken, good.judged(broken)
                    made += 1
                    break
            else:
                kinds.remove(kind)  # no run has a place for it
            if made == count:
                return


def is_found(broken: Broken, judgement: Judgement) -> bool:
    """Return whether a judgement has a finding of the fault's kind in its place."""
    low_mm, high_mm = broken.from_station_mm - ROUNDING_MM, broken.to_station_mm + ROUNDING_MM
    return any(
        each.finding.kind == broken.kind
        and (each.finding.station_mm is None or low_mm <= each.finding.station_mm <= high_mm)
        for each in judgement.findings
    )


def _two_runs_apart(profile: Profile) -> Job:
    """Return a job of two runs between the four terminals of a random vehicle, to be kept apart."""
    one, two, three, four = (terminal.name for terminal in profile.terminals)
    apart = (Apart("other", APART_MM),)
    return a_job(a_run("supply", one, two, apart_from=apart), a_run("other", three, four), source_at=one)


def _with_wishes(plan: Plan) -> Job:
    """Return the plan's job with wishes that it meets already: to avoid, to go by, to stay apart."""
    runs = []
    for run, planned in zip(plan.job.runs, plan.runs, strict=True):
        followed = {point.along for point in planned.route.points if point.along}
        used = followed | {fixing.support for fixing in planned.fixings}
        spaces = {point.space for point in planned.route.points}
        avoid = tuple(s.name for s in plan.profile.supports if s.space in spaces and s.name not in used)
        runs.append(replace(run, avoid=run.avoid or avoid[:2], via=run.via or tuple(sorted(followed))[:1]))
    return replace(plan.job, runs=tuple(runs))


@contextmanager
def _within(seconds: int) -> Iterator[None]:
    def stop(*_: object) -> None:
        raise TimeoutError

    before = signal.signal(signal.SIGALRM, stop)
    signal.alarm(seconds)
    try:
        yield
    finally:
        signal.alarm(0)
        signal.signal(signal.SIGALRM, before)


def table(results: Sequence[tuple[Good, Broken, Judgement]]) -> str:
    """Return kinds, how many faults of each, how many were found, how many by nothing but their own kind."""
    made = Counter(broken.kind for _, broken, _ in results)
    found = Counter(broken.kind for _, broken, judged in results if is_found(broken, judged))
    alone = Counter(
        broken.kind
        for _, broken, judged in results
        if {f.finding.kind for f in judged.findings} == {broken.kind}
    )
    lines = [f"{'kind':18}{'faults':>8}{'found':>8}{'alone':>8}"]
    lines += [f"{kind:18}{made[kind]:8}{found[kind]:8}{alone[kind]:8}" for kind in FAULT_MAKERS]
    lines.append(f"{'together':18}{made.total():8}{found.total():8}{alone.total():8}")
    return "\n".join(lines)


if __name__ == "__main__":
    all_goods = example_goods(
        [path.parent.name for path in sorted(EXAMPLES.glob("*/job.yaml")) if path.parent.name != "no-way"]
    )
    all_goods += random_goods(range(int(sys.argv[2])))
    for each in all_goods:
        for judged in each.judged().findings:
            print(f"good, and marked: {each.name}: {judged.finding.kind}: {judged.finding.what}")
    outcome = list(study(all_goods, int(sys.argv[1]), seed=1))
    print(f"{len(all_goods)} good runs")
    print(table(outcome))
    for each, fault, judgement in outcome:
        if not is_found(fault, judgement):
            instead = [(f.finding.kind, f.finding.station_mm) for f in judgement.findings]
            print(f"not found: {each.name}: {fault.kind} from {fault.from_station_mm:.0f} mm on; {instead}")
