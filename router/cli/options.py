"""Options that several commands share, and how what they are given is read."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from router.cli.terminal import Refusal
from router.tolerances import LEAST_GAP

if TYPE_CHECKING:
    from router.drawing import DrawingOptions

_Command = TypeVar("_Command", bound=Callable[..., Any])
_Drawn = TypeVar("_Drawn")
NARROWEST_ROLL_MM, WIDEST_ROLL_MM = 200, 2000


class PathType(click.Path):
    """A path as somebody types it; none at all is refused, not taken for the folder that we are in."""

    def __init__(self) -> None:
        super().__init__(path_type=Path)

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        """Return the path; `Refusal` where it is empty."""
        if not os.fspath(value):
            raise Refusal(f"the path for {param.opts[0] if param else 'this'} is empty; write one")
        return super().convert(value, param, ctx)


PATH = PathType()
practice_option = click.option(
    "--practice",
    "practice_path",
    type=PATH,
    metavar="FILE|NAME",
    help="Rules in place of those that the job names: a shop's file, or default, law, voluntary.",
)
trust_option = click.option(
    "--trust-paths",
    "trusts_paths",
    is_flag=True,
    help="Let files name others anywhere; without it, the library and what is near them.",
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


def map_options(command: _Command) -> _Command:
    """Add the options of the commands that draw a map at any scale, on sheets, in tiles or on a roll."""
    options = (
        click.option(
            "--seen-from",
            type=click.Choice(["below", "above"]),
            default="below",
            show_default=True,
            help="Where the vehicle is looked at from.",
        ),
        click.option(
            "--paper",
            type=click.Choice(["a4", "a3", "letter", "tabloid", "roll"]),
            default="a4",
            show_default=True,
            help="Sheet that the drawing fits on; on a roll it is one long strip.",
        ),
        click.option(
            "--roll-width",
            "roll_width_mm",
            metavar="LENGTH",
            default="610 mm",
            show_default=True,
            callback=lambda _context, _option, text: _roll_width(text),
            help="Width of the roll.",
        ),
        click.option(
            "--scale",
            metavar="1:N",
            callback=lambda _context, _option, text: _scale(text),
            help="Scale of the plan band, 1:1 to 1:200; what is larger than a sheet comes in tiles.  "
            "[default: the largest that fits]",
        ),
    )
    for option in reversed(options):
        command = option(command)
    return command


def _roll_width(text: str) -> float:
    """Return the width of a roll in mm; one that no printer takes is refused."""
    from router.units import parse_quantity

    try:
        width_mm = parse_quantity(text, "length")
    except ValueError as error:
        raise click.BadParameter(str(error)) from error
    if not NARROWEST_ROLL_MM <= width_mm <= WIDEST_ROLL_MM:
        raise click.BadParameter(
            f'"{text}" is not from {NARROWEST_ROLL_MM} mm to {WIDEST_ROLL_MM} mm; write e.g. "610 mm"'
        )
    return width_mm


def _scale(text: str | None) -> float | None:
    """Return a scale such as "1:10" as 10; one that is on no common scale ruler is refused."""
    if text is None:
        return None
    from router.drawing import SCALES

    named = {f"1:{scale}": float(scale) for scale in SCALES}
    if text.replace(" ", "") not in named:
        raise click.BadParameter(f'"{text}" is not one of {", ".join(named)}')
    return named[text.replace(" ", "")]


def day(text: str | None) -> str:
    """Return a day as it was written, or nothing; one that no calendar has is refused."""
    if text is None:
        return ""
    from datetime import date

    try:
        return date.fromisoformat(text).isoformat()
    except ValueError as error:
        raise click.BadParameter(f'"{text}" is no date; write e.g. 2026-03-20') from error


def share(text: str) -> float:
    """Return a share such as "1 %" as a ratio; one that no proof could be about is refused."""
    from router.units import parse_quantity

    with contextlib.suppress(ValueError):
        share = parse_quantity(text, "ratio")
        if LEAST_GAP <= share <= 1.0:
            return share
    raise click.BadParameter(f'"{text}" is no share from {LEAST_GAP * 100:g} % to 100 %; write e.g. "0.5 %"')


def drawn_as(draw: Callable[..., _Drawn], what: object, options: DrawingOptions) -> _Drawn:
    """Return a drawing; a scale that is too large for the roll is the user's fault, not the program's."""
    try:
        return draw(what, **options.keywords())
    except ValueError as error:
        if options.paper != "roll":
            raise
        raise click.UsageError(str(error)) from error
