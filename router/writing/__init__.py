"""What a plan or a review is written as: JSON, tables, route files, words; and read back."""

from __future__ import annotations

from typing import TYPE_CHECKING

from router.lazy_names import lazy_names

if TYPE_CHECKING:
    from router.writing.csv_tables import bill_csv, csv_bytes, csv_lines
    from router.writing.plan_files import NAMES, files_of_plan
    from router.writing.plan_json import no_route_data, plan_data, plan_schema, read_plan
    from router.writing.practice_json import practice_data
    from router.writing.records import Form, RecordFormat, json_text
    from router.writing.review_json import fitted_data, marks_data, review_data, review_schema
    from router.writing.review_text import fitted_words, marks_rows, mistake_words, review_line, review_words
    from router.writing.route_yaml import planned_route, route_bytes
    from router.writing.summary import summarise
    from router.writing.temporaries import sweep_temporaries
    from router.writing.whole_files import Content, write_whole

__all__ = [
    "NAMES",
    "Content",
    "Form",
    "RecordFormat",
    "bill_csv",
    "csv_bytes",
    "csv_lines",
    "files_of_plan",
    "fitted_data",
    "fitted_words",
    "json_text",
    "marks_data",
    "marks_rows",
    "mistake_words",
    "no_route_data",
    "plan_data",
    "plan_schema",
    "planned_route",
    "practice_data",
    "read_plan",
    "review_data",
    "review_line",
    "review_schema",
    "review_words",
    "route_bytes",
    "summarise",
    "sweep_temporaries",
    "write_whole",
]

_HOMES = {
    "csv_tables": ("bill_csv", "csv_bytes", "csv_lines"),
    "whole_files": ("Content", "write_whole"),
    "plan_files": ("NAMES", "files_of_plan"),
    "plan_json": ("no_route_data", "plan_data", "plan_schema", "read_plan"),
    "practice_json": ("practice_data",),
    "records": ("Form", "RecordFormat", "json_text"),
    "review_json": ("fitted_data", "marks_data", "review_data", "review_schema"),
    "review_text": ("fitted_words", "marks_rows", "mistake_words", "review_line", "review_words"),
    "route_yaml": ("planned_route", "route_bytes"),
    "summary": ("summarise",),
    "temporaries": ("sweep_temporaries",),
}

__getattr__ = lazy_names(__name__, _HOMES)
