"""HTML that cannot be broken out of: whatever is not already HTML is escaped."""

from __future__ import annotations

import html
import re
from collections.abc import Iterable, Sequence

_NOT_TEXT = re.compile(  # in parts, because one large set of characters takes long to compile
    r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f]|[\ud800-\udfff]|[\ufffe\uffff]"
)
MOST_SHORT_ROWS = 8
"""Rows of a table that is never parted between two pages."""
_VOID = frozenset({"meta", "input", "br"})


class Html(str):
    """Text that is HTML already; made by `element`, `joined` and `raw` only."""

    __slots__ = ()


def clean(words: object) -> str:
    """Return words without characters that no page may hold."""
    return _NOT_TEXT.sub("\ufffd", str(words))


def text(words: object) -> Html:
    """Return words as HTML: escaped, and without characters that no page may hold.

    >>> text('<b> & "c"')
    '&lt;b&gt; &amp; &quot;c&quot;'
    """
    return words if isinstance(words, Html) else Html(html.escape(clean(words)))


def raw(markup: str) -> Html:
    """Return markup of our own as it is; never give it anything that came from a file."""
    return Html(markup)


def element(name: str, /, *children: object, **attributes: str) -> Html:
    """Return one element; `class_` stands for class, and an underscore in a name for a hyphen.

    Parameters
    ----------
    name : str
        Name of the element.
    *children : object
        What is in it, one after the other: markup as it is, all else as escaped text.
    **attributes : str
        Its attributes; the values are escaped.

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
    """Return a list of items.

    Parameters
    ----------
    items : iterable of object
        What the list holds, one after the other.
    name : str
        "ul", or "ol" for a numbered list.
    **attributes : str
        Attributes of the list, as for `element`.
    """
    return element(name, joined(element("li", item) for item in items), **attributes)


def table(
    caption: str,
    heads: Sequence[str],
    rows: Iterable[Sequence[object]],
    numbers: Sequence[int] = (),
    *,
    prose: Sequence[int] = (),
    is_narrow: bool = False,
) -> Html:
    """Return a table with a caption and named columns.

    On a narrow screen every row becomes a block in which each cell carries the name of its column.

    Parameters
    ----------
    caption : str
        What the table shows.
    heads : sequence of str
        Names of the columns.
    rows : iterable of sequence of object
        The cells of each row, as many as there are columns; no rows, no table.
    numbers : sequence of int, optional
        Columns set to the right, counted from 0.
    prose : sequence of int, optional
        Columns that take the whole width on a narrow screen.
    is_narrow : bool
        Whether the table fits a narrow screen as it is.
    """
    shown = list(rows)
    if not shown:
        return Html("")
    head = element(
        "tr",
        joined((element("th", name, scope="col", **_class(n, numbers)) for n, name in enumerate(heads)), ""),
    )
    body = joined(_row(heads, row, numbers, prose) for row in shown)
    kind = f"table {'narrow' if is_narrow else 'wide'}{' short' if len(shown) <= MOST_SHORT_ROWS else ''}"
    whole = element("table", element("caption", caption), element("thead", head), element("tbody", body))
    return element("div", whole, class_=kind)


def _row(heads: Sequence[str], row: Sequence[object], numbers: Sequence[int], prose: Sequence[int]) -> Html:
    cells = (
        element("td", _whole(cell), data_name=name, **_class(n, numbers, prose))
        for n, (name, cell) in enumerate(zip(heads, row, strict=True))
    )
    return element("tr", joined(cells, ""))


def _whole(cell: object) -> object:
    """Return a cell's content as one piece, so that a narrow screen sets it beside its column's name."""
    return element("span", cell) if isinstance(cell, Html) else cell


def folded(summary: str, *content: object) -> Html:
    """Return what is shown on demand: folded away at first, on a screen and so on paper too."""
    inside = joined(part for part in content if part)
    return element("details", element("summary", summary), inside) if inside else Html("")


def group(*parts: object, kind: str) -> Html:
    """Return parts in one block of a kind that the style knows; nothing where all are empty."""
    inside = joined(part for part in parts if part)
    return element("div", inside, class_=kind) if inside else Html("")


def tick(words: object) -> Html:
    """Return a box to tick on paper or on a screen, with its words."""
    return element("label", element("input", type="checkbox"), element("span", words), class_="tick")


def _class(number: int, numbers: Sequence[int], prose: Sequence[int] = ()) -> dict[str, str]:
    return {"class_": "number"} if number in numbers else {"class_": "prose"} if number in prose else {}
