"""What a plan or a review is written as: JSON, tables, route files, a summary; files written whole."""

from __future__ import annotations

from typing import TYPE_CHECKING

from router.lazy_names import lazy_names

if TYPE_CHECKING:
    from router.writing.outputs import (
        Content,
        csv_bytes,
        csv_lines,
        json_text,
        no_route_json,
        plan_json,
        practice_json,
        write_whole,
    )
    from router.writing.plan_files import NAMES, files_of_plan
    from router.writing.reviews import (
        fitted_data,
        fitted_words,
        marks_json,
        marks_rows,
        mistake_words,
        planned_route,
        review_json,
        review_line,
        review_words,
        route_yaml,
    )
    from router.writing.summary import summarise
    from router.writing.temporaries import sweep_temporaries

__all__ = [
    "NAMES",
    "Content",
    "csv_bytes",
    "csv_lines",
    "files_of_plan",
    "fitted_data",
    "fitted_words",
    "json_text",
    "marks_json",
    "marks_rows",
    "mistake_words",
    "no_route_json",
    "plan_json",
    "planned_route",
    "practice_json",
    "review_json",
    "review_line",
    "review_words",
    "route_yaml",
    "summarise",
    "sweep_temporaries",
    "write_whole",
]

_HOMES = {
    "outputs": (
        "Content",
        "csv_bytes",
        "csv_lines",
        "json_text",
        "no_route_json",
        "plan_json",
        "practice_json",
        "write_whole",
    ),
    "plan_files": (
        "NAMES",
        "files_of_plan",
    ),
    "reviews": (
        "fitted_data",
        "fitted_words",
        "marks_json",
        "marks_rows",
        "mistake_words",
        "planned_route",
        "review_json",
        "review_line",
        "review_words",
        "route_yaml",
    ),
    "summary": ("summarise",),
    "temporaries": ("sweep_temporaries",),
}

__getattr__ = lazy_names(__name__, _HOMES)
