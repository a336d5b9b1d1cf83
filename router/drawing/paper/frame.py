"""How a place of the vehicle comes to lie on the paper: paper size, scale, and from where it is seen.

The front is always at the left. Seen from above, the vehicle's right side then lies towards the top of the
paper. Seen from below the picture is mirrored: the vehicle's left side lies towards the top.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType
from typing import TYPE_CHECKING

from router.drawing.paper.pen import PaperPoint
from router.model.vehicle import Point, Space, SpaceKind

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

SCALES = (1, 2, 5, 10, 15, 20, 25, 30, 40, 50, 75, 100, 200)
"""Vehicle millimetres per millimetre of paper; the first scale that fits is taken.

Those that ISO 5455 recommends, 1:25 and 1:75 of common scale rulers, and 1:15, 1:30 and 1:40, because a small
car that just misses 1:10 would fill a quarter of the sheet at 1:20, and a van that misses 1:25 at 1:50.
"""

ROLL_WIDTH_MM = 610.0
"""24 inches, a common width of plotter paper."""

NEGLIGIBLE_SHARE = 0.02
"""Two spaces that share less than this of the smaller one (a bulkhead) still lie side by side."""


class SeenFrom(StrEnum):
    """From where the vehicle is looked at."""

    BELOW = "below"
    ABOVE = "above"


@dataclass(frozen=True, slots=True)
class Paper:
    """One size of paper, on its side."""

    name: str
    width_mm: float
    height_mm: float
    margin_mm: float = 8.0

    @property
    def is_roll(self) -> bool:
        """Return whether it is cut to length from a roll; its width is 0 until the length is known."""
        return self.width_mm == 0.0

    @property
    def inner(self) -> Box:
        """Return what may be printed on."""
        edge = self.margin_mm
        return Box(edge, edge, self.width_mm - 2 * edge, self.height_mm - 2 * edge)


@dataclass(frozen=True, slots=True)
class Box:
    """An upright rectangle on the paper: upper left corner, width and height."""

    x: float
    y: float
    width: float
    height: float

    @property
    def right(self) -> float:
        """Return the right edge."""
        return self.x + self.width

    @property
    def bottom(self) -> float:
        """Return the lower edge."""
        return self.y + self.height

    def holds(self, point: PaperPoint) -> bool:
        """Return whether a place lies inside, edges included."""
        return self.x <= point[0] <= self.right and self.y <= point[1] <= self.bottom

    def moved(self, down_mm: float) -> Box:
        """Return the same box further down."""
        return Box(self.x, self.y + down_mm, self.width, self.height)


PAPERS: Mapping[str, Paper] = MappingProxyType(
    {
        "a4": Paper("A4", 297.0, 210.0),
        "a3": Paper("A3", 420.0, 297.0),
        "letter": Paper("Letter", 279.4, 215.9),
        "tabloid": Paper("Tabloid", 431.8, 279.4),
    }
)


@dataclass(frozen=True, slots=True)
class Frame:
    """Where the vehicle's origin lies on the paper, at which scale, and the direction of y."""

    origin: PaperPoint
    scale: float
    seen_from: SeenFrom

    def at(self, point: Point) -> PaperPoint:
        """Return where a place of the vehicle lies on the paper."""
        down = 1.0 if self.seen_from is SeenFrom.BELOW else -1.0
        return self.origin[0] + point[0] / self.scale, self.origin[1] + down * point[1] / self.scale

    def all_at(self, points: Sequence[Point]) -> list[PaperPoint]:
        """Return where several places lie on the paper."""
        return [self.at(point) for point in points]

    def array_at(self, points: Floats) -> Floats:
        """Return where places of an array (n, 2) lie on the paper."""
        down = 1.0 if self.seen_from is SeenFrom.BELOW else -1.0
        placed: Floats = points * (1.0, down) / self.scale + self.origin
        return placed


def seen_from_word(word: str) -> SeenFrom:
    """Return what the word means; ValueError for any but "below" and "above"."""
    return SeenFrom(word)


def paper_named(name: str) -> Paper:
    """Return the paper of that name; ValueError where there is none."""
    if name not in PAPERS:
        raise ValueError(f"paper {name!r} is not known; use one of {', '.join(PAPERS)}")
    return PAPERS[name]


def rows_of_spaces(
    spaces: Sequence[Space], main: SpaceKind = SpaceKind.UNDERFLOOR
) -> tuple[tuple[Space, ...], ...]:
    """Return spaces in rows so that no two of a row lie above one another; the main view is the first row.

    The main view is the lowest space of the kind `main`, or the lowest of all where there is none.
    """
    ordered = sorted(spaces, key=lambda space: (space.kind is not main, space.height_mm))
    rows: list[list[Space]] = []
    for space in ordered:
        row = next((row for row in rows if not any(_overlap(space, other) for other in row)), None)
        if row is None:
            rows.append([space])
        else:
            row.append(space)
    return tuple(tuple(row) for row in rows)


def _overlap(one: Space, other: Space) -> bool:
    from shapely import Polygon  # noqa: PLC0415 - keeps reading a paper's name free of shapely

    first, second = Polygon(one.outline), Polygon(other.outline)
    shared: float = first.intersection(second).area
    return bool(shared > NEGLIGIBLE_SHARE * min(first.area, second.area))
