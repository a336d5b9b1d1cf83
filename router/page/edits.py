"""What a page asks to be changed, checked word by word, and the changes that follow from it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import groupby
from typing import Any

from router.page.folder_files import MOST_BYTES, NAMES
from router.page.journal import Change, Texts, change_between
from router.reading import Op, SpliceError, Splicing

_PROFILE_LISTS = (
    "panels", "keep-outs", "members", "passes", "supports", "covers", "exposed", "openings", "terminals",
    "steps",
)  # fmt: skip
LISTS = frozenset((*_PROFILE_LISTS, "places", "runs", "conductors"))
"""Keys of a profile and a job that hold lists of mappings."""
MOST_EDITS, DEEPEST_PATH, LONGEST_GROUP = 2_000, 20, 200
_KEYS = {"file", "op", "path", "value"}


class RefusedError(Exception):
    """What was asked for cannot be done; nothing has been changed. Each fault is a mapping with `what`."""

    def __init__(self, faults: list[dict[str, str]]) -> None:
        super().__init__("; ".join(fault["what"] for fault in faults))
        self.faults = faults


def refused(what: str) -> RefusedError:
    """Return the refusal with one sentence."""
    return RefusedError([{"what": what}])


def changes_of(edits: Any, texts: Texts) -> tuple[Change, ...]:
    """Return the changes that edits make of some texts, one for each file that they change.

    Raises
    ------
    RefusedError
        One of them cannot be made.
    """
    if not isinstance(edits, list) or not 1 <= len(edits) <= MOST_EDITS:
        raise refused(f"edits is no list of 1 to {MOST_EDITS} edits")
    after = dict(texts)
    checked = map(_checked_edit, edits)
    for (file, is_whole), alike in groupby(checked, key=lambda edit: (edit["file"], edit["op"] == "text")):
        together = list(alike)
        after[file] = together[-1]["value"] if is_whole else _spliced(together, after[file] or "")
    return tuple(
        change_between(file, texts[file], after[file]) for file in NAMES if after[file] != texts[file]
    )


def encoded(text: str) -> bytes:
    """Return a text as a file holds it; bytes that were no UTF-8 come back as they were."""
    return text.encode("utf-8", "surrogateescape")


def decoded(content: bytes) -> str:
    """Return what a file holds as text; bytes that are no UTF-8 are kept as lone surrogates."""
    return content.decode("utf-8", "surrogateescape")


def _checked_edit(edit: Any) -> dict[str, Any]:
    """Return an edit that has the right form, whatever it asks."""
    if not isinstance(edit, dict) or not edit.keys() <= _KEYS or edit.get("file") not in NAMES:
        raise refused('an edit is {file: "profile" or "job", op, path, value}')
    op, path, value = edit.get("op"), edit.get("path", []), edit.get("value")
    if op == "text":
        value = _checked(value)
    elif op not in tuple(Op):
        raise refused("op is one of set, add, remove, text")
    if not _is_path(path):
        raise refused("path is no list of keys and indexes")
    return {"file": edit["file"], "op": op, "path": tuple(path), "value": value}


def _spliced(edits: Iterable[Mapping[str, Any]], text: str) -> str:
    """Return a text after edits in place."""
    path: tuple[str | int, ...] = ()
    try:
        splicing = Splicing(text, LISTS)
        for edit in edits:
            path = edit["path"]
            splicing.do(Op(edit["op"]), path, edit["value"])
        return _checked(splicing.result())
    except SpliceError as error:
        raise refused(f"{_where(path)}: {error}") from None


def _is_path(path: Any) -> bool:
    """Return whether it is a list of keys and indexes of some depth."""
    is_list = isinstance(path, list) and len(path) <= DEEPEST_PATH
    return is_list and all(isinstance(step, str) or type(step) is int for step in path)


def _where(path: Sequence[str | int]) -> str:
    return ", ".join(step if isinstance(step, str) else str(step + 1) for step in path) or "the file"


def _checked(text: Any) -> str:
    if not isinstance(text, str):
        raise refused("the value of a text is no text")
    try:
        is_large = len(encoded(text)) > MOST_BYTES
    except UnicodeEncodeError:
        raise refused("the text has half a character in it; take it out") from None
    if is_large:
        raise refused("the file would be larger than 2 MB")
    return text
