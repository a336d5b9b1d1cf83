"""What planning makes: routes, what is fitted along them, and what a person must know. mm, A, V."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from router.model.conductor_choice import ConductorChoice, FuseChoice, Reason
from router.model.fixing import Fixing, Hole
from router.model.job import Job
from router.model.practice import Practice, Rule
from router.model.vehicle import Hazard, OverPass, Profile, ThroughPass

END_MM = 0.01
"""A station beyond the end of a stretch by less than this is at its end: stations are rounded."""


class PassageKind(StrEnum):
    """What a route passes."""

    OVER_MEMBER = "over member"
    THROUGH_MEMBER = "through member"
    OPENING = "opening"
    COVER = "cover"
    EXPOSED = "exposed"
    WARM = "warm"
    NEAR_MOVING = "near moving"
    OPEN_LOAD_FLOOR = "open load floor"


class Severity(StrEnum):
    """How much a finding matters: a must-rule is broken, a person should look, or good to know."""

    MUST = "must"
    SHOULD = "should"
    NOTE = "note"


class FindingKind(StrEnum):
    """What a finding is about: the review's first, the weightiest ahead; then the other trades'."""

    CLEARANCE = "clearance"
    LOOP = "loop"
    APART = "apart"
    FIXING_FORBIDDEN = "fixing forbidden"
    DRILLED_HOLE = "drilled hole"
    OUTLINE = "outline"
    MEMBER = "member"
    RISE = "rise"
    HEIGHT = "height"
    HOLE = "hole"
    SPACE = "space"
    OPENING = "opening"
    PASS = "pass"
    CONTINUITY = "continuity"
    SUPPORT = "support"
    END = "end"
    AVOID = "avoid"
    VIA = "via"
    SPAN = "span"
    FIXING_UNFIT = "fixing unfit"
    FIXING_OUT_OF_REACH = "fixing out of reach"
    FIXING_MISSING = "fixing missing"
    DOUBLED = "doubled"
    BEND = "bend"
    LENGTH = "length"
    SERVICE_LOOP = "service loop"
    CONDUCTOR = "conductor"
    NO_CLEARANCE = "no clearance"
    NO_KIND = "no kind"
    DEAD_SHORT = "dead short"
    JOINED_CIRCUITS = "joined circuits"
    POLES = "poles"
    NO_FUSE = "no fuse"
    FUSE = "fuse"
    LARGE_FUSE = "large fuse"
    FUSE_HOLDER = "fuse holder"
    OWN_FUSE = "own fuse"
    SHORT_CIRCUIT = "short circuit"
    LEAST_SIZE = "least size"
    AMPACITY = "ampacity"
    DROP = "drop"
    SERIES = "series"
    NO_FEED = "no feed"
    NO_LOAD = "no load"
    NO_RETURN = "no return"
    BROKEN_RETURN = "broken return"
    EARTH_ON_POST = "earth on post"
    ASSUMED_RESISTANCE = "assumed resistance"
    ASSUMED_SUPPORT = "assumed support"


class BillItem(StrEnum):
    """What a line of the bill is for."""

    CONDUCTOR_CUT = "conductor, cut"
    CONDUCTOR_TOTAL = "conductor, total"
    RING_TERMINAL = "ring terminal"
    CONNECTOR_CONTACT = "connector contact"
    SPLICE = "splice"
    HEAT_SHRINK = "heat-shrink"
    LABEL = "label"
    FUSE = "fuse"
    FUSE_HOLDER = "fuse holder"
    LOOM = "loom"
    TAPE = "tape"
    HEAT_SLEEVE = "heat sleeve"
    GROMMET = "grommet"
    EDGE_GUARD = "edge guard"
    TIE = "tie"
    CLIP = "clip"
    P_CLIP = "P-clip"
    SCREW = "screw"
    COPPER = "copper"
    WEIGHT = "weight"
    TO_ORDER = "to order"


class StationEvent(StrEnum):
    """What an installer meets at a station of a run."""

    START = "start"
    OVER_MEMBER = "over member"
    OFF_MEMBER = "off member"
    INTO_HOLE = "into hole of member"
    OUT_OF_HOLE = "out of hole of member"
    OPENING = "through opening"
    INTO_COVER = "in above cover"
    OUT_OF_COVER = "out from cover"
    INTO_EXPOSED = "into exposed area"
    OUT_OF_EXPOSED = "out of exposed area"
    INTO_WARM = "into warm surroundings"
    OUT_OF_WARM = "out of warm surroundings"
    FOLLOW_SUPPORT = "follow support"
    LEAVE_SUPPORT = "leave support"
    DOUBLED = "doubled"
    BEND = "bend"
    FIXING = "fixing"
    BREAKOUT = "breakout"
    FUSE = "fuse"
    HEAT_SLEEVE_FROM = "heat sleeve from"
    HEAT_SLEEVE_TO = "heat sleeve to"
    END = "end"


@dataclass(frozen=True, slots=True)
class RoutePoint:
    """One corner of a route. Consecutive points with equal x and y are a rise or a drop."""

    space: str
    x_mm: float
    y_mm: float
    z_mm: float
    station_mm: float
    along: str | None
    """The support that the piece from this point to the next one follows."""


@dataclass(frozen=True, slots=True)
class Passage:
    """Where a route passes something, from station to station (equal for an opening)."""

    kind: PassageKind
    name: str
    from_station_mm: float
    to_station_mm: float
    taken: OverPass | ThroughPass | None
    """The pass of the member that it takes; None for all else, and for a route that takes none of them."""

    @property
    def hole(self) -> ThroughPass | None:
        """Return the hole that it goes through, if it takes one."""
        return self.taken if isinstance(self.taken, ThroughPass) else None


@dataclass(frozen=True, slots=True)
class SpareLoop:
    """Length left loose at a station of a run, beyond what its route takes."""

    station_mm: float
    spare_mm: float


@dataclass(frozen=True, slots=True)
class Route:
    """The route of one run. Stations run from 0 at its start to `routed_mm`, in true length."""

    run: str
    points: tuple[RoutePoint, ...]
    passages: tuple[Passage, ...]
    effort_mm: float
    gap: float
    """Of this run by itself: effort <= (1 + gap) x the best possible. Who shares a loom may go further."""

    @property
    def routed_mm(self) -> float:
        """Return the true length from end to end, rises and drops included."""
        return self.points[-1].station_mm


@dataclass(frozen=True, slots=True)
class RouteReason:
    """Why a route goes as it does, from station to station: what makes it, and the rule behind that.

    One of `keep_out`, `support`, `opening` and `member` names the thing; all are None where it is the
    edge of a space or an area that costs another effort.
    """

    station_mm: float
    to_station_mm: float
    why: str
    """One sentence without a full stop, in plain words, with numbers and units."""
    keep_out: str | None
    support: str | None
    opening: str | None
    member: str | None
    rule: Rule | None


@dataclass(frozen=True, slots=True)
class Alternative:
    """Another route for a run that really differs from the one chosen."""

    route: Route
    more_effort_mm: float
    """How much more effort the whole job takes by it than by the chosen route."""
    differs: tuple[str, ...]
    """What it does in place of the chosen route: "through right plug instead of left plug"."""
    worse: tuple[str, ...]
    """What it costs, the weightiest first: "one more opening", "900 mm less under covers"."""
    clearances: tuple[ClearanceCheck, ...]
    """The least margins along it, the tightest first."""


@dataclass(frozen=True, slots=True)
class Allowance:
    """Length added to the routed length, with its reason."""

    why: str
    length_mm: float
    rule: Rule | None


@dataclass(frozen=True, slots=True)
class RunLength:
    """How long to cut the conductors of a run."""

    run: str
    routed_mm: float
    allowances: tuple[Allowance, ...]
    uncertainty_mm: float
    """Expanded (k = 2) uncertainty of the length, by the GUM."""
    worst_case_mm: float
    """All measuring errors at their limit and adding up."""
    cut_mm: float


@dataclass(frozen=True, slots=True)
class ClearanceCheck:
    """Nearest distance from the outside of the loom to one keep-out, as the review measured it."""

    run: str
    keep_out: str
    hazard: Hazard
    required_mm: float
    actual_mm: float
    station_mm: float
    rule: Rule | None
    """None where the keep-out carries its own clearance."""

    @property
    def margin_mm(self) -> float:
        """Return how much nearer the loom could come."""
        return self.actual_mm - self.required_mm


@dataclass(frozen=True, slots=True)
class Electrical:
    """What the conductors trade answers for a whole job."""

    conductors: tuple[ConductorChoice, ...]
    fuses: tuple[FuseChoice, ...]
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class LoomPart:
    """Where a run lies in a bundle, in its own stations; they fall where it goes against the first run."""

    run: str
    from_station_mm: float
    to_station_mm: float


@dataclass(frozen=True, slots=True)
class Bundle:
    """A stretch of line that the same runs lie on all along; between bundles a run joins or leaves."""

    parts: tuple[LoomPart, ...]
    """One a run, in the job's order; the stations of the first one rise."""

    @property
    def runs(self) -> tuple[str, ...]:
        """Return the names of the runs that lie there, in the job's order."""
        return tuple(part.run for part in self.parts)

    def part(self, run: str) -> LoomPart:
        """Return where a run lies in it; KeyError where it does not."""
        for part in self.parts:
            if part.run == run:
                return part
        raise KeyError(run)

    def stations_mm(self, run: str) -> tuple[float, float]:
        """Return from which to which of its own stations a run lies in it, the smaller one first."""
        part = self.part(run)
        return min(part.from_station_mm, part.to_station_mm), max(part.from_station_mm, part.to_station_mm)

    def holds(self, run: str, station_mm: float) -> bool:
        """Return whether a station of a run is in it, its ends included."""
        low_mm, high_mm = self.stations_mm(run)
        return low_mm - END_MM <= station_mm <= high_mm + END_MM


