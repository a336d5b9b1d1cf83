"""The input door: a file is refused with all its faults at once, or turned into a record.

Each name is imported when it is first asked for, so that no command reads in what only others need.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from router.lazy_names import lazy_names

if TYPE_CHECKING:
    from router.reading.advice import advice_on
    from router.reading.changed_jobs import (
        changed_question,
        job_data,
        moved_question,
        with_limits,
        with_loads,
    )
    from router.reading.checking import check_file
    from router.reading.files import holding, library_folder, plain_bytes
    from router.reading.fleet.fleets import FleetQuestion, FleetReader
    from router.reading.open_files import (
        OpenFile,
        faults_and_advice,
        open_file,
        parts_written,
        places_written,
        what_and_cure,
    )
    from router.reading.practice.practices import read_practice
    from router.reading.profile.moved_terminals import moved_terminal
    from router.reading.profile.profiles import library, read_profile
    from router.reading.questions import Question, read_question
    from router.reading.route.drawn_routes import read_route
    from router.reading.route.route_reader import is_route, job_of_route, names_a_job
    from router.reading.route.used_lengths import read_used_lengths
    from router.reading.schemas import json_schema
    from router.reading.splice.splicing import Op, Splicing, TextPatch, patch_between, spliced
    from router.reading.splice.value_spans import SpliceError
    from router.reading.yaml.documents import Document, document_of, read_document
    from router.reading.yaml.fields import FileModel, Length, Text
    from router.reading.yaml.structure import structure_faults

__all__ = [
    "Document",
    "FileModel",
    "FleetQuestion",
    "FleetReader",
    "Length",
    "Op",
    "OpenFile",
    "Question",
    "SpliceError",
    "Splicing",
    "Text",
    "TextPatch",
    "advice_on",
    "changed_question",
    "check_file",
    "document_of",
    "faults_and_advice",
    "holding",
    "is_route",
    "job_data",
    "job_of_route",
    "json_schema",
    "library",
    "library_folder",
    "moved_question",
    "moved_terminal",
    "names_a_job",
    "open_file",
    "parts_written",
    "patch_between",
    "places_written",
    "plain_bytes",
    "read_document",
    "read_practice",
    "read_profile",
    "read_question",
    "read_route",
    "read_used_lengths",
    "spliced",
    "structure_faults",
    "what_and_cure",
    "with_limits",
    "with_loads",
]

_HOMES = {
    "advice": ("advice_on",),
    "changed_jobs": ("changed_question", "job_data", "moved_question", "with_limits", "with_loads"),
    "checking": ("check_file",),
    "route.drawn_routes": ("read_route",),
    "fleet.fleets": ("FleetQuestion", "FleetReader"),
    "practice.practices": ("read_practice",),
    "files": ("holding", "library_folder", "plain_bytes"),
    "open_files": (
        "OpenFile",
        "faults_and_advice",
        "open_file",
        "parts_written",
        "places_written",
        "what_and_cure",
    ),
    "profile.moved_terminals": ("moved_terminal",),
    "profile.profiles": ("library", "read_profile"),
    "questions": ("Question", "read_question"),
    "route.route_reader": ("is_route", "job_of_route", "names_a_job"),
    "schemas": ("json_schema",),
    "splice.value_spans": ("SpliceError",),
    "splice.splicing": ("Op", "Splicing", "TextPatch", "patch_between", "spliced"),
    "route.used_lengths": ("read_used_lengths",),
    "yaml.documents": ("Document", "document_of", "read_document"),
    "yaml.fields": ("FileModel", "Length", "Text"),
    "yaml.structure": ("structure_faults",),
}

__getattr__ = lazy_names(__name__, _HOMES)
