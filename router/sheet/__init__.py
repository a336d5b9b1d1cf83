"""The sheet: one self-contained page that is printed or read on a phone, and worked from.

Cautions first, then what to fetch, the map, the work in its order, each run's figures, the checks, and the
sources of every rule used. The same plan and map give the same page, byte for byte.
"""

from router.sheet.judgement import make_review
from router.sheet.lesson import make_answers, make_questions
from router.sheet.marks import make_marks
from router.sheet.page import make_sheet

__all__ = ["make_answers", "make_marks", "make_questions", "make_review", "make_sheet"]
