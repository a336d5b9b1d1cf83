"""The sheet: one self-contained page that is printed or read on a phone, and worked from.

Cautions first, then what to fetch, the map, the work in its order, each run's figures, the checks, and the
sources of every rule used. The same plan and map give the same page, byte for byte.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from router.lazy_names import lazy_names

if TYPE_CHECKING:
    from router.sheet.document import make_document
    from router.sheet.finding_list import KIND_WORDS
    from router.sheet.job_sheet import facts, make_sheet
    from router.sheet.lesson_page import make_answers, make_questions
    from router.sheet.marks_page import make_marks
    from router.sheet.markup import Html, element, joined, listed, raw, table, tick
    from router.sheet.review_page import make_review
    from router.sheet.stylesheets import stylesheet

__all__ = [
    "KIND_WORDS",
    "Html",
    "element",
    "facts",
    "joined",
    "listed",
    "make_answers",
    "make_document",
    "make_marks",
    "make_questions",
    "make_review",
    "make_sheet",
    "raw",
    "stylesheet",
    "table",
    "tick",
]

_HOMES = {
    "document": ("make_document",),
    "finding_list": ("KIND_WORDS",),
    "job_sheet": (
        "facts",
        "make_sheet",
    ),
    "lesson_page": (
        "make_answers",
        "make_questions",
    ),
    "marks_page": ("make_marks",),
    "markup": (
        "Html",
        "element",
        "joined",
        "listed",
        "raw",
        "table",
        "tick",
    ),
    "review_page": ("make_review",),
    "stylesheets": ("stylesheet",),
}

__getattr__ = lazy_names(__name__, _HOMES)