@dataclass(frozen=True, slots=True)
class Loom:
    """One covered bundle. Stations are those of its first run."""

    bundle: Bundle
    conductors: tuple[str, ...]
    bundle_mm: float
    loom: str
    bore_mm: float
    outside_mm: float
    reasons: tuple[Reason, ...]

    @property
    def runs(self) -> tuple[str, ...]:
        """Return the names of the runs that lie in it, in the job's order."""
        return self.bundle.runs

    @property
    def from_station_mm(self) -> float:
        """Return where it begins, on its first run."""
        return self.bundle.parts[0].from_station_mm

    @property
    def to_station_mm(self) -> float:
        """Return where it ends, on its first run."""
        return self.bundle.parts[0].to_station_mm

    @property
    def length_mm(self) -> float:
        """Return how long it is."""
        return self.to_station_mm - self.from_station_mm


@dataclass(frozen=True, slots=True)
class Breakout:
    """Where the bundle changes along a run: which other runs leave it there, and which come to it."""

    run: str
    station_mm: float
    leave: tuple[str, ...]
    join: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch of a run between two things that hold it, what it rests on there, and how long it may be."""

    from_station_mm: float
    to_station_mm: float
    rests_on: tuple[str, ...]
    """In its order: "left sill flange", "over rear crossmember", "nothing"."""
    rule: Rule

    @property
    def length_mm(self) -> float:
        """Return the length along the run."""
        return self.to_station_mm - self.from_station_mm


@dataclass(frozen=True, slots=True)
class HeatSleeve:
    """A stretch of a run that needs a heat sleeve over its loom, and the keep-out that makes it."""

    run: str
    from_station_mm: float
    to_station_mm: float
    keep_out: str


@dataclass(frozen=True, slots=True)
class BillLine:
    """One thing to fetch."""

    item: BillItem
    spec: str
    quantity: float
    unit: str
    where: str
    source: str
    """Where its size comes from, and how far that can be trusted."""
    status: str
    spare: float
    """How much of the quantity is spare; `where` says it too."""


@dataclass(frozen=True, slots=True)
class Finding:
    """Something a person must know about a plan or a route."""

    kind: FindingKind
    severity: Severity
    run: str | None
    station_mm: float | None
    fact: str
    """What is so: one clause for a person, with names, numbers and units."""
    more: str
    """What goes on from there, its own comma or stop first: what follows, what to do; or nothing."""
    required: str
    actual: str
    rule: Rule | None

    @property
    def what(self) -> str:
        """Return the whole sentence."""
        return f"{self.fact}{self.more}"


@dataclass(frozen=True, slots=True)
class Station:
    """One line of a run's station list: what an installer meets there."""

    station_mm: float
    event: StationEvent
    number: int | None
    """Of a fixing along its run; None for all else."""
    detail: str

    @property
    def what(self) -> str:
        """Return what is met there in words: "bend", "fixing 3"."""
        return str(self.event) if self.number is None else f"{self.event} {self.number}"


