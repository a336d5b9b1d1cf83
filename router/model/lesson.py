"""A set of training sheets: questions about one job on one vehicle, and their answers. Lengths in mm."""

from __future__ import annotations

from dataclasses import dataclass

from router.model.fixing import Fixing
from router.model.plan import FindingKind, Plan, Route
from router.model.practice import Rule
from router.model.review import JudgedFinding, JudgedRun, Judgement


@dataclass(frozen=True, slots=True)
class OfferedRoute:
    """One of the routes that a question offers, and what is wrong with it: nothing if it is the right one."""

    letter: str
    route: Route
    against: tuple[str, ...]
    rules: tuple[Rule, ...] = ()


@dataclass(frozen=True, slots=True)
class RouteQuestion:
    """Which of several routes a run should take."""

    run: str
    offered: tuple[OfferedRoute, ...]
    reasons: tuple[str, ...]
    """Why the right one goes as it does."""

    @property
    def right(self) -> OfferedRoute:
        """Return the route that nothing speaks against."""
        return next(each for each in self.offered if not each.against)


@dataclass(frozen=True, slots=True)
class FixQuestion:
    """Where a run is to be fixed."""

    run: str
    route: Route
    fixings: tuple[Fixing, ...]
    """The fewest that will do."""
    rules: tuple[Rule, ...]


@dataclass(frozen=True, slots=True)
class FaultQuestion:
    """What is wrong with a run that was broken on purpose: its findings are all of one kind."""

    judgement: Judgement

    @property
    def judged(self) -> JudgedRun:
        """Return the broken run."""
        return self.judgement.runs[0]

    @property
    def findings(self) -> tuple[JudgedFinding, ...]:
        """Return what is wrong with it."""
        return self.judgement.findings


@dataclass(frozen=True, slots=True)
class Unmade:
    """A kind of fault that no run could be broken by, and why."""

    kind: FindingKind
    why: str


@dataclass(frozen=True, slots=True)
class Lesson:
    """All questions about the plan of one job."""

    plan: Plan
    seed: int
    routes: tuple[RouteQuestion, ...]
    fixings: tuple[FixQuestion, ...]
    faults: tuple[FaultQuestion, ...]
    faults_asked: int
    unmade: tuple[Unmade, ...] = ()
    """Where fewer faults than asked for were made: the kinds that could not be."""
