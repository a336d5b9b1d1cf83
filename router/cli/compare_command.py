"""The command `compare`: what differs between two vehicles."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from router.cli.options import PATH, drawing_options, json_option
from router.cli.terminal import print_columns, print_json
from router.errors import Fault, UnreadableError

if TYPE_CHECKING:
    from router.model.vehicle import Profile


@click.command()
@click.argument("before")
@click.argument("after")
@click.option("--variant", metavar="NAME", help="Take this variant of BEFORE.")
@click.option("--other-variant", metavar="NAME", help="Take this variant of AFTER.")
@click.option(
    "--out",
    type=PATH,
    metavar="FILE",
    help="Draw AFTER with all that differs: gone, new, moved and by how much.",
)
@drawing_options
@json_option
def compare(
    before: str,
    after: str,
    variant: str | None,
    other_variant: str | None,
    out: Path | None,
    seen_from: str,
    paper: str,
    as_json: bool,
) -> None:
    """List what differs between two profiles, revisions or variants: names or files.

    Plans are not compared: what a change of the vehicle does to a route says underbody review JOB ROUTE.

    \b
    Examples:
      underbody compare dunlin-lwb new/dunlin-lwb.yaml --out changes.svg
      underbody compare van.yaml van.yaml --other-variant "battery under seat"
    """
    from router.facts import compare_profiles

    first, second = _both((before, variant), (after, other_variant))
    differences = compare_profiles(first, second)
    if out:
        from router.drawing import draw_comparison
        from router.model.comparison import Comparison
        from router.writing import write_whole

        comparison = Comparison(first, second, differences)
        write_whole({out: draw_comparison(comparison, seen_from=seen_from, paper=paper).encode()})
    if as_json:
        print_json([{"section": d.section, "name": d.name, "what": d.what} for d in differences])
        return
    if differences:
        print_columns([("what", "name", "difference"), *((d.section, d.name, d.what) for d in differences)])
    else:
        click.echo("no difference")
    if out:
        click.echo(f"written: {out}")


def _both(*asked: tuple[str, str | None]) -> list[Profile]:
    """Return two profiles; UnreadableError with the faults of both, each once."""
    from router.reading import read_profile

    read: list[Profile] = []
    faults: dict[Fault, None] = {}
    for named, variant in asked:
        try:
            read.append(read_profile(named, variant))
        except UnreadableError as error:
            faults |= dict.fromkeys(error.faults)
    if faults:
        raise UnreadableError(tuple(faults))
    return read
