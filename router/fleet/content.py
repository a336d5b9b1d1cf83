"""What makes a plan the one that it is: a key made from everything that goes into it."""

from __future__ import annotations

import hashlib
import re
from functools import cache
from pathlib import Path

from router.drawing import DrawingOptions
from router.reading import Question
from router.routing import as_searched
from router.version import __version__

_PACKAGE = Path(__file__).parent.parent
KEY_LENGTH = 32
"""Hexadecimal digits: enough that two different plans never share a key."""


def plan_key(question: Question, options: DrawingOptions) -> str:
    """Return the key of a plan: made from profile, job, practice, how it is drawn, and this program.

    The records are hashed, not their files, so that a comment in a file makes nothing new. A record's `repr`
    names every field and writes every float in full.
    """
    parts = (program(), question.profile, question.job, question.practice, options)
    digest = hashlib.sha256("\0".join(repr(part) for part in parts).encode())
    return digest.hexdigest()[:KEY_LENGTH]


def search_key(question: Question) -> str:
    """Return the key of what a plan's search depends on, but for how thick its looms are.

    Plans of one search key differ in loads, limits and names. Where their looms are as thick, too, their
    routes are the same.
    """
    parts = (as_searched(question.job), question.profile, question.practice)
    return hashlib.sha256("\0".join(repr(part) for part in parts).encode()).hexdigest()[:KEY_LENGTH]


@cache
def program() -> str:
    """Return the version of this program, with a digest of its sources: what it would plan may change."""
    digest = hashlib.sha256()
    for path in sorted(_PACKAGE.rglob("*")):
        if path.suffix in (".py", ".yaml", ".css") and "profiles" not in path.relative_to(_PACKAGE).parts:
            digest.update(path.relative_to(_PACKAGE).as_posix().encode() + b"\0" + path.read_bytes())
    return f"{__version__}+{digest.hexdigest()[:12]}"


def plan_folder(question: Question, key: str) -> str:
    """Return the name of a plan's folder: what a person calls it, and the start of its key."""
    job, profile = question.job, question.profile
    words = "-".join([profile.key, *([profile.variant] if profile.variant else []), job.key])
    return f"{re.sub(r'[^a-z0-9]+', '-', words.lower()).strip('-')[:80]}-{key[:10]}"
