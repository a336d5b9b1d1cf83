"""The command `check`: every fault of some files, and the schemas of all kinds of file."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from router.cli.options import PATH, json_option, trust_option
from router.cli.terminal import DONE, UNREADABLE, print_json
from router.errors import UnreadableError


@click.command()
@click.argument("files", nargs=-1, type=PATH, metavar="FILE...")
@click.option(
    "--schema",
    type=click.Choice(["profile", "job", "practice", "route", "fleet", "plan", "review"]),
    help="Print the JSON Schema of a kind of file, for an editor that completes keys; or of what is written.",
)
@trust_option
@json_option
def check(files: tuple[Path, ...], schema: str | None, trusts_paths: bool, as_json: bool) -> int:
    """Read each FILE (profile, type, job, practice, route or fleet) and list every fault in it.

    A fault reads file:line:column: where: what was found; what to write. The names in a route are looked up
    in the job that it names, or else in the job that is named with it.

    \b
    Examples:
      underbody check profiles/*.yaml
      underbody check examples/fridge-supply
      underbody check examples/fridge-supply drawn.yaml
      underbody check --schema profile > profile.schema.json
      underbody check --schema plan > plan.schema.json

    What stands, but should be looked at, is said too: no kind of a space or a terminal, a clearance of 0.

    Exit code 0: no faults. 2: faults, listed on stderr.
    """
    if schema:
        print_json(_schema(schema))
        return DONE
    if not files:
        raise click.UsageError("name at least one file, or --schema")
    results = {path: _checked(path, None, trusts_paths) for path in files}
    jobs = [path for path in files if results[path]["kind"] == "job"]
    adrift = [path for path in files if results[path]["kind"] in (None, "route") and _names_no_job(path)]
    if len(jobs) == 1:
        results |= {path: _checked(path, jobs[0], trusts_paths) for path in adrift}
        adrift = []
    if as_json:
        print_json(list(results.values()))
    else:
        for path, result in results.items():
            for fault in result["faults"]:
                click.echo(fault, err=True)
            for advice in result["advice"]:
                click.echo(advice)
            if not result["faults"]:
                besides = f"; {advised} above to look at" if (advised := len(result["advice"])) else ""
                besides += f"; for its names too: underbody check JOB {path}" if path in adrift else ""
                click.echo(f"{path}: {result['kind']}, no faults{besides}")
    return UNREADABLE if any(result["faults"] for result in results.values()) else DONE


def _schema(kind: str) -> dict[str, Any]:
    """Return the schema of a kind of file that people write, or of what plan and review write."""
    from router.reading import json_schema
    from router.writing import plan_schema, review_schema

    written = {"plan": plan_schema, "review": review_schema}
    return written[kind]() if kind in written else json_schema(kind)


def _checked(path: Path, job: Path | None, trusts_paths: bool) -> dict[str, Any]:
    from router.measuring import is_type, read_type
    from router.reading import advice_on, check_file

    try:
        if is_type(path):
            read_type(path)
            return {"file": str(path), "kind": "type", "faults": [], "advice": []}
        kind = check_file(path, job, trusts_paths=trusts_paths)
    except UnreadableError as error:
        return {
            "file": str(path),
            "kind": None,
            "faults": [str(fault) for fault in error.faults],
            "advice": [],
        }
    return {"file": str(path), "kind": kind, "faults": [], "advice": [str(each) for each in advice_on(path)]}


def _names_no_job(path: Path) -> bool:
    """Return whether a file is a route that does not say which job it is for."""
    from router.reading import is_route, names_a_job

    return path.is_file() and not names_a_job(path) and is_route(path)
