"""Lengths that were used on vehicles: a CSV file with the columns vehicle, run and used."""

from __future__ import annotations

import csv
from collections.abc import Collection, Mapping
from pathlib import Path as FilePath

from router.errors import Fault, UnreadableError
from router.reading.files import plain_bytes
from router.reading.profile.names_in_profile import unknown
from router.units import parse_quantity

MOST_BYTES = 2_000_000
COLUMNS = ["vehicle", "run", "used"]


def read_used_lengths(path: str | FilePath, runs: Collection[str]) -> Mapping[str, tuple[float, ...]]:
    """Return by run what was used on each vehicle, in the file's order. [mm]

    Raises
    ------
    UnreadableError
        Every fault of the file: each row needs a vehicle, a known run, and a length with its unit; no vehicle
        may have a run twice.
    """
    shown = str(path)
    try:
        content = plain_bytes(FilePath(path), MOST_BYTES)
        if len(content) > MOST_BYTES:
            raise ValueError("it is larger than 2 MB")
        rows = list(csv.reader(content.decode("utf-8-sig").splitlines(), strict=True))
    except (OSError, ValueError, csv.Error) as error:
        words = f"cannot be read: {getattr(error, 'strerror', None) or error}"
        raise UnreadableError((Fault(shown, 1, 1, "", words),)) from None
    if not rows or [cell.strip() for cell in rows[0]] != COLUMNS:
        words = f"first line is not {','.join(COLUMNS)}; write it so"
        raise UnreadableError((Fault(shown, 1, 1, "", words),))
    used: dict[str, list[float]] = {}
    faults, seen = [], set()
    for line, row in enumerate(rows[1:], start=2):
        cells = [cell.strip() for cell in row]
        if not any(cells):
            continue
        try:
            run, length_mm = _row(cells, runs)
        except ValueError as error:
            faults.append(Fault(shown, line, 1, "", str(error)))
            continue
        if (cells[0], run) in seen:
            words = f'vehicle "{cells[0]}" has run "{run}" twice; keep one'
            faults.append(Fault(shown, line, 1, "", words))
        seen.add((cells[0], run))
        used.setdefault(run, []).append(length_mm)
    if faults:
        raise UnreadableError(tuple(faults))
    return {run: tuple(lengths) for run, lengths in used.items()}


def _row(cells: list[str], runs: Collection[str]) -> tuple[str, float]:
    if len(cells) != len(COLUMNS) or not cells[0]:
        raise ValueError(f"has {len(cells)} cells; write vehicle, run and length, e.g. 17,supply,5.42 m")
    if cells[1] not in runs:
        raise ValueError(unknown("run", cells[1], runs))
    length_mm = parse_quantity(cells[2], "length")
    if not length_mm > 0:
        raise ValueError(f'"{cells[2]}" is no length; write more than 0 mm')
    return cells[1], length_mm
