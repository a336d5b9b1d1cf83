"""The command `show`: a vehicle drawn alone."""

from __future__ import annotations

from pathlib import Path

import click

from router.cli.options import PATH, drawn_as, map_options


@click.command()
@click.argument("profile")
@click.option("--variant", metavar="NAME", help="Draw this variant of it.")
@click.option(
    "--out",
    type=PATH,
    metavar="FILE",
    help="Where to draw it; - for stdout.  [default: the profile's name with .svg, in this folder]",
)
@map_options
def show(
    profile: str,
    variant: str | None,
    out: Path | None,
    seen_from: str,
    paper: str,
    roll_width_mm: float,
    scale: float | None,
) -> None:
    """Draw PROFILE alone: a name in the library, or a file.

    \b
    Examples:
      underbody show dunlin-lwb
      underbody show profiles/sanderling-estate.yaml --out estate.svg --paper a3
    """
    from router.drawing import DrawingOptions, draw_profile
    from router.reading import read_profile
    from router.writing import write_whole

    vehicle = read_profile(profile, variant)
    drawn = drawn_as(draw_profile, vehicle, DrawingOptions(seen_from, paper, roll_width_mm, scale)).encode()
    if out == Path("-"):
        click.echo(drawn, nl=False)  # bytes: the same on every code page
        return
    path = out or Path(f"{vehicle.key}.svg")
    write_whole({path: drawn})
    click.echo(f"written: {path}")
