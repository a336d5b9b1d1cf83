"""The door for YAML: plain data with the place of every value, or every fault that the file itself has.

A safe loader is safe from code, not from meaning: it reads 1:30 as ninety, 012 as ten, `no` as false, lets
the second of two equal keys win in silence, and dies of 500 brackets or of a few hundred bytes of aliases.
So events are read one by one, under caps, with no anchors, aliases, tags or second documents, and everything
is text but whole numbers, decimal numbers, true and false; nothing (null) is never a value.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from difflib import get_close_matches
from pathlib import Path as FilePath
from typing import Any

import yaml

from router.errors import Fault, UnreadableError, key_path
from router.memory import remembered
from router.reading.files import plain_bytes
from router.reading.yaml.wording import Path, describe_path

MOST_BYTES = 2_000_000
MOST_VALUES = 100_000
DEEPEST = 20
LONGEST_TEXT = 500

_Loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_WHOLE = re.compile(r"[+-]?(?:0|[1-9][0-9]{0,14})")
_DECIMAL = re.compile(r"[+-]?(?:0|[1-9][0-9]{0,14})\.[0-9]{1,15}")
_YAML_TAGS = "tag:yaml.org,2002:"
_NOT_ALLOWED = re.compile(  # in parts, because one large set of characters takes long to compile
    r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f]|[\u2028\u2029]|[\ud800-\udfff]|[\ufffe\uffff]"
)
"""Controls, and line ends that an editor does not count as such."""
_WORDS = {"true": True, "false": False, "null": None, "~": None, "": None}


@dataclass(frozen=True, slots=True, order=True)
class FilePosition:
    """A position in a file, counted from 1 as editors do."""

    line: int
    column: int


@dataclass(frozen=True, slots=True)
class Document:
    """One file: its plain data, where each value and each key is, and the faults of the YAML itself."""

    file: str
    data: dict[str, Any]
    values: Mapping[Path, FilePosition]
    keys: Mapping[Path, FilePosition]
    faults: tuple[Fault, ...]
    is_built: bool = False
    """Whether a program built it in memory: faults and words then name keys in place of lines."""

    def place(self, path: Path, *, of_key: bool = False) -> FilePosition:
        """Return where a value or its key is; for a missing one, where the thing around it is."""
        if of_key and path in self.keys:
            return self.keys[path]
        while path and path not in self.values:
            path = path[:-1]
        return self.values.get(path, FilePosition(1, 1))

    def fault(self, path: Path, what: str, *, of_key: bool = False, where: str | None = None) -> Fault:
        """Return a fault at a path; `where` only where the path's own words will not do."""
        place = self.place(path, of_key=of_key)
        words = describe_path(path, self.data)[0] if where is None else where
        key_path = self._key_path(path) if self.is_built else ""
        return Fault(self.file, place.line, place.column, words, what, key_path, path)

    def where(self, path: Path) -> str:
        """Return the words for where a value stands: "in line 7", or "at runs[0].run"."""
        return f"at {self._key_path(path)}" if self.is_built else f"in line {self.place(path).line}"

    def _key_path(self, path: Path) -> str:
        """Return a path as programs write it; keys of a job as they are, others below their kind of file."""
        keys = key_path(path)
        if self.file == "job":
            return keys or "job"
        return f"{self.file}.{keys}" if keys else self.file


def read_document(path: FilePath, shown: str | None = None) -> Document:
    """Read one file whose top is a mapping.

    Parameters
    ----------
    path : pathlib.Path
        The file.
    shown : str, optional
        What faults call it; by default the path as it is.

    Raises
    ------
    UnreadableError
        Where there is no such file, or its text cannot be taken apart at all. Faults that leave the rest
        readable (keys written twice, anchors, tags) are in the document instead.
    """
    return document_of(_text(path, shown or str(path)), shown or str(path))


@remembered(8)
def document_of(text: str, shown: str) -> Document:
    """Return what the text of a file says; UnreadableError as `read_document`."""
    return _Composer(shown).compose(text)


