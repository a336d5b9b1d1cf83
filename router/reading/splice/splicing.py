"""One change of a YAML text as a patch: what is asked for is held, every comment and every other byte stays.

A change is made with the places that the parser tells, read again, and refused where what is read is not what
was asked for, or a comment is gone.
"""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from router.reading.splice.entries import Sheet, keyed, put_in, replaced, taken_out
from router.reading.splice.value_spans import Node, SpliceError, comments_in, node_at, read_spans
from router.reading.splice.written_values import checked, scalar_text
from router.reading.yaml.wording import Path

MOST_STEPS = 12
"""Entries put in or taken out one by one; where more differ, a collection is written anew."""


class Op(StrEnum):
    """What is done at a path."""

    SET = "set"
    ADD = "add"
    REMOVE = "remove"


@dataclass(frozen=True, slots=True)
class TextPatch:
    """The characters from `start` to `end` of a text give way to `new`."""

    start: int
    end: int
    new: str

    def applied_to(self, text: str) -> str:
        """Return the text after it."""
        return text[: self.start] + self.new + text[self.end :]


def patch_between(before: str, after: str) -> TextPatch:
    """Return the patch that makes one text of another: what lies between what they begin and end with."""
    most = min(len(before), len(after))
    start = _alike(most, lambda n: before[:n] == after[:n])
    end = _alike(most - start, lambda n: before[len(before) - n :] == after[len(after) - n :])
    return TextPatch(start, len(before) - end, after[start : len(after) - end])


def spliced(text: str, op: Op, path: Path, value: Any = None, lists: Collection[str] = ()) -> TextPatch:
    """Return the patch that changes one value of a YAML text.

    Parameters
    ----------
    text : str
        The whole file.
    op : Op
        `set` puts a value at a path, also where nothing is yet; `add` appends it to the list at the path, or
        adds it under the path's last key, which must not be there; `remove` takes out what is at the path.
    path : tuple of str and int
        Keys and indexes from the top.
    value : Any, optional
        Texts, numbers, true or false, lists and mappings of these.
    lists : collection of str, optional
        Keys that hold lists: where `add` finds none of these names, it makes one.

    Raises
    ------
    SpliceError
        It cannot be done, or not in place; nothing has been changed.
    """
    splicing = Splicing(text, lists)
    splicing.do(op, path, value)
    return patch_between(text, splicing.result())


class Splicing:
    """Several changes of one text, each as in `spliced`; what comes out is judged once, at the end."""

    def __init__(self, text: str, lists: Collection[str] = ()) -> None:
        self._before = self._text = text
        self._lists = lists
        self._wanted = _data(read_spans(text))
        self._cuts: dict[int, tuple[int, str]] = {}
        """What is to be written over scalars of the text, by where it begins: to where, and what."""

    def do(self, op: Op, path: Path, value: Any = None) -> None:
        """Make a change; `SpliceError` where it cannot be made."""
        if not path:
            raise SpliceError("a change needs a path; to change everything, change the text")
        if op is not Op.REMOVE:
            value = checked(value)
        if op is Op.SET and self._wrote_over(path, value):
            pass
        elif op is Op.REMOVE:
            self._settle()
            self._text = _removed(self._text, read_spans(self._text), path)
            self._wanted = _without(self._wanted, path)
            return
        else:
            self._settle()
            path, value = _target(read_spans(self._text), op, path, value, self._lists)
            self._text = _with(self._text, path, value)
        self._wanted = _put(self._wanted, path, value)

    def result(self) -> str:
        """Return the text after all changes; `SpliceError` where it does not hold what was asked for."""
        self._settle()
        now = read_spans(self._text)
        before = _comments(self._before, read_spans(self._before))
        if _data(now) != self._wanted or before != _comments(self._text, now):
            raise SpliceError(
                "this place is written in a way that cannot be changed in place; change its text"
            )
        return self._text

    def _wrote_over(self, path: Path, value: Any) -> bool:
        """Return whether a change writes over scalars alone, so that it can be made together with others."""
        nodes, rest = node_at(read_spans(self._text), path)
        in_flow = any(node.is_flow for node in nodes[:-1])
        cuts = None if rest else _scalar_cuts(nodes[-1], value, in_flow)
        if cuts is None or any(start in self._cuts for start, _, _ in cuts):
            return False
        self._cuts |= {start: (end, new) for start, end, new in cuts}
        return True

    def _settle(self) -> None:
        """Make the changes that wait."""
        self._text = _written_over(self._text, [(start, *cut) for start, cut in self._cuts.items()])
        self._cuts = {}


def _target(top: Node | None, op: Op, path: Path, value: Any, lists: Collection[str]) -> tuple[Path, Any]:
    """Return where a value is put, and what is put there; a place behind the end of a list is a new item."""
    if op is Op.SET:
        return path, value
    nodes, rest = node_at(top, path)
    node = nodes[-1] if nodes and not rest else None
    if node is not None and node.keys is None and not node.is_scalar:
        return (*path, len(node.items)), value
    if node is not None and not node.is_empty:
        raise SpliceError(f'"{path[-1]}" is there already; change it, or take another name')
    return path, [value] if path[-1] in lists else value


