"""The command `compare`: what differs between two vehicles."""

from __future__ import annotations

import click

from router.cli.options import json_option
from router.cli.words import print_columns, print_json


@click.command()
@click.argument("before")
@click.argument("after")
@click.option("--variant", metavar="NAME", help="Take this variant of BEFORE.")
@click.option("--other-variant", metavar="NAME", help="Take this variant of AFTER.")
@json_option
def compare(before: str, after: str, variant: str | None, other_variant: str | None, as_json: bool) -> None:
    """List what differs between two profiles, revisions or variants: names or files.

    \b
    Examples:
      underbody compare dunlin-lwb new/dunlin-lwb.yaml
      underbody compare van.yaml van.yaml --other-variant "battery under seat"
    """
    from router.comparison import compare_profiles
    from router.reading import read_profile

    differences = compare_profiles(read_profile(before, variant), read_profile(after, other_variant))
    if as_json:
        print_json([{"section": d.section, "name": d.name, "what": d.what} for d in differences])
    elif differences:
        print_columns([("what", "name", "difference"), *((d.section, d.name, d.what) for d in differences)])
    else:
        click.echo("no difference")
