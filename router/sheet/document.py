"""The page round the content: one document that needs nothing else and may do nothing else."""

from __future__ import annotations

from router.sheet.embedded_maps import MapSheets
from router.sheet.markup import Html, clean, element, raw
from router.sheet.page_rules import page_rules
from router.sheet.stylesheets import stylesheet

A4_MM = (210.0, 297.0)
POLICY = "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'"
"""No script, no network, no form: whatever got into the page, a browser would not run or fetch it."""


def make_document(
    title: str, on_each_page: str, sheets: MapSheets | None, header: Html, content: Html, style: str = ""
) -> str:
    """Return a whole HTML document.

    Parameters
    ----------
    title : str
        What a browser's tab says.
    on_each_page : str
        What stands at the top of every printed page but the first, whose header says more.
    sheets : MapSheets
        For the size of the map's printed pages; None for a page without a map.
    header, content : Html
        What to show.
    style : str
        Rules of this page's own, in CSS; from the program, never from a file.
    """
    width_mm, height_mm = (sheets.width_mm, sheets.height_mm) if sheets else A4_MM
    screen, on_paper = (stylesheet("router.sheet", name) for name in ("screen.css", "print.css"))
    rules = page_rules(css_text(on_each_page), width_mm, height_mm)
    head = element(
        "head",
        element("meta", charset="utf-8"),
        element("meta", http_equiv="Content-Security-Policy", content=POLICY),
        element("meta", name="viewport", content="width=device-width, initial-scale=1"),
        element("title", title),
        element("style", raw(screen + on_paper + rules + style)),
    )
    body = element("body", element("header", header), element("main", content))
    return f"<!DOCTYPE html>\n{element('html', head, body, lang='en')}\n"


def css_text(words: str) -> str:
    r"""Return words as a CSS string that nothing can break out of, whether of the string or of the style.

    >>> css_text('4" x </style>')
    '"4\\22  x \\3c \\2f style\\3e "'
    """
    safe = " .,:-"
    letters = (c if c in safe or (c.isascii() and c.isalnum()) else f"\\{ord(c):x} " for c in clean(words))
    return f'"{"".join(letters)}"'
