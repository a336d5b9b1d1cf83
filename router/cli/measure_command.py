"""The command `measure`: a sheet to print, on which a vehicle's lengths are written."""

from __future__ import annotations

from pathlib import Path

import click

from router.cli.options import PATH
from router.cli.terminal import Refusal, print_columns


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
@click.option(
    "--length",
    "lengths",
    multiple=True,
    metavar="NAME=LENGTH",
    help="What was measured, for --profile; again for each length.",
)
@click.option(
    "--profile",
    "profile_path",
    type=PATH,
    metavar="FILE",
    help="Write the profile that follows from the lengths of a TYPE, in place of a sheet.",
)
@click.option("--name", metavar="NAME", help="What the vehicle is called in it.  [default: the type's name]")
def measure(
    named: str | None,
    paper: str,
    unit: str,
    out: Path | None,
    lengths: tuple[str, ...],
    profile_path: Path | None,
    name: str | None,
) -> None:
    """Make the measuring sheet of a TYPE of vehicle, or of a PROFILE: a page to print and write on.

    A type asks about a dozen lengths. A profile's sheet has boxes for what is only assumed in it and for
    heights that are missing; the rest is filled in. Without a name, the types are listed. With --profile,
    the lengths that were measured make a profile; those that were not are assumed.

    \b
    Examples:
      underbody measure
      underbody measure panel-van
      underbody measure panel-van --length wheelbase=3950 --profile van.yaml
      underbody measure my-van.yaml --paper letter --unit in --out sheet.html
    """
    from router.measuring import NEEDED_WORDS, lengths_needed, measuring_sheet, vehicle_types
    from router.writing import write_whole

    if profile_path is None and (lengths or name):
        raise click.UsageError("--length and --name are for --profile FILE; name it too")
    if named is None:
        if profile_path or out:
            raise click.UsageError("name a type or a profile; underbody measure lists the types")
        rows = [(each.key, each.name, each.says) for each in vehicle_types()]
        print_columns([("type", "vehicle", "what it is like"), *rows])
        return
    if profile_path is not None:
        answers = _answers(lengths)
        write_whole({profile_path: _profile(named, answers, name, unit).encode()})
        click.echo(f"written: {profile_path}; what is still assumed: underbody measure {profile_path}")
        for each in lengths_needed(named, answers):
            click.echo(f"needed: {each}; {NEEDED_WORDS}")
        return
    sheet = measuring_sheet(named, paper, unit).encode()
    if out == Path("-"):
        click.echo(sheet, nl=False)  # bytes: the same on every code page
        return
    path = out or Path(f"measure-{Path(named).stem}.html")
    write_whole({path: sheet})
    click.echo(f"written: {path}; print it from a browser")


def _answers(lengths: tuple[str, ...]) -> dict[str, str]:
    """Return what was measured by name; Refusal where it is written otherwise, or twice."""
    answers: dict[str, str] = {}
    for each in lengths:
        measurement, sign, length = each.partition("=")
        if not sign or measurement.strip() in answers:
            words = "is written twice" if sign else "has no ="
            raise Refusal(f'--length "{each}" {words}; write each once, e.g. --length "wheelbase=3.95 m"')
        answers[measurement.strip()] = length
    return answers


def _profile(key: str, answers: dict[str, str], name: str | None, unit: str) -> str:
    """Return the text of the profile that a type makes of lengths; Refusal with every fault of them."""
    from router.measuring import AnswersError, made_profile, vehicle_types

    usual_name = next((each.name for each in vehicle_types() if each.key == key), key)
    try:
        return made_profile(key, answers, usual_name if name is None else name, unit=unit)
    except AnswersError as error:
        raise Refusal("\n".join(f"{fault.name}: {fault.what}" for fault in error.faults)) from None
