"""The vehicle as the shop measured it. All lengths in mm; axes x rearward, y right, z up."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
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
    """Which post of a battery."""

    POSITIVE = "positive"
    NEGATIVE = "negative"


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
class Space:
    """One sheet of the vehicle in plan; a cable in it lies at `height_mm`."""

    name: str
    height_mm: float
    outline: tuple[Point, ...]
    kind: SpaceKind | None = None
    """None where the file does not say: the most careful rule of all kinds stands for it."""


@dataclass(frozen=True, slots=True)
class KeepOut:
    """A place to stay away from; `heights_mm` None means the whole height of its space."""

    name: str
    space: str
    hazard: Hazard
    shape: Shape
    heights_mm: tuple[float, float] | None
    is_shielded: bool
    clearance_mm: float | None
    """The keep-out's own clearance, which then replaces the practice's."""


@dataclass(frozen=True, slots=True)
class OverPass:
    """A stretch of a member whose top may be crossed anywhere between `start` and `end`."""

    start: Point
    end: Point
    rise_mm: float


@dataclass(frozen=True, slots=True)
class ThroughPass:
    """A hole in a member, crossed square to the member at `at`."""

    at: Point
    bore_mm: float
    edge: Edge


@dataclass(frozen=True, slots=True)
class Member:
    """A crossmember: a band round `along`, crossed only at its passes."""

    name: str
    space: str
    along: tuple[Point, ...]
    width_mm: float
    passes: tuple[OverPass | ThroughPass, ...]


@dataclass(frozen=True, slots=True)
class Support:
    """A line to fix to, at its own height."""

    name: str
    space: str
    kind: SupportKind
    along: tuple[Point, ...]
    height_mm: float
    fix: Fix


@dataclass(frozen=True, slots=True)
class Cover:
    """A panel that shelters what runs above it; `fasteners` come out to take it down."""

    name: str
    space: str
    area: tuple[Point, ...]
    fasteners: int


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


class Faces(StrEnum):
    """Where the mouth of a connector faces: only one that faces up gathers water along its lead."""

    UP = "up"
    SIDE = "side"
    DOWN = "down"


@dataclass(frozen=True, slots=True)
class Terminal:
    """Where a run begins or ends; `stud` such as "M6", or None where it ends in a connector."""

    name: str
    space: str
    at: Point
    height_mm: float
    stud: str | None
    faces: Faces = Faces.UP
    """Of a connector; up where nobody said, the safe side."""
    kind: TerminalKind | None = None
    """None where the file does not say: the most careful rule of all kinds stands for it."""
    pole: Pole | None = None
    """Of a battery post."""


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
    variant: str | None
    variants: tuple[str, ...]
    spaces: tuple[Space, ...]
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

    def member(self, name: str) -> Member:
        """Return the member of that name; KeyError where there is none."""
        return _named(self.members, name)

    def cover(self, name: str) -> Cover:
        """Return the cover of that name; KeyError where there is none."""
        return _named(self.covers, name)

    def keep_out(self, name: str) -> KeepOut:
        """Return the keep-out of that name; KeyError where there is none."""
        return _named(self.keep_outs, name)


class _Named(Protocol):
    @property
    def name(self) -> str: ...


_Record = TypeVar("_Record", bound=_Named)


def _named(records: tuple[_Record, ...], name: str) -> _Record:
    for record in records:
        if record.name == name:
            return record
    raise KeyError(name)
