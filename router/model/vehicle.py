"""The vehicle as the shop measured it. All lengths in mm; axes x rearward, y right, z up."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise
from typing import Protocol, TypeAlias, TypeVar

Point: TypeAlias = tuple[float, float]


class Hazard(StrEnum):
    """Why a keep-out is one; each has a clearance in the practice file."""

    HOT = "hot"
    MOVING = "moving"
    FUEL = "fuel"
    BRAKE = "brake"
    SHARP = "sharp"
    LIFTING = "lifting"
    HIGH_VOLTAGE = "high-voltage"
    AIRBAG = "airbag"
    SOLID = "solid"


NEVER_TOUCHED = frozenset(
    {Hazard.HOT, Hazard.MOVING, Hazard.FUEL, Hazard.HIGH_VOLTAGE, Hazard.AIRBAG}
)  # fmt: skip
"""Hazards that burn, cut or catch a loom, or are set off by it: no rule may let it touch them."""


class SpaceKind(StrEnum):
    """What a space is; spacing, ambient temperature and ampacity go by it."""

    ENGINE_BAY = "engine bay"
    UNDERFLOOR = "underfloor"
    WHEEL_HOUSE = "wheel house"
    CABIN = "cabin"
    LOAD_AREA = "load area"
    BOOT = "boot"
    OUTSIDE = "outside"


class SupportKind(StrEnum):
    """What a support is; the clip that it takes goes by it."""

    FLANGE = "flange"
    RAIL = "rail"
    EXISTING_LOOM = "existing loom"
    STUD_ROW = "stud row"
    BRACKET_LINE = "bracket line"
    HOLES = "holes"
    LINE = "line"


class TerminalKind(StrEnum):
    """What a run begins or ends at; how far off its fuse may be goes by it."""

    BATTERY_POST = "battery post"
    STUD = "stud"
    FUSE_BOX = "fuse box"
    EARTH_POINT = "earth point"
    UNIT = "unit"
    LAMP = "lamp"
    TRAILER_SOCKET = "trailer socket"
    CONNECTOR = "connector"


class Pole(StrEnum):
    """Which post of a battery, or which pole of a unit whose poles are measured apart."""

    POSITIVE = "positive"
    NEGATIVE = "negative"
    PLUS = "plus"
    MINUS = "minus"

    @property
    def is_minus(self) -> bool:
        """Return whether current goes back to the source there."""
        return self in (Pole.NEGATIVE, Pole.MINUS)


BATTERY_POLES = (Pole.POSITIVE, Pole.NEGATIVE)
UNIT_POLES = (Pole.PLUS, Pole.MINUS)


class ShapeKind(StrEnum):
    """How a place was measured."""

    LINE = "line"
    AREA = "area"
    DISC = "disc"


class Fix(StrEnum):
    """What a support may carry: a tie round it, only a clip on it, or nothing."""

    TIE = "tie"
    CLIP = "clip"
    NEVER = "never"


class Drill(StrEnum):
    """Whether holes may be made in a panel."""

    ALLOWED = "allowed"
    NEVER = "never"


class Screw(StrEnum):
    """What a P-clip's screw holds in: by whether a hand reaches the panel's back, and what it is made of."""

    NUT = "nut"
    RIVET_NUT = "rivet nut"
    SELF_CUTTING = "self-cutting"

    @property
    def hole_key(self) -> str:
        """Return which rule of the group "hole" says how wide its hole is."""
        return "diameter" if self is Screw.NUT else f"{self} diameter"


class Edge(StrEnum):
    """The edge of a hole or an opening: fitted with rubber, rolled over, or bare sheet."""

    RUBBER = "rubber"
    ROLLED = "rolled"
    BARE = "bare"


@dataclass(frozen=True, slots=True)
class Shape:
    """A place in plan: a core (points) and how far it reaches round that core.

    A line reaches half its width, a disc its radius, an area 0; so the distance to the place is
    the distance to the core less `reach_mm`, exactly, without any arc being approximated.
    """

    kind: ShapeKind
    points: tuple[Point, ...]
    reach_mm: float


@dataclass(frozen=True, slots=True)
class Step:
    """A part of a space where a loom that follows no support lies at another height."""

    area: tuple[Point, ...]
    height_mm: float
    assumed_mm: float | None = None
    """How far it may be off where nobody measured it yet; None where it was measured. So of every part."""


@dataclass(frozen=True, slots=True)
class Space:
    """One sheet of the vehicle in plan; a cable in it lies at `height_mm`, in a step at that one's height."""

    name: str
    height_mm: float
    outline: tuple[Point, ...]
    kind: SpaceKind | None = None
    """None where the file does not say: the most careful rule of all kinds stands for it."""
    steps: tuple[Step, ...] = ()
    """They do not overlap."""
    assumed_mm: float | None = None

    def height_at(self, at: Point) -> float:
        """Return at which height a loom lies at a place that follows no support. [mm]"""
        return next((step.height_mm for step in self.steps if _is_inside(at, step.area)), self.height_mm)


