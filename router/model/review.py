"""A route that somebody drew, and what came of judging it. Lengths in mm."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from router.model.fixing import Fixing
from router.model.job import Job
from router.model.plan import ClearanceCheck, Finding, FindingKind, Passage, Plan, Route, Severity, SpareLoop
from router.model.practice import Practice
from router.model.vehicle import Profile


@dataclass(frozen=True, slots=True)
class ApprovedClearance:
    """A keep-out as it was when a standard route was approved: margin and fingerprint."""

    keep_out: str
    required_mm: float
    margin_mm: float
    fingerprint: str
    """Differs where the keep-out's shape, heights, hazard, shield or clearance do."""


@dataclass(frozen=True, slots=True)
class ApprovedUse:
    """A thing of the vehicle that a standard route used when it was approved."""

    what: str
    """"member", "opening", "support" or "terminal"."""
    name: str
    fingerprint: str
    """Differs where the thing does."""


@dataclass(frozen=True, slots=True)
class Approval:
    """Who approved a route, when, for which revision of the profile, and against what."""

    by: str
    on: str
    revision: int
    fingerprint: str
    """Of the route, the vehicle, the rules and the job together."""
    near: tuple[tuple[str, tuple[ApprovedClearance, ...]], ...]
    """By run: the keep-outs near it."""
    used: tuple[tuple[str, tuple[ApprovedUse, ...]], ...] = ()
    """By run: what it passes, follows, is fixed to and ends at."""


@dataclass(frozen=True, slots=True)
class DrawnRun:
    """The route of one run as drawn, and what holds it."""

    route: Route
    fixings: tuple[Fixing, ...]
    loom_diameter_mm: float | None = None
    """Outside of the loom as the file gives it; None where it does not."""
    declared: tuple[Passage, ...] = ()
    """What the file says that it passes, members and openings: from station 0 to infinity where it says no
    station."""
    loops: tuple[SpareLoop, ...] = ()
    drawing_tolerance_mm: float = 0.0
    """Shortfalls smaller than this are ignored. Zero unless the route was drawn on paper."""
    has_no_heights: bool = False
    """Whether it was drawn without heights: supports and spaces give them; missing rises are not reported."""


@dataclass(frozen=True, slots=True)
class DrawnRoute:
    """A route file: some or all runs of a job. `approval` makes it a standard route."""

    name: str
    runs: tuple[DrawnRun, ...]
    approval: Approval | None
    ignores_fixings: bool = False
    """Whether only the route counts, as a beginner draws it: not its fixings, nor what is left loose."""

    @property
    def drawing_tolerance_mm(self) -> float:
        """Return the largest tolerance of its runs; 0 where none was drawn on paper."""
        return max((run.drawing_tolerance_mm for run in self.runs), default=0.0)


@dataclass(frozen=True, slots=True)
class JudgedFinding:
    """A finding and the points it takes off."""

    finding: Finding
    points: float

    @property
    def taken(self) -> str:
        """Return the points in words: with a minus sign, where there are any."""
        return f"\u2212{self.points:g}" if self.points else "0"


@dataclass(frozen=True, slots=True)
class JudgedRun:
    """One drawn run as judged; the planned figures are None where there is no plan to compare with."""

    drawn: DrawnRun
    loom_diameter_mm: float
    clearances: tuple[ClearanceCheck, ...]
    length_mm: float
    """Routed length with all allowances, before it is rounded up to a cut length."""
    allowances_mm: float
    planned_mm: float | None
    """Routed length of the planned route."""


class ChangeKind(StrEnum):
    """What happened under a standard route since it was approved."""

    REVISION = "revision"
    GONE = "gone"
    NEW = "new"
    MOVED = "moved"
    MARGIN = "margin"
    REQUIRED = "required"
    CONTENT = "content"


@dataclass(frozen=True, slots=True)
class RouteChange:
    """One thing that changed under a standard route, in words."""

    kind: ChangeKind
    run: str | None
    what: str


@dataclass(frozen=True, slots=True)
class Judgement:
    """Everything that a review of a drawn route says."""

    job: Job
    profile: Profile
    practice: Practice
    drawn: DrawnRoute
    runs: tuple[JudgedRun, ...]
    findings: tuple[JudgedFinding, ...]
    """The weightiest first."""
    mark: int
    """Out of 100, by practice "marking"."""
    planned: Plan | None
    saved: tuple[str, ...]
    """What the planned route would have saved, in words."""
    changes: tuple[RouteChange, ...]

    @property
    def stands(self) -> bool:
        """Return whether no must-rule is broken."""
        return not any(each.finding.severity is Severity.MUST for each in self.findings)


@dataclass(frozen=True, slots=True)
class MarkedRoute:
    """One route of many that were marked in one go."""

    name: str
    """Of its file, without the ending."""
    judgement: Judgement | None
    """None where the file cannot be read."""
    faults: tuple[str, ...] = ()
    """Why it cannot be read."""
    page: str = ""
    """File name of its own page beside that of the marks, with its map; none where there is none."""


@dataclass(frozen=True, slots=True)
class Mistake:
    """A kind of finding that several routes have in common."""

    kind: FindingKind
    routes: int
    """In how many of them it is found."""
    findings: int
    """How often together."""
    example: str
    """One of them in words, the weightiest."""


@dataclass(frozen=True, slots=True)
class FittedRun:
    """What the vehicles say about the allowances of one run. Lengths in mm."""

    run: str
    planned_mm: float
    """Routed length and allowances, not rounded up."""
    allowances_mm: float
    count: int
    mean_mm: float
    """Used less planned: more than 0 where the allowances are too short."""
    spread_mm: float
    """Experimental standard deviation of one vehicle."""
    standard_mm: float
    expanded_mm: float
    """Of the mean, for 95 %."""

    @property
    def is_proven(self) -> bool:
        """Return whether the allowances are off by more than chance explains."""
        return abs(self.mean_mm) > self.expanded_mm
