"""Options that several commands share, and how what they are given is read."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

import click

_Command = TypeVar("_Command", bound=Callable[..., Any])
LEAST_GAP = 1e-4
"""The smallest gap that may be asked for; rounding and patience end below."""

practice_option = click.option(
    "--practice",
    "practice_path",
    type=click.Path(path_type=Path),
    metavar="FILE|NAME",
    help="Rules in place of those that the job names: a shop's file, or default, law, voluntary.",
)
json_option = click.option("--json", "as_json", is_flag=True, help="Print JSON and nothing else.")


def drawing_options(command: _Command) -> _Command:
    """Add the options of every command that draws."""
    command = click.option(
        "--paper",
        type=click.Choice(["a4", "a3", "letter", "tabloid"]),
        default="a4",
        show_default=True,
        help="Sheet that the drawing fits on.",
    )(command)
    return click.option(
        "--seen-from",
        type=click.Choice(["below", "above"]),
        default="below",
        show_default=True,
        help="Where the vehicle is looked at from.",
    )(command)


def day(text: str | None) -> str:
    """Return a day as it was written, or nothing; one that no calendar has is refused."""
    from datetime import date

    if text is None:
        return ""
    try:
        return date.fromisoformat(text).isoformat()
    except ValueError as error:
        raise click.BadParameter(f'"{text}" is no date; write e.g. 2026-03-20') from error


def share(text: str) -> float:
    """Return a share such as "1 %" as a ratio; one that no proof could be about is refused."""
    from router.units import parse_quantity

    try:
        share = parse_quantity(text, "ratio")
    except ValueError as error:
        raise click.BadParameter(str(error)) from error
    if not LEAST_GAP <= share <= 1.0:
        raise click.BadParameter(f'"{text}" is not from {LEAST_GAP * 100:g} % to 100 %; write e.g. "0.5 %"')
    return share