@dataclass(frozen=True, slots=True)
class Panel:
    """Metal between two spaces, which parts what lies on its two sides.

    Level (a floor) at `height_mm`, or upright (a bulkhead) between the two ends of `along`; one of the two.
    """

    name: str
    between: tuple[str, str]
    height_mm: float | None
    along: tuple[Point, Point] | None
    area: tuple[Point, ...] | None
    """Where a level panel is; None: wherever its two spaces are."""
    drill: Drill
    screw: Screw = Screw.NUT
    """What holds in it where it is drilled; a nut where the file does not say."""
    assumed_mm: float | None = None


@dataclass(frozen=True, slots=True)
class KeepOut:
    """A body in the vehicle's coordinates to stay away from: a footprint between two heights.

    Where it is listed decides nothing once its heights are known, so `space` is None then. Without heights
    it goes the whole height of its space.
    """

    name: str
    space: str | None
    hazard: Hazard
    shape: Shape
    heights_mm: tuple[float, float] | None
    is_shielded: bool
    clearance_mm: float | None
    """The keep-out's own clearance, which then replaces the practice's."""
    is_guide: bool = False
    """Whether a loom may follow it at its clearance: a brake line shows a way that is known to be good."""
    assumed_mm: float | None = None

    def __post_init__(self) -> None:
        if self.heights_mm is not None:
            object.__setattr__(self, "space", None)


@dataclass(frozen=True, slots=True)
class OverPass:
    """A stretch of a member whose top may be crossed anywhere between `start` and `end`."""

    start: Point
    end: Point
    rise_mm: float
    assumed_mm: float | None = None


@dataclass(frozen=True, slots=True)
class ThroughPass:
    """A hole in a member, crossed square to the member at `at`."""

    at: Point
    bore_mm: float
    edge: Edge
    assumed_mm: float | None = None


@dataclass(frozen=True, slots=True)
class Member:
    """A crossmember: a band round `along`, crossed only at its passes."""

    name: str
    space: str
    along: tuple[Point, ...]
    width_mm: float
    passes: tuple[OverPass | ThroughPass, ...]
    assumed_mm: float | None = None


@dataclass(frozen=True, slots=True)
class Support:
    """A line to fix to, at its own height."""

    name: str
    space: str
    kind: SupportKind
    along: tuple[Point, ...]
    height_mm: float
    fix: Fix
    heights_mm: tuple[float, ...] = ()
    """One for each point, straight in between, where it rises or falls; () where it is level."""
    assumed_mm: float | None = None

    def height_at(self, at: Point) -> float:
        """Return the support's height at the place of it that is nearest in plan. [mm]"""
        return _height_along(self.along, self.heights_mm, at) if self.heights_mm else self.height_mm

    @property
    def point_heights_mm(self) -> tuple[float, ...]:
        """Return its height at each of its points. [mm]"""
        return self.heights_mm or (self.height_mm,) * len(self.along)

    @property
    def points_in_space(self) -> tuple[tuple[float, float, float], ...]:
        """Return its points with their heights."""
        return tuple((*at, z_mm) for at, z_mm in zip(self.along, self.point_heights_mm, strict=True))


@dataclass(frozen=True, slots=True)
class Cover:
    """A panel that shelters what runs above it; `fasteners` come out to take it down."""

    name: str
    space: str
    area: tuple[Point, ...]
    fasteners: int
    assumed_mm: float | None = None


@dataclass(frozen=True, slots=True)
class ExposedArea:
    """Where spray, stones or kerbs reach the loom."""

    name: str
    space: str
    area: tuple[Point, ...]


@dataclass(frozen=True, slots=True)
class Opening:
    """A hole from one space into another: straight up or down at one point in plan."""

    name: str
    joins: tuple[str, str]
    at: Point
    height_mm: float
    bore_mm: float
    edge: Edge
    moves_mm: float = 0.0
    """How far its two spaces move against each other: body on frame, an engine on its mounts."""
    assumed_mm: float | None = None


class Faces(StrEnum):
    """Where the mouth of a connector faces: only one that faces up gathers water along its lead."""

    UP = "up"
    SIDE = "side"
    DOWN = "down"


@dataclass(frozen=True, slots=True)
class Studs:
    """The two studs of a unit, such as "M6": one takes what carries current in, the other what returns it."""

    plus: str
    minus: str


