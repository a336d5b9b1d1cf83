"""The journal of a folder: one JSON line for each command, on the disk before anybody is told of it.

It begins with both files as they were, so that what is in it can be done again from there. The line that a
crash tore off at its end is left out: nobody was told of it.
"""

from __future__ import annotations

import contextlib
import json
import os
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path
from typing import Any, TypeAlias

from router.reading import patch_between
from router.writing import write_whole

Texts: TypeAlias = Mapping[str, str | None]
"""By file, "profile" and "job": what it holds; None where there is no such file."""
LARGEST = 4_000_000
"""Of a journal that is opened; of a larger one the oldest commands are let go. [bytes]"""
KEPT_COMMANDS = 1_000


class JournalError(Exception):
    """A journal that does not lead from what it begins with to its end."""


class Kind(StrEnum):
    """What a command was."""

    EDIT = "edit"
    UNDO = "undo"
    REDO = "redo"
    OUTSIDE = "outside"
    """What another program did to a file."""


@dataclass(frozen=True, slots=True)
class Change:
    """From the character `start` on, `old` gives way to `new` in one file; None: there is no file."""

    file: str
    start: int
    old: str | None
    new: str | None

    def applied_to(self, text: str | None) -> str | None:
        """Return the text after it; `JournalError` where it does not fit."""
        if self.old is None or self.new is None:
            if text != self.old:
                raise JournalError(f"a change of {self.file} does not fit")
            return self.new
        end = self.start + len(self.old)
        if text is None or text[self.start : end] != self.old:
            raise JournalError(f"a change of {self.file} does not fit")
        return text[: self.start] + self.new + text[end:]

    def inverse(self) -> Change:
        """Return the change that takes it back."""
        return Change(self.file, self.start, self.new, self.old)


def change_between(file: str, old: str | None, new: str | None) -> Change:
    """Return the change that makes one text of a file of another."""
    if old is None or new is None:
        return Change(file, 0, old, new)
    patch = patch_between(old, new)
    return Change(file, patch.start, old[patch.start : patch.end], patch.new)


@dataclass(frozen=True, slots=True)
class Command:
    """What was done at once: `revision` counts them all."""

    revision: int
    kind: Kind
    group: str | None
    changes: tuple[Change, ...]


@dataclass(frozen=True, slots=True)
class Opened:
    """What a journal holds: texts to begin with, and the commands since."""

    revision: int
    texts: Texts
    commands: tuple[Command | None, ...]
    """None where the folder was opened anew: what follows begins a group of its own."""
    was_closed: bool
    """Whether the server that wrote it ended in peace, every file of it written."""


class Journal:
    """A journal that is open to be written to; only one process may have it."""

    def __init__(self, path: Path) -> None:
        self._path = path
        self._handle = os.open(path, os.O_RDWR | os.O_APPEND | os.O_CLOEXEC | getattr(os, "O_NOFOLLOW", 0))

    def append(self, command: Command) -> None:
        """Put a command on the disk; `OSError` where that fails, and it is not in the journal then."""
        changes = [[each.file, each.start, each.old, each.new] for each in command.changes]
        line = {
            "revision": command.revision,
            "kind": command.kind,
            "group": command.group,
            "changes": changes,
        }
        self._write(line)

    def take_back(self, size: int) -> None:
        """Cut off what was written after the journal had a size."""
        os.ftruncate(self._handle, size)
        os.fsync(self._handle)

    @property
    def size(self) -> int:
        """Return how long it is. [bytes]"""
        return os.fstat(self._handle).st_size

    def mark_opened(self) -> None:
        """Note that a server begins."""
        self._write({"opened": True})

    def close(self) -> None:
        """Note that a server ends in peace, and let go."""
        with contextlib.suppress(OSError):
            self._write({"closed": True})
        os.close(self._handle)

    def _write(self, line: Mapping[str, Any]) -> None:
        size = self.size
        try:
            content = memoryview(_line(line))
            while content:
                content = content[os.write(self._handle, content) :]
            os.fsync(self._handle)
        except OSError:
            with contextlib.suppress(OSError):
                self.take_back(size)
            raise


def begin_journal(path: Path, texts: Texts, revision: int = 0, commands: tuple[Command, ...] = ()) -> None:
    """Write a new journal whole."""
    lines = [{"journal": 1, "revision": revision, "texts": dict(texts)}]
    for each in commands:
        changes = [[c.file, c.start, c.old, c.new] for c in each.changes]
        lines.append({"revision": each.revision, "kind": each.kind, "group": each.group, "changes": changes})
    write_whole({path: b"".join(map(_line, lines))})


def read_journal(path: Path) -> Opened:
    """Return what a journal holds; a last line that was torn off is cut away.

    Raises
    ------
    JournalError
        It is no journal, or broken before its last line.
    """
    content = path.read_bytes()
    *lines, torn = content.split(b"\n")
    while lines and not torn and _loaded(lines[-1]) is None and len(lines) > 1:
        torn = lines.pop() + b"\n"
    read = [_loaded(line) for line in lines]
    if not read or any(each is None for each in read):
        raise JournalError("it cannot be read")
    try:
        first, *rest = (each for each in read if each is not None)
        if first["journal"] != 1:
            raise JournalError("it is of another version")
        texts = {file: first["texts"][file] for file in ("profile", "job")}
        was_closed = bool(rest) and "closed" in rest[-1]
        opened = Opened(int(first["revision"]), texts, tuple(_commands(rest)), was_closed)
    except (KeyError, TypeError, ValueError, IndexError) as error:
        raise JournalError("it cannot be read") from error
    if torn:
        os.truncate(path, sum(len(line) + 1 for line in lines))
    return opened


def _commands(lines: list[dict[str, Any]]) -> Iterator[Command | None]:
    for line in lines:
        if "kind" in line:
            changes = tuple(Change(*each) for each in line["changes"])
            yield Command(line["revision"], Kind(line["kind"]), line["group"], changes)
        else:
            yield None


def _line(data: Mapping[str, Any]) -> bytes:
    return json.dumps(data, ensure_ascii=True, separators=(",", ":")).encode() + b"\n"


def _loaded(line: bytes) -> dict[str, Any] | None:
    try:
        data = json.loads(line)
    except (ValueError, RecursionError):
        return None
    return data if isinstance(data, dict) else None