def _with(text: str, path: Path, value: Any) -> str:
    """Return a text with a value at a path; whatever is alike before and after stays as it is."""
    top = read_spans(text)
    nodes, rest = _nodes_before(top, path)
    if rest:
        return keyed(Sheet(text, top, nodes), str(rest[0]), _nested(rest[1:], value))
    if isinstance(path[-1], int) and path[-1] == len(nodes[-1].items) and len(nodes) == len(path):
        return put_in(Sheet(text, top, nodes), path[-1], value)
    before = nodes[-1].data()
    if before == value:
        return text
    if (cuts := _scalar_cuts(nodes[-1], value, any(node.is_flow for node in nodes[:-1]))) is not None:
        return _written_over(text, cuts)
    if type(before) is type(value) and isinstance(value, dict | list) and _is_near(before, value):
        merged: Any = _with_keys if isinstance(value, dict) else _with_items
        return str(merged(text, path, before, value))
    return replaced(Sheet(text, top, nodes), value)


def _written_over(text: str, cuts: list[tuple[int, int, str]]) -> str:
    for start, end, new in sorted(cuts, reverse=True):
        text = text[:start] + new + text[end:]
    return text


def _nodes_before(top: Node | None, path: Path) -> tuple[list[Node], Path]:
    """Return the nodes along a path; where it ends in the place behind a list, those to the list."""
    nodes, rest = node_at(top, path[:-1]) if isinstance(path[-1], int) else node_at(top, path)
    if not isinstance(path[-1], int) or rest:
        if any(isinstance(step, int) for step in rest):
            raise SpliceError(f"there is no item {next(s for s in rest if isinstance(s, int)) + 1} to change")
        return nodes, rest
    held = nodes[-1] if nodes else None
    if held is not None and held.keys is None and not held.is_scalar and path[-1] == len(held.items):
        return nodes, ()
    return node_at(top, path)


def _nested(path: Path, value: Any) -> Any:
    for step in reversed(path):
        value = {step: value}
    return value


def _scalar_cuts(node: Node, value: Any, in_flow: bool) -> list[tuple[int, int, str]] | None:
    """Return what to write over scalars, where everything else is alike; None where it is not."""
    if node.is_scalar:
        if isinstance(value, dict | list) or (node.is_empty and node.scalar != value):
            return None
        return [] if node.scalar == value else [(node.start, node.end, scalar_text(value, in_flow=in_flow))]
    in_flow = in_flow or node.is_flow
    if node.keys is None:
        inner = value if isinstance(value, list) and len(value) == len(node.items) else None
    else:
        is_alike = isinstance(value, dict) and sorted(value) == sorted(node.names)
        inner = [value[name] for name in node.names] if is_alike else None
    if inner is None:
        return None
    found = [_scalar_cuts(item, each, in_flow) for item, each in zip(node.items, inner, strict=True)]
    return None if any(cuts is None for cuts in found) else [cut for cuts in found for cut in cuts or ()]


def _is_near(before: Any, value: Any) -> bool:
    """Return whether few entries come or go between two collections, and neither is empty."""
    steps = set(before) ^ set(value) if isinstance(value, dict) else range(abs(len(before) - len(value)))
    return bool(before) and bool(value) and len(steps) <= MOST_STEPS


def _with_keys(text: str, path: Path, before: dict[str, Any], value: dict[str, Any]) -> str:
    for key, inner in value.items():
        text = _with(text, (*path, key), inner)
    for key in before:
        if key not in value:
            text = _removed(text, read_spans(text), (*path, key))
    return text


def _with_items(text: str, path: Path, before: list[Any], value: list[Any]) -> str:
    most = min(len(before), len(value))
    first = _alike(most, lambda n: before[:n] == value[:n])
    last = _alike(most - first, lambda n: before[len(before) - n :] == value[len(value) - n :])
    middle = most - first - last
    for number in range(first, first + middle):
        text = _with(text, (*path, number), value[number])
    for number in range(first + middle, len(value) - last):
        top = read_spans(text)
        text = put_in(Sheet(text, top, node_at(top, path)[0]), number, value[number])
    for _ in range(len(before) - len(value)):
        text = _removed(text, read_spans(text), (*path, first + middle))
    return text


def _removed(text: str, top: Node | None, path: Path) -> str:
    nodes, rest = node_at(top, path)
    if rest:
        raise SpliceError(f"there is no {rest[0]!r} to take out")
    step = path[-1]
    number = step if isinstance(step, int) else nodes[-2].names.index(step)
    return taken_out(Sheet(text, top, nodes[:-1]), number)


def _comments(text: str, top: Node | None) -> list[str]:
    return sorted(text[start:end].rstrip() for start, end in comments_in(text, top))


def _data(top: Node | None) -> Any:
    return {} if top is None else top.data()


def _put(data: Any, path: Path, value: Any) -> Any:
    if not path:
        return value
    step = path[0]
    if isinstance(data, list) and isinstance(step, int):
        inner = data[step] if step < len(data) else {}
        return [*data[:step], _put(inner, path[1:], value), *data[step + 1 :]]
    held = data if isinstance(data, dict) else {}
    return {**held, step: _put(held.get(str(step), {}), path[1:], value)}


def _without(data: Any, path: Path) -> Any:
    step = path[0]
    if len(path) > 1:
        return _put(data, path[:1], _without(data[step], path[1:]))
    if isinstance(data, list) and isinstance(step, int):
        return [*data[:step], *data[step + 1 :]]
    return {key: inner for key, inner in data.items() if key != step}


def _alike(most: int, are_alike: Callable[[int], bool]) -> int:
    """Return the greatest number up to `most` for which two things are alike; so they are for all smaller."""
    low, high = 0, most
    while low < high:
        middle = (low + high + 1) // 2
        low, high = (middle, high) if are_alike(middle) else (low, middle - 1)
    return low
