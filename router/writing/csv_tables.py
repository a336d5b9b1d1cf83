"""Tables as CSV files that a spreadsheet opens safely; a plan's bill as one."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator, Sequence
from itertools import chain

from router.model.plan import BillItem, Plan

DECIMALS = 3
"""Of mm, A, V and percent: a micrometre is finer than anything that was measured."""
_FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")
"""What a spreadsheet takes for the beginning of a formula."""


def bill_csv(plan: Plan) -> bytes:
    """Return the bill as a CSV file that a spreadsheet opens safely.

    UTF-8 with a byte order mark and CRLF, as spreadsheets expect; numbers stay numbers; a text that a
    spreadsheet would take for a formula gets an apostrophe in front. A cut of a conductor tells its length
    in words: its total is a line of the bill, too, and what is summed must not count it twice.
    """
    heads = ("item", "spec", "quantity", "unit", "where", "source", "status")
    rows = [{head: getattr(line, head) for head in heads} for line in plan.bill]
    for row in rows:
        if row["item"] == BillItem.CONDUCTOR_CUT:
            row |= {"quantity": "", "unit": "", "where": f"{row['quantity']:g} {row['unit']}, {row['where']}"}
    return csv_bytes(heads, [tuple(row.values()) for row in rows])


def csv_bytes(heads: Sequence[str], rows: Iterable[Sequence[str | float]]) -> bytes:
    """Return a table as a CSV file that a spreadsheet opens safely; numbers are rounded to 0.001."""
    return b"".join(csv_lines(heads, rows))


def csv_lines(heads: Sequence[str], rows: Iterable[Sequence[str | float]]) -> Iterator[bytes]:
    """Yield a CSV file line by line, for tables that need not be held as a whole."""
    yield b"\xef\xbb\xbf"
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\r\n")
    for row in chain([heads], rows):
        writer.writerow([_harmless(cell) if isinstance(cell, str) else _number(cell) for cell in row])
        yield text.getvalue().encode()
        text.seek(0)
        text.truncate()


def _number(value: float) -> float | int:
    """Return a number rounded to 0.001, whole ones without a point, so never minus nought."""
    rounded = round(float(value), DECIMALS)
    return int(rounded) if rounded.is_integer() else rounded


def _harmless(text: str) -> str:
    return f"'{text}" if text.startswith(_FORMULA_STARTS) else text
