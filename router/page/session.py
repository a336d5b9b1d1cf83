"""A folder that is worked on: two texts, their journal, undo, and what other programs do to the files.

Every command is in the journal, and its files are written, before anybody is told. Before a file is written
it must hold the bytes that are known; else another program has been there, and a person says what stays.
"""

from __future__ import annotations

import contextlib
from dataclasses import dataclass
from itertools import count
from pathlib import Path
from typing import Any

from router.page.edits import LONGEST_GROUP, changes_of, decoded, encoded, refused
from router.page.folder_files import NAMES, FolderError, FolderFiles
from router.page.history import History, inverse, replayed, shortened
from router.page.journal import (
    KEPT_COMMANDS,
    LARGEST,
    Change,
    Command,
    Journal,
    JournalError,
    Kind,
    Opened,
    begin_journal,
    change_between,
    read_journal,
)


class StaleError(Exception):
    """The state is no longer the one that a command builds on, or a question about a file is open."""


@dataclass(frozen=True, slots=True)
class Outside:
    """A file that another program has changed: what it holds now, or why that cannot be read."""

    file: str
    content: bytes | None
    what: str = ""


class Session:
    """One folder, open to be worked on; `FolderError` where it cannot be."""

    def __init__(self, folder: Path) -> None:
        self.files = FolderFiles(folder)
        self.outside: Outside | None = None
        self._is_closed = False
        self.said = ""
        """What whoever started it should know; empty where all is well."""
        try:
            self._known = {file: self.files.read(file) for file in NAMES}
            self._signs = {file: self.files.sign(file) for file in NAMES}
            self.history, was_closed = self._recovered()
            self._journal = Journal(self.files.journal)
            self._go_on(was_closed)
        except OSError as error:
            self.files.close()
            raise FolderError(f"cannot work in {self.files.folder}: {error.strerror or error}") from None
        except FolderError:
            self.files.close()
            raise

    # what it is

    @property
    def revision(self) -> int:
        """Return the number of the newest command."""
        return self.history.revision

    @property
    def texts(self) -> dict[str, str | None]:
        """Return what both files hold."""
        return dict(self.history.texts)

    @property
    def read_texts(self) -> dict[str, str | None]:
        """Return what both files hold as readers take it: without a byte order mark."""
        return {file: text and text.removeprefix("\ufeff") for file, text in self.history.texts.items()}

    def summary(self) -> dict[str, Any]:
        """Return what a page is told of it, without what is in the files."""
        outside = self.outside
        theirs = decoded(outside.content) if outside and outside.content is not None else None
        return {
            "revision": self.revision,
            "can_undo": bool(self.history.done),
            "can_redo": bool(self.history.undone),
            "folder": str(self.files.folder),
            "outside": outside and {"file": outside.file, "theirs": theirs, "what": outside.what},
        }

    # what is done to it

    def edit(self, revision: Any, group: Any, edits: Any) -> None:
        """Make edits.

        Raises
        ------
        StaleError, RefusedError, OSError
            Somebody was faster; they cannot be made; the disk does not take them. Nothing is changed.
        """
        if group is not None and (not isinstance(group, str) or len(group) > LONGEST_GROUP):
            raise refused("group is no short text")
        self._fresh(revision)
        if changes := changes_of(edits, self.texts):
            self._do(Kind.EDIT, group, changes)

    def undo(self, revision: Any) -> None:
        """Take back the newest step; nothing where there is none."""
        self._fresh(revision)
        if self.history.done:
            step = self.history.done[-1]
            self._do(Kind.UNDO, step.group, inverse(step.changes))

    def redo(self, revision: Any) -> None:
        """Do again what was taken back last; nothing where there is none."""
        self._fresh(revision)
        if self.history.undone:
            step = self.history.undone[-1]
            self._do(Kind.REDO, step.group, step.changes)

    def look(self, *, is_quick: bool = False) -> bool:
        """Return whether what other programs have done to the files is something else than before.

        A quick look does not read files whose time, size and place on the disk are those that are known.
        """
        is_quick = is_quick and self.outside is None
        if is_quick and all(self._signs[file] == self.files.sign(file) for file in NAMES):
            return False
        before = self.outside
        self.outside = next(filter(None, map(self._changed, NAMES)), None)
        return self.outside != before

    def answer(self, file: Any, keep: Any) -> None:
        """Say what stays of a file that another program changed: `mine` or `theirs`; undo has the other."""
        if file not in NAMES or keep not in ("mine", "theirs"):
            raise refused('file is "profile" or "job", keep "mine" or "theirs"')
        asked, _ = self.outside, self.look()
        if self.outside is None:
            return
        if asked != self.outside or self.outside.file != file:
            raise StaleError
        if self.outside.what:
            raise refused(f"{self.outside.what}; move it away first")
        mine = self.history.texts[file]
        self._take_over(file, self.outside.content)
        if keep == "mine":
            self._do(Kind.EDIT, None, (change_between(file, self.history.texts[file], mine),))
        self.outside = None
        self.look()

    def close(self) -> None:
        """End in peace, once; the folder is free for another server."""
        if not self._is_closed:
            self._is_closed = True
            self._journal.close()
            self.files.close()

    # how it is done

    def _fresh(self, revision: Any) -> None:
        """Refuse a command that builds on something else than what is there."""
        self.look()
        if type(revision) is not int:
            raise refused("revision is no whole number")
        if self.outside is not None or revision != self.revision:
            raise StaleError

    def _do(self, kind: Kind, group: str | None, changes: tuple[Change, ...]) -> None:
        """Put a command into the journal, write the files, and only then count it as done."""
        command = Command(self.revision + 1, kind, group, changes)
        texts = self.history.texts_after(changes)
        size = self._journal.size
        self._journal.append(command)
        try:
            changed = tuple(dict.fromkeys(change.file for change in changes))
            self._write({file: _content(texts[file]) for file in changed})
        except OSError:
            with contextlib.suppress(OSError):
                self._journal.take_back(size)
            raise
        self.history.take(command)

    def _write(self, contents: dict[str, bytes | None]) -> None:
        self.files.write(contents)
        self._known |= contents
        self._signs |= {file: self.files.sign(file) for file in contents}

    def _take_over(self, file: str, content: bytes | None) -> None:
        """Take what another program made of a file as a step of our own."""
        text = None if content is None else decoded(content)
        change = change_between(file, self.history.texts[file], text)
        command = Command(self.revision + 1, Kind.OUTSIDE, None, (change,))
        self._journal.append(command)
        self.history.take(command)
        self._known[file] = content
        self._signs[file] = self.files.sign(file)

    def _changed(self, file: str) -> Outside | None:
        """Return what another program has made of a file; None where it holds what is known."""
        sign = self.files.sign(file)
        try:
            content = self.files.read(file)
        except FolderError as error:
            return Outside(file, None, str(error))
        if content != self._known[file]:
            return Outside(file, content)
        self._signs[file] = sign
        return None

    # how it begins

    def _recovered(self) -> tuple[History, bool]:
        """Return the history of the folder, and whether its last server ended in peace."""
        path = self.files.journal
        if not path.exists():
            return self._begun(), True
        try:
            opened = read_journal(path)
            history = replayed(opened)
            if path.stat().st_size > LARGEST:
                begin_journal(path, *_later(opened))
        except JournalError as error:
            aside = next(p for n in count(1) if not (p := path.with_name(f"{path.name}.{n}")).exists())
            path.rename(aside)
            self.said = f"{path.name} is put aside as {aside.name}: {error}; the files are as they are"
            return self._begun(), True
        return history, opened.was_closed

    def _begun(self) -> History:
        texts = {file: None if c is None else decoded(c) for file, c in self._known.items()}
        begin_journal(self.files.journal, texts)
        return History(texts)

    def _go_on(self, was_closed: bool) -> None:
        """Finish what a crash cut off between the journal and the files; take over what others did since."""
        self._journal.mark_opened()
        self.history.open_group = None
        wanted = {file: _content(text) for file, text in self.history.texts.items()}
        differing = [file for file in NAMES if self._known[file] != wanted[file]]
        if not differing:
            return
        if not was_closed and self._is_before_the_last():
            self._write({file: wanted[file] for file in differing})
            return
        for file in differing:
            self._take_over(file, self._known[file])

    def _is_before_the_last(self) -> bool:
        """Return whether every file is as before or after the last command: its writing was cut off."""
        if not self.history.last:
            return False
        before = self.history.texts_after(inverse(self.history.last))
        return all(
            self._known[file] in (_content(before[file]), _content(self.history.texts[file]))
            for file in NAMES
        )


def _later(opened: Opened) -> tuple[Any, int, tuple[Command, ...]]:
    revision, texts, commands = shortened(opened, KEPT_COMMANDS)
    return texts, revision, commands


def _content(text: str | None) -> bytes | None:
    return None if text is None else encoded(text)
