"""HTML that cannot be broken out of: whatever is not already HTML is escaped."""

from __future__ import annotations

import html
import re
from collections.abc import Iterable, Sequence

_NOT_TEXT = re.compile(  # in parts, because one large set of characters takes long to compile
    r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f]|[\ud800-\udfff]|[\ufffe\uffff]"
)
_VOID = frozenset({"meta", "input", "br"})


class Html(str):
    """Text that is HTML already; made by `element`, `joined` and `raw` only."""

    __slots__ = ()


def text(words: object) -> Html:
    """Return words as HTML: escaped, and without characters that no page may hold.

    >>> text('<b> & "c"')
    '&lt;b&gt; &amp; &quot;c&quot;'
    """
    return words if isinstance(words, Html) else Html(html.escape(_NOT_TEXT.sub("\ufffd", str(words))))


def raw(markup: str) -> Html:
    """Return markup of our own as it is; never give it anything that came from a file."""
    return Html(markup)


def element(name: str, /, *children: object, **attributes: str) -> Html:
    """Return one element; `class_` stands for class, and an underscore in a name for a hyphen.

    >>> element("p", "a < b", class_="note")
    '<p class="note">a &lt; b</p>'
    """
    written = "".join(
        f' {key.strip("_").replace("_", "-")}="{text(value)}"' for key, value in attributes.items()
    )
    if name in _VOID:
        return Html(f"<{name}{written}>")
    return Html(f"<{name}{written}>{''.join(text(child) for child in children)}</{name}>")


def joined(parts: Iterable[object], between: str = "\n") -> Html:
    """Return several pieces one after the other."""
    return Html(between.join(text(part) for part in parts))


def listed(items: Iterable[object], name: str = "ul", /, **attributes: str) -> Html:
    """Return a list of items."""
    return element(name, joined(element("li", item) for item in items), **attributes)


def table(
    caption: str, heads: Sequence[str], rows: Iterable[Sequence[object]], numbers: Sequence[int] = ()
) -> Html:
    """Return a table with a caption and named columns; `numbers` are the columns set to the right.

    Each cell carries the name of its column, which a narrow screen shows in front of it.
    """
    shown = list(rows)
    if not shown:
        return Html("")
    head = element(
        "tr",
        joined((element("th", name, scope="col", **_side(n, numbers)) for n, name in enumerate(heads)), ""),
    )
    body = joined(
        element(
            "tr",
            joined(
                (
                    element("td", cell, data_name=name, **_side(n, numbers))
                    for n, (name, cell) in enumerate(zip(heads, row, strict=True))
                ),
                "",
            ),
        )
        for row in shown
    )
    return element(
        "div",
        element("table", element("caption", caption), element("thead", head), element("tbody", body)),
        class_="table",
    )


def tick(words: object) -> Html:
    """Return a box to tick on paper or on a screen, with its words."""
    return element("label", element("input", type="checkbox"), element("span", words), class_="tick")


def _side(number: int, numbers: Sequence[int]) -> dict[str, str]:
    return {"class_": "number"} if number in numbers else {}
