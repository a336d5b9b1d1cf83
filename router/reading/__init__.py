"""The input door: a file is refused with all its faults at once, or turned into a record.

Each name is imported when it is first asked for, so that no command reads in what only others need.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from router.reading.checking import check_file
    from router.reading.drawn_routes import read_route
    from router.reading.fleets import Asked, FleetReader
    from router.reading.practices import read_practice
    from router.reading.profiles import library, library_folder, read_profile
    from router.reading.questions import Question, read_question
    from router.reading.routes import is_route, job_of_route, names_a_job
    from router.reading.schemas import json_schema
    from router.reading.used_lengths import read_used_lengths

__all__ = [
    "Asked",
    "FleetReader",
    "Question",
    "check_file",
    "is_route",
    "job_of_route",
    "json_schema",
    "library",
    "library_folder",
    "names_a_job",
    "read_practice",
    "read_profile",
    "read_question",
    "read_route",
    "read_used_lengths",
]

_HOMES = {
    "checking": ("check_file",),
    "drawn_routes": ("read_route",),
    "fleets": ("Asked", "FleetReader"),
    "practices": ("read_practice",),
    "profiles": ("library", "library_folder", "read_profile"),
    "questions": ("Question", "read_question"),
    "routes": ("is_route", "job_of_route", "names_a_job"),
    "schemas": ("json_schema",),
    "used_lengths": ("read_used_lengths",),
}


def __getattr__(name: str) -> Any:
    for module, names in _HOMES.items():
        if name in names:
            return getattr(import_module(f"{__name__}.{module}"), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