def _text(path: FilePath, shown: str) -> str:
    try:
        content = plain_bytes(path, MOST_BYTES)
    except IsADirectoryError:
        raise _refusal(shown, "is a folder; name a file") from None
    except FileNotFoundError:
        raise _refusal(shown, f"there is no such file{_meant(path)}") from None
    except (OSError, ValueError) as error:
        raise _refusal(shown, f"cannot be read: {getattr(error, 'strerror', None) or error}") from None
    if len(content) > MOST_BYTES:
        raise _refusal(shown, "is larger than 2 MB; split it, or check that it is the right file")
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        column = error.start - (content.rfind(b"\n", 0, error.start) + 1) + 1
        raise _refusal(shown, "is not UTF-8 text; save it as UTF-8", FilePosition(line, column)) from None


def _meant(path: FilePath) -> str:
    """Return a question that names the file most like one that is not there; empty where none is."""
    try:
        names = sorted(each.name for each in path.parent.iterdir())
    except (OSError, ValueError):
        return ""
    near = get_close_matches(path.name, names, 1)
    return f'; did you mean "{near[0]}"?' if near else ""


def _refusal(shown: str, what: str, place: FilePosition | None = None) -> UnreadableError:
    where = place or FilePosition(1, 1)
    return UnreadableError((Fault(shown, where.line, where.column, "", what),))


