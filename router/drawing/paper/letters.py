"""How wide words are on paper, without any font file."""

from __future__ import annotations

from functools import lru_cache

from router.tables import load_table

WIDTH_RESERVE = 1.15
"""Fonts that replace Arial are up to 14 % wider, so that much more room is kept."""

CAPITAL_HEIGHT = 0.76  # of the type size, from the base line to the top of a capital
LINE_HEIGHT = 1.0  # of the type size, top of a capital to the foot of a g


@lru_cache(maxsize=4096)
def text_width_mm(words: str, size_mm: float, *, is_bold: bool = False) -> float:
    """Return the width of one line of text in Helvetica, as the font's maker gives it.

    Parameters
    ----------
    words : str
        One line.
    size_mm : float
        Size of the type. [mm]
    is_bold : bool
        Whether it is set bold.

    References
    ----------
    .. [1] Adobe Core 14 font metrics, Helvetica.afm: "A" 667, "b" 556, digits 556 thousandths of the size.

    Examples
    --------
    >>> text_width_mm("A1", 10.0)
    12.23
    """
    table = load_table("letters")
    widths, first, other = table["bold" if is_bold else "regular"], table["first"], table["other"]
    steps = (ord(letter) - first for letter in words)
    thousandths = sum(widths[step] if 0 <= step < len(widths) else other for step in steps)
    return float(thousandths) * size_mm / 1000.0


def room_mm(words: str, size_mm: float, *, is_bold: bool = False) -> float:
    """Return the width to keep free for a line of text, whichever font it is shown in."""
    return WIDTH_RESERVE * text_width_mm(words, size_mm, is_bold=is_bold)


def wrap(words: str, width_mm: float, size_mm: float, *, is_bold: bool = False) -> tuple[str, ...]:
    """Return words in lines that fit the width; a single word that is too long is cut.

    A no-break space holds a figure and its unit together.
    """
    lines: list[str] = []
    line = ""
    for word in filter(None, words.split(" ")):
        longer = f"{line} {word}".strip()
        if room_mm(longer, size_mm, is_bold=is_bold) <= width_mm:
            line = longer
            continue
        if line:
            lines.append(line)
        line = fit(word, width_mm, size_mm, is_bold=is_bold)
    return tuple([*lines, line] if line else lines)


def fit(words: str, width_mm: float, size_mm: float, *, is_bold: bool = False) -> str:
    """Return words, cut and ended with an ellipsis where they are wider than the width."""
    if room_mm(words, size_mm, is_bold=is_bold) <= width_mm:
        return words
    while words and room_mm(words + "…", size_mm, is_bold=is_bold) > width_mm:
        words = words[:-1]
    return words.rstrip() + "…"
