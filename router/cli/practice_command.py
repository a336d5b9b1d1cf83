"""The command `practice`: the rules in force."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from router.cli.options import json_option, practice_option
from router.cli.terminal import print_columns, print_json

if TYPE_CHECKING:
    from router.model.practice import Rule


@click.command()
@practice_option
@json_option
def practice(practice_path: Path | None, as_json: bool) -> None:
    """List the rules in force, each with its value, how far it can be trusted, and its source.

    \b
    Examples:
      underbody practice
      underbody practice --practice law
      underbody practice --practice house.yaml --json
    """
    from router.reading import read_practice
    from router.writing import practice_data

    rules = read_practice(practice_path)
    if as_json:
        print_json(practice_data(rules))
        return
    click.echo(rules.name)
    rows = [(rule.name, _in_words(rule), str(rule.status), rule.source) for rule in rules.rules.values()]
    print_columns([("rule", "value", "status", "source"), *rows])


def _in_words(rule: Rule) -> str:
    return f"{rule.value:g}" if rule.unit in ("ratio", "count") else f"{rule.value:g} {rule.unit}"