@dataclass(slots=True)
class _Composer:
    """Builds plain data from parse events; one object a file."""

    file: str
    values: dict[Path, FilePosition] = field(default_factory=dict)
    keys: dict[Path, FilePosition] = field(default_factory=dict)
    found: list[tuple[Path, FilePosition, str]] = field(default_factory=list)
    events: Iterator[yaml.Event] = field(default_factory=lambda: iter(()))
    count: int = 0

    def compose(self, text: str) -> Document:
        if odd := _NOT_ALLOWED.search(text):
            before = text[: odd.start()]
            place = FilePosition(before.count("\n") + 1, odd.start() - before.rfind("\n"))
            raise _refusal(self.file, f"has the character U+{ord(odd[0]):04X}; take it out", place)
        self.events = yaml.parse(text, Loader=_Loader)
        try:
            data = self._only_document()
        except yaml.MarkedYAMLError as error:
            raise self._syntax(error, text) from None
        if not isinstance(data, dict):
            words = "has no keys at its top; begin with profile:, job:, practice:, route: or fleet:"
            raise _refusal(self.file, words)
        faults = tuple(
            Fault(self.file, place.line, place.column, describe_path(path, data)[0], what, "", path)
            for path, place, what in self.found
        )
        return Document(self.file, data, self.values, self.keys, faults)

    def _only_document(self) -> object:
        data: object = None
        documents = 0
        for event in self.events:
            if isinstance(event, yaml.DocumentStartEvent):
                documents += 1
                if documents > 1:
                    raise _refusal(
                        self.file, "has a second document; keep one, without ---", _position(event)
                    )
            elif not isinstance(event, yaml.StreamStartEvent | yaml.StreamEndEvent | yaml.DocumentEndEvent):
                data = self._value(event, ())
        return data

    def _value(self, event: yaml.Event, path: Path) -> object:
        self._guard(event, path)
        self.values[path] = place = _position(event)
        if isinstance(event, yaml.AliasEvent):
            self.found.append((path, place, f"alias *{event.anchor} is not allowed; write the value out"))
            return None
        assert isinstance(event, yaml.ScalarEvent | yaml.CollectionStartEvent)  # no other begins a value
        if event.anchor:
            self.found.append((path, place, f"anchor &{event.anchor} is not allowed; take it out"))
        if event.tag:
            self.found.append(
                (path, place, f"tag {event.tag.replace(_YAML_TAGS, '!!')} is not allowed; take it out")
            )
        if isinstance(event, yaml.MappingStartEvent):
            return self._mapping(path)
        if isinstance(event, yaml.SequenceStartEvent):
            return self._sequence(path)
        assert isinstance(event, yaml.ScalarEvent)
        value = _scalar(event)
        if value is None and path:
            key = path[-1] if isinstance(path[-1], str) else "this item"
            self.found.append((path, place, f"{key} has nothing in it; write a value, or take it out"))
        return value

    def _guard(self, event: yaml.Event, path: Path, *, is_key: bool = False) -> None:
        """Refuse what is too much, and text that would spoil the lines that faults are printed on.

        A value that is too long is a fault like others: a plan has such, and is told to be a plan.
        """
        self.count += 1
        if self.count > MOST_VALUES:
            raise _refusal(self.file, f"has more than {MOST_VALUES} values; split the file", _position(event))
        if len(path) > DEEPEST:
            raise _refusal(self.file, f"is nested deeper than {DEEPEST} levels; flatten it", _position(event))
        text = "".join(getattr(event, part, None) or "" for part in ("value", "anchor", "tag"))
        if len(text) > LONGEST_TEXT:
            words = f"has a text of more than {LONGEST_TEXT} characters; shorten it"
            if is_key or text != getattr(event, "value", None):
                raise _refusal(self.file, words, _position(event))
            self.found.append((path, _position(event), words))
        if not text.isprintable():
            odd = next(sign for sign in text if not sign.isprintable())
            words = f"has the character U+{ord(odd):04X} in a text; take it out"
            raise _refusal(self.file, words, _position(event))

    def _sequence(self, path: Path) -> list[object]:
        items: list[object] = []
        while not isinstance(event := next(self.events), yaml.SequenceEndEvent):
            items.append(self._value(event, (*path, len(items))))
        return items

    def _mapping(self, path: Path) -> dict[str, object]:
        items: dict[str, object] = {}
        while not isinstance(event := next(self.events), yaml.MappingEndEvent):
            if not isinstance(event, yaml.ScalarEvent):
                raise _refusal(self.file, "has a key that is no text; write key: value", _position(event))
            self._guard(event, path, is_key=True)
            key, place = event.value, _position(event)
            inner = (*path, key)
            if key in items:
                lines = dict.fromkeys((self.keys[inner].line, place.line))
                where = f"in line{'s' * (len(lines) - 1)} {' and '.join(map(str, lines))}"
                self.found.append((inner, place, f'key "{key}" is written twice, {where}; keep one'))
                self._skip()
                continue
            self.keys[inner] = place
            items[key] = self._value(next(self.events), inner)
        return items

    def _skip(self) -> None:
        """Pass over the value of a key's second writing: the first one counts."""
        depth = 0
        while True:
            event = next(self.events)
            self._guard(event, ())
            depth += isinstance(event, yaml.CollectionStartEvent) - isinstance(event, yaml.CollectionEndEvent)
            if depth == 0:
                return

    def _syntax(self, error: yaml.MarkedYAMLError, text: str) -> UnreadableError:
        mark = error.problem_mark or error.context_mark
        place = FilePosition(mark.line + 1, mark.column + 1) if mark else FilePosition(1, 1)
        line = text.split("\n")[mark.line] if mark and mark.line <= text.count("\n") else ""
        tab = len(line) - len(line.lstrip(" \t"))
        if "\t" in line[:tab]:
            at = FilePosition(place.line, line.index("\t") + 1)
            return _refusal(self.file, "has a tab; indent with blanks", at)
        problem = ", ".join(part for part in (error.context, error.problem) if part)
        advice = "check colons, brackets, quotes and indents"
        return _refusal(self.file, f"is not YAML: {problem}; {advice}", place)


def _position(event: yaml.Event) -> FilePosition:
    mark = event.start_mark
    assert mark is not None  # every parse event carries one
    return FilePosition(mark.line + 1, mark.column + 1)


def _scalar(event: yaml.ScalarEvent) -> object:
    text: str = event.value
    if not event.implicit[0] or event.style:
        return text
    if text in _WORDS:
        return _WORDS[text]
    if _WHOLE.fullmatch(text):
        return int(text)
    if _DECIMAL.fullmatch(text):
        return float(text)
    return text
