"""The lists of a fleet as CSV: what to order, how to cut, what goes into each kit."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from router.fleet.cuts import CutItem, cut_pieces
from router.fleet.kits import Kit, KitPart, list_kits
from router.fleet.report import Report
from router.fleet.store import Store
from router.writing import csv_bytes, csv_lines

ORDER = ("item", "spec", "quantity", "unit", "order", "price", "currency")
CUTS = ("item", "spec", "reel", "reel_m", "pieces", "length_m", "vehicle", "job", "where", "rest_m")
KITS = ("model", "job", "for", "vehicles", "item", "spec", "quantity", "unit", "where", "trim_m")


def order_csv(report: Report) -> bytes:
    """Return the order list."""
    rows = [
        (
            line.item,
            line.spec,
            line.quantity,
            line.unit,
            line.order,
            "" if line.price is None else line.price,
            report.fleet.currency if line.price is not None else "",
        )
        for line in report.order
    ]
    return csv_bytes(ORDER, rows)


def cuts_csv(store: Store, cuts: Iterable[CutItem]) -> Iterator[bytes]:
    """Yield the cutting plan: a line for pieces off one reel that are alike, in the order of cutting."""
    pieces = (piece for item in cuts for piece in cut_pieces(store, item))
    rows = (
        (
            piece.item,
            piece.spec,
            piece.reel,
            piece.reel_mm / 1000,
            piece.pieces,
            piece.length_mm / 1000,
            piece.use.vehicle,
            piece.use.job,
            piece.use.place,
            piece.rest_mm / 1000,
        )
        for piece in pieces
    )
    return csv_lines(CUTS, rows)


def kits_csv(store: Store, trim_mm: float) -> Iterator[bytes]:
    """Yield every kit, then what each variant of its model needs besides."""
    return csv_lines(KITS, (row for kit, _ in list_kits(store, trim_mm) for row in _kit_rows(kit)))


def _kit_rows(kit: Kit) -> Iterator[tuple[str | float, ...]]:
    yield from _part_rows(kit, "every vehicle", kit.vehicles, kit.parts)
    for add_on in kit.add_ons:
        yield from _part_rows(kit, add_on.variant or "as first measured", add_on.vehicles, add_on.parts)


def _part_rows(
    kit: Kit, whom: str, vehicles: int, parts: tuple[KitPart, ...]
) -> Iterator[tuple[str | float, ...]]:
    for part in parts:
        head = (kit.profile, kit.job, whom, vehicles)
        yield (*head, part.item, part.spec, part.quantity, part.unit, part.place, part.trim_m)
