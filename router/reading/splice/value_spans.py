"""Where each value of a YAML text begins and ends, told by the parser's own marks."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any

import yaml

from router.reading.yaml.documents import DEEPEST, MOST_VALUES
from router.reading.yaml.wording import Path

_Loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_RESOLVER: Any = yaml.resolver.Resolver()
_TEXT_TAG = "tag:yaml.org,2002:str"
_COLON = re.compile(r"[ \t]*:")
_COMMENT = re.compile(r"#[^\r\n]*")


class SpliceError(Exception):
    """A change that cannot be made in place; the words say why, and what to do."""


@dataclass(frozen=True, slots=True)
class Plain:
    """A scalar that is no text where it is read: a number, true, false, nothing, a date."""

    written: str


@dataclass(frozen=True, slots=True)
class Node:
    """One value: the text from `start` to `end`, both counted in characters from 0."""

    start: int
    end: int
    after: int
    """Where the `:` or `-` before it ends; `start` where it has none."""
    scalar: str | Plain | None = None
    """Of a scalar; None of a collection."""
    keys: tuple[Node, ...] | None = None
    """Of a mapping, each with its text as scalar; None of a sequence."""
    items: tuple[Node, ...] = ()
    is_flow: bool = False
    """Whether it is written in brackets or braces."""

    @property
    def is_scalar(self) -> bool:
        """Return whether it is neither a mapping nor a sequence."""
        return self.scalar is not None

    @property
    def is_empty(self) -> bool:
        """Return whether there is nothing where a value could be."""
        return self.scalar == Plain("")

    @property
    def names(self) -> tuple[str, ...]:
        """Return the keys of a mapping as texts."""
        return tuple(str(key.scalar) for key in self.keys or ())

    def entry_start(self, number: int) -> int:
        """Return where an entry begins: its key, or the `-` before it; in a flow sequence its value."""
        if self.keys is not None:
            return self.keys[number].start
        item = self.items[number]
        return item.start if self.is_flow else item.after - 1

    def data(self) -> Any:
        """Return what it holds: texts and `Plain`, lists, dicts."""
        if self.scalar is not None:
            return self.scalar
        inner = [item.data() for item in self.items]
        return inner if self.keys is None else dict(zip(self.names, inner, strict=True))

    def scalars(self) -> Iterator[Node]:
        """Yield every key and every scalar in it, in the order of the text."""
        if self.is_scalar:
            yield self
        for number, item in enumerate(self.items):
            if self.keys is not None:
                yield self.keys[number]
            yield from item.scalars()


@lru_cache(maxsize=4)
def read_spans(text: str) -> Node | None:
    """Return the value at the top of a text; None where it has none.

    Raises
    ------
    SpliceError
        It is no YAML, or written with something that cannot be changed in place.
    """
    mark = text.startswith("\ufeff")  # the parser takes it off and does not count it
    try:
        return _Walk(text, int(mark)).top()
    except (yaml.YAMLError, UnicodeError) as error:
        place = getattr(error, "problem_mark", None)
        where = f" in line {place.line + 1}" if place else ""
        raise SpliceError(f"the file is not YAML{where}; mend its text first") from None


def comments_in(text: str, top: Node | None) -> list[tuple[int, int]]:
    """Return where each comment of a text begins and ends."""
    found, at = [], 0
    for node in top.scalars() if top else ():
        found += [match.span() for match in _COMMENT.finditer(text, at, node.start)]
        at = max(at, node.end)
    return found + [match.span() for match in _COMMENT.finditer(text, at)]


@dataclass(slots=True)
class _Walk:
    """Makes nodes of parse events; one object a text."""

    text: str
    offset: int
    events: Any = field(init=False)
    count: int = 0

    def __post_init__(self) -> None:
        self.events = yaml.parse(self.text[self.offset :], Loader=_Loader)

    def top(self) -> Node | None:
        next(self.events)
        if isinstance(event := next(self.events), yaml.StreamEndEvent):
            return None
        if event.explicit:
            raise SpliceError(f"line {event.start_mark.line + 1} has a ---; take it out first")
        node = self._node(next(self.events), None, 0)
        next(self.events)
        if not isinstance(event := next(self.events), yaml.StreamEndEvent):
            raise SpliceError(f"line {event.start_mark.line + 1} has a second document; keep one first")
        return None if node.is_empty else node

    def _node(self, event: Any, after: int | None, depth: int) -> Node:
        self._guard(event, depth)
        start = _start(event) + self.offset
        after = start if after is None else after
        if isinstance(event, yaml.ScalarEvent):
            end = _end(event) + self.offset
            if event.style in ("|", ">"):  # its last line ends belong to nobody
                end = start + len(self.text[start:end].rstrip())
            return Node(start, end, after, _scalar(event))
        is_flow = bool(event.flow_style)
        if is_flow and self.text[start] not in "[{":
            raise SpliceError(
                f"line {event.start_mark.line + 1} has key: value without braces; add them first"
            )
        is_mapping = isinstance(event, yaml.MappingStartEvent)
        keys, items, last = self._entries(is_mapping, is_flow, start, depth)
        end = _end(last) + self.offset if is_flow or not items else items[-1].end
        return Node(start, end, after, None, tuple(keys) if is_mapping else None, tuple(items), is_flow)

    def _entries(
        self, is_mapping: bool, is_flow: bool, start: int, depth: int
    ) -> tuple[list[Node], list[Node], Any]:
        keys: list[Node] = []
        items: list[Node] = []
        at = start
        while not isinstance(event := next(self.events), yaml.CollectionEndEvent):
            after = None
            if is_mapping:
                keys.append(self._key(event, depth))
                after = self._after_colon(keys[-1], event)
                event = next(self.events)
            elif not is_flow:
                after = self._after_dash(at, event)
            items.append(self._node(event, after, depth + 1))
            at = items[-1].end
        return keys, items, event

    def _key(self, event: Any, depth: int) -> Node:
        if not isinstance(event, yaml.ScalarEvent):
            raise SpliceError(f"line {event.start_mark.line + 1} has a key that is no text; mend it first")
        self._guard(event, depth)
        start, end = _start(event) + self.offset, _end(event) + self.offset
        return Node(start, end, start, event.value)

    def _after_colon(self, key: Node, event: Any) -> int:
        if not (colon := _COLON.match(self.text, key.end)):
            raise SpliceError(f"line {event.start_mark.line + 1} has a key without a colon; add it first")
        return colon.end()

    def _after_dash(self, at: int, event: Any) -> int:
        """Return where the next `-` ends: nothing but comments and line ends is before it."""
        while (sign := self.text[at]) != "-":
            if sign == "#":
                at = _COMMENT.match(self.text, at).end()  # type: ignore[union-attr]
            elif not sign.isspace():
                raise SpliceError(
                    f"line {event.start_mark.line + 1} cannot be changed in place; change its text"
                )
            else:
                at += 1
        return at + 1

    def _guard(self, event: Any, depth: int) -> None:
        self.count += 1
        line = event.start_mark.line + 1
        if self.count > MOST_VALUES or depth > DEEPEST:
            raise SpliceError(f"line {line} is nested too deep, or there are too many values")
        for what, sign in (("anchor", "&"), ("tag", "")):
            if name := getattr(event, what, None):
                raise SpliceError(f"line {line} has the {what} {sign}{name}; take it out first")


def _start(event: Any) -> int:
    return int(event.start_mark.index)


def _end(event: Any) -> int:
    return int(event.end_mark.index)


def _scalar(event: Any) -> str | Plain:
    if event.style or not event.implicit[0]:
        return str(event.value)
    return resolved(event.value)


def resolved(written: str) -> str | Plain:
    """Return what an unquoted scalar is: a text, or something else."""
    tag = _RESOLVER.resolve(yaml.ScalarNode, written, (True, False))
    return written if tag == _TEXT_TAG else Plain(written)


def node_at(top: Node | None, path: Path) -> tuple[list[Node], Path]:
    """Return the nodes along a path as far as it leads, the top first, and what is left of the path.

    Raises
    ------
    SpliceError
        It leads through something that has no such keys, or to a key that is written twice.
    """
    nodes = [] if top is None else [top]
    for number, step in enumerate(path):
        if not nodes or nodes[-1].is_empty:
            return nodes, path[number:]
        node = nodes[-1]
        names = node.names
        if isinstance(step, str) and node.keys is not None:
            if names.count(step) > 1:
                raise SpliceError(f'key "{step}" is written twice; keep one first')
            if step not in names:
                return nodes, path[number:]
            nodes.append(node.items[names.index(step)])
        elif isinstance(step, int) and node.keys is None and 0 <= step < len(node.items):
            nodes.append(node.items[step])
        else:
            raise SpliceError(f"there is no {step!r} at {'.'.join(map(str, path[:number])) or 'the top'}")
    return nodes, ()
