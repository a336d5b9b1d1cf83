"""The command `measure`: a sheet to print, on which a vehicle's lengths are written."""

from __future__ import annotations

from pathlib import Path

import click

from router.cli.options import PATH
from router.cli.terminal import print_columns


@click.command()
@click.argument("named", required=False, metavar="[TYPE|PROFILE]")
@click.option(
    "--paper", type=click.Choice(["a4", "letter"]), default="a4", show_default=True, help="To print on."
)
@click.option(
    "--unit",
    type=click.Choice(["mm", "in"]),
    default="mm",
    show_default=True,
    help="What is filled in, and what bare numbers in the boxes are in.",
)
@click.option(
    "--out",
    type=PATH,
    metavar="FILE",
    help="Where to write it; - for stdout.  [default: measure-NAME.html, in this folder]",
)
def measure(named: str | None, paper: str, unit: str, out: Path | None) -> None:
    """Make the measuring sheet of a TYPE of vehicle, or of a PROFILE: a page to print and write on.

    A type asks about a dozen lengths. A profile's sheet has boxes for what is only assumed in it and for
    heights that are missing; the rest is filled in. Without a name, the types are listed.

    \b
    Examples:
      underbody measure
      underbody measure panel-van
      underbody measure profiles/dunlin-lwb.yaml --paper letter --unit in --out sheet.html
    """
    from router.measuring import measuring_sheet, vehicle_types
    from router.writing import write_whole

    if named is None:
        rows = [(each.key, each.name, each.says) for each in vehicle_types()]
        print_columns([("type", "vehicle", "what it is like"), *rows])
        return
    sheet = measuring_sheet(named, paper, unit).encode()
    if out == Path("-"):
        click.echo(sheet, nl=False)  # bytes: the same on every code page
        return
    path = out or Path(f"measure-{Path(named).stem}.html")
    write_whole({path: sheet})
    click.echo(f"written: {path}; print it from a browser")