@dataclass(frozen=True, slots=True)
class OtherEnd:
    """Another terminal where a run may begin or end, and what the whole job would take with it."""

    terminal: str
    is_start: bool
    more_effort_mm: float | None
    """Whatever the other runs then take; None: no way. Less than 0 only where more rules would be broken."""
    is_at_least: bool
    """Whether it takes no less than that and was not planned: it cannot be better."""


@dataclass(frozen=True, slots=True)
class RunPlan:
    """Everything about one run."""

    name: str
    start: str
    end: str
    route: Route
    length: RunLength
    stations: tuple[Station, ...]
    fixings: tuple[Fixing, ...]
    clearances: tuple[ClearanceCheck, ...]
    conductors: tuple[ConductorChoice, ...]
    fuse: FuseChoice | None
    heat_sleeves: tuple[HeatSleeve, ...]
    loom_diameter_mm: float
    """Outside of the thickest loom that it was planned for; half of it went into its clearances."""
    reasons: tuple[RouteReason, ...]
    alternatives: tuple[Alternative, ...]
    breakouts: tuple[Breakout, ...]
    spans: tuple[Span, ...]
    """From the run's start to its end: one more than it has fixings."""
    other_ends: tuple[OtherEnd, ...]
    """Where the job lets it begin or end at one of several terminals: the others, in its order."""

    @property
    def own_fixings(self) -> tuple[Fixing, ...]:
        """Return the fixings that are fetched, counted and drawn for this run: no other's already."""
        return tuple(fixing for fixing in self.fixings if fixing.shared_with is None)

    @property
    def own_holes(self) -> tuple[Hole, ...]:
        """Return the holes that are drilled for this run: no other's already."""
        return tuple(fixing.hole for fixing in self.own_fixings if fixing.hole)


