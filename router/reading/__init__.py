"""The input door: a file is refused with all its faults at once, or turned into a record."""

from __future__ import annotations

from router.reading.checking import check_file
from router.reading.drawn_routes import read_route
from router.reading.fleets import Asked, FleetReader
from router.reading.practices import read_practice
from router.reading.profiles import library, library_folder, read_profile
from router.reading.questions import Question, read_question
from router.reading.routes import is_route, job_of_route
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
    "read_practice",
    "read_profile",
    "read_question",
    "read_route",
    "read_used_lengths",
]