@dataclass(frozen=True, slots=True)
class Terminal:
    """Where a run begins or ends: on a stud such as "M6", on one of two, else in a connector."""

    name: str
    space: str
    at: Point
    height_mm: float
    stud: str | None
    """Its only one; None where it has two, or a connector."""
    faces: Faces = Faces.UP
    """Of a connector; up where nobody said, the safe side."""
    kind: TerminalKind | None = None
    """None where the file does not say: the most careful rule of all kinds stands for it."""
    pole: Pole | None = None
    """Of a battery post, and of a terminal that is one pole of a unit."""
    studs: Studs | None = None
    """Where it has one for each pole."""
    is_place: bool = False
    """Whether the job brings it along; the vehicle as measured does not have it."""
    unit: str | None = None
    """The unit or the battery of which it is one pole; its other poles are terminals of their own."""
    is_source: bool = False
    """Whether it can feed what is joined to it, as a charger does: a battery post can without saying so."""
    wire: str | None = None
    """The size of the conductor that is there already and is joined, e.g. "1.5 mm2"; None: not known."""
    contact: str | None = None
    """The family of its connector's contacts, e.g. "6.3 mm tab"; None: not known."""
    short_circuit_a: float | None = None
    """Of a source that limits its own current: the most that it drives, as a solar panel; None: no limit."""
    assumed_mm: float | None = None

    @property
    def is_connector(self) -> bool:
        """Return whether conductors end there in contacts, not on a stud."""
        return self.stud is None and self.studs is None

    def stud_for(self, *, is_return: bool) -> str | None:
        """Return the stud for a conductor that returns current, or for one that carries it in."""
        if self.studs is None:
            return self.stud
        return self.studs.minus if is_return else self.studs.plus


@dataclass(frozen=True, slots=True)
class Profile:
    """One vehicle model, one variant of it chosen (None: as first measured)."""

    key: str
    """Library name or file stem, e.g. "dunlin-lwb"."""
    name: str
    revision: int
    measured_on: str
    tolerance_mm: float
    datum: str
    unit: str
    """Of the points in its file, and of those of the places that a job brings along; records are in mm."""
    variant: str | None
    variants: tuple[str, ...]
    spaces: tuple[Space, ...]
    panels: tuple[Panel, ...]
    keep_outs: tuple[KeepOut, ...]
    members: tuple[Member, ...]
    supports: tuple[Support, ...]
    covers: tuple[Cover, ...]
    exposed: tuple[ExposedArea, ...]
    openings: tuple[Opening, ...]
    terminals: tuple[Terminal, ...]

    def space(self, name: str) -> Space:
        """Return the space of that name; KeyError where there is none."""
        return _named(self.spaces, name)

    def terminal(self, name: str) -> Terminal:
        """Return the terminal of that name; KeyError where there is none."""
        return _named(self.terminals, name)

    def support(self, name: str) -> Support:
        """Return the support of that name; KeyError where there is none."""
        return _named(self.supports, name)

    def opening(self, name: str) -> Opening:
        """Return the opening of that name; KeyError where there is none."""
        return _named(self.openings, name)

    def panel(self, name: str) -> Panel:
        """Return the panel of that name; KeyError where there is none."""
        return _named(self.panels, name)

    def member(self, name: str) -> Member:
        """Return the member of that name; KeyError where there is none."""
        return _named(self.members, name)

    def cover(self, name: str) -> Cover:
        """Return the cover of that name; KeyError where there is none."""
        return _named(self.covers, name)

    def keep_out(self, name: str) -> KeepOut:
        """Return the keep-out of that name; KeyError where there is none."""
        return _named(self.keep_outs, name)


def _is_inside(at: Point, area: tuple[Point, ...]) -> bool:
    """Return whether a place is inside an area, by the times that a line from it crosses the border."""
    x, y = at
    crossings = 0
    for (ax, ay), (bx, by) in zip(area, (*area[1:], area[0]), strict=True):
        if (ay > y) != (by > y):
            crossings += x < ax + (y - ay) / (by - ay) * (bx - ax)
    return crossings % 2 == 1


def _height_along(along: tuple[Point, ...], heights_mm: tuple[float, ...], at: Point) -> float:
    best_mm, height_mm = math.inf, heights_mm[0]
    for number, ((ax, ay), (bx, by)) in enumerate(pairwise(along)):
        square = (bx - ax) ** 2 + (by - ay) ** 2
        share = ((at[0] - ax) * (bx - ax) + (at[1] - ay) * (by - ay)) / square if square else 0.0
        share = min(1.0, max(0.0, share))
        off_mm = math.dist(at, (ax + share * (bx - ax), ay + share * (by - ay)))
        if off_mm < best_mm:
            low_mm, high_mm = heights_mm[number], heights_mm[number + 1]
            best_mm, height_mm = off_mm, low_mm + share * (high_mm - low_mm)
    return height_mm


class _Named(Protocol):
    @property
    def name(self) -> str: ...


_Record = TypeVar("_Record", bound=_Named)


def _named(records: tuple[_Record, ...], name: str) -> _Record:
    for record in records:
        if record.name == name:
            return record
    raise KeyError(name)
