"""The command `check`: every fault of some files, and the schemas of all kinds of file."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from router.cli.options import json_option
from router.cli.words import DONE, UNREADABLE, print_json
from router.errors import UnreadableError


@click.command()
@click.argument("files", nargs=-1, type=click.Path(path_type=Path), metavar="FILE...")
@click.option(
    "--schema",
    type=click.Choice(["profile", "job", "practice", "route", "fleet"]),
    help="Print the JSON Schema of a kind of file, for an editor that completes keys.",
)
@json_option
def check(files: tuple[Path, ...], schema: str | None, as_json: bool) -> int:
    """Read each FILE (profile, job, practice, route or fleet) and list every fault in it.

    A fault reads file:line:column: where: what was found; what to write.

    \b
    Examples:
      underbody check profiles/*.yaml
      underbody check examples/fridge-supply
      underbody check --schema profile > profile.schema.json

    Exit code 0: no faults. 2: faults, listed on stderr.
    """
    if schema:
        from router.reading import json_schema

        print_json(json_schema(schema))
        return DONE
    if not files:
        raise click.UsageError("name at least one file, or --schema")
    results = [_checked(path) for path in files]
    if as_json:
        print_json(results)
    else:
        for result in results:
            for fault in result["faults"]:
                click.echo(fault, err=True)
            if not result["faults"]:
                click.echo(f"{result['file']}: {result['kind']}, no faults")
    return UNREADABLE if any(result["faults"] for result in results) else DONE


def _checked(path: Path) -> dict[str, Any]:
    from router.reading import check_file

    try:
        return {"file": str(path), "kind": check_file(path), "faults": []}
    except UnreadableError as error:
        return {"file": str(path), "kind": None, "faults": [str(fault) for fault in error.faults]}
