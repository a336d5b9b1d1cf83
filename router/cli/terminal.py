"""Words out: what is printed, where, and the exit codes."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from typing import IO, Any

import click

from router.errors import shown

DONE, NO_ANSWER, UNREADABLE, OWN_FAULT, INTERRUPTED = 0, 1, 2, 70, 130


class Refusal(click.ClickException):
    """What was typed cannot be taken; said in one line."""

    exit_code = UNREADABLE

    def show(self, file: IO[Any] | None = None) -> None:
        """Print the line on stderr."""
        click.echo(f"underbody: {self.message}", file=file, err=True)


def print_columns(rows: Sequence[Sequence[str]]) -> None:
    """Print rows as columns; every row has as many cells as the first."""
    rows = [[shown(cell) for cell in row] for row in rows]
    widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))]
    for row in rows:
        click.echo("  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip())


def print_json(data: object) -> None:
    """Print JSON and nothing else, the same bytes on every code page."""
    from router.writing import json_text

    click.echo(json_text(data).encode(errors="backslashreplace"), nl=False)  # names that are no UTF-8 either


def progress(words: str) -> None:
    """Print a progress line to stderr if it is a terminal."""
    if sys.stderr.isatty():
        click.echo(f"{words} ...", err=True)


def one_line(words: str) -> str:
    """Return words with every gap between them one blank."""
    return " ".join(words.split())