@dataclass(frozen=True, slots=True)
class Plan:
    """The whole answer to a job."""

    job: Job
    profile: Profile
    practice: Practice
    loom_diameter_mm: float
    """Outside of the thickest loom that some run was planned for."""
    runs: tuple[RunPlan, ...]
    looms: tuple[Loom, ...]
    bill: tuple[BillLine, ...]
    findings: tuple[Finding, ...]
    effort_mm: float
    """Of the whole job: a shared stretch counts once, and practice "factor: shared" for each further run."""
    apart_effort_mm: float
    """What the runs would take if each were laid by itself; `effort_mm` is never more."""
    gap: float
    """Of the whole job: however its runs share their way, effort <= (1 + gap) x the best possible."""

    @property
    def bundles(self) -> tuple[Bundle, ...]:
        """Return which runs lie together where."""
        return tuple(loom.bundle for loom in self.looms)

    @property
    def holes(self) -> tuple[Hole, ...]:
        """Return every hole that is drilled, each once."""
        return tuple(hole for run in self.runs for hole in run.own_holes)

    @property
    def stands(self) -> bool:
        """Return whether no must-rule is broken."""
        return not any(finding.severity is Severity.MUST for finding in self.findings)

    def tightest(self, count: int = 5) -> tuple[ClearanceCheck, ...]:
        """Return the least margins of all runs, the tightest first, each keep-out once."""
        checks = sorted(
            (check for run in self.runs for check in run.clearances),
            key=lambda check: check.margin_mm,
        )
        first = {check.keep_out: check for check in reversed(checks)}
        return tuple(check for check in checks if first[check.keep_out] is check)[:count]
