"""Training: routes broken on purpose, and the sheets that ask what is wrong with them.

broken            makers of faults: each breaks a good run so that one kind of finding results
lesson_questions  a lesson: which of three routes, where to fix, what is wrong with this one
lesson_files      its files
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from router.lazy_names import lazy_names

if TYPE_CHECKING:
    from router.lessons.lesson_files import files_of_lesson
    from router.lessons.lesson_questions import make_lesson

__all__ = [
    "files_of_lesson",
    "make_lesson",
]

_HOMES = {
    "lesson_files": ("files_of_lesson",),
    "lesson_questions": ("make_lesson",),
}

__getattr__ = lazy_names(__name__, _HOMES)
