"""The stylesheets of the pages: CSS files beside the code that fills the pages."""

from __future__ import annotations

from functools import cache
from importlib.resources import files


@cache
def stylesheet(package: str, name: str) -> str:
    r"""Return the text of a CSS file inside a package, on lines of its own; each file is read once.

    >>> stylesheet("router.sheet", "screen.css").startswith("\n:root{")
    True
    """
    return "\n" + (files(package) / name).read_text(encoding="utf-8")
