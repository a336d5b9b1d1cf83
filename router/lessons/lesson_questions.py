"""The questions of a lesson: made from the plan by breaking it, the same for the same seed."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from random import Random

from shapely import LineString

from router.judging import HOLDING, judge_route
from router.lessons.broken import FAULT_MAKERS, Broken, GoodRun
from router.model.lesson import FaultQuestion, FixQuestion, Lesson, OfferedRoute, RouteQuestion, Unmade
from router.model.plan import FindingKind, Plan, Route, RunPlan, Severity
from router.model.review import DrawnRoute, Judgement
from router.writing import planned_route

CHOICE_LETTERS = "ABC"
MOST_TRIES = 30
"""How often a fault is tried until it is the only one in its route."""
TRIES_OF_A_KIND = 8
"""How often each kind of wrong route is tried; the one furthest from the planned route is taken."""
MOST_ON_ONE = 2
"""A kind of fault comes at most so often on one run."""
MOST_AGAINST = 3
"""At most so many findings are named against a route, the gravest first."""
FAULTS_TO_CHOOSE_FROM = 4
"""Of this many, the fault that moves the line furthest is taken: it is seen best."""
LINE_FAULTS = ("clearance", "member", "outline", "length")
"""Faults of the line itself, as a map shows it."""
TAUGHT_FAULTS = (
    FindingKind.CLEARANCE,
    FindingKind.LOOP,
    FindingKind.FIXING_FORBIDDEN,
    FindingKind.DRILLED_HOLE,
    FindingKind.SPAN,
    FindingKind.MEMBER,
    FindingKind.RISE,
    FindingKind.FIXING_MISSING,
    FindingKind.FIXING_UNFIT,
    FindingKind.FIXING_OUT_OF_REACH,
    FindingKind.OPENING,
    FindingKind.BEND,
    FindingKind.END,
    FindingKind.HOLE,
    FindingKind.APART,
    FindingKind.LENGTH,
)
"""Faults that a person can find on a map with a table beside it: the dangerous ones first, then the rest."""
NO_PLACE, NOT_ALONE = "no run has a place for it", "it comes only along with another fault"


def make_lesson(plan: Plan, *, seed: int = 1, faults: int = 6) -> Lesson:
    """Return the questions about a plan.

    Parameters
    ----------
    plan : Plan
        What is right.
    seed : int
        The same seed gives the same lesson, another one others.
    faults : int
        How many questions "what is wrong with this one" to make; fewer where the plan has no place for more.
    """
    rng = Random(seed)
    judged = judge_route(plan.job, plan.profile, plan.practice, planned_route(plan), plan)
    goods = dict(_good_runs(plan, judged))
    routes = tuple(q for run in plan.runs if (q := _route_question(plan, run, goods, rng)) is not None)
    fixings = tuple(_fix_question(plan, run) for run in plan.runs if run.fixings)
    made, unmade = _fault_questions(plan, judged, goods, rng, faults)
    return Lesson(plan, seed, routes, fixings, made, faults, unmade if len(made) < faults else ())


def _good_runs(plan: Plan, judged: Judgement) -> Iterator[tuple[str, GoodRun]]:
    """Yield the runs of a plan, judged as they are planned, that break no rule, ready to be broken."""
    broken = {each.finding.run for each in judged.findings if each.finding.severity is Severity.MUST}
    for run in judged.runs:
        name = run.drawn.route.run
        if name in broken:
            continue
        others = ((other, plan.job.apart_mm(name, other.name)) for other in plan.runs if other.name != name)
        apart = tuple((o.route, mm, o.loom_diameter_mm) for o, mm in others if mm is not None)
        yield (
            name,
            GoodRun(run.drawn, plan.job.run(name), plan.profile, plan.practice, run.loom_diameter_mm, apart),
        )


def _route_question(plan: Plan, run: RunPlan, goods: dict[str, GoodRun], rng: Random) -> RouteQuestion | None:
    """Return the planned route among two others: alternatives, else routes that break a rule."""
    others = [
        OfferedRoute(
            "", each.route, tuple(each.worse) or (f"takes {each.more_effort_mm / 1000:.1f} m more effort",)
        )
        for each in run.alternatives[:2]
    ]
    while len(others) < 2 and run.name in goods:
        wrong = _wrong_route(plan, goods[run.name], rng)
        if wrong is None:
            break
        others.append(wrong)
    if len(others) < 2:
        return None
    offered = [OfferedRoute("", run.route, ()), *others[:2]]
    rng.shuffle(offered)
    lettered = tuple(
        replace(each, letter=letter) for each, letter in zip(offered, CHOICE_LETTERS, strict=True)
    )
    return RouteQuestion(run.name, lettered, tuple(reason.why for reason in run.reasons))


def _wrong_route(plan: Plan, good: GoodRun, rng: Random) -> OfferedRoute | None:
    """Return a route that breaks a rule and visibly differs; None if a number of tries gave none."""
    found = []
    for kind in LINE_FAULTS:
        for _ in range(TRIES_OF_A_KIND):
            broken = FAULT_MAKERS[kind](good, rng)
            if broken is not None:
                found.append((_led_away_mm(broken.drawn.route, good.drawn.route), broken.drawn))
    for _, drawn in sorted(found, key=lambda each: -each[0]):
        line = DrawnRoute("lesson", (drawn,), None, ignores_fixings=True)
        judged = judge_route(plan.job, plan.profile, plan.practice, line, plan)
        against = [each.finding for each in judged.findings][:MOST_AGAINST]
        if against:
            rules = tuple(dict.fromkeys(finding.rule for finding in against if finding.rule))
            words = tuple(finding.what for finding in against)
            return OfferedRoute("", judged.runs[0].drawn.route, words, rules)
    return None


def _fix_question(plan: Plan, run: RunPlan) -> FixQuestion:
    spaces = dict.fromkeys(point.space for point in run.route.points)
    rules = [plan.practice.by_space("spacing", plan.profile.space(space).kind) for space in spaces]
    rules += [
        plan.practice.rule("fixing", key) for key in ("near an end", "near an opening", "near a member")
    ]
    return FixQuestion(run.name, run.route, run.fixings, tuple(dict.fromkeys(rules)))


def _fault_questions(
    plan: Plan, planned: Judgement, goods: dict[str, GoodRun], rng: Random, count: int
) -> tuple[tuple[FaultQuestion, ...], tuple[Unmade, ...]]:
    """Return questions about routes with one fault, and the kinds that cannot be made.

    Every kind comes once before any comes again, on another run where it can, and the runs by turns.
    """
    known = Counter((each.finding.run, each.finding.kind) for each in planned.findings)
    made: list[FaultQuestion] = []
    used: Counter[str] = Counter()
    left = {
        kind: [(n, run) for n in range(MOST_ON_ONE) for run in _shuffled(goods, rng)]
        for kind in TAUGHT_FAULTS
    }
    why: dict[str, str] = {}
    before = -1
    while before < len(made) < count:
        before = len(made)
        for kind in TAUGHT_FAULTS:
            while len(made) < count and left[kind]:
                number, name = min(left[kind], key=lambda each: (each[0], used[each[1]]))
                left[kind].remove((number, name))
                judged, has_place = _only(plan, goods[name], kind, rng, known)
                if judged and judged.drawn not in [question.judgement.drawn for question in made]:
                    made.append(FaultQuestion(judged))
                    used[name] += 1
                    break
                left[kind] = [each for each in left[kind] if each[1] != name]
                why[kind] = NOT_ALONE if has_place or why.get(kind) == NOT_ALONE else NO_PLACE
    kinds = {question.findings[0].finding.kind for question in made}
    unmade = (Unmade(kind, why[kind]) for kind in TAUGHT_FAULTS if kind in why and kind not in kinds)
    return tuple(made), tuple(unmade)


def _shuffled(goods: dict[str, GoodRun], rng: Random) -> list[str]:
    return rng.sample(list(goods), len(goods))


def _only(
    plan: Plan, good: GoodRun, kind: FindingKind, rng: Random, known: Counter[tuple[str | None, FindingKind]]
) -> tuple[Judgement | None, bool]:
    """Return a run with that fault and no other, as judged; and whether the run has a place for it.

    None where none came of some tries. What is `known` of the planned run is left out.
    """
    found: list[tuple[float, Judgement]] = []
    has_place = False
    for _ in range(MOST_TRIES):
        broken: Broken | None = FAULT_MAKERS[kind](good, rng)
        if broken is None or len(found) == FAULTS_TO_CHOOSE_FROM:
            break
        has_place = True
        drawn = DrawnRoute("lesson", (broken.drawn,), None, ignores_fixings=kind not in HOLDING)
        judged = judge_route(plan.job, plan.profile, plan.practice, drawn, plan)
        kinds = Counter((each.finding.run, each.finding.kind) for each in judged.findings)
        if {each for each in kinds if kinds[each] > known[each]} == {(good.run.name, kind)}:
            own = tuple(each for each in judged.findings if each.finding.kind == kind)
            found.append((_led_away_mm(broken.drawn.route, good.drawn.route), replace(judged, findings=own)))
            if found[-1][0] == 0.0:
                break  # the line is as it was: one is like the other
    return max(found, key=lambda each: each[0], default=(0.0, None))[1], has_place


def _led_away_mm(route: Route, planned: Route) -> float:
    """Return the largest distance in plan of a route from the planned one. [mm]"""
    lines = [LineString([(p.x_mm, p.y_mm) for p in each.points]) for each in (route, planned)]
    return float(lines[0].hausdorff_distance(lines[1]))
