"""Entries of YAML put in, taken out and written over, in the style of their neighbours."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any

from router.reading.splice.value_spans import Node, comments_in
from router.reading.splice.written_values import (
    WIDTH,
    Style,
    entry_lines,
    flow_words,
    is_in_lines,
    scalar_text,
    wrapped,
)

_LINE_END = re.compile(r"\r\n|\n|\r|\Z")
_FILLING = re.compile(r"(?:\s|#[^\r\n]*)*")


@dataclass(frozen=True, slots=True)
class Sheet:
    """A text, its value, and the nodes that lead to the one that is changed, which is the last."""

    text: str
    top: Node | None
    nodes: list[Node]

    @property
    def newline(self) -> str:
        """Return how its lines end."""
        return _LINE_END.search(self.text)[0] or "\n"  # type: ignore[index]

    @property
    def is_in_flow(self) -> bool:
        """Return whether what is changed is inside of braces or brackets."""
        return any(node.is_flow for node in self.nodes[:-1])

    def line_end(self, at: int) -> int:
        """Return where the line of a place ends, before its line end."""
        return _LINE_END.search(self.text, at).start()  # type: ignore[union-attr]

    def line_start(self, at: int) -> int:
        """Return where the line of a place begins, behind a byte order mark."""
        start = max(self.text.rfind("\n", 0, at), self.text.rfind("\r", 0, at)) + 1
        return start + (start == 0 and self.text.startswith("\ufeff"))

    def column(self, at: int) -> int:
        """Return how many characters are before a place in its line."""
        return at - self.line_start(at)

    def comments(self, start: int, end: int) -> list[str]:
        """Return the comments between two places."""
        return [self.text[a:b].rstrip() for a, b in comments_in(self.text, self.top) if start <= a < end]

    def cut(self, start: int, end: int, new: str) -> str:
        """Return the text with something else between two places."""
        return self.text[:start] + new + self.text[end:]

    def lines(self, lines: list[str], indent: int) -> str:
        """Return lines with their indent, joined."""
        return self.newline.join(" " * indent + line for line in lines)

    def words(self, value: Any, at: int, before: str = "", *, in_flow: bool) -> str:
        """Return a value as it is written at a place, broken where its line would be too long."""
        words = [*flow_words(value, in_flow=in_flow)]
        words[0] = before + words[0]
        column = self.column(at)
        return f"{self.newline}{' ' * (column + 1)}".join(wrapped(words, column))


def replaced(sheet: Sheet, value: Any) -> str:
    """Return the text with another value in place of the last node; comments in it are kept."""
    node, text = sheet.nodes[-1], sheet.text
    if not node.is_scalar and not node.is_flow:
        end = sheet.line_end(node.end)
        kept = sheet.comments(node.after, end)
        indent = sheet.column(node.start) if len(sheet.nodes) > 1 else 0
        blank = " " if node.after != node.start or len(sheet.nodes) > 1 else ""
        written = blank + sheet.words(value, node.after + 1, in_flow=False)
        return sheet.cut(node.after, end, sheet.newline.join([written, *(" " * indent + c for c in kept)]))
    holds_nothing = node.is_empty or not (node.items or node.scalar)
    if holds_nothing and (opened := _opened(sheet, value)) is not None:
        return opened
    kept = sheet.comments(node.start, node.end)
    before = "" if node.start == 0 or text[node.start - 1] not in ":-,#" else " "
    gap = sheet.newline + " " * max(1, sheet.column(node.start))
    lead = before + "".join(f"{comment}{gap}" for comment in kept)
    return sheet.cut(node.start, node.end, lead + sheet.words(value, node.start, in_flow=sheet.is_in_flow))


def _opened(sheet: Sheet, value: Any) -> str | None:
    """Return the text with lines below a key that holds nothing; None where the value goes beside it."""
    node = sheet.nodes[-1]
    parent = sheet.nodes[-2] if len(sheet.nodes) > 1 else None
    if parent is None or parent.is_flow or parent.keys is None or sheet.is_in_flow:
        return None
    indent = sheet.column(parent.keys[0].start)
    if not is_in_lines(value, Style.FREE, WIDTH - indent) or sheet.comments(node.start, node.end):
        return None
    lines = entry_lines("", value, Style.FREE, WIDTH - indent)[1:]
    end = sheet.line_end(node.end)
    return sheet.cut(node.after, end, sheet.text[node.end : end] + sheet.newline + sheet.lines(lines, indent))


def keyed(sheet: Sheet, key: str, value: Any) -> str:
    """Return the text with a key more in the last node, a mapping or nothing at all."""
    node = sheet.nodes[-1] if sheet.nodes else None
    if node is None:
        lines = entry_lines(f"{scalar_text(key, in_flow=False)}:", value, Style.FREE, WIDTH)
        start = "" if sheet.column(len(sheet.text)) == 0 else sheet.newline
        return sheet.text + start + sheet.lines(lines, 0) + sheet.newline
    if node.is_empty or (node.is_flow and not node.items and not sheet.is_in_flow):
        return replaced(sheet, {key: value})
    name = f"{scalar_text(key, in_flow=node.is_flow)}:"
    if node.is_flow:
        return _in_flow(sheet, len(node.items), f"{name} ", value)
    indent = sheet.column(node.keys[0].start)  # type: ignore[index]
    lines = entry_lines(name, value, _style(node, value), WIDTH - indent)
    if len(sheet.nodes) == 1 and isinstance(value, dict | list) and _has_gaps(sheet):
        lines.insert(0, "")
    return _below(sheet, len(node.items), lines, indent)


def put_in(sheet: Sheet, number: int, value: Any) -> str:
    """Return the text with an item more in the last node, a list: before the one that has the number now."""
    node = sheet.nodes[-1]
    if not node.items:
        return replaced(sheet, [value])
    if node.is_flow:
        return _in_flow(sheet, number, "", value)
    indent = sheet.column(node.entry_start(0))
    return _below(sheet, number, entry_lines("-", value, _style(node, value), WIDTH - indent), indent)


def _in_flow(sheet: Sheet, number: int, name: str, value: Any) -> str:
    node = sheet.nodes[-1]
    if not node.items:
        return sheet.cut(node.start + 1, node.start + 1, sheet.words(value, node.start, name, in_flow=True))
    if number < len(node.items):
        at = node.entry_start(number)
        return sheet.cut(at, at, sheet.words(value, at, name, in_flow=True) + ", ")
    at, column = node.items[-1].end, sheet.column(node.entry_start(0))
    written = " ".join(flow_words(value, in_flow=True))
    is_long = sheet.column(at) + 2 + len(name) + len(written) > WIDTH
    gap = f"{sheet.newline}{' ' * max(1, column)}" if is_long else " "
    return sheet.cut(at, at, f",{gap}{name}{written}")


def _below(sheet: Sheet, number: int, lines: list[str], indent: int) -> str:
    """Return the text with lines of a new entry where the one with the number is now."""
    node = sheet.nodes[-1]
    if number == 0:
        at = node.entry_start(0)
        return sheet.cut(at, at, sheet.lines(lines, indent)[indent:] + sheet.newline + " " * indent)
    at = sheet.line_end(node.items[number - 1].end)
    lines = [" " * indent + line if line else line for line in lines]
    return sheet.cut(at, at, "".join(sheet.newline + line for line in lines))


def _style(node: Node, value: Any) -> Style:
    """Return how the last neighbour is written that holds something of the same form."""
    for item in reversed(node.items):
        if not item.is_scalar and item.items and (item.keys is not None) == isinstance(value, dict):
            return Style.FLOW if item.is_flow else Style.BLOCK
    return Style.FREE


def _has_gaps(sheet: Sheet) -> bool:
    return re.search(r"\r?\n[ \t]*\r?\n", sheet.text.rstrip()) is not None


def taken_out(sheet: Sheet, number: int) -> str:
    """Return the text without an entry of the last node; the comments in it and beside it are kept."""
    node = sheet.nodes[-1]
    if node.is_flow:
        return _out_of_flow(sheet, number)
    if len(node.items) == 1:
        return replaced(sheet, [] if node.keys is None else {})
    start, item = node.entry_start(number), node.items[number]
    line, indent = sheet.line_start(start), " " * sheet.column(start)
    if sheet.text[line:start].strip():  # its line begins with the `-` of what it is in
        end = node.entry_start(number + 1)
        kept = "".join(f"{c}{sheet.newline}{indent}" for c in sheet.comments(start, end))
        return sheet.cut(start, end, kept)
    end = _LINE_END.search(sheet.text, item.end).end()  # type: ignore[union-attr]
    kept = "".join(f"{indent}{c}{sheet.newline}" for c in sheet.comments(start, end))
    return sheet.cut(line, end, kept)


def _out_of_flow(sheet: Sheet, number: int) -> str:
    node = sheet.nodes[-1]
    items = node.items
    if number + 1 < len(items):
        start, end = node.entry_start(number), node.entry_start(number + 1)
    elif number:
        start, end = items[number - 1].end, items[number].end
    else:
        start = node.entry_start(0)
        end = _FILLING.match(sheet.text, items[0].end).end()  # type: ignore[union-attr]
        end = end + 1 if sheet.text[end] == "," else items[0].end
    kept = sheet.comments(start, end)
    indent = " " * max(1, sheet.column(node.entry_start(0)))
    lead = "" if not kept or sheet.text[start - 1].isspace() else " "
    return sheet.cut(start, end, lead + "".join(f"{c}{sheet.newline}{indent}" for c in kept))
