"""The command `profiles`: the library of vehicles."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from router.cli.options import json_option
from router.cli.terminal import print_columns, print_json

if TYPE_CHECKING:
    from router.model.vehicle import Profile


@click.command()
@json_option
def profiles(as_json: bool) -> None:
    """List the vehicles in the library; a job names one by the word in the first column.

    \b
    Examples:
      underbody profiles
      underbody show dunlin-lwb
    """
    from router.reading import library, read_profile

    vehicles = [(key, read_profile(path)) for key, path in library()]
    if as_json:
        print_json([_profile_data(key, vehicle) for key, vehicle in vehicles])
        return
    rows = [
        (key, vehicle.name, str(vehicle.revision), vehicle.measured_on, ", ".join(vehicle.variants) or "-")
        for key, vehicle in vehicles
    ]
    print_columns([("name", "vehicle", "revision", "measured", "variants"), *rows])


def _profile_data(key: str, profile: Profile) -> dict[str, Any]:
    return {
        "name": key,
        "vehicle": profile.name,
        "revision": profile.revision,
        "measured_on": profile.measured_on,
        "variants": list(profile.variants),
    }
