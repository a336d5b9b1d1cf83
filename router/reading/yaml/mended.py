"""A text that is no whole YAML, without the lines that spoil it: so that the rest of it can be shown."""

from __future__ import annotations

import yaml

from router.errors import UnreadableError
from router.reading.yaml.documents import Document, document_of

MOST_MENDED = 20
"""Places that are left out before the rest of a text is given up."""

_Loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


def as_far_as_read(text: str, shown: str) -> Document | None:
    """Return what can be read of a text, as if each line that spoils it were blank; None where nothing can.

    Lines keep their numbers. What it says is for showing only: a list may be shorter than it was meant.
    """
    for mended in (text, _without_broken_lines(text)):
        try:
            return document_of(mended, shown)
        except UnreadableError:
            continue
    return None


def _without_broken_lines(text: str) -> str:
    lines = text.split("\n")
    for _ in range(MOST_MENDED):
        try:
            for _event in yaml.parse("\n".join(lines), Loader=_Loader):
                pass
        except yaml.MarkedYAMLError as error:
            first, last = _broken_lines(error, len(lines))
            lines[first : last + 1] = [""] * (last + 1 - first)
        except (yaml.YAMLError, RecursionError):
            return ""
        else:
            return "\n".join(lines)
    return ""


def _broken_lines(error: yaml.MarkedYAMLError, count: int) -> tuple[int, int]:
    """Return the first and the last line to leave out, from 0.

    Brackets that are not closed are noticed at the next line: what is left out then goes from where they were
    opened to before that.
    """
    problem, context = error.problem_mark, error.context_mark
    last = min(problem.line if problem else 0, count - 1)
    is_bracketed = context is not None and ("flow" in str(error.context) or "quoted" in str(error.context))
    if is_bracketed and context is not None and context.line < last:
        return context.line, last - 1
    return last, last
