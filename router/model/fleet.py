"""A fleet: vehicles that get the same jobs, what they are bought from, and what a shop throws away."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class FleetVehicle:
    """So many vehicles that are alike: one profile in one variant, with the jobs that they get."""

    name: str
    profile: str
    """Library name or path, as the file says."""
    variant: str | None
    count: int
    jobs: tuple[str, ...]
    """Names of the fleet's jobs."""


@dataclass(frozen=True, slots=True)
class Reel:
    """A length that something is sold in; `price` in the fleet's currency, None where none is said."""

    length_mm: float
    price: float | None


@dataclass(frozen=True, slots=True)
class Stock:
    """The lengths that one item is sold in; `size` None: every size that has no entry of its own."""

    item: str
    size: str | None
    reels: tuple[Reel, ...]


@dataclass(frozen=True, slots=True)
class Fleet:
    """What a fleet file says; profiles and jobs are read one at a time."""

    name: str
    practice: str | None
    jobs: tuple[tuple[str, str], ...]
    """Name and path of each job."""
    vehicles: tuple[FleetVehicle, ...]
    stock: tuple[Stock, ...]
    currency: str
    cut_loss_mm: float
    """Lost at every cut."""
    trim_mm: float
    """The most that may be cut off a conductor so that one kit serves another vehicle too."""
    spare: float | None
    """Added once over the fleet to what comes in pieces; None: as each plan's practice says."""

    def stock_for(self, item: str, size: str) -> Stock | None:
        """Return what an item of the bill is sold in; None where nothing is said of its size or of any."""
        of_item = {stock.size: stock for stock in self.stock if stock.item == item}
        return of_item.get(size) or of_item.get(None)
